#include "job/job.h"

#include <fmt/format.h>

#include <algorithm>
#include <system_error>

#include "job/grid_rows.h"
#include "job/job_reading.h"
#include "job/keys/baselines_keys.h"
#include "job/keys/book_keys.h"
#include "job/keys/deck_keys.h"
#include "job/keys/drawing_keys.h"
#include "job/keys/instrument_keys.h"
#include "job/keys/list_keys.h"
#include "job/keys/plumb_keys.h"
#include "job/keys/site_keys.h"
#include "job/keys/top_keys.h"
#include "job/read_baseline.h"
#include "job/read_bill.h"
#include "job/read_crews.h"
#include "job/read_heights.h"
#include "job/read_instrument.h"
#include "job/read_ledger.h"
#include "job/read_overhead.h"
#include "job/read_storeys.h"
#include "job/site_file.h"
#include "job/tables.h"
#include "job/unknown_keys.h"

namespace deckmark {

namespace {

namespace fs = std::filesystem;

/// Reads the job file's sections in the order of the contract.
class JobReader {
 public:
  JobReader(const JobValue& root, Job& job, PartMessages& told, const BeforeLedger& before_ledger)
      : in_{root, job, told}, job_(job), before_ledger_(before_ledger) {}

  void read() {
    tell_unknown(in_.root, in_.told);
    in_.section<kTop>(Part::file).read<kTitleKeys>(job_);
    in_.section<kStorey>(Part::file).read(job_);
    in_.section<kNumbers>(Part::numbers).read(job_);
    fetch_ledger();
    units();
    job_.instrument.states_setups = states_setups(in_);
    read_control(in_);
    drawing();
    baselines();
    read_heights(in_);
    floor_and_deck();
    read_hangers(in_);
    read_obstructions(in_);
    read_released(in_);
    plumb();
    read_instrument(in_);
    numbers();
    if (!job_.ledger_path.empty()) read_storeys(in_, before_ledger_);
    list();
    read_asbuilt(in_);
    job_.baseline.position_tolerance = job_.asbuilt.options.plan;
    read_offsets(in_);
    read_crews(in_);
    in_.section<kBook>(Part::book).read(job_);
  }

 private:
  /// A long ledger is read from the disk while the drawing is; what is wrong with it is told in its turn.
  void fetch_ledger() {
    if (!ledger_is_inside()) return;
    if (before_ledger_) before_ledger_(job_.ledger_path);
    ledger_.emplace(job_.ledger_files(), job_.name_for_ledger(), job_.path, job_.numbers);
    ledger_->fetch();
  }

  /// Every table needs the units, and every angle its notation.
  void units() {
    in_.section<kDrawing>(Part::file).read<kDrawingUnitKeys>(job_);
    in_.section<kSite>(Part::file).read<kSiteUnitKeys>(job_);
    in_.section<kInstrument>(Part::units).read<kAngleKeys>(job_);
  }

  void drawing() {
    auto s = in_.section<kDrawing>(Part::drawing);
    s.read<kDrawingPointKeys>(job_);
    auto placing = in_.section<kDrawing>(Part::ties);
    placing.read<kDrawingPlaceKeys>(job_);
    const JobValue* section = in_.root.member(kDrawing.name);
    const bool is_none = section && section->kind != JobValue::Kind::section;  // told
    if (job_.named.points)
      in_.tables(Part::drawing).drawing_points(*job_.named.points);
    else
      job_.has_drawing = s.means("points") || s.means("runs") || is_none;
    job_.states_frame = placing.means("frame");
    frame(placing);
    read_runs(in_);
    read_bill(in_);
    read_building_lines(in_);
    read_printed_dimensions(in_);
  }

  /// `frame = "site"` beside what says otherwise is refused: no order of precedence is guessed.
  void frame(SectionReader<kDrawing>& s) {
    if (!job_.frame_is_site) return;
    using Name = KeyName<kBaselines>;
    for (const Name key : {Name("ties"), Name("signed")})
      if (in_.section<kBaselines>(Part::drawing).has(key)) {
        s.problem("frame", Fault{fmt::format("frame = \"site\" beside [baselines] {}", key.word),
                                 "one of them: ties and a signed fit say themselves where the drawing lies",
                                 "taking frame out"});
        return;
      }
    if (job_.mirrored)
      s.problem("frame", Fault{"frame = \"site\" with mirrored = true",
                               "one of them: x as easting and y as northing are as seen from above",
                               "taking mirrored out, or ties in place of frame"});
  }

  void baselines() {
    auto s = in_.section<kBaselines>(Part::ties);
    s.read<kTieKeys>(job_);
    job_.states_ties = s.means("ties") || s.means("signed");
    BaselineOptions& o = job_.baseline;
    o.mirrored = job_.mirrored;
    if (o.scale_free && o.hold != Hold::both)
      s.problem("hold", Fault{"a held baseline with a free scale", "hold = \"both\", or scale = \"fixed\"",
                              "\"both\""});
    read_taped_lengths(in_);
    TableLoader tables = in_.tables(Part::ties);
    if (job_.named.signed_fit) read_signed(*job_.named.signed_fit, job_, tables, in_.told.of(Part::ties));
    if (job_.named.ties)
      tables.ties(*job_.named.ties, job_.checks.tie_sd,
                  job_.square.tolerance.value_or(Length::millimetres(5)));
  }

  void floor_and_deck() {
    auto floor = in_.section<kFloor>(Part::deck);
    floor.read(job_, in_.bare());
    auto deck = in_.section<kDeck>(Part::deck);
    deck.read<kDeckKeys>(job_, in_.bare());
    if (deck.has("elevation") && deck.has("shots"))
      deck.problem("shots", Fault{"both elevation and shots", "one of them", ""});
    read_bays(in_);
    job_.heights.measures_deck = measures_deck(job_);
    job_.has_deck =
        deck.means("elevation") || deck.means("shots") || deck.means("bays") || job_.heights.measures_deck;
    deck_shots();
    if ((job_.has_deck || job_.datum) && floor.lacks("elevation"))
      in_.told.of(Part::deck)
          .doubt("no floor elevation", Where::whole(job_.file), "floor.elevation",
                 "not stated: 0 is taken; rise and drop are from there");
  }

  void deck_shots() {
    if (!job_.named.deck_shots) return;
    in_.tables(Part::deck).deck_shots(*job_.named.deck_shots);
    Messages& told = in_.told.of(Part::deck);
    if (job_.shots_table.table && !told.has_problems() && job_.shots.size() < 3)
      told.problem(job_.shots_table.table->whole(), "file",
                   Fault{fmt::format("{} deck shot{}", job_.shots.size(), job_.shots.size() == 1 ? "" : "s"),
                         "three or more, not on one line", ""});
  }

  void plumb() {
    auto s = in_.section<kPlumb>(Part::plumb);
    s.read(job_);
    job_.plumb.own_tolerance = s.has("tolerance");
    if (job_.named.deck_marks && !is_from_book(*job_.named.deck_marks))
      in_.tables(Part::plumb).deck_marks(*job_.named.deck_marks);
  }

  void numbers() {
    auto s = in_.section<kNumbers>(Part::numbers);
    constexpr std::size_t kLongestFileName = 240;  // bytes: with `-issued-control` what file systems take
    for (const fs::path& part : fs::path(job_.ledger_file))
      if (part.string().size() > kLongestFileName)
        return s.problem("ledger", Fault{fmt::format("{}, a file name of {} bytes",
                                                     in_quotes(job_.ledger_file), part.string().size()),
                                         fmt::format("a file name of up to {} bytes", kLongestFileName), ""});
    if (!ledger_is_inside()) {
      std::error_code none;
      const bool link = fs::is_symlink(job_.folder / fs::path(job_.ledger_file), none);
      if (link)
        s.problem("ledger",
                  Fault{in_quotes(job_.ledger_file) + ", a link that leads out of the job's folder",
                        "a file in the job's folder or below", "moving that file here in place of the link"});
      else
        s.problem("ledger", Fault{in_quotes(job_.ledger_file), "a file in the job's folder or below",
                                  "\"numbers.csv\""});
      return;
    }
    if (!ledger_) return;
    auto found = ledger_->read(job_.ledger_key.at, in_.told.of(Part::numbers));
    if (!found) return;
    job_.ledger = std::move(*found);
    for (const auto& source : job_.ledger.sources) {
      job_.inputs.push_back(source);
      job_.input_paths.push_back(job_.folder / fs::path(source->name()));
    }
  }

  /// The ledger is replaced by every run: it may not lie outside the job's folder, nor be reached through a
  /// link.
  bool ledger_is_inside() {
    const fs::path named(job_.ledger_file);
    if (job_.ledger_file.empty() || named.is_absolute() || !named.has_filename()) return false;
    std::error_code bad;
    // A relative path of which nothing exists stays relative in weakly_canonical: absolute first.
    const fs::path base =
        fs::weakly_canonical(fs::absolute(job_.folder.empty() ? fs::path(".") : job_.folder, bad), bad);
    job_.ledger_path = job_.folder / named;
    const fs::path target = fs::weakly_canonical(fs::absolute(job_.ledger_path, bad), bad);
    if (bad) return false;
    const fs::path inside = target.lexically_relative(base);
    return !inside.empty() && *inside.begin() != ".." && inside != ".";
  }

  void list() {
    auto s = in_.section<kList>(Part::list);
    ListOptions& o = job_.list;
    o.unit = job_.site_unit;
    s.read(job_);
    refuse_column_twice(s);
    if (o.separator == o.decimal_mark && !s.is_refused("separator") && !s.is_refused("decimal_mark"))
      s.problem("separator", Fault{fmt::format("separator and decimal_mark both {}",
                                               in_quotes(std::string_view(&o.separator, 1))),
                                   "two different characters", "separator = \";\""});
    if (!in_.told.is_spoiled(Part::drawing) && !in_.told.is_spoiled(Part::overhead))
      for (const auto& [run, where] : s.listed("only"))
        if (!s.is_refused("only") && !has_run(run))
          in_.told.of(Part::list)
              .problem(where, "list.only",
                       Fault{in_quotes(run), "a run that a point of the drawing has", ""});
    if (o.together && o.split == ListSplit::run)
      s.problem("split", Fault{"split = \"run\" with together = true", "one of them", "\"none\""});
    look_at_frame(s, o);
  }

  /// Told beside words that are no columns.
  void refuse_column_twice(SectionReader<kList>& s) {
    for (std::size_t k = 0; k <= static_cast<std::size_t>(ListColumn::description); ++k) {
      const std::string_view word = list_column_word(static_cast<ListColumn>(k));
      std::size_t times = 0;
      for (const auto& [text, where] : s.listed("columns"))
        if (text == word && ++times == 2)
          in_.told.of(Part::list)
              .problem(where, "list.columns",
                       Fault{fmt::format("column {} twice", word), "each column once", ""});
    }
  }

  void look_at_frame(SectionReader<kList>& s, const ListOptions& o) {
    if (o.frame == ListFrame::ground) return;
    if (!job_.ground.states_crs)
      return s.problem(
          "frame", Fault{"frame = \"grid\" without [site] crs", "the projection that the lists are to be in",
                         "crs = \"EPSG:...\" under [site]"});
    if (!job_.ground.system) return;
    if (const auto foot = other_foot(*o.unit, *job_.ground.system)) s.problem("unit", *foot);
  }

  bool has_run(const std::string& run) const {
    if (!job_.marks->size() && job_.overhead.runs.empty()) return true;  // told elsewhere
    const auto word = job_.marks->runs.words().find(run);
    return (word && !run.empty()) || std::ranges::any_of(job_.overhead.runs, [&](const StatedRun& r) {
             return same_name(r.name, run);
           });
  }

  JobReading in_;
  Job& job_;
  std::optional<LedgerReader> ledger_;  ///< which is read from the disk beside the rest
  const BeforeLedger& before_ledger_;
};

/// What stands in the place of a job file.
std::string missing(const fs::path& path) {
  std::error_code bad;
  return fs::is_directory(path, bad) ? "a folder without job.toml" : "no such file or folder";
}

}  // namespace

std::string Job::name_for_ledger() const {
  std::error_code bad;
  const auto whole = [&bad](const fs::path& p) { return fs::weakly_canonical(fs::absolute(p, bad), bad); };
  return visible(whole(path).lexically_relative(whole(ledger_path).parent_path()).string());
}

std::optional<fs::path> job_file_of(const fs::path& path) {
  std::error_code bad;
  const fs::path file = fs::is_directory(path, bad) ? path / "job.toml" : path;
  if (!fs::exists(file, bad)) return std::nullopt;
  return file;
}

void read_job(const fs::path& path, Job& job, PartMessages& told, const BeforeLedger& before_ledger) {
  Messages& messages = told.of(Part::file);
  const auto file = job_file_of(path);
  if (!file) {
    messages.problem(Where::whole(path.string()), "file",
                     Fault{missing(path), "a job file, or a folder that holds job.toml",
                           "deckmark new FOLDER for a job to start from"});
    return;
  }
  job.folder = file->parent_path();
  job.path = *file;
  job.file = file->filename().string();
  auto read = read_source(*file, job.file);
  if (const auto* bad = std::get_if<Unreadable>(&read)) {
    messages.problem(Where::whole(file->string()), "file",
                     unreadable_fault(bad->reason, *bad, "a job file that can be read"));
    return;
  }
  const auto source = std::get<0>(std::move(read));
  job.inputs.push_back(source);
  job.input_paths.push_back(*file);
  auto root = parse_job_file(source, messages);
  if (!root) return;
  take_site_file(*root, job, told);
  JobReader(*root, job, told, before_ledger).read();
}

}  // namespace deckmark
