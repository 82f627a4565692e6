#include "stages/read_points.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "stages/sighted_places.h"

namespace deckmark {

namespace {

constexpr Point<Site> kNowhere{{.northing = Length::metres(0), .easting = Length::metres(0)}};

Length sd_of(double variance) { return Length::metres(std::sqrt(std::max(0.0, variance))); }

/// A tie while its marks are gathered: by parts of the net, and what is its own.
struct Gathered {
  std::array<NetForm, 2> form;
  PlanCovariance<Site> own;
  double northing = 0, easting = 0;
};

/// Places ties one after another.
class TiePlacer {
 public:
  TiePlacer(const std::vector<KeyedTie>& keyed, const ReadTable& table, const PointsSighted& in)
      : keyed_(keyed), table_(table), in_(in), places_(in, told_) {}

  Staged<TiesPlaced> run() {
    std::vector<PlanCovariance<Site>> own;
    for (const KeyedTie& tie : keyed_) {
      Gathered g;
      for (const FoundMark& mark : tie.found) gather(tie, mark, g);
      out_.ties.push_back(
          {tie.name,
           Tie{tie.x,
               tie.y,
               {{.northing = Length::metres(g.northing), .easting = Length::metres(g.easting)}},
               tie.sd_x,
               tie.sd_y,
               tie.tolerance,
               sd_of(g.own.first),
               sd_of(g.own.second)},
           tie.own_tolerance});
      out_.forms.push_back(std::move(g.form));
      own.push_back(g.own);
    }
    out_.by_setups = places_.is_by_setups();
    if (places_.is_spoiled()) return {Came::spoiled, std::move(out_), std::move(told_)};
    if (out_.any_read) join(own);
    return Staged<TiesPlaced>::found(std::move(out_), std::move(told_));
  }

 private:
  void gather(const KeyedTie& tie, const FoundMark& mark, Gathered& g) {
    const double share = 1.0 / static_cast<double>(tie.found.size());
    const SightedRow row{mark.name, mark.setup, table_, mark.begin, "mark"};
    const auto add = [&](const Point<Site>& at, const PlanCovariance<Site>& own) {
      g.northing += share * at.at.northing.metres();
      g.easting += share * at.at.easting.metres();
      g.own = g.own + PlanCovariance<Site>{share * share * own.first, 0, share * share * own.second};
    };
    if (mark.at) {
      const double n = mark.sd_northing.metres(), e = mark.sd_easting.metres();
      places_.compare(
          row, {*mark.at, hypot(std::max(tie.sd_x, tie.sd_y), std::max(mark.sd_northing, mark.sd_easting))});
      return add(*mark.at, {n * n, 0, e * e});
    }
    out_.any_read = true;
    const auto found = places_.find(row);
    if (!found) return;
    add(found->place.at, found->own);
    if (!found->point) return;
    for (const std::size_t part : {0U, 1U})
      g.form[part].push_back({NetPart::Of::point, *found->point, part, share});
  }

  /// The joint covariance; the ties get their part of it.
  void join(const std::vector<PlanCovariance<Site>>& own) {
    std::vector<NetForm> forms;
    for (const auto& [northing, easting] : out_.forms) forms.push_back(northing), forms.push_back(easting);
    out_.covariance = in_.sighted->covariance().of(forms);
    for (std::size_t i = 0; i < own.size(); ++i) {
      Tie& tie = out_.ties[i].tie;
      double &n = out_.covariance(2 * i, 2 * i), &e = out_.covariance(2 * i + 1, 2 * i + 1);
      n += own[i].first, e += own[i].second;
      tie.shot_sd_northing = sd_of(n), tie.shot_sd_easting = sd_of(e);
    }
  }

  const std::vector<KeyedTie>& keyed_;
  const ReadTable& table_;
  const PointsSighted& in_;
  Messages told_;
  SightedPlaces places_;
  TiesPlaced out_;
};

/// A row without a place, in a stage that is spoiled: it keeps its name.
StatedShot nameless_place(const KeyedShot& shot) {
  return {shot.name, kNowhere, Elevation::metres(0), shot.bay};
}

std::optional<Point<Site>> on_site(const StatedPlace& at, const FittedTransform* fit) {
  if (const auto* site = std::get_if<Point<Site>>(&at)) return *site;
  if (!fit) return std::nullopt;
  return fit->site_from_drawing(std::get<Point<Drawing>>(at));
}

}  // namespace

Staged<TiesPlaced> place_ties(const std::vector<KeyedTie>& keyed, const ReadTable& table,
                              const PointsSighted& in) {
  if (!table.table) return Staged<TiesPlaced>::absent();
  return TiePlacer(keyed, table, in).run();
}

Staged<ShotsPlaced> place_shots(const std::vector<KeyedShot>& keyed, const ReadTable& table,
                                const PointsSighted& in, const FittedTransform* fit) {
  if (!table.table) return Staged<ShotsPlaced>::absent();
  Messages told;
  SightedPlaces places(in, told);
  ShotsPlaced out;
  for (std::size_t i = 0; i < keyed.size(); ++i) {
    const KeyedShot& shot = keyed[i];
    const SightedRow row{shot.name, shot.setup, table, table.begins[i], "shot", AsbuiltLevel::deck, false};
    if (shot.at) {
      if (const auto at = on_site(*shot.at, fit)) places.compare(row, {*at, std::nullopt, shot.elevation});
      out.shots.push_back({shot.name, *shot.at, *shot.elevation, shot.bay});
      continue;
    }
    ++out.read;
    const auto found = places.find(row);
    if (found && !found->place.elevation)
      places.refuse(row, "shot",
                    {fmt::format("{}, sighted from {} without an elevation", in_quotes(shot.name),
                                 places.setups_words(found->setups)),
                     "a zenith angle and a distance to it, from a setup whose own elevation is known; or "
                     "coordinates in this row",
                     ""});
    out.shots.push_back(found && found->place.elevation
                            ? StatedShot{shot.name, found->place.at, *found->place.elevation, shot.bay}
                            : nameless_place(shot));
  }
  out.by_setups = places.is_by_setups();
  if (places.is_spoiled()) return {Came::spoiled, std::move(out), std::move(told)};
  return Staged<ShotsPlaced>::found(std::move(out), std::move(told));
}

namespace {

/// Deck marks, by their deck numbers.
class DeckMarkPlacer {
 public:
  DeckMarkPlacer(const std::vector<KeyedDeckMark>& keyed, const ReadTable& table, const PointsSighted& in,
                 const PlumbOptions& options, const LaidOut* laid)
      : keyed_(keyed), table_(table), in_(in), options_(options), laid_(laid), places_(in, told_) {}

  Staged<DeckMarksPlaced> run() {
    for (std::size_t i = 0; i < keyed_.size(); ++i) {
      const KeyedDeckMark& mark = keyed_[i];
      const SightedRow row{mark.point, mark.setup, table_, table_.begins[i], "point", AsbuiltLevel::deck};
      if (mark.at) {
        // Of marks made with the housing turned each leans: their mean alone is the point that was sighted.
        if (const auto at = mark.turn ? std::nullopt : place_of(mark))
          places_.compare(row, {*at, mark.sd.value_or(options_.sd), mark.elevation});
        add(mark, *mark.at, mark.elevation, mark.sd);
        continue;
      }
      const auto found = places_.find(row);
      if (!found || is_floor_mark(row, *found)) {
        add(mark, kNowhere, mark.elevation, mark.sd);
        continue;
      }
      add(mark, found->place.at, mark.elevation ? mark.elevation : found->place.elevation,
          mark.sd ? *mark.sd : semi_major(found->place.covariance), found->point);
    }
    out_.by_setups = places_.is_by_setups();
    if (places_.is_spoiled()) return {Came::spoiled, std::move(out_), std::move(told_)};
    return Staged<DeckMarksPlaced>::found(std::move(out_), std::move(told_));
  }

 private:
  void add(const KeyedDeckMark& mark, const MarkPlace& at, std::optional<Elevation> elevation,
           std::optional<Length> sd, std::optional<std::size_t> point = {}) {
    out_.marks.push_back({mark.point, at, elevation, sd, mark.floor, point, mark.turn, mark.is_own});
  }
  std::optional<std::uint32_t> mark_of(std::string_view text) {
    if (!laid_) return std::nullopt;
    if (!finder_) finder_.emplace(finder_of(laid_->marks, laid_->numbers));
    const MarkMeaning meaning = finder_->find(text);
    return meaning.is_double() ? std::nullopt : meaning.mark();
  }
  std::optional<Point<Site>> place_of(const KeyedDeckMark& mark) {
    if (!laid_ || !in_.sighted) return std::nullopt;
    const Transform<Site, Drawing>& to_site = laid_->placed.fit.site_from_drawing;
    if (const auto* site = std::get_if<Point<Site>>(&*mark.at)) return *site;
    if (const auto* drawn = std::get_if<Point<Drawing>>(&*mark.at)) return to_site(*drawn);
    const auto m = mark_of(mark.point);
    if (!m) return std::nullopt;
    const Point<Site> floor = mark.floor ? *mark.floor : laid_->placed.marks[*m];
    return floor + to_site.turn(std::get<Vec<Drawing>>(*mark.at));
  }

  /// Sighted by its name or its floor number, which are the floor mark's, and not nearer to the deck. Told.
  bool is_floor_mark(const SightedRow& row, const FoundPlace& found) {
    const auto m = mark_of(row.name);
    if (!m || !laid_->numbers.deck_offset) return false;
    const std::string deck_number = std::to_string(laid_->numbers.on_deck(*m));
    if (same_name(found.name, deck_number)) return false;
    const Deck* deck = laid_->heights.deck(*m);
    const Elevation floor = laid_->heights.floor();
    if (found.place.elevation && deck &&
        *found.place.elevation - floor > (deck->elevation_at(found.place.at) - floor) / 2)
      return false;
    places_.refuse(row, "point",
                   {in_quotes(row.name) + ", sighted as the floor mark",
                    fmt::format("a sight to the deck mark: its target is {}", deck_number), ""});
    return true;
  }

  const std::vector<KeyedDeckMark>& keyed_;
  const ReadTable& table_;
  const PointsSighted& in_;
  const PlumbOptions& options_;
  const LaidOut* laid_;
  Messages told_;
  SightedPlaces places_;
  std::optional<MarkFinder> finder_;
  DeckMarksPlaced out_;
};

}  // namespace

Staged<DeckMarksPlaced> place_deck_marks(const std::vector<KeyedDeckMark>& keyed, const ReadTable& table,
                                         const PointsSighted& in, const PlumbOptions& options,
                                         const LaidOut* laid) {
  if (!table.table) return Staged<DeckMarksPlaced>::absent();
  return DeckMarkPlacer(keyed, table, in, options, laid).run();
}

namespace {

/// As-built shots: a word of one meaning, at a level.
class AsbuiltPlacer {
 public:
  AsbuiltPlacer(const AsbuiltJob& asbuilt, const PointsSighted& in, const LaidOut* laid)
      : asbuilt_(asbuilt),
        shots_(asbuilt.shots),
        table_{asbuilt.table, {}},
        in_(in),
        laid_(laid),
        places_(in, told_) {}

  Staged<AsbuiltPlaced> run() {
    for (std::size_t i = 0; i < shots_.size(); ++i) {
      const StatedAsbuilt& shot = shots_.rows[i];
      if (std::holds_alternative<AsSighted>(shot.at))
        sighted(i);
      else if (const auto* off = std::get_if<OffDesign>(&shot.at))
        off_design(i, *off);
      else if (in_.sighted && in_.sighted->has(shots_.points[i]))
        typed(i);
    }
    out_.by_setups = places_.is_by_setups();
    if (places_.is_spoiled()) return {Came::spoiled, std::move(out_), std::move(told_)};
    return Staged<AsbuiltPlaced>::found(std::move(out_), std::move(told_));
  }

 private:
  MarkMeaning meaning_of(std::size_t shot) {
    if (!laid_) return {};
    if (!finder_) finder_.emplace(finder_of(laid_->marks, laid_->numbers));
    return finder_->find(shots_.points[shot]);
  }
  AsbuiltLevel level_of(std::size_t shot) {
    if (const auto stated = shots_.rows[shot].level) return *stated;
    const MarkMeaning meaning = meaning_of(shot);
    return meaning.is_deck_number && !meaning.by_name ? AsbuiltLevel::deck : AsbuiltLevel::floor;
  }
  SightedRow row_of(std::size_t shot) {
    return {shots_.points[shot], shots_.setups[shot], table_, shots_.begins[shot], "point", level_of(shot)};
  }

  void sighted(std::size_t i) {
    const StatedAsbuilt& shot = shots_.rows[i];
    const auto found = places_.find(row_of(i));
    if (!found) return;
    out_.places.push_back({i, found->place.at, shot.elevation ? shot.elevation : found->place.elevation,
                           shot.sd ? *shot.sd : semi_major(found->place.covariance),
                           found->setups.size() == 1 ? std::optional(found->setups.front()) : std::nullopt,
                           found->point});
  }
  /// A name that is no mark's has no place: it is told as a shot without a point.
  void off_design(std::size_t i, const OffDesign& off) {
    const MarkMeaning meaning = meaning_of(i);
    const auto mark = meaning.mark();
    if (!laid_ || !mark || meaning.is_double()) return;
    const StatedAsbuilt& shot = shots_.rows[i];
    std::optional<Elevation> design;
    if (level_of(i) == AsbuiltLevel::floor)
      design = laid_->heights.floor();
    else
      design =
          level_of(i) == AsbuiltLevel::deck ? laid_->heights.at(*mark).deck : laid_->heights.at(*mark).attach;
    std::optional<Elevation> elevation;
    if (off.up && design) elevation = *design + *off.up;
    out_.places.push_back({i, laid_->placed.marks[*mark] + laid_->placed.fit.site_from_drawing.turn(off.by),
                           elevation, shot.sd});
  }
  void typed(std::size_t i) {
    const StatedAsbuilt& shot = shots_.rows[i];
    const auto* site = std::get_if<Point<Site>>(&shot.at);
    if (!site && !laid_) return;
    const Point<Site> at =
        site ? *site : laid_->placed.fit.site_from_drawing(std::get<Point<Drawing>>(shot.at));
    places_.compare(row_of(i), {at, shot.sd.value_or(asbuilt_.options.sd), shot.elevation});
  }

  const AsbuiltJob& asbuilt_;
  const AsbuiltShots& shots_;
  const ReadTable table_;
  const PointsSighted& in_;
  const LaidOut* laid_;
  Messages told_;
  SightedPlaces places_;
  std::optional<MarkFinder> finder_;
  AsbuiltPlaced out_;
};

}  // namespace

Staged<AsbuiltPlaced> place_asbuilt(const AsbuiltJob& asbuilt, const PointsSighted& in, const LaidOut* laid) {
  if (!asbuilt.table) return Staged<AsbuiltPlaced>::absent();
  return AsbuiltPlacer(asbuilt, in, laid).run();
}

void put_places(const AsbuiltPlaced& placed, const std::vector<StatedSetup>& setups, AsbuiltShots& shots) {
  std::unordered_map<std::size_t, std::string_view> from;
  for (const AsbuiltPlaced::Place& p : placed.places) {
    StatedAsbuilt& row = shots.rows[p.shot];
    row.is_off_design = std::holds_alternative<OffDesign>(row.at);
    row.at = p.at;
    row.elevation = p.elevation;
    row.sd = p.sd;
    row.net_point = p.point;
    if (p.setup && shots.setups[p.shot].empty()) from.emplace(p.shot, setups[*p.setup].name);
  }
  if (from.empty()) return;
  WordColumn words{WordCase::any};
  for (std::size_t i = 0; i < shots.size(); ++i) {
    const auto own = from.find(i);
    const std::string_view word = own == from.end() ? shots.setups[i] : own->second;
    if (!word.empty()) words.put(i, word);
  }
  shots.setups = std::move(words);
}

}  // namespace deckmark
