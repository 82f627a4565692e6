// What of members, meetings and pieces is told, from what hangs.
#include "pages/overhead_lines.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "measure/decimal.h"
#include "unit/stages/plain_overhead.h"

using namespace deckmark;
using namespace plain;

namespace {

using Strings = std::vector<std::string>;

/// What hangs, with numbers 1001, 1002, ...
PlainLaid laid_out(const PlainOverhead& overhead) {
  auto hung = overhead.hung();
  REQUIRE(hung.is_there());
  PlainLaid out{.marks = std::move(hung.value->marks), .overhead = std::move(hung.value->overhead)};
  out.map();
  for (std::uint32_t i = 0; i < out.marks.size(); ++i) out.numbers.issue.numbers.push_back(1001 + i);
  return out;
}

/// `K1 on R1 left, 3.900: cut 0.100 off its finish, 0.200 1001`, of every piece.
Strings labels(const PlainOverhead& o) {
  const PlainLaid laid = laid_out(o);
  Strings out;
  for (const PieceLine& p : piece_lines(o.job, laid.view()).lines) {
    out.push_back(label_head(p, LengthUnit::metre) + ":");
    for (const std::string& w : label_words(p, LengthUnit::metre)) out.back() += " " + w + ",";
  }
  return out;
}

/// A pair 0.2 m apart that goes along x from 0 to 4, another up from its finish at (4, 0), ending at a wall.
PlainOverhead corner() {
  PlainOverhead o;
  o.job.hangers.max_spacing = m(4);
  o.job.hangers.separation = m(0.2);
  o.runs({line("R1", 0, 0, 4, 0), line("R2", 4, 0, 4, 3)});
  o.job.runs[1].finish = RunEnd::wall;
  return o;
}

}  // namespace

TEST_CASE("labels of a pair: each member with its own length, its ends by what is there") {
  PlainOverhead o = corner();
  o.pieces({{"K1", "R1", m(2.5)}, {"K2", "R1", m(1.5)}, {"K3", "R2", m(3)}});
  // Left is the inside of the corner.
  CHECK(labels(o) ==
        Strings{"K1 on R1 left, 2.500: 0.000 free end, 0.000 1001, 2.500 joint to K2,",
                "K2 on R1 left, 1.400: 1.400 corner R2,",
                "K1 on R1 right, 2.500: 0.000 free end, 0.000 1001, 2.500 joint to K2,",
                "K2 on R1 right, 1.600: 1.500 1002, 1.600 corner R2,",
                "K3 on R2 left, 2.900: 0.000 corner R1, 2.900 1004, 2.900 end at the wall,",
                "K3 on R2 right, 3.100: 0.000 corner R1, 0.100 1003, 3.100 1004, 3.100 end at the wall,"});
}

TEST_CASE("labels: a piece without a member is cut on both, along a curve by what is its own") {
  PlainOverhead o;
  o.job.hangers.max_spacing = m(20);
  o.job.hangers.separation = m(0.4);
  // A quarter of a circle of radius 4 / pi: 2 m along its line, 2 (1 -+ 0.05 pi) along its members.
  const double r = 4 / std::numbers::pi, s = r / std::sqrt(2.0);
  o.runs({arc("A1", xy(r, 0), xy(s, s), xy(0, r)), line("R1", 5, 0, 9, 0)});
  o.pieces({{"U1", "A1", m(2.5)},
            {"K1", "R1", m(4.25), MemberSide::left, {}, MayCut::start},
            {"K2", "R1", m(4), MemberSide::right}});
  const Strings got = labels(o);
  REQUIRE(got.size() == 4);
  CHECK(got[0].starts_with("U1 on A1 inside, 1.686: from 2.107 cut 0.421 off its finish, 0.000 free end,"));
  CHECK(got[1].starts_with("U1 on A1 outside, 2.314: from 2.893 cut 0.579 off its finish, 0.000 free end,"));
  CHECK(got[2].starts_with("K1 on R1 left, 4.000: from 4.250 cut 0.250 off its start, 0.000 free end,"));
  CHECK(got[3].starts_with("K2 on R1 right, 4.000: 0.000 free end,"));
}

TEST_CASE("labels: a T, a crossing and a ring name what is met there") {
  PlainOverhead o;
  o.job.hangers.max_spacing = m(20);
  o.runs({line("R1", 0, 0, 4, 0), line("R2", 1, 0, 1, 3), line("R3", 3, -1, 3, 1),
          ring("O1", xy(12, 0), xy(10, 0))});
  o.job.runs[0].separation = m(0.2);
  o.job.hangers.joint_every = m(3.2);
  const Strings got = labels(o);
  const auto has = [&](const std::string& label) { return std::ranges::find(got, label) != got.end(); };
  CHECK(
      has("R1/1 on R1 left, 3.200: 0.000 free end, 0.000 1001, 1.000 notch R2, 3.000 notch R3, 3.200 joint "
          "to R1/2,"));
  CHECK(has("R1/1 on R1 right, 3.200: 0.000 free end, 0.000 1001, 3.000 notch R3, 3.200 joint to R1/2,"));
  CHECK(has("R2/1 on R2, 2.900: 0.000 end on R1, 2.900 1004, 2.900 free end,"));
  CHECK(
      has("R3/1 on R3, 2.000: 0.000 free end, 0.000 1005, 0.900 crossing R1, 1.100 crossing R1, 2.000 1006, "
          "2.000 free end,"));
  CHECK(got.back().ends_with("joint to O1/1,"));
}

TEST_CASE("labels: no more than a person copies, all are counted") {
  PlainOverhead o;
  o.job.hangers.max_spacing = m(20);
  o.job.hangers.joint_every = m(0.05);
  o.job.hangers.separation = m(0.2);
  o.runs({line("R1", 0, 0, 12, 0)});
  const PlainLaid laid = laid_out(o);
  const PieceLines got = piece_lines(o.job, laid.view());
  CHECK(got.all == 480);
  REQUIRE(got.lines.size() == kLabels);
  CHECK(got.lines.back().member == "right");
  CHECK(got.lines.back().marks.size() == 1);
}

TEST_CASE("runs and where they meet, from what hangs") {
  const PlainOverhead o = corner();
  const PlainLaid laid = laid_out(o);
  const auto runs = run_lines(o.job, laid.view());
  REQUIRE(runs.size() == 2);
  REQUIRE(runs[1].members.size() == 2);
  CHECK(runs[1].members[0].member == "left");
  CHECK(runs[1].members[0].length.metres() == doctest::Approx(2.9));
  CHECK(runs[1].members[1].length.metres() == doctest::Approx(3.1));
  CHECK(runs[1].members[1].start == "joined");
  CHECK(runs[1].members[1].finish == "wall");
  CHECK(runs[1].members[1].order == HangFirst::middle);
  const auto met = crossing_lines(o.job, laid.overhead);
  REQUIRE(met.size() == 1);
  REQUIRE(met[0].allowance);
  CHECK(met[0].allowance->metres() == doctest::Approx(0.1));
  CHECK_FALSE(met[0].is_tee);

  struct Row {
    std::vector<StatedRun> runs;
    std::optional<Length> separation;
    std::string words;
  };
  const StatedRun along = line("R1", 0, 0, 4, 0), across = line("R2", 2, -1, 2, 1),
                  up = line("R2", 2, 0, 2, 1);
  for (const Row& r : {Row{{along, across}, std::nullopt, "cross at 90.00 degrees; R1 goes through"},
                       Row{{along, across}, m(0.2), "cross at 90.00 degrees; R1 goes through, notched"},
                       Row{{across, along}, m(0.2), "cross at 90.00 degrees; R2 goes through, notched"},
                       Row{{along, up}, std::nullopt, "R2 ends on R1 at 90.00 degrees"},
                       Row{{along, up}, m(0.2), "R2 ends on R1 at 90.00 degrees; R1 is notched"}}) {
    PlainOverhead job;
    job.job.hangers.max_spacing = m(4);
    job.job.hangers.separation = r.separation;
    job.runs(r.runs);
    const PlainLaid there = laid_out(job);
    const auto lines = crossing_lines(job.job, there.overhead);
    REQUIRE(lines.size() == 1);
    CHECK(crossing_words(lines[0]) == r.words);
  }
}
