// Heights on the page: what closes, and brackets the worst first; no word where nothing was read.
#include <doctest/doctest.h>

#include "page_support.h"
#include "support/page_reader.h"
#include "support/text.h"

using namespace page_test;
using namespace deckmark_test;

namespace {

std::string heights_of(const JobPage& page) {
  return text_of(section(read_page(page_html(page)), "Heights by level and laser"));
}
Length mm(double v) { return Length::millimetres(v); }

HeightsPage some_heights() {
  HeightsPage h;
  h.benchmarks = 2, h.spare = 1;
  h.closures = {{"the line from BM1 over L1 to BM2", mm(-1.2), mm(3), true},
                {"laser A, BM1 and BM2", mm(12.3), mm(3), false},
                {"the line from BM1 over L9 to X", {}, mm(3), true}};
  for (int i = 0; i < 3; ++i)
    h.heights.push_back({.point = "T", .elevation = Elevation::metres(1), .sd = mm(1)});
  h.bracket_limit = mm(3);
  h.brackets = {{1002, "H2", mm(-7.4), mm(1), Verdict::outside}, {1001, "H1", mm(1), mm(1), Verdict::within}};
  return h;
}

}  // namespace

TEST_CASE("a page without readings has no section of heights") {
  CHECK_FALSE(says(page_html(small_page()), "Heights by level and laser"));
}

TEST_CASE("what closes stands with its limit, an open line does not; brackets stand the worst first") {
  JobPage page = small_page();
  page.heights = some_heights();
  const std::string text = heights_of(page);
  CHECK(says(text, "2 benchmarks, 3 heights."));
  CHECK_FALSE(says(text, "Nothing checks"));
  CHECK(says(text, "the line from BM1 over L1 to BM21.2 low3.0"));
  CHECK(says(text, "laser A, BM1 and BM212.3 high3.0"));
  CHECK_FALSE(says(text, "over L9"));
  CHECK_FALSE(says(text, "datum line"));
  const std::size_t worst = text.find("1002H27.4 low2.0"), other = text.find("1001H11.0 high2.0");
  REQUIRE(worst != std::string::npos);
  REQUIRE(other != std::string::npos);
  CHECK(worst < other);
}

TEST_CASE("the datum line, and that nothing checks the heights") {
  JobPage page = small_page();
  page.heights = some_heights();
  page.heights->spare = 0;
  page.heights->closures.clear();
  page.heights->datum = Elevation::metres(25);
  page.heights->datum_height = Length::metres(1);
  const std::string text = heights_of(page);
  CHECK(says(text, "Nothing checks them. The datum line lies 1.0000 m above the floor."));
  CHECK_FALSE(says(text, "what closes"));
}

TEST_CASE("of more than sixty brackets the rest is counted") {
  JobPage page = small_page();
  page.heights = some_heights();
  page.heights->brackets.assign(63, {1001, "H1", mm(1), mm(1), Verdict::within});
  CHECK(says(heights_of(page), "3 more in asbuilt.csv."));
}
