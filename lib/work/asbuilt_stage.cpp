#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <unordered_map>

#include "asbuilt/match.h"
#include "marks/mark_finder.h"
#include "report/asbuilt_text.h"
#include "report/words.h"
#include "work/asbuilt_causes.h"
#include "work/output_tables.h"
#include "work/stages.h"

namespace deckmark {

namespace {

/// The contract's column that messages of a shot point at.
constexpr std::size_t kPointColumn = 0, kElevationColumn = 5, kLevelColumn = 6;

class AsbuiltStage {
 public:
  AsbuiltStage(const Job& job, Found& found, Messages& messages)
      : job_(job),
        found_(found),
        out_(found.asbuilt),
        messages_(messages),
        shots_(job.asbuilt.shots),
        finder_(job.marks, *job.mark_index, found.issue.numbers,
                found.deck ? std::optional(job.numbers.deck_offset) : std::nullopt),
        drawing_from_site_(found.placed.fit->site_from_drawing.inverse()) {}

  void run() {
    places();
    if (job_.asbuilt.options.by_nearest)
      by_nearest();
    else
      by_name();
    if (messages_.has_problems()) return;
    set_aside();
    compare_all();
    look_for_missing();
    out_.levels = level_statistics(out_.rows);
    out_.runs = look_along_runs(out_.rows, job_.marks, found_.placed.marks);
    out_.causes = asbuilt_causes(job_, found_);
    tell();
  }

 private:
  Where where(std::size_t shot, std::size_t column = kPointColumn) const {
    return job_.asbuilt.table->where(shots_.begins[shot], column);
  }

  void places() {
    for (const StatedAsbuilt& s : shots_.rows) {
      const auto* on_site = std::get_if<Point<Site>>(&s.at);
      at_.push_back(on_site ? *on_site
                            : found_.placed.fit->site_from_drawing(std::get<Point<Drawing>>(s.at)));
    }
  }

  /// What the shot was taken on. Problems: a stated level that the number contradicts.
  AsbuiltLevel level_of(std::size_t shot, const MarkMeaning& meaning) {
    const auto stated = shots_.rows[shot].level;
    if (!meaning.is_deck_number) return stated.value_or(AsbuiltLevel::floor);
    if (stated && *stated != AsbuiltLevel::deck)
      messages_.problem(
          where(shot, kLevelColumn), "level",
          Fault{fmt::format("{} with {}, a deck number", level_word(*stated), in_quotes(shots_.points[shot])),
                fmt::format("deck, or the floor number {}", found_.issue.numbers[*meaning.by_number]), ""});
    return AsbuiltLevel::deck;
  }

  void by_name() {
    for (std::size_t i = 0; i < shots_.size(); ++i) {
      const MarkMeaning meaning = finder_.find(shots_.points[i]);
      if (meaning.is_double()) {
        messages_.problem(
            where(i), "point",
            Fault{fmt::format("{}, the name of one point and the number of {}", in_quotes(shots_.points[i]),
                              in_quotes(job_.marks.names[*meaning.by_number])),
                  fmt::format("a text with one meaning: {} for the one, {} for the other",
                              found_.issue.numbers[*meaning.by_name], job_.marks.names[*meaning.by_number]),
                  ""});
        continue;
      }
      const auto mark = meaning.mark();
      if (!mark) {
        out_.unmatched.push_back(i);
        continue;
      }
      const AsbuiltLevel level = level_of(i, meaning);
      if (level == AsbuiltLevel::deck && job_.marks.is_reference(*mark))
        messages_.problem(
            where(i, kLevelColumn), "level",
            Fault{fmt::format("deck for {}, a reference point", in_quotes(job_.marks.names[*mark])),
                  "floor: a reference point is not carried up", "floor"});
      else if (level == AsbuiltLevel::deck && !has_deck_point(job_, found_, *mark))
        messages_.problem(
            where(i, kLevelColumn), "level",
            Fault{fmt::format("deck for {}, a hanger that a trapeze bridges",
                              in_quotes(job_.marks.names[*mark])),
                  "its floor mark or bracket, or the supports of the trapeze, -a and -b", "floor"});
      pairs_.push_back({i, *mark});
      levels_.push_back(level);
    }
  }

  void by_nearest() {
    std::array<std::vector<std::size_t>, 3> of_level;
    for (std::size_t i = 0; i < shots_.size(); ++i)
      of_level[static_cast<std::size_t>(level_of(i, finder_.find(shots_.points[i])))].push_back(i);
    std::vector<std::pair<AsbuiltPair, AsbuiltLevel>> all;
    for (std::size_t level = 0; level < of_level.size(); ++level) {
      const std::vector<std::size_t>& shots = of_level[level];
      if (shots.empty()) continue;
      std::vector<Point<Site>> places;
      for (const std::size_t i : shots) places.push_back(at_[i]);
      const NearestResult r = match_nearest(places, found_.placed.marks, job_.asbuilt.options.radius);
      for (const AsbuiltPair& p : r.pairs)
        all.push_back({{shots[p.shot], p.mark}, static_cast<AsbuiltLevel>(level)});
      for (const AsbuiltPair& p : r.ambiguous) out_.ambiguous.push_back({shots[p.shot], p.mark});
      for (const std::size_t i : r.unmatched) out_.unmatched.push_back(shots[i]);
    }
    std::ranges::sort(all, {}, [](const auto& p) { return p.first.shot; });
    std::ranges::sort(out_.ambiguous, {}, &AsbuiltPair::shot);
    std::ranges::sort(out_.unmatched);
    for (const auto& [pair, level] : all) {
      pairs_.push_back(pair);
      levels_.push_back(level);
    }
  }

  /// The elevation that the design gives at that level; absent where the job states none.
  std::optional<Elevation> design_elevation(std::uint32_t mark, AsbuiltLevel level) const {
    if (level == AsbuiltLevel::floor) return job_.floor;
    const MarkHeights h = heights_at(job_, found_, mark);
    return level == AsbuiltLevel::deck ? h.deck : h.attach;
  }

  /// Shots of another floor meet no point of this one.
  void set_aside() {
    std::vector<ShotHeight> heights;
    for (std::size_t k = 0; k < pairs_.size(); ++k) {
      ShotHeight h{.level = levels_[k]};
      const auto elevation = shots_.rows[pairs_[k].shot].elevation;
      const auto design = design_elevation(pairs_[k].mark, levels_[k]);
      if (elevation && design) h.up = *elevation - *design;
      heights.push_back(h);
    }
    out_.other_floors = find_other_floors(heights);
    if (out_.other_floors.empty()) return;
    std::vector<AsbuiltPair> pairs;
    std::vector<AsbuiltLevel> levels;
    for (std::size_t k = 0; k < pairs_.size(); ++k) {
      if (is_set_aside(heights[k], out_.other_floors)) {
        out_.aside.push_back({pairs_[k].shot, pairs_[k].mark, levels_[k]});
        continue;
      }
      pairs.push_back(pairs_[k]);
      levels.push_back(levels_[k]);
    }
    pairs_ = std::move(pairs);
    levels_ = std::move(levels);
  }

  void compare_all() {
    std::unordered_map<std::uint64_t, std::size_t> first;
    for (std::size_t k = 0; k < pairs_.size(); ++k) {
      const StatedAsbuilt& s = shots_.rows[pairs_[k].shot];
      const std::uint32_t mark = pairs_[k].mark;
      const PairedShot paired{pairs_[k].shot,
                              mark,
                              levels_[k],
                              at_[pairs_[k].shot],
                              found_.placed.marks[mark],
                              found_.placed.fit->covariance_at(job_.marks.places[mark]),
                              s.sd.value_or(job_.asbuilt.options.sd),
                              s.elevation,
                              design_elevation(mark, levels_[k])};
      out_.rows.push_back(compare(paired, drawing_from_site_, job_.asbuilt.options,
                                  found_.deck ? std::optional(job_.deck.flatness) : std::nullopt));
      const std::uint64_t key = std::uint64_t{mark} * 4 + static_cast<std::uint64_t>(levels_[k]);
      if (const auto [at, fresh] = first.emplace(key, k); !fresh) out_.doubled.emplace_back(at->second, k);
    }
  }

  void look_for_missing() {
    std::vector<std::uint8_t> seen(job_.marks.size(), 0);
    for (const AsbuiltRow& r : out_.rows) seen[r.mark] = 1;
    for (const SetAside& p : out_.aside) seen[p.mark] = 1;
    for (std::uint32_t m = 0; m < seen.size(); ++m)
      if (!seen[m] && !job_.marks.is_reference(m)) out_.missing.push_back(m);
  }

  void tell() {
    const Table& table = *job_.asbuilt.table;
    for (const std::size_t i : out_.unmatched)
      messages_.doubt(
          "a shot without a point", where(i), "point",
          job_.asbuilt.options.by_nearest
              ? fmt::format("{} lies further than {} from every point of the drawing: it is not judged",
                            shots_.points[i], length_words(job_.asbuilt.options.radius, job_.site_unit))
              : fmt::format("{} is not in the drawing: neither a name nor a number; it is not judged",
                            in_quotes(shots_.points[i])));
    for (const AsbuiltRow& r : out_.rows)
      if (r.offset > kFar)
        messages_.doubt("a shot far from its point", where(r.shot), "point",
                        fmt::format("{} lies {} from its design: another unit, digits left out, or northing "
                                    "and easting exchanged?",
                                    job_.marks.names[r.mark], length_words(r.offset, job_.site_unit)));
    tell_setups(shots_.setups, "setup");
    tell_setups(shots_.marked_from, "marked_from");
    for (const AsbuiltPair& p : out_.ambiguous)
      messages_.doubt(
          "an ambiguous shot", where(p.shot), "point",
          fmt::format("{} lies near {}, but they are not each other's nearest alone: it is not judged",
                      shots_.points[p.shot], job_.marks.names[p.mark]));
    for (const auto& [first, later] : out_.doubled) {
      const AsbuiltRow &a = out_.rows[first], &b = out_.rows[later];
      const auto lines = table.source()->places({shots_.begins[a.shot], shots_.begins[b.shot]});
      messages_.doubt(
          "a point shot twice", where(b.shot), "point",
          fmt::format("{} was shot twice on the {}, lines {} and {}, {} apart in plan: both are judged",
                      job_.marks.names[b.mark], level_word(b.level), lines[0].line, lines[1].line,
                      length_words(distance(a.at, b.at), job_.site_unit)));
    }
    if (!out_.missing.empty()) {
      std::vector<std::string_view> names;
      for (const std::uint32_t m : out_.missing) names.push_back(job_.marks.names[m]);
      messages_.doubt("points without a shot", table.whole(), "point", missing_words(names));
    }
  }

  /// A setup whose place is not known, but that is spelled nearly like one that is: its causes would not be
  /// looked for.
  void tell_setups(const WordColumn& column, std::string_view field) {
    std::vector<std::string> known;
    for (const ControlPoint& c : job_.control) known.push_back(c.name);
    for (const StatedSetup& s : job_.instrument.setups) known.push_back(s.name);
    const Table& table = *job_.asbuilt.table;
    const auto& columns = table.spec().columns;
    const auto at =
        static_cast<std::size_t>(std::ranges::find(columns, field, &ColumnSpec::name) - columns.begin());
    for (std::uint32_t w = 1; w < column.words().size(); ++w) {
      const std::string_view name = column.words()[w];
      if (std::ranges::any_of(known, [&](const std::string& k) { return same_name(k, name); })) continue;
      const auto near = nearest_word(name, known);
      if (!near) continue;
      std::size_t first = 0;
      while (column.number(first) != w) ++first;
      messages_.doubt("a setup that is not known", table.where(shots_.begins[first], at), field,
                      fmt::format("{} is neither control nor a [[setup]] of the job, but {} is: if it is "
                                  "meant, write it so, or that shot's causes are not looked for",
                                  in_quotes(name), *near));
    }
  }

  static constexpr Length kFar = Length::metres(100);  // no crew is so far off (common practice, no source)
  const Job& job_;
  Found& found_;
  AsbuiltFound& out_;
  Messages& messages_;
  const AsbuiltShots& shots_;
  MarkFinder finder_;
  Transform<Drawing, Site> drawing_from_site_;
  std::vector<Point<Site>> at_;
  std::vector<AsbuiltPair> pairs_;
  std::vector<AsbuiltLevel> levels_;
};

}  // namespace

void check_asbuilt(const Job& job, Found& found, Messages& messages) {
  if (!job.asbuilt.table) return;
  AsbuiltStage(job, found, messages).run();
}

void tell_other_floors(const Job& job, const Found& found, Messages& messages, Grade grade) {
  const AsbuiltShots& shots = job.asbuilt.shots;
  for (const OtherFloor& f : found.asbuilt.other_floors) {
    const auto first = std::ranges::find_if(found.asbuilt.aside, [&](const SetAside& a) {
      return a.level == f.level && shots.rows[a.shot].elevation.has_value();
    });
    const Where where = job.asbuilt.table->where(shots.begins[first->shot], kElevationColumn);
    const std::string words = other_floor_words(f, job.site_unit);
    if (grade == Grade::problem)
      messages.problem(where, "elevation",
                       Fault{words,
                             fmt::format("shots within {} of the design's elevation",
                                         length_words(kOtherFloor, job.site_unit)),
                             other_floor_cure(f, job.site_unit)});
    else
      messages.doubt("shots of another floor", where, "elevation", words + "; they are not judged");
  }
}

std::uint32_t asbuilt_number(const Job& job, const Found& found, const AsbuiltRow& row) {
  const std::uint32_t number = found.issue.numbers[row.mark];
  return row.level == AsbuiltLevel::deck && found.deck
             ? number + static_cast<std::uint32_t>(job.numbers.deck_offset)
             : number;
}

AsbuiltPage asbuilt_page(const Job& job, const Found& found) {
  const AsbuiltShots& shots = job.asbuilt.shots;
  AsbuiltPage page{job.asbuilt.options, job.site_unit};
  page.flatness = job.deck.flatness;
  page.shots = shots.size();
  for (const AsbuiltRow& r : found.asbuilt.rows)
    page.lines.push_back({asbuilt_number(job, found, r), job.marks.names[r.mark], &r, shots.setups[r.shot],
                          shots.marked_from[r.shot]});
  page.levels = found.asbuilt.levels;
  page.runs = &found.asbuilt.runs;
  page.run_name = [&job](std::uint32_t run) { return job.marks.runs.words()[run]; };
  for (const std::size_t i : found.asbuilt.unmatched) page.unmatched.push_back(shots.points[i]);
  for (const AsbuiltPair& p : found.asbuilt.ambiguous) page.ambiguous.push_back(shots.points[p.shot]);
  for (const std::uint32_t m : found.asbuilt.missing) page.missing.push_back(job.marks.names[m]);
  for (const auto& [first, later] : found.asbuilt.doubled) {
    const std::string_view name = job.marks.names[found.asbuilt.rows[later].mark];
    if (std::ranges::find(page.doubled, name) == page.doubled.end()) page.doubled.push_back(name);
  }
  page.other_floors = found.asbuilt.other_floors;
  page.causes = cause_lines(job, found);
  page.unplaced = unplaced_setups(job, found);
  page.noise = found.asbuilt.causes.noise;
  page.tried = found.asbuilt.causes.tried;
  return page;
}

std::string asbuilt_part(const Job& job, const Found& found) {
  return job.asbuilt.table ? asbuilt_text(asbuilt_page(job, found)) : "";
}

}  // namespace deckmark
