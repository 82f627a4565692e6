#include "report/changes_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "report/pieces.h"
#include "report/words.h"

namespace deckmark {

namespace {

/// `all 480 shift 1.2 mm`; marks that the fit moved by different amounts by the least and the most.
std::string refit_line(std::span<const ChangeLine> refits, std::size_t points, LengthUnit unit) {
  Length least = norm(*refits.front().by), most = least;
  for (const ChangeLine& c : refits) {
    least = std::min(least, norm(*c.by));
    most = std::max(most, norm(*c.by));
  }
  const std::string low = length_words(least, unit), high = length_words(most, unit);
  const std::string how = low == high ? high : fmt::format("{} to {}", low, high);
  if (refits.size() == 1 && points > 1)
    return fmt::format("  {} shifts {} on site\n", refits.front().number, how);
  return refits.size() == points ? fmt::format("  all {} shift {} on site\n", points, how)
                                 : fmt::format("  {} of {} shift {} on site\n", refits.size(), points, how);
}

std::string line_text(const ChangeLine& c, LengthUnit unit) {
  std::string text = fmt::format("  {:>9} {} ", c.number, column(c.point, 20));
  if (c.what != What::floor) text += fmt::format("{} ", what_word(c.what));
  text += change_word(c.change);
  if (c.change == Change::moved && c.by)
    text += fmt::format(" by {} (dx {}, dy {} {})", length_words(norm(*c.by), unit),
                        short_length(c.by->by.x, unit), short_length(c.by->by.y, unit), short_unit(unit));
  if (c.up) text += fmt::format(" by {}", length_words(abs(*c.up), unit));
  if (c.change == Change::returned && c.by)
    text += fmt::format(", moved by {}", length_words(norm(*c.by), unit));
  if (c.change == Change::renamed)
    text += c.old_number == c.number ? fmt::format(": was {}", c.old_name)
                                     : fmt::format(": was {}, number {}", c.old_name, c.old_number);
  if (c.change == Change::renamed && c.by)
    text += fmt::format("; moved by {}", length_words(norm(*c.by), unit));
  return text + "\n";
}

/// What several numbers in a row have in common, where the change alone tells them.
bool is_alike(const ChangeLine& a, const ChangeLine& b) {
  return a.change == b.change && a.what == b.what && a.change != Change::moved &&
         a.change != Change::renamed && a.change != Change::refit && !a.by && !b.by;
}

std::string_view many_word(What what) {
  constexpr std::string_view kWords[] = {"marks", "deck points", "brackets", "cuts"};
  return kWords[static_cast<std::size_t>(what)];
}

/// `1083-1094 12 deck points lowered by 51.2 to 81.2 mm`.
std::string range_text(std::span<const ChangeLine> lines, LengthUnit unit) {
  const std::string numbers = fmt::format("{}-{}", lines.front().number, lines.back().number);
  std::string text = fmt::format("  {:>9} {} {} {}", numbers, lines.size(), many_word(lines.front().what),
                                 change_word(lines.front().change));
  if (lines.front().up) {
    Length least = abs(*lines.front().up), most = least;
    for (const ChangeLine& c : lines) {
      least = std::min(least, abs(*c.up));
      most = std::max(most, abs(*c.up));
    }
    const std::string low = length_words(least, unit), high = length_words(most, unit);
    text += low == high ? fmt::format(" by {}", high) : fmt::format(" by {} to {}", low, high);
  }
  return text + "\n";
}

/// Each change on a line; three or more in a row that are alike on one.
std::vector<std::string> told_lines(std::span<const ChangeLine> lines, LengthUnit unit) {
  constexpr std::size_t kWorthOne = 3;
  std::vector<std::string> out;
  for (std::size_t from = 0; from < lines.size();) {
    std::size_t to = from + 1;
    while (to < lines.size() && is_alike(lines[from], lines[to]) &&
           lines[to].number == lines[to - 1].number + 1)
      ++to;
    if (to - from < kWorthOne) to = from + 1;
    out.push_back(to - from == 1 ? line_text(lines[from], unit)
                                 : range_text(lines.subspan(from, to - from), unit));
    from = to;
  }
  return out;
}

}  // namespace

std::string changes_text(std::span<const ChangeLine> lines, const ChangesHead& head, LengthUnit unit,
                         std::size_t most) {
  if (head.since == 0)
    return head.points == 1 ? std::string("CHANGES\n  first issue: the point is new\n")
                            : fmt::format("CHANGES\n  first issue: all {} points are new\n", head.points);
  std::string text = fmt::format("CHANGES since issue {}", head.since);
  if (!head.why.empty()) text += ", " + head.why;
  text = folded("", "  ", text);
  if (lines.empty())
    return text + "  no mark, deck point, bracket or cut lies over 1 mm from where it was told\n";
  std::vector<ChangeLine> refits, rest;
  for (const ChangeLine& c : lines) (c.change == Change::refit && c.by ? refits : rest).push_back(c);
  if (!refits.empty()) text += refit_line(refits, head.points, unit);
  const std::vector<std::string> told = told_lines(rest, unit);
  for (std::size_t i = 0; i < std::min(told.size(), most); ++i) text += told[i];
  if (told.size() > most) text += fmt::format("  and {} more: see changes.csv\n", told.size() - most);
  return text;
}

}  // namespace deckmark
