#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "pages/parts.h"
#include "unit/stages/plain_overhead.h"

using namespace deckmark;
using namespace plain;

namespace {

PlainLaid laid_out(const PlainOverhead& overhead, const std::vector<PlainMark>& drawn = {}) {
  auto hung = overhead.hung(drawn);
  REQUIRE(hung.is_there());
  PlainLaid out{.marks = std::move(hung.value->marks), .overhead = std::move(hung.value->overhead)};
  out.map();
  for (std::uint32_t i = 0; i < out.marks.size(); ++i) out.numbers.issue.numbers.push_back(1001 + i);
  return out;
}
std::string part(const PlainOverhead& overhead, const PlainLaid& laid, const CutsFound* cuts = nullptr) {
  const PlainHead head;
  return overhead_part(head.view(), overhead.job, laid.view(), cuts, nullptr);
}
bool has(const std::string& text, std::string_view line) { return text.find(line) != std::string::npos; }

}  // namespace

TEST_CASE("overhead in words: nothing of a job that has none") {
  CHECK(part({}, laid_of({{"P1", 0, 0}})).empty());
}

TEST_CASE("overhead in words: runs, crossings, pieces and parts, in this order, a blank line between") {
  PlainOverhead o;
  o.job.hangers.max_spacing = m(2);
  o.runs({line("R1", 0, 0, 4, 0), line("R2", 1.5, -1, 1.5, 1)})
      .pieces({{"K1", "R1", m(3)}, {"K2", "R1", m(1)}});
  CHECK(part(o, laid_out(o, {{"P1", 9, 9}})) ==
        "RUNS: lengths in m; space is the widest\n"
        "  run              kind          length  hangers          space\n"
        "  R1               line           4.000        3          2.000\n"
        "  R2               line           2.000        2          2.000\n"
        "\n"
        "CROSSINGS AND CORNERS: distances along each run from its start\n"
        "  R1 at 1.500 and R2 at 1.000: cross at 90.00 degrees; R1 goes through\n"
        "\n"
        "PIECES: lines for labels. Cut, then mark from the piece's start, in m\n"
        "  K1 on R1, 3.000: 0.000 free end, 0.000 1002, 1.500 crossing R2, 2.000 1003,\n"
        "    3.000 joint to K2\n"
        "  K2 on R1, 1.000: 1.000 1004, 1.000 free end\n"
        "\n"
        "PARTS: to hold against the bill of materials\n"
        "        6 hanger\n"
        "        1 joint\n"
        "        4 end\n"
        "        1 crossing\n"
        "        2 piece      4.0000 m in all\n"
        "        2 end-left\n"
        "        2 end-right\n");
}

TEST_CASE("overhead in words: the widest space of a run, its bridged hangers, and where they hang") {
  PlainOverhead o;
  o.job.hangers.max_spacing = m(1), o.job.hangers.joint_every = m(9);
  o.runs({line("R1", 0, 0, 3, 0)}).obstructions(rectangle("D", 0.9, -5, 1.2, 5));
  // Number 1001 is the drawing's own, 2.2 m along R1; R1-02 at 1 is bridged.
  const std::string text = part(o, laid_out(o, {{"P1", 2.2, 0, "R1"}}));
  CHECK(has(text,
            "  R1               line           3.000        4          1.000\n"
            "    and 1 hanger in an obstruction: TRAPEZES below\n"));
  CHECK(has(text,
            "TRAPEZES: hangers whose deck point lies in an obstruction\n"
            "       1003 R1-02            in D                span 0.300, -a to -b\n"));
  CHECK(has(text, "0.000 1002, 1.000 1003 trapeze -a -b,\n    2.000 1004, 2.200 1001,"));
  CHECK(has(text, "        4 hanger\n        2 support\n        1 trapeze\n"));
}

TEST_CASE("overhead in words: a crossing is named by the other run on both") {
  PlainOverhead o;
  o.job.hangers.joint_every = m(9);
  o.runs({line("R1", 0, 0, 4, 0), line("R2", 1.5, -1, 1.5, 1)});
  const std::string text = part(o, laid_out(o));
  CHECK(has(text, "1.500 crossing R2"));
  CHECK(has(text, "1.000 crossing R1"));
}

TEST_CASE(
    "overhead in words: radius, chord and rise of arc and ring, members of a pair, the space over a ring's "
    "start") {
  PlainOverhead o;
  o.job.hangers.max_spacing = m(1.6);
  o.job.hangers.separation = m(0.2);
  // Half a circle of radius 2; a ring of radius 0.5, 3.1416 m round, with two hangers.
  o.runs({arc("A1", xy(2, 20), xy(0, 22), xy(-2, 20)), ring("O1", xy(10.5, 0), xy(9.5, 0)),
          line("R1", 0, 0, 4, 0), line("R2", 4, 0, 4, 2)});
  const std::string text = part(o, laid_out(o));
  CHECK(has(text,
            "  A1               arc            6.283        5          1.571\n"
            "    radius 2.000, chord 4.000, rise 2.000: check on the floor\n"
            "    inside 5.969, outside 6.597; both ends free; hang the inside one first\n"));
  CHECK(has(text,
            "  O1               ring           3.142        2          1.571\n"
            "    radius 0.500, diameter 1.000, rise 0.500: check on the floor\n"
            "    inside 2.513, outside 3.770; hang the inside one first\n"));
  // A corner of 90 degrees: half the separation over the tangent of 45 degrees.
  CHECK(has(text,
            "corner of 90.00 degrees, mitre 45.00\n"
            "    members: the inside one ends 0.100 before the corner, the outside one beyond\n"));
}

TEST_CASE("overhead in words: a run with one hanger has no space, a ring with one has its length") {
  PlainOverhead o;
  o.job.hangers.end_distance = m(0.5);
  o.runs({line("R1", 0, 0, 0.8, 0)});
  CHECK(has(part(o, laid_out(o)), "  R1               line           0.800        1              -\n"));
  o.job.hangers.max_spacing = m(4);
  o.runs({ring("O1", xy(1, 0), xy(0, 0))});
  CHECK(has(part(o, laid_out(o)), "  O1               ring           3.142        1          3.142\n"));
}

TEST_CASE("overhead in words: round a ring the space from the last hanger to the first counts") {
  PlainOverhead o;
  o.runs({ring("O1", xy(1, 0), xy(0, 0))});
  PlainLaid laid = laid_out(o);
  laid.overhead.runs[0].hangers = {{0, m(0.5)}, {1, m(1)}};  // 3.1416 round: 2.1416 behind, 0.5 before
  CHECK(has(part(o, laid), "  O1               ring           3.142        2          2.642\n"));
}

TEST_CASE(
    "overhead in words: what is drawn in the drawing's unit, decks, cuts and parts in that of the site") {
  PlainOverhead o;
  o.job.hangers.joint_every = m(9), o.job.hangers.max_spacing = m(2);
  o.job.cut.top = mm(1);
  o.runs({line("R1", 0, 1, 4, 1), line("R2", 1.5, 0, 1.5, 2)})
      .obstructions(rectangle("D", 1.8, 0.5, 2.2, 5))
      .bays(bay("A", -1, 5, 4));
  PlainLaid laid = laid_out(o);
  laid.decks = Decks{{{Deck::level(Elevation::metres(4))}, {std::nullopt}, true}, {}, {}};
  CutsFound cuts;
  cuts.marks = {0};
  cuts.cuts = {m(1.5)};
  const PlainHead head;
  JobHead words = head.view();
  words.site_unit = LengthUnit::foot;
  const std::string text = overhead_part(words, o.job, laid.view(), &cuts, nullptr);
  for (const char* line :
       {"A                13.1234 ft", "RUNS: lengths in m;", "R1 at 1.500 and R2 at 1.000", "span 0.400, -a",
        "start, in m\n", "CUT LIST: 1 cut in feet-inches", "2 piece      19.6850 ft in all\n"}) {
    CAPTURE(line);
    CHECK(has(text, line));
  }
}

TEST_CASE("overhead in words: bays with their decks at the first corner, and the steps between them") {
  PlainOverhead o;
  o.bays(all<StatedCorner>({bay("A", 0, 5, 4), bay("B", 5, 10, std::nullopt)}));
  PlainLaid laid = laid_out(o, {{"P1", 1, 1}});
  // Rises 10 mm a metre to the east from 5.0 at E 200; B's first corner lies at E 205.
  DeckResult fit = fit_deck(std::vector<DeckShot>{{at(100, 200), Elevation::metres(5)},
                                                  {at(100, 210), Elevation::metres(5.1)},
                                                  {at(106, 200), Elevation::metres(5)}});
  laid.decks = Decks{
      {{Deck::level(Elevation::metres(4)), *fit.deck}, {std::nullopt, fit}, true}, {0}, {{0, 1, m(1.05)}}};
  CHECK(part(o, laid) ==
        "DECK in bays\n"
        "  A                4.0000 m, stated level\n"
        "  B                5.0500 m, plane through 3 shots, at its first corner\n"
        "  step from A to B: up 1.0500 m\n");
  laid.decks->fitted.by_bay = false;
  CHECK(part(o, laid).empty());
  laid.decks = std::nullopt;
  CHECK(part(o, laid).empty());
}

TEST_CASE(
    "overhead in words: cuts by run with the stock that they take; those that are not known are left out") {
  PlainOverhead o;
  o.job.cut.stock = m(3);
  const PlainLaid laid = laid_of({{"P1", 0, 0, "R1"}, {"P2", 1, 0, "R1"}, {"P3", 2, 0}, {"P4", 3, 0, "R1"}});
  CutsFound cuts;
  cuts.marks = {0, 1, 2, 3};
  cuts.drops = {m(1), m(1), m(1), std::nullopt};
  cuts.cuts = {m(1.5), m(1.4), m(1.5), std::nullopt};
  cuts.list.pieces.resize(2, {{}, m(0)});
  cuts.list.lower_bound = 2;
  cuts.list.waste = m(1.6);
  CHECK(part(o, laid, &cuts) ==
        "CUT LIST: 3 cuts in m, count and length\n"
        "  2 stock pieces of 3.000; fewer than 2 cannot do; waste 26.7 % of the length\n"
        "  run R1\n"
        "    1 x 1.500, 1 x 1.400\n"
        "  no run\n"
        "    1 x 1.500\n"
        "  all by length\n"
        "    2 x 1.500, 1 x 1.400\n"
        "\n"
        "PARTS: to hold against the bill of materials\n"
        "        4 hanger     4.4000 m in all\n"
        "        2 stock      6.0000 m in all\n");
  CHECK(part(o, laid) == "PARTS: to hold against the bill of materials\n        4 hanger\n");
  cuts.list = {};
  CHECK_FALSE(has(part(o, laid, &cuts), "stock"));
}
