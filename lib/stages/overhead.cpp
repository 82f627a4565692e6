#include "stages/overhead.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <utility>

#include "hanger/fastening.h"
#include "job/tables/runs.h"
#include "report/words.h"
#include "stages/member_marks.h"
#include "stages/run_members.h"
#include "stages/run_spacing.h"
#include "stages/shared_faults.h"

namespace deckmark {

namespace {

constexpr Length kOnRun = Length::millimetres(5);  // the drawing's own points of a run lie on it within this
constexpr std::size_t kMostPieces = 100000;
constexpr std::string_view kSupportKind = "support";

class Planner {
 public:
  explicit Planner(OverheadInput input)
      : o_(input.stated),
        unit_(input.drawing_unit),
        max_spacing_(std::move(input.max_spacing)),
        joint_every_(std::move(input.joint_every)),
        height_(input.height),
        mirrored_(input.mirrored),
        is_whole_(input.is_whole),
        table_(std::move(input.marks)) {
    marks_.table = table_;
    marks_.drawn = marks_.supports = table_->size();
    marks_.points_table = std::move(input.points_table);
    marks_.runs_table = o_.runs_table;
  }

  Staged<Hung> plan() && {
    read();
    if (is_whole_ && !told_.has_problems()) generate_all();
    if (!marks_.index) index();
    return Staged<Hung>::found({std::move(marks_), std::move(out_)}, std::move(told_));
  }

 private:
  /// What is stated, every row for itself.
  void read() {
    out_.bays = read_bays(o_, told_);
    read_obstructions();
    make_paths();
    rows_ = rows_of_runs(o_, told_);
    if (out_.runs.size() == o_.runs.size())
      find_members();
    else
      look_over_members();
    if (!o_.hangers.max_spacing) return;
    tell_too_many("pieces", kMostPieces, "joint_every", joint_every_,
                  [&](std::size_t r) { return has_too_many_pieces(r); });
    tell_too_many("hangers", kMostHangers, "max_spacing", max_spacing_,
                  [&](std::size_t r) { return equal_count(task_of(*paths_[r])) > kMostHangers; });
  }

  void generate_all() {
    for (RunPieces& p : pieces_of_) lay_and_space(p);
    for (std::size_t r = 0; r < out_.runs.size(); ++r) generate(r);
    add_drawn();
    bridge_all();
    index();
    tell_taken();
    mark_members(o_, out_, marks_, unit_, told_);
  }

  Where run_where(std::size_t r, std::string_view column = runs::run.name) const {
    return cell_of(o_.runs_table, r, column);
  }

  SpacingTask task_of(const Path& path) const {
    return {path.length(),
            path.is_closed(),
            *o_.hangers.max_spacing,
            o_.hangers.end_distance.value_or(Length::metres(0)),
            {},
            {}};
  }

  /// Runs are kept where every one of them is one: they are known by their index.
  void make_paths() {
    for (std::size_t r = 0; r < o_.runs.size(); ++r) {
      const StatedRun& s = o_.runs[r];
      paths_.push_back(s.kind == StatedRun::Kind::line  ? Path::line(s.from, s.to)
                       : s.kind == StatedRun::Kind::arc ? Path::arc(s.from, *s.between, s.to)
                                                        : Path::ring(s.from, s.to));
      if (paths_.back()) continue;
      if (s.kind == StatedRun::Kind::arc)
        told_.problem(
            run_where(r, "xm"), "xm",
            Fault{fmt::format("arc {}, whose three points lie on one line or in one place", s.name),
                  "a point well off the straight line between the ends", "line as kind, if it is one"});
      else
        told_.problem(run_where(r, "x1"), "x1",
                      Fault{fmt::format("{} {} of no length",
                                        s.kind == StatedRun::Kind::line ? "line" : "ring", s.name),
                            "two different places", ""});
    }
    if (o_.hangers.max_spacing && std::ranges::all_of(paths_, [](const auto& p) { return p.has_value(); }))
      for (const auto& path : paths_) out_.runs.push_back({*path, task_of(*path), {}, {}, false});
  }

  void read_obstructions() {
    for (const NamedOutline& n :
         gather_outlines(o_.outlines, o_.outlines_table, "name", told_, o_.refused_outlines)) {
      const auto clearance = clearance_of(n, o_.outlines, o_.outlines_table, told_);
      if (!n.outline) continue;
      out_.obstruction_names.push_back(n.name);
      out_.obstructions.push_back({*n.outline, clearance.value_or(o_.clearance)});
    }
    read_zones(o_, out_, told_);
  }

  void find_members() {
    std::vector<Path> paths;
    for (const RunFound& r : out_.runs) paths.push_back(r.path);
    RunMembers found = find_run_members({o_, paths, height_, mirrored_, unit_}, told_);
    out_.crossings = std::move(found.met.places);
    out_.members = std::move(found.members);
    for (std::size_t r = 0; r < out_.runs.size(); ++r) {
      pieces_of_.emplace_back(o_, r, out_.runs[r].path, out_.members.of(r), rows_[r]);
      pieces_of_.back().check(told_);
    }
  }

  /// Where a run is none the others are looked over all the same, for their own faults; what they would meet
  /// cannot be told.
  void look_over_members() {
    constexpr double kAway = 1e7;  // metres: a run that is none stands by itself
    std::vector<Path> paths;
    for (std::size_t r = 0; r < o_.runs.size(); ++r) {
      const Length x = Length::metres(kAway + 10 * static_cast<double>(r)), y = Length::metres(kAway);
      paths.push_back(paths_[r] ? *paths_[r]
                                : *Path::line({{.x = x, .y = y}}, {{.x = x + Length::metres(1), .y = y}}));
    }
    Messages told;
    const RunMembers found = find_run_members({o_, paths, height_, mirrored_, unit_}, told);
    for (std::size_t r = 0; r < o_.runs.size(); ++r)
      if (paths_[r]) RunPieces(o_, r, paths[r], found.members.of(r), rows_[r]).check(told);
    told.keep_problems();
    told_.merge(std::move(told));
  }

  bool has_too_many_pieces(std::size_t r) const {
    return rows_[r].empty() && o_.hangers.joint_every &&
           paths_[r]->length() / *o_.hangers.joint_every > static_cast<double>(kMostPieces);
  }

  /// One run is told at its row; several have the key that they share, and it is one fault.
  template <class HasTooMany>
  void tell_too_many(std::string_view what, std::size_t most, std::string_view key, const Where& at,
                     HasTooMany has_too_many) {
    std::vector<std::size_t> runs;
    for (std::size_t r = 0; r < paths_.size(); ++r)
      if (paths_[r] && has_too_many(r)) runs.push_back(r);
    if (runs.empty()) return;
    const std::string on = fmt::format("{} along {}, {} long", what, o_.runs[runs[0]].name,
                                       length_words(paths_[runs[0]]->length(), unit_));
    const std::string expected = fmt::format("a {} {}", key == "joint_every" ? "longer" : "wider", key);
    if (runs.size() == 1)
      told_.problem(run_where(runs[0]), deckmark::runs::run.name,
                    Fault{fmt::format("more than {} {}", most, on), expected, ""});
    else
      told_.problem(
          at, fmt::format("hangers.{}", key),
          Fault{fmt::format("{} runs with more than {} {}, the first", runs.size(), most, on), expected, ""});
  }

  /// Pieces are laid, and hangers spaced so that they keep clear of joints. Where pieces have to be cut, and
  /// no spacing keeps clear of the joints that this gives, they are cut so that the joints keep clear of
  /// hangers at equal spaces.
  void lay_and_space(RunPieces& pieces) {
    const std::size_t r = pieces.run_index();
    RunFound& run = out_.runs[r];
    pieces.lay({});
    add_spots(r);
    const SpacingTask without_joints = run.task;
    // On the inside of a curve a hanger stands nearer to a joint than on the run's line.
    double stretch = 1;
    for (const Member& m : out_.members.of(r)) stretch = std::min(stretch, m.stretch);
    const Length clear = o_.hangers.joint_clear / stretch;
    const auto space_beside = [&](const std::vector<Length>& joints) {
      run.task = without_joints;
      for (const Length j : joints) run.task.spots.push_back({j, clear, o_.hangers.joint_support});
      run.spacing = space_hangers(run.task);
    };
    space_beside(pieces.joints());
    if (!run.spacing.solved && pieces.is_cut() && o_.hangers.joint_clear > Length::metres(0)) {
      const std::vector<Length> before = pieces.joints();
      std::vector<Stretch> hung;
      for (const Length h : space_hangers(without_joints).at) hung.push_back({h - clear, h + clear});
      pieces.lay(hung);
      space_beside(pieces.joints());
      if (!pieces.keeps_rules() || !run.spacing.solved) {
        pieces.lay({});
        space_beside(before);
      }
    }
    pieces.tell(unit_, told_);
    for (MemberPieces& p : pieces.pieces()) out_.pieces.push_back(std::move(p));
    for (SiteCutFound& c : pieces.site_cuts()) out_.site_cuts.push_back(std::move(c));
    tell_spacing(o_, r, run, unit_, told_);
  }

  void add_spots(std::size_t r) {
    RunFound& run = out_.runs[r];
    if (o_.hangers.crossing_support)
      for (const Crossing& c : out_.crossings) {
        if (c.first == r)
          run.task.spots.push_back({c.along_first, Length::metres(0), o_.hangers.crossing_support});
        if (c.second == r)
          run.task.spots.push_back({c.along_second, Length::metres(0), o_.hangers.crossing_support});
      }
    for (std::size_t b = 0; b < out_.bays.outlines.size(); ++b) {
      const auto& f = out_.bays.flutes[b];
      if (!f) continue;
      for (FlutedStretch& s :
           fluted_stretches(run.path, out_.bays.outlines[b], {f->along_x, f->pitch, f->first})) {
        run.along_flutes = run.along_flutes || s.along_flutes;
        if (s.along_flutes)
          told_.doubt("runs along the flutes", run_where(r), runs::run.name,
                      fmt::format("{} runs along the flutes of bay {}: its hangers are not moved across; "
                                  "see that they meet a fastening line",
                                  o_.runs[r].name, out_.bays.names[b]));
        else
          run.task.fastenings.push_back(std::move(s.fastening));
      }
    }
    std::sort(run.task.fastenings.begin(), run.task.fastenings.end(),
              [](const Fastening& a, const Fastening& b) { return a.stretch.from < b.stretch.from; });
    run.task.keep_off = kept_off(run.path, out_.bays.outlines, run.task.max_spacing, run.task.end_distance);
  }

  std::uint32_t add_mark(const std::string& name, const Point<Drawing>& at, std::optional<Length> height,
                         std::string_view kind, std::string_view run, std::uint32_t from) {
    MarkTable& marks = *table_;
    const std::size_t i = marks.size();
    marks.names.push_back(name);
    marks.places.push_back(at);
    if (height) marks.heights.put(i, *height);
    if (!kind.empty()) marks.kinds.put(i, kind);
    if (!run.empty()) marks.runs.put(i, run);
    marks.begins.push_back(0);
    marks_.from_run.push_back(from);
    return static_cast<std::uint32_t>(i);
  }

  void generate(std::size_t r) {
    RunFound& run = out_.runs[r];
    for (std::size_t i = 0; i < run.spacing.at.size(); ++i) {
      const Length along = run.spacing.at[i];
      const std::uint32_t m = add_mark(fmt::format("{}-{:02}", o_.runs[r].name, i + 1), run.path.at(along),
                                       o_.runs[r].height, "", o_.runs[r].name, static_cast<std::uint32_t>(r));
      run.hangers.push_back({m, along});
    }
  }

  /// The drawing's own points of a run that is drawn too.
  void add_drawn() {
    std::map<std::uint32_t, std::size_t> run_of_word;
    for (std::size_t r = 0; r < o_.runs.size(); ++r)
      if (const auto w = table_->runs.words().find(o_.runs[r].name)) run_of_word.emplace(*w, r);
    if (run_of_word.empty()) return;
    std::vector<std::uint8_t> has(o_.runs.size(), 0);
    for (std::uint32_t m = 0; m < marks_.drawn; ++m) {
      const std::uint32_t word = table_->runs.number(m);
      if (word == 0 || table_->is_reference(m)) continue;
      const auto at = run_of_word.find(word);
      if (at == run_of_word.end()) continue;
      const Path::Nearest n = out_.runs[at->second].path.nearest(table_->places[m]);
      has[at->second] = 1;
      if (n.distance <= kOnRun)
        out_.runs[at->second].hangers.push_back({m, n.along});
      else
        told_.doubt("points off their run", marks_.where(m), "point",
                    fmt::format("{} lies {} off run {}", table_->names[m], length_words(n.distance, unit_),
                                o_.runs[at->second].name));
    }
    for (std::size_t r = 0; r < has.size(); ++r) {
      if (!has[r]) continue;
      told_.doubt(
          "runs with points of the drawing", run_where(r), runs::run.name,
          fmt::format(
              "the drawing has points on {} already; hangers along the run were generated beside them",
              o_.runs[r].name));
      std::sort(out_.runs[r].hangers.begin(), out_.runs[r].hangers.end(),
                [](const HangerOnRun& a, const HangerOnRun& b) { return a.along < b.along; });
    }
  }

  void bridge_all() {
    marks_.supports = table_->size();
    if (out_.obstructions.empty()) return;
    std::vector<KeepOff> joints;
    if (o_.hangers.joint_clear > Length::metres(0))
      for (const RunPieces& p : pieces_of_)
        for (const Length j : p.joints())
          joints.push_back({out_.runs[p.run_index()].path.at(j), o_.hangers.joint_clear});
    for (std::uint32_t m = 0; m < marks_.supports; ++m) {
      if (table_->is_reference(m)) continue;
      if (auto t = bridge(table_->places[m], out_.obstructions, joints, o_.trapezes, out_.bays.outlines))
        out_.trapezes.push_back({m, std::move(*t), {}, {}});
    }
    if (out_.trapezes.empty()) return;
    for (TrapezeFound& t : out_.trapezes) {
      const std::string name(table_->names[t.hanger]);
      if (!t.trapeze.supports) {
        const std::string& in = out_.obstruction_names[t.trapeze.obstruction];
        told_.doubt("hangers that cannot be bridged", marks_.where(t.hanger), marks_.field(t.hanger),
                    (t.trapeze.beyond_bays
                         ? fmt::format("{} lies in {}, and the bays end before a support finds a clear place",
                                       name, in)
                         : fmt::format("{} lies in {}, and a support would stand {} off, beyond reach {}",
                                       name, in, length_words(t.trapeze.needed, unit_),
                                       length_words(*o_.trapezes.reach, unit_))) +
                        ": it has no deck point; ask the engineer");
        continue;
      }
      const std::string run(table_->runs[t.hanger]);
      const auto height = o_.trapeze_height ? o_.trapeze_height.value : table_->heights[t.hanger];
      t.first =
          add_mark(name + "-a", t.trapeze.supports->first, height, kSupportKind, run, kOfHanger | t.hanger);
      t.second =
          add_mark(name + "-b", t.trapeze.supports->second, height, kSupportKind, run, kOfHanger | t.hanger);
    }
    marks_.bridged.assign(table_->size(), 0);
    for (const TrapezeFound& t : out_.trapezes) marks_.bridged[t.hanger] = 1;
    if (!o_.trapeze_height) return;
    marks_.trapeze_height_key = o_.trapeze_height.at;
    look_at_bars(*o_.trapeze_height);
  }

  /// What hangs from a bar hangs below it.
  void look_at_bars(Length bar) {
    std::optional<std::uint32_t> first;
    const auto bracket_of = [this](std::uint32_t hanger) {
      const auto own = table_->heights[hanger];
      return own ? own : height_;
    };
    std::size_t count = 0;
    for (const TrapezeFound& t : out_.trapezes) {
      const auto bracket = bracket_of(t.hanger);
      if (!t.first || !bracket || *bracket <= bar + kHair) continue;
      if (count++ == 0) first = t.hanger;
    }
    if (count == 0) return;
    told_.doubt(
        "trapezes below what they carry", o_.trapeze_height.at, "obstructions.trapeze_height",
        fmt::format("the bar at {} would hang below {} that it carries, {}{} at {}: raise "
                    "trapeze_height, or check the height of the bracket",
                    length_words(bar, unit_), count == 1 ? "the bracket" : fmt::format("{} brackets", count),
                    table_->names[*first], count == 1 ? "" : " the first",
                    length_words(*bracket_of(*first), unit_)));
  }

  void index() { marks_.index = std::make_shared<const NameIndex>(table_->names); }

  /// Generated names that the drawing has already.
  void tell_taken() {
    SharedFaults taken;
    for (const auto& [first, later] : marks_.index->duplicates())
      if (later >= marks_.drawn) taken.take(place_statement(marks_, later), later);
    for (const SharedFaults::Fellows& f : taken.all())
      told_.problem(
          f.at.where(), f.at.field(),
          Fault{f.count == 1 ? fmt::format("{} for a generated point, a name that is taken",
                                           in_quotes(table_->names[f.first]))
                             : fmt::format("{} for a generated point and {} more, names that are taken",
                                           in_quotes(table_->names[f.first]), f.count - 1),
                "names that differ, without regard to letter case",
                "another name of the run or of the point"});
  }

  const OverheadJob& o_;
  LengthUnit unit_;
  Where max_spacing_, joint_every_;
  std::optional<Length> height_;
  bool mirrored_;
  bool is_whole_;
  std::shared_ptr<MarkTable> table_;  ///< that of `marks_`, while it grows
  JobMarks marks_;
  Overhead out_;
  Messages told_;
  std::vector<std::optional<Path>> paths_;  ///< of the stated runs; nothing where that was told
  RowsOfRuns rows_;
  std::vector<RunPieces> pieces_of_;  ///< of every run, where all runs are one
};

}  // namespace

Staged<Hung> hang(OverheadInput input) {
  if (!input.stated.any())
    return Staged<Hung>::found(
        {drawn_marks(std::move(input.marks), std::move(input.index), std::move(input.points_table)), {}});
  return Planner(std::move(input)).plan();
}

}  // namespace deckmark
