#include "stages/numbers.h"

#include <doctest/doctest.h>

#include "unit/stages/plain.h"

using namespace plain;

namespace {

struct Entry {
  std::string name;
  std::uint32_t number;
  double x = 0, y = 0;
  bool live = true;
};

/// A ledger with its file: entry 0 stands on line 2; on site N = 100 + y, E = 200 + x.
struct PlainLedger {
  LedgerTable rows;
  ReadTable table;
  NumberOptions options{};
  std::string file = "numbers.csv";

  PlainLedger(const std::vector<Entry>& entries, std::optional<std::int64_t> offset) {
    std::string text = "point,number\n";
    for (std::size_t i = 0; i < entries.size(); ++i) {
      const Entry& e = entries[i];
      text += e.name + "," + std::to_string(e.number) + "\n";
      rows.names.push_back(e.name);
      rows.numbers.push_back(e.number);
      rows.live.push_back(e.live ? 1 : 0);
      rows.places.push_back(xy(e.x, e.y));
      rows.site_places.push_back(at(100 + e.y, 200 + e.x));
      rows.revisions.put(i, "A");
    }
    rows.deck_offset = offset;
    table = table_of(file, {{"point", ColumnKind::name, true}, {"number", ColumnKind::number, true}}, text);
    for (const std::uint32_t b : table.begins) rows.begins.push_back(b);
  }
  NumbersStated view(bool has_deck = true) const {
    return {rows, table.table, options, file, has_deck, Where::at("job.toml", {4, 1})};
  }
};

const std::vector<PlainMark> kThree = {{"P1", 0, 0}, {"P2", 4, 0}, {"P3", 4, 3}};

/// The places of plain marks on site.
std::vector<Point<Site>> places(const JobMarks& marks) {
  std::vector<Point<Site>> out;
  for (const Point<Drawing>& p : marks->places) out.push_back(shifted_fit().site_from_drawing(p));
  return out;
}

Staged<Numbers> number(const PlainLedger& ledger, const std::vector<PlainMark>& rows, bool has_deck = true) {
  const JobMarks marks = marks_of(rows);
  return number_marks(ledger.view(has_deck), marks, places(marks));
}

std::vector<std::uint32_t> numbers_of(const Numbers& n) {
  return {n.issue.numbers.begin(), n.issue.numbers.end()};
}

}  // namespace

TEST_CASE("marks that were never numbered count on from the start; deck numbers add the offset") {
  PlainLedger ledger({}, std::nullopt);
  ledger.options = {.start = 101, .step = 10, .deck_offset = 1000};
  const auto deck = number(ledger, kThree);
  REQUIRE(deck.is_there());
  CHECK(numbers_of(*deck.value) == std::vector<std::uint32_t>{101, 111, 121});
  CHECK(deck.value->deck_offset == 1000);
  CHECK(deck.value->of(1) == 111);
  CHECK(deck.value->on_deck(1) == 1111);
  CHECK(deck.value->at(2, true) == 1121);
  CHECK(deck.value->at(2, false) == 121);
  CHECK(deck.value->issue.changes.size() == 3);

  const auto floor = number(ledger, kThree, false);
  CHECK_FALSE(floor.value->deck_offset.has_value());
  CHECK(floor.value->on_deck(1) == 111);
}

TEST_CASE("marks of the ledger keep their numbers, and a move is told in the drawing") {
  const PlainLedger ledger({{"P2", 7, 4, 0}, {"p1", 9, 0, 0.25}, {"Gone", 8, 50, 50}}, 5000);
  const auto numbers = number(ledger, kThree);
  REQUIRE(numbers.is_there());
  CHECK(numbers_of(*numbers.value) == std::vector<std::uint32_t>{9, 7, 1001});
  const auto& changes = numbers.value->issue.changes;  // in the order of numbers
  REQUIRE(changes.size() == 3);
  CHECK(changes[0].change == Change::dropped);
  CHECK(changes[1].change == Change::moved);
  CHECK(changes[2].change == Change::fresh);
  const auto by = change_by(changes[1], shifted_fit());
  REQUIRE(by);
  CHECK(by->by.x.metres() == 0);
  CHECK(by->by.y.metres() == doctest::Approx(-0.25));
  CHECK_FALSE(change_by(changes[0], shifted_fit()));
  CHECK_FALSE(change_by(changes[2], shifted_fit()));
}

TEST_CASE("a refit is told along the baselines: with +X east, easting is x and northing y") {
  ChangeRow refit;
  refit.change = Change::refit;
  refit.refit = Vec<Site>{{.northing = mm(2), .easting = mm(3)}};
  const auto by = change_by(refit, shifted_fit());
  REQUIRE(by);
  CHECK(by->by.x.millimetres() == doctest::Approx(3));
  CHECK(by->by.y.millimetres() == doctest::Approx(2));
}

TEST_CASE("a ledger that names points or numbers twice: every one is told at its row, and there are none") {
  const PlainLedger ledger({{"P1", 1}, {"P2", 2}, {"p1", 3}, {"P4", 2}}, 5000);
  const auto numbers = number(ledger, kThree);
  CHECK(numbers.is_spoiled());
  CHECK_FALSE(numbers.value.has_value());
  CHECK(told(numbers.told, Grade::problem) ==
        std::vector<std::string>{
            "numbers.csv:4:1: point: found name \"p1\" again, first on line 2, expected each name and each "
            "number once",
            "numbers.csv:5:4: number: found number 2 again, first on line 3, expected each name and each "
            "number once"});
}

TEST_CASE("an offset under which numbers were issued may not change") {
  PlainLedger ledger({{"P1", 1001}}, 5000);
  ledger.options.deck_offset = 6000;
  const auto numbers = number(ledger, kThree);
  CHECK(numbers.is_spoiled());
  CHECK_FALSE(numbers.value.has_value());
  CHECK(told(numbers.told, Grade::problem) ==
        std::vector<std::string>{"job.toml:4:1: numbers.deck_offset: found 6000, expected 5000, under which "
                                 "the numbers were issued (see numbers.csv); try deck_offset = 5000"});
}

TEST_CASE(
    "an offset under which none can have been issued may change, with a doubt where decks are numbered") {
  // 1001 + 100 is 1101, which stands in the ledger.
  PlainLedger ledger({{"P1", 1001}, {"P2", 1101}}, 100);
  const auto doubts = [&](bool has_deck) {
    const auto numbers = number(ledger, kThree, has_deck);
    CHECK(numbers.is_there());
    return told(numbers.told, Grade::doubt);
  };
  const auto lines = doubts(true);
  REQUIRE(lines.size() == 1);
  CHECK(
      lines[0].starts_with("job.toml:4:1: numbers.deck_offset: deck numbers change: numbers.csv has 100, "));
  CHECK(doubts(false).empty());
  ledger.rows.deck_offset = 5000;  // the job's
  CHECK(doubts(true).empty());
  ledger.rows.deck_offset.reset();
  CHECK(doubts(true).empty());
}

TEST_CASE("deck numbers that meet floor numbers: the fault names both and an offset that works") {
  PlainLedger ledger({}, std::nullopt);
  ledger.options.deck_offset = 1;
  const auto numbers = number(ledger, kThree);
  CHECK(numbers.is_spoiled());
  CHECK(told(numbers.told, Grade::problem) ==
        std::vector<std::string>{
            "job.toml:4:1: numbers.deck_offset: found 1, which makes 1002 the deck number of 1001 though it "
            "is in use, expected an offset that keeps floor and deck numbers apart; 3 is the smallest that "
            "works; try deck_offset = 5000"});
  CHECK(number(ledger, kThree, false).is_there());
}

TEST_CASE("new points whose numbers meet deck numbers that were issued begin above these") {
  // 1001 was issued with 1003 on the deck; the third point would get 1003.
  PlainLedger ledger({{"P1", 1001}}, 2);
  ledger.options.deck_offset = 2;
  const auto lines = told(number(ledger, kThree).told, Grade::problem);
  REQUIRE(lines.size() == 1);
  CHECK(
      lines[0].ends_with("try start = 1004 under [numbers]: new points then begin above every deck number"));
}

TEST_CASE("the ledger's own offset under which its numbers meet is told as what the last run left") {
  PlainLedger ledger({{"P1", 1001}, {"P2", 1101}}, 100);
  ledger.options.deck_offset = 100;
  const auto lines = told(number(ledger, kThree).told, Grade::problem);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].find("expected numbers.csv as the last run left it, where marks on the deck carry numbers "
                      "already; else another offset, at least ") != std::string::npos);
}

TEST_CASE("numbers end at 999999999") {
  PlainLedger ledger({}, std::nullopt);
  ledger.options.start = kMostNumber - 2;
  CHECK(number(ledger, kThree, false).is_there());
  ledger.options.start = kMostNumber - 1;
  const auto numbers = number(ledger, kThree, false);
  CHECK(numbers.is_spoiled());
  CHECK(told(numbers.told, Grade::problem) ==
        std::vector<std::string>{"job.toml:4:1: numbers: found a number above 999999999, expected numbers "
                                 "from 1 to 999999999; try a smaller start, step or deck_offset"});
}

TEST_CASE("marks without a place are numbered for those that look for faults, and no move is told") {
  PlainLedger ledger({{"P1", 7, 0, 1}, {"P2", 9, 4, 0}}, 5000);
  const JobMarks marks = marks_of(kThree);
  const auto numbers = number_marks(ledger.view(), marks, {});
  CHECK(numbers.is_spoiled());
  CHECK(numbers.get() == nullptr);
  CHECK_FALSE(numbers.told.has_problems());
  REQUIRE(numbers.value.has_value());
  CHECK(numbers_of(*numbers.value) == std::vector<std::uint32_t>{7, 9, 1001});
  CHECK(numbers.value->deck_offset == 5000);
  CHECK(numbers.value->issue.changes.empty());

  ledger.options.deck_offset = 2;  // and the offset is judged
  CHECK(number_marks(ledger.view(), marks, {}).told.problems() == 1);
}

TEST_CASE("no floor number is above the last: how many are short, and what would do") {
  struct Row {
    std::int64_t start, last;
    std::string told;  // empty: fine
  };
  for (const Row& r : {Row{101, 121, ""},
                       Row{101, 120,
                           "found 120, which is 1 number short for 3 marks, expected a "
                           "last number of 121 or more; try last = 121"},
                       Row{101, 50,
                           "found 50, which is 3 numbers short for 3 marks, expected a last number of 121 or "
                           "more; try last = 121"}}) {
    CAPTURE(r.last);
    PlainLedger ledger({}, std::nullopt);
    ledger.options = {.start = r.start, .step = 10, .deck_offset = 1000, .last = r.last};
    const auto n = number(ledger, kThree);
    CHECK(n.is_there() == r.told.empty());
    const auto told = n.told.sorted(Grade::problem);
    REQUIRE(told.size() == (r.told.empty() ? 0 : 1));
    if (r.told.empty()) continue;
    CHECK(told[0].field == "numbers.last");
    CHECK(told[0].text == r.told);
  }
}

TEST_CASE("numbers of another storey are not given out; what is told works when it is written") {
  struct Row {
    std::vector<Entry> ledger;
    std::optional<std::int64_t> offset;
    std::vector<std::uint32_t> theirs;
    bool has_deck;
    std::string told;  // empty: fine
  };
  const std::string kNone = ", expected numbers that no other storey has; try ";
  for (const Row& r :
       {Row{{}, std::nullopt, {1004, 6000, 6004}, true, ""},
        Row{{},
            std::nullopt,
            {1002},
            true,
            "found 1002 for \"P2\", given out on level 9 (../l9/numbers.csv) before" + kNone +
                "start = 2001 under [numbers]"},
        // The deck number alone meets; without a deck nothing does.
        Row{{},
            std::nullopt,
            {6003},
            true,
            "found 6003 for \"P3\", given out on level 9 (../l9/numbers.csv) before" + kNone +
                "start = 2001 under [numbers]"},
        Row{{}, std::nullopt, {6003}, false, ""},
        // What is new begins elsewhere; what stands on the floor keeps its number.
        Row{{{"P1", 1001}},
            5000,
            {1002, 2001},
            true,
            "found 1002 for \"P2\", given out on level 9 (../l9/numbers.csv) before" + kNone +
                "start = 3001 under [numbers]"},
        Row{{{"P1", 1001}},
            5000,
            {1001},
            true,
            "found 1001 for \"P1\", given out both here and on level 9 (../l9/numbers.csv)" + kNone +
                "new numbers for this storey: ledger = \"numbers-new.csv\" and start = 2001 under [numbers]"},
        // A dropped point's number may still stand on this floor.
        Row{{{"OLD", 900, 0, 0, false}},
            5000,
            {5900},
            true,
            "found 5900 for \"OLD\", given out both here and on level 9 (../l9/numbers.csv)" + kNone +
                "new numbers for this storey: ledger = \"numbers-new.csv\" under "
                "[numbers]"}}) {
    CAPTURE(r.told);
    const PlainLedger ledger(r.ledger, r.offset);
    SiblingStorey storey;
    storey.name = "level 9";
    storey.ledger_file = "../l9/numbers.csv";
    storey.numbers = r.theirs;
    const std::vector<SiblingStorey> storeys = {storey};
    NumbersStated stated = ledger.view(r.has_deck);
    stated.storeys = &storeys;
    const JobMarks marks = marks_of(kThree);
    const auto n = number_marks(stated, marks, places(marks));
    CHECK(n.is_there() == r.told.empty());
    const auto told = n.told.sorted(Grade::problem);
    REQUIRE(told.size() == (r.told.empty() ? 0 : 1));
    if (r.told.empty()) continue;
    CHECK(told[0].field == "numbers.start");
    CHECK(told[0].text == r.told);
  }
}
