#include "work/today.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>
#include <utility>
#include <vector>

#include "book/known.h"
#include "book/today.h"
#include "book/typing.h"
#include "exporter/batch.h"
#include "job/folder_words.h"
#include "lists/today.h"
#include "measure/visible_lines.h"
#include "report/release_text.h"
#include "report/today_text.h"
#include "work/chosen_issue.h"
#include "work/job_texts.h"
#include "work/kept_files.h"
#include "work/own_folder.h"
#include "work/read_books.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

/// Where the drawing has its zones, and what the job says was released.
class Rules {
 public:
  explicit Rules(const Computation& c) : released_(c.job.released.rows) {
    if (const Hung* hung = c.hung.get()) overhead_ = &hung->overhead;
  }

  DrillRules rules() const {
    DrillRules out;
    if (overhead_ && !overhead_->zones.empty())
      out.zone = [this](const Point<Drawing>& at) -> std::optional<std::string_view> {
        const auto zone = zone_at(*overhead_, at);
        return zone ? std::optional<std::string_view>(overhead_->zones[*zone].name) : std::nullopt;
      };
    if (!released_.empty()) out.is_released = [this](const LedgerRow& row) { return is_released(row); };
    return out;
  }
  std::map<std::string, std::string, std::less<>> references() const {
    std::map<std::string, std::string, std::less<>> out;
    if (overhead_)
      for (const NoDrillZone& z : overhead_->zones) out.emplace(z.name, z.reference);
    return out;
  }

 private:
  bool is_released(const LedgerRow& row) const {
    return std::ranges::any_of(released_, [&](const StatedRelease& r) {
      switch (r.kind) {
        case StatedRelease::Kind::all:
          return true;
        case StatedRelease::Kind::run:
          return same_name(r.what, row.run);
        case StatedRelease::Kind::bay:
          return is_in_bay(r.what, row);
      }
      return false;
    });
  }
  bool is_in_bay(std::string_view name, const LedgerRow& row) const {
    if (!overhead_ || row.drawing.x.is_none()) return false;
    const BaysStated& bays = overhead_->bays;
    for (std::size_t b = 0; b < bays.names.size(); ++b)
      if (same_name(bays.names[b], name))
        return bays.outlines[b].side_of(row.drawing.point()) != Outline::Side::outside;
    return false;
  }

  const std::vector<StatedRelease>& released_;
  const Overhead* overhead_ = nullptr;
};

/// Numbers that were live in an issue.
std::vector<std::uint32_t> live_in(const Ledger& ledger, std::uint32_t issue) {
  std::vector<std::uint32_t> out;
  for (std::size_t i = 0; i < ledger.numbers(); ++i) {
    const std::uint32_t row = ledger.as_of(ledger.latest(i), issue);
    if (row != kNone32 && ledger.columns().is_live(row)) out.push_back(ledger.columns().number(row));
  }
  return out;
}

/// The numbers of a list that was typed, as far as they were live in an issue; none, and told, where it is no
/// list, or names what cannot have been marked on the floor from there.
std::vector<std::uint32_t> listed_in(const Ledger& ledger, std::uint32_t issue, const std::string& typed,
                                     Messages& messages) {
  const auto refuse = [&](std::string found, std::string expected) {
    messages.problem(Where{}, "--done", Fault{std::move(found), std::move(expected), ""});
  };
  const std::string expected = fmt::format("floor numbers of issue {}, as 1041-1052 1060 but 1047", issue);
  const auto list = typed_list(typed);
  if (std::holds_alternative<Refusal>(list)) {
    refuse(in_quotes(typed), expected);
    return {};
  }
  const KnownNumbers known(ledger, issue);
  const TypedList& typed_items = std::get<TypedList>(list);
  const auto is_named = [&](std::uint32_t number) {  // by itself, not as one of a range
    return std::ranges::any_of(typed_items.take, [number](const TypedList::Item& item) {
      return !item.is_range && item.first == number;
    });
  };
  const auto numbers = known.of(typed_items);
  if (const auto* all = std::get_if<std::vector<Refusal>>(&numbers))
    for (const Refusal& no : *all) refuse(fmt::format("{} ({})", in_quotes(typed), no.why), expected);
  std::vector<std::uint32_t> out;
  if (const auto* all = std::get_if<std::vector<KnownNumber>>(&numbers))
    for (const KnownNumber& n : *all) {
      if (n.level != EntryLevel::floor)
        refuse(fmt::format("{}, a number on the deck", n.typed),
               "floor numbers; of the deck nothing is taken to stand");
      else if (known.row(n).live)
        out.push_back(n.floor);
      else if (is_named(n.floor))
        refuse(fmt::format("{}, which issue {} had dropped", n.floor, issue), expected);
    }
  return out;
}

/// Books with the state that they give; or what an issue is taken to have left on the floor.
class Floor {
 public:
  Floor(const Computation& c, std::optional<std::uint32_t> as_issued, const std::string& done,
        Messages& messages)
      : ledger_(c.job.ledger.ledger) {
    if (as_issued)
      taken_ = marked_as_issued(
          ledger_, *as_issued,
          done.empty() ? live_in(ledger_, *as_issued) : listed_in(ledger_, *as_issued, done, messages));
    else
      found_ = read_books(c.job, messages);
    if (!messages.has_problems())
      state_.emplace(taken_ ? std::vector<const Book*>{&*taken_} : found_.books(), ledger_);
  }

  /// REQUIRES books without problems.
  std::vector<TodayRow> rows(const TodayOptions& options, const Rules& rules) const {
    return taken_ ? today_as_issued(*state_, options) : today(*state_, options, rules.rules());
  }
  std::vector<RunProgress> progress() const {
    return taken_ ? std::vector<RunProgress>() : progress_by_run(*state_);
  }
  std::vector<BookAsOf> books() const {
    std::vector<BookAsOf> out;
    for (const BookFile& f : found_.files) out.push_back({f.file, f.found.book.size()});
    return out;
  }

 private:
  const Ledger& ledger_;
  BooksFound found_;
  std::optional<Book> taken_;  // in place of books
  std::optional<BookState> state_;
};

TodayOptions options_of(const Job& job) {
  TodayOptions out;
  out.book = job.book.options;
  out.floor = job.asbuilt.options.plan;
  out.deck = job.plumb.tolerance;
  out.mirrored = job.mirrored;
  return out;
}

/// Of two places of one name an instrument may keep one alone.
void doubt_shared_names(const TodayListsInput& in, TodayList list, std::string_view file,
                        std::span<const TodayRow> rows, Messages& messages) {
  for (const std::string& name : shared_names(in, list, rows))
    messages.doubt("old places of one number", Where::whole(std::string(file)), "number",
                   fmt::format("{} stands for more than one place: an instrument may keep one of them alone; "
                               "load them one by one",
                               name));
}

std::vector<OutputFile> files_of(const Computation& c, const fs::path& out, const std::vector<TodayRow>& rows,
                                 std::span<const TodayRow> walked, Messages& messages) {
  const Job& job = c.job;
  const Ledger& ledger = job.ledger.ledger;
  const TodayListsInput in{job.list, job.ground, ledger, job.numbers.deck_offset, job.mirrored};
  const auto listed = job.list.order == ListOrder::run ? walked : std::span<const TodayRow>(rows);
  std::vector<OutputFile> files;
  files.push_back({out / kTodayOutput.name, today_table(rows, ledger, c.views.head.list_unit)});
  const std::pair<const OutputSpec*, TodayList> lists[] = {{&kVoidListOutput, TodayList::to_void},
                                                           {&kMarkListOutput, TodayList::to_mark},
                                                           {&kFillListOutput, TodayList::to_fill}};
  for (const auto& [spec, list] : lists) {
    doubt_shared_names(in, list, spec->name, rows, messages);
    files.push_back({out / spec->name, today_list(in, list, listed)});
  }
  return files;
}

/// The lists of another day are replaced; other files are left where they are, and nothing is written.
void write_lists(std::vector<OutputFile> files, const fs::path& out, Messages& messages) {
  std::vector<std::string> names;
  for (const OutputFile& f : files) names.push_back(f.target.filename().string());
  Batch batch;
  if (!keep_others(out, names, messages)) return;
  batch.hold_folder(out);
  batch.stage(std::move(files));
  batch.commit({});
}

/// What a command for this needs of a job, and the issue that is asked for; empty: the last.
std::optional<std::uint32_t> issue_of(Computation& c, const TodayRequest& asked, Messages& messages) {
  Shown shown{{Stage::numbers, Stage::hang}};
  shown.parts = {Part::plumb, Part::asbuilt, Part::book};
  if (!asked.out.empty()) shown.stages.insert(shown.stages.end(), {Stage::lists, Stage::ground});
  messages.merge(c.take_told(shown));
  return messages.has_problems() ? std::nullopt : chosen_issue(c, "--as-issued", asked.as_issued, messages);
}

std::string text_of(const Computation& c, const Floor& floor, const Rules& rules, const TodayRequest& asked,
                    std::uint32_t issue, const TodayWalk& walk, std::span<const TodayRow> walked) {
  const std::vector<std::string> release = release_lines(releases_of(c.job));
  std::vector<RunProgress> progress = floor.progress();
  walk.sort(progress);
  TodayHead head;
  head.books = floor.books();
  head.as_issued = asked.as_issued.empty() ? 0 : issue;
  head.issue = c.job.ledger.ledger.last_issue();
  head.unit = c.job.drawing_unit;
  head.deck_offset = c.job.numbers.deck_offset;
  head.progress = progress;
  head.release = release;
  head.references = rules.references();
  head.ledger = &c.job.ledger.ledger;
  std::string out = today_text(head, walked);
  if (!asked.out.empty())
    out += fmt::format("\n{}: {}, {}, {}, {}\n", visible(asked.out.string()), kTodayOutput.name,
                       kVoidListOutput.name, kMarkListOutput.name, kFillListOutput.name);
  return out;
}

}  // namespace

JobOutcome needs_today(const JobRequest& request, const TodayRequest& asked, Messages& messages) {
  const auto c = computed(request, Need::measured);
  const auto issue = issue_of(*c, asked, messages);
  if (!issue) return ended_with_problems();
  const Ledger& ledger = c->job.ledger.ledger;
  const Floor floor(*c, asked.as_issued.empty() ? std::nullopt : issue, asked.done, messages);
  if (messages.has_problems()) return ended_with_problems();
  doubt_last_issue(*c, messages);
  if (asked.as_issued.empty()) KeptFiles(c->job).tell(c->job.folder / kWorkingFolder, messages);

  const Rules rules(*c);
  const std::vector<TodayRow> rows = floor.rows(options_of(c->job), rules);
  const TodayWalk walk(ledger);
  std::vector<TodayRow> walked = rows;
  walk.sort(walked);
  if (!asked.out.empty()) write_lists(files_of(*c, asked.out, rows, walked, messages), asked.out, messages);
  if (messages.has_problems()) return ended_with_problems();

  JobOutcome out;
  out.no_verdict = "what a floor needs is no verdict on the job";
  if (std::ranges::any_of(rows, [](const TodayRow& r) { return is_wrong_today(r.what); }))
    out.exit = Exit::outside;
  out.text = text_of(*c, floor, rules, asked, *issue, walk, walked);
  out.table.unit = c->views.head.list_unit;
  if (request.with_rows) out.table.put(*today_table(rows, ledger, *out.table.unit), kTodayOutput.columns);
  return out;
}

}  // namespace deckmark
