#include "stages/plumb.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <map>
#include <span>
#include <string_view>
#include <unordered_map>

#include "marks/mark_finder.h"
#include "report/words.h"
#include "stages/storeys.h"

namespace deckmark {

namespace {

/// Gives every row its mark, or tells why it has none.
class DeckMarkNames {
 public:
  DeckMarkNames(const PlumbStated& stated, const JobMarks& marks, const Numbers* numbers, Messages& told)
      : stated_(stated), marks_(marks), numbers_(numbers), told_(told) {
    if (numbers)
      finder_.emplace(finder_of(marks, *numbers));
    else
      finder_.emplace(*marks, *marks.index, std::span<const std::uint32_t>{}, std::nullopt);
  }

  std::optional<std::uint32_t> mark_of(std::size_t row) {
    const std::string& text = stated_.marks[row].point;
    if (!numbers_ && is_digits(text)) return std::nullopt;
    const MarkMeaning meaning = finder_->find(text);
    if (meaning.is_double()) return tell(row, two_meanings(text, meaning, marks_, *numbers_));
    const auto mark = meaning.mark();
    if (!mark)
      return tell(row, {in_quotes(text) + whose_number(stated_.storeys, text),
                        "the name, floor number or deck number of a drawing point", ""});
    if (const auto fault = again(*mark, row, text)) return tell(row, *fault);
    if (!marks_->is_reference(*mark) && !marks_.has_deck_point(*mark))
      return tell(row, {fmt::format("{}, a hanger that a trapeze bridges", in_quotes(marks_->names[*mark])),
                        "a point with a deck point of its own", "the supports of the trapeze, -a and -b"});
    return mark;
  }

  /// Turns without the one that cancels their lean. REQUIRES rows that all have their mark.
  void tell_lacking() {
    for (std::size_t row = 0; row < stated_.marks.size(); ++row) {
      const auto turn = stated_.marks[row].turn;
      if (!turn) continue;
      const RowsByTurn& rows = turned_.at(*finder_->find(stated_.marks[row].point).mark());
      const int other = (*turn + 180) % 360;
      if (rows.contains(other)) continue;
      tell_turn(
          row,
          {fmt::format("turn {} of {} without turn {}", *turn, in_quotes(stated_.marks[row].point), other),
           fmt::format(
               "the mark at turn {} too, so that the lean of the beam cancels; or {}", other,
               rows.size() == 1 ? "no turn, for one mark alone" : fmt::format("no row at turn {}", *turn)),
           ""});
    }
  }

 private:
  using RowsByTurn = std::map<int, std::size_t>;  // of one mark
  /// What is wrong with a further row of a mark.
  std::optional<Fault> again(std::uint32_t mark, std::size_t row, std::string_view text) {
    const auto turn = stated_.marks[row].turn;
    const auto [first, is_first] = row_of_.emplace(mark, row);
    if (turn) {
      const auto [at, fresh] = turned_[mark].emplace(*turn, row);
      if (!fresh)
        return Fault{fmt::format("{} at turn {}, as in line {}", in_quotes(text), *turn, line(at->second)),
                     "each turn of a point once", ""};
    }
    if (is_first) return std::nullopt;
    const bool was_turned = stated_.marks[first->second].turn.has_value();
    if (!turn && !was_turned)
      return Fault{fmt::format("{}, the point of line {} again", in_quotes(text), line(first->second)),
                   "each point once", ""};
    if (turn && was_turned) return std::nullopt;
    return Fault{fmt::format("{} {} a turn, beside line {} {} one", in_quotes(text), turn ? "at" : "without",
                             line(first->second), turn ? "without" : "at"),
                 "a turn of 0, 90, 180 or 270 in every row of a point that was marked more than once", ""};
  }
  void tell_turn(std::size_t row, const Fault& fault) {
    told_.problem(cell_of(stated_.table, row, "turn"), "turn", fault);
  }
  static bool is_digits(std::string_view text) {
    return std::ranges::all_of(text, [](char c) { return c >= '0' && c <= '9'; });
  }
  std::uint32_t line(std::size_t row) const {
    return stated_.table.table->source()->places({stated_.table.begins[row]})[0].line;
  }
  std::nullopt_t tell(std::size_t row, const Fault& fault) {
    told_.problem(cell_of(stated_.table, row, "point"), "point", fault);
    return std::nullopt;
  }

  const PlumbStated& stated_;
  const JobMarks& marks_;
  const Numbers* numbers_;
  Messages& told_;
  std::optional<MarkFinder> finder_;
  std::unordered_map<std::uint32_t, std::size_t> row_of_;  // the first of each mark
  std::unordered_map<std::uint32_t, RowsByTurn> turned_;
};

/// Deck marks whose elevation is none that the deck could have there.
void look_at_mark_heights(const PlumbStated& stated, const DeckMarksNamed& named, const LaidOut& laid,
                          Messages& told) {
  if (laid.placed.is_lost() || !laid.heights.has_deck()) return;
  constexpr Length kFarOff = Length::millimetres(100);  // deeper than a flute (common practice, no source)
  const bool by_flatness = stated.flatness > kFarOff;
  const Length limit = by_flatness ? stated.flatness : kFarOff;
  const std::string whose = by_flatness ? "[deck] flatness" : "common practice, no source";
  for (std::size_t i = 0; i < stated.marks.size(); ++i) {
    const std::uint32_t mark = *named.marks[i];
    const auto elevation = stated.marks[i].elevation;
    if (!elevation) continue;
    if (!laid.heights.deck(mark)) continue;
    const Deck& deck = laid.heights.decks()->believed_over(mark);
    const Length off = *elevation - deck.elevation_at(laid.placed.marks[mark]);
    if (abs(off) <= limit + kHair) continue;
    told.doubt("a deck mark far from the deck", cell_of(stated.table, i, "elevation"), "elevation",
               fmt::format("the deck mark of {} stands {} {} the deck there, further than {} ({}): check its "
                           "elevation and unit",
                           laid.marks->names[mark], length_words(abs(off), stated.site_unit),
                           off > Length::metres(0) ? "above" : "below",
                           by_flatness ? length_words(limit, stated.site_unit) : "100 mm", whose));
  }
}

/// The rows of the table that are one mark: one, or one a turn.
struct MarkRows {
  std::uint32_t mark;
  std::vector<std::size_t> rows;
};
std::vector<MarkRows> rows_by_mark(const PlumbStated& stated, const DeckMarksNamed& named) {
  std::vector<MarkRows> out;
  std::unordered_map<std::uint32_t, std::size_t> turned;
  for (std::size_t i = 0; i < stated.marks.size(); ++i) {
    assert(named.marks[i]);
    const std::uint32_t mark = *named.marks[i];
    if (stated.marks[i].turn) {
      const auto [at, fresh] = turned.emplace(mark, out.size());
      if (!fresh) {
        out[at->second].rows.push_back(i);
        continue;
      }
    }
    out.push_back({mark, {i}});
  }
  return out;
}

/// Marks made with the housing turned become one: in place, elevation and floor mark the mean of those
/// stated.
class TurnedMarks {
 public:
  TurnedMarks(const PlumbStated& stated, const std::vector<std::size_t>& rows, const FittedTransform& fit)
      : stated_(stated), rows_(rows), to_site_(fit.site_from_drawing) {}

  TurnsResult turns() const {
    std::vector<MarkAtTurn> marks;
    for (const std::size_t row : rows_)
      marks.push_back({static_cast<std::size_t>(*stated_.marks[row].turn / 90), off_first(row), sd_of(row)});
    return mean_of_turns(marks);
  }
  MarkPlace place(const TurnsResult& turns) const {
    const MarkPlace& first = stated_.marks[rows_.front()].at;
    if (const auto* off = std::get_if<Vec<Drawing>>(&first)) {
      const Vec<Drawing> by = to_site_.inverse().turn(turns.mean);
      return Vec<Drawing>{{.x = off->by.x + by.by.x, .y = off->by.y + by.by.y}};
    }
    return on_site(first) + turns.mean;
  }
  std::optional<Elevation> elevation() const {
    Length sum = Length::metres(0);
    std::size_t count = 0;
    for (const std::size_t row : rows_)
      if (const auto at = stated_.marks[row].elevation) sum = sum + at->above_datum(), ++count;
    if (count == 0) return std::nullopt;
    return Elevation::at(sum / static_cast<double>(count));
  }
  /// The floor mark with its sd; nothing where no row states it.
  std::optional<std::pair<Point<Site>, Length>> floor() const {
    std::optional<Point<Site>> first;
    Vec<Site> sum{{.northing = Length::metres(0), .easting = Length::metres(0)}};
    double count = 0;
    Length sd = Length::metres(0);
    for (const std::size_t row : rows_) {
      const auto& at = stated_.marks[row].floor;
      if (!at) continue;
      if (!first) first = at;
      const Vec<Site> off = *at - *first;
      sum = {{.northing = sum.by.northing + off.by.northing, .easting = sum.by.easting + off.by.easting}};
      sd = std::max(sd, sd_of(row));  // one floor mark, keyed beside every turn
      ++count;
    }
    if (!first) return std::nullopt;
    return std::pair(
        *first + Vec<Site>{{.northing = sum.by.northing / count, .easting = sum.by.easting / count}}, sd);
  }

 private:
  Length sd_of(std::size_t row) const { return stated_.marks[row].sd.value_or(stated_.options.sd); }
  Point<Site> on_site(const MarkPlace& at) const {
    if (const auto* drawn = std::get_if<Point<Drawing>>(&at)) return to_site_(*drawn);
    return std::get<Point<Site>>(at);
  }
  Vec<Site> off_first(std::size_t row) const {
    const MarkPlace &at = stated_.marks[row].at, &first = stated_.marks[rows_.front()].at;
    if (const auto* off = std::get_if<Vec<Drawing>>(&at)) {
      const auto& from = std::get<Vec<Drawing>>(first);
      return to_site_.turn({{.x = off->by.x - from.by.x, .y = off->by.y - from.by.y}});
    }
    return on_site(at) - on_site(first);
  }

  const PlumbStated& stated_;
  const std::vector<std::size_t>& rows_;
  const Transform<Site, Drawing>& to_site_;
};

/// What is held against the design: the row, or the mean of rows at turns of the housing.
DeckMark measured_mark(const PlumbStated& stated, const MarkRows& of_mark, const LaidOut& laid,
                       std::optional<TurnsResult>& turns) {
  const StatedDeckMark& row = stated.marks[of_mark.rows.front()];
  DeckMark out{laid.marks->places[of_mark.mark],
               laid.heights.attach_height(of_mark.mark),
               row.at,
               row.elevation,
               row.sd.value_or(stated.options.sd),
               row.floor};
  out.is_own = row.is_own;
  if (row.turn) {
    const TurnedMarks turned(stated, of_mark.rows, laid.placed.fit);
    turns = turned.turns();
    out.found = turned.place(*turns);
    out.elevation = turned.elevation();
    out.sd = turns->sd;
    if (const auto floor = turned.floor()) out.floor_mark = floor->first, out.floor_sd = floor->second;
  }
  if (row.net_point)
    out.design_covariance = laid.placed.in_net.beside_point(laid.placed.fit, out.design, *row.net_point);
  return out;
}

/// Turned marks whose pairs disagree, or whose beam leans as no laser does.
void tell_odd_turns(const PlumbStated& stated, const Plumbed& plumbed, const LaidOut& laid, Messages& told) {
  constexpr double kMostLean = 0.005;  // no plumb laser is that far off (common practice, no source)
  for (std::size_t i = 0; i < plumbed.rows.size(); ++i) {
    const TurnsResult* turns = plumbed.turns_of(i);
    if (!turns) continue;
    const std::string_view name = laid.marks->names[plumbed.marks[i]];
    const auto words = [&](Length l) { return length_words(l, stated.site_unit); };
    const auto& rise = plumbed.rows[i].rise;
    const Where where = cell_of(stated.table, plumbed.table_row(i), "turn");
    if (turns->pairs_disagree)
      told.doubt(
          "turned marks that disagree", where, "turn",
          fmt::format("{}: the mean at turns 0 and 180 lies {} from that at 90 and 270, more than their "
                      "sds allow: mark all four again",
                      name, words(*turns->apart)));
    else if (rise && turns->lean > kMostLean * *rise + kHair)
      told.doubt(
          "a beam that leans too far", where, "turn",
          fmt::format("{}: the beam leans {} at {}, more than 5 mm a metre (common practice, no source): "
                      "was a mark keyed wrong, or is the laser knocked?",
                      name, words(turns->lean), spoken_length(*rise, stated.site_unit)));
  }
}

/// Marks that were measured on another storey of the building.
void refuse_other_storeys(const PlumbStated& stated, const LaidOut& laid, Messages& told) {
  if (!stated.storeys || stated.storeys->empty()) return;
  const StoreyHeights heights(*stated.storeys, laid, stated.site_unit);
  for (std::size_t i = 0; i < stated.marks.size(); ++i)
    if (const auto at = stated.marks[i].elevation)
      if (const auto fault = heights.refused("a deck mark", *at))
        told.problem(cell_of(stated.table, i, "elevation"), "elevation", *fault);
}

}  // namespace

Staged<DeckMarksNamed> name_deck_marks(const PlumbStated& stated, const JobMarks& marks,
                                       const Numbers* numbers, bool is_whole) {
  if (stated.marks.empty()) return Staged<DeckMarksNamed>::absent();
  Messages told;
  DeckMarkNames names(stated, marks, numbers, told);
  DeckMarksNamed named;
  named.marks.reserve(stated.marks.size());
  for (std::size_t i = 0; i < stated.marks.size(); ++i) named.marks.push_back(names.mark_of(i));
  if (is_whole && std::ranges::all_of(named.marks, [](const auto& m) { return m.has_value(); }))
    names.tell_lacking();
  return Staged<DeckMarksNamed>::found(std::move(named), std::move(told));
}

Staged<Plumbed> check_plumb(const PlumbStated& stated, const DeckMarksNamed& named, const LaidOut& laid) {
  if (stated.marks.empty()) return Staged<Plumbed>::absent();
  Messages told;
  refuse_other_storeys(stated, laid, told);
  if (told.has_problems()) return Staged<Plumbed>::spoiled(std::move(told));
  Plumbed plumbed;
  std::size_t not_judged = 0;
  const double last_place = std::pow(10.0, -table_decimals(stated.list_unit));
  PlumbSite site{laid.placed.fit, laid.heights.floor(), nullptr,
                 Length::metres(metres_in(stated.list_unit) * last_place)};
  for (const MarkRows& of_mark : rows_by_mark(stated, named)) {
    site.deck = laid.heights.deck(of_mark.mark);
    std::optional<TurnsResult> turns;
    const DeckMark measured = measured_mark(stated, of_mark, laid, turns);
    plumbed.rows.push_back(check_plumb(measured, site, stated.options));
    plumbed.marks.push_back(of_mark.mark);
    if (plumbed.rows.back().slope_not_judged) ++not_judged;
    plumbed.first_rows.push_back(of_mark.rows.front());
    plumbed.turns.push_back(std::move(turns));
  }
  tell_odd_turns(stated, plumbed, laid, told);
  // Where a tie is wrong by metres, the deck under a mark is another place of it.
  if (moved_by_wrong_ties(laid.placed) <= Length::metres(1)) look_at_mark_heights(stated, named, laid, told);
  if (not_judged > 0)
    told.doubt("slope not judged", stated.job, "plumb.slope",
               fmt::format("{} deck mark{}: no bracket height or deck elevation is known, so the slope "
                           "of the hanger is not judged",
                           not_judged, not_judged == 1 ? "" : "s"));
  return Staged<Plumbed>::found(std::move(plumbed), std::move(told));
}

}  // namespace deckmark
