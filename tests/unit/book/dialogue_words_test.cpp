// Sentences that a person acts on: each is told where it is true, and not where it is false.
#include <doctest/doctest.h>

#include <iterator>
#include <string>

#include "book/book_columns.h"
#include "book/dialogue.h"
#include "talk.h"

using namespace deckmark;
using talk::begins;
using talk::has;
using talk::Lines;
using talk::Talk;

namespace {

FilePoint stored(const Talk& t, const std::string& name, double northing, double easting) {
  FilePoint out{name, {{.northing = Length::metres(northing), .easting = Length::metres(easting)}}};
  out.setup = "S1";
  out.time = t.clock();
  out.states_time = true;
  out.reading = "c";
  return out;
}

}  // namespace

TEST_CASE("what ends with a reading that waits was read and not kept; nothing is told where none waits") {
  Talk t;
  t.begin();
  CHECK_FALSE(begins(t.type("end"), "tell 1001 was read"));
  t.again({"Ada", "S1"});
  t.open();
  t.type(t.at(1001));
  CHECK(has(t.type("end"), "tell 1001 was read, not kept"));
  CHECK(t.book.size() == 2);
}

TEST_CASE("marks and knocks since the last check are counted at the end") {
  const struct {
    Lines typed;
    std::string want;
  } kRows[] = {
      {{}, ""},
      {{"."}, "tell 1 mark since the last check: read T1 before the tripod is moved"},
      {{".", "."}, "tell 2 marks since the last check: read T1 before the tripod is moved"},
      {{".", "k"}, "tell a knock since the last check: read T1 before the tripod is moved"},
  };
  for (const auto& r : kRows) {
    Talk t;
    t.begin();
    for (const std::string& line : r.typed) t.type(line);
    const Lines out = t.type("end");
    CAPTURE(r.want);
    CHECK(begins(out, "tell ") == true);
    CHECK(has(out, r.want) == !r.want.empty());
    if (r.want.empty())
      for (const std::string& line : out) CHECK(line.find("since the last check") == std::string::npos);
  }
}

TEST_CASE("marks whose doubt a check read again takes away are named") {
  Talk t;
  t.begin();
  t.type(".");
  t.type(".");
  t.type("check");
  CHECK(has(t.type(t.target(0, 60)), "doubtful 1001-1002"));
  const Lines cured = t.type(t.target(0));
  CHECK(has(cured, "tell 1001-1002 stand again"));
  t.type("check");
  CHECK_FALSE(begins(t.type(t.target(0)), "tell 1001"));
}

TEST_CASE("undo takes back what its writer did last, says what, and another's only by its number") {
  Talk t;
  t.begin();
  t.type(".");
  t.again({"Bo", "S1"});
  t.open();
  CHECK(t.type("undo").front().starts_with("no undo:"));
  t.type(".");
  t.type("undo");
  CHECK(t.answer().said.front().text == "marked 1002");
  CHECK(t.row(5).of.entry == 4);
  CHECK(t.type("undo 3").front() == "kept 6 undone - - 3");
  CHECK(t.answer().said.front().text == "marked 1001");
}

TEST_CASE("a check's reading that lies elsewhere is refused, and nothing is written") {
  Talk t;
  t.begin();
  t.type("check");
  const std::uint32_t before = t.book.size();
  CHECK(t.type(t.at(6001 - 5000)).front() == "no target: that is 1001's place: read T1 first");
  // The same way, 4 m short: no mark is there.
  CHECK(
      t.type(t.target(0, 0, -4)).front() ==
      "no target: 4.00 m from T1: another target, or the instrument stands elsewhere: read its control anew");
  CHECK(t.book.size() == before);
  // Up to a metre it is a check that is out.
  CHECK(t.type(t.target(0, 0, -0.9))[1] == "check T1 outside");
}

TEST_CASE("a target's reading typed at a mark is told as that") {
  Talk t;
  t.begin();
  CHECK(has(t.type(t.target(1)), "tell that is T2: type check T2, then read it"));
  CHECK_FALSE(begins(t.type(t.at(1001, 0.004)), "tell that is"));
}

TEST_CASE("a hole that no cross was made for is told with the issue that it counts by") {
  Talk t;
  t.begin();
  t.type("6001");
  t.type(".");
  CHECK_FALSE(begins(t.type("drilled 6001"), "tell no cross"));
  CHECK(begins(t.type("drilled 6002 6003"),
               "tell no cross on the deck for 6002-6003: the hole counts where issue 1 has it"));
}

TEST_CASE(
    "two targets within lift a stop; where only a turn or a move fits all three it is told to set up anew") {
  // By how much T1, and then T2 and T3, are read too far: with 20" a check shows 150 to 160" at the first.
  const struct {
    double first, others;
    bool is_told;
  } kRows[] = {{160, 100, true}, {160, 40, false}, {120, 100, false}};
  for (const auto& r : kRows) {
    CAPTURE(r.others);
    Talk t;
    t.facts.instrument.angle_sd = Angle::arc_seconds(20);
    t.begin();
    t.type("check");
    t.type(t.target(0, r.first));
    t.type("check T2");
    t.type(t.target(1, r.others));
    t.type("check T3");
    const Lines out = t.type(t.target(2, r.others));
    CHECK(out.back().starts_with("wait mark"));
    std::string all;
    for (const std::string& line : out) all += line + "\n";
    CHECK((all.find(": two targets are within, so marks are taken; safer is to set up anew") !=
           std::string::npos) == r.is_told);
  }
}

TEST_CASE("a check from a file is told as one that is typed: how far off, and what it could miss") {
  Talk typed, filed;
  typed.begin();
  filed.open();
  std::vector<FileFault> faults;
  const auto& at = filed.facts.targets[0].mark.at.at;
  const BookAnswer answer = filed.dialogue->file(
      {stored(filed, "T1", at.northing.metres() + 0.002, at.easting.metres())}, filed.clock(), faults);
  REQUIRE(faults.empty());
  const auto is_check = [](const Said& s) { return s.kind == SaidKind::check; };
  const auto said = std::find_if(answer.said.begin(), answer.said.end(), is_check);
  REQUIRE(said != answer.said.end());
  CHECK(said->off.millimetres() == doctest::Approx(2).epsilon(1e-6));
  const auto by_hand = std::find_if(typed.answer().said.begin(), typed.answer().said.end(), is_check);
  REQUIRE(by_hand != typed.answer().said.end());
  REQUIRE(said->missed);
  REQUIRE(by_hand->missed);
  // Never less than was computed, in the digits that are told.
  CHECK(said->missed->turn.arc_seconds() == doctest::Approx(by_hand->missed->turn.arc_seconds()));
  CHECK(said->missed->move.millimetres() == doctest::Approx(by_hand->missed->move.millimetres()));
}

TEST_CASE("every act stands in what the book says of its column") {
  std::string acts;
  for (std::size_t a = 0; a < kActs; ++a)
    acts += (a == 0 ? "" : ", ") + std::string(act_word(static_cast<Act>(a)));
  for (const OutColumn& c : kBookColumns)
    if (c.name == "act") CHECK(c.meaning == acts);
}
