#include "report/bill_text.h"

#include <fmt/format.h>

#include <algorithm>

#include "report/pieces.h"

namespace deckmark {

namespace {

constexpr std::string_view kFile = "short.csv";

std::string more(std::size_t all, std::size_t most) {
  return all > most ? fmt::format("  and {} more: see {}\n", all - most, kFile) : "";
}

/// Which runs can be begun, by what arrived or by the bill alone.
std::string head(const BillWords& w) {
  const std::string_view by = w.says_what_arrived ? "" : ", by the bill: nothing says what arrived";
  if (!w.stuck.empty())
    return fmt::format("RUNS THAT CANNOT BEGIN: {} of {}, for want of parts{}\n", w.stuck.size(), w.runs, by);
  if (w.runs == 0) return w.loose_lacks.empty() ? "" : "HANGERS THAT LACK PARTS\n";
  return fmt::format("RUNS THAT CANNOT BEGIN: none of {}{}\n", w.runs,
                     w.says_what_arrived ? "; all may begin" : by);
}

std::string stuck(const BillWords& w, std::size_t most) {
  std::string text = head(w);
  for (std::size_t i = 0; i < w.stuck.size() && i < most; ++i)
    text += folded("  ", "    ", fmt::format("{}: lacks {}", w.stuck[i].run, w.stuck[i].lacks));
  text += more(w.stuck.size(), most);
  if (!w.loose_lacks.empty())
    text += folded("  ", "    ", fmt::format("hangers of no run: lack {}", w.loose_lacks));
  return text;
}

std::string part_line(const BillLine& p, std::string_view last, std::int64_t count) {
  std::string text = fmt::format("{}: drawing {}", p.part, p.drawing);
  if (p.bill) text += fmt::format(", bill {}", *p.bill);
  if (p.arrived) text += fmt::format(", arrived {}, damaged {}", *p.arrived, *p.damaged);
  return folded("  ", "    ", text + fmt::format(", {} {}", last, count));
}

std::string part_lines(const BillWords& w, std::string_view title, std::string_view last,
                       std::int64_t BillLine::*count, std::size_t most) {
  std::string text;
  std::size_t all = 0;
  for (const BillLine& p : w.parts)
    if (p.*count > 0 && ++all <= most) text += part_line(p, last, p.*count);
  return all == 0 ? "" : fmt::format("{}\n", title) + text + more(all, most);
}

}  // namespace

std::string bill_text(const BillWords& words, std::size_t most) {
  std::string text = stuck(words, most);
  if (!words.stuck.empty() && !words.ready.empty()) {
    std::vector<std::string> ready(
        words.ready.begin(),
        words.ready.begin() + static_cast<std::ptrdiff_t>(std::min(words.ready.size(), most)));
    if (words.ready.size() > most) ready.push_back(fmt::format("and {} more", words.ready.size() - most));
    text += words.says_what_arrived ? "  may begin:\n" : "  have all their parts on the bill:\n";
    text += word_lines(ready, "    ");
  }
  return text + part_lines(words, "SHORT", "short", &BillLine::short_by, most) +
         part_lines(words, "MORE THAN THE DRAWING NEEDS", "too many", &BillLine::beyond, most);
}

std::string bill_short_text(const BillWords& words, std::size_t lines) {
  std::string text = stuck(words, lines) + part_lines(words, "SHORT", "short", &BillLine::short_by, lines);
  std::size_t end = 0, kept = 0;  // of the lines before the last that may stand
  for (std::size_t at = 0; (at = text.find('\n', at)) != std::string::npos; ++kept)
    if (++at, kept + 2 == lines) end = at;
  if (kept > lines) text.replace(end, std::string::npos, fmt::format("  and more: see {}\n", kFile));
  return text;
}

}  // namespace deckmark
