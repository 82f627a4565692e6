#include "work/outputs.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <system_error>

#include "book/book_columns.h"
#include "job/folder_words.h"
#include "lists/asbuilt.h"
#include "lists/bill.h"
#include "lists/checks.h"
#include "lists/heights.h"
#include "lists/offsets.h"
#include "lists/overhead.h"
#include "lists/points.h"
#include "lists/setups.h"
#include "lists/shape.h"
#include "lists/today.h"
#include "pages/offset_sheet.h"
#include "work/computation.h"
#include "work/output_names.h"
#include "work/tape_sheet.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

constexpr std::string_view kVaries = "NAME";

bool is_plain(std::string_view text) {
  return std::ranges::all_of(text, [](char c) {
    return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '-' || c == '_';
  });
}

/// Gathers the files of one run; what several of them need is made once.
class OutputMaker {
 public:
  using Ends = std::optional<std::pair<std::int64_t, std::int64_t>>;

  OutputMaker(const Computation& computed, std::string_view v)
      : c(computed),
        job(c.job),
        unit(c.views.head.list_unit),
        laid_(c.laid.get()),
        verdict(v),
        shares_(crew_shares(computed.crews.get())) {
    if (!laid_) return;
    const auto& numbers = laid_->numbers.issue.numbers;
    const auto span = std::minmax_element(numbers.begin(), numbers.end());
    if (span.first != numbers.end()) all = {*span.first, *span.second};
  }

  const Computation& c;
  const Job& job;
  LengthUnit unit;

 private:
  const LaidOut* laid_;

 public:
  std::string_view verdict;
  Ends all;  ///< smallest and largest number
  /// REQUIRES a file that is not of the survey alone.
  const LaidOut& laid() const { return *laid_; }

  std::vector<Output> plan();
  /// The names of all files that are named after something.
  std::vector<OutputName> names();

  void table(std::unique_ptr<WrittenTable> content, Ends ends = std::nullopt) {
    made_.push_back({std::string(spec_->name), std::move(content), ends});
  }
  void text(std::string content, Ends ends = std::nullopt) {
    made_.push_back({std::string(spec_->name), std::move(content), ends});
  }

  /// The lists of one level: those without a part of their own in their names, or those with.
  void lists(ListFile::Level level, ListFrame frame) {
    const bool has_parts = job.list.split == ListSplit::run || shares_.size() > 1;
    if (c.is_from_strings() || job.list.frame != frame || (varies(*spec_) && !has_parts)) return;
    if (!lists_) lists_ = list_files(c.lists());
    for (ListFile& list : *lists_) {
      if (list.level != level || list.part.empty() == varies(*spec_)) continue;
      Ends ends;
      if (!list.rows.empty()) {
        const bool deck = level == ListFile::Level::deck;
        ends = {laid().numbers.at(list.rows.front(), deck), laid().numbers.at(list.rows.back(), deck)};
      }
      const CrewShare share = list.share;
      add(
          list.part, share.is_whole() ? after_run(list) : after_crew(share), share,
          [&] { return list_table(c.lists(), std::move(list)); }, ends);
    }
  }

  /// Something of every setup of which there is something, first of the whole job, then of each crew's share
  /// that works from it. `make` gives a table or a text, or nothing.
  template <class Has, class Make>
  void each_setup(std::span<const CrewShare> shares, const Has& has, const Make& make) {
    if (!c.setups.get()) return;
    const std::vector<StatedSetup>& setups = job.instrument.setups;
    for (const CrewShare& share : shares)
      for (std::size_t i = 0; i < setups.size(); ++i) {
        if (!share.works_from(i) || !has(i, share)) continue;
        add(with_crew(setups[i].name, share), after_setup(setups[i], share), share,
            [&] { return make(i, share); });
      }
  }
  /// Something of every crew that puts marks down.
  template <class Make>
  void each_crew(const Make& make) {
    for (const CrewShare& share : shares_)
      if (!share.is_whole() && share.does_marks() && !share.is_empty())
        add(
            std::string(share.name()), after_crew(share), share, [&] { return make(share); }, ends_of(share));
  }

  /// What every crew is told, also one that has no mark now.
  template <class Make>
  void each_crew_told(const Make& make) {
    for (std::size_t i = 1; i < shares_.size(); ++i)
      add(std::string(shares_[i].name()), after_crew(shares_[i]), shares_[i], [&] { return make(i - 1); });
  }

  /// Of the rows of the sheet of the whole job. REQUIRES a job with a sheet.
  Ends ends_of_sheet() const {
    return ends_where([found = c.offsets.get()](std::uint32_t m) { return !found->stands(m); });
  }

  /// The whole job, then every crew.
  std::span<const CrewShare> shares() const { return shares_; }
  std::span<const CrewShare> whole() const { return std::span(shares_).first(1); }
  /// Something can be staked out from the setup.
  bool has_stakes_at(std::size_t setup, const CrewShare& share) const {
    const auto& found = c.setups.get()->setups[setup];
    return found && has_stakes(*found) && share.does_marks() && !share.is_empty();
  }
  /// Lines to stake out from a setup; none where there is only control for a crew.
  const StakeList& stakes(std::size_t setup, const CrewShare& share) {
    const auto key = std::pair(std::string(share.name()), setup);
    const auto at = stakes_.find(key);
    if (at != stakes_.end()) return at->second;
    const auto& found = c.setups.get()->setups[setup];
    StakeList list = stake_list(c.views.stake, *found, laid(), share);
    const auto is_control = [](const StakeLine& l) { return l.level == StakeLevel::control; };
    if (!share.is_whole() && std::ranges::all_of(list.lines, is_control)) list = {};
    return stakes_.emplace(key, std::move(list)).first->second;
  }
  const SheetDigests& sheet_digests() {
    if (!sheet_digests_) sheet_digests_ = digests_of_sheet(c);
    return *sheet_digests_;
  }

 private:
  static bool varies(const OutputSpec& spec) { return spec.name.find(kVaries) != std::string_view::npos; }

  std::string name(const std::string& part) const {
    std::string out(spec_->name);
    if (const std::size_t at = out.find(kVaries); at != std::string::npos)
      out.replace(at, kVaries.size(), part);
    return out;
  }
  static std::string with_crew(const std::string& part, const CrewShare& share) {
    return share.is_whole() ? part : fmt::format("{}-{}", part, share.name());
  }

  NamedAfter after_run(const ListFile& list) const {
    const std::string_view run =
        list.rows.empty() ? std::string_view() : laid().marks->runs[list.rows.front()];
    const std::string words = run.empty() ? "" : "run " + in_quotes(run);
    return {run.empty() ? "points without a run" : words, words, job.list_split_key.at, "list.split"};
  }
  static NamedAfter after_crew(const CrewShare& share) {
    const std::string words = "crew " + in_quotes(share.name());
    return {words, words, share.crew().name_at, "crew.name"};
  }
  static NamedAfter after_setup(const StatedSetup& setup, const CrewShare& share) {
    const std::string words = "setup " + in_quotes(setup.name);
    if (share.is_whole()) return {words, words, setup.where, "setup.name"};
    NamedAfter crew = after_crew(share);
    return {fmt::format("{} at {}", crew.words, words), crew.rename, crew.at, crew.field};
  }

  template <class Make>
  void add(const std::string& part, NamedAfter after, const CrewShare& share, const Make& make,
           Ends ends = std::nullopt) {
    std::string file = name(part);
    if (names_) {
      names_->push_back({std::move(file), std::move(after)});
    } else if (auto content = content_of(make())) {
      made_.push_back({std::move(file), std::move(*content), ends});
      made_.back().is_of_crew = !share.is_whole();
    }
  }
  using Content = std::variant<std::unique_ptr<WrittenTable>, std::string>;
  static std::optional<Content> content_of(std::optional<Content> content) { return content; }

  /// The smallest and the largest floor number of a share.
  Ends ends_of(const CrewShare& share) const {
    return ends_where([&share](std::uint32_t m) { return share.has(m); });
  }
  template <class Is>
  Ends ends_where(const Is& is) const {
    Ends out;
    for (std::uint32_t m = 0; m < laid().marks.size(); ++m) {
      if (!is(m)) continue;
      const std::int64_t n = laid().numbers.of(m);
      out = out ? std::pair(std::min(out->first, n), std::max(out->second, n)) : std::pair(n, n);
    }
    return out;
  }

  std::vector<CrewShare> shares_;
  const OutputSpec* spec_ = nullptr;
  std::vector<Output> made_;
  std::vector<OutputName>* names_ = nullptr;  // where names alone are wanted
  std::optional<std::vector<ListFile>> lists_;
  std::map<std::pair<std::string, std::size_t>, StakeList> stakes_;
  std::optional<SheetDigests> sheet_digests_;
};

using Content = std::variant<std::unique_ptr<WrittenTable>, std::string>;
using Level = ListFile::Level;

template <Level level, ListFrame frame>
void add_lists(OutputMaker& m) {
  m.lists(level, frame);
}

void add_shots(OutputMaker& m) {
  const auto has = [&m](std::size_t i, const CrewShare&) {
    return m.c.setups.get()->setups[i].has_value() && m.job.instrument.setups[i].table != nullptr;
  };
  m.each_setup(m.whole(), has, [&m](std::size_t i, const CrewShare&) -> std::optional<Content> {
    return shots_table(m.c.views.setups, *m.c.setups.get(), m.unit, i);
  });
}
/// Of every setup that sighted marks of the list.
void add_marks(OutputMaker& m) {
  if (!m.c.laid.get()) return;
  const auto marks_of = [&m](std::size_t i) {
    return sighted_marks(*m.c.setups.get()->setups[i], m.laid(), m.job.overhead.runs, m.job.floor.value,
                         m.job.instrument.options);
  };
  const auto has = [&](std::size_t i, const CrewShare&) {
    const auto& setup = m.c.setups.get()->setups[i];
    return setup && !setup->checks.empty() && !marks_of(i).empty();
  };
  m.each_setup(m.whole(), has, [&](std::size_t i, const CrewShare&) -> std::optional<Content> {
    return marks_table(m.laid(), marks_of(i), m.unit);
  });
}
void add_stake_tables(OutputMaker& m) {
  const auto has = [&m](std::size_t i, const CrewShare& share) { return m.has_stakes_at(i, share); };
  m.each_setup(m.shares(), has, [&m](std::size_t i, const CrewShare& share) -> std::optional<Content> {
    const StakeList& list = m.stakes(i, share);
    if (list.lines.empty()) return std::nullopt;
    return stake_table(m.c.views.setups, m.laid(), list, m.unit);
  });
}
void add_stake_sheets(OutputMaker& m) {
  const auto has = [&m](std::size_t i, const CrewShare& share) { return m.has_stakes_at(i, share); };
  m.each_setup(m.shares(), has, [&m](std::size_t i, const CrewShare& share) -> std::optional<Content> {
    const StakeList& list = m.stakes(i, share);
    if (list.lines.empty()) return std::nullopt;
    const IssueFound* issue = m.c.issue.get();
    return stake_sheets_of(m.c.stake_words(), i, list, m.verdict, issue ? issue->number : 0, share.name());
  });
}
void add_plans(OutputMaker& m) {
  const auto has = [&m](std::size_t i, const CrewShare&) { return m.c.setups.get()->plans[i].has_value(); };
  m.each_setup(m.whole(), has, [&m](std::size_t i, const CrewShare&) -> std::optional<Content> {
    const PlanFound& plan = *m.c.setups.get()->plans[i];
    return plan_table(m.c.views.setups, m.laid(), planned_list(m.c.views.stake, plan, m.laid()), m.unit);
  });
}

std::unique_ptr<WrittenTable> offsets_of(OutputMaker& m, const CrewShare& share) {
  return offsets_table(m.job.offsets, m.job.overhead.runs, m.laid(), *m.c.offsets.get(), share);
}
std::string offset_sheet_of(OutputMaker& m, const CrewShare& share) {
  SheetInput sheet = sheet_of(m.c, m.sheet_digests(), m.verdict, share);
  if (const IssueFound* issue = m.c.issue.get()) sheet.issue = issue->number;
  return offset_sheet(sheet);
}

constexpr OutputSpec kBookOutput{"book.csv",
                                 "by deckmark book",
                                 "what was done, row by row, beside the job under the name that the job "
                                 "gives it (book-NAME.csv of a crew); "
                                 "it only grows",
                                 kBookColumns,
                                 false,
                                 true};
constexpr OutputSpec kKeptOutput{
    "kept/NAME.csv", "",
    "the ledger, all that stands beside it and every book as they stood, under their own names: deckmark "
    "restore takes them back; no sum and no summary names them"};
constexpr OutputSpec kPageOutput{kPageFile, "",
                                 "one page with plan, checks and numbers, for a browser or a printer"};
constexpr OutputSpec kSumsOutput{
    kSumsFile, "",
    "the digest of every file here but itself: sha256sum -c SHA256SUMS finds what was altered"};
constexpr OutputSpec kSummaryOutput{kSummaryFile, "",
                                    "all that was found, every file with its digest, what was read"};

/// A file and what adds it, or the files of its name, where the job has data for them. Ledger and issues are
/// added to by the run itself, who has them by `give`, what is to be done today is written by `today`, and
/// the page, the sums and the summary made by the run,
/// since they state the digests of the others.
struct Made {
  const OutputSpec* spec;
  void (*add)(OutputMaker&);
};

constexpr Made kMade[] = {
    {&kLedgerOutput, nullptr},
    {&kIssuedControlOutput, nullptr},
    {&kIssuedOutput, nullptr},
    {&kGivenOutput, nullptr},
    {&kBookOutput, nullptr},
    {&kKeptOutput, nullptr},
    {&kListOutput, add_lists<Level::together, ListFrame::ground>},
    {&kListsOutput, add_lists<Level::together, ListFrame::ground>},
    {&kListGridOutput, add_lists<Level::together, ListFrame::grid>},
    {&kListsGridOutput, add_lists<Level::together, ListFrame::grid>},
    {&kFloorListOutput, add_lists<Level::floor, ListFrame::ground>},
    {&kFloorListsOutput, add_lists<Level::floor, ListFrame::ground>},
    {&kFloorListGridOutput, add_lists<Level::floor, ListFrame::grid>},
    {&kFloorListsGridOutput, add_lists<Level::floor, ListFrame::grid>},
    {&kDeckListOutput, add_lists<Level::deck, ListFrame::ground>},
    {&kDeckListsOutput, add_lists<Level::deck, ListFrame::ground>},
    {&kDeckListGridOutput, add_lists<Level::deck, ListFrame::grid>},
    {&kDeckListsGridOutput, add_lists<Level::deck, ListFrame::grid>},
    {&kPointsOutput,
     [](OutputMaker& m) { m.table(points_table(m.laid(), m.unit, m.c.views.heights.datum_line()), m.all); }},
    {&kPlumbOutput,
     [](OutputMaker& m) {
       if (const Plumbed* p = m.c.plumb.get()) m.table(plumb_table(m.laid(), *p, m.unit));
     }},
    {&kHeightsOutput,
     [](OutputMaker& m) {
       if (const HeightsFound* h = m.c.heights.get())
         m.table(heights_table(m.c.views.heights, *h, m.c.numbers.get(), m.unit));
     }},
    {&kBaselineOutput,
     [](OutputMaker& m) {
       if (m.laid().placed.baseline) m.table(baseline_table(m.c.views.baselines, m.laid().placed, m.unit));
     }},
    {&kGroundOutput,
     [](OutputMaker& m) {
       if (const GroundFound* g = m.c.ground.get()) m.table(ground_table(m.c.views.ground, *g, m.unit));
     }},
    {&kChecksOutput,
     [](OutputMaker& m) {
       const Placed* placed = m.c.placed.get();
       const Checked* checked = m.c.checked.get();
       if (has_checks(placed, checked)) m.table(checks_table(m.c.views.baselines, placed, checked, m.unit));
     }},
    {&kAsbuiltOutput,
     [](OutputMaker& m) {
       const AsbuiltFound* a = m.c.asbuilt.get();
       const BracketsJudged* b = m.c.brackets.get();
       if (a || b) m.table(asbuilt_table(m.laid(), a, b, m.unit));
     }},
    {&kCausesOutput,
     [](OutputMaker& m) {
       if (const AsbuiltFound* a = m.c.asbuilt.get())
         m.table(causes_table(cause_lines(m.c.views.asbuilt, m.laid(), *a), m.unit));
     }},
    {&kSetupOutput,
     [](OutputMaker& m) {
       const Setups* s = m.c.setups.get();
       if (s && s->any_computed()) m.table(setup_table(m.c.views.setups, *s, m.unit));
     }},
    {&kSightsOutput,
     [](OutputMaker& m) {
       const Setups* s = m.c.setups.get();
       if (s && s->any_computed()) m.table(sights_table(m.c.views.setups, *s, m.unit));
     }},
    {&kNetOutput,
     [](OutputMaker& m) {
       const Sighted* sighted = m.c.sighted();
       if (sighted && !sighted->names().empty()) m.table(net_table(*sighted, m.unit));
     }},
    {&kShotsOutput, add_shots},
    {&kMarksOutput, add_marks},
    {&kStakeSheetOutput, add_stake_sheets},
    {&kStakeOutput, add_stake_tables},
    {&kPlanOutput, add_plans},
    {&kOffsetsOutput,
     [](OutputMaker& m) {
       if (m.c.offsets.get()) m.table(offsets_of(m, {}), m.all);
     }},
    {&kOffsetSheetOutput,
     [](OutputMaker& m) {
       if (m.c.offsets.get()) m.text(offset_sheet_of(m, {}), m.ends_of_sheet());
     }},
    {&kCornersOutput,
     [](OutputMaker& m) {
       if (m.c.offsets.get() && m.c.offsets.value->strings)
         m.table(corners_table(m.c.offsets.value->corners, m.unit));
     }},
    {&kCrewOffsetsOutput,
     [](OutputMaker& m) {
       if (m.c.offsets.get())
         m.each_crew([&m](const CrewShare& crew) -> std::optional<Content> { return offsets_of(m, crew); });
     }},
    {&kCrewOffsetSheetOutput,
     [](OutputMaker& m) {
       if (m.c.offsets.get())
         m.each_crew(
             [&m](const CrewShare& crew) -> std::optional<Content> { return offset_sheet_of(m, crew); });
     }},
    {&kHangersOutput,
     [](OutputMaker& m) {
       if (const CutsFound* cuts = m.c.cuts.get()) m.table(hangers_table(m.laid(), *cuts, m.unit));
     }},
    {&kTrapezeOutput,
     [](OutputMaker& m) {
       if (m.job.overhead.bridges()) m.table(trapeze_table(m.laid(), m.unit));
     }},
    {&kPieceMarksOutput,
     [](OutputMaker& m) {
       if (has_pieces(m.job.overhead)) m.table(piece_table(m.laid(), m.job.overhead, m.unit));
     }},
    {&kMembersOutput,
     [](OutputMaker& m) {
       if (m.job.overhead.runs_table.table) m.table(members_table(m.laid().overhead, m.job.overhead, m.unit));
     }},
    {&kSiteCutsOutput,
     [](OutputMaker& m) {
       if (has_pieces(m.job.overhead)) m.table(site_cuts_table(m.laid().overhead, m.unit));
     }},
    {&kCrossingsOutput,
     [](OutputMaker& m) {
       if (m.job.overhead.runs_table.table)
         m.table(crossings_table(m.laid().overhead, m.job.overhead, m.unit));
     }},
    {&kPartsOutput,
     [](OutputMaker& m) {
       if (counts_parts(m.job.overhead) || m.job.bill.needs_table.table)
         m.table(parts_table(
             all_parts(m.job.overhead, m.laid().marks, m.laid().overhead, m.c.cuts.get(), m.c.bill.get()),
             m.unit));
     }},
    {&kShortOutput,
     [](OutputMaker& m) {
       if (const BillFound* bill = m.c.bill.get(); bill && bill->held.is_judged)
         m.table(short_table(*bill, m.job.overhead, m.unit));
     }},
    {&kShapeOutput,
     [](OutputMaker& m) {
       if (const ShapeFound* found = m.c.shape.get())
         m.table(shape_table(*found, *m.laid().marks, m.job.overhead.runs, m.unit, m.job.drawing_unit));
     }},
    {&kChangesOutput,
     [](OutputMaker& m) {
       if (const IssueFound* i = m.c.issue.get())
         m.table(changes_table(m.laid(), m.job.ledger.ledger, i->changes, i->row, m.unit));
     }},
    {&kChangesCrewOutput,
     [](OutputMaker& m) {
       if (const IssueFound* issue = m.c.issue.get())
         m.each_crew_told([&](std::size_t crew) {
           return changes_table(m.laid(), m.job.ledger.ledger, issue->crews[crew].changes, issue->row,
                                m.unit);
         });
     }},
    {&kTodayOutput, nullptr},
    {&kVoidListOutput, nullptr},
    {&kMarkListOutput, nullptr},
    {&kFillListOutput, nullptr},
    {&kPageOutput, nullptr},
    {&kSumsOutput, nullptr},
    {&kSummaryOutput, nullptr},
};

constexpr auto kSpecs = [] {
  std::array<const OutputSpec*, std::size(kMade)> out{};
  std::ranges::transform(kMade, out.begin(), &Made::spec);
  return out;
}();

std::vector<Output> OutputMaker::plan() {
  for (const Made& made : kMade) {
    spec_ = made.spec;
    if (made.add && (spec_->is_of_survey || laid_)) made.add(*this);
  }
  return std::move(made_);
}

std::vector<OutputName> OutputMaker::names() {
  std::vector<OutputName> out;
  names_ = &out;
  for (const Made& made : kMade) {
    spec_ = made.spec;
    if (made.add && varies(*spec_) && (spec_->is_of_survey || laid_)) made.add(*this);
  }
  return out;
}

/// Whether a pattern can have made a name: where it varies there is some plain text.
bool can_be(std::string_view pattern, std::string_view name) {
  const std::size_t at = pattern.find(kVaries);
  if (at == std::string_view::npos) return pattern == name;
  const std::string_view end = pattern.substr(at + kVaries.size());
  return name.size() > at + end.size() && name.starts_with(pattern.substr(0, at)) && name.ends_with(end) &&
         is_plain(name.substr(at, name.size() - at - end.size()));
}

}  // namespace

std::span<const OutputSpec* const> outputs() { return kSpecs; }

const OutputSpec* output_of(std::string_view name) {
  const OutputSpec* out = nullptr;
  for (const OutputSpec* s : outputs())
    if (!s->is_journal && s->is_of_run && can_be(s->name, name) &&
        (!out || s->name.size() > out->name.size()))
      out = s;
  return out;
}

std::vector<Output> plan_outputs(const Computation& computed, std::string_view verdict) {
  return OutputMaker(computed, verdict).plan();
}

void tell_names_that_meet(const Computation& computed, Messages& messages) {
  tell_names_that_meet(OutputMaker(computed, "").names(), messages);
}

fs::path output_folder(const Job& job, const fs::path& out) {
  return out.empty() ? job.folder / kWorkingFolder : out;
}

bool is_same_file(const fs::path& a, const fs::path& b) {
  std::error_code bad;
  if (fs::equivalent(a, b, bad) && !bad) return true;
  return fs::weakly_canonical(fs::absolute(a, bad), bad) == fs::weakly_canonical(fs::absolute(b, bad), bad);
}

std::optional<std::string_view> use_of(const Job& job, const fs::path& out, const fs::path& path) {
  const auto is_path = [&](const fs::path& other) { return is_same_file(other, path); };
  if (is_path(job.ledger_path)) return "which is the ledger of numbers";
  for (const std::string_view word : kBesideLedger)
    if (is_path(job.ledger_files().path_beside(word))) return "which belongs to the ledger of numbers";
  if (std::ranges::any_of(job.input_paths, is_path)) return "which the job reads";
  const fs::path folder = path.has_parent_path() ? path.parent_path() : fs::path(".");
  if (output_of(path.filename().string()) && is_same_file(folder, output_folder(job, out)))
    return "which is a name that run writes";
  return std::nullopt;
}

std::string csv_of(const WrittenTable& table) {
  std::string out;
  table.write([&out](const char* data, std::size_t size) { out.append(data, size); });
  return out;
}

}  // namespace deckmark
