#include "report/short_text.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <set>
#include <sstream>

#include "report/pieces.h"

namespace deckmark {

namespace {

constexpr std::size_t kReasonsTold = 10, kChangesOnScreen = 10, kPartLines = 10;
/// Lines of what changed beside the changes: the heading, how many are not told, a blank one.
constexpr std::size_t kAroundChanges = 3;

std::size_t lines_in(std::string_view text) {
  return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

/// One thing to do.
std::string item(std::string_view text) { return folded("  ", "  ", text); }

/// `floor-list.csv (95 marks, 1001 to 1095)`; of many only how many there are.
std::string lists_words(std::span<const FileLine> lists, std::string_view level) {
  std::size_t rows = 0;
  for (const FileLine& f : lists) rows += f.rows.value_or(0);
  const FileLine& one = lists.front();
  std::string words = lists.size() == 1 ? one.name
                                        : fmt::format("{} {} lists {} to {}", lists.size(), level, one.name,
                                                      lists.back().name);
  words += " (" + plural(rows, "mark", "marks");
  if (lists.size() == 1 && one.numbers)
    words += fmt::format(", {} to {}", one.numbers->first, one.numbers->second);
  return words + ")";
}

/// That there are files for each crew alone.
std::string of_crews(const ShortRun& run) {
  const std::vector<std::string>& files = run.of_crews;
  if (files.empty()) return "";
  return item(fmt::format("For each crew alone: {}{}.", files.front(),
                          files.size() == 1
                              ? std::string()
                              : fmt::format(" and so on, {} files named after the crews; what changed for "
                                            "each stands in its changes file",
                                            files.size())));
}

/// What a crew loads or takes along, and how it checks that it is the right thing.
std::string take_along(const ShortRun& run) {
  std::string text;
  if (run.tape) {
    std::string words =
        fmt::format("Tape crew: print {} ({}).", run.tape->file, plural(run.tape->marks, "mark", "marks"));
    if (!run.tape->check.empty()) words += " Hold the tape first: " + run.tape->check + ".";
    text += item(words);
    if (!run.strings.empty())
      text +=
          item(fmt::format("On the screen: {}. Marks are laid out from strings: no list goes into an "
                           "instrument.",
                           run.strings));
  }
  if (run.tape_alone && run.tape) return text + of_crews(run);
  if (!run.floor.empty()) {
    std::string words = "Load " + lists_words(run.floor, "floor");
    if (!run.deck.empty()) words += ", then " + lists_words(run.deck, "deck");
    text += item(words + ".");
  }
  if (!run.check.empty()) {
    text += "  Check it with the instrument's inverse, floor mark to floor mark:\n";
    std::istringstream lines(run.check);
    std::string line;
    std::getline(lines, line);  // says the same
    while (std::getline(lines, line)) text += "  " + line + "\n";
  }
  text += of_crews(run);
  if (!run.stakes.empty())
    text += item(fmt::format("By circle and distance instead: {}.", fmt::join(run.stakes, ", ")));
  return text;
}

/// `deckmarks.csv, line 9`.
std::string place_words(const Where& where) {
  if (where.file.empty()) return "";
  const std::uint32_t line =
      where.source ? where.source->places({where.offset}).front().line : where.known.line;
  return line ? fmt::format(" ({}, line {})", where.file, line) : fmt::format(" ({})", where.file);
}

std::string why(std::span<const Reason> reasons) {
  std::string text = "WHY\n";
  for (const Reason& r : reasons.first(std::min(reasons.size(), kReasonsTold)))
    text += folded("  ", "    ", r.text + place_words(r.where));
  if (reasons.size() > kReasonsTold)
    text += fmt::format("  and {} more: deckmark check --json lists them\n", reasons.size() - kReasonsTold);
  return text;
}

/// `1002, 1003`, or how many they are.
std::string named_numbers(const std::set<std::uint32_t>& numbers) {
  return numbers.size() > 5 ? fmt::format("the {} marks named", numbers.size())
                            : fmt::format("{}", fmt::join(numbers, ", "));
}

/// What to do about one kind of reason each.
std::string cures(const ShortRun& run) {
  std::set<std::string> setups;
  std::set<std::uint32_t> numbers, brackets;
  bool marks = false, baselines = false, shots = false, heights = false;
  for (const Reason& r : run.reasons) {
    if (r.of == ReasonOf::bracket) brackets.insert(r.numbers.begin(), r.numbers.end());
    if (r.of == ReasonOf::heights) heights = true;
    if (r.of != ReasonOf::plan) continue;
    if (r.scope == ReasonScope::mark) marks = true, numbers.insert(r.numbers.begin(), r.numbers.end());
    if (r.scope == ReasonScope::setup && !r.setup.empty()) setups.insert(r.setup);
    if (r.scope != ReasonScope::mark && r.setup.empty()) (r.numbers.empty() ? baselines : shots) = true;
  }
  std::string text;
  if (heights)
    text += item("Look at the heights: deckmark heights shows what closes, and what would mend it.");
  if (!brackets.empty())
    text += item(fmt::format("Set the bracket{} of {} right, read {} again and run again.",
                             brackets.size() == 1 ? "" : "s", named_numbers(brackets),
                             brackets.size() == 1 ? "it" : "them"));
  if (baselines) text += item("Look at the baselines: deckmark baseline shows every tie, length and limit.");
  if (!setups.empty())
    text += item(fmt::format("Look at setup {}: deckmark setup shows its sights and what would mend them.",
                             fmt::join(setups, ", ")));
  if (shots) text += item("Look at the as-built shots: deckmark asbuilt names the likely causes.");
  if (marks)
    text += item(fmt::format("Do not drill at {}: mark {} again, measure {} and run again.",
                             named_numbers(numbers), numbers.size() == 1 ? "it" : "them",
                             numbers.size() == 1 ? "it" : "them"));
  if (marks)
    for (const std::string& line : run.release) text += item(line);
  return text;
}

std::string next(const ShortRun& run) {
  std::string text = "NEXT\n";
  if (run.verdict != JobVerdict::ready) text += cures(run);
  if (!run.corners.empty()) text += item(run.corners);
  const bool marks_alone =
      std::ranges::all_of(run.reasons, [](const Reason& r) { return r.scope == ReasonScope::mark; });
  if (!run.changes) return text + item("There is no list to load: nothing says where marks lie on site yet.");
  if (run.verdict == JobVerdict::stop && !marks_alone)
    return text +
           item(run.strings.empty()
                    ? "The lists were written all the same. Do not lay out from them before that is mended."
                    : "The sheet was written all the same. Do not lay out from it before that is mended.");
  return text + take_along(run);
}

/// What is short; `used`: lines of the screen that are taken.
std::string parts(const ShortRun& run, std::size_t used) {
  const std::size_t room = used + 1 < kShortLines ? kShortLines - used - 1 : 0;  // a blank line behind it
  const std::string text =
      run.parts(run.verdict == JobVerdict::ready ? std::clamp<std::size_t>(room, 2, kPartLines) : kPartLines);
  return text.empty() ? "" : text + "\n";
}

std::string files(const ShortRun& run) {
  return folded("FILES: ", "  ",
                fmt::format("{} in {}; sha256sum -c SHA256SUMS there checks them. All that was found is in "
                            "summary.txt (here: --details).",
                            run.files, run.folder));
}

}  // namespace

std::string short_text(const ShortRun& run) {
  std::string head = std::string(run.line) + "\n\n" + run.storey;
  if (!run.reasons.empty()) head += why(run.reasons) + "\n";
  const std::string steps = next(run) + "\n", end = files(run);
  if (run.parts) head += parts(run, lines_in(head) + lines_in(steps) + lines_in(end) + kAroundChanges + 1);
  head += steps;
  if (!run.changes) return head + end;
  const std::size_t used = lines_in(head) + lines_in(end) + kAroundChanges;
  const std::size_t room = used < kShortLines ? kShortLines - used : 1;
  const std::size_t most =
      run.verdict == JobVerdict::ready ? std::min(room, kChangesOnScreen) : kChangesOnScreen;
  return head + run.changes(most) + "\n" + end;
}

}  // namespace deckmark
