#include "report/changes_text.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

using namespace deckmark;

namespace {

Length mm(double v) { return Length::millimetres(v); }
Vec<Drawing> by(double x, double y) { return {{.x = mm(x), .y = mm(y)}}; }

std::string text_of(const std::vector<ChangeLine>& lines, std::size_t points = 480,
                    std::size_t most = kChangesTold) {
  return changes_text(lines, {7, 4, "the last of revision B", points}, LengthUnit::millimetre, most);
}
const std::string kHead = "CHANGES since issue 4, the last of revision B\n";

ChangeLine refit(std::uint32_t number, double x) {
  return {number, "P", Change::refit, What::floor, by(x, 0)};
}

}  // namespace

TEST_CASE("the first issue counts its points") {
  CHECK(changes_text({}, {1, 0, "", 480}, LengthUnit::metre, 60) ==
        "CHANGES\n  first issue: all 480 points are new\n");
  CHECK(changes_text({}, {1, 0, "", 1}, LengthUnit::metre, 60) ==
        "CHANGES\n  first issue: the point is new\n");
}

TEST_CASE("no change is never told alone: against which issue, and to how much") {
  CHECK(text_of({}) ==
        kHead + "  no mark, deck point, bracket or cut lies over 1 mm from where it was told\n");
  CHECK(
      changes_text({}, {7, 4, "", 1}, LengthUnit::metre, 60) ==
      "CHANGES since issue 4\n  no mark, deck point, bracket or cut lies over 1 mm from where it was told\n");
}

TEST_CASE("each change in its words") {
  struct Case {
    ChangeLine line;
    std::string want;
  };
  for (const Case& c :
       {Case{{1001, "P1", Change::moved, What::floor, by(3, -4)}, "moved by 5.0 mm (dx 3.0, dy -4.0 mm)"},
        Case{{1001, "P1", Change::fresh}, "new"}, Case{{1001, "P1", Change::dropped}, "dropped"},
        Case{{1001, "P1", Change::returned}, "returned"},
        Case{{1001, "P1", Change::renamed, What::floor, {}, {}, "OLD", 990}, "renamed: was OLD, number 990"},
        Case{{1001, "P1", Change::renamed, What::floor, {}, {}, "OLD", 1001}, "renamed: was OLD"},
        Case{{1001, "P1", Change::fresh, What::deck}, "deck new"},
        Case{{1001, "P1", Change::gone, What::bracket}, "bracket gone"},
        Case{{1001, "P1", Change::raised, What::deck, {}, mm(250)}, "deck raised by 250.0 mm"},
        Case{{1001, "P1", Change::lowered, What::bracket, {}, mm(-12.5)}, "bracket lowered by 12.5 mm"},
        Case{{1001, "P1", Change::shorter, What::cut, {}, mm(-3)}, "cut shorter by 3.0 mm"}}) {
    CAPTURE(c.want);
    CHECK(text_of({c.line}) == kHead + "       1001 P1                   " + c.want + "\n");
  }
}

TEST_CASE("marks that the fit alone moved are one line, first") {
  struct Case {
    std::vector<ChangeLine> lines;
    std::size_t points;
    std::string want;
  };
  for (const Case& c :
       {Case{{refit(1, 1.2)}, 1, "  all 1 shift 1.2 mm on site\n"},
        Case{{refit(1001, -1.2)}, 3, "  1001 shifts 1.2 mm on site\n"},
        Case{{refit(1, 1.2), refit(2, -1.2)}, 2, "  all 2 shift 1.2 mm on site\n"},
        Case{{refit(1, 3), refit(2, 1.2), refit(3, 2)}, 9, "  3 of 9 shift 1.2 mm to 3.0 mm on site\n"}})
    CHECK(text_of(c.lines, c.points) == kHead + c.want);
  CHECK(text_of({{1, "P1", Change::dropped}, refit(2, 1.2), refit(3, 1.2)}, 2, 1) ==
        kHead + "  all 2 shift 1.2 mm on site\n          1 P1                   dropped\n");
}

TEST_CASE("so many are told one by one, the rest is counted; a refit is none of them") {
  const std::vector<ChangeLine> lines = {
      {1, "A", Change::dropped}, {2, "B", Change::dropped}, refit(3, 2), {4, "D", Change::dropped}};
  const auto ends = [&](std::size_t most) {
    const std::string text = text_of(lines, 9, most);
    return text.substr(text.rfind('\n', text.size() - 2) + 1);
  };
  CHECK(ends(0) == "  and 3 more: see changes.csv\n");
  CHECK(ends(2) == "  and 1 more: see changes.csv\n");
  CHECK(ends(3) == "          4 D                    dropped\n");
}

TEST_CASE("three or more numbers in a row that changed alike are one line") {
  const auto raised = [](std::uint32_t number, double up, What what = What::deck) {
    return ChangeLine{number, "P", Change::raised, what, {}, mm(up)};
  };
  const auto dropped = [](std::uint32_t number) { return ChangeLine{number, "P", Change::dropped}; };
  const auto one = [](const std::string& number, const std::string& words) {
    return std::string(11 - number.size(), ' ') + number + " P                    " + words + "\n";
  };
  struct Case {
    std::string why;
    std::vector<ChangeLine> lines;
    std::string want;
  };
  for (const Case& c : std::vector<Case>{
           {"three", {dropped(101), dropped(102), dropped(103)}, "    101-103 3 marks dropped\n"},
           {"two", {dropped(101), dropped(102)}, one("101", "dropped") + one("102", "dropped")},
           {"a gap",
            {dropped(101), dropped(102), dropped(104)},
            one("101", "dropped") + one("102", "dropped") + one("104", "dropped")},
           {"another change",
            {dropped(101), dropped(102), {103, "P", Change::fresh}},
            one("101", "dropped") + one("102", "dropped") + one("103", "new")},
           {"least and most",
            {raised(101, 5), raised(102, 51.2), raised(103, 12)},
            "    101-103 3 deck points raised by 5.0 mm to 51.2 mm\n"},
           {"equal",
            {raised(101, 5, What::bracket), raised(102, 5, What::bracket), raised(103, 5, What::bracket)},
            "    101-103 3 brackets raised by 5.0 mm\n"},
           {"another thing",
            {raised(101, 5), raised(102, 5, What::bracket), raised(103, 5)},
            one("101", "deck raised by 5.0 mm") + one("102", "bracket raised by 5.0 mm") +
                one("103", "deck raised by 5.0 mm")},
           {"moves, each on its own",
            {{1, "P", Change::moved, What::floor, by(3, -4)},
             {2, "P", Change::moved, What::floor, by(3, -4)},
             {3, "P", Change::moved, What::floor, by(3, -4)}},
            one("1", "moved by 5.0 mm (dx 3.0, dy -4.0 mm)") +
                one("2", "moved by 5.0 mm (dx 3.0, dy -4.0 mm)") +
                one("3", "moved by 5.0 mm (dx 3.0, dy -4.0 mm)")}}) {
    CAPTURE(c.why);
    CHECK(text_of(c.lines) == kHead + c.want);
  }
  // A line is a line, however many it tells.
  CHECK(text_of({dropped(101), dropped(102), dropped(103), dropped(109)}, 480, 1) ==
        kHead + "    101-103 3 marks dropped\n  and 1 more: see changes.csv\n");
}
