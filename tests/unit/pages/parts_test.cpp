#include "pages/parts.h"

#include <doctest/doctest.h>

#include <array>
#include <string>
#include <vector>

#include "lift/lift.h"
#include "report/text.h"
#include "report/words.h"
#include "unit/issues/plain_ledger.h"
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

TEST_CASE("deck: where nothing says where north is it rises towards an axis, or between two") {
  JobHead head = head_of(LengthUnit::foot, LengthUnit::millimetre, LengthUnit::inch);
  head.north = "";
  struct Row {
    double north, east;  // rise over 10 m
    const char* want;
    bool mirrored = false;
  };
  // The drawing lies as it is drawn: +X to the east, +Y to the north, or to the south where it is mirrored.
  for (const Row& r :
       {Row{0, 1, "+X"}, Row{0.4, 1, "+X"}, Row{0.43, 1, "+X and +Y"}, Row{-1, 0.43, "+X and -Y"},
        Row{-1, 0.4, "-Y"}, Row{1, -1, "-X and +Y"}, Row{1, 0, "-Y", true}}) {
    CAPTURE(r.want);
    PlainLaid laid = laid_of({{"A", 1, 2}});
    laid.placed.fit = {drawing_is_site(r.mirrored), {}};
    laid.put_deck(4);
    const std::array<DeckShot, 3> shots{shot_at(0, 0, 4), shot_at(10, 0, 4 + r.north),
                                        shot_at(0, 10, 4 + r.east)};
    const DeckResult fit = fit_deck(shots);
    laid.decks->fitted.decks[0] = *fit.deck;
    laid.decks->fitted.fits[0] = fit;
    const std::string text = deck_part(head, laid.view());
    CHECK(text.find(std::string(" towards ") + r.want + "\n") != std::string::npos);
    CHECK(text.find("azimuth") == std::string::npos);
  }
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

namespace {

/// What was handed out, and what is now, for pages.
struct PlainIssue {
  Ledger ledger = ledger_of({{hanger("OLD", 900), hanger("GONE", 901)},
                             {hanger("A", 1001, 1, 2), hanger("B", 1002, 3, 4), hanger("C", 1003, 5, 6)}});
  std::vector<GivenRow> given;
  std::string revision = "B", storey;
  std::int64_t deck_offset = 5000;
  std::vector<LedgerRow> now;
  IssueFound found;

  PlainIssue() {
    found.number = 3;
    found.shown_since = 2;
    found.why = SinceWhy::asked;
    found.row = [this](std::uint32_t i) { return now[i]; };
  }
  PlainIssue(const PlainIssue&) = delete;
  PlainIssue& operator=(const PlainIssue&) = delete;
  IssueStated view() const {
    return {ledger, given, revision,         storey, deck_offset, "job.toml", Where::whole("numbers.csv"),
            {},     {},    LengthUnit::metre};
  }
};

}  // namespace

TEST_CASE("changes: the first issue counts all points") {
  const JobHead head = head_of(LengthUnit::metre, LengthUnit::foot, LengthUnit::inch);
  const PlainLaid laid = laid_of({{"A", 1, 2}, {"B", 3, 4}});
  PlainIssue issue;
  issue.now = {hanger("A", 1001)};
  issue.found.shown = {{1001, Change::fresh, What::floor, 0, kNone32}};
  issue.found.shown_since = 0;
  CHECK(changes_part(head, issue.view(), issue.found, laid.view()) ==
        "CHANGES\n  first issue: all 2 points are new\n");
}

TEST_CASE("changes: what moved in the drawing's axes and unit, what was renamed, what rose") {
  const JobHead head = head_of(LengthUnit::millimetre, LengthUnit::foot, LengthUnit::inch);
  const PlainLaid laid = laid_of({{"A", 1, 2}, {"B", 3, 4}});
  PlainIssue issue;
  issue.now = {dropped(hanger("GONE", 901)), hanger("NEW", 1001), hanger("B", 1002, 3.003, 3.996),
               hanger("C", 1003, 5, 6)};
  issue.now[2].deck = kept(5.25);
  issue.now[3].site = {kept(106.003), kept(205.004)};
  issue.found.shown = {{901, Change::dropped, What::floor, 0, 1},
                       {1001, Change::renamed, What::floor, 1, 0},
                       {1002, Change::moved, What::floor, 2, 3},
                       {1002, Change::raised, What::deck, 2, 3},
                       {1003, Change::refit, What::floor, 3, 4}};
  const std::vector<ChangeLine> lines{
      {901, "GONE", Change::dropped},
      {1001, "NEW", Change::renamed, What::floor, {}, {}, "OLD", 900},
      {1002, "B", Change::moved, What::floor, Vec<Drawing>{{.x = mm(3), .y = mm(-4)}}},
      {1002, "B", Change::raised, What::deck, {}, mm(250)},
      {1003, "C", Change::refit, What::floor, Vec<Drawing>{{.x = mm(4), .y = mm(3)}}}};
  const auto part = [&](std::size_t most) {
    return changes_part(head, issue.view(), issue.found, laid.view(), most);
  };
  CHECK(part(kChangesTold) == changes_text(lines, {3, 2, "", 2}, LengthUnit::millimetre, kChangesTold));
  CHECK(part(1) == changes_text(lines, {3, 2, "", 2}, LengthUnit::millimetre, 1));
  issue.found.shown.clear();
  CHECK(part(1) == changes_text({}, {3, 2, "", 2}, LengthUnit::millimetre, 1));
}

TEST_CASE("changes: the first line says against which issue they are told, and why that one") {
  const JobHead head = head_of(LengthUnit::metre, LengthUnit::metre, LengthUnit::metre);
  const PlainLaid laid = laid_of({{"A", 1, 2}});
  struct Case {
    SinceWhy why;
    std::uint32_t since;
    std::string want;
  };
  for (const Case& c : {Case{SinceWhy::asked, 2, "CHANGES since issue 2"},
                        Case{SinceWhy::before, 2, "CHANGES since issue 2, the one before"},
                        Case{SinceWhy::revision, 2, "CHANGES since issue 2, the last of revision A"},
                        Case{SinceWhy::revision, 1, "CHANGES since issue 1, the last without a revision"},
                        Case{SinceWhy::given, 2, "CHANGES since issue 2, given to night crew on 2026-11-03"},
                        Case{SinceWhy::given, 1, "CHANGES since issue 1, given to day crew on 2026-11-01"}}) {
    PlainIssue issue;
    LedgerRow old = hanger("OLD", 900);
    old.revision = {};
    issue.ledger = ledger_of({{old}, {hanger("A", 1001, 1, 2)}});
    issue.given = {{2, "first crew", "2026-11-02", ""},
                   {2, "night crew", "2026-11-03", ""},
                   {1, "day crew", "2026-11-01", ""}};
    issue.found.why = c.why;
    issue.found.shown_since = c.since;
    const std::string text = changes_part(head, issue.view(), issue.found, laid.view());
    CHECK(text.substr(0, text.find('\n')) == c.want);
  }
}

TEST_CASE(
    "check of the loaded list: from the lowest number, by what is listed, at ground scale or in the grid") {
  const JobHead head = head_of(LengthUnit::foot, LengthUnit::inch, LengthUnit::metre);
  PlainLaid laid = laid_of({{"A", 0, 0, "R1"}, {"B", 8, 6, "R2"}, {"C", 0, 1, "R1"}});
  laid.numbers.issue.numbers = {1003, 1001, 1002};
  const LaidOut view = laid.view();
  const auto lines = [&](const std::vector<std::string>& only, const GroundFromGrid* grid) {
    return check_lines(head, view, only, grid, Ledger(), nullptr);
  };
  // From B: to A 8 west, 6 south (they differ by 2); to C 8 west, 5 south (by 3).
  const Azimuth to_c = Azimuth::degrees(180 + 57.99461679);
  CHECK(lines({}, nullptr) ==
        check_text(1001, 1002, m(9.43398113), to_c, true, LengthUnit::metre, "site north"));
  CHECK(lines({"r1"}, nullptr) ==
        check_text(1002, 1003, m(1), Azimuth::degrees(180), true, LengthUnit::metre, "site north"));
  const GroundFromGrid grid = claim_ground({{.northing = m(0), .easting = m(0)}}, 0.99);
  CHECK(lines({}, &grid) == check_text(1001, 1002, m(9.33964132), to_c, true, LengthUnit::metre,
                                       "grid north; a GRID distance, as the lists are"));
}

TEST_CASE("check of the loaded list: marks at one place, and marks that exchanged axes would not show") {
  const JobHead head = head_of(LengthUnit::foot, LengthUnit::inch, LengthUnit::metre);
  const auto lines = [&](const PlainLaid& laid) {
    return check_lines(head, laid.view(), {}, nullptr, Ledger(), nullptr);
  };
  CHECK(lines(laid_of({{"A", 3, 4}, {"B", 3, 4}})).find("one place only") != std::string::npos);
  CHECK(lines(laid_of({{"A", 0, 0}, {"B", 5, 5}})) ==
        check_text(1001, 1002, m(7.07106781), Azimuth::degrees(45), false, LengthUnit::metre, "site north"));
}

TEST_CASE("check of the loaded list: the pair whose distance changed most tells an old list") {
  const JobHead head = head_of(LengthUnit::foot, LengthUnit::inch, LengthUnit::metre);
  PlainLaid laid = laid_of({{"A", 0, 0, "R1"}, {"B", 8, 6, "R2"}, {"C", 0, 3, "R1"}, {"D", 0, 10, "R1"}});
  laid.numbers.issue.numbers = {1001, 1002, 1003, 1004};
  PlainIssue issue;
  // D is new since issue 1, in which C lay 0.5 m nearer to A; B was dropped then.
  issue.ledger =
      ledger_of({{hanger("A", 1001), dropped(hanger("B", 1002, 80, 60)), hanger("C", 1003, 0, 2.5)},
                 {hanger("B", 1002, 8, 6), hanger("C", 1003, 0, 3), hanger("D", 1004, 0, 10)}});
  laid.numbers.join.entries = {0, 3, 4, 5};
  issue.found.shown_since = 1;
  const LaidOut view = laid.view();
  const auto lines = [&](const std::vector<std::string>& only, const GroundFromGrid* grid = nullptr) {
    return check_lines(head, view, only, grid, issue.ledger, &issue.found);
  };
  const auto north = Azimuth::degrees(0);
  const auto changed = std::pair<std::uint32_t, Length>(1, m(2.5));
  CHECK(lines({}) == check_text(1001, 1003, m(3), north, true, LengthUnit::metre, "site north", changed));
  const GroundFromGrid grid = claim_ground({{.northing = m(0), .easting = m(0)}}, 0.99);
  CHECK(lines({}, &grid) == check_text(1001, 1003, m(2.97), north, true, LengthUnit::metre,
                                       "grid north; a GRID distance, as the lists are",
                                       std::pair<std::uint32_t, Length>(1, m(2.475))));
  // Without that pair on the list, or without a change, from first to last.
  CHECK(lines({"R2"}).find("one place only") != std::string::npos);
  issue.found.shown_since = 2;
  CHECK(lines({}) == check_text(1001, 1004, m(10), north, true, LengthUnit::metre, "site north"));
  issue.found.shown_since = 0;
  CHECK(lines({}) == check_text(1001, 1004, m(10), north, true, LengthUnit::metre, "site north"));
}

TEST_CASE("a drawing in feet and inches is told in fractions of an inch, all of a line") {
  const auto line = [](double dx, double dy, LengthUnit unit) {
    const auto in = [](double inches) { return Length::feet(inches / 12); };
    const std::vector<ChangeLine> lines{
        {1, "A", Change::moved, What::floor, Vec<Drawing>{{.x = in(dx), .y = in(dy)}}}};
    const std::string text = changes_text(lines, {2, 1, "", 1}, unit, kChangesTold);
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

TEST_CASE("check of the sheet: from its lowest number to the farthest mark, or the pair that changed most") {
  PlainLaid laid = laid_of({{"A", 0, 0, "R1"}, {"B", 8, 6, "R2"}, {"C", 0, 3, "R1"}, {"D", 0, 20, ""}});
  const LaidOut view = laid.view();
  OffsetsFound offsets;
  constexpr std::string_view kDigest = "1a2b3c4d5e6f7a8b";
  const OffsetForm feet{LengthUnit::feet_inches, 16}, metric{LengthUnit::metre, 16};
  CHECK(sheet_check_lines(view, offsets, feet, Ledger(), nullptr, kDigest) ==
        "CHECK THE SHEET with the tape, floor mark to floor mark\n  1001 to 1004: 65'-7 3/8\"\n"
        "  the sheet's head says offsets.csv 1a2b3c4d: any other sheet is an old one\n");
  offsets.strings.emplace(StringsFound{{},
                                       StringLines(view.placed.marks[0], view.placed.marks[1],
                                                   view.placed.marks[2], view.placed.fit.site_from_drawing)});
  offsets.strings->stand = {0, 3};
  CHECK(sheet_check_lines(view, offsets, metric, Ledger(), nullptr, kDigest)
            .find("  1002 to 1003: 8.544 m\n") != std::string::npos);
  offsets.strings->stand = {0, 1, 2};
  CHECK(sheet_check_lines(view, offsets, metric, Ledger(), nullptr, kDigest).find("one place only") !=
        std::string::npos);
  offsets.strings->stand = {0, 1, 2, 3};
  CHECK(sheet_check_lines(view, offsets, metric, Ledger(), nullptr, kDigest).empty());
  // C lay 0.5 m nearer to A in issue 1.
  offsets.strings->stand = {};
  PlainIssue issue;
  issue.ledger = ledger_of({{hanger("A", 1001), hanger("B", 1002, 8, 6), hanger("C", 1003, 0, 2.5)},
                            {hanger("C", 1003, 0, 3), hanger("D", 1004, 0, 20)}});
  laid.numbers.join.entries = {0, 1, 3, 4};
  issue.found.shown_since = 1;
  CHECK(sheet_check_lines(view, offsets, metric, issue.ledger, &issue.found, kDigest)
            .find("1001 to 1003: 3.000 m\n  issue 1 had 2.500 m there: a sheet that shows that is an old "
                  "one\n") != std::string::npos);
}

// 2026-11-28: a crew was told "B1 to B2 is 12.000 m" of a distance that nobody had taped.
TEST_CASE("the tape is held first against marks whose distance was found, and never against others") {
  using enum SpanFrom;
  PlainLaid laid = laid_of({{"A", 0, 0}, {"B", 12, 0}, {"C", 0, 9}, {"D", 3, 4}});
  const LaidOut view = laid.view();
  const OffsetForm metric{LengthUnit::metre, 16};
  OffsetsFound offsets;
  CHECK(tape_check(offsets, metric, m(0.005)).empty());
  const auto mark = [&](std::size_t i) {
    return FromMark{std::string(view.marks->names[i]), view.placed.marks[i]};
  };
  const StringLines lines(view.placed.marks[0], view.placed.marks[1], view.placed.marks[2],
                          view.placed.fit.site_from_drawing);
  offsets.strings.emplace(StringsFound{{mark(0), mark(1), mark(2)}, lines});
  struct Row {
    std::array<SpanFrom, 3> spans;
    const char* says;
  };
  for (const Row& r :
       {Row{{found, found, found}, "A to B is 12.000 m"},
        Row{{nothing, other_lengths, found}, "A to C is 9.000 m"},
        Row{{nothing, nothing, found}, "B to C is 15.000 m"}, Row{{nothing, nothing, nothing}, ""}}) {
    offsets.strings->spans = r.spans;
    CHECK(tape_check(offsets, metric, std::nullopt) == r.says);
  }
  offsets.swing_from = {mark(0), mark(3)};
  CHECK(tape_check(offsets, metric, m(0.005)) == "A to D is 5.000 m; more than 0.005 m off: stop and call");
  CHECK(marks_of_sheet(view, offsets) == 4);
  offsets.strings->stand = {0, 1, 2};
  CHECK(marks_of_sheet(view, offsets) == 1);
}
