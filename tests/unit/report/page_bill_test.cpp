// Parts on the page: runs that cannot begin and what is short, and no word where nothing is judged.
#include <doctest/doctest.h>

#include "page_support.h"
#include "support/page_reader.h"
#include "support/text.h"

using namespace page_test;
using namespace deckmark_test;

namespace {

std::string parts_of(const JobPage& page) { return text_of(section(read_page(page_html(page)), "Parts")); }
}  // namespace

TEST_CASE("a page without a bill has no section of parts") {
  CHECK_FALSE(says(page_html(small_page()), ">Parts<"));
}

TEST_CASE("runs that cannot begin come first with what they lack, then the parts that are short") {
  JobPage page = small_page();
  page.bill = BillWords{5,        {{"O1", "1 O1-P3"}},
                        "2 CLIP", {"R1"},
                        true,     {{"CLIP", 84, 90, 90, 0, 0, 6}, {"O1-P3", 2, 2, 2, 1, 1, 0}}};
  const std::string text = parts_of(page);
  CHECK(says(text, "1 of 5 runs cannot begin for want of parts."));
  CHECK(says(text, "O11 O1-P3"));
  CHECK(says(text, "hangers of no run2 CLIP"));
  CHECK(says(text, "O1-P322211"));        // drawing 2, bill 2, arrived 2, damaged 1, short 1
  CHECK_FALSE(says(text, "CLIP849090"));  // nothing of it is short
}

TEST_CASE("by the bill alone that is said, and what no table states has a dash") {
  JobPage page = small_page();
  page.bill = BillWords{2, {}, "", {"R1", "R2"}, false, {{"CAP", 4, 3, {}, {}, 1, 0}}};
  const std::string text = parts_of(page);
  CHECK(says(text, "No run lacks a part, by the bill: nothing says what arrived."));
  CHECK(says(text, "CAP43--1"));
}

TEST_CASE("of more than sixty runs or parts the rest is counted") {
  JobPage page = small_page();
  BillWords bill;
  bill.runs = 70;
  bill.says_what_arrived = true;
  for (int i = 0; i < 63; ++i) {
    bill.stuck.push_back({"R", "1 X"});
    bill.parts.push_back({"X", 1, 0, 0, 0, 1, 0});
  }
  page.bill = bill;
  const std::string text = parts_of(page);
  const std::size_t first = text.find("3 more in short.csv.");
  CHECK(first != std::string::npos);
  CHECK(text.find("3 more in short.csv.", first + 1) != std::string::npos);
}
