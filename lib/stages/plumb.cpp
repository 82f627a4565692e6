#include "stages/plumb.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>
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
    if (meaning.is_double()) return tell(row, two_meanings(text, meaning));
    const auto mark = meaning.mark();
    if (!mark)
      return tell(row, {in_quotes(text) + whose_number(stated_.storeys, text),
                        "the name, floor number or deck number of a drawing point", ""});
    if (const auto [at, fresh] = row_of_.emplace(*mark, row); !fresh)
      return tell(row, {fmt::format("{}, the point of line {} again", in_quotes(text), line(at->second)),
                        "each point once", ""});
    if (!marks_->is_reference(*mark) && !marks_.has_deck_point(*mark))
      return tell(row, {fmt::format("{}, a hanger that a trapeze bridges", in_quotes(marks_->names[*mark])),
                        "a point with a deck point of its own", "the supports of the trapeze, -a and -b"});
    return mark;
  }

 private:
  static bool is_digits(std::string_view text) {
    return std::ranges::all_of(text, [](char c) { return c >= '0' && c <= '9'; });
  }
  Fault two_meanings(std::string_view text, const MarkMeaning& meaning) const {
    const std::string_view other = marks_->names[*meaning.by_number];
    return {fmt::format("{}, the name of one point and the number of {}", in_quotes(text), in_quotes(other)),
            "a text with one meaning",
            fmt::format("{} for the one, {} for the other", numbers_->of(*meaning.by_name), other)};
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
};

/// Deck marks whose elevation is none that the deck could have there.
void look_at_mark_heights(const PlumbStated& stated, const Plumbed& plumbed, const LaidOut& laid,
                          Messages& told) {
  if (laid.placed.is_lost() || !laid.heights.has_deck()) return;
  constexpr Length kFarOff = Length::millimetres(100);  // deeper than a flute (common practice, no source)
  const bool by_flatness = stated.flatness > kFarOff;
  const Length limit = by_flatness ? stated.flatness : kFarOff;
  const std::string whose = by_flatness ? "[deck] flatness" : "common practice, no source";
  for (std::size_t i = 0; i < plumbed.marks.size(); ++i) {
    const std::uint32_t mark = plumbed.marks[i];
    const auto elevation = stated.marks[i].elevation;  // a measured deck is the deck there
    if (!elevation) continue;
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

std::optional<Elevation> PlumbStated::elevation(std::size_t row, std::uint32_t mark) const {
  if (marks[row].elevation || !measured) return marks[row].elevation;
  for (const DeckAtMark& at : measured->at_marks)
    if (at.mark == mark) return at.elevation;
  return std::nullopt;
}

Staged<DeckMarksNamed> name_deck_marks(const PlumbStated& stated, const JobMarks& marks,
                                       const Numbers* numbers) {
  if (stated.marks.empty()) return Staged<DeckMarksNamed>::absent();
  Messages told;
  DeckMarkNames names(stated, marks, numbers, told);
  DeckMarksNamed named;
  named.marks.reserve(stated.marks.size());
  for (std::size_t i = 0; i < stated.marks.size(); ++i) named.marks.push_back(names.mark_of(i));
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
  for (std::size_t i = 0; i < stated.marks.size(); ++i) {
    assert(named.marks[i]);
    const StatedDeckMark& row = stated.marks[i];
    const std::uint32_t mark = *named.marks[i];
    site.deck = laid.heights.deck(mark);
    DeckMark measured{laid.marks->places[mark],  laid.heights.attach_height(mark),   row.at,
                      stated.elevation(i, mark), row.sd.value_or(stated.options.sd), row.floor};
    if (row.net_point)
      measured.design_covariance =
          laid.placed.in_net.beside_point(laid.placed.fit, measured.design, *row.net_point);
    plumbed.rows.push_back(check_plumb(measured, site, stated.options));
    plumbed.marks.push_back(mark);
    if (plumbed.rows.back().slope_not_judged) ++not_judged;
  }
  // Where a tie is wrong by metres, the deck under a mark is another place of it.
  if (moved_by_wrong_ties(laid.placed) <= Length::metres(1))
    look_at_mark_heights(stated, plumbed, laid, told);
  if (not_judged > 0)
    told.doubt("slope not judged", stated.job, "plumb.slope",
               fmt::format("{} deck mark{}: no bracket height or deck elevation is known, so the slope "
                           "of the hanger is not judged",
                           not_judged, not_judged == 1 ? "" : "s"));
  return Staged<Plumbed>::found(std::move(plumbed), std::move(told));
}

}  // namespace deckmark
