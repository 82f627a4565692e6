// The drawing against itself: every point of a hundred regular drawings slipped in turn, whole runs moved
// aside, and a hundred drawings without a pattern. Rates are printed; seed 1.
#include "shape/shape.h"

#include <doctest/doctest.h>

#include <cstdio>
#include <cstdlib>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "shape_world.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

constexpr int kDrawings = 100;

std::vector<ShapeBreak> look(const ShapeWorld& w) {
  return look_at_shape({w.places, w.points, w.begins, w.heights, {}, w.unit});
}

Length& coordinate(Point<Drawing>& p, bool is_x) { return is_x ? p.at.x : p.at.y; }

/// Two neighbouring digits of what is keyed exchanged, by at least 25 mm: of millimetres, or of feet or
/// inches.
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
    const double inches = v / 0.0254;
    const long feet = static_cast<long>(std::floor(inches / 12 + 1e-9));
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

using Slip = std::function<std::optional<double>(double, const ShapeWorld&, ShapeMaker&)>;
const std::vector<std::pair<std::string, Slip>>& slips() {
  static const std::vector<std::pair<std::string, Slip>> all{
      {"25 mm to 2 m",
       [](double v, const ShapeWorld&, ShapeMaker& m) -> std::optional<double> {
         return m.rounded(v + (m.chance(0.5) ? 1 : -1) * m.uniform(0.026, 2));
       }},
      {"digits exchanged", exchanged},
      {"a foot", [](double v, const ShapeWorld&, ShapeMaker& m) -> std::optional<double> {
         return v + (m.chance(0.5) ? 1 : -1) * 0.3048;
       }}};
  return all;
}

void print(const std::string& what, const Rate& r) {
  std::printf("%-40s %6zu: told %.2f %%, mended %.2f %%\n", what.c_str(), r.done, 100 * r.told_share(),
              100 * r.mended_share());
}

}  // namespace

TEST_CASE("a slip in one coordinate of any point of a regular drawing is told, and its mend restores it") {
  ShapeMaker maker(1);
  std::map<std::string, Rate> by_slip, by_kind;
  for (int d = 0; d < kDrawings; ++d) {
    ShapeWorld w = maker.regular(d);
    CAPTURE(d);
    CHECK(look(w).empty());  // as it is, nothing
    for (std::uint32_t i = 0; i < w.places.size(); ++i)
      for (const auto& [name, slip] : slips()) {
        const bool is_x = maker.chance(0.5);
        const Point<Drawing> truth = w.places[i];
        const auto slipped = slip(coordinate(w.places[i], is_x).metres(), w, maker);
        if (!slipped) continue;
        coordinate(w.places[i], is_x) = Length::metres(*slipped);
        const auto found = look(w);
        const bool told = found.size() == 1 && found[0].point == i;
        const bool mended = told && distance(found[0].expected, truth).metres() <= 1.01 * w.figure;
        by_slip[name].take(told, mended);
        by_kind[w.kind].take(told, mended);
        if (!told && std::getenv("SHAPE_MISSED")) {
          std::printf("missed: drawing %d %s point %u by %.3f %.3f, %zu told", d, w.kind.c_str(), i,
                      (w.places[i] - truth).by.x.metres(), (w.places[i] - truth).by.y.metres(), found.size());
          for (const auto& b : found)
            std::printf(" [%s%d why %d]", b.point ? "" : "run ", static_cast<int>(b.point.value_or(b.run)),
                        static_cast<int>(b.why));
          std::printf("\n");
        }
        if (told && !mended && std::getenv("SHAPE_MISSED"))
          std::printf(
              "unmended: drawing %d %s point %u by %.4f %.4f expected off by %.4f %.4f mend %d why %d\n", d,
              w.kind.c_str(), i, (w.places[i] - truth).by.x.metres(), (w.places[i] - truth).by.y.metres(),
              (found[0].expected - truth).by.x.metres(), (found[0].expected - truth).by.y.metres(),
              found[0].mend ? static_cast<int>(found[0].mend->kind) : -1, static_cast<int>(found[0].why));
        w.places[i] = truth;
      }
  }
  Rate all;
  for (const auto& [name, r] : by_slip) print(name, r), all.take(r);
  for (const auto& [name, r] : by_kind) print("  " + name, r);
  print("all", all);
  CHECK(all.done > 5000);
  CHECK(all.told_share() >= 0.99);
  CHECK(all.mended_share() >= 0.90);
}

TEST_CASE("a whole run that stands aside is told as a run") {
  ShapeMaker maker(1);
  std::map<std::string, Rate> by_kind;
  for (int d = 0; d < kDrawings; ++d) {
    ShapeWorld w = maker.regular(d);
    if (!w.has_rows) continue;
    for (std::uint32_t r = 0; r < w.runs(); ++r) {
      if (w.begins[r + 1] - w.begins[r] < 2) continue;
      const bool is_turned = w.kind == "turned grid" || w.kind == "end bays";
      // Across the run: of runs along the axes one coordinate, of turned ones both.
      const auto first = w.places[w.begins[r]], last = w.places[w.begins[r + 1] - 1];
      const Vec<Drawing> way = last - first;
      const double length = norm(way).metres(), by = (maker.chance(0.5) ? 1 : -1) * maker.uniform(0.026, 2);
      const auto kept = w.places;
      for (std::uint32_t i = w.begins[r]; i < w.begins[r + 1]; ++i) {
        w.places[i].at.x += Length::metres(maker.rounded(-by * way.by.y.metres() / length));
        w.places[i].at.y += Length::metres(maker.rounded(by * way.by.x.metres() / length));
      }
      const auto found = look(w);
      const bool told = found.size() == 1 && !found[0].point && found[0].run == r;
      const double near = (is_turned ? 3 : 1.01) * w.figure;
      by_kind[w.kind].take(told, told && distance(found[0].expected, kept[w.begins[r]]).metres() <= near);
      if (!told && std::getenv("SHAPE_MISSED")) {
        std::printf("missed: drawing %d %s run %u of %zu by %.3f, %zu told", d, w.kind.c_str(), r, w.runs(),
                    by, found.size());
        for (const auto& b : found)
          std::printf(" [%s%d why %d]", b.point ? "" : "run ", static_cast<int>(b.point.value_or(b.run)),
                      static_cast<int>(b.why));
        std::printf("\n");
      }
      w.places = kept;
    }
  }
  Rate all;
  for (const auto& [name, r] : by_kind) print("run aside, " + name, r), all.take(r);
  print("run aside", all);
  CHECK(all.done > 200);
  CHECK(all.told_share() >= 0.99);
  CHECK(all.mended_share() >= 0.90);
}

TEST_CASE("a drawing without a pattern is left alone") {
  ShapeMaker maker(1);
  int false_words = 0;
  for (int d = 0; d < kDrawings; ++d) {
    const ShapeWorld w = maker.irregular(d);
    const auto found = look(w);
    false_words += !found.empty();
    if (!found.empty()) std::printf("irregular drawing %d, %s: %zu told\n", d, w.kind.c_str(), found.size());
  }
  std::printf("irregular drawings with a word: %d of %d\n", false_words, kDrawings);
  CHECK(false_words * 20 <= kDrawings);
}
