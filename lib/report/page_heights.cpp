// Heights on the page: what closes, the datum line, and brackets against their design.
#include <fmt/format.h>

#include <algorithm>

#include "report/page_parts.h"
#include "report/pieces.h"
#include "report/words.h"

namespace deckmark {

namespace {

constexpr std::size_t kRows = 60;
constexpr double kOf95 = 1.96;

std::string off_text(Length up, Length limit, bool is_within, LengthUnit unit) {
  const std::string size =
      is_within ? short_length(abs(up), unit) : short_length_beyond(abs(up), limit, unit);
  return fmt::format("{} {}", size, up < Length::metres(0) ? "low" : "high");
}

void closures(Markup& m, const HeightsPage& page) {
  const std::string closes = fmt::format("#closes, {}", short_unit(page.small)),
                    permitted = fmt::format("#permitted, {}", short_unit(page.small));
  open_table(m, {"what closes", closes, permitted, "verdict"});
  for (const ClosureLine& c : page.closures) {
    if (!c.closure) continue;
    m.open("tr");
    text_cell(m, c.words);
    number_cell(m, off_text(*c.closure, c.limit, c.is_within, page.small));
    number_cell(m, short_length(c.limit, page.small));
    const Verdict verdict = c.is_within ? Verdict::within : Verdict::outside;
    verdict_cell(m, verdict, verdict_word(verdict));
    m.close().line();
  }
  close_table(m);
}

void brackets(Markup& m, const HeightsPage& page) {
  std::vector<const BracketLine*> worst_first;
  for (const BracketLine& b : page.brackets) worst_first.push_back(&b);
  std::ranges::stable_sort(
      worst_first, [](const BracketLine* a, const BracketLine* b) { return abs(a->up) > abs(b->up); });
  const std::string off = fmt::format("#bracket off, {}", short_unit(page.small)),
                    good = fmt::format("#\u00b1 {} (95 %)", short_unit(page.small));
  open_table(m, {"#number", "point", off, good, "verdict"});
  for (std::size_t i = 0; i < std::min(kRows, worst_first.size()); ++i) {
    const BracketLine& b = *worst_first[i];
    m.open("tr");
    number_cell(m, fmt::format("{}", b.number));
    name_cell(m, b.point);
    number_cell(m, off_text(b.up, page.bracket_limit, b.verdict == Verdict::within, page.small));
    number_cell(m, short_length(b.sd * kOf95, page.small));
    verdict_cell(m, b.verdict, verdict_word(b.verdict));
    m.close().line();
  }
  close_table(m);
  if (worst_first.size() > kRows)
    paragraph(m, fmt::format("{} more in asbuilt.csv.", worst_first.size() - kRows), "class=\"told\"");
}

}  // namespace

void heights_section(Markup& m, const JobPage& page) {
  if (!page.heights) return;
  const HeightsPage& heights = *page.heights;
  open_section(m, "Heights by level and laser");
  std::string first = fmt::format("{}, {}.", plural(heights.benchmarks, "benchmark", "benchmarks"),
                                  plural(heights.heights.size(), "height", "heights"));
  if (heights.spare == 0) first += " Nothing checks them.";
  if (heights.datum)
    first += fmt::format(" The datum line lies {} above the floor.",
                         length_words(*heights.datum_height, heights.small));
  paragraph(m, first);
  if (std::ranges::any_of(heights.closures, [](const ClosureLine& c) { return c.closure.has_value(); }))
    closures(m, heights);
  if (!heights.brackets.empty()) brackets(m, heights);
  m.close().line();
}

}  // namespace deckmark
