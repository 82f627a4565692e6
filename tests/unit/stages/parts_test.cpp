#include "stages/parts.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "unit/stages/plain_overhead.h"

using namespace deckmark;
using namespace plain;
using Strings = std::vector<std::string>;

namespace {

Strings words(const std::vector<PartLine>& parts) {
  Strings out;
  for (const PartLine& p : parts)
    out.push_back(std::string(p.part) + " " + std::to_string(p.count) +
                  (p.length ? " " + fmt::format("{:g}", p.length->metres()) : ""));
  return out;
}
Strings parts(const Staged<Hung>& hung, const CutsFound* cuts = nullptr, const CutOptions& options = {}) {
  return words(parts_of(hung.value->marks, hung.value->overhead, cuts, options));
}

}  // namespace

TEST_CASE("parts: hangers that hang from the deck; nothing else where there is nothing else") {
  CHECK(parts(PlainOverhead{}.hung({{"P1", 0, 0}, {"P2", 1, 0}, {"R", 2, 0, "", "reference"}})) ==
        Strings{"hanger 2"});
}

TEST_CASE(
    "parts: a bridged hanger is none; its trapeze and supports are, and none where none finds a place") {
  PlainOverhead o;
  o.job.trapezes.reach = m(0.5);
  o.obstructions(rectangle("D", 0.4, -1, 1.2, 1));
  // P1 stands 0.6 m from one side, beyond reach; P2 and P3 are bridged; P4 hangs.
  const auto hung = o.hung({{"P1", 1, 0}, {"P2", 0.8, 0}, {"P3", 0.8, 0.5}, {"P4", 3, 0}});
  CHECK(parts(hung) == Strings{"hanger 1", "support 4", "trapeze 2"});
  CutsFound cuts;
  cuts.marks = {3, 4, 5, 6, 7};
  cuts.cuts = {m(1.5), m(1), m(1.25), std::nullopt, m(0.5)};
  cuts.list.pieces.resize(2, {{}, m(0)});
  CutOptions options;
  options.stock = m(3);
  CHECK(parts(hung, &cuts, options) == Strings{"hanger 1 1.5", "support 4 2.75", "trapeze 2", "stock 2 6"});
  cuts.cuts[0] = std::nullopt;
  CHECK(parts(hung, &cuts, options)[0] == "hanger 1");
}

TEST_CASE("parts of runs: joints, ends that are no corners, crossings, corners, pieces with their length") {
  PlainOverhead o;
  o.job.hangers.joint_every = m(3);
  // R1 and R2 meet in a corner at (4, 0), R3 crosses R1 at (2, 0); O1 has no ends.
  o.runs({line("R1", 0, 0, 4, 0), line("R2", 4, 0, 4, 2), line("R3", 2, -1, 2, 1),
          ring("O1", xy(20, 0), xy(21, 0))});
  // Pieces: 3 + 1, 2, 2, 3 + 0.1416; joints: one on R1, two round the ring.
  CHECK(parts(o.hung()) == Strings{"hanger 15", "joint 3", "end 4", "crossing 1", "corner 1",
                                   "piece 6 11.1416", "end-left 2", "end-right 2"});
}

TEST_CASE("parts of runs: three runs that end in one place have three ends there, each taken once") {
  PlainOverhead o;
  o.runs({line("R1", 0, 0, 4, 0), line("R2", 4, 0, 4, 2), line("R3", 4, 0, 6, -1)});
  const auto p = parts(o.hung());
  CHECK(p[2] == "end 3");
  CHECK(p[4] == "corner 3");
}

TEST_CASE(
    "parts are counted with runs, obstructions or cuts; pieces are marked with pieces, or joint_every on "
    "runs") {
  PlainOverhead o;
  CHECK_FALSE(counts_parts(o.job));
  o.job.hangers.joint_every = m(3);
  CHECK_FALSE(has_pieces(o.job));
  o.job.cut.bottom = mm(50);
  CHECK(counts_parts(o.job));
  o.job.cut = {};
  o.obstructions(rectangle("D", 0, 0, 1, 1));
  CHECK(counts_parts(o.job));
  CHECK_FALSE(has_pieces(o.job));
  PlainOverhead runs;
  runs.runs({line("R1", 0, 0, 4, 0)});
  CHECK(counts_parts(runs.job));
  CHECK_FALSE(has_pieces(runs.job));
  runs.job.hangers.joint_every = m(3);
  CHECK(has_pieces(runs.job));
  PlainOverhead pieces;
  pieces.pieces({{"K1", "R1", m(2)}});
  CHECK(has_pieces(pieces.job));
  CHECK_FALSE(counts_parts(pieces.job));
}

namespace {

/// `hanger 3 end-left 1`: what is counted on a run, or behind the last run on none.
std::string counted(const PlaceCounts& places) {
  std::string out;
  for (std::size_t i = 0; i < kPartPers; ++i)
    if (places[i] != 0)
      out += (out.empty() ? "" : " ") + std::string(kPartPerWords[i]) + " " + fmt::format("{:g}", places[i]);
  return out;
}

}  // namespace

TEST_CASE("places of runs: hangers by the run that they name, ends that meet nothing, corners, crossings") {
  PlainOverhead o;
  o.job.hangers.joint_every = m(3);
  // R1 and R2 meet in a corner at (4, 0); R3 crosses R1 at (2, 0); R4 ends on R2; O1 has no ends.
  o.runs({line("R1", 0, 0, 4, 0), line("R2", 4, 0, 4, 2), line("R3", 2, -1, 2, 1), line("R4", 4, 1, 6, 1),
          ring("O1", xy(20, 0), xy(21, 0))});
  // A stands on R1, B names R1 and lies off it; C names no run that there is; R is a reference.
  const auto hung = o.hung({{"A", 3.5, 0, "r1"},
                            {"B", 9, 9, "R1"},
                            {"C", 9, 8, "X"},
                            {"D", 9, 7},
                            {"R", 9, 6, "R2", "reference"}});
  const auto places = place_counts(o.job, hung.value->marks, hung.value->overhead);
  REQUIRE(places.size() == 6);
  CHECK(counted(places[0]) == "hanger 7 joint 1 end-left 1 corner-outside 1 metre 4 piece 2");
  CHECK(counted(places[1]) == "hanger 3 end-right 1 metre 2 piece 1");
  CHECK(counted(places[2]) ==
        "hanger 3 end-left 1 end-right 1 through-crossing 1 crossing 1 metre 2 piece 1");
  CHECK(counted(places[3]) == "hanger 3 end-right 1 through-crossing 1 crossing 1 metre 2 piece 1");
  CHECK(counted(places[4]).find("hanger 4 joint 2 metre 3.14159 piece 2") == 0);
  CHECK(counted(places[5]) == "hanger 2");
}

TEST_CASE("places of runs: a hanger on a trapeze counts, and its supports do not") {
  PlainOverhead o;
  o.runs({line("R1", 0, 0, 4, 0)}).obstructions(rectangle("D", 1.9, -0.2, 2.1, 0.2));
  const auto hung = o.hung();
  REQUIRE(hung.value->marks.size() == 7);
  CHECK(counted(place_counts(o.job, hung.value->marks, hung.value->overhead)[0]).find("hanger 5 ") == 0);
}

TEST_CASE(
    "pieces that hang: those of the table, or those that joint_every makes, with their run and length") {
  PlainOverhead o;
  o.runs({line("R1", 0, 0, 4, 0), line("R2", 0, 5, 3, 5)}).pieces({{"A", "r2", m(3)}, {"B", "R1", m(4)}});
  auto hung = o.hung();
  auto pieces = pieces_hung(o.job, hung.value->overhead);
  REQUIRE(pieces.size() == 2);
  CHECK(pieces[0].need.piece == "A");
  CHECK(pieces[0].need.run == 1);
  CHECK(pieces[0].need.count == 1);
  CHECK(pieces[0].lengths == std::vector{m(3), m(3)});
  // A pair has two of each, and longer ones at the outside of a corner: 0.1 m at 90 degrees.
  PlainOverhead pair;
  pair.job.hangers.separation = m(0.2);
  pair.runs({line("R1", 0, 0, 4, 0), line("R2", 4, 0, 4, 3)}).pieces({{"A", "R2", m(3)}, {"B", "R1", m(4)}});
  hung = pair.hung();
  pieces = pieces_hung(pair.job, hung.value->overhead);
  REQUIRE(pieces.size() == 2);
  CHECK(pieces[0].need.count == 2);
  REQUIRE(pieces[0].lengths.size() == 3);
  CHECK(pieces[0].lengths[0].metres() == doctest::Approx(2.9));
  CHECK(pieces[0].lengths[1].metres() == doctest::Approx(3.1));
  const auto places = place_counts(pair.job, hung.value->marks, hung.value->overhead);
  CHECK(counted(places[0]) ==
        "hanger 5 end-left 1 end-right 1 corner-inside 1 corner-outside 1 metre 8 piece 2");
  CHECK(counted(places[1]) == "hanger 4 end-left 1 end-right 1 metre 6 piece 2");
  // A piece that finds no place hangs nowhere and is no need of any run.
  PlainOverhead spare;
  spare.runs({line("R1", 0, 0, 4, 0)}).pieces({{"A", "R1", m(4)}, {"B", "R1", m(1)}});
  hung = spare.hung();
  pieces = pieces_hung(spare.job, hung.value->overhead);
  REQUIRE(pieces.size() == 1);
  CHECK(pieces[0].need.piece == "A");
  CHECK(pieces[0].need.count == 1);
  PlainOverhead every;
  every.job.hangers.joint_every = m(3);
  every.runs({line("R1", 0, 0, 4, 0)});
  hung = every.hung();
  pieces = pieces_hung(every.job, hung.value->overhead);
  REQUIRE(pieces.size() == 2);
  CHECK(pieces[1].need.piece == "R1/2");
  CHECK(pieces[1].need.run == 0);
  CHECK(pieces[1].lengths[0].metres() == doctest::Approx(1));
}
