#include "stages/doubts.h"

#include <doctest/doctest.h>

#include "unit/stages/plain.h"

using namespace plain;

namespace {

/// What a careful person would look at, of plain marks.
struct Look {
  JobMarks marks;
  std::optional<Length> max_spacing{}, end_distance{};
  std::vector<StatedRun> runs{};
  std::vector<NamedTie> ties{};
  ReadTable ties_table{};
  std::optional<Placed> placed{};

  Messages messages() const {
    const ShapeFound shape = begin_shape(marks.table, marks.drawn, {runs, {}}, LengthUnit::metre).get();
    return look_at_drawing({max_spacing, end_distance, runs, ties, ties_table, LengthUnit::metre,
                            LengthUnit::metre, Where::whole("job.toml")},
                           marks, placed ? &*placed : nullptr, begin_near_pairs(marks.table), &shape);
  }
  std::vector<std::string> doubts() const { return told(messages(), Grade::doubt); }
};

StatedRun run(std::string name) {
  return {std::move(name), StatedRun::Kind::line, xy(0, 0), xy(10, 0), std::nullopt, std::nullopt};
}

bool tells(const std::vector<std::string>& lines, const std::string& words) {
  for (const std::string& line : lines)
    if (line.find(words) != std::string::npos) return true;
  return false;
}

constexpr const char* kNoSource = "closer than 25 mm (common practice, no source): ";

}  // namespace

TEST_CASE("spacing along a run: of hangers only, of one run only, exactly the most is fine") {
  Look look{marks_of({{"P1", 0, 0, "R"},
                      {"Q1", 50, 0, "S"},
                      {"E", 0.5, 0, "R", "reference"},
                      {"P2", 1.2, 0, "R"},
                      {"P3", 2.401, 0, "R"},
                      {"Alone", 90, 0}})};
  CHECK(look.doubts().empty());
  look.max_spacing = m(1.2);
  CHECK(look.doubts() ==
        std::vector<std::string>{
            "drawing.csv:6:1: point: P2 to P3 on run R: 1.2010 m, wider than max_spacing 1.2000 m"});
}

TEST_CASE("the ends of a run are reference points before its first hanger and behind its last") {
  Look look{marks_of({{"E1", 0, 0, "R", "reference"},
                      {"P1", 0.3, 0, "R"},
                      {"P2", 1, 0, "R"},
                      {"E2", 1.4, 0, "R", "reference"},
                      {"Q", 9, 0, "S"}})};
  look.end_distance = m(0.3);
  CHECK(look.doubts() ==
        std::vector<std::string>{"drawing.csv:4:1: point: P2 on run R stands 400.0 mm from the end at E2, "
                                 "further than end_distance 300.0 mm"});
  look.end_distance = m(0.299);
  CHECK(look.doubts().size() == 2);
  CHECK(tells(look.doubts(), "drawing.csv:3:1: point: P1 on run R stands 300.0 mm from the end at E1"));
  CHECK(told(look.messages(), Grade::notice).empty());  // run S has no end, but another has
}

TEST_CASE("that no point shows where a run ends is told once, unless the runs table gives the ends") {
  Look look{marks_of({{"P1", 0, 0, "R"}, {"P2", 1, 0, "R"}})};
  look.end_distance = m(0.3);
  const auto notices = told(look.messages(), Grade::notice);
  REQUIRE(notices.size() == 1);
  CHECK(
      notices[0].starts_with("job.toml: hangers.end_distance: not checked: no point shows where a run ends"));
  look.runs = {run("R")};
  CHECK(told(look.messages(), Grade::notice).empty());
  look.runs.clear();
  look.end_distance.reset();
  look.max_spacing = m(5);
  CHECK(told(look.messages(), Grade::notice).empty());
  Look alone{marks_of({{"P1", 0, 0}})};  // no run at all
  alone.end_distance = m(0.3);
  CHECK(told(alone.messages(), Grade::notice).empty());
}

TEST_CASE("points nearer than 25 mm are told at the later one; reference points may stand anywhere") {
  Look look{
      marks_of({{"P1", 0, 0}, {"P2", 0.024, 0}, {"P3", 5, 0}, {"P4", 5.025, 0}, {"P5", 9, 0}, {"P6", 9, 0}})};
  CHECK(
      look.doubts() ==
      std::vector<std::string>{
          std::string("drawing.csv:3:1: point: P2 lies 24.0 mm from P1; ") + kNoSource + "is it keyed twice?",
          std::string("drawing.csv:7:1: point: P6 lies on P5; ") + kNoSource + "is it keyed twice?"});
  Look reference{marks_of({{"P1", 0, 0}, {"E1", 0, 0, "", "reference"}})};
  CHECK(reference.doubts().empty());
  Look before{marks_of({{"E1", 0, 0, "", "reference"}, {"P1", 0, 0}})};
  CHECK(before.doubts().empty());
}

TEST_CASE("points that the program placed itself: runs that meet, once a pair of runs, and supports") {
  // Drawn P; hangers of run A, B, B and A, a support of the first hanger.
  Look look{
      marks_of({{"P", 0, 5}, {"A1", 0, 0}, {"B1", 0, 0.01}, {"B2", 1, 0.01}, {"A2", 1, 0}, {"S", 20, 0}})};
  look.runs = {run("A"), run("B")};
  look.marks.drawn = 1;
  look.marks.supports = 5;
  look.marks.from_run = {0, 1, 1, 0, kOfHanger | 1U};
  look.marks.runs_table = table_of("runs.csv", {{"run", ColumnKind::name, true}}, "run\nA\nB\n");
  CHECK(look.doubts() ==
        std::vector<std::string>{
            std::string("runs.csv:3:1: run: B1 lies 10.0 mm from A1; ") + kNoSource +
            "runs A and B meet or overlap (2 pairs of hangers): may one hanger do for both?"});

  const auto with = [&](const std::vector<PlainMark>& rows) {
    Look other = look;
    const JobMarks fresh = marks_of(rows);
    other.marks.table = fresh.table, other.marks.index = fresh.index;
    return other.doubts();
  };
  // The two hangers of run A on one another; run B elsewhere.
  CHECK(tells(with({{"P", 0, 5}, {"A1", 0, 0}, {"B1", 7, 0}, {"B2", 8, 0}, {"A2", 0, 0}, {"S", 20, 0}}),
              "A2 lies on A1; closer than 25 mm (common practice, no source): does run A meet itself?"));
  CHECK(tells(with({{"P", 0, 0.02}, {"A1", 0, 0}, {"B1", 7, 0}, {"B2", 8, 0}, {"A2", 1, 0}, {"S", 20, 0}}),
              "is the point keyed beside its run?"));
  CHECK(tells(with({{"P", 0, 5}, {"A1", 0, 0}, {"B1", 7, 0}, {"B2", 8, 0}, {"A2", 1, 0}, {"S", 8, 0}}),
              "a support of a trapeze: may one hanger do for both?"));
}

TEST_CASE("of many near points ten are told, and how many more there are") {
  std::vector<PlainMark> rows;
  for (int i = 0; i < 12; ++i) {
    rows.push_back({"P" + std::to_string(i), static_cast<double>(i), 0});
    rows.push_back({"Q" + std::to_string(i), static_cast<double>(i), 0.01});
  }
  const Look look{marks_of(rows)};
  const Messages messages = look.messages();
  CHECK(messages.doubts() == 12);
  CHECK(told(messages, Grade::doubt).size() == Messages::kDoubtsKept + 1);
}

TEST_CASE("a kind spelled nearly like a known one is told at its cell, a kind of the drawing's own is not") {
  Look look{marks_of({{"P1", 0, 0, "", "hanger"},
                      {"P2", 1, 0, "", "Hangar"},
                      {"P3", 2, 0, "", "sleeve"},
                      {"P4", 3, 0, "", "Hangar"},
                      {"P5", 4, 0, "", "reference"},
                      {"P6", 5, 0, "", "Reference"}})};
  CHECK(
      look.doubts() ==
      std::vector<std::string>{
          "drawing.csv:3:25: kind: \"Hangar\" of 2 points is no known kind and counts as a hanger; if hanger "
          "is meant, write it so, in small letters",
          "drawing.csv:7:25: kind: \"Reference\" of 1 point is no known kind and counts as a hanger; if "
          "reference is meant, write it so, in small letters"});
}

TEST_CASE("points beyond the ties are told where the fit is worse there by a fifth; not without a place") {
  // Ties at (0, 0), (10, 0), (0, 10), (10, 10); the azimuth is good to 1e-3 rad about (5, 5), the place
  // exact.
  Look look{marks_of({{"In", 5, 5}, {"Edge", 10, 10}, {"Near", 13, 5}, {"Far", 5, 25}})};
  const FittedTransform about{claim({.drawing_centre = xy(5, 5),
                                     .site_centre = at(105, 205),
                                     .azimuth_x = Azimuth::degrees(90),
                                     .scale = 1,
                                     .mirrored = false}),
                              {{{}, {}, {0, 0, 1e-6, 0}, {}}}};
  for (const auto& [x, y] : {std::pair{0., 0.}, {10., 0.}, {0., 10.}, {10., 10.}})
    look.ties.push_back(tie("T", x, y, at(100 + y, 200 + x)));
  look.ties_table = table_of("ties.csv", {{"mark", ColumnKind::name, true}}, "mark\nT\n");
  look.placed = Placed{SitePlace::by_fit, BaselineResult{}, {}, about, {}, {}, {}};
  // 20 m from the middle the ellipse is 2.4477 * 20 mm, at a corner of the ties 2.4477 * 7.071 mm (95 % of
  // two degrees of freedom: sqrt(5.9915)).
  CHECK(
      look.doubts() ==
      std::vector<std::string>{
          "ties.csv: baselines: 2 points lie outside the extent of the ties, Far the farthest, by 15.0000 m: "
          "the 95 % ellipse grows to 49.0 mm there, at most 17.3 mm among the ties; find a tie out there"});

  look.placed->baseline.reset();  // a signed fit without ties, or none
  CHECK(look.doubts().empty());
  look.placed.reset();
  CHECK(look.doubts().empty());

  const auto farthest_at = [&](double y) {
    Look other = look;
    const JobMarks fresh = marks_of({{"In", 5, 5}, {"P", 5, y}});
    other.marks = fresh;
    other.placed = Placed{SitePlace::by_fit, BaselineResult{}, {}, about, {}, {}, {}};
    return other.doubts();
  };
  CHECK(farthest_at(10).empty());        // on the edge
  CHECK(farthest_at(5 + 8.48).empty());  // 1.2 * 7.071 is 8.485
  CHECK(tells(farthest_at(5 + 8.49), "1 point lies outside the extent of the ties, P the farthest"));
}
