#include "stages/numbers.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <utility>

#include "stages/storeys.h"

namespace deckmark {

namespace {

enum LedgerColumn : std::size_t { point, number };

/// A name or a number that stands twice in one issue of the ledger.
void refuse_twice(const NumbersStated& stated, const LedgerJoin& join, Messages& told) {
  const LedgerRows& rows = stated.ledger.columns();
  const auto clash = [&](LedgerColumn column, std::string_view field, const auto& pairs, const auto& what) {
    for (const auto& [first, later] : pairs) {
      const Table& table = *stated.ledger_table;
      const auto line = table.source()->places({rows.begin(first)})[0].line;
      told.problem(table.where(rows.begin(later), column), field,
                   Fault{fmt::format("{} again, first on line {}", what(later), line),
                         "each name and each number once in an issue", ""});
      if (told.problems() > Messages::kProblemsKept) return;
    }
  };
  clash(point, "point", join.same_names,
        [&](std::uint32_t e) { return "name " + in_quotes(rows.points()[e]); });
  clash(number, "number", stated.ledger.same_numbers(),
        [&](std::uint32_t e) { return fmt::format("number {}", rows.number(e)); });
}

/// Former names that cannot be followed.
void tell_former(const NumbersStated& stated, const JobMarks& marks, const LedgerJoin& join, Messages& told) {
  for (const FormerName& former : join.former) {
    const std::string name = in_quotes(marks->was[former.mark]);
    const Where at = marks.where(former.mark, MarkCell::was);
    if (former.fault == FormerName::Fault::taken)
      told.problem(
          at, "was",
          Fault{fmt::format("{}, whose number {} has", name, in_quotes(marks->names[former.other])),
                "a name that no other point has or had", "taking it out, or giving the other another name"});
    else if (stated.ledger.last_issue() > 0)
      told.doubt("a former name without a number", at, "was",
                 fmt::format("no number has the name {} now: {} gets a new one", name,
                             in_quotes(marks->names[former.mark])));
  }
}

std::int64_t highest_deck(const NumbersStated& stated) {
  return stated.ledger.highest() + stated.options.deck_offset;
}

Fault numbers_meet(const NumbersStated& stated, const IssueResult& issue) {
  const std::int64_t offset = stated.options.deck_offset;
  return {fmt::format("{}, which makes {} the deck number of {} though it is in use", offset,
                      issue.met_number, issue.met_floor),
          fmt::format("an offset that keeps floor and deck numbers apart; {} is the smallest that works",
                      issue.smallest_offset),
          issue.bound_offset
              ? fmt::format("start = {} under [numbers]: new points then begin above every deck number",
                            highest_deck(stated) + 1)
              : fmt::format("deck_offset = {}", issue.roomy_offset)};
}

/// The run of the runs table that holds nearly all marks, where there are very many: its length is the
/// likelier slip. Its marks by the number of the run's row.
std::optional<std::pair<std::size_t, std::size_t>> overlong_run(const JobMarks& marks) {
  constexpr std::size_t kMany = 1000;
  std::map<std::uint32_t, std::size_t> count;
  for (const std::uint32_t run : marks.from_run)
    if ((run & kOfHanger) == 0) ++count[run];
  const auto most = std::ranges::max_element(count, {}, &std::pair<const std::uint32_t, std::size_t>::second);
  if (most == count.end() || most->second < kMany || 4 * most->second < 3 * marks.size()) return std::nullopt;
  return std::pair<std::size_t, std::size_t>(most->first, most->second);
}

void refuse_meeting(const NumbersStated& stated, const JobMarks& marks, const IssueResult& issue,
                    Messages& told) {
  const Fault fault = numbers_meet(stated, issue);
  const auto run = overlong_run(marks);
  if (!run) return told.problem(stated.deck_offset, "numbers.deck_offset", fault);
  std::size_t first = 0;
  while (marks.from_run[first] != run->first) ++first;
  told.problem(
      cell_of(marks.runs_table, run->first, "run"), "run",
      Fault{fmt::format("run {}, on which {} of {} marks lie, more than there are numbers for",
                        marks->runs[marks.drawn + first], run->second, marks.size()),
            fmt::format("x and y of a run like the others; or {}, where it is that long", fault.suggestion),
            ""});
}

/// Says why no numbers can be issued, or what is odd about those that are.
void tell_issue(const NumbersStated& stated, const JobMarks& marks, const IssueResult& issue,
                Messages& told) {
  switch (issue.status) {
    case IssueStatus::issued:
      return;
    case IssueStatus::offset_changed:
      return told.problem(stated.deck_offset, "numbers.deck_offset",
                          Fault{fmt::format("{}", stated.options.deck_offset),
                                fmt::format("{}, under which the numbers were issued (see {})",
                                            *issue.bound_offset, stated.ledger_file),
                                fmt::format("deck_offset = {}", *issue.bound_offset)});
    case IssueStatus::numbers_meet:
      return refuse_meeting(stated, marks, issue, told);
    case IssueStatus::out_of_numbers:
      return told.problem(stated.deck_offset, "numbers",
                          Fault{fmt::format("a number above {}", kMostNumber),
                                fmt::format("numbers from {} to {}", kLeastNumber, kMostNumber),
                                "a smaller start, step or deck_offset"});
    case IssueStatus::beyond_last:
      return told.problem(
          stated.last, "numbers.last",
          Fault{fmt::format("{}, which is {} number{} short for {} marks", *stated.options.last,
                            issue.beyond_last, issue.beyond_last == 1 ? "" : "s", marks.size()),
                fmt::format("a last number of {} or more", issue.highest),
                fmt::format("last = {}", issue.highest)});
  }
}

}  // namespace

Messages look_over_ledger(const NumbersStated& stated, const JobMarks& marks) {
  Messages told;
  refuse_twice(stated, join_ledger(*marks, *marks.index, stated.ledger), told);
  return told;
}

Staged<Numbers> number_marks(const NumbersStated& stated, const JobMarks& marks) {
  Messages told;
  LedgerJoin join = join_ledger(*marks, *marks.index, stated.ledger);
  refuse_twice(stated, join, told);
  tell_former(stated, marks, join, told);
  if (told.has_problems()) return Staged<Numbers>::spoiled(std::move(told));
  IssueResult issue = issue_numbers(*marks, stated.ledger, join, stated.options, stated.has_deck);
  tell_issue(stated, marks, issue, told);
  if (told.has_problems()) return Staged<Numbers>::spoiled(std::move(told));
  Staged<Numbers> out =
      Staged<Numbers>::found({std::move(join), std::move(issue),
                              stated.has_deck ? std::optional(stated.options.deck_offset) : std::nullopt},
                             std::move(told));
  if (Messages shared = refuse_shared_numbers(stated, marks, *out.value); shared.has_problems())
    return Staged<Numbers>::spoiled(std::move(shared));
  return out;
}

Fault two_meanings(std::string_view text, const MarkMeaning& meaning, const JobMarks& marks,
                   const Numbers& numbers) {
  const std::string_view other = marks->names[*meaning.by_number];
  return {fmt::format("{}, the name of one point and the number of {}", in_quotes(text), in_quotes(other)),
          "a text with one meaning",
          fmt::format("{} for the one, {} for the other", numbers.of(*meaning.by_name), other)};
}

Fault no_such_level(std::string_view level, std::string_view text, std::uint32_t floor_number) {
  return {fmt::format("{} with {}, a deck number", level, in_quotes(text)),
          fmt::format("deck, or the floor number {}", floor_number), ""};
}

Fault not_carried_up(std::string_view level, std::string_view point) {
  return {fmt::format("{} for {}, a reference point", level, in_quotes(point)),
          "floor: a reference point is not carried up", "floor"};
}

}  // namespace deckmark
