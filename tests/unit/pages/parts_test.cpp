#include "pages/parts.h"

#include <doctest/doctest.h>

#include <array>
#include <string>
#include <vector>

#include "lift/lift.h"
#include "report/text.h"
#include "report/words.h"
#include "unit/stages/plain.h"

using namespace deckmark;
using namespace plain;

namespace {

/// Every unit is another, so that none can stand for the next.
const std::string kTitle = "Hall", kRevision = "B", kFile = "job.toml";
JobHead head_of(LengthUnit drawing, LengthUnit site, LengthUnit list) {
  return {kTitle, kRevision, kFile, false, drawing, site, list, "site north"};
}

DeckShot shot_at(double northing, double easting, double elevation) {
  return {at(northing, easting), Elevation::metres(elevation)};
}

}  // namespace

TEST_CASE("deck: nothing without a deck, or with one a bay") {
  const JobHead head = head_of(LengthUnit::foot, LengthUnit::metre, LengthUnit::inch);
  PlainLaid laid = laid_of({{"A", 1, 2}});
  CHECK(deck_part(head, laid.view()).empty());
  laid.put_deck(4.5);
  laid.floor = Elevation::metres(0.25);
  CHECK(deck_part(head, laid.view()) ==
        "DECK\n  stated level 4.5000 m\n  floor 0.2500 m (the design floor, not the slab under the mark)\n");
  laid.decks->fitted.by_bay = true;
  CHECK(deck_part(head, laid.view()).empty());
}

TEST_CASE("deck: by shots, how they fit and the way it rises, in the site's unit") {
  const JobHead head = head_of(LengthUnit::foot, LengthUnit::millimetre, LengthUnit::inch);
  PlainLaid laid = laid_of({{"A", 1, 2}});
  laid.put_deck(4);
  // 1 in 10 towards the east
  const std::array<DeckShot, 3> shots{shot_at(0, 0, 4), shot_at(10, 0, 4), shot_at(0, 10, 5)};
  const DeckResult fit = fit_deck(shots);
  laid.decks->fitted.decks[0] = *fit.deck;
  laid.decks->fitted.fits[0] = fit;
  const std::string text = deck_part(head, laid.view());
  CHECK(text.find("plane through 3 shots") != std::string::npos);
  CHECK(text.find("it rises 1:10 towards azimuth 90") != std::string::npos);
  CHECK(text.find("from site north") != std::string::npos);
  CHECK(text.find("floor 0.0 mm") != std::string::npos);
}

TEST_CASE("plumb: floor numbers and names in the order of the deck marks") {
  PlainLaid laid = laid_of({{"A", 1, 2}, {"B", 3, 4}, {"C", 5, 6}});
  laid.put_deck(4);
  Plumbed plumb{{{}, {}}, {2, 0}};
  plumb.rows[0].offset = mm(1), plumb.rows[1].offset = mm(2);
  const LaidOut view = laid.view();
  const auto lines = plumb_lines(view, plumb);
  REQUIRE(lines.size() == 2);
  CHECK(lines[0].number == 1003);
  CHECK(lines[0].point == "C");
  CHECK(lines[0].row == &plumb.rows[0]);
  CHECK(lines[1].number == 1001);
  CHECK(lines[1].point == "A");
  CHECK(lines[1].row == &plumb.rows[1]);

  const JobHead head = head_of(LengthUnit::foot, LengthUnit::millimetre, LengthUnit::inch);
  PlumbOptions options;
  options.tolerance = mm(7);
  CHECK(plumb_part(head, options, view, plumb) == plumb_text(lines, options, LengthUnit::millimetre));
  CHECK(plumb_part(head, options, view, Plumbed{}).empty());
}

TEST_CASE("changes: the first issue counts all points") {
  const JobHead head = head_of(LengthUnit::metre, LengthUnit::foot, LengthUnit::inch);
  PlainLaid laid = laid_of({{"A", 1, 2}, {"B", 3, 4}});
  laid.numbers.issue.changes = {{1001, Change::fresh, 0, kNone32, {}, {}}};
  CHECK(changes_part(head, LedgerTable{}, laid.view()) == "CHANGES\n  first issue: all 2 points are new\n");
}

TEST_CASE(
    "changes: names of today or of the ledger, what moved in the drawing's axes and unit, what was renamed") {
  const JobHead head = head_of(LengthUnit::millimetre, LengthUnit::foot, LengthUnit::inch);
  PlainLaid laid = laid_of({{"A", 1, 2}, {"B", 3, 4}});
  LedgerTable ledger;
  for (const char* name : {"OLD", "GONE"}) ledger.names.push_back(name);
  ledger.numbers = {900, 901};
  const Vec<Drawing> by{{.x = mm(3), .y = mm(-4)}};
  laid.numbers.issue.changes = {{901, Change::dropped, kNone32, 1, {}, {}},
                                {1001, Change::renamed, 0, 0, {}, {}},
                                {1002, Change::moved, 1, 1, by, {}}};
  const std::vector<ChangeLine> lines{{901, "GONE", Change::dropped, std::nullopt, "", 0},
                                      {1001, "A", Change::renamed, std::nullopt, "OLD", 900},
                                      {1002, "B", Change::moved, by, "", 0}};
  CHECK(changes_part(head, ledger, laid.view()) ==
        changes_text(lines, false, 2, LengthUnit::millimetre, kChangesTold));
  const std::string one = changes_part(head, ledger, laid.view(), 1);
  CHECK(one == changes_text(lines, false, 2, LengthUnit::millimetre, 1));
  CHECK(one.ends_with("\n  and 2 more: see changes.csv\n"));
  laid.numbers.issue.changes.clear();
  CHECK(changes_part(head, ledger, laid.view()) == "CHANGES\n  none since the last issue\n");
}

TEST_CASE(
    "check of the loaded list: from the lowest number, by what is listed, at ground scale or in the grid") {
  const JobHead head = head_of(LengthUnit::foot, LengthUnit::inch, LengthUnit::metre);
  PlainLaid laid = laid_of({{"A", 0, 0, "R1"}, {"B", 8, 6, "R2"}, {"C", 0, 1, "R1"}});
  laid.numbers.issue.numbers = {1003, 1001, 1002};
  const LaidOut view = laid.view();
  // From B: to A 8 west, 6 south (they differ by 2); to C 8 west, 5 south (by 3).
  const Azimuth to_c = Azimuth::degrees(180 + 57.99461679);
  CHECK(check_lines(head, view, {}, nullptr) ==
        check_text(1001, 1002, m(9.43398113), to_c, true, LengthUnit::metre, "site north"));
  CHECK(check_lines(head, view, {"r1"}, nullptr) ==
        check_text(1002, 1003, m(1), Azimuth::degrees(180), true, LengthUnit::metre, "site north"));
  const GroundFromGrid grid = claim_ground({{.northing = m(0), .easting = m(0)}}, 0.99);
  CHECK(check_lines(head, view, {}, &grid) == check_text(1001, 1002, m(9.33964132), to_c, true,
                                                         LengthUnit::metre,
                                                         "grid north; a GRID distance, as the lists are"));
}

TEST_CASE("check of the loaded list: marks at one place, and marks that exchanged axes would not show") {
  const JobHead head = head_of(LengthUnit::foot, LengthUnit::inch, LengthUnit::metre);
  const PlainLaid same = laid_of({{"A", 3, 4}, {"B", 3, 4}});
  CHECK(check_lines(head, same.view(), {}, nullptr).find("one place only") != std::string::npos);
  const PlainLaid diagonal = laid_of({{"A", 0, 0}, {"B", 5, 5}});
  CHECK(check_lines(head, diagonal.view(), {}, nullptr) ==
        check_text(1001, 1002, m(7.07106781), Azimuth::degrees(45), false, LengthUnit::metre, "site north"));
}

TEST_CASE("a drawing in feet and inches is told in fractions of an inch, all of a line") {
  const auto line = [](double dx, double dy, LengthUnit unit) {
    const auto in = [](double inches) { return Length::feet(inches / 12); };
    const std::vector<ChangeLine> lines{
        {1, "A", Change::moved, Vec<Drawing>{{.x = in(dx), .y = in(dy)}}, "", 0}};
    const std::string text = changes_text(lines, false, 1, unit, kChangesTold);
    return text.substr(text.rfind(" by ") + 4);
  };
  using U = LengthUnit;
  CHECK(line(9.0 / 16, 0, U::feet_inches) == "0'-0 9/16\" (dx 9/16, dy 0 in)\n");
  CHECK(line(0, -1.5, U::feet_inches) == "0'-1 1/2\" (dx 0, dy -1 1/2 in)\n");
  CHECK(line(-14, 0.03, U::feet_inches) == "1'-2\" (dx -14, dy 1/32 in)\n");  // a hair is not nothing
  CHECK(line(0.56, 0.001, U::feet_inches) == "0'-0 9/16\" (dx 9/16, dy 0 in)\n");
  CHECK(line(0.54, 0, U::foot) == "0.54 in (dx 0.54, dy 0.00 in)\n");  // decimals stay decimals
}

TEST_CASE("what is beyond a limit by less than a sixteenth is told in finer fractions, not in decimals") {
  const auto in = [](double inches) { return Length::feet(inches / 12); };
  const auto beyond = [&in](double value, double limit) {
    return length_words_beyond(in(value), in(limit), LengthUnit::feet_inches);
  };
  CHECK(beyond(149.625, 149.5) == "12'-5 5/8\"");
  CHECK(beyond(149.52, 149.5) == "12'-5 17/32\"");
  CHECK(beyond(149.51, 149.5) == "12'-5 33/64\"");
  CHECK(beyond(149.502, 149.5) == "149.502 in");  // no tape shows it
}
