#include "stages/offsets.h"

#include <doctest/doctest.h>

#include "unit/stages/plain.h"

using namespace plain;

namespace {

/// A job that wants a sheet, on marks laid out at N = 100 + y, E = 200 + x.
struct Sheet {
  OffsetJob offsets{
      .wanted = true, .options = {}, .from = {{Where::at("job.toml", {9, 8}), true}, {}}, .strings = {}};
  PlainBaselines baselines{};
  std::vector<ControlPoint> control{};
  PlainLaid laid;

  explicit Sheet(const std::vector<PlainMark>& rows) : laid(laid_of(rows)) {}
  Staged<OffsetsFound> look() const {
    return look_at_offsets({offsets, baselines.view(), control, Where::whole("job.toml")}, laid.view());
  }
};

}  // namespace

TEST_CASE("no sheet is wanted, or one without swing ties") {
  Sheet s({{"P1", 0, 0}});
  const auto alone = s.look();
  CHECK(alone.is_there());
  CHECK(alone.value->swing_from.empty());
  CHECK_FALSE(swing_tie_of(*alone.value, s.laid.placed, 0));
  s.offsets.wanted = false;
  CHECK(s.look().came == Came::absent);
}

TEST_CASE("swing ties go out from a tie as found, else a drawing point, else control, in the key's order") {
  Sheet s({{"A", 0, 0}, {"B", 4, 0}, {"P", 4, 3}});
  s.control = {{"a", at(1, 1), {}, {}}, {"b", at(2, 2), {}, {}}, {"C", at(100, 204), {}, {}}};
  s.offsets.from.value = std::vector<std::string>{"b", "a"};
  const auto drawn = s.look();
  REQUIRE(drawn.is_there());
  REQUIRE(drawn.value->swing_from.size() == 2);
  CHECK(drawn.value->swing_from[0].name == "B");
  CHECK(drawn.value->swing_from[0].at.at.easting.metres() == 204);
  CHECK(drawn.value->swing_from[1].name == "A");
  CHECK(drawn.value->swing_from[1].at.at.easting.metres() == 200);
  // P lies 3 m from B and 5 m from A: on the right hand of who stands on B and faces A (west).
  const auto tie = swing_tie_of(*drawn.value, s.laid.placed, 2);
  REQUIRE(tie);
  CHECK(tie->first.metres() == doctest::Approx(3));
  CHECK(tie->second.metres() == doctest::Approx(5));
  CHECK(tie->side == Side::right);

  s.baselines.ties = {plain::tie("A", 0, 0, at(100.5, 200))};
  s.offsets.from.value = std::vector<std::string>{"A", "C"};
  const auto found = s.look();
  REQUIRE(found.is_there());
  CHECK(found.value->swing_from[0].at.at.northing.metres() == 100.5);  // the tie before the point
  CHECK(found.value->swing_from[1].at.at.easting.metres() == 204);     // the control
}

TEST_CASE("every unknown mark is told at the key, and two marks at one place are refused") {
  Sheet s({{"A", 0, 0}, {"B", 4, 0}, {"C", 0, 0}});
  s.offsets.from.value = std::vector<std::string>{"X", "Y"};
  const auto unknown = s.look();
  CHECK(unknown.is_spoiled());
  CHECK(told(unknown.told, Grade::problem) ==
        std::vector<std::string>{
            "job.toml:9:8: offsets.from: found \"X\", expected a mark of the ties table, a drawing point or "
            "control",
            "job.toml:9:8: offsets.from: found \"Y\", expected a mark of the ties table, a drawing point or "
            "control"});
  s.offsets.from.value = std::vector<std::string>{"A", "X"};
  CHECK(s.look().told.problems() == 1);
  s.offsets.from.value = std::vector<std::string>{"A", "C"};
  const auto same = s.look();
  CHECK(same.is_spoiled());
  CHECK(told(same.told, Grade::problem) ==
        std::vector<std::string>{"job.toml:9:8: offsets.from: found A and C at one place, expected two marks "
                                 "apart from each other"});
}

TEST_CASE("arcs that cross under 30 degrees are told at the mark's row, others are not") {
  // From (-1, 0) and (1, 0) to (0, y) each half of the angle is atan(1 / y): 15 degrees at y = 3.732.
  Sheet s({{"A", -1, 0}, {"B", 1, 0}, {"Flat", 0, 3.75}, {"Good", 0, 3.70}, {"P", 0, 1}});
  s.offsets.from.value = std::vector<std::string>{"A", "B"};
  const auto found = s.look();
  CHECK(found.is_there());
  const auto lines = told(found.told, Grade::doubt);
  REQUIRE(lines.size() == 1);  // not A and B themselves: there one arc has no length
  CHECK(
      lines[0] ==
      "drawing.csv:4:1: point: Flat: the arcs from A and B cross at 29.9 degrees, under 30 (common practice, "
      "no source): use X and Y, or other marks");
}

TEST_CASE("many flat swing ties are one doubt that names the flattest") {
  Sheet s({{"A", -1, 0}, {"B", 1, 0}, {"Flat", 0, 4}, {"Flatter", 0, 5}, {"Good", 0, 1}});
  s.offsets.from.value = std::vector<std::string>{"A", "B"};
  CHECK(told(s.look().told, Grade::doubt) ==
        std::vector<std::string>{
            "drawing.csv:5:1: point: 2 marks: the arcs from A and B cross under 30 degrees (common practice, "
            "no source), at Flatter with 22.6 flattest: there use X and Y, or other marks"});
}

TEST_CASE("a freed scale is told where the tape would show it over the drawing's extent") {
  // Corners 4 m and 3 m apart: 5 m over the diagonal, and half a step of the sheet in metres is 0.5 mm.
  Sheet s({{"P1", 0, 0}, {"P2", 4, 3}});
  const auto with_scale = [&](double scale) {
    SimilarityParts parts = s.laid.placed.fit.site_from_drawing.parts();
    parts.scale = scale;
    s.laid.placed.fit.site_from_drawing = claim(parts);
    const bool shows = shows_scale(s.offsets, s.laid.marks, s.laid.placed);
    const auto lines = told(s.look().told, Grade::doubt);
    CHECK(shows == (lines.size() == 1));
    if (shows) CHECK(lines[0].starts_with("job.toml: offsets: the sheet gives X, Y and running distances"));
    return shows;
  };
  CHECK_FALSE(with_scale(1));
  CHECK_FALSE(with_scale(1.00009));
  CHECK(with_scale(1.00011));
  CHECK(with_scale(0.99989));
  CHECK_FALSE(with_scale(0.99991));
}
