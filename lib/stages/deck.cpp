#include "stages/deck.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <span>
#include <utility>

#include "report/words.h"
#include "stages/deck_bays.h"
#include "stages/deck_shots.h"
#include "stages/shared_faults.h"
#include "table/meant_word.h"

namespace deckmark {

namespace {

/// A shot's place on site; nothing where the drawing has to be placed first.
std::optional<Point<Site>> on_site(const StatedPlace& at, const FittedTransform* fit) {
  if (const auto* site = std::get_if<Point<Site>>(&at)) return *site;
  if (!fit) return std::nullopt;
  return fit->site_from_drawing(std::get<Point<Drawing>>(at));
}

/// Fits the decks to their shots.
class DeckFitter {
 public:
  DeckFitter(const DeckStated& stated, const FittedTransform* fit) : stated_(stated), fit_(fit) {}

  Staged<DecksFitted> one() && {
    if (stated_.level) {
      take_level(*stated_.level);
    } else if (stated_.shots_table.table || !stated_.shots.empty()) {
      std::vector<std::size_t> all(stated_.shots.size());
      std::iota(all.begin(), all.end(), std::size_t{0});
      take_shots(all, [&](DeckStatus status) { refuse_shots(status); });
    }
    return std::move(*this).found();
  }

  Messages looked_over(const BaysStated& bays, bool knows_bays) && {
    if (!names_bays()) return {};
    const auto shots = shots_of(bays, knows_bays);
    for (std::size_t b = 0; b < bays.names.size(); ++b)
      if (bays.levels[b] && !shots[b].empty()) refuse_both(bays, b, shots[b]);
    return std::move(told_);
  }

  Staged<DecksFitted> by_bay(const BaysStated& bays) && {
    out_.by_bay = true;
    if (!names_bays()) {
      complete_ = false;
      tell_no_column();
      return std::move(*this).found();
    }
    const auto shots = shots_of(bays, true);
    for (std::size_t b = 0; b < bays.names.size(); ++b) fit_bay(bays, b, shots[b]);
    complete_ = complete_ && bays.refused.empty();
    return std::move(*this).found();
  }

 private:
  /// A deck that is missing for what is told elsewhere spoils the result too.
  Staged<DecksFitted> found() && {
    const bool is_spoiled = !complete_ || out_.decks.empty() || told_.has_problems();
    if (is_spoiled || !fit_) tell_shots(stated_, out_, false, told_);
    if (!complete_ || out_.decks.empty()) return Staged<DecksFitted>::spoiled(std::move(told_));
    return Staged<DecksFitted>::found(std::move(out_), std::move(told_));
  }

  /// No plane, and no other deck is stated: it is known where it was measured.
  void take_marks_alone() {
    out_.at_marks_alone = true;
    take_level(stated_.measured.at_marks.front().elevation);  // which is asked for nowhere
    const std::size_t known = stated_.measured.at_marks.size();
    if (!stated_.measured.everywhere)
      told_.doubt(
          "a deck that is known at some points alone", shots_place(stated_), "target",
          fmt::format("the deck was measured at {} point{} and is not known elsewhere: measure it at every "
                      "hanger, or at three that are not on one line",
                      known, known == 1 ? "" : "s"));
  }
  void take_level(Elevation level) {
    out_.decks.push_back(Deck::level(level));
    out_.fits.emplace_back();
    out_.shots.emplace_back();
  }

  /// Fits a deck to some of the shots; `refuse` tells why none could be.
  template <class Refuse>
  void take_shots(std::span<const std::size_t> shots, const Refuse& refuse) {
    std::vector<DeckShot> placed;
    for (const std::size_t s : shots)
      if (const auto at = on_site(stated_.shots[s].at, fit_))
        placed.push_back({*at, stated_.shots[s].elevation});
    if (placed.size() < shots.size()) {
      complete_ = false;
      return;
    }
    DeckResult result = fit_deck(placed, stated_.options);
    if (result.status != DeckStatus::fitted) {
      if (!stated_.shots_table.table && !out_.by_bay && !result.lone) return take_marks_alone();
      if (result.lone)
        told_.problem(shot_row(stated_, shots[result.lone->shot]), "shot",
                      Fault{lone_words(stated_, shots, *result.lone), "a shot among the others", ""});
      else
        refuse(result.status);
      complete_ = false;
      return;
    }
    out_.decks.push_back(*result.deck);
    out_.fits.emplace_back(std::move(result));
    out_.shots.emplace_back(shots.begin(), shots.end());
  }

  void refuse_shots(DeckStatus status) {
    told_.problem(stated_.shots_table.table->whole(), "file",
                  Fault{status == DeckStatus::too_few ? fmt::format("{} deck shot{}", stated_.shots.size(),
                                                                    stated_.shots.size() == 1 ? "" : "s")
                                                      : "deck shots on one line",
                        "three or more deck shots, not on one line", "adding a shot well to the side"});
  }

  /// Whether the shots, if there are any, have a column for the bay: without it none names one.
  bool names_bays() const {
    const Table* table = stated_.shots_table.table.get();
    return !table || stated_.shots.empty() || table->has_column(bay_column(*table));
  }
  static std::size_t bay_column(const Table& table) {
    const auto& columns = table.spec().columns;
    return static_cast<std::size_t>(std::ranges::find(columns, "bay", &ColumnSpec::name) - columns.begin());
  }
  void tell_no_column() {
    const Table& table = *stated_.shots_table.table;
    told_.problem(
        table.header_where(0), "header",
        Fault{fmt::format("columns {}", in_quotes(fmt::format("{}", fmt::join(table.column_names(), ", ")))),
              "deck shots column bay, since the deck is in bays", ""});
  }
  /// Told at the first of the shots: it is the shots that name the bay.
  void refuse_both(const BaysStated& bays, std::size_t b, const std::vector<std::size_t>& shots) {
    told_.problem(cell_of(stated_.shots_table, shots[0], "bay"), "bay",
                  Fault{fmt::format("shot {} on bay {}, which states its elevation",
                                    stated_.shots[shots[0]].name, bays.names[b]),
                        "another bay; or a bay without an elevation, for its shots to give it", ""});
  }

  /// The shots that stand on each bay's deck. `knows_bays`: all of them.
  std::vector<std::vector<std::size_t>> shots_of(const BaysStated& bays, bool knows_bays) {
    std::vector<std::vector<std::size_t>> out(bays.names.size());
    for (std::size_t s = 0; s < stated_.shots.size(); ++s) {
      const std::string& name = stated_.shots[s].bay;
      const auto is_named = [&](const std::string& n) { return same_name(n, name); };
      const auto at = std::ranges::find_if(bays.names, is_named);
      if (at != bays.names.end())
        out[static_cast<std::size_t>(at - bays.names.begin())].push_back(s);
      else if (knows_bays && std::ranges::none_of(bays.refused, is_named))
        told_.problem(cell_of(stated_.shots_table, s, "bay"), "bay",
                      Fault{name.empty() ? fmt::format("shot {} without a bay", stated_.shots[s].name)
                                         : in_quotes(name),
                            "the bay on whose deck it stands", meant_word(name, bays.names).value_or("")});
    }
    return out;
  }

  void fit_bay(const BaysStated& bays, std::size_t b, const std::vector<std::size_t>& shots) {
    const std::string& name = bays.names[b];
    const auto refuse = [&](std::string found, std::string expected) {
      told_.problem(cell_of(stated_.bays_table, bays.first_row[b], "bay"), "bay",
                    Fault{std::move(found), std::move(expected), ""});
    };
    if (bays.levels[b]) {
      if (!shots.empty()) refuse_both(bays, b, shots);
      take_level(*bays.levels[b]);
      return;
    }
    take_shots(shots, [&](DeckStatus) {
      refuse(shots.empty() ? fmt::format("bay {} without elevation and without shots", name)
                           : fmt::format("bay {} with {} shots, too few or on one line", name, shots.size()),
             "an elevation, or three or more shots that are not on one line");
    });
  }

  const DeckStated& stated_;
  const FittedTransform* fit_;
  DecksFitted out_;
  Messages told_;
  bool complete_ = true;
};

}  // namespace

Staged<DecksFitted> fit_decks(const DeckStated& stated, const BaysStated& bays, const FittedTransform* fit) {
  if (!stated.has_deck) return Staged<DecksFitted>::absent();
  DeckFitter fitter(stated, fit);
  return stated.bays_table.table ? std::move(fitter).by_bay(bays) : std::move(fitter).one();
}

Messages look_over_bays(const DeckStated& stated, const BaysStated& bays, bool knows_bays) {
  if (!stated.has_deck || !stated.bays_table.table) return {};
  return DeckFitter(stated, nullptr).looked_over(bays, knows_bays);
}

namespace {

/// The key that a deck is stated by, or the bay of the bays table.
Statement deck_statement(const DeckStated& stated, const BaysStated& bays, const Decks& decks,
                         std::size_t mark) {
  if (decks.of_mark.empty()) return {.key = "deck", .key_at = stated.deck};
  return {.table = stated.bays_table.table.get(),
          .begin = stated.bays_table.begins[bays.first_row[decks.of_mark[mark]]]};
}

/// What a lifted job's heights are, and where they are stated.
struct Lifted {
  const DeckStated& stated;
  const Hung& hung;
  const Placed& placed;
  const Decks& decks;
  Heights heights;

  std::string words(Elevation e) const { return elevation_words(e, stated.site_unit); }
  bool has_bay(std::size_t mark) const { return decks.of_mark.empty() || decks.of_mark[mark] != kNoBay; }
};

/// Decks that do not lie above the floor: the key or the bay that states each, or the floor where it is above
/// all of several bays.
void refuse_low_decks(const Lifted& l, const SharedFaults& low, Messages& told) {
  const bool is_floor =
      low.all().size() > 1 && low.all().size() == l.hung.overhead.bays.outlines.size() && l.stated.floor;
  for (const SharedFaults::Fellows& f : low.all()) {
    const std::string field = is_floor             ? "floor.elevation"
                              : f.at.key == "deck" ? (l.stated.level ? "deck.elevation" : "deck.shots")
                                                   : std::string(f.at.field());
    told.problem(is_floor ? l.stated.floor_key : f.at.where(), field,
                 Fault{fmt::format("{}: deck {}, floor {}{}", fellows_words(*l.hung.marks, f, "points"),
                                   l.words(*l.heights.at(f.first).deck), l.words(l.heights.floor()),
                                   is_floor ? ", and no bay above it" : ""),
                       "a deck above the floor", "checking floor and deck elevations"});
    if (is_floor) break;
  }
}

/// A deck that was measured under the floor or the bracket: its reading is told, it has it alone.
void refuse_measured(const Lifted& l, std::size_t mark, const MarkHeights& h, Messages& told) {
  for (const DeckAtMark& at : l.stated.measured.at_marks)
    if (at.mark == mark)
      return told.problem(
          at.at, "target",
          Fault{fmt::format("the deck at {} as measured {}, {} {}", l.hung.marks->names[mark],
                            l.words(at.elevation), h.deck_not_above_floor ? "the floor" : "its bracket",
                            l.words(h.deck_not_above_floor ? l.heights.floor() : *h.attach)),
                "a deck above floor and bracket", "checking the reading, and on which side the target lies"});
}

/// A deck that does not lie above floor and brackets. Whatever many points share, a key or a row, is told
/// once: first the floor and the deck, since under a floor no bracket can be judged.
void refuse_heights(const Lifted& l, Messages& told) {
  const JobMarks& marks = l.hung.marks;
  SharedFaults low_decks, high_brackets;
  for (std::size_t m = 0; m < marks.size(); ++m) {
    if (!l.has_bay(m)) continue;
    const MarkHeights h = l.heights.at(m);
    if ((h.deck_not_above_floor || h.deck_not_above_attach) && l.decks.measured_over(m))
      refuse_measured(l, m, h, told);
    else if (h.deck_not_above_floor)
      low_decks.take(deck_statement(l.stated, l.hung.overhead.bays, l.decks, m), m);
    else if (h.deck_not_above_attach)
      high_brackets.take(height_statement(marks, m, l.stated.height_key), m);
  }
  refuse_low_decks(l, low_decks, told);
  for (const SharedFaults::Fellows& f : high_brackets.all()) {
    const MarkHeights h = l.heights.at(f.first);
    const bool is_bar = marks.is_support(f.first) && marks.trapeze_height_key;
    told.problem(f.at.where(), f.at.field(),
                 Fault{fmt::format("{}: attach elevation {}, deck {} there",
                                   fellows_words(*marks, f, is_bar ? "supports" : "hangers"),
                                   l.words(*h.attach), l.words(*h.deck)),
                       "a deck above the attach elevation",
                       is_bar ? "checking trapeze_height, floor and deck elevations"
                              : "checking height, floor and deck elevations"});
  }
}

/// Heights that practitioners would not believe.
void doubt_heights(const Lifted& l, Messages& told) {
  // Common practice, no source: rooms from 2 to 30 m high; a hanger shorter than 100 mm is hardly one, nor is
  // a bracket that hangs down to the lowest fifth of the room.
  constexpr Length kLowest = Length::metres(2), kHighest = Length::metres(30),
                   kShortest = Length::millimetres(100);
  constexpr double kMostOfRise = 0.8;
  const JobMarks& marks = l.hung.marks;
  struct Odd {
    std::size_t count = 0, first = 0;
    void take(std::size_t mark) {
      if (count++ == 0) first = mark;
    }
  } rises, short_drops, long_drops;
  for (std::size_t m = 0; m < marks.size(); ++m) {
    const MarkHeights h = l.heights.at(m);
    if (h.rise && (*h.rise < kLowest - kHair || *h.rise > kHighest + kHair)) rises.take(m);
    if (h.drop && *h.drop < kShortest - kHair) short_drops.take(m);
    if (h.drop && h.rise && *h.drop > kMostOfRise * *h.rise + kHair) long_drops.take(m);
  }
  const auto doubt = [&](std::string_view kind, const Odd& odd, std::string_view what, std::string_view cause,
                         std::optional<Length> MarkHeights::*value) {
    if (odd.count == 0) return;
    told.doubt(kind, marks.where(odd.first), marks.field(odd.first),
               fmt::format("{} {}{} {} (common practice, no source), {} the first, {}: check {}", odd.count,
                           value == &MarkHeights::rise ? "point" : "hanger", odd.count == 1 ? "" : "s", what,
                           marks->names[odd.first],
                           length_words(*(l.heights.at(odd.first).*value), l.stated.site_unit), cause));
  };
  constexpr std::string_view kDrop = "a drop that is hard to believe";
  doubt("a rise that is hard to believe", rises, "with a rise outside 2 m to 30 m",
        "floor and deck elevations and their units", &MarkHeights::rise);
  doubt(kDrop, short_drops, "shorter than 100 mm", "height and elevations", &MarkHeights::drop);
  doubt(kDrop, long_drops, "longer than 80 % of the rise", "height and elevations", &MarkHeights::drop);
}

/// A deck that was measured at a mark otherwise than the level that is stated for it. Where the deck is
/// fitted the measured one is a shot, and is told as such.
void doubt_measured(const Lifted& l, Messages& told) {
  for (const DeckAtMark& at : l.stated.measured.at_marks) {
    const std::size_t bay = l.decks.bay_of(at.mark);
    if (l.decks.fitted.fits[bay] || l.decks.fitted.at_marks_alone) continue;
    const Length off = at.elevation - l.decks.fitted.decks[bay].elevation_at(l.placed.marks[at.mark]);
    if (abs(off) <= l.stated.options.flatness + kHair) continue;
    told.doubt(
        "a measured deck off the stated one", at.at, "target",
        fmt::format("the deck at {} was measured {} {} the stated elevation, more than the flatness, {}: "
                    "what was measured counts there",
                    l.hung.marks->names[at.mark], length_words(abs(off), l.stated.site_unit),
                    off > Length::metres(0) ? "above" : "below",
                    length_words(l.stated.options.flatness, l.stated.site_unit)));
  }
}

/// A deck that is carried far beyond its shots. Marks where it was measured are not.
void doubt_reach(const Lifted& l, Messages& told) {
  if (l.decks.fitted.by_bay || !l.decks.fitted.fits.front() || l.placed.is_lost()) return;
  if (l.decks.fitted.fits.front()->lone) return;  // told itself
  std::vector<Point<Site>> shots;
  for (const StatedShot& s : l.stated.shots) shots.push_back(*on_site(s.at, &l.placed.fit));
  const Length reach = farthest_pair(shots);
  const JobMarks& marks = l.hung.marks;
  Length farthest = reach;
  std::size_t far_mark = marks.size();
  for (std::size_t m = 0; m < marks.size(); ++m) {
    if (marks->is_reference(m) || l.decks.measured_over(m)) continue;
    std::optional<Length> nearest;
    for (const Point<Site>& s : shots) {
      const Length d = distance(s, l.placed.marks[m]);
      if (!nearest || d < *nearest) nearest = d;
      if (d <= farthest + kHair) break;  // no farther than what is found already
    }
    if (*nearest > farthest + kHair) farthest = *nearest, far_mark = m;
  }
  if (far_mark < marks.size())
    told.doubt("points far beyond the deck shots", shots_place(l.stated), "elevation",
               fmt::format("{} lies {} from the nearest deck shot, further than the shots from one another, "
                           "{} at most: its deck is a guess; shoot the deck there "
                           "(or are northing and easting of the shots exchanged?)",
                           marks->names[far_mark], length_words(farthest, l.stated.site_unit),
                           length_words(reach, l.stated.site_unit)));
}

/// The decks as they are without the shots that are wrong; nothing where none is.
std::optional<Decks> without_wrong_shots(const Decks& decks) {
  std::optional<Decks> out;
  for (std::size_t d = 0; d < decks.fitted.decks.size(); ++d) {
    const auto& fit = decks.fitted.fits[d];
    if (!fit || !fit->deck_of_rest) continue;
    if (!out) out = decks;
    out->fitted.decks[d] = *fit->deck_of_rest;
  }
  return out;
}

/// A deck that is none over the floor, or the wrong shots that put it there. What would be refused without
/// them as well is told beside them.
void refuse_deck(const Lifted& l, const Lifted* believed, Messages& told) {
  Messages as_it_stands;
  refuse_heights(l, as_it_stands);
  const bool by_shots = believed && as_it_stands.has_problems();
  tell_shots(l.stated, l.decks.fitted, by_shots, told);
  if (by_shots)
    refuse_heights(*believed, told);
  else
    told.merge(std::move(as_it_stands));
}

}  // namespace

Messages look_into_bays(const DeckStated& stated, const Hung& hung) {
  Messages told;
  const BaysStated& bays = hung.overhead.bays;
  if (stated.has_deck && bays.any() && bays.refused.empty()) (void)place_in_bays(stated, hung, told);
  return told;
}

Staged<Decks> lift(const DeckStated& stated, const Hung& hung, const Placed& placed,
                   const DecksFitted& fitted) {
  Messages told;
  Decks out{fitted, {}, {}};
  for (const DeckAtMark& at : stated.measured.at_marks)
    out.measured.insert_or_assign(at.mark, Deck::level(at.elevation));
  bool in_bays = true;
  if (fitted.by_bay) {
    out.of_mark = place_in_bays(stated, hung, told);
    in_bays = !told.has_problems();
    if (in_bays) hold_on_lines(hung, out.of_mark, stated.drawing_unit, told);
    out.steps = steps_between(hung.overhead.bays, fitted.decks, placed.fit);
  }
  const auto lifted = [&](const Decks& decks) {
    return Lifted{stated, hung, placed, decks,
                  Heights(hung.marks, placed, &decks, stated.floor_or_zero(), stated.attach_height)};
  };
  const std::optional<Decks> rest = without_wrong_shots(out);
  const Lifted as_it_stands = lifted(out);
  const std::optional<Lifted> without = rest ? std::optional(lifted(*rest)) : std::nullopt;
  refuse_deck(as_it_stands, without ? &*without : nullptr, told);
  if (!in_bays) return Staged<Decks>::spoiled(std::move(told));
  if (!told.has_problems()) {
    doubt_measured(as_it_stands, told);
    doubt_reach(as_it_stands, told);
    doubt_heights(without ? *without : as_it_stands, told);
  }
  return Staged<Decks>::found(std::move(out), std::move(told));
}

}  // namespace deckmark
