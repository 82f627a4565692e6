#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <span>
#include <unordered_map>

#include "marks/mark_finder.h"
#include "measure/decimal.h"
#include "measure/extent.h"
#include "report/words.h"
#include "work/overhead.h"
#include "work/shared_faults.h"

namespace deckmark {

Elevation floor_of(const Job& job) { return job.floor.value_or(Elevation::metres(0)); }

MarkHeights heights_at(const Job& job, const Found& found, std::size_t mark) {
  if (job.marks.is_reference(mark)) return {};
  const auto stated = job.marks.heights[mark];
  return heights_over(found.placed.marks[mark], floor_of(job), stated ? stated : job.attach_height,
                      deck_over(found, mark));
}

namespace {

std::string millimetres(Length value) { return fmt::format("{} mm", fixed(value.millimetres(), 1)); }

}  // namespace

void tell_deck(const Job& job, const DeckResult& result, std::span<const std::size_t> shots,
               Messages& messages) {
  const Table& table = *job.shots_table.table;
  const auto where = [&](std::size_t shot) { return table.where(job.shots_table.begins[shots[shot]], 1); };
  if (result.two_levels) {
    const TwoLevels& two = *result.two_levels;
    messages.doubt(
        "two levels in the deck", table.whole(), "elevation",
        fmt::format("the shots stand on two levels {} apart: {} on the lower, {} on the upper (flute bottoms "
                    "and tops?); "
                    "the deck is fitted between them: shoot the surface that the hangers are fastened to",
                    millimetres(two.step), two.lower_shots.size(), two.upper_shots.size()));
    return;
  }
  for (const DeckResidual& stray : result.strays)
    messages.doubt(
        "a stray deck shot", where(stray.shot), "elevation",
        fmt::format("shot {} stands {} {} the plane of the others", job.shots[shots[stray.shot]].name,
                    millimetres(abs(stray.off)), stray.off > Length::metres(0) ? "above" : "below"));
  for (const DeckResidual& far : result.far)
    messages.doubt(
        "a deck shot off the fitted deck", where(far.shot), "elevation",
        fmt::format("shot {} stands {} {} the fitted deck; more than the flatness, {}",
                    job.shots[shots[far.shot]].name, millimetres(abs(far.off)),
                    far.off > Length::metres(0) ? "above" : "below", millimetres(job.deck.flatness)));
  constexpr double kSteep = 0.25;  // steeper roofs are no decks to hang from (common practice, no source)
  if (result.deck && result.deck->slope() > kSteep)
    messages.doubt(
        "a deck that is hard to believe", table.whole(), "elevation",
        fmt::format("the deck rises 1:{}, steeper than 1:4 (common practice, no source): check the "
                    "elevations of the shots and their unit, and whether northing and easting are exchanged",
                    fixed(1 / result.deck->slope(), 1)));
  if (result.narrow)
    messages.doubt(
        "deck shots near one line", table.whole(), "elevation",
        "the shots lie near one line: the slope across it is hardly known; add a shot well to the side");
}

namespace {

/// A deck that is carried far beyond its shots, and heights that practitioners would not believe.
void look_at_heights(const Job& job, const Found& found, std::span<const DeckShot> shots,
                     Messages& messages) {
  // Common practice, no source: rooms from 2 to 30 m high; a hanger shorter than 100 mm is hardly one, nor is
  // a bracket that hangs down to the lowest fifth of the room.
  constexpr Length kLowest = Length::metres(2), kHighest = Length::metres(30),
                   kShortest = Length::millimetres(100);
  constexpr double kMostOfRise = 0.8;
  Extent<Site> extent;
  for (const DeckShot& s : shots) extent.take(s.at);
  Length farthest = Length::metres(0);
  std::size_t far_mark = 0, odd_rises = 0, odd_drops = 0, rise_mark = 0, drop_mark = 0, long_drops = 0,
              long_mark = 0;
  for (std::size_t m = 0; m < job.marks.size(); ++m) {
    const MarkHeights h = heights_at(job, found, m);
    if (h.rise && (*h.rise < kLowest - kHair || *h.rise > kHighest + kHair) && odd_rises++ == 0)
      rise_mark = m;
    if (h.drop && *h.drop < kShortest - kHair && odd_drops++ == 0) drop_mark = m;
    if (h.drop && h.rise && *h.drop > kMostOfRise * *h.rise + kHair && long_drops++ == 0) long_mark = m;
    if (shots.empty() || job.marks.is_reference(m)) continue;
    if (const Length d = extent.beyond(found.placed.marks[m]); d > farthest) {
      farthest = d;
      far_mark = m;
    }
  }
  const auto where = [&](std::size_t m) { return mark_where(job, found.overhead, m, 0); };
  const auto field = [&](std::size_t m) { return mark_field(job, found.overhead, m, 0); };
  if (!shots.empty() && farthest > extent.diagonal())
    messages.doubt("points far beyond the deck shots", job.shots_table.table->whole(), "elevation",
                   fmt::format("{} lies {} beyond the deck shots, which reach over {}: its deck is a guess; "
                               "shoot the deck there "
                               "(or are northing and easting of the shots exchanged?)",
                               job.marks.names[far_mark], length_words(farthest, job.site_unit),
                               length_words(extent.diagonal(), job.site_unit)));
  if (odd_rises > 0)
    messages.doubt("a rise that is hard to believe", where(rise_mark), field(rise_mark),
                   fmt::format("{} point{} with a rise outside 2 m to 30 m (common practice, no source), {} "
                               "the first, {}: check floor and deck elevations and their units",
                               odd_rises, odd_rises == 1 ? "" : "s", job.marks.names[rise_mark],
                               length_words(*heights_at(job, found, rise_mark).rise, job.site_unit)));
  if (odd_drops > 0)
    messages.doubt("a drop that is hard to believe", where(drop_mark), field(drop_mark),
                   fmt::format("{} hanger{} shorter than 100 mm (common practice, no source), {} the first, "
                               "{}: check height and elevations",
                               odd_drops, odd_drops == 1 ? "" : "s", job.marks.names[drop_mark],
                               length_words(*heights_at(job, found, drop_mark).drop, job.site_unit)));
  if (long_drops > 0)
    messages.doubt("a drop that is hard to believe", where(long_mark), field(long_mark),
                   fmt::format("{} hanger{} longer than 80 % of the rise (common practice, no source), {} "
                               "the first, {}: check height and elevations",
                               long_drops, long_drops == 1 ? "" : "s", job.marks.names[long_mark],
                               length_words(*heights_at(job, found, long_mark).drop, job.site_unit)));
}

/// The key that a deck is stated by, or the bay of the bays table.
Statement deck_statement(const Job& job, const Found& found, std::size_t mark) {
  const BaysFound& bays = found.overhead.bays;
  if (bays.of_mark.empty()) return {.key = "deck"};
  const ReadTable& table = job.overhead.bays_table;
  return {table.table.get(), table.begins[bays.first_row[bays.of_mark[mark]]]};
}

/// A deck that does not lie above floor and brackets. Whatever many points share, a key or a row, is told
/// once: first the floor and the deck, since under a floor no bracket can be judged.
void refuse_heights(const Job& job, const Found& found, Messages& messages) {
  SharedFaults low_decks, high_brackets;
  for (std::size_t m = 0; m < job.marks.size(); ++m) {
    const MarkHeights h = heights_at(job, found, m);
    if (h.deck_not_above_floor)
      low_decks.take(deck_statement(job, found, m), m);
    else if (h.deck_not_above_attach)
      high_brackets.take(height_statement(job, found.overhead, m), m);
  }
  const auto metres = [](Elevation e) { return fixed(e.above_datum().metres(), 3); };
  const bool floor_key = low_decks.all().size() > 1 &&
                         low_decks.all().size() == found.overhead.bays.outlines.size() && job.floor;
  for (const SharedFaults::Fellows& f : low_decks.all()) {
    const bool with_deck_key = f.at.key == "deck";
    const Where where = floor_key ? job.keys.find("floor.elevation")->second : f.at.where(job);
    const std::string field = floor_key       ? "floor.elevation"
                              : with_deck_key ? (job.deck_level ? "deck.elevation" : "deck.shots")
                                              : std::string(f.at.field());
    messages.problem(where, field,
                     Fault{fmt::format("{}: deck {} m, floor {} m{}", fellows_words(job, f, "points"),
                                       metres(*heights_at(job, found, f.first).deck), metres(floor_of(job)),
                                       floor_key ? ", and no bay above it" : ""),
                           "a deck above the floor", "checking floor and deck elevations"});
    if (floor_key) break;
  }
  for (const SharedFaults::Fellows& f : high_brackets.all()) {
    const MarkHeights h = heights_at(job, found, f.first);
    messages.problem(
        f.at.where(job), f.at.field(),
        Fault{fmt::format("{}: attach elevation {} m, deck {} m there", fellows_words(job, f, "hangers"),
                          metres(*h.attach), metres(*h.deck)),
              "a deck above the attach elevation", "checking height, floor and deck elevations"});
  }
}

}  // namespace

void lift_marks(const Job& job, Found& found, Messages& messages) {
  if (!job.has_deck) return;
  std::vector<DeckShot> shots;
  if (job.overhead.bays_table.table) {
    lift_bays(job, found, messages);
    if (messages.has_problems()) return;
  } else if (job.deck_level) {
    found.deck = Deck::level(*job.deck_level);
  } else {
    shots.reserve(job.shots.size());
    for (const StatedShot& s : job.shots) {
      const auto* on_site = std::get_if<Point<Site>>(&s.at);
      shots.push_back(
          {on_site ? *on_site : found.placed.fit->site_from_drawing(std::get<Point<Drawing>>(s.at)),
           s.elevation});
    }
    found.deck_fit = fit_deck(shots, job.deck);
    if (found.deck_fit->status != DeckStatus::fitted) {
      const bool few = found.deck_fit->status == DeckStatus::too_few;
      messages.problem(job.shots_table.table->whole(), "file",
                       Fault{few ? fmt::format("{} deck shots", shots.size()) : "deck shots on one line",
                             "three or more deck shots, not on one line", "adding a shot well to the side"});
      return;
    }
    found.deck = found.deck_fit->deck;
    std::vector<std::size_t> all(job.shots.size());
    std::iota(all.begin(), all.end(), std::size_t{0});
    tell_deck(job, *found.deck_fit, all, messages);
  }
  refuse_heights(job, found, messages);
  if (!messages.has_problems()) look_at_heights(job, found, shots, messages);
}

std::optional<Vec<Drawing>> change_by(const Found& found, const ChangeRow& change) {
  if (change.moved) return change.moved;
  if (change.refit) return found.placed.fit->site_from_drawing.inverse().turn(*change.refit);
  return std::nullopt;
}

namespace {

/// Deck marks whose elevation is none that the deck could have there.
void look_at_mark_heights(const Job& job, const Found& found, Messages& messages) {
  constexpr Length kFarOff = Length::millimetres(100);  // deeper than a flute (common practice, no source)
  for (std::size_t i = 0; i < found.plumb_marks.size(); ++i) {
    const std::uint32_t mark = found.plumb_marks[i];
    const Deck* deck = deck_over(found, mark);
    const auto elevation = job.deck_marks[i].elevation;
    if (!deck || !elevation) continue;
    const Length off = *elevation - deck->elevation_at(found.placed.marks[mark]);
    if (abs(off) <= std::max(kFarOff, job.deck.flatness) + kHair) continue;
    messages.doubt("a deck mark far from the deck",
                   job.deck_marks_table.table->where(job.deck_marks_table.begins[i], 1), "elevation",
                   fmt::format("the deck mark of {} stands {} {} the deck there, further than 100 mm (common "
                               "practice, no source): check its elevation and unit",
                               job.marks.names[mark], length_words(abs(off), job.site_unit),
                               off > Length::metres(0) ? "above" : "below"));
  }
}

}  // namespace

void check_plumb(const Job& job, Found& found, Messages& messages) {
  if (job.deck_marks.empty()) return;
  const MarkFinder finder(job.marks, *job.mark_index, found.issue.numbers,
                          found.deck ? std::optional(job.numbers.deck_offset) : std::nullopt);
  const Table& table = *job.deck_marks_table.table;
  const double unit = metres_in(*job.list.unit);
  PlumbSite site{*found.placed.fit, floor_of(job), found.deck ? &*found.deck : nullptr,
                 Length::metres(unit * std::pow(10.0, -table_decimals(*job.list.unit)))};
  std::size_t not_judged = 0;
  std::unordered_map<std::uint32_t, std::size_t> row_of;
  for (std::size_t i = 0; i < job.deck_marks.size(); ++i) {
    const StatedDeckMark& stated = job.deck_marks[i];
    const auto where = [&] { return table.where(job.deck_marks_table.begins[i], 0); };
    const auto meaning = finder.find(stated.point);
    if (meaning.is_double()) {
      messages.problem(
          where(), "point",
          Fault{fmt::format("{}, the name of one point and the number of {}", in_quotes(stated.point),
                            in_quotes(job.marks.names[*meaning.by_number])),
                "a text with one meaning",
                fmt::format("{} for the one, {} for the other", found.issue.numbers[*meaning.by_name],
                            job.marks.names[*meaning.by_number])});
      continue;
    }
    const auto mark = meaning.mark();
    if (!mark) {
      messages.problem(
          where(), "point",
          Fault{in_quotes(stated.point), "the name, floor number or deck number of a drawing point", ""});
      continue;
    }
    if (const auto [at, fresh] = row_of.emplace(*mark, i); !fresh) {
      const auto line = table.source()->places({job.deck_marks_table.begins[at->second]})[0].line;
      messages.problem(where(), "point",
                       Fault{fmt::format("{}, the point of line {} again", in_quotes(stated.point), line),
                             "each point once", ""});
      continue;
    }
    if (!job.marks.is_reference(*mark) && !has_deck_point(job, found, *mark)) {
      messages.problem(
          where(), "point",
          Fault{fmt::format("{}, a hanger that a trapeze bridges", in_quotes(job.marks.names[*mark])),
                "a point with a deck point of its own", "the supports of the trapeze, -a and -b"});
      continue;
    }
    site.deck = deck_over(found, *mark);
    const auto height = job.marks.heights[*mark];
    const bool reference = job.marks.is_reference(*mark);
    const DeckMark measured{job.marks.places[*mark],
                            reference ? std::nullopt
                            : height  ? height
                                      : job.attach_height,
                            stated.at,
                            stated.elevation,
                            stated.sd.value_or(job.plumb.sd),
                            stated.floor};
    found.plumb.push_back(check_plumb(measured, site, job.plumb));
    found.plumb_marks.push_back(*mark);
    if (found.plumb.back().slope_not_judged) ++not_judged;
  }
  if (!messages.has_problems()) look_at_mark_heights(job, found, messages);
  if (not_judged > 0)
    messages.doubt("slope not judged", Where::whole(job.file), "plumb.slope",
                   fmt::format("{} deck mark{}: no bracket height or deck elevation is known, so the slope "
                               "of the hanger is not judged",
                               not_judged, not_judged == 1 ? "" : "s"));
}

}  // namespace deckmark
