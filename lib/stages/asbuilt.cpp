#include "stages/asbuilt.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <unordered_map>

#include "report/asbuilt_text.h"
#include "report/words.h"
#include "stages/storeys.h"

namespace deckmark {

namespace {

/// Columns of the table of shots that messages point at.
enum ShotCell : std::size_t { kPointCell = 0, kElevationCell = 5, kLevelCell = 6 };

class AsbuiltStage {
 public:
  AsbuiltStage(const AsbuiltStated& stated, const LaidOut& laid, const AsbuiltStations& stations)
      : stated_(stated),
        options_(stated.asbuilt.options),
        shots_(stated.asbuilt.shots),
        laid_(laid),
        marks_(laid.marks),
        stations_(stations),
        finder_(finder_of(laid.marks, laid.numbers)),
        drawing_from_site_(laid.placed.fit.site_from_drawing.inverse()) {}

  Staged<AsbuiltFound> run() {
    places();
    if (options_.by_nearest)
      by_nearest();
    else
      by_name();
    refuse_other_storeys();
    if (!messages_.has_problems()) judge();
    return Staged<AsbuiltFound>::found(std::move(out_), std::move(messages_));
  }

 private:
  /// REQUIRES shots whose marks and levels are all sound.
  void judge() {
    set_aside();
    compare_all();
    look_for_missing();
    out_.levels = level_statistics(out_.rows);
    out_.runs = look_along_runs(out_.rows, *marks_, laid_.placed.marks);
    out_.looked_for_causes = stations_.are_known;
    if (stations_.are_known) {
      out_.causes = asbuilt_causes(stated_, laid_, stations_.setups, out_.rows);
      out_.unplaced = unplaced_setups(stated_, stations_.setups);
    }
    tell();
  }

  Where where(std::size_t shot, ShotCell cell = kPointCell) const {
    return stated_.asbuilt.table->where(shots_.begins[shot], cell);
  }

  void places() {
    constexpr Point<Site> kNowhere{{.northing = Length::metres(0), .easting = Length::metres(0)}};
    for (const StatedAsbuilt& s : shots_.rows) {
      const auto* on_site = std::get_if<Point<Site>>(&s.at);
      const auto* drawn = std::get_if<Point<Drawing>>(&s.at);
      at_.push_back(on_site ? *on_site : drawn ? laid_.placed.fit.site_from_drawing(*drawn) : kNowhere);
    }
  }
  /// False of one that is stated by how far it is off a point that is none, and of one that was told.
  bool has_place(std::size_t shot) const {
    const auto& at = shots_.rows[shot].at;
    return std::holds_alternative<Point<Site>>(at) || std::holds_alternative<Point<Drawing>>(at);
  }

  /// What the shot was taken on. Problems: a stated level that the number contradicts.
  AsbuiltLevel level_of(std::size_t shot, const MarkMeaning& meaning) {
    const auto stated = shots_.rows[shot].level;
    if (!meaning.is_deck_number) return stated.value_or(AsbuiltLevel::floor);
    if (stated && *stated != AsbuiltLevel::deck)
      messages_.problem(
          where(shot, kLevelCell), "level",
          no_such_level(level_word(*stated), shots_.points[shot], laid_.numbers.of(*meaning.by_number)));
    return AsbuiltLevel::deck;
  }

  void by_name() {
    for (std::size_t i = 0; i < shots_.size(); ++i) {
      const MarkMeaning meaning = finder_.find(shots_.points[i]);
      if (meaning.is_double()) {
        messages_.problem(where(i), "point", two_meanings(shots_.points[i], meaning, marks_, laid_.numbers));
        continue;
      }
      const auto mark = meaning.mark();
      if (!mark) {
        out_.unmatched.push_back(i);
        continue;
      }
      const AsbuiltLevel level = level_of(i, meaning);
      if (level == AsbuiltLevel::deck && marks_->is_reference(*mark))
        messages_.problem(where(i, kLevelCell), "level",
                          not_carried_up(level_word(level), marks_->names[*mark]));
      else if (level == AsbuiltLevel::deck && !marks_.has_deck_point(*mark))
        messages_.problem(
            where(i, kLevelCell), "level",
            Fault{
                fmt::format("deck for {}, a hanger that a trapeze bridges", in_quotes(marks_->names[*mark])),
                "its floor mark or bracket, or the supports of the trapeze, -a and -b", "floor"});
      pairs_.push_back({i, *mark});
      levels_.push_back(level);
    }
  }

  void by_nearest() {
    std::array<std::vector<std::size_t>, 3> of_level;
    for (std::size_t i = 0; i < shots_.size(); ++i)
      if (has_place(i))
        of_level[static_cast<std::size_t>(level_of(i, finder_.find(shots_.points[i])))].push_back(i);
      else
        out_.unmatched.push_back(i);
    std::vector<std::pair<AsbuiltPair, AsbuiltLevel>> all;
    for (std::size_t level = 0; level < of_level.size(); ++level) {
      const std::vector<std::size_t>& shots = of_level[level];
      if (shots.empty()) continue;
      std::vector<Point<Site>> places;
      places.reserve(shots.size());
      for (const std::size_t i : shots) places.push_back(at_[i]);
      const NearestResult r = match_nearest(places, laid_.placed.marks, options_.radius);
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
    if (level == AsbuiltLevel::floor) return stated_.floor;
    const MarkHeights h = laid_.heights.at(mark);
    return level == AsbuiltLevel::deck ? h.deck : h.attach;
  }

  /// Shots that were taken on another storey of the building, whatever their names.
  void refuse_other_storeys() {
    if (!stated_.storeys || stated_.storeys->empty()) return;
    const StoreyHeights heights(*stated_.storeys, laid_, stated_.site_unit);
    std::vector<std::optional<Elevation>> brackets(shots_.size());
    for (std::size_t k = 0; k < pairs_.size(); ++k)
      if (levels_[k] == AsbuiltLevel::bracket)
        brackets[pairs_[k].shot] = design_elevation(pairs_[k].mark, AsbuiltLevel::bracket);
    for (std::size_t i = 0; i < shots_.size(); ++i)
      if (const auto at = shots_.rows[i].elevation)
        if (const auto fault = heights.refused("a shot", *at, brackets[i]))
          messages_.problem(where(i, kElevationCell), "elevation", *fault);
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

  /// What the design's place adds to a shot's own sd.
  PlanCovariance<Site> design_covariance(const StatedAsbuilt& shot, std::uint32_t mark) const {
    if (shot.is_off_design) return {};
    const Point<Drawing>& design = marks_->places[mark];
    if (shot.net_point) return laid_.placed.in_net.beside_point(laid_.placed.fit, design, *shot.net_point);
    return laid_.placed.fit.covariance_at(design);
  }

  /// What who made a mark, or its setup, has in common with the shot is not seen.
  bool is_own(std::size_t shot) const {
    const std::string_view from = shots_.marked_from[shot];
    return shots_.rows[shot].is_by_maker || (!from.empty() && same_name(from, shots_.setups[shot]));
  }

  void compare_all() {
    const auto flatness = laid_.heights.has_deck() ? std::optional(stated_.flatness) : std::nullopt;
    std::unordered_map<std::uint64_t, std::size_t> first;
    for (std::size_t k = 0; k < pairs_.size(); ++k) {
      const StatedAsbuilt& s = shots_.rows[pairs_[k].shot];
      const std::uint32_t mark = pairs_[k].mark;
      const PairedShot paired{pairs_[k].shot,
                              mark,
                              levels_[k],
                              at_[pairs_[k].shot],
                              laid_.placed.marks[mark],
                              design_covariance(s, mark),
                              s.sd.value_or(options_.sd),
                              s.elevation,
                              design_elevation(mark, levels_[k]),
                              is_own(pairs_[k].shot)};
      out_.rows.push_back(compare(paired, drawing_from_site_, options_, flatness));
      const std::uint64_t key = std::uint64_t{mark} * 4 + static_cast<std::uint64_t>(levels_[k]);
      if (const auto [at, fresh] = first.emplace(key, k); !fresh) out_.doubled.emplace_back(at->second, k);
    }
  }

  void look_for_missing() {
    std::vector<std::uint8_t> seen(marks_.size(), 0);
    for (const AsbuiltRow& r : out_.rows) seen[r.mark] = 1;
    for (const SetAside& p : out_.aside) seen[p.mark] = 1;
    for (std::uint32_t m = 0; m < seen.size(); ++m)
      if (!seen[m] && !marks_->is_reference(m)) out_.missing.push_back(m);
  }

  /// What stands behind the name of a shot that is another storey's.
  std::string theirs(std::size_t shot) const {
    const std::string whose = whose_number(stated_.storeys, shots_.points[shot]);
    return whose.empty() ? "" : whose + ",";
  }

  /// Shots that lie far from their points; where all do, one fault of their table.
  void tell_far() {
    constexpr std::size_t kMany = 3;
    const auto is_far = [](const AsbuiltRow& r) { return r.offset > kFar; };
    const auto far_words = [&](const AsbuiltRow& r) { return length_words(r.offset, stated_.site_unit); };
    if (out_.rows.size() >= kMany && std::ranges::all_of(out_.rows, is_far)) {
      const AsbuiltRow& first = out_.rows.front();
      messages_.doubt(
          "shots far from their points", stated_.asbuilt.table->whole(), "point",
          fmt::format("all {} shots lie far from their designs, {} the first, by {}: another unit, "
                      "or northing and easting exchanged?",
                      out_.rows.size(), marks_->names[first.mark], far_words(first)));
      return;
    }
    for (const AsbuiltRow& r : out_.rows)
      if (is_far(r))
        messages_.doubt("a shot far from its point", where(r.shot), "point",
                        fmt::format("{} lies {} from its design: another unit, digits left out, or northing "
                                    "and easting exchanged?",
                                    marks_->names[r.mark], far_words(r)));
  }

  void tell() {
    const Table& table = *stated_.asbuilt.table;
    for (const std::size_t i : out_.unmatched)
      messages_.doubt(
          "a shot without a point", where(i), "point",
          options_.by_nearest
              ? fmt::format("{} lies further than {} from every point of the drawing: it is not judged",
                            shots_.points[i], length_words(options_.radius, stated_.site_unit))
              : fmt::format("{}{} is not in the drawing: neither a name nor a number; it is not judged",
                            in_quotes(shots_.points[i]), theirs(i)));
    tell_far();
    if (stations_.are_known) {
      tell_setups(shots_.setups, "setup");
      tell_setups(shots_.marked_from, "marked_from");
    }
    for (const AsbuiltPair& p : out_.ambiguous)
      messages_.doubt(
          "an ambiguous shot", where(p.shot), "point",
          fmt::format("{} lies near {}, but they are not each other's nearest alone: it is not judged",
                      shots_.points[p.shot], marks_->names[p.mark]));
    for (const auto& [first, later] : out_.doubled) {
      const AsbuiltRow &a = out_.rows[first], &b = out_.rows[later];
      const auto lines = table.source()->places({shots_.begins[a.shot], shots_.begins[b.shot]});
      messages_.doubt(
          "a point shot twice", where(b.shot), "point",
          fmt::format("{} was shot twice on the {}, lines {} and {}, {} apart in plan: both are judged",
                      marks_->names[b.mark], level_word(b.level), lines[0].line, lines[1].line,
                      length_words(distance(a.at, b.at), stated_.site_unit)));
    }
    if (!out_.missing.empty()) {
      std::vector<std::string_view> names;
      for (const std::uint32_t m : out_.missing) names.push_back(marks_->names[m]);
      messages_.doubt("points without a shot", table.whole(), "point", missing_words(names));
    }
  }

  /// A setup whose place is not known, but that is spelled nearly like one that is: its causes would not be
  /// looked for.
  void tell_setups(const WordColumn& column, std::string_view field) {
    std::vector<std::string> known;
    for (const ControlPoint& c : stated_.control) known.push_back(c.name);
    for (const StatedSetup& s : stated_.instrument.setups) known.push_back(s.name);
    const Table& table = *stated_.asbuilt.table;
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
  const AsbuiltStated& stated_;
  const AsbuiltOptions& options_;
  const AsbuiltShots& shots_;
  const LaidOut& laid_;
  const JobMarks& marks_;
  const AsbuiltStations& stations_;
  AsbuiltFound out_;
  Messages messages_;
  MarkFinder finder_;
  Transform<Drawing, Site> drawing_from_site_;
  std::vector<Point<Site>> at_;
  std::vector<AsbuiltPair> pairs_;
  std::vector<AsbuiltLevel> levels_;
};

}  // namespace

Staged<AsbuiltFound> check_asbuilt(const AsbuiltStated& stated, const LaidOut& laid,
                                   const AsbuiltStations& stations) {
  if (!stated.asbuilt.table) return Staged<AsbuiltFound>::absent();
  return AsbuiltStage(stated, laid, stations).run();
}

void tell_other_floors(const AsbuiltStated& stated, const AsbuiltFound& found, Messages& messages,
                       Grade grade) {
  const AsbuiltShots& shots = stated.asbuilt.shots;
  for (const OtherFloor& f : found.other_floors) {
    const auto first = std::ranges::find_if(found.aside, [&](const SetAside& a) {
      return a.level == f.level && shots.rows[a.shot].elevation.has_value();
    });
    const Where where = stated.asbuilt.table->where(shots.begins[first->shot], kElevationCell);
    const std::string words = other_floor_words(f, stated.site_unit);
    if (grade == Grade::problem)
      messages.problem(where, "elevation",
                       Fault{words,
                             fmt::format("shots within {} of the design's elevation",
                                         length_words(kOtherFloor, stated.site_unit)),
                             other_floor_cure(f, stated.site_unit)});
    else
      messages.doubt("shots of another floor", where, "elevation", words + "; they are not judged");
  }
}

std::size_t own_readings(const AsbuiltFound& found) {
  return static_cast<std::size_t>(
      std::count_if(found.rows.begin(), found.rows.end(), [](const AsbuiltRow& r) { return is_own(r); }));
}

std::uint32_t asbuilt_number(const Numbers& numbers, const AsbuiltRow& row) {
  return numbers.at(row.mark, row.level == AsbuiltLevel::deck);
}

}  // namespace deckmark
