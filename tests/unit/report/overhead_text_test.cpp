#include "report/overhead_text.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "report/pieces.h"

using namespace deckmark;

namespace {

Length m(double v) { return Length::metres(v); }

/// Every line of a text fits the paper.
bool fits(const std::string& text) {
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = text.find('\n', at);
    if (end == std::string::npos || shown_width(text.substr(at, end - at)) > kColumns) return false;
    at = end + 1;
  }
  return true;
}

}  // namespace

TEST_CASE("pieces in words: a line for the label, piece, run, member and length first") {
  const PieceLines pieces{{{"R1-P1",
                            "R1",
                            "left",
                            m(3.6),
                            {{"end", m(0)}, {"1004", m(0.1)}, {"notch R2", m(0.4)}, {"joint", m(3.6)}}},
                           {"R1-P2", "R1", "", m(1.25), {{"1007", m(1)}}, m(0.35), "finish"},
                           {"K9", "R2", "inside", m(2), {}}},
                          3};
  CHECK(pieces_text(pieces, LengthUnit::metre) ==
        "PIECES: lines for labels. Cut, then mark from the piece's start, in m\n"
        "  R1-P1 on R1 left, 3.600: 0.000 end, 0.100 1004, 0.400 notch R2, 3.600 joint\n"
        "  R1-P2 on R1, 1.250: from 1.600 cut 0.350 off its finish, 1.000 1007\n"
        "  K9 on R2 inside, 2.000\n");
  CHECK(pieces_text({}, LengthUnit::metre).empty());
}

TEST_CASE("pieces in words: long ones go on below, and fit the paper whatever names and unit") {
  PieceLine p{"P1", "R1", "right", Length::inches(141.0625), {}, Length::inches(3), "start"};
  for (int i = 0; i < 6; ++i)
    p.marks.push_back({std::to_string(1004 + i) + " trapeze -a -b", Length::inches(7.5 + 16 * i)});
  CHECK(pieces_text({{p}, 1}, LengthUnit::foot) ==
        "PIECES: lines for labels. Cut, then mark from the piece's start, in feet-inches\n"
        "  P1 on R1 right, 11'-9 1/16\": from 12'-0 1/16\" cut 0'-3\" off its start,\n"
        "    0'-7 1/2\" 1004 trapeze -a -b, 1'-11 1/2\" 1005 trapeze -a -b,\n"
        "    3'-3 1/2\" 1006 trapeze -a -b, 4'-7 1/2\" 1007 trapeze -a -b,\n"
        "    5'-11 1/2\" 1008 trapeze -a -b, 7'-3 1/2\" 1009 trapeze -a -b\n");
  const std::string name(60, 'N');
  p.piece = p.run = name;
  p.member = "outside";
  p.marks.push_back({"crossing " + name, m(3)});
  for (const LengthUnit unit : {LengthUnit::foot, LengthUnit::millimetre, LengthUnit::metre}) {
    const std::string text = pieces_text({{p}, 1}, unit);
    CAPTURE(text);
    CHECK(fits(text));
  }
  // What would not fit beside its head stands below it.
  CHECK(pieces_text({{p}, 1}, LengthUnit::foot).find(", 11'-9 1/16\":\n    from 12'-0 1/16\" cut 0'-3\"") !=
        std::string::npos);
}

TEST_CASE("pieces in words: as many as a person copies, then where the others stand") {
  const PieceLines pieces{std::vector<PieceLine>(kLabels, {"P1", "R1", "", m(2), {{"1004", m(1)}}}), 403};
  const std::string text = pieces_text(pieces, LengthUnit::metre);
  CHECK(text.ends_with("  P1 on R1, 2.000: 1.000 1004\n  and 3 more: see piece-marks.csv\n"));
  CHECK(std::count(text.begin(), text.end(), '\n') == 402);
}

namespace {

HungRunLine run_of(std::string_view kind, std::vector<MemberLine> members) {
  return {"R1", kind, m(8), 3, 0, m(1), {}, {}, {}, std::move(members)};
}

}  // namespace

TEST_CASE("runs in words: what is told of members") {
  struct Row {
    HungRunLine run;
    std::string below;
  };
  for (const Row& r :
       {Row{run_of("line", {{"left", m(7.9), "wall", "joined", HangFirst::from, "R3"},
                            {"right", m(8.1), "wall", "joined", HangFirst::from, "R3"}}),
            "    left 7.900, right 8.100; start wall, finish joined; begin at R3\n"},
        Row{run_of("line", {{"left", m(8), "free", "free", HangFirst::middle},
                            {"right", m(8), "free", "free", HangFirst::middle}}),
            "    left 8.000, right 8.000; both ends free; begin in the middle\n"},
        Row{run_of("ring", {{"inside", m(7), "free", "free", HangFirst::first},
                            {"outside", m(9), "free", "free", HangFirst::second}}),
            "    inside 7.000, outside 9.000; hang the inside one first\n"},
        Row{run_of("line", {{"", m(8), "free", "free", HangFirst::middle}}), ""},
        Row{run_of("line", {{"", m(8.0004), "free", "free", HangFirst::middle}}), ""},
        Row{run_of("line", {{"", m(7.5), "free", "free", HangFirst::middle}}),
            "    its member 7.500; both ends free; begin in the middle\n"},
        Row{run_of("arc", {{"", m(8), "free", "wall", HangFirst::first}}), "    start free, finish wall\n"},
        Row{run_of("line", {}), ""}}) {
    const std::string text = runs_text(std::vector{r.run}, LengthUnit::metre);
    CAPTURE(text);
    // Below the row of the run.
    CHECK(text.substr(text.find("1.000\n") + 6) == r.below);
    CHECK(fits(text));
  }
  const std::string name(60, 'N');
  HungRunLine run = run_of("line", {{"left", m(7.9), "joined", "joined", HangFirst::from, name}});
  run.members.push_back(run.members[0]);
  CHECK(fits(runs_text(std::vector{run}, LengthUnit::foot)));
}

TEST_CASE("crossings in words: corners, T's and crossings, who goes through and is notched") {
  struct Row {
    CrossingLine crossing;
    std::string words;
  };
  const CrossingLine met{"R1", "R2", m(1.5), m(0), Angle::degrees(60), {}, {}, "R1", "R2"};
  CrossingLine corner = met, tee = met, tee_notched = met, notched = met;
  CrossingLine into_single = met, crowded = met;
  corner.mitre = into_single.mitre = crowded.mitre = Angle::degrees(30);
  corner.through = corner.cut = "";
  crowded.is_square = true;
  tee.is_tee = tee_notched.is_tee = tee_notched.is_notched = notched.is_notched = true;
  for (const Row& r :
       {Row{corner, "corner of 60.00 degrees, mitre 30.00"},
        Row{into_single, "corner of 60.00 degrees; members of R2 end on R1"},
        Row{crowded, "corner of 60.00 degrees, all end square"}, Row{tee, "R2 ends on R1 at 60.00 degrees"},
        Row{tee_notched, "R2 ends on R1 at 60.00 degrees; R1 is notched"},
        Row{met, "cross at 60.00 degrees; R1 goes through"},
        Row{notched, "cross at 60.00 degrees; R1 goes through, notched"}})
    CHECK(crossing_words(r.crossing) == r.words);
  CHECK(crossings_text(std::vector{tee}, LengthUnit::metre) ==
        "CROSSINGS AND CORNERS: distances along each run from its start\n"
        "  R1 at 1.500 and R2 at 0.000: R2 ends on R1 at 60.00 degrees\n");
  CHECK(crossings_text(std::vector{notched}, LengthUnit::metre)
            .ends_with("  R1 at 1.500 and R2 at 0.000: cross at 60.00 degrees; R1 goes through, notched\n"));
  const std::string name(60, 'N');
  corner.allowance = Length::inches(15.9375);
  CHECK(fits(crossings_text(std::vector{corner}, LengthUnit::foot)));
  notched.first = notched.second = notched.through = notched.cut = name;
  CHECK(fits(crossings_text(std::vector{notched}, LengthUnit::foot)));
}
