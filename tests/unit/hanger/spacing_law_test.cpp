// Spacing rules on 10,000 random runs, judged by rules written here again; fewest against a search of its
// own.
#include <doctest/doctest.h>

#include <algorithm>

#include "hanger_support.h"

using namespace hanger_test;

namespace {

constexpr double kSlack = 1e-7;
constexpr double kEnds = 3e-6;  // the ends of a stretch over flutes are in it

/// The rules again, in plain metres and without the program's helpers.
bool rules_hold(const SpacingTask& t, const std::vector<double>& at) {
  const double length = t.length.metres();
  for (std::size_t i = 1; i < at.size(); ++i)
    if (at[i] - at[i - 1] > t.max_spacing.metres() + kSlack || at[i] <= at[i - 1]) return false;
  if (t.closed) {
    if (at.front() + length - at.back() > t.max_spacing.metres() + kSlack) return false;
  } else if (at.front() > t.end_distance.metres() + kSlack ||
             length - at.back() > t.end_distance.metres() + kSlack) {
    return false;
  }
  for (const Spot& s : t.spots) {
    double nearest = 1e9;
    for (const double h : at)
      for (const double turn : {0.0, length, -length})
        if (t.closed || turn == 0) nearest = std::min(nearest, std::abs(h + turn - s.at.metres()));
    if (nearest < s.clear.metres() - kSlack) return false;
    if (s.support && nearest > s.support->metres() + kSlack) return false;
  }
  for (const Fastening& f : t.fastenings)
    for (const double h : at)
      if (h > f.stretch.from.metres() - kEnds && h < f.stretch.to.metres() + kEnds &&
          std::none_of(f.places.begin(), f.places.end(),
                       [&](Length p) { return std::abs(p.metres() - h) < kSlack; }))
        return false;
  return true;
}

SpacingTask random_task(std::mt19937_64& random) {
  SpacingTask t{m(uniform(random, 0.2, 40)),
                std::uniform_int_distribution<int>(0, 3)(random) == 0,
                m(uniform(random, 0.6, 2.5)),
                m(uniform(random, 0, 0.4)),
                {},
                {}};
  if (coin(random)) {
    const double every = uniform(random, 2.5, 6), clear = uniform(random, 0, 0.15);
    for (double s = every; s < t.length.metres(); s += every)
      t.spots.push_back({m(s), m(clear), m(clear + uniform(random, 0.05, 0.6))});
  }
  if (coin(random))
    for (int i = std::uniform_int_distribution<int>(0, 3)(random); i > 0; --i)
      t.spots.push_back({m(uniform(random, 0, t.length.metres())), m(0), m(uniform(random, 0.1, 0.8))});
  if (coin(random) && t.length > m(3)) {
    const double pitch = uniform(random, 0.1, 0.35), from = uniform(random, 0, 1),
                 to = uniform(random, 2, t.length.metres());
    Fastening f{{m(from), m(to)}, {}};
    for (double s = from + uniform(random, 0, pitch); s < to; s += pitch) f.places.push_back(m(s));
    t.fastenings.push_back(f);
  }
  return t;
}

/// Fewest hangers on an open run by breadth-first search over a millimetre grid that holds all special
/// places.
std::optional<std::size_t> fewest_on_grid(const SpacingTask& t) {
  std::vector<double> places;
  const double length = t.length.metres(), end = std::min(t.end_distance.metres(), length / 2);
  const auto fastened = [&](double s) {
    return std::all_of(t.fastenings.begin(), t.fastenings.end(), [&](const Fastening& f) {
      return s < f.stretch.from.metres() - 4e-6 || s > f.stretch.to.metres() + 4e-6 ||
             std::any_of(f.places.begin(), f.places.end(),
                         [&](Length p) { return std::abs(p.metres() - s) < 1e-9; });
    });
  };
  const auto add = [&](double s) {
    if (s < -1e-9 || s > length + 1e-9 || !fastened(s)) return;
    for (const Spot& p : t.spots)
      if (std::abs(p.at.metres() - s) < p.clear.metres() - 1e-9) return;
    places.push_back(s);
  };
  for (double s = 0; s <= length; s += 0.01) add(s);
  for (const double s : {0.0, end, length - end, length}) add(s);
  for (const Spot& p : t.spots)
    for (const double by : {-1.0, 1.0}) {
      add(p.at.metres() + by * p.clear.metres());
      if (p.support) add(p.at.metres() + by * p.support->metres());
    }
  for (const Fastening& f : t.fastenings)
    for (const Length p : f.places) add(p.metres());
  std::sort(places.begin(), places.end());
  std::vector<std::size_t> count(places.size(), 0);
  std::size_t best = 0;
  for (std::size_t i = 0; i < places.size(); ++i) {
    bool first = places[i] <= end + 1e-9;
    for (const Spot& p : t.spots)
      if (p.support && p.at.metres() < places[i] - p.support->metres() - 1e-9) first = false;
    if (first) count[i] = 1;
    for (std::size_t j = 0; j < i; ++j) {
      if (count[j] == 0 || places[i] - places[j] > t.max_spacing.metres() + 1e-9 ||
          places[i] - places[j] < 1e-9)
        continue;
      bool supported = true;
      for (const Spot& p : t.spots)
        if (p.support && p.at.metres() >= places[j] && p.at.metres() <= places[i] &&
            p.at.metres() - places[j] > p.support->metres() + 1e-9 &&
            places[i] - p.at.metres() > p.support->metres() + 1e-9)
          supported = false;
      if (supported && (count[i] == 0 || count[j] + 1 < count[i])) count[i] = count[j] + 1;
    }
    bool last = count[i] > 0 && places[i] >= length - end - 1e-9;
    for (const Spot& p : t.spots)
      if (p.support && p.at.metres() > places[i] + p.support->metres() + 1e-9) last = false;
    if (last && (best == 0 || count[i] < best)) best = count[i];
  }
  if (best == 0) return std::nullopt;
  return best;
}

}  // namespace

TEST_CASE("spacing rules hold on 10,000 random runs, and what is not solved is told") {
  std::mt19937_64 random(1);
  std::size_t solved = 0;
  for (int i = 0; i < 10000; ++i) {
    const SpacingTask t = random_task(random);
    const SpacingResult out = space_hangers(t);
    CHECK(out.solved == out.breaches.empty());
    CHECK(rules_hold(t, metres(out.at)) == out.solved);
    CHECK(out.equal.size() == out.at.size());
    if (t.spots.empty() && t.fastenings.empty()) {
      CHECK(out.solved);
      // One hanger fewer could not keep the spaces.
      const double span =
          t.closed ? t.length.metres()
                   : t.length.metres() - 2 * std::min(t.end_distance.metres(), t.length.metres() / 2);
      const double spaces = static_cast<double>(out.at.size()) - (t.closed ? 0 : 1);
      CHECK((spaces <= 1 || span / (spaces - 1) > t.max_spacing.metres()));
    }
    solved += out.solved;
  }
  CHECK(solved > 7000);
}

TEST_CASE("no search of its own finds fewer hangers, or any where none are found") {
  std::mt19937_64 random(1);
  std::size_t compared = 0, hard = 0;
  while (compared < 300) {
    SpacingTask t = random_task(random);
    if (t.closed || t.length > m(12) || (t.spots.empty() && t.fastenings.empty())) continue;
    const SpacingResult out = space_hangers(t);
    const auto fewest = fewest_on_grid(t);
    ++compared;
    if (!out.solved) {
      // The search may fall between its own places; where it finds a way the program must have found one.
      CHECK_FALSE(fewest);
      continue;
    }
    hard += out.at.size() > equal_count(t);
    if (fewest) CHECK(out.at.size() <= std::max(*fewest, equal_count(t)));
  }
  CHECK(hard > 10);
}
