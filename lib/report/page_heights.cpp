// Heights on the page: what closes, the datum line, and brackets against their design.
#include <fmt/format.h>

#include <algorithm>

#include "adjust/statistics.h"
#include "report/page_parts.h"
#include "report/pieces.h"
#include "report/words.h"

namespace deckmark {

namespace {

constexpr std::size_t kRows = 60;

std::string_view side(Length up) { return up < Length::metres(0) ? "low" : "high"; }

void closures(Markup& m, const HeightsPage& page) {
  const std::string closes = fmt::format("#closes, {}", short_unit(page.small)),
                    permitted = fmt::format("#permitted, {}", short_unit(page.small));
  open_table(m, {"what closes", closes, permitted, "verdict"});
  for (const ClosureLine& c : page.closures) {
    if (!c.closure) continue;
    m.open("tr");
    text_cell(m, c.words);
    const ClosureText text = closure_text(c, page.small);
    number_cell(m, fmt::format("{} {}", text.by, side(*c.closure)));
    number_cell(m, text.limit);
    const Verdict verdict = c.is_within ? Verdict::within : Verdict::outside;
    verdict_cell(m, verdict, verdict_word(verdict));
    m.close().line();
  }
  close_table(m);
}

void brackets(Markup& m, const HeightsPage& page) {
  const std::string off = fmt::format("#bracket off, {}", short_unit(page.small)),
                    good = fmt::format("#\u00b1 {} (95 %)", short_unit(page.small));
  open_table(m, {"#number", "point", off, good, "verdict"});
  for (std::size_t i = 0; i < std::min(kRows, page.brackets.size()); ++i) {
    const BracketLine& b = page.brackets[i];
    m.open("tr");
    number_cell(m, fmt::format("{}", b.number));
    name_cell(m, b.point);
    const std::string size = b.verdict == Verdict::within
                                 ? short_length(abs(b.up), page.small)
                                 : short_length_beyond(abs(b.up), page.bracket_limit, page.small);
    number_cell(m, fmt::format("{} {}", size, side(b.up)));
    number_cell(m, short_length(b.sd * kSds95, page.small));
    verdict_cell(m, b.verdict, verdict_word(b.verdict));
    m.close().line();
  }
  close_table(m);
  if (page.brackets.size() > kRows)
    paragraph(m, fmt::format("{} more in asbuilt.csv.", page.brackets.size() - kRows), "class=\"told\"");
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
  if (!heights.brackets.empty()) {
    if (!heights.do_close()) paragraph(m, "The heights do not close: move no bracket by these.");
    brackets(m, heights);
  }
  m.close().line();
}

}  // namespace deckmark
