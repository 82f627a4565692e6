// The drawing against itself: every point of a hundred regular drawings slipped in turn, whole runs moved
// aside and turned, and a hundred drawings without a pattern. Rates are printed; seed 1.
#include "shape/shape.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <functional>
#include <map>
#include <numbers>
#include <optional>
#include <string>
#include <vector>

#include "shape_world.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

constexpr int kDrawings = 100;
// Of the figure to which a drawing is keyed: a mend of one coordinate is as exact as that, that of a whole
// run may lie off by two figures and a half, as every point of it is rounded, and those beside it.
constexpr double kOnePlace = 1.01, kRunsPlace = 2.5;

ShapeLook look_whole(const ShapeWorld& w) {
  return look_at_shape({w.places, w.points, w.begins, w.heights, {}, w.unit});
}
std::vector<ShapeBreak> look(const ShapeWorld& w) { return look_whole(w).breaks; }

Length& coordinate(Point<Drawing>& p, bool is_x) { return is_x ? p.at.x : p.at.y; }

/// Two neighbouring digits of what is keyed exchanged, by at least 25 mm: of millimetres, or of feet.
std::optional<double> exchanged(double v, const ShapeWorld& w, ShapeMaker& maker) {
  std::vector<double> ways;
  const auto swaps = [&](long n, double one, double rest) {
    const std::string text = std::to_string(n);
    for (std::size_t i = 0; i + 1 < text.size(); ++i) {
      std::string other = text;
      std::swap(other[i], other[i + 1]);
      const double to = std::stod(other) * one + rest;
      if (std::abs(to - v) >= 0.025) ways.push_back(to);
    }
  };
  if (v <= 0) return std::nullopt;
  if (w.unit == LengthUnit::feet_inches) {
    const long feet = static_cast<long>(std::floor(v / 0.3048 + 1e-9));
    swaps(feet, 0.3048, v - static_cast<double>(feet) * 0.3048);
  } else {
    swaps(std::lround(v * 1000), 0.001, 0);
  }
  if (ways.empty()) return std::nullopt;
  return ways[static_cast<std::size_t>(maker.whole(0, static_cast<int>(ways.size()) - 1))];
}

struct Rate {
  std::size_t done = 0, told = 0, mended = 0;
  void take(bool is_told, bool is_mended) { ++done, told += is_told, mended += is_mended; }
  void take(const Rate& r) { done += r.done, told += r.told, mended += r.mended; }
  double told_share() const { return static_cast<double>(told) / static_cast<double>(done); }
  double mended_share() const { return static_cast<double>(mended) / static_cast<double>(done); }
};
using Rates = std::map<std::string, Rate>;

void print(const std::string& what, const Rate& r) {
  std::printf("%-40s %6zu: told %.2f %%, mended %.2f %%\n", what.c_str(), r.done, 100 * r.told_share(),
              100 * r.mended_share());
}

/// Prints every kind and all together; each kind is told as often as `least` says, or as `but` says of it.
Rate all_of(const std::string& what, const Rates& rates, double least,
            const std::map<std::string, double>& but = {}) {
  Rate all;
  for (const auto& [name, r] : rates) {
    print(what + ", " + name, r), all.take(r);
    const auto own = but.find(name);
    CHECK_MESSAGE(r.told_share() >= (own == but.end() ? least : own->second), name);
  }
  print(what, all);
  return all;
}

double slip_by(ShapeMaker& m) { return (m.chance(0.5) ? 1 : -1) * m.uniform(0.025, 2); }

using Slip = std::function<std::optional<double>(double, const ShapeWorld&, ShapeMaker&)>;
const std::vector<std::pair<std::string, Slip>>& slips() {
  static const std::vector<std::pair<std::string, Slip>> all{
      {"25 mm to 2 m",
       [](double v, const ShapeWorld&, ShapeMaker& m) -> std::optional<double> {
         return m.rounded(v + slip_by(m));
       }},
      {"digits exchanged", exchanged},
      {"a foot", [](double v, const ShapeWorld&, ShapeMaker& m) -> std::optional<double> {
         return v + (m.chance(0.5) ? 1 : -1) * 0.3048;
       }}};
  return all;
}

/// Moves every point of a run; places are rounded as the drawing is keyed.
template <class Move>
void move_run(ShapeWorld& w, std::uint32_t run, const ShapeMaker& maker, const Move& move) {
  for (std::uint32_t i = w.begins[run]; i < w.begins[run + 1]; ++i) {
    const Vec<Drawing> by = move(w.places[i]);
    w.places[i] = {{.x = Length::metres(maker.rounded((w.places[i].at.x + by.by.x).metres())),
                    .y = Length::metres(maker.rounded((w.places[i].at.y + by.by.y).metres()))}};
  }
}
Vec<Drawing> vec(double x, double y) { return {{.x = Length::metres(x), .y = Length::metres(y)}}; }

/// Whole runs of drawings with rows: `move` is given the run's first point, its direction and its length.
template <class Wanted, class Move>
Rates of_runs(const Wanted& wanted, double near, const Move& move) {
  ShapeMaker maker(1);
  Rates rates;
  for (int d = 0; d < kDrawings; ++d) {
    ShapeWorld w = maker.regular(d);
    if (!w.has_rows || !wanted(w)) continue;
    for (std::uint32_t r = 0; r < w.runs(); ++r) {
      if (w.begins[r + 1] - w.begins[r] < 2) continue;
      const auto kept = w.places;
      const auto first = kept[w.begins[r]];
      const Vec<Drawing> way = kept[w.begins[r + 1] - 1] - first;
      const double length = norm(way).metres();
      move(w, r, maker, first, vec(way.by.x.metres() / length, way.by.y.metres() / length));
      const auto found = look(w);
      const bool told = found.size() == 1 && !found[0].point && found[0].run == r;
      rates[w.kind].take(told, told && distance(found[0].expected, first).metres() <= near * w.figure);
      w.places = kept;
    }
  }
  return rates;
}

}  // namespace

TEST_CASE("a slip in one coordinate of any point of a regular drawing is told, and its mend restores it") {
  ShapeMaker maker(1);
  Rates by_slip, by_kind;
  for (int d = 0; d < kDrawings; ++d) {
    ShapeWorld w = maker.regular(d);
    CAPTURE(d);
    CHECK(look(w).empty());  // as it is, nothing
    CHECK(look_whole(w).unsure.empty());
    for (std::uint32_t i = 0; i < w.places.size(); ++i)
      for (const auto& [name, slip] : slips()) {
        const bool is_x = maker.chance(0.5);
        const Point<Drawing> truth = w.places[i];
        const auto slipped = slip(coordinate(w.places[i], is_x).metres(), w, maker);
        if (!slipped) continue;
        coordinate(w.places[i], is_x) = Length::metres(*slipped);
        const auto found = look(w);
        const bool told = found.size() == 1 && found[0].point == i;
        const bool mended = told && distance(found[0].expected, truth).metres() <= kOnePlace * w.figure;
        by_slip[name].take(told, mended);
        by_kind[w.kind].take(told, mended);
        w.places[i] = truth;
      }
  }
  // Runs of two have the fewest points that could say which is wrong: 7 of their 216 slips are left alone.
  all_of("one coordinate", by_kind, 0.98, {{"runs of two", 0.95}});
  const Rate all = all_of("one coordinate", by_slip, 0.98);
  CHECK(all.done > 5000);
  CHECK(all.told_share() >= 0.99);
  CHECK(all.mended_share() >= 0.98);
}

TEST_CASE("a whole run that stands aside or along is told as a run, its first point's place restored") {
  const auto any = [](const ShapeWorld&) { return true; };
  const auto begin_together = [](const ShapeWorld& w) { return w.kind != "different lengths"; };
  const Rate across = all_of("run aside",
                             of_runs(any, kRunsPlace,
                                     [](ShapeWorld& w, std::uint32_t r, ShapeMaker& m, const Point<Drawing>&,
                                        const Vec<Drawing>& way) {
                                       const double by = slip_by(m);
                                       move_run(w, r, m, [&](const Point<Drawing>&) {
                                         return vec(-by * way.by.y.metres(), by * way.by.x.metres());
                                       });
                                     }),
                             0.98, {{"runs of two", 0.95}});
  CHECK(across.done > 200);
  CHECK(across.told_share() >= 0.99);
  CHECK(across.mended_share() >= 0.98);
  // Along: where all runs begin together. Half a space aside is a stagger, and left alone.
  const Rate along = all_of("run along",
                            of_runs(begin_together, kRunsPlace,
                                    [](ShapeWorld& w, std::uint32_t r, ShapeMaker& m, const Point<Drawing>&,
                                       const Vec<Drawing>& way) {
                                      const double by = slip_by(m);
                                      move_run(w, r, m, [&](const Point<Drawing>&) {
                                        return vec(by * way.by.x.metres(), by * way.by.y.metres());
                                      });
                                    }),
                            0.95);
  CHECK(along.done > 200);
  CHECK(along.told_share() >= 0.95);
  CHECK(along.mended_share() >= 0.95);
}

TEST_CASE("a run turned about its first point by half a degree to four is told as a run") {
  const auto long_runs = [](const ShapeWorld& w) {
    return w.kind != "runs of two" && w.kind != "short runs";
  };
  // Of different lengths: the run behind one of a single point is not placed, where that is the last but one,
  // and a run of two points is told as its wrong end.
  const Rate turned = all_of(
      "run turned",
      of_runs(long_runs, kOnePlace,
              [](ShapeWorld& w, std::uint32_t r, ShapeMaker& m, const Point<Drawing>& first,
                 const Vec<Drawing>&) {
                const double by = (m.chance(0.5) ? 1 : -1) * m.uniform(0.5, 4) * std::numbers::pi / 180;
                move_run(w, r, m, [&](const Point<Drawing>& p) {
                  const double x = (p.at.x - first.at.x).metres(), y = (p.at.y - first.at.y).metres();
                  return vec(x * (std::cos(by) - 1) - y * std::sin(by),
                             x * std::sin(by) + y * (std::cos(by) - 1));
                });
              }),
      0.95, {{"different lengths", 0.7}});
  CHECK(turned.done > 200);
  CHECK(turned.told_share() >= 0.95);
  CHECK(turned.mended_share() >= 0.85);  // that it stands at its first point
}

TEST_CASE("two slips in two runs of a regular drawing: no other point is told for them") {
  ShapeMaker maker(1);
  std::size_t slipped = 0, told = 0, others = 0;
  for (int d = 0; d < kDrawings; ++d) {
    ShapeWorld w = maker.regular(d);
    if (w.runs() < 4) continue;
    const auto kept = w.places;
    for (int i = 0; i < 10; ++i) {
      std::vector<std::uint32_t> bad;
      for (const std::uint32_t run : {0U, 2U}) {
        const auto at = static_cast<std::uint32_t>(
            maker.whole(static_cast<int>(w.begins[run]), static_cast<int>(w.begins[run + 1]) - 1));
        bad.push_back(at);
        Length& c = coordinate(w.places[at], maker.chance(0.5));
        c = Length::metres(maker.rounded(c.metres() + slip_by(maker)));
      }
      for (const ShapeBreak& b : look(w)) {
        const bool right = b.point && std::count(bad.begin(), bad.end(), *b.point) > 0;
        ++(right ? told : others);
      }
      slipped += bad.size();
      w.places = kept;
    }
  }
  std::printf("two slips: %.1f %% of %zu told, %zu other words\n",
              100 * static_cast<double>(told) / static_cast<double>(slipped), slipped, others);
  CHECK(slipped >= 1000);
  CHECK(static_cast<double>(told) >= 0.95 * static_cast<double>(slipped));
  CHECK(others == 0);
}

TEST_CASE("a drawing without a pattern is left alone") {
  ShapeMaker maker(1);
  int false_words = 0;
  for (int d = 0; d < kDrawings; ++d) {
    const ShapeWorld w = maker.irregular(d);
    const ShapeLook found = look_whole(w);
    const bool has_word = !found.breaks.empty() || !found.unsure.empty();
    false_words += has_word;
    if (has_word)
      std::printf("irregular drawing %d, %s: %zu told, %zu not judged\n", d, w.kind.c_str(),
                  found.breaks.size(), found.unsure.size());
  }
  std::printf("irregular drawings with a word: %d of %d\n", false_words, kDrawings);
  CHECK(false_words * 20 <= kDrawings);
}
