#include "book/dialogue.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

#include "talk.h"

using namespace deckmark;
using talk::begins;
using talk::has;
using talk::Lines;
using talk::Talk;

TEST_CASE("a standing begins with its row and a check; then marks are offered") {
  Talk t;
  CHECK(t.open() == Lines{"open 0 1", "kept 1 set-up - - -", "due first", "wait check T2"});
  CHECK(t.row(1).setup == "S1");
  CHECK(t.row(1).reading == "0.000000");
  CHECK(t.row(1).elevation.metres() == 2.5);
  // No mark before it is good.
  CHECK(t.type(".") == Lines{"due first", "wait check T2"});
  CHECK(t.type("marked 1001") == Lines{"due first", "wait check T2"});
  CHECK(t.type("check T1") == Lines{"wait check T1"});
  const Lines checked = t.type(t.target(0));
  CHECK(checked[0] == "kept 2 check T1 - -");
  CHECK(checked[1] == "check T1 within");
  CHECK(checked[checked.size() - 2] == "offer 1001 floor");
  CHECK(checked.back() == "wait mark 1001");
  CHECK(t.row(2).target == "T1");
  CHECK(t.row(2).verdict == Verdict::within);
}

TEST_CASE("a reading waits, and is written on y alone") {
  Talk t;
  t.begin();
  const Lines read = t.type(t.at(1001, 0.003, -0.004));
  // Site N = 100 + y, E = 200 + x: dx is easting.
  CHECK(read == Lines{"read 1001 floor 0.0040 -0.0030 0.0050", "wait keep 1001"});
  const std::uint32_t before = t.book.size();
  for (const char* line : {"", "   ", "help", "zz", "yes", "1 "}) {
    CAPTURE(line);
    CHECK(t.last(line) == "wait keep 1001");
  }
  CHECK(t.book.size() == before);
  CHECK(t.type("y") == Lines{"kept 3 marked 1001 floor -", "offer 1002 floor", "wait mark 1002"});
  const Entry& row = t.row(3);
  CHECK(row.site.northing.metres() == doctest::Approx(100.003));
  CHECK(row.site.easting.metres() == doctest::Approx(199.996));
  CHECK(row.setup == "S1");
  CHECK(row.issue == 1);
  CHECK(row.sd_along.micrometres() > 1000);
  CHECK(t.type("y") == Lines{"no keep: no reading waits", "wait mark 1002"});
}

TEST_CASE("y keeps within tolerance, keep: with a reason to a quarter of a metre, nothing beyond") {
  Talk t;
  t.begin();
  t.type(t.at(1001, 0.006));
  CHECK(t.type("y").front() == "kept 3 marked 1001 floor -");
  t.type(t.at(1002, 0.0061));
  CHECK(t.type("y").front().starts_with("no keep:"));
  CHECK(t.last("keep: duct") == "wait mark 1003");
  CHECK(t.row(4).note == "duct");
  t.type(t.at(1003, 0.249));
  CHECK(t.type("keep: duct").front() == "kept 5 marked 1003 floor -");
  // The third mark since the check: another one is due.
  CHECK(t.type("check T1") == Lines{"wait check T1"});
  CHECK(t.last(t.target(0)) == "wait mark 1004");
  t.type(t.at(1004, 0.251));
  CHECK(t.type("keep: duct") ==
        Lines{"no far: 251.0 mm from 1004: no mark is kept over 250.0 mm off", "wait keep 1004"});
  CHECK(t.type("y").front().starts_with("no far:"));
  CHECK(t.type("undo") == Lines{"wait mark 1004"});
}

TEST_CASE("a reading at another number's place says so, and that number takes it over") {
  Talk t;
  t.begin();
  CHECK(t.type(t.at(1002, 0.002)) ==
        Lines{"read 1001 floor -2.0000 -0.0020 2.0000", "near 1002", "wait keep 1001"});
  CHECK(t.type("1002") ==
        Lines{"offer 1002 floor", "read 1002 floor 0.0000 -0.0020 0.0020", "wait keep 1002"});
  CHECK(t.type("y").front() == "kept 3 marked 1002 floor -");
  // Its deck point is at the same place, and another mark.
  t.type("6002");
  CHECK(t.type(t.at(1002)).front() == "read 1002 deck 0.0000 0.0000 0.0000");
  CHECK(t.type("y").front() == "kept 4 marked 1002 deck -");
}

TEST_CASE("on a cross it is asked whether it is the same") {
  Talk t;
  t.begin();
  t.type(t.at(1001));
  t.type("y");
  t.type("1001");
  t.type(t.at(1001, 0.002));
  CHECK(t.type("y") == Lines{"ask same 3", "wait ask 1001"});
  CHECK(t.type("") == Lines{"wait keep 1001"});
  t.type("y");
  CHECK(t.type("1").front() == "kept 4 marked 1001 floor 3");
  t.type("1001");
  t.type(t.at(1001, 0.004));
  t.type("y");
  CHECK(t.type("2").front() == "kept 5 marked 1001 floor -");
  CHECK(t.dialogue->state().find(1001)->floor.size() == 2);
  // Of an open hole likewise.
  t.type("check T1");
  t.type(t.target(0));
  t.type("drilled 1002");
  t.type("6002");
  t.type(t.at(1002, 0.001));
  CHECK(t.type("y").front() == "ask same 7");
  CHECK(t.type("1").front() == "kept 8 marked 1002 deck 7");
}

TEST_CASE("without an instrument acts go, a reading does not") {
  Talk t({"Ada"});
  CHECK(t.open() == Lines{"open 0 1", "offer 1001 floor", "wait mark 1001"});
  CHECK(t.type("45 3").front().starts_with("no setup:"));
  CHECK(t.type("k").front().starts_with("no setup:"));
  CHECK(t.type("check T1").front().starts_with("no check:"));
  CHECK(t.type(".") == Lines{"kept 1 marked 1001 floor -", "offer 1002 floor", "wait mark 1002"});
  CHECK(t.row(1).setup.empty());
  CHECK(
      t.type("drilled 1001 6002") ==
      Lines{"kept 2 drilled 1001 deck -", "kept 3 drilled 1002 deck -",
            "tell no cross on the deck for 6001-6002: the hole counts where issue 1 has it; read it if it is "
            "elsewhere",
            "wait mark 1002"});
}

TEST_CASE("a list is judged as a whole before a row of it is written") {
  Talk t({"Ada"});
  t.open();
  const Lines no = t.type("marked 1001-1004 1013 6014");
  CHECK(no[0].starts_with("no number: 6014") == true);
  CHECK(t.book.size() == 0);
  const Lines dropped = t.type("marked 1012-1015");
  CHECK(dropped[0] == "no dropped: 1013 was dropped");
  CHECK(t.book.size() == 0);
  t.type("marked 1002");
  CHECK(t.type("marked 1001-1003") == Lines{"kept 2 marked 1001 floor -", "kept 3 marked 1003 floor -",
                                            "again 1002", "offer 1004 floor", "wait mark 1004"});
  // One number in two spellings is one act.
  CHECK(t.type("hung 1001").front().starts_with("no act:"));
  CHECK(t.type("cut 1001 6001")[0] == "kept 4 cut 1001 - -");
  CHECK(t.book.size() == 4);
}

TEST_CASE("acts need what stands, and take the thing that is meant") {
  Talk t({"Ada"});
  t.open();
  const struct {
    const char* typed;
    const char* first;
  } rows[] = {{"voided 1001", "no act:"},
              {"filled 1001", "no act:"},
              {"doubtful 1001: x", "no act:"},
              {"taken-down 1001", "no act:"},
              {"hung 1001", "no act:"},
              {"marked 1001", "kept 1 marked 1001 floor -"},
              {"marked 1001", "again 1001"},
              {"cleared 1001: x", "no act:"},
              {"doubtful 1001: kicked", "kept 2 doubtful 1001 floor 1"},
              {"doubtful 1001: kicked", "again 1001"},
              {"cleared 1001: measured", "kept 3 cleared 1001 floor 1"},
              {"voided 1001: new tiles", "kept 4 voided 1001 floor 1"},
              {"marked 6001", "kept 5 marked 1001 deck -"},
              {"drilled 1001", "kept 6 drilled 1001 deck -"},
              {"drilled 6001", "again 1001"},
              {"marked 6001", "again 1001"},
              {"filled 6001", "kept 7 filled 1001 deck 6"},
              {"filled 6001", "again 1001"},
              {"drilled 1013", "no dropped:"},
              {"drilled 1014", "no number:"},
              {"cut 1001", "kept 8 cut 1001 - -"},
              {"cut 1001", "again 1001"},
              {"hung 6001", "kept 9 hung 1001 - -"},
              {"hung 1001", "again 1001"},
              {"taken-down 1001", "kept 10 taken-down 1001 - -"},
              {"hung 1001", "kept 11 hung 1001 - -"},
              {"marked 1041", "no number:"},
              {"1041", "no number:"},
              {"1013", "no dropped:"},
              {"6014", "no number:"}};
  for (const auto& row : rows) {
    CAPTURE(row.typed);
    CHECK(t.type(row.typed).front().starts_with(row.first));
  }
}

TEST_CASE("an entry is undone once, set-ups and checks never") {
  Talk t;
  t.begin();
  t.type(".");
  t.type("drilled 1001");
  CHECK(t.type("undo 1").front().starts_with("no undo:"));
  CHECK(t.type("undo 2").front().starts_with("no undo:"));
  CHECK(t.type("undo 3").front() == "kept 5 undone - - 3");
  CHECK(t.type("undo 3").front().starts_with("no undo:"));
  CHECK(t.type("undo 5").front().starts_with("no undo:"));
  CHECK(t.type("undo 6").front().starts_with("no undo:"));
  CHECK(t.last("") == "wait mark 1001");
  CHECK(t.type("undo").front() == "kept 6 undone - - 4");
  CHECK(t.type("undo").front().starts_with("no undo:"));
}

TEST_CASE("next passes over, hold notes it, and both leave the number to be typed") {
  Talk t({"Ada"});
  t.open();
  CHECK(t.type("next") == Lines{"offer 1002 floor", "wait mark 1002"});
  CHECK(t.type("hold: pipe") == Lines{"kept 1 note 1002 floor -", "offer 1003 floor", "wait mark 1003"});
  CHECK(t.row(1).note == "hold: pipe");
  t.again({"Ada"});
  t.open();
  CHECK(t.last("next") == "wait mark 1003");
  CHECK(t.last("1002") == "wait mark 1002");
}

TEST_CASE("a crew has its numbers alone, and what it does") {
  Talk t({"Ada"});
  t.facts.crew = "south";
  t.facts.does_floor = false;
  CHECK(t.open() == Lines{"open 0 1", "offer 1007 deck", "wait mark 1007"});
  CHECK(t.type("1001").front().starts_with("no number:"));
  CHECK(t.type("drilled 1001 1007").front().starts_with("no number:"));
  CHECK(t.type("note 1001: x").front().starts_with("no number:"));
  CHECK(t.book.size() == 0);
  CHECK(t.last("1007") == "wait mark 1007");
}

TEST_CASE("numbers of a newer issue wait, the rest goes on") {
  Talk t({"Ada"});
  t.open();
  t.dialogue->hear(NewerIssue{2, {1001, 1002, 1003}});
  const Lines told = t.type(".");
  CHECK(t.book.size() == 0);
  CHECK(told[0].starts_with("no issue:"));
  CHECK(told[1].starts_with("tell issue 2 is out"));
  CHECK(told[1].find("1001-1003") != std::string::npos);
  CHECK(told.back() == "wait mark 1004");
  CHECK(t.type("1001").front().starts_with("no issue:"));
  CHECK(t.type("marked 1001").front().starts_with("no issue:"));
  CHECK(t.type("drilled 1001").front() == "kept 1 drilled 1001 deck -");
  CHECK(t.type(".").front() == "kept 2 marked 1004 floor -");
}

TEST_CASE("the time is the clock's, or what is stated and never goes back") {
  Talk t({"Ada", "", false, "2026-11-28T06:00Z"});
  t.open();
  t.type(".");
  CHECK(t.row(1).time == "2026-11-28T06:00Z");
  CHECK(t.type("at 2026-11-28T05:59Z").front().starts_with("no time:"));
  CHECK(t.type("at noon").front().starts_with("no time:"));
  t.type("at 2026-11-28T08:00+01:00");
  t.type(".");
  CHECK(t.row(2).time == "2026-11-28T08:00+01:00");
  t.again({"Ada", "", false, "2026-11-28T06:59Z"});
  CHECK(t.open()[1].starts_with("no time:"));
  CHECK(t.answer().is_refused);
  t.again({"Ada"});
  t.minute = -120;
  CHECK(begins(t.open(), "tell the clock"));
  CHECK_FALSE(begins(t.type("."), "tell the clock"));
  CHECK(t.type("at 2026-11-28T09:00Z").front().starts_with("no time:"));
}

TEST_CASE("ticks of a sheet are of its issue, all of them or none") {
  Talk t({"Ada"});
  const auto ticks = [&t](std::string_view text, std::string_view sheet) {
    t.dialogue =
        std::make_unique<Dialogue>(t.facts, BookRequest{"Ada"}, t.book, std::vector<const Book*>{&t.book}, 0);
    return t.lines(t.dialogue->ticks(text, sheet, t.clock()));
  };
  const std::string floor = sheet_id_text({1, SheetKind::floor, 1}),
                    rods = sheet_id_text({1, SheetKind::rods, 2}),
                    deck = sheet_id_text({1, SheetKind::deck, 1}),
                    newer = sheet_id_text({2, SheetKind::floor, 1});
  const Lines good = ticks("marked 1001-1003 but 1002", floor);
  CHECK(good[1] == "kept 1 marked 1001 floor -");
  CHECK(good[2] == "kept 2 marked 1003 floor -");
  CHECK(good.back() == "bye 2");
  CHECK(t.row(1).source == EntrySource::sheet);
  CHECK(has(ticks("marked 1001 1003", floor), "again 1003"));
  const struct {
    const char* text;
    std::string sheet;
    const char* no;
  } rows[] = {{"marked 1004", "1101-00", "no sheet:"},
              {"marked 1004", newer, "no sheet:"},
              {"marked 1004", deck, "no sheet:"},
              {"marked 6004", floor, "no sheet:"},
              {"cut 1004", floor, "no sheet:"},
              {"marked 1004", rods, "no sheet:"},
              {"1004", floor, "no word:"},
              {"marked", floor, "no word:"},
              {"note 1004: x", floor, "no word:"},
              {"marked 1004 1013", floor, "no dropped:"}};
  for (const auto& row : rows) {
    CAPTURE(row.text);
    CHECK(begins(ticks(row.text, row.sheet), row.no));
    CHECK(t.answer().is_refused);
    CHECK(t.book.size() == 2);
  }
  CHECK(begins(ticks("cut 1004", rods), "kept 3 cut"));
}

TEST_CASE("the last line for the daily report has the last chain and the day's counts") {
  Talk t({"Ada"});
  t.open();
  t.type("marked 1001-1004");
  t.type("drilled 1001");
  t.type("undo 2");
  const Lines end = t.type("end");
  const std::string chain(t.book.chain());
  CHECK(end ==
        Lines{"tell entry 6, " + chain.substr(0, 4) + "-" + chain.substr(4, 4) + ", 3 marked, 1 drilled",
              "bye 6"});
}

TEST_CASE("what was acknowledged is what the file has") {
  Talk t;
  t.begin();
  t.type(t.at(1001));
  t.type("y");
  t.type("drilled 1001: anchor, \"big\"");
  const BookFound found =
      read_book(std::make_shared<const std::string>(Book::header() + t.file), "", "0123456789abcdef");
  CHECK_FALSE(found.broken);
  REQUIRE(found.book.size() == t.book.size());
  CHECK(found.book.chain() == t.book.chain());
  CHECK(found.book.entries().back().note == "anchor, \"big\"");
}

TEST_CASE("what another crew made meanwhile is offered no more") {
  Talk t({"Ada"});
  t.open();
  Book other("north", "0123456789abcdef");
  Entry e;
  e.act = Act::marked;
  e.number = 1001;
  e.level = EntryLevel::floor;
  e.issue = 1;
  e.time = "2026-11-28T07:00Z";
  e.at = *instant_of(e.time);
  other.add(e);
  t.dialogue->hear({&t.book, &other}, 0);
  // What is typed is about what was told, not about what is offered next.
  CHECK(t.type(".") == Lines{"again 1001", "offer 1002 floor", "wait mark 1002"});
  CHECK(t.type("voided 1001").front() == "kept 1 voided 1001 floor north:1");
}

TEST_CASE("a note that begins with hold is no hold") {
  Talk t({"Ada"});
  t.open();
  t.type("note 1001: holds water");
  CHECK(t.last("") == "wait mark 1001");
  t.again({"Ada"});
  CHECK(t.open().back() == "wait mark 1001");
}
