#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numbers>
#include <string>

#include "book/dialogue.h"
#include "talk.h"

using namespace deckmark;
using talk::begins;
using talk::has;
using talk::Lines;
using talk::Talk;

TEST_CASE("a check is due after so many marks, after so many minutes and after a knock, and told once") {
  Talk t;
  t.begin();
  t.type(".");
  t.type(".");
  CHECK(t.type(".") == Lines{"kept 5 marked 1003 floor -", "due count", "wait check T1"});
  CHECK(t.type("") == Lines{"wait check T1"});
  // Other acts go on.
  CHECK(t.type("drilled 1001").front() == "kept 6 drilled 1001 deck -");
  // A mark's place is no target: nothing is written.
  CHECK(t.type(t.at(1004)) == Lines{"no target: that is 1004's place: read T1 first", "wait check T1"});
  CHECK(t.type(t.target(0))[1] == "check T1 within");
  t.minute = 29;
  CHECK(t.last("") == "wait mark 1004");
  t.minute = 30;
  // The reading was meant for a mark: it is not taken for the check.
  const std::uint32_t before = t.book.size();
  CHECK(t.type(t.at(1004)) == Lines{"due time", "wait check T1"});
  CHECK(t.book.size() == before);
  t.type(t.target(0));
  CHECK(t.type("k") == Lines{"kept 9 note - - -", "due asked", "wait check T1"});
  CHECK(t.row(9).note == "knocked");
  t.again({"Ada", "S1"});
  CHECK(t.open() == Lines{"open 9 1", "resumed S1", "due asked", "wait check T1"});
}

TEST_CASE("a check outside stops the setup and tells which marks are doubtful") {
  Talk t;
  t.begin();
  t.type(".");
  t.type(".");
  t.type(".");
  t.type(t.target(0));
  t.type("1005");
  t.type(".");
  t.type("6001");
  t.type(".");
  t.type("check");
  const Lines out = t.type(t.target(0, 60));
  CHECK(out[1] == "check T1 outside");
  CHECK(out[2] == "stop S1");
  CHECK(out[3] == "doubtful 1005 6001");
  CHECK(has(out, "due out"));
  CHECK(out.back() == "wait check T1");
  CHECK(begins(out, "tell the instrument turned by 60"));
  CHECK(t.type("1006").back() == "wait check T1");
  CHECK(t.type("setup S1").front().starts_with("no setup:"));
  // Another standing is good at once; the first stays out.
  CHECK(t.type("setup S2").back() == "wait check T2");
  CHECK(t.type("end").back() == "bye 10");
  CHECK_FALSE(t.answer().is_out);
}

TEST_CASE("a slip is cured by reading again; ended with a check out it says so") {
  Talk t;
  t.begin();
  t.type(".");
  t.type("check T1");
  t.type(t.target(0, 60));
  const Lines again = t.type(t.target(0));
  CHECK(again[1] == "check T1 within");
  CHECK(again.back() == "wait mark 1002");
  CHECK_FALSE(t.dialogue->state().is_doubtful(t.dialogue->state().find(1001)->floor.front()));
  t.type("check T1");
  t.type(t.target(0, 60));
  t.lines(t.dialogue->finish(t.clock()));
  CHECK(t.answer().is_out);
  CHECK(t.answer().is_over);
}

TEST_CASE("a reading of another target is no check of the one that waits") {
  Talk t;
  t.begin();
  t.type("check T1");
  const std::uint32_t before = t.book.size();
  CHECK(t.type(t.target(1, 30)) ==
        Lines{"no target: that is T2: read T1, or check T2 and read again", "wait check T1"});
  CHECK(t.book.size() == before);
}

TEST_CASE("two other targets within let the setup go on") {
  Talk t;
  t.begin();
  t.type("check T1");
  t.type(t.target(0, 60));
  t.type("check T2");
  CHECK(has(t.type(t.target(1)), "due out"));
  t.type("check T3");
  CHECK(t.last(t.target(2)) == "wait mark 1001");
}

TEST_CASE("a standing is resumed within minutes of the last row, else a new one begins") {
  Talk t;
  t.begin();
  t.type(".");
  const std::uint32_t rows = t.book.size();
  t.minute = 30;
  t.again({"Bo", "s1"});
  CHECK(t.open()[1] == "resumed S1");
  CHECK(t.book.size() == rows);
  t.minute = 31;
  t.again({"Bo", "S1"});
  CHECK(t.open()[1] == "kept 4 set-up - - -");
  // Out, it is resumed to be cured, and no new standing is taken ...
  t.type("check T1");
  t.type(t.target(0, 120));
  t.again({"Bo", "S1"});
  CHECK(t.open() == Lines{"open 5 1", "resumed S1", "due out", "wait check T1"});
  t.minute = 90;
  t.again({"Bo", "S1"});
  CHECK(t.open()[1].starts_with("no setup:"));
  CHECK(t.answer().is_refused);
  // ... unless its readings were taken anew.
  t.facts.setups[0].result.orientation = Angle::degrees(0.01);
  t.again({"Bo", "S1"});
  CHECK(t.open()[1] == "kept 6 set-up - - -");
}

TEST_CASE("heights alone that are off say that it sank, and stop nothing") {
  Talk t;
  t.begin();
  // A slope that sees T2, 35 m away, 1 m above the axis, then 12 mm higher.
  const auto polar = [](double up, const char* pole) {
    const double flat = 35, zenith = std::atan2(flat, up) * 180 / std::numbers::pi;
    char out[80];
    std::snprintf(out, sizeof out, "90 %.6f %.5f%s", zenith, std::hypot(flat, up), pole);
    return std::string(out);
  };
  t.type("check T2");
  t.type(polar(1, " 1.0"));
  t.type("check T2");
  const Lines sank = t.type(polar(1.012, " 1.0"));
  CHECK(has(sank, "check T2 within"));
  CHECK(has(sank, "tell the instrument sank 12.0 mm"));
  CHECK(sank.back() == "wait mark 1001");
  // Another pole that nobody typed is no instrument that rose.
  t.type("check T2");
  CHECK_FALSE(begins(t.type(polar(1.5, "")), "tell the instrument"));
}
