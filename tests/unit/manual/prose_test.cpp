// Text in blocks, and in lines of a width.
#include "manual/prose.h"

#include <doctest/doctest.h>

#include "manual/manual.h"
#include "measure/utf8.h"
#include "sample.h"
#include "support/text.h"

using namespace deckmark;
using namespace deckmark_test;

TEST_CASE("prose: lines are as full as their width allows, in characters, and no longer") {
  struct Row {
    const char *first, *next, *words, *want;
    std::size_t width;
  };
  for (const Row& r : {
           Row{"", "", "one two three", "one two\nthree\n", 7},
           Row{"", "", "one two three", "one\ntwo\nthree\n", 6},
           Row{"- ", "  ", "one two three", "- one two\n  three\n", 9},
           Row{"- ", "  ", "one two three", "- one\n  two\n  three\n", 8},
           Row{"", "", "4° 5° 6°", "4° 5°\n6°\n", 6},  // characters, not bytes
           Row{"", "", "averylongword and", "averylongword\nand\n", 5},
           Row{"", "", "  blanks   between ", "blanks between\n", 20},
           Row{"a:", "", "", "a:\n", 9},
       }) {
    CAPTURE(r.words);
    CHECK(filled(r.first, r.next, r.words, r.width) == r.want);
  }
}

TEST_CASE("prose: paragraphs are joined, items hang, and what begins with two blanks stands") {
  const std::string text =
      "A paragraph\nof two lines.\n\n  kept   as it is\n  and this\n- an item that\n  goes on\n- another\n"
      "\nThe end.\n";
  CHECK(filled(blocks_of(text), 14) ==
        "A paragraph of\ntwo lines.\n\n  kept   as it is\n  and this\n- an item that\n  goes on\n"
        "- another\n\nThe end.\n");
  CHECK(filled(blocks_of(text), 60) ==
        "A paragraph of two lines.\n\n  kept   as it is\n  and this\n- an item that goes on\n"
        "- another\n\nThe end.\n");
  CHECK(blocks_of("").empty());
}

TEST_CASE("prose: a meaning begins at its column, under a term that reaches it") {
  CHECK(defined("ab", "one two", 6, 13) == "  ab  one two\n");
  CHECK(defined("abc", "one two", 6, 13) == "  abc\n      one two\n");
  CHECK(defined("ab", "one two three", 6, 13) == "  ab  one two\n      three\n");
}

TEST_CASE("prose: nothing that help tells is wider than the screen, from 60 columns up") {
  std::vector<std::pair<std::string, std::string>> asked;
  for (const ManualTopic& t : manual_topics()) asked.emplace_back(t.word, "");
  for (const auto& row : manual_rows("keys")) asked.emplace_back("keys", row[0]);
  for (const auto& row : manual_rows("tables")) asked.emplace_back("tables", row[0]);
  for (const auto& row : manual_rows("files")) asked.emplace_back("files", row[0]);
  std::size_t told = 0;
  for (const std::size_t width : {60U, 80U, 120U}) {
    for (const auto& one : asked) {
      const std::string &topic = one.first, &name = one.second;
      if (name == "section" || name == "table" || name == "file") continue;  // the header
      CAPTURE(topic);
      CAPTURE(name);
      const auto text = manual_text(sample_manual(), topic, name, width);
      REQUIRE(text);
      for (const std::string& line : lines_of(*text)) {
        CAPTURE(line);
        CHECK(character_count(line) <= width);
        CHECK_FALSE(line.ends_with(' '));
      }
      ++told;
    }
  }
  CHECK(told > 500);
}
