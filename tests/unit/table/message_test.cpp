#include "table/message.h"

#include <doctest/doctest.h>

#include "table/meant_word.h"

using namespace deckmark;

TEST_CASE("problems come in file order whatever order they were found in") {
  const auto source = Source::from_bytes("a.csv", "x\ny\nz\n");
  Messages m;
  m.problem(Where::in(source, 4), "x", std::string("third"));
  m.problem(Where::in(source, 0), "x", std::string("first"));
  m.problem(Where::whole("b.csv"), "file", std::string("other file"));
  m.problem(Where::in(source, 2), "x", std::string("second"));
  const auto all = m.sorted(Grade::problem);
  REQUIRE(all.size() == 4);
  CHECK(message_line(all[0]) == "a.csv:1:1: x: first");
  CHECK(message_line(all[1]) == "a.csv:2:1: x: second");
  CHECK(message_line(all[2]) == "a.csv:3:1: x: third");
  CHECK(message_line(all[3]) == "b.csv: file: other file");
}

TEST_CASE("a hundred problems a file, ten doubts a kind, then the exact count of the rest") {
  const auto source = Source::from_bytes("a.csv", std::string(3000, '\n'));
  Messages m, part;
  for (std::uint32_t i = 0; i < 250; ++i)
    (i % 2 ? m : part).problem(Where::in(source, 2499 - i), "x", std::string("bad"));
  for (std::uint32_t i = 0; i < 25; ++i) m.doubt("spacing", Where::in(source, i), "x", "wide");
  m.merge(std::move(part));
  CHECK(m.problems() == 250);
  const auto problems = m.sorted(Grade::problem);
  REQUIRE(problems.size() == 101);
  CHECK(problems[0].place.line == 2251);  // the first in the file, though found last
  CHECK(problems[99].place.line == 2350);
  CHECK(message_line(problems[100]) == "a.csv: and 150 more");
  const auto doubts = m.sorted(Grade::doubt);
  REQUIRE(doubts.size() == 11);
  CHECK(message_line(doubts[10]) == "a.csv: and 15 more: spacing");
}

TEST_CASE("the nearest known word is named, a far one is not") {
  const std::vector<std::string> known = {"elevation", "shots", "flatness"};
  CHECK(nearest_word("elevaton", known) == "elevation");
  CHECK(nearest_word("elevatoin", known) == "elevation");  // exchanged neighbours
  CHECK(nearest_word("shot", known) == "shots");
  CHECK(nearest_word("colour", known) == std::nullopt);
}

TEST_CASE("a word is offered only where nothing else can be meant") {
  const std::vector<std::string> known{"CP1", "CP2", "north", "ground", "x", "y"};
  CHECK(meant_word("nrth", known) == "north");
  CHECK(meant_word("gruond", known) == "ground");
  CHECK(meant_word("CP9", known) == std::nullopt);  // another digit is another name
  CHECK(meant_word("CP", known) == std::nullopt);
  CHECK(meant_word("z", known) == std::nullopt);  // x or y
  CHECK(meant_word(std::string(1000, 'n'), known) == std::nullopt);
}

TEST_CASE("a message that is told shows all its characters") {
  // 2026-11-27: what stood raw in the text of a message reached the screen.
  Messages messages;
  messages.doubt("k", Where::whole("f\x1b\n"), "fi\u202Eeld", "te\x07xt\nFORGED \xff");
  const auto told = messages.sorted(Grade::doubt);
  REQUIRE(told.size() == 1);
  CHECK(message_line(told[0]) == "fU+001BU+000A: fiU+202Eeld: teU+0007xtU+000AFORGED 0xFF");
}

TEST_CASE("notices of one kind are one line: the first, how many more, where the next are") {
  const auto source = Source::from_bytes("d.csv", "aa,bb\ncc,dd\nee,ff\ngg,hh\n");
  const auto at = [&](std::uint32_t offset) { return Where::in(source, offset); };
  Messages messages;
  for (const std::uint32_t offset : {9U, 0U, 3U, 6U})  // told out of order
    messages.notice("alike", at(offset), "x", "cell " + std::to_string(offset));
  messages.notice("alone", at(12), "y", "one of its own");
  auto told = messages.folded(Grade::notice);
  REQUIRE(told.size() == 2);
  CHECK(message_line(told[0]) == "d.csv:1:1: x: cell 0; and 3 more like it: d.csv:1:4, d.csv:2:1, d.csv:2:4");
  CHECK(message_line(told[1]) == "d.csv:3:1: y: one of its own");
  CHECK(messages.sorted(Grade::notice).size() == 5);  // one by one they are all there
  for (std::uint32_t i = 0; i < 36; ++i) messages.notice("alike", at(18), "x", "again");
  told = messages.folded(Grade::notice);
  CHECK(message_line(told[0]) ==
        "d.csv:1:1: x: cell 0; and 39 more like it: d.csv:1:4, d.csv:2:1, d.csv:2:4, ...");
  CHECK(messages.folded(Grade::doubt).empty());
}

TEST_CASE("problems of one column become one where they are most of the rows") {
  const auto told = [](std::size_t bad, std::size_t rows) {
    Messages m;
    for (std::size_t i = 0; i < bad; ++i)
      m.problem(Where::at("a.csv", {static_cast<std::uint32_t>(i) + 2, 3}), "level",
                Fault{"\"" + std::to_string(i) + "\"", "floor or deck", "floor"});
    m.problem(Where::at("a.csv", {2, 1}), "point", Fault{"an empty cell", "a name", ""});
    m.fold_alike(rows, [](std::string_view) { return Where::at("a.csv", {1, 3}); });
    return m;
  };
  const Messages most = told(200, 250);
  CHECK(most.problems() == 2);
  const auto lines = most.sorted(Grade::problem);
  REQUIRE(lines.size() == 2);
  CHECK(
      message_line(lines[0]) ==
      "a.csv:1:3: level: found \"0\", in the first of 200 rows that are alike, expected floor or deck; look "
      "at "
      "the header, and at the unit");
  CHECK(message_line(lines[1]) == "a.csv:2:1: point: found an empty cell, expected a name");
  CHECK(told(10, 20).problems() == 11);  // no more than half
  CHECK(told(9, 9).problems() == 10);    // few enough to be told one by one
}

TEST_CASE("problems alone are kept, all of them counted") {
  Messages m;
  for (std::uint32_t i = 0; i < Messages::kProblemsKept + 20; ++i)
    m.problem(Where::at("a.csv", {i + 1, 1}), "x", "bad");
  m.doubt("kind", Where::whole("a.csv"), "x", "odd");
  m.notice("kind", Where::whole("a.csv"), "x", "done");
  m.keep_problems();
  CHECK(m.problems() == Messages::kProblemsKept + 20);
  CHECK(m.doubts() == 0);
  CHECK(m.sorted(Grade::doubt).empty());
  CHECK(m.sorted(Grade::notice).empty());
  CHECK(m.sorted(Grade::problem).back().text == "and 20 more");
}
