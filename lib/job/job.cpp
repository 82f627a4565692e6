#include "job/job.h"

#include <fmt/format.h>

#include <algorithm>
#include <system_error>

#include "job/grid_rows.h"
#include "job/read_baseline.h"
#include "job/read_instrument.h"
#include "job/read_overhead.h"
#include "job/tables.h"

namespace deckmark {

namespace {

/// No ground on Earth is higher, and no bracket that far above a floor (common practice, no source).
constexpr Length kHighest = Length::metres(10000), kTallest = Length::metres(1000);

namespace fs = std::filesystem;

constexpr std::string_view kLedgerFile = "numbers.csv";  // default

/// Reads the job file's sections in the order of the contract.
class JobReader {
 public:
  JobReader(Job& job, PartMessages& told, const BeforeLedger& before_ledger)
      : job_(job), told_(told), ledger_(job, told.of(Part::numbers)), before_ledger_(before_ledger) {}

  void read(const JobValue& root) {
    root_ = &root;
    SectionReader top(&root, "", job_.file, told_.of(Part::file));
    job_.title = top.text("title").value_or("");
    job_.revision = top.text("revision").value_or("");
    no_hidden("title", job_.title, top);
    no_hidden("revision", job_.revision, top);
    for (const std::string_view name :
         {"drawing", "site", "baselines", "floor", "deck", "hangers", "plumb", "numbers", "list", "offsets",
          "instrument", "stake", "obstructions", "asbuilt"})
      is_section(top, name);
    top.leave("setup");
    top.finish();
    fetch_ledger();
    units();
    drawing();
    baselines();
    floor_and_deck();
    hangers();
    SectionReader obstructions = section("obstructions", Part::overhead);
    TableLoader outlines = tables(Part::overhead), observations = tables(Part::setups);
    read_obstructions(obstructions, job_, outlines, told_.of(Part::overhead));
    plumb();
    read_instrument(root, job_, observations, told_.of(Part::setups));
    numbers();
    list();
    SectionReader as_built = section("asbuilt", Part::asbuilt);
    TableLoader shots = tables(Part::asbuilt);
    read_asbuilt(as_built, job_.asbuilt.options, shots);
    job_.baseline.position_tolerance = job_.asbuilt.options.plan;
    SectionReader sheet = section("offsets", Part::offsets);
    read_offsets(sheet, root_->member("offsets") != nullptr, job_);
  }

 private:
  /// A section that is none is told once, and its keys are not asked for.
  void is_section(SectionReader& top, std::string_view name) {
    top.leave(name);
    const JobValue* value = root_->member(name);
    if (!value || value->kind == JobValue::Kind::section) return;
    if (name == "drawing") has_drawing_ = false;
    top.problem(name, Fault{in_quotes(value->text), fmt::format("a section [{}]", name), ""});
  }

  SectionReader section(const std::string& name, Part part) {
    return SectionReader(root_->member(name), name, job_.file, told_.of(part));
  }
  /// Tables whose messages belong to that part.
  TableLoader tables(Part part) { return TableLoader(job_, told_.of(part)); }

  void no_hidden(std::string_view key, const std::string& text, SectionReader& reader) {
    if (const auto hidden = hidden_character(text))
      reader.problem(
          key, Fault{in_quotes(text) + ", which holds " + *hidden, "no control or invisible character", ""});
  }

  /// A long ledger is read from the disk while the drawing is; what is wrong with the key is told in its
  /// turn.
  void fetch_ledger() {
    const JobValue* section = root_->member("numbers");
    const JobValue* key = section ? section->member("ledger") : nullptr;
    if (key && key->kind != JobValue::Kind::text) return;
    job_.ledger_file = key ? key->text : std::string(kLedgerFile);
    if (!ledger_is_inside()) return;
    if (before_ledger_) before_ledger_(job_.ledger_path);
    std::error_code bad;
    if (fs::is_regular_file(job_.ledger_path, bad)) ledger_.fetch_ledger(job_.ledger_path, job_.ledger_file);
  }

  /// Units first: every table needs them.
  void units() {
    SectionReader drawing = section("drawing", Part::file), units = section("site", Part::file);
    job_.drawing_unit = drawing.unit("unit", true).value_or(LengthUnit::metre);
    job_.site_unit = units.unit("unit", true).value_or(LengthUnit::metre);
    // Tables and lists of a feet-inch site are in decimal feet, to which bare numbers belong.
    if (job_.site_unit == LengthUnit::feet_inches) job_.site_unit = LengthUnit::foot;
    SectionReader site = section("site", Part::control);
    site.leave("unit");
    Messages& told = told_.of(Part::control);
    read_ground_keys(site, *root_, job_, told);
    const std::size_t before = told.problems();
    if (const auto key = site.table("control", true)) tables(Part::control).control(*key);
    if (told.problems() == before) bring_control_to_ground(site, job_, told);
    doubt_near_control(job_, told);
    site.finish();
  }

  void drawing() {
    SectionReader s = section("drawing", Part::drawing);
    s.leave("unit");
    job_.mirrored = s.flag("mirrored").value_or(false);
    const auto points = s.table("points");
    if (points)
      tables(Part::drawing).drawing_points(*points);
    else
      job_.has_drawing = s.has("points") || s.has("runs") || !has_drawing_;
    frame(s);
    SectionReader runs = section("drawing", Part::overhead), checks = section("drawing", Part::lengths);
    TableLoader run_tables = tables(Part::overhead), check_tables = tables(Part::lengths);
    read_runs(runs, job_, run_tables, told_.of(Part::overhead));
    read_drawing_checks(checks, job_, check_tables, told_.of(Part::lengths));
    for (const std::string_view key :
         {"runs", "pieces", "separation", "lines", "dimensions", "dimension_tolerance"})
      s.leave(key);
    s.finish();
  }

  /// `frame = "site"` beside what says otherwise is refused: no order of precedence is guessed.
  void frame(SectionReader& s) {
    job_.frame_is_site = s.choice("frame", {"site"}).has_value();
    if (!job_.frame_is_site) return;
    job_.keys["drawing.frame"] = s.where("frame");
    const JobValue* baselines = root_->member("baselines");
    for (const std::string_view key : {"ties", "signed"})
      if (baselines && baselines->member(key)) {
        s.problem("frame", Fault{fmt::format("frame = \"site\" beside [baselines] {}", key),
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
    SectionReader s = section("baselines", Part::ties);
    TableLoader tie_tables = tables(Part::ties);
    const auto ties = s.table("ties", true);
    job_.states_ties = s.has("ties") || s.has("signed");
    BaselineOptions& o = job_.baseline;
    o.mirrored = job_.mirrored;
    o.scale_free = s.choice("scale", {"fixed", "free"}).value_or(0) == 1;
    o.hold = static_cast<Hold>(s.choice("hold", {"both", "x", "y"}).value_or(0));
    if (const auto near = s.angle("azimuth_near")) o.azimuth_near = Azimuth::degrees(near->degrees());
    const Length tie_sd = s.sd("tie_sd", false).value_or(Length::millimetres(1.5));
    job_.square.tolerance = s.permitted("tolerance");
    const Length tolerance = job_.square.tolerance.value_or(Length::millimetres(5));
    job_.checks.tie_sd = tie_sd;
    read_baseline_checks(s, job_, tie_tables, told_.of(Part::ties));
    if (o.scale_free && o.hold != Hold::both)
      s.problem("hold", Fault{"a held baseline with a free scale", "hold = \"both\", or scale = \"fixed\"",
                              "\"both\""});
    if (ties) {
      job_.keys["baselines.ties"] = s.where("ties");
      tie_tables.ties(*ties, tie_sd, tolerance);
    }
    s.finish();
  }

  void floor_and_deck() {
    SectionReader floor = section("floor", Part::deck);
    if (const auto high = floor.within("elevation", job_.site_unit, kHighest, "an elevation"))
      job_.floor = Elevation::at(*high);
    job_.keys["floor.elevation"] = floor.where("elevation");
    floor.finish();
    SectionReader deck = section("deck", Part::deck);
    if (const auto high = deck.within("elevation", job_.site_unit, kHighest, "an elevation"))
      job_.deck_level = Elevation::at(*high);
    const auto shots = deck.table("shots", true);
    if (const auto flat = deck.tolerance("flatness", false)) job_.deck.flatness = *flat;
    if (deck.has("elevation") && deck.has("shots"))
      deck.problem("shots", Fault{"both elevation and shots", "one of them", ""});
    job_.has_deck = deck.has("elevation") || deck.has("shots");
    job_.keys["deck"] = deck.where(deck.has("bays") ? "bays" : deck.has("shots") ? "shots" : "elevation");
    TableLoader bay_tables = tables(Part::overhead);
    read_bays(deck, job_, bay_tables, told_.of(Part::overhead));
    if (deck.has("bays")) job_.has_deck = true;
    if (shots) tables(Part::deck).deck_shots(*shots);
    Messages& told = told_.of(Part::deck);
    if (shots && job_.shots_table.table && !told.has_problems() && job_.shots.size() < 3)
      told.problem(job_.shots_table.table->whole(), "file",
                   Fault{fmt::format("{} deck shot{}", job_.shots.size(), job_.shots.size() == 1 ? "" : "s"),
                         "three or more, not on one line", ""});
    deck.finish();
    if (job_.has_deck && !floor.has("elevation"))
      told.doubt("no floor elevation", Where::whole(job_.file), "floor.elevation",
                 "not stated: 0 is taken; rise and drop are from there");
  }

  void hangers() {
    SectionReader s = section("hangers", Part::overhead);
    job_.attach_height = s.within("height", job_.drawing_unit, kTallest, "a height");
    job_.keys["hangers.height"] = s.where("height");
    job_.max_spacing = s.tolerance("max_spacing", false);
    read_hanger_rules(s, job_);
    s.finish();
  }

  void plumb() {
    SectionReader s = section("plumb", Part::plumb);
    if (const auto sd = s.sd("sd", true)) job_.plumb.sd = *sd;
    if (const auto tolerance = s.permitted("tolerance")) job_.plumb.tolerance = *tolerance;
    job_.plumb.own_tolerance = s.has("tolerance");
    job_.plumb.slope = s.ratio("slope");
    if (const auto marks = s.table("marks", true)) tables(Part::plumb).deck_marks(*marks);
    s.finish();
  }

  void numbers() {
    SectionReader s = section("numbers", Part::numbers);
    NumberOptions& n = job_.numbers;
    n.start = s.count("start", kLeastNumber, kMostNumber, n.start).value_or(n.start);
    n.step = s.count("step", 1, kMostNumber).value_or(n.step);
    n.deck_offset = s.count("deck_offset", 1, kMostNumber, n.deck_offset).value_or(n.deck_offset);
    job_.ledger_file = s.text("ledger").value_or(std::string(kLedgerFile));
    job_.keys["numbers.ledger"] = s.where("ledger");
    job_.keys["numbers.deck_offset"] = s.where("deck_offset");
    s.finish();
    constexpr std::size_t kLongestFileName = 255;  // bytes; what the usual file systems take
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
    ledger_.ledger(job_.ledger_file);
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
    SectionReader s = section("list", Part::list);
    ListOptions& o = job_.list;
    if (const auto columns = s.texts("columns", {"number", "point", "kind", "run", "x", "y", "northing",
                                                 "easting", "elevation", "description"})) {
      o.columns.clear();
      for (const std::string& word : *columns) o.columns.push_back(*list_column_from_word(word));
      if (o.columns.empty())
        s.problem("columns",
                  Fault{"an empty list", "at least one column", "[\"number\", \"northing\", \"easting\"]"});
      for (const ListColumn c : o.columns)
        if (std::count(o.columns.begin(), o.columns.end(), c) > 1) {
          s.problem("columns",
                    Fault{fmt::format("column {} twice", list_column_word(c)), "each column once", ""});
          break;
        }
    }
    if (const auto unit = s.unit("unit", true))
      o.unit = *unit == LengthUnit::feet_inches ? LengthUnit::foot : *unit;
    else
      o.unit = job_.site_unit;
    o.decimals = static_cast<int>(s.count("decimals", 0, 9, o.decimals).value_or(o.decimals));
    o.header = s.flag("header").value_or(o.header);
    marks(s, o);
    o.crlf = s.choice("line_end", {"crlf", "lf"}).value_or(0) == 0;
    if (const auto parts = s.texts("description", {"point", "kind", "run", "drop"})) {
      o.description.clear();
      for (const std::string& word : *parts) o.description.push_back(*description_part_from_word(word));
    }
    o.description_length = static_cast<std::size_t>(
        s.count("description_length", 1, 1000).value_or(static_cast<std::int64_t>(o.description_length)));
    o.ascii = s.flag("ascii").value_or(o.ascii);
    o.order = s.choice("order", {"number", "run"}).value_or(0) == 1 ? ListOrder::run : ListOrder::number;
    if (const auto only = s.texts("only", {})) {
      o.only = *only;
      if (o.only.empty())
        s.problem("only", Fault{"an empty list", "at least one run", "no only key for all points"});
      for (const std::string& run : o.only)
        if (!has_run(run))
          s.problem("only", Fault{in_quotes(run), "a run that a point of the drawing has", ""});
    }
    o.together = s.flag("together").value_or(o.together);
    o.split = s.choice("split", {"none", "run"}).value_or(0) == 1 ? ListSplit::run : ListSplit::none;
    if (o.together && o.split == ListSplit::run)
      s.problem("split", Fault{"split = \"run\" with together = true", "one of them", "\"none\""});
    if (s.choice("frame", {"ground", "grid"}).value_or(0) == 1) o.frame = ListFrame::grid;
    look_at_frame(s, o);
    job_.keys["list.split"] = s.where("split");
    job_.keys["list.decimals"] = s.where("decimals");
    s.finish();
  }

  void look_at_frame(SectionReader& s, const ListOptions& o) {
    if (o.frame == ListFrame::ground) return;
    if (job_.ground.options.crs.empty())
      s.problem("frame",
                Fault{"frame = \"grid\" without [site] crs", "the projection that the lists are to be in",
                      "crs = \"EPSG:...\" under [site]"});
    else if (job_.ground.system)
      refuse_other_foot(s, "unit", *o.unit, *job_.ground.system);
  }

  void marks(SectionReader& s, ListOptions& o) {
    const auto one = [&](std::string_view key, char fallback, std::string_view allowed) {
      const auto text = s.text(key);
      if (!text) return fallback;
      const std::string value = *text == "tab" ? "\t" : *text;
      if (value.size() == 1 && allowed.find(value[0]) != std::string_view::npos) return value[0];
      s.problem(key, Fault{in_quotes(*text), key == "separator" ? "one of , ; tab | or a blank" : ". or ,",
                           key == "separator" ? "\",\"" : "\".\""});
      return fallback;
    };
    o.separator = one("separator", ',', ",;\t| ");
    o.decimal_mark = one("decimal_mark", '.', ".,");
    if (o.separator == o.decimal_mark)
      s.problem("separator", Fault{fmt::format("separator and decimal_mark both {}",
                                               in_quotes(std::string_view(&o.separator, 1))),
                                   "two different characters", "separator = \";\""});
  }

  bool has_run(const std::string& run) const {
    if (!job_.marks.size() && job_.overhead.runs.empty()) return true;  // told elsewhere
    const auto word = job_.marks.runs.words().find(run);
    return (word && !run.empty()) || std::ranges::any_of(job_.overhead.runs, [&](const StatedRun& r) {
             return same_name(r.name, run);
           });
  }

  Job& job_;
  PartMessages& told_;
  TableLoader ledger_;  ///< which is read from the disk beside the rest
  const BeforeLedger& before_ledger_;
  const JobValue* root_ = nullptr;
  bool has_drawing_ = true;  ///< false where `drawing` is no section (told)
};

/// What stands in the place of a job file.
std::string missing(const fs::path& path) {
  std::error_code bad;
  return fs::is_directory(path, bad) ? "a folder without job.toml" : "no such file or folder";
}

}  // namespace

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
  const auto root = parse_job_file(source, messages);
  if (root) JobReader(job, told, before_ledger).read(*root);
}

}  // namespace deckmark
