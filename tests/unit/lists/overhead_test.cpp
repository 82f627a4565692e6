#include "lists/overhead.h"

#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

#include "unit/lists/written_text.h"
#include "unit/stages/plain_overhead.h"

using namespace deckmark;
using namespace plain;
using lists_test::written_lines;
using Strings = std::vector<std::string>;

namespace {

/// What hangs, laid out: numbers 1001, 1002, ...
PlainLaid laid_out(const PlainOverhead& overhead, const std::vector<PlainMark>& drawn = {}) {
  auto hung = overhead.hung(drawn);
  REQUIRE(hung.is_there());
  PlainLaid out{.marks = std::move(hung.value->marks), .overhead = std::move(hung.value->overhead)};
  out.map();
  for (std::uint32_t i = 0; i < out.marks.size(); ++i) out.numbers.issue.numbers.push_back(1001 + i);
  return out;
}

}  // namespace

TEST_CASE("hangers.csv: number, point, drop, cut, stock piece; what is not known is empty") {
  const PlainLaid laid = laid_of({{"P1", 0, 0}, {"P2", 1, 0}, {"P3", 2, 0}});
  CutsFound cuts;
  cuts.marks = {0, 2};
  cuts.drops = {m(1.25), std::nullopt};
  cuts.cuts = {m(1.4), std::nullopt};
  cuts.stock_piece = {2U, std::nullopt};
  const LaidOut view = laid.view();
  CHECK(written_lines(*hangers_table(view, cuts, LengthUnit::metre)) ==
        Strings{"number,point,drop (m),cut (m),stock_piece", "1001,P1,1.25000,1.40000,2", "1003,P3,,,"});
  CHECK(written_lines(*hangers_table(view, cuts, LengthUnit::millimetre))[1] == "1001,P1,1250.00,1400.00,2");
}

TEST_CASE("trapeze.csv: hanger, obstruction, two supports and the span; empty where there is none") {
  PlainOverhead o;
  o.job.trapezes.reach = m(0.5);
  // E is bridged along x, F along y.
  o.obstructions(all<StatedCorner>(
      {rectangle("D", 10, 0, 11, 5), rectangle("E", 0.4, -1, 1.2, 1), rectangle("F", 20, 0.4, 25, 1.2)}));
  const PlainLaid laid = laid_out(o, {{"P1", 0.7, 0.25}, {"P2", 1.1, 0}, {"P3", 22, 0.7}});
  const LaidOut view = laid.view();
  CHECK(written_lines(*trapeze_table(view, LengthUnit::metre)) ==
        Strings{"point,obstruction,support1_x (m),support1_y (m),support2_x (m),support2_y (m),span (m)",
                "P1,E,0.40000,0.25000,1.20000,0.25000,0.80000", "P2,E,,,,,",
                "P3,F,22.00000,0.40000,22.00000,1.20000,0.80000"});
}

TEST_CASE("piece-marks.csv: hangers by number, joints, crossings and ends, along piece and run") {
  PlainOverhead o;
  o.job.hangers.max_spacing = m(2);
  o.runs({line("R1", 0, 0, 4, 0), line("R2", 1.5, -1, 1.5, 1)})
      .pieces({{"K1", "R1", m(3)}, {"K2", "R1", m(1)}});
  const PlainLaid laid = laid_out(o, {{"P1", 9, 9}});
  const LaidOut view = laid.view();
  // R1 carries 1002, 1003, 1004 at 0, 2 and 4; R2 has no piece.
  CHECK(written_lines(*piece_table(view, o.job, LengthUnit::metre)) ==
        Strings{"piece,run,mark,along_piece (m),along_run (m),member", "K1,R1,end,0.00000,0.00000,",
                "K1,R1,1002,0.00000,0.00000,", "K1,R1,crossing,1.50000,1.50000,",
                "K1,R1,1003,2.00000,2.00000,", "K1,R1,joint,3.00000,3.00000,", "K2,R1,1004,1.00000,4.00000,",
                "K2,R1,end,1.00000,4.00000,"});
}

TEST_CASE("crossings.csv: runs, place, along each, angle, and at a corner its mitre") {
  PlainOverhead o;
  // R2 goes off from the end of R1 at 120 degrees to it; R3 crosses R1 at 45 degrees.
  o.runs({line("R1", 0, 1, 4, 1), line("R2", 4, 1, 5, 1 + std::sqrt(3.0)), line("R3", 0, 0, 3, 3)});
  const PlainLaid laid = laid_out(o);
  CHECK(written_lines(*crossings_table(laid.overhead, o.job, LengthUnit::metre)) ==
        Strings{"run1,run2,x (m),y (m),along1 (m),along2 (m),angle,mitre,through",
                "R1,R2,4.00000,1.00000,4.00000,0.00000,120.00000,60.00000,",
                "R1,R3,1.00000,1.00000,1.00000,1.41421,45.00000,,R1"});
}

TEST_CASE("parts.csv: part, count and length where one is known") {
  CHECK(written_lines(*parts_table({{"hanger", 12, m(7.5)}, {"joint", 3, {}}}, LengthUnit::foot)) ==
        Strings{"part,count,length (ft),member", "hanger,12,24.60630,", "joint,3,,"});
}

TEST_CASE("the lists of overhead are declared with the columns that they have") {
  for (const OutputSpec* spec : {&kHangersOutput, &kTrapezeOutput, &kPieceMarksOutput, &kMembersOutput,
                                 &kSiteCutsOutput, &kCrossingsOutput, &kPartsOutput}) {
    CAPTURE(spec->name);
    CHECK(spec->name.ends_with(".csv"));
    CHECK_FALSE(spec->when.empty());
    CHECK_FALSE(spec->is_of_survey);
    for (const OutColumn& c : spec->columns) CHECK_FALSE(c.meaning.empty());
  }
  CHECK(kHangersOutput.columns.size() == 5);
  CHECK(kTrapezeOutput.columns.size() == 7);
  CHECK(kPieceMarksOutput.columns.size() == 6);
  CHECK(kCrossingsOutput.columns.size() == 9);
  CHECK(kPartsOutput.columns.size() == 4);
}
