// The brute geometry itself, on figures worked by hand.
#include <doctest/doctest.h>

#include <cmath>

#include "members_truth.h"

using namespace deckmark_test;

namespace {

StatedRun run_of(const char* name, const char* kind, const RunLine& line, double separation) {
  return {name, kind, line, 2.5, separation, {}, {}, {}, {}};
}
const TrueMember& member(const GroupTruth& truth, std::size_t run, const std::string& name) {
  for (const TrueMember& m : truth.members)
    if (m.run == run && m.name == name) return m;
  FAIL("no member " << name << " of run " << run);
  return truth.members.front();
}

constexpr double kPi = 3.14159265358979323846;

}  // namespace

TEST_CASE("a square corner of two pairs: outside longer, inside shorter by half the separation") {
  // East 4 m, then north 3 m, the second walked towards the corner: a turn to the left.
  RunGroup group;
  group.runs = {run_of("A", "line", RunLine::straight({0, 0}, {4, 0}), 0.4),
                run_of("B", "line", RunLine::straight({4, 3}, {4, 0}), 0.4)};
  const GroupTruth truth = truth_of(group, {});
  REQUIRE(truth.unclear.empty());
  CHECK(member(truth, 0, "left").length() == doctest::Approx(3.8));
  CHECK(member(truth, 0, "right").length() == doctest::Approx(4.2));
  CHECK(member(truth, 1, "right").length() == doctest::Approx(2.8));
  CHECK(member(truth, 1, "left").length() == doctest::Approx(3.2));
  CHECK(member(truth, 1, "left").to == doctest::Approx(3.2));
  REQUIRE(truth.meetings.size() == 1);
  CHECK(truth.meetings[0].angle == doctest::Approx(90));
  auto counts = counts_of(group, truth);
  CHECK(counts["corner-inside"] == 1);
  CHECK(counts["corner-outside"] == 1);
  CHECK(counts["end"] == 4);
  CHECK(counts["end-left left"] == 0);   // A's left finish is in the corner
  CHECK(counts["end-right left"] == 2);  // the starts of A left and B left
  CHECK(counts["end-left right"] == 2);
}

TEST_CASE("a mirrored drawing exchanges the hands of a line") {
  RunGroup group;
  group.runs = {run_of("A", "line", RunLine::straight({0, 0}, {4, 0}), 0.4),
                run_of("B", "line", RunLine::straight({4, 0}, {4, 3}), 0.4)};
  RunsWorld world;
  world.mirrored = true;
  const GroupTruth truth = truth_of(group, world);
  CHECK(member(truth, 0, "right").length() == doctest::Approx(3.8));
  CHECK(member(truth, 0, "left").length() == doctest::Approx(4.2));
}

TEST_CASE("a pair that ends on a pair stops at the nearer member, less half a width") {
  RunGroup group;
  group.runs = {run_of("A", "line", RunLine::straight({0, 0}, {8, 0}), 0.4),
                run_of("B", "line", RunLine::straight({4, 0}, {4, 3}), 0.2)};
  RunsWorld world;
  world.member_width = 0.05;
  const GroupTruth truth = truth_of(group, world);
  REQUIRE(truth.unclear.empty());
  CHECK(member(truth, 1, "left").length() == doctest::Approx(3 - 0.2 - 0.025));
  CHECK(truth.cuts.size() == 2);
  std::vector<double> notches;
  for (const TrueMark& mark : member(truth, 0, "left").marks)
    if (mark.word == "notch") notches.push_back(mark.along);
  REQUIRE(notches.size() == 2);
  CHECK(notches[0] + notches[1] == doctest::Approx(8));
  CHECK(std::abs(notches[0] - notches[1]) == doctest::Approx(0.2));
  CHECK(member(truth, 0, "right").marks.size() == 2);  // its ends alone
}

TEST_CASE("a ring of 4 m radius: its members by their own radius, four meetings with a single line") {
  RunGroup group;
  group.runs = {run_of("A", "ring", RunLine::round({0, 0}, 4, 0, 2 * kPi), 0.4),
                run_of("B", "line", RunLine::straight({-6, 1}, {6, 1}), 0)};
  const GroupTruth truth = truth_of(group, {});
  REQUIRE(truth.unclear.empty());
  CHECK(member(truth, 0, "inside").length() == doctest::Approx(2 * kPi * 3.8));
  CHECK(member(truth, 0, "outside").length() == doctest::Approx(2 * kPi * 4.2));
  CHECK(truth.meetings.size() == 2);
  CHECK(truth.cuts.size() == 4);
  std::vector<double> crossings;
  for (const TrueMark& mark : member(truth, 1, "").marks)
    if (mark.word == "crossing") crossings.push_back(mark.along);
  REQUIRE(crossings.size() == 4);
  for (const double c : crossings) {
    const double off = std::abs(c - 6), inside = std::sqrt(3.8 * 3.8 - 1), outside = std::sqrt(4.2 * 4.2 - 1);
    CHECK(std::min(std::abs(off - inside), std::abs(off - outside)) < 1e-7);
  }
}
