#include "stages/numbers.h"

#include <doctest/doctest.h>

#include "unit/issues/plain_ledger.h"
#include "unit/stages/plain.h"

using namespace plain;

namespace {

using Strings = std::vector<std::string>;

/// A ledger of one issue with its file: row 0 stands on line 2.
struct PlainLedger {
  Ledger ledger;
  ReadTable table;
  NumberOptions options{};
  std::string file = "numbers.csv";

  explicit PlainLedger(const std::vector<LedgerRow>& rows = {}) {
    std::string text = "point,number\n";
    for (const LedgerRow& r : rows) text += std::string(r.point) + "," + std::to_string(r.number) + "\n";
    table = table_of(file, {{"point", ColumnKind::name, true}, {"number", ColumnKind::number, true}}, text);
    if (rows.empty()) return;
    LedgerRows columns;
    for (std::size_t i = 0; i < rows.size(); ++i) columns.add(rows[i], table.begins[i]);
    IssuedRow issue;
    issue.issue = 1;
    issue.rows = static_cast<std::uint32_t>(rows.size());
    ledger = Ledger({issue}, std::move(columns));
  }
  NumbersStated view(bool has_deck = true) const {
    return {ledger, table.table, options, file, has_deck, Where::at("job.toml", {4, 1})};
  }
};

LedgerRow under(LedgerRow row, std::int64_t offset) {
  row.deck_offset = offset;
  return row;
}

const std::vector<PlainMark> kThree = {{"P1", 0, 0}, {"P2", 4, 0}, {"P3", 4, 3}};

Staged<Numbers> number(const PlainLedger& ledger, const std::vector<PlainMark>& rows = kThree,
                       bool has_deck = true) {
  return number_marks(ledger.view(has_deck), marks_of(rows));
}

std::vector<std::uint32_t> numbers_of(const Numbers& n) {
  return {n.issue.numbers.begin(), n.issue.numbers.end()};
}

}  // namespace

TEST_CASE("marks that were never numbered count on from the start; deck numbers add the offset") {
  PlainLedger ledger;
  ledger.options = {.start = 101, .step = 10, .deck_offset = 1000};
  const auto deck = number(ledger);
  REQUIRE(deck.is_there());
  CHECK(numbers_of(*deck.value) == std::vector<std::uint32_t>{101, 111, 121});
  CHECK(deck.value->deck_offset == 1000);
  CHECK(deck.value->of(1) == 111);
  CHECK(deck.value->on_deck(1) == 1111);
  CHECK(deck.value->at(2, true) == 1121);
  CHECK(deck.value->at(2, false) == 121);

  const auto floor = number(ledger, kThree, false);
  CHECK_FALSE(floor.value->deck_offset.has_value());
  CHECK(floor.value->on_deck(1) == 111);
}

TEST_CASE("marks of the ledger keep their numbers, and those that no mark has are left over") {
  const PlainLedger ledger({hanger("P2", 7), hanger("p1", 9), hanger("Gone", 8)});
  const auto numbers = number(ledger);
  REQUIRE(numbers.is_there());
  CHECK(numbers_of(*numbers.value) == std::vector<std::uint32_t>{9, 7, 1001});
  CHECK(numbers.value->join.unmatched == std::vector<std::uint32_t>{2});
  CHECK(tells_nothing(numbers.told));
}

TEST_CASE("a ledger that names points or numbers twice: every one is told at its row, and there are none") {
  const PlainLedger ledger({hanger("P1", 1), hanger("P2", 2), hanger("p1", 3), hanger("P4", 2)});
  const auto numbers = number(ledger);
  CHECK(numbers.is_spoiled());
  CHECK_FALSE(numbers.value.has_value());
  const Strings want = {
      "numbers.csv:4:1: point: found name \"p1\" again, first on line 2, expected each name and each "
      "number once in an issue",
      "numbers.csv:5:4: number: found number 2 again, first on line 3, expected each name and each "
      "number once in an issue"};
  CHECK(told(numbers.told, Grade::problem) == want);
  CHECK(told(look_over_ledger(ledger.view(), marks_of(kThree)), Grade::problem) == want);
}

TEST_CASE("an offset under which deck numbers were given may not change") {
  PlainLedger ledger({hanger("P1", 1001)});
  ledger.options.deck_offset = 6000;
  const auto numbers = number(ledger);
  CHECK(numbers.is_spoiled());
  CHECK_FALSE(numbers.value.has_value());
  CHECK(told(numbers.told, Grade::problem) ==
        Strings{"job.toml:4:1: numbers.deck_offset: found 6000, expected 5000, under which the numbers were "
                "issued (see numbers.csv); try deck_offset = 5000"});
  CHECK(number(ledger, kThree, false).is_spoiled());
}

TEST_CASE("an offset under which no deck number was given may change, and nothing is told") {
  struct Case {
    std::string why;
    std::vector<LedgerRow> rows;
    bool binds;
  };
  const LedgerRow p1 = under(hanger("P1", 1001), 100), p2 = under(hanger("P2", 1101), 100);
  for (const Case& c : std::vector<Case>{
           {"no deck", {without_deck(p1), without_deck(p2)}, false},
           {"one deck point", {without_deck(p1), p2}, true},
           {"an earlier version's", {from_before(p1)}, true},
           // 1001 + 100 is 1101, which stands in the ledger
           {"an earlier version's, none can have been given", {from_before(p1), from_before(p2)}, false}}) {
    CAPTURE(c.why);
    const auto numbers = number(PlainLedger(c.rows));
    CHECK(numbers.is_there() == !c.binds);
    CHECK(tells_nothing(numbers.told) == !c.binds);
  }
}

TEST_CASE("deck numbers that meet floor numbers: the fault names both and an offset that works") {
  PlainLedger ledger;
  ledger.options.deck_offset = 1;
  const auto numbers = number(ledger);
  CHECK(numbers.is_spoiled());
  CHECK(told(numbers.told, Grade::problem) ==
        Strings{"job.toml:4:1: numbers.deck_offset: found 1, which makes 1002 the deck number of 1001 though "
                "it is in use, expected an offset that keeps floor and deck numbers apart; 3 is the smallest "
                "that works; try deck_offset = 5000"});
  CHECK(number(ledger, kThree, false).is_there());
}

TEST_CASE("new points whose numbers meet deck numbers that were given begin above these") {
  // 1001 was given with 1003 on the deck; the third point would get 1003.
  PlainLedger ledger({under(hanger("P1", 1001), 2)});
  ledger.options.deck_offset = 2;
  const auto lines = told(number(ledger).told, Grade::problem);
  REQUIRE(lines.size() == 1);
  CHECK(
      lines[0].ends_with("try start = 1004 under [numbers]: new points then begin above every deck number"));
  ledger.options.start = 1004;
  CHECK(number(ledger).is_there());
}

TEST_CASE("numbers end at 999999999") {
  PlainLedger ledger;
  ledger.options.start = kMostNumber - 2;
  CHECK(number(ledger, kThree, false).is_there());
  ledger.options.start = kMostNumber - 1;
  const auto numbers = number(ledger, kThree, false);
  CHECK(numbers.is_spoiled());
  CHECK(
      told(numbers.told, Grade::problem) ==
      Strings{"job.toml:4:1: numbers: found a number above 999999999, expected numbers from 1 to 999999999; "
              "try a smaller start, step or deck_offset"});
}

TEST_CASE("a former name: the number is kept; one that another has is refused, one that nobody had doubted") {
  const PlainLedger ledger({hanger("P1", 7), hanger("P2", 9)});
  const auto kept_number = number(ledger, {{"Q1", 0, 0, "", "", {}, "P1"}, {"P2", 4, 0}});
  REQUIRE(kept_number.is_there());
  CHECK(numbers_of(*kept_number.value) == std::vector<std::uint32_t>{7, 9});
  CHECK(tells_nothing(kept_number.told));

  const auto taken = number(ledger, {{"P1", 0, 0}, {"Q1", 4, 0, "", "", {}, "p1"}});
  CHECK(taken.is_spoiled());
  const Strings lines = told(taken.told, Grade::problem);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].starts_with("drawing.csv:3:"));
  CHECK(lines[0].find(": was: found \"p1\", whose number \"P1\" has, expected a name that no other point has "
                      "or had") != std::string::npos);

  const std::vector<PlainMark> unknown = {{"P1", 0, 0}, {"Q1", 4, 0, "", "", {}, "Z"}};
  const auto doubt = number(ledger, unknown);
  REQUIRE(doubt.is_there());
  const Strings doubts = told(doubt.told, Grade::doubt);
  REQUIRE(doubts.size() == 1);
  CHECK(doubts[0].find(": was: no number has the name \"Z\" now: \"Q1\" gets "
                       "a new one") != std::string::npos);
  CHECK(tells_nothing(number(PlainLedger(), unknown).told));  // on the first issue no name has a number
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
    PlainLedger ledger;
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
    std::vector<LedgerRow> ledger;
    std::vector<std::uint32_t> theirs;
    bool has_deck;
    std::string told;  // empty: fine
  };
  const std::string
      kWhose =
          "given out on level 9 (../l9/numbers.csv) before, expected numbers that no other "
          "storey has; try ",
      kBoth =
          "given out both here and on level 9 (../l9/numbers.csv), expected numbers that no other "
          "storey has; try anew above ";
  for (const Row& r :
       {Row{{}, {1004, 6000, 6004}, true, ""},
        Row{{}, {1002}, true, "found 1002 for \"P2\", " + kWhose + "start = 2001 under [numbers]"},
        // The deck number alone meets; without a deck nothing does.
        Row{{}, {6003}, true, "found 6003 for \"P3\", " + kWhose + "start = 2001 under [numbers]"},
        Row{{}, {6003}, false, ""},
        // What is new begins elsewhere; what stands on the floor keeps its number.
        Row{{hanger("P1", 1001)},
            {1002, 2001},
            true,
            "found 1002 for \"P2\", " + kWhose + "start = 3001 under [numbers]"},
        Row{{hanger("P1", 1001)}, {1001}, true, "found 1001 for \"P1\", " + kBoth + "6001"},
        // Numbers on the floor alone: the deck's may still be others.
        Row{{without_deck(hanger("P1", 1001)), without_deck(hanger("P2", 1002)),
             without_deck(hanger("P3", 1003))},
            {6002},
            true,
            "found 6002 for \"P2\", " + kWhose + "deck_offset = 10000 under [numbers]"},
        // A dropped point's number may still stand on this floor.
        Row{{dropped(hanger("OLD", 900))}, {5900}, true, "found 5900 for \"OLD\", " + kBoth + "5900"}}) {
    CAPTURE(r.told);
    const PlainLedger ledger(r.ledger);
    SiblingStorey storey;
    storey.name = "level 9";
    storey.ledger_file = "../l9/numbers.csv";
    storey.numbers = r.theirs;
    const std::vector<SiblingStorey> storeys = {storey};
    NumbersStated stated = ledger.view(r.has_deck);
    stated.storeys = &storeys;
    stated.begin_anew = [](std::int64_t above) { return "anew above " + std::to_string(above); };
    const auto n = number_marks(stated, marks_of(kThree));
    CHECK(n.is_there() == r.told.empty());
    const auto told = n.told.sorted(Grade::problem);
    REQUIRE(told.size() == (r.told.empty() ? 0 : 1));
    if (r.told.empty()) continue;
    CHECK(told[0].field == "numbers.start");
    CHECK(told[0].text == r.told);
  }
}
