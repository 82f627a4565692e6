#include "issues/compare.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <utility>

#include "issues/changes.h"
#include "lists/columns.h"
#include "report/compare_text.h"
#include "work/chosen_issue.h"
#include "work/issues.h"
#include "work/job_texts.h"
#include "work/read_list.h"

namespace deckmark {

namespace {

constexpr OutColumn kColumns[] = {
    {"number", OutKind::number, "floor or deck number"},
    {"line", OutKind::number, "of the file; empty where the row is gone"},
    {"slip", OutKind::text, "digit, rows, axes, elevation, values, gone, extra, twice"},
    {"column", OutKind::text, "in which the value differs"},
    {"found", OutKind::decimal, "in the unit of the file"},
    {"listed", OutKind::decimal, "in the unit of the file"},
    {"other", OutKind::number, "the number whose values the row has"}};

std::string_view slip_word(Slip slip) {
  constexpr std::string_view kWords[] = {"digit",  "rows", "axes",  "elevation",
                                         "values", "gone", "extra", "twice"};
  return kWords[static_cast<std::size_t>(slip)];
}

void put_table(const CompareResult& result, const ListRead& read, MainTable& table) {
  std::vector<std::uint32_t> begins;
  for (const RowSlip& s : result.slips) begins.push_back(s.row == kNone32 ? 0 : read.list.rows[s.row].begin);
  const std::vector<LineColumn> places = read.source->places(begins);
  const auto row = [&](auto& sink, std::size_t i) {
    const RowSlip& s = result.slips[i];
    const bool has_value = s.slip == Slip::digit || s.slip == Slip::elevation || s.slip == Slip::values;
    const auto value = [&](double v) {
      if (has_value && !std::isnan(v))
        sink.fixed(v, s.decimals);
      else
        sink.empty();
    };
    sink.integer(s.number);
    if (s.row == kNone32)
      sink.empty();
    else
      sink.integer(places[i].line);
    sink.text(slip_word(s.slip));
    sink.text(has_value ? axis_word(s.axis) : std::string_view());
    value(s.found);
    value(s.listed);
    if (s.other)
      sink.integer(s.other);
    else
      sink.empty();
  };
  table.unit = result.unit;
  table.put(*declared_table(kColumns, result.unit, result.slips.size(), row), kColumns);
}

/// Numbers of the file of which the crew that holds it has to be told something since.
std::size_t changed_since(const Ledger& ledger, const ReadList& list, const CompareResult& result) {
  const std::vector<Candidate> candidates = candidates_since(ledger, result.issue);
  const RowNow now = [&ledger](std::uint32_t row) { return ledger.row(row); };
  std::set<std::uint32_t> numbers;
  for (const ChangeRow& c : changes_of(ledger, result.issue, candidates, now)) {
    numbers.insert(c.number);
    // A number whose place a new one took has no row of its own.
    if (c.change == Change::renamed) numbers.insert(ledger.columns().number(c.told));
  }
  return static_cast<std::size_t>(std::ranges::count_if(numbers, [&](std::uint32_t number) {
    const LedgerRow row = ledger.row(ledger.find(number));
    const auto deck = number + static_cast<std::uint32_t>(row.deck_offset);
    return std::ranges::any_of(
        list.rows, [&](const ReadRow& r) { return r.number && (*r.number == number || *r.number == deck); });
  }));
}

CompareOptions options_of(const Job& job) {
  CompareOptions out;
  out.unit = *job.list.unit;
  out.decimals = static_cast<int>(job.list.decimals);
  const GroundFromGrid* grid = job.list.frame == ListFrame::grid ? &*job.ground.ground : nullptr;
  out.on_list = [grid](const KeptSite& p) {
    if (!grid) return std::pair(p.northing.metres(), p.easting.metres());
    const Point<Grid> on_grid = grid->to_grid(p.point());
    return std::pair(on_grid.at.northing.metres(), on_grid.at.easting.metres());
  };
  out.is_listed = [&only = job.list.only](std::string_view run) {
    return only.empty() ||
           std::ranges::any_of(only, [run](const std::string& name) { return same_name(name, run); });
  };
  return out;
}

}  // namespace

JobOutcome compare_with_issues(const JobRequest& request, const std::filesystem::path& file,
                               Messages& messages) {
  const auto c = computed(request, Need::measured);
  messages.merge(c->take_told({{Stage::numbers, Stage::lists, Stage::ground}}));
  const Job& job = c->job;
  if (!messages.has_problems()) has_issues(*c, messages);
  if (messages.has_problems()) return ended_with_problems();
  const auto read = read_list(file, job.list, messages);
  if (!read) return ended_with_problems();

  const Ledger& ledger = job.ledger.ledger;
  const CompareResult result = compare_list(ledger, read->list, options_of(job));
  JobOutcome out;
  const bool is_last = result.agrees && result.issue == ledger.last_issue();
  out.exit = is_last ? Exit::done : Exit::outside;
  const CompareWords words{
      result, ledger.issues(), job.ledger.given, *job.list.unit,
      result.issue == ledger.last_issue() ? 0 : changed_since(ledger, read->list, result)};
  out.no_verdict = compare_line(words);
  out.line = out.no_verdict;
  out.text = compare_text(words);
  if (request.with_rows) put_table(result, *read, out.table);
  return out;
}

}  // namespace deckmark
