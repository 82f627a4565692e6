// Brackets for people: what is outside first, then the worst; without numbers none.
#include "pages/heights_part.h"

#include <doctest/doctest.h>

#include "unit/stages/plain.h"

using namespace plain;

TEST_CASE("brackets stand with what is outside first, then by how far they are off") {
  const PlainLaid laid = laid_of({{"A", 0, 0}, {"B", 1, 0}, {"C", 2, 0}, {"D", 3, 0}});
  const HeightsJob job;
  const HeightsStated stated{job, std::nullopt, std::nullopt};
  HeightsFound found;
  const std::string title, revision, file;
  JobHead head{title, revision, file, false, LengthUnit::metre, LengthUnit::metre, LengthUnit::metre, ""};
  BracketsJudged brackets;
  // Guarded acceptance leaves the smaller one unsure.
  brackets.rows = {{0, 0, mm(1), mm(1), Verdict::within},
                   {1, 0, mm(-2.5), mm(1), Verdict::unsure},
                   {2, 0, mm(2.8), mm(0.01), Verdict::within},
                   {3, 0, mm(9), mm(1), Verdict::outside}};
  const HeightsPage page =
      heights_page(head, stated, found, &laid.numbers, &brackets, AsbuiltOptions{}, &laid.marks);
  std::string order;
  for (const BracketLine& b : page.brackets) order += std::string(b.point);
  CHECK(order == "DBCA");
  CHECK(page.brackets[0].number == laid.numbers.of(3));
  CHECK(page.do_close());
}
