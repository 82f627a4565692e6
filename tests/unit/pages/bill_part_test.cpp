#include <doctest/doctest.h>

#include <string>

#include "pages/parts.h"
#include "unit/stages/plain_overhead.h"

using namespace deckmark;
using namespace plain;

namespace {

PlainOverhead runs(std::size_t n) {
  PlainOverhead o;
  std::vector<StatedRun> rows;
  for (std::size_t i = 1; i <= n; ++i)
    rows.push_back(line("R" + std::to_string(i), 0, static_cast<double>(i), 3, static_cast<double>(i)));
  o.runs(std::move(rows));
  return o;
}
BillFound found(std::size_t n) {
  BillFound out;
  out.runs = n;
  out.held.is_judged = true;
  out.held.lacks.resize(n + 1);
  return out;
}

}  // namespace

TEST_CASE("the bill in words: runs that cannot begin first, then what is short, then what is too much") {
  BillFound f = found(3);
  f.held.parts = {{"CLIP-1", PartFrom::needs, 24, 24, 20, 1, 5, {1, 3}},
                  {"BAR", PartFrom::needs, 3, 3, 3, 0, 0, {}},
                  {"ODD", PartFrom::nothing, 0, 2, 2, 1, 0, {}},
                  {"R2-P1", PartFrom::pieces, 2, 2, 1, 0, 1, {1}}};
  f.held.lacks[1] = {{0, 3}, {3, 1}};
  f.held.lacks[3] = {{0, 2}};
  CHECK(bill_part(runs(3).job, &f) ==
        "RUNS THAT CANNOT BEGIN: 1 of 3, for want of parts\n"
        "  R2: lacks 3 CLIP-1, 1 R2-P1\n"
        "  hangers of no run: lack 2 CLIP-1\n"
        "  may begin:\n"
        "    R1, R3\n"
        "SHORT\n"
        "  CLIP-1: drawing 24, bill 24, arrived 20, damaged 1, short 5\n"
        "  R2-P1: drawing 2, bill 2, arrived 1, damaged 0, short 1\n"
        "MORE THAN THE DRAWING NEEDS\n"
        "  ODD: drawing 0, bill 2, arrived 2, damaged 1, too many 1\n");
  CHECK(bill_part(runs(3).job, &f, 6) ==
        "RUNS THAT CANNOT BEGIN: 1 of 3, for want of parts\n"
        "  R2: lacks 3 CLIP-1, 1 R2-P1\n"
        "  hangers of no run: lack 2 CLIP-1\n"
        "SHORT\n"
        "  CLIP-1: drawing 24, bill 24, arrived 20, damaged 1, short 5\n"
        "  R2-P1: drawing 2, bill 2, arrived 1, damaged 0, short 1\n");
}

TEST_CASE("the bill in words: by the bill alone no run may begin, and all may where nothing is short") {
  BillFound f = found(2);
  f.held.parts = {{"CLIP-1", PartFrom::needs, 24, 20, {}, {}, 4, {1}}};
  f.held.lacks[1] = {{0, 4}};
  CHECK(bill_part(runs(2).job, &f) ==
        "RUNS THAT CANNOT BEGIN: 1 of 2, for want of parts, by the bill: nothing says what arrived\n"
        "  R2: lacks 4 CLIP-1\n"
        "  have all their parts on the bill:\n"
        "    R1\n"
        "SHORT\n"
        "  CLIP-1: drawing 24, bill 20, short 4\n");
  f = found(2);
  f.held.parts = {{"CLIP-1", PartFrom::needs, 24, 24, {}, {}, 0, {}}};
  CHECK(bill_part(runs(2).job, &f) ==
        "RUNS THAT CANNOT BEGIN: none of 2, by the bill: nothing says what arrived\n");
  f.held.parts = {{"CLIP-1", PartFrom::needs, 24, {}, 24, 0, 0, {}}};
  CHECK(bill_part(runs(2).job, &f) == "RUNS THAT CANNOT BEGIN: none of 2; all may begin\n");
}

TEST_CASE("the bill in words: nothing where nothing is judged; of many the screen has a few") {
  CHECK(bill_part(runs(1).job, nullptr).empty());
  BillFound f = found(1);
  f.held.is_judged = false;
  CHECK(bill_part(runs(1).job, &f).empty());
  f = found(9);
  for (std::size_t r = 0; r < 9; ++r) {
    f.held.parts.push_back({"C" + std::to_string(r), PartFrom::needs, 2, {}, 0, 0, 2, {r}});
    f.held.lacks[r] = {{r, 2}};
  }
  CHECK(bill_part(runs(9).job, &f, 5) ==
        "RUNS THAT CANNOT BEGIN: 9 of 9, for want of parts\n"
        "  R1: lacks 2 C0\n"
        "  R2: lacks 2 C1\n"
        "  R3: lacks 2 C2\n"
        "  and more: see short.csv\n");
  CHECK(bill_part(runs(9).job, &f, 2) ==
        "RUNS THAT CANNOT BEGIN: 9 of 9, for want of parts\n"
        "  and more: see short.csv\n");
  CHECK(bill_part(runs(9).job, &f, 20).find("short 2\n") != std::string::npos);
  CHECK(bill_part(runs(9).job, &f, 20).find("more") == std::string::npos);
  CHECK(bill_part(runs(9).job, &f).find("R9: lacks 2 C8") != std::string::npos);
}
