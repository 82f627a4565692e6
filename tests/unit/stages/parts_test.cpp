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
