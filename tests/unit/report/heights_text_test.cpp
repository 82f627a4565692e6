// Heights in words: closures against their limits, brackets and how good they are.
#include "report/heights_text.h"

#include <doctest/doctest.h>

#include "support/text.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

Length mm(double v) { return Length::millimetres(v); }

HeightsPage page_of(std::vector<ClosureLine> closures, std::vector<BracketLine> brackets = {}) {
  HeightsPage page;
  page.benchmarks = 1, page.spare = 1;
  page.closures = std::move(closures);
  page.brackets = std::move(brackets);
  page.bracket_limit = mm(3);
  return page;
}

}  // namespace

TEST_CASE("a closure beyond its limit reads otherwise than the limit, one within as it rounds") {
  struct Row {
    double by, limit;
    bool is_within;
    LengthUnit small;
    std::string by_text, limit_text;
  };
  for (const Row& r : {Row{3.04, 3, false, LengthUnit::metre, "3.04", "3.00"},
                       Row{-3.2, 3, false, LengthUnit::metre, "3.2", "3.0"},
                       Row{2.96, 3, true, LengthUnit::metre, "3.0", "3.0"},
                       Row{3.0002, 3, false, LengthUnit::metre, "3.0002", "3.0000"},
                       // 1/8 in is 3.175 mm: both are 1/8 to sixteenths
                       Row{3.1, 3, false, LengthUnit::feet_inches, "0.122", "0.118"}}) {
    CAPTURE(r.by);
    const ClosureText text = closure_text({"", mm(r.by), mm(r.limit), r.is_within}, r.small);
    CHECK(text.by == r.by_text);
    CHECK(text.limit == r.limit_text);
  }
}

TEST_CASE(
    "a row says which way it closes; one that closes on nothing says no way, one over its width folds") {
  const std::string text =
      heights_short_text(page_of({{"the line from BM1 over L1 to BM2", mm(-1.2), mm(3)},
                                  {"laser A, BM1 read again", mm(0), mm(3)},
                                  {"laser B, a benchmark of a long name and BM2", mm(4), mm(3), false}}));
  CHECK(says(text, "line from BM1 over L1 to BM2         1.2 mm low  permitted 3.0 mm  within\n"));
  CHECK(says(text, "laser A, BM1 read again              0.0 mm      permitted 3.0 mm  within\n"));
  CHECK(says(text, "  laser B, a benchmark of a long name and BM2\n"));
  CHECK(says(text, "4.0 mm high permitted 3.0 mm  outside\n"));
  for (const std::string& line : lines_of(text)) CHECK(line.size() <= 80);
}

TEST_CASE(
    "brackets stand in the order given, and say how good they are where that is not half of the limit") {
  const BracketLine low{1002, "H2", mm(-7.4), mm(0.7), Verdict::outside},
      high{1001, "H1", mm(1), mm(0.5), Verdict::within};
  std::string text = brackets_text(page_of({}, {low, high}));
  CHECK(says(text, "BRACKETS  2 measured, 1 within 3.0 mm; the worst first"));
  CHECK(says(text, "7.4 mm too low "));
  CHECK(says(text, "1.0 mm too high"));
  CHECK(text.find("H2") < text.find("H1"));
  CHECK_FALSE(says(text, "good to"));  // 1.96 times 0.7 is 1.4, half of 3 is 1.5
  BracketLine unsure = low;
  unsure.sd = mm(0.8);
  text = brackets_text(page_of({}, {unsure, high}));
  CHECK(says(text, "good to 1.6 mm (95 %), where half of what is permitted is 1.5 mm\n"));
  CHECK(brackets_text(page_of({})).empty());
}

TEST_CASE("where heights do not close no bracket is to be moved by them") {
  const BracketLine b{1001, "H1", mm(1), mm(0.5), Verdict::within};
  const std::string move_none = "The heights do not close: move no bracket by these.";
  CHECK_FALSE(says(brackets_text(page_of({{"a", mm(1), mm(3), true}}, {b})), move_none));
  CHECK(
      says(brackets_text(page_of({{"a", mm(1), mm(3), true}, {"b", mm(4), mm(3), false}}, {b})), move_none));
}

TEST_CASE("of more than sixty brackets the rest is counted") {
  const std::string text =
      brackets_text(page_of({}, std::vector<BracketLine>(63, {1001, "H1", mm(1), mm(0.5), Verdict::within})));
  CHECK(says(text, "and 3 more, in asbuilt.csv"));
}
