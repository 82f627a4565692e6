// Errors that a part of the marks shares though no column names it, groups of one level, runs that wander:
// one finding each, and none where marks share nothing.
#include <doctest/doctest.h>

#include <algorithm>
#include <cstdlib>
#include <map>
#include <numeric>

#include "simulation/asbuilt_world.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

bool has_bands() { return jobs() >= 1000; }

double uniform(AsbuiltWorld& w, double from, double to) {
  return std::uniform_real_distribution<double>(from, to)(w.draws);
}
int whole(AsbuiltWorld& w, int from, int to) { return std::uniform_int_distribution<int>(from, to)(w.draws); }

/// Some of the marks, drawn without a rule, so that no column and no stretch of time names them.
std::vector<std::size_t> some_of(AsbuiltWorld& w, std::size_t count) {
  std::vector<std::size_t> all(w.design.size());
  std::iota(all.begin(), all.end(), std::size_t{0});
  std::shuffle(all.begin(), all.end(), w.draws);
  all.resize(count);
  std::ranges::sort(all);
  return all;
}

void move(Place& p, double length, double way) {
  p.n += length * std::cos(way);
  p.e += length * std::sin(way);
}

/// One instrument of known place shoots all, one other set them out; every mark has its run.
void shoot(AsbuiltWorld& w, AsbuiltLevel level = AsbuiltLevel::floor, std::size_t in_run = 10) {
  const Instrument marking(w.on_site(20, -3, 1.6), 31), check(w.on_site(12.3, 9.9, 1.6), 77);
  const auto known = [](const Instrument& i) {
    return KnownStation{point(i.believed), Elevation::metres(i.believed.h)};
  };
  w.setups = {std::nullopt, known(check)};
  w.marking = {std::nullopt, known(marking), std::nullopt};
  for (std::size_t i = 0; i < w.design.size(); ++i) {
    add_shot(w, i, check.shoot(w.marked[i]), 1);
    w.shots.back().level = level;
    w.shots.back().run = 1 + static_cast<std::uint32_t>(i / in_run);
  }
}

/// Runs of their own in place of the world's.
void lay_runs(AsbuiltWorld& w, std::size_t runs, std::size_t in_run) {
  w.design.clear();
  for (std::size_t r = 0; r < runs; ++r)
    for (std::size_t k = 0; k < in_run; ++k)
      w.design.push_back(
          w.on_site(2.1 + 1.8 * static_cast<double>(k), 2.4 + 4.7 * static_cast<double>(r), 0));
  w.marked = w.design;
}

std::size_t singles(const CausesResult& r) {
  return static_cast<std::size_t>(std::ranges::count_if(r.causes, [](const Cause& c) {
    return c.kind == CauseKind::one_point || c.kind == CauseKind::digits;
  }));
}

/// What else was told, and how often: for the reader of a failure.
class Instead {
 public:
  void take(const CausesResult& r) {
    std::string text;
    for (std::size_t k = 0; k < r.causes.size() && k < 4; ++k)
      text += std::string(cause_word(r.causes[k].kind)) + " (group " +
              std::to_string(static_cast<int>(r.causes[k].group.kind)) + ", " +
              std::to_string(r.causes[k].points) + ") ";
    ++count_[text.empty() ? "none" : text];
  }
  ~Instead() {
    for (const auto& [text, n] : count_) MESSAGE("instead " << n << ": " << text);
  }

 private:
  std::map<std::string, int> count_;
};

}  // namespace

TEST_CASE("a part of the marks with one common error is one cause, and its sd covers its value") {
  // 2026-11-27: only columns, stretches and single marks were looked at: 64 marks that shared one error were
  // told as ten times "this mark alone".
  for (const double error : {0.012, 0.020, 7.5}) {
    CAPTURE(error);
    int one = 0, covered = 0, exact = 0;
    Instead instead;
    for (int job = 0; job < jobs(); ++job) {
      AsbuiltWorld w(static_cast<unsigned>(job));
      const std::vector<std::size_t> part = some_of(w, static_cast<std::size_t>(whole(w, 8, 26)));
      const double way = uniform(w, 0, 2 * M_PI);
      for (const std::size_t i : part) move(w.marked[i], error, way);
      w.scatter();
      shoot(w);
      const CausesResult r = find_causes(input_of(w));
      if (r.causes.size() != 1 || r.causes[0].kind != CauseKind::shift ||
          r.causes[0].group.kind != GroupKind::marks) {
        instead.take(r);
        continue;
      }
      ++one;
      const Cause& c = r.causes[0];
      if (std::abs(c.value - error) <= 3 * c.sd) ++covered;
      if (c.shots == part) ++exact;
    }
    MESSAGE("error " << error << ": one cause " << one << ", covered " << covered << ", its marks exactly "
                     << exact << " of " << jobs());
    CHECK(one > 0);
    if (!has_bands()) continue;
    CHECK(one >= 0.95 * jobs());
    CHECK(covered >= 0.99 * one);
    if (error > 0.015) CHECK(exact >= 0.95 * one);
  }
}

TEST_CASE("brackets that hang off by one common height are one cause") {
  int one = 0, covered = 0;
  Instead instead;
  for (int job = 0; job < jobs(); ++job) {
    AsbuiltWorld w(static_cast<unsigned>(job));
    for (const std::size_t i : some_of(w, static_cast<std::size_t>(whole(w, 17, 26)))) w.marked[i].h -= 0.015;
    w.scatter();
    shoot(w, AsbuiltLevel::bracket);
    const CausesResult r = find_causes(input_of(w));
    if (r.causes.size() != 1 || r.causes[0].kind != CauseKind::height ||
        r.causes[0].group.kind != GroupKind::marks) {
      instead.take(r);
      continue;
    }
    ++one;
    if (std::abs(r.causes[0].value + 0.015) <= 3 * r.causes[0].sd) ++covered;
  }
  MESSAGE("one cause " << one << ", covered " << covered << " of " << jobs());
  CHECK(one > 0);
  if (!has_bands()) return;
  CHECK(one >= 0.95 * jobs());
  CHECK(covered >= 0.99 * one);
}

TEST_CASE("what was set out from one place on one level is a group of its own") {
  int one = 0, covered = 0;
  Instead instead;
  for (int job = 0; job < jobs(); ++job) {
    AsbuiltWorld w(static_cast<unsigned>(job));
    const std::vector<Place> drawn = w.design;
    const double way = uniform(w, 0, 2 * M_PI);
    std::vector<CauseShot> all;
    for (const AsbuiltLevel level : {AsbuiltLevel::floor, AsbuiltLevel::deck}) {
      w.marked = drawn;
      w.shots.clear();
      if (level == AsbuiltLevel::deck)
        for (std::size_t i = 1; i < drawn.size(); i += 2) move(w.marked[i], 0.015, way);
      w.scatter();
      shoot(w, level);
      for (CauseShot& s : w.shots) s.marked_from = 1 + s.mark % 2;
      all.insert(all.end(), w.shots.begin(), w.shots.end());
    }
    w.shots = all;
    std::shuffle(w.shots.begin(), w.shots.end(), w.draws);
    const CausesResult r = find_causes(input_of(w));
    if (r.causes.size() != 1 || r.causes[0].kind != CauseKind::shift ||
        r.causes[0].group.kind != GroupKind::marked_from || r.causes[0].group.word != 2 ||
        r.causes[0].group.level != AsbuiltLevel::deck) {
      instead.take(r);
      continue;
    }
    const Cause& c = r.causes[0];
    ++one;
    if (std::abs(c.value - 0.015) <= 3 * c.sd) ++covered;
  }
  MESSAGE("one cause " << one << ", covered " << covered << " of " << jobs());
  CHECK(one > 0);
  if (!has_bands()) return;
  CHECK(one >= 0.95 * jobs());
  CHECK(covered >= 0.99 * one);
}

TEST_CASE("a run that wanders is one finding and no list of single marks") {
  // 2026-11-27: one wavy run gave 22 single marks.
  int one = 0, listed = 0;
  Instead instead;
  for (int job = 0; job < jobs(); ++job) {
    AsbuiltWorld w(static_cast<unsigned>(job));
    lay_runs(w, 3, 22);
    const double waves = uniform(w, 1, 2.5), phase = uniform(w, 0, 2 * M_PI),
                 across = (w.azimuth + 90) * M_PI / 180;
    for (std::size_t k = 0; k < 22; ++k)
      move(w.marked[22 + k], 0.020 * std::sin(2 * M_PI * waves * static_cast<double>(k) / 22 + phase),
           across);
    w.scatter();
    shoot(w, AsbuiltLevel::floor, 22);
    const CausesResult r = find_causes(input_of(w));
    listed += singles(r) > 0;
    const bool is_one =
        r.causes.size() == 1 && r.causes[0].kind == CauseKind::wavy_run && r.causes[0].group.word == 2;
    one += is_one;
    if (!is_one) instead.take(r);
  }
  MESSAGE("one finding " << one << ", single marks in " << listed << " of " << jobs());
  CHECK(one > 0);
  if (!has_bands()) return;
  CHECK(one >= 0.95 * jobs());
  CHECK(listed <= 0.02 * jobs());
}

TEST_CASE("a run whose marks all stand their own way is one finding") {
  int one = 0, listed = 0;
  Instead instead;
  for (int job = 0; job < jobs(); ++job) {
    AsbuiltWorld w(static_cast<unsigned>(job));
    lay_runs(w, 3, 22);
    for (std::size_t k = 0; k < 22; ++k)
      move(w.marked[22 + k], uniform(w, 0.012, 0.030), uniform(w, 0, 2 * M_PI));
    w.scatter();
    shoot(w, AsbuiltLevel::floor, 22);
    const CausesResult r = find_causes(input_of(w));
    const bool is_one =
        r.causes.size() == 1 && r.causes[0].kind == CauseKind::wavy_run && r.causes[0].group.word == 2;
    one += is_one;
    listed += singles(r) > 3;
    if (!is_one) instead.take(r);
  }
  MESSAGE("one finding " << one << ", single marks in " << listed << " of " << jobs());
  CHECK(one > 0);
  if (!has_bands()) return;
  CHECK(one >= 0.90 * jobs());  // a few that lie alike by chance and follow one another are told beside it
  CHECK(listed <= 0.05 * jobs());
}

TEST_CASE("marks that stand off their own way share nothing, and clean jobs have no cause") {
  int sets = 0, clean_named = 0;
  for (int job = 0; job < jobs(); ++job) {
    for (const bool clean : {true, false}) {
      AsbuiltWorld w(static_cast<unsigned>(job));
      if (!clean)
        for (const std::size_t i : some_of(w, 12))
          move(w.marked[i], uniform(w, 0.014, 0.060), uniform(w, 0, 2 * M_PI));
      w.scatter();
      shoot(w);
      const CausesResult r = find_causes(input_of(w));
      if (clean)
        clean_named += !r.causes.empty();
      else
        sets +=
            std::ranges::any_of(r.causes, [](const Cause& c) { return c.group.kind == GroupKind::marks; });
    }
  }
  MESSAGE("sets where there are none " << sets << ", clean jobs with a cause " << clean_named << " of "
                                       << jobs());
  if (!has_bands()) return;
  CHECK(sets <= 0.01 * jobs());
  CHECK(clean_named <= 0.01 * jobs());
}
