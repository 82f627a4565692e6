#include "stages/along_runs.h"

#include <doctest/doctest.h>

#include <numbers>

#include "unit/stages/plain.h"

using namespace plain;

namespace {

StatedRun stated_run(std::string name) {
  return {std::move(name), StatedRun::Kind::line, xy(0, 0), xy(1, 0), std::nullopt, std::nullopt};
}
RunFound run_on(std::optional<Path> path) {
  const Length length = path.value().length();
  return {*path, {length, false, m(1), m(0), {}, {}, {}}, {}, {}, false};
}

/// The last marks are supports, each of the hanger that is named.
JobMarks with_supports(const std::vector<PlainMark>& rows, const std::vector<std::uint32_t>& of) {
  JobMarks marks = marks_of(rows);
  marks.drawn = marks.supports = rows.size() - of.size();
  for (const std::uint32_t hanger : of) marks.from_run.push_back(kOfHanger | hanger);
  return marks;
}

}  // namespace

TEST_CASE("along runs known by their points alone: the straight joins from the first point") {
  const JobMarks marks =
      marks_of({{"P1", 0, 0, "R"}, {"Q", 100, 0}, {"P2", 3, 4, "R"}, {"S1", 9, 9, "S"}, {"P3", 3, 10, "R"}});
  const auto along = along_runs(marks, {}, {});
  REQUIRE(along.size() == 5);
  CHECK(along[0]->metres() == doctest::Approx(0));
  CHECK_FALSE(along[1].has_value());
  CHECK(along[2]->metres() == doctest::Approx(5));
  CHECK(along[3]->metres() == doctest::Approx(0));
  CHECK(along[4]->metres() == doctest::Approx(11));
}

TEST_CASE("along a run of the runs table: feet on its line from the first hanger, whatever the order") {
  // The line goes from x = 10 down to 0; R2 stands first in the runs table, and second among the marks.
  const JobMarks marks = with_supports(
      {{"B", 2, -0.3, "R1"}, {"A", 7, 0.3, "R1"}, {"C", 0, 3, "R2"}, {"D", 0, 4, "R2"}, {"A-a", 9, 1, "R1"}},
      {1});
  Overhead overhead;
  overhead.runs.push_back(run_on(Path::line(xy(0, 2), xy(0, 8))));
  overhead.runs.push_back(run_on(Path::line(xy(10, 0), xy(0, 0))));
  const std::vector<StatedRun> runs{stated_run("R2"), stated_run("R1")};
  const auto along = along_runs(marks, overhead, runs);
  CHECK(along[0]->metres() == doctest::Approx(5));  // not 5.036, the straight join
  CHECK(along[1]->metres() == doctest::Approx(0));
  CHECK(along[2]->metres() == doctest::Approx(0));
  CHECK(along[3]->metres() == doctest::Approx(1));
  CHECK(along[4]->metres() == doctest::Approx(-2));  // its foot before the first hanger; it is none itself

  const std::uint32_t r1 = marks->runs.words().find("R1").value(),
                      r2 = marks->runs.words().find("R2").value();
  CHECK(line_of_run(marks, overhead, runs, r1) == &overhead.runs[1].path);
  CHECK(line_of_run(marks, overhead, runs, r2) == &overhead.runs[0].path);
  CHECK(line_of_run(marks, overhead, runs, 0) == nullptr);
}

TEST_CASE("on a ring a support before the first hanger stands behind the last") {
  // A circle of radius 5 about 0, counter-clockwise from (5, 0); hangers at 90 and 180 degrees.
  const double at45 = 5 / std::numbers::sqrt2;
  const JobMarks marks =
      with_supports({{"H1", 0, 5, "R"}, {"H2", -5, 0, "R"}, {"H1-a", at45, at45, "R"}}, {0});
  Overhead overhead;
  overhead.runs.push_back(run_on(Path::ring(xy(5, 0), xy(-5, 0))));
  const auto along = along_runs(marks, overhead, {stated_run("R")});
  const double quarter = 5 * std::numbers::pi / 2;
  CHECK(along[0]->metres() == doctest::Approx(0));
  CHECK(along[1]->metres() == doctest::Approx(quarter));
  CHECK(along[2]->metres() == doctest::Approx(3.5 * quarter));
}

TEST_CASE("a support of a run known by its points has its foot beside its own hanger") {
  // The run turns back on itself 1 m to the side: the foot nearest to P4's support lies at P4, not at P1.
  JobMarks marks = marks_of({{"P1", 0, 0, "R"},
                             {"P2", 10, 0, "R"},
                             {"P3", 10, 1, "R"},
                             {"P4", 0, 1, "R"},
                             {"O1", 50, 0, "O"},
                             {"G1", 60, 0, "T"},
                             {"P4-a", 0.2, 0.4, "R"},
                             {"O1-a", 51, 0, "O"}});
  marks.drawn = 5;
  marks.supports = 6;
  marks.from_run = {0, kOfHanger | 3U, kOfHanger | 4U};
  Overhead overhead;
  overhead.runs.push_back(run_on(Path::line(xy(60, 0), xy(70, 0))));
  const auto along = along_runs(marks, overhead, {stated_run("T")});
  CHECK(along[3]->metres() == doctest::Approx(21));
  CHECK(along[5]->metres() == doctest::Approx(0));
  CHECK(along[6]->metres() == doctest::Approx(20.8));
  CHECK_FALSE(along[7].has_value());  // one point has no way along
}

TEST_CASE("two points are a way along") {
  const JobMarks marks = with_supports({{"P1", 0, 0, "R"}, {"P2", 0, 2, "R"}, {"P2-a", 1, 2.5, "R"}}, {1});
  CHECK(along_runs(marks, {}, {})[2]->metres() == doctest::Approx(2.5));
}

TEST_CASE("marks of a run are brought into the order along it; feet a hair apart keep theirs") {
  const std::vector<std::optional<Length>> along{m(3), std::nullopt, m(1.0000001), m(1.0000004), m(2)};
  std::vector<std::uint32_t> marks{0, 1, 3, 2, 4};
  sort_along(marks, along);
  CHECK(marks == std::vector<std::uint32_t>{3, 2, 4, 0, 1});
}

TEST_CASE("the straight drop is of hangers that go straight up, and a trapeze takes its place") {
  PlainLaid laid = laid_of(
      {{"H", 0, 0, "", "", 2.5}, {"REF", 1, 0, "", "reference"}, {"T", 2, 0}, {"N", 3, 0}, {"D", 4, 0}});
  laid.floor = Elevation::metres(1);
  laid.attach_height = m(3);
  laid.put_deck(5.25);
  laid.marks.bridged = {0, 0, 1, 1, 0};
  laid.overhead.trapezes = {{2, {0, std::nullopt, m(0), m(0), false}, 5U, 6U},
                            {3, {0, std::nullopt, m(0), m(0), false}, std::nullopt, std::nullopt}};
  const LaidOut view = laid.view();
  CHECK(straight_drop(view, 0)->metres() == doctest::Approx(1.75));
  CHECK_FALSE(straight_drop(view, 1).has_value());
  CHECK_FALSE(straight_drop(view, 2).has_value());
  CHECK(straight_drop(view, 4)->metres() == doctest::Approx(1.25));
  CHECK(in_place_of_drop(laid.marks, laid.overhead, 0) == "");
  CHECK(in_place_of_drop(laid.marks, laid.overhead, 1) == "");
  CHECK(in_place_of_drop(laid.marks, laid.overhead, 2) == "trapeze -a -b");
  CHECK(in_place_of_drop(laid.marks, laid.overhead, 3) == "no support");
}
