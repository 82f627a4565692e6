#include "work/outputs.h"

#include <algorithm>
#include <map>
#include <system_error>

#include "table/digest.h"
#include "work/ground.h"
#include "work/instrument_parts.h"
#include "work/output_tables.h"
#include "work/overhead.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

constexpr std::string_view kVaries = "NAME";

bool is_plain(std::string_view text) {
  return std::ranges::all_of(text, [](char c) {
    return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '-' || c == '_';
  });
}

}  // namespace

/// Gathers the files of one run; what several of them need is made once.
class OutputMaker {
 public:
  using Ends = std::optional<std::pair<std::int64_t, std::int64_t>>;

  OutputMaker(const Job& j, const Found& f, std::string_view v, Messages& messages)
      : job(j), found(f), verdict(v), messages_(messages) {
    const auto& numbers = found.issue.numbers;
    const auto span = std::minmax_element(numbers.begin(), numbers.end());
    if (span.first != numbers.end()) all = {*span.first, *span.second};
  }

  const Job& job;
  const Found& found;
  std::string_view verdict;
  Ends all;  ///< smallest and largest number

  std::vector<Output> plan() {
    for (const OutputSpec& spec : outputs()) {
      spec_ = &spec;
      if (spec.make && (spec.is_of_survey || has_site_place(job))) spec.make(*this);
    }
    return std::move(made_);
  }

  /// No file where there is no table.
  void table(std::unique_ptr<WrittenTable> content, Ends ends = std::nullopt) {
    if (content) made_.push_back({std::string(spec_->name), std::move(content), ends});
  }
  void text(std::string content, Ends ends = std::nullopt) {
    made_.push_back({std::string(spec_->name), std::move(content), ends});
  }
  void ledger() { made_.push_back({job.ledger_file, ledger_table(job, found), all, true}); }

  /// The lists of one level; of every run where the file's name says what varies.
  void lists(ListFile::Level level, ListFrame frame) {
    const bool by_run = spec_->name.find(kVaries) != std::string_view::npos;
    if (job.list.frame != frame || by_run != (job.list.split == ListSplit::run)) return;
    if (!lists_) lists_ = list_files(job, found, messages_);
    for (ListFile& list : *lists_) {
      if (list.level != level) continue;
      Ends ends;
      if (!list.rows.empty()) {
        const auto& numbers = found.issue.numbers;
        const std::int64_t add = level == ListFile::Level::deck ? job.numbers.deck_offset : 0;
        ends = {numbers[list.rows.front()] + add, numbers[list.rows.back()] + add};
      }
      made_.push_back({name(list.run), list_table(job, found, std::move(list)), ends});
    }
  }

  /// Something of every setup, or nothing of it: `make` gives a table or a text, null where there is none.
  template <class Make>
  void each_setup(const Make& make) {
    for (std::size_t i = 0; i < job.instrument.setups.size(); ++i) {
      auto content = make(i);
      if (content) made_.push_back({name(job.instrument.setups[i].name), std::move(*content), std::nullopt});
    }
  }
  const StakeList& stakes(std::size_t setup) {
    const auto at = stakes_.find(setup);
    return at != stakes_.end() ? at->second
                               : stakes_.emplace(setup, stake_list(job, found, setup)).first->second;
  }
  bool is_computed(std::size_t setup) const { return found.instrument.setups[setup].has_value(); }

 private:
  std::string name(const std::string& part) const {
    std::string out(spec_->name);
    if (const std::size_t at = out.find(kVaries); at != std::string::npos)
      out.replace(at, kVaries.size(), part);
    return out;
  }

  Messages& messages_;
  const OutputSpec* spec_ = nullptr;
  std::vector<Output> made_;
  std::optional<std::vector<ListFile>> lists_;
  std::map<std::size_t, StakeList> stakes_;
};

namespace {

using Content = std::variant<std::unique_ptr<WrittenTable>, std::string>;
using Level = ListFile::Level;

template <Level level, ListFrame frame>
void add_lists(OutputMaker& m) {
  m.lists(level, frame);
}
template <OverheadTable which>
void add_overhead(OutputMaker& m) {
  m.table(overhead_table(which, m.job, m.found));
}

void add_shots(OutputMaker& m) {
  m.each_setup([&m](std::size_t i) -> std::optional<Content> {
    if (!m.is_computed(i) || !m.job.instrument.setups[i].table) return std::nullopt;
    return shots_table(m.job, m.found, i);
  });
}
void add_stake_tables(OutputMaker& m) {
  m.each_setup([&m](std::size_t i) -> std::optional<Content> {
    if (!m.is_computed(i) || m.stakes(i).lines.empty()) return std::nullopt;
    return stake_table(m.job, m.found, m.stakes(i));
  });
}
void add_stake_sheets(OutputMaker& m) {
  m.each_setup([&m](std::size_t i) -> std::optional<Content> {
    if (!m.is_computed(i) || m.stakes(i).lines.empty()) return std::nullopt;
    return stake_sheets_of(m.job, m.found, i, m.stakes(i), m.verdict);
  });
}
void add_plans(OutputMaker& m) {
  m.each_setup([&m](std::size_t i) -> std::optional<Content> {
    if (!m.found.instrument.plans[i]) return std::nullopt;
    return plan_table(m.job, m.found, planned_list(m.job, m.found, i));
  });
}
void add_offset_sheet(OutputMaker& m) {
  if (m.job.offsets.wanted)
    m.text(offset_sheet(m.job, m.found, sha256_hex(csv_of(*points_table(m.job, m.found)))), m.all);
}

constexpr OutputSpec kOutputs[] = {
    {"numbers.csv", "", "the ledger of numbers, in the job's folder under the name that the job gives it",
     [](OutputMaker& m) { m.ledger(); }},
    {"list.csv", "with together", "control, then the floor list, then the deck list",
     add_lists<Level::together, ListFrame::ground>},
    {"list-grid.csv", "with together, in grid coordinates", "the same in the map projection",
     add_lists<Level::together, ListFrame::grid>},
    {"floor-list.csv", "without together and split", "the numbered floor list",
     add_lists<Level::floor, ListFrame::ground>},
    {"floor-list-NAME.csv", "with split", "the floor list of one run",
     add_lists<Level::floor, ListFrame::ground>},
    {"floor-list-grid.csv", "in grid coordinates", "the floor list in the map projection",
     add_lists<Level::floor, ListFrame::grid>},
    {"floor-list-grid-NAME.csv", "with split, in grid coordinates",
     "the floor list of one run in the map projection", add_lists<Level::floor, ListFrame::grid>},
    {"deck-list.csv", "with a deck, without together and split", "the numbered deck list",
     add_lists<Level::deck, ListFrame::ground>},
    {"deck-list-NAME.csv", "with a deck and split", "the deck list of one run",
     add_lists<Level::deck, ListFrame::ground>},
    {"deck-list-grid.csv", "with a deck, in grid coordinates", "the deck list in the map projection",
     add_lists<Level::deck, ListFrame::grid>},
    {"deck-list-grid-NAME.csv", "with a deck and split, in grid coordinates",
     "the deck list of one run in the map projection", add_lists<Level::deck, ListFrame::grid>},
    {kPointsFile, "", "every point with its places, heights and sd",
     [](OutputMaker& m) { m.table(points_table(m.job, m.found), m.all); }},
    {"plumb.csv", "with deck marks", "deck marks against floor marks",
     [](OutputMaker& m) {
       if (m.job.deck_marks_table.table) m.table(plumb_table(m.job, m.found));
     }},
    {"baseline.csv", "with ties", "every stated coordinate against the fit",
     [](OutputMaker& m) {
       if (m.found.placed.baseline) m.table(baseline_table(m.job, m.found));
     }},
    {"ground.csv", "with a map projection", "control in the grid and at ground scale",
     [](OutputMaker& m) {
       if (m.job.ground.ground) m.table(ground_table(m.job, m.found));
     },
     true},
    {"checks.csv", "with ties, lengths or dimensions", "the squareness, taped lengths, printed dimensions",
     [](OutputMaker& m) {
       if (has_checks(m.found)) m.table(checks_table(m.job, m.found));
     }},
    {"asbuilt.csv", "with as-built shots", "as built minus design, every shot",
     [](OutputMaker& m) {
       if (m.job.asbuilt.table) m.table(asbuilt_table(m.job, m.found));
     }},
    {"causes.csv", "with as-built shots", "likely causes, strongest first",
     [](OutputMaker& m) {
       if (m.job.asbuilt.table) m.table(causes_table(m.job, m.found));
     }},
    {"setup.csv", "with setups", "where every setup stands, and how good that is",
     [](OutputMaker& m) {
       if (has_setups(m.found)) m.table(setup_table(m.job, m.found));
     },
     true},
    {"sights.csv", "with setups", "every sight with its residual",
     [](OutputMaker& m) {
       if (has_setups(m.found)) m.table(sights_table(m.job, m.found));
     },
     true},
    {"shots-NAME.csv", "with setups that have observations", "side shots of one setup", add_shots, true},
    {"stake-NAME.txt", "with setups that have an orientation", "the stake list of one setup, for the crew",
     add_stake_sheets},
    {"stake-NAME.csv", "with setups that have an orientation", "the stake list of one setup",
     add_stake_tables},
    {"plan-NAME.csv", "with planned setups", "what a planned setup would make of every mark", add_plans},
    {"offsets.csv", "with [offsets]", "distances along the baselines and swing ties",
     [](OutputMaker& m) {
       if (m.job.offsets.wanted) m.table(offsets_table(m.job, m.found), m.all);
     }},
    {"offset-sheet.txt", "with [offsets]", "the same for laser and tape, for the crew", add_offset_sheet},
    {"hangers.csv", "with cut_top, cut_bottom or stock", "rods to cut, and from which piece of stock",
     add_overhead<OverheadTable::hangers>},
    {"trapeze.csv", "with obstructions", "hangers that are bridged, and their supports",
     add_overhead<OverheadTable::trapezes>},
    {"piece-marks.csv", "with pieces or joint_every", "what to mark on every piece",
     add_overhead<OverheadTable::piece_marks>},
    {"crossings.csv", "with runs", "where runs meet", add_overhead<OverheadTable::crossings>},
    {"parts.csv", "with runs, obstructions or cuts", "parts to hold against the bill of materials",
     add_overhead<OverheadTable::parts>},
    {"changes.csv", "", "what changed since the last issue",
     [](OutputMaker& m) { m.table(changes_table(m.job, m.found)); }},
    {kPageFile, "", "one page with plan, checks and numbers, for a browser or a printer", nullptr},
    {kSummaryFile, "", "what was printed, every file with its digest, what was read", nullptr},
};

/// Whether a pattern can have made a name: where it varies there is some plain text.
bool can_be(std::string_view pattern, std::string_view name) {
  const std::size_t at = pattern.find(kVaries);
  if (at == std::string_view::npos) return pattern == name;
  const std::string_view end = pattern.substr(at + kVaries.size());
  return name.size() > at + end.size() && name.starts_with(pattern.substr(0, at)) && name.ends_with(end) &&
         is_plain(name.substr(at, name.size() - at - end.size()));
}

}  // namespace

std::span<const OutputSpec> outputs() { return kOutputs; }

const OutputSpec* output_of(std::string_view name) {
  const auto made = outputs().subspan(1);
  const auto at = std::ranges::find_if(made, [&](const OutputSpec& s) { return can_be(s.name, name); });
  return at == made.end() ? nullptr : &*at;
}

std::vector<Output> plan_outputs(const Job& job, const Found& found, std::string_view verdict,
                                 Messages& messages) {
  return OutputMaker(job, found, verdict, messages).plan();
}

fs::path output_folder(const Job& job, const fs::path& out) { return out.empty() ? job.folder / "out" : out; }

bool is_same_file(const fs::path& a, const fs::path& b) {
  std::error_code bad;
  if (fs::equivalent(a, b, bad) && !bad) return true;
  return fs::weakly_canonical(fs::absolute(a, bad), bad) == fs::weakly_canonical(fs::absolute(b, bad), bad);
}

std::optional<std::string_view> use_of(const Job& job, const fs::path& out, const fs::path& path) {
  const auto is_path = [&](const fs::path& other) { return is_same_file(other, path); };
  if (is_path(job.ledger_path)) return "which is the ledger of numbers";
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
