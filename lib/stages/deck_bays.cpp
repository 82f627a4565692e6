#include "stages/deck_bays.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/words.h"
#include "stages/shared_faults.h"

namespace deckmark {

namespace {

/// Marks under the bays that they lie in.
class InBays {
 public:
  InBays(const DeckStated& stated, const Hung& hung, Messages& told)
      : stated_(stated), marks_(hung.marks), bays_(hung.overhead.bays), told_(told) {}

  /// The bay of every mark; 0 of a reference point, which has no deck.
  std::vector<std::uint32_t> place() {
    std::vector<std::uint32_t> of_mark(marks_.size(), 0);
    SharedFaults none, two;
    std::size_t asked = 0, outside = 0;
    for (std::size_t m = 0; m < marks_.size(); ++m) {
      if (marks_->is_reference(m)) continue;
      ++asked;
      const BayOf in = bay_of(marks_->places[m], bays_.outlines);
      of_mark[m] = in.bay && !in.another ? static_cast<std::uint32_t>(*in.bay) : kNoBay;
      if (of_mark[m] != kNoBay) continue;
      (in.bay ? two : none).take(place_statement(marks_, m), m);
      outside += !in.bay;
    }
    for (const SharedFaults::Fellows& f : two.all()) refuse_two(f);
    // Where no bay reaches any point, the bays are elsewhere: one fault, of the unit or the axes of their
    // table.
    if (outside > 1 && outside == asked)
      refuse(stated_.deck, "deck.bays",
             fmt::format("{} points, all of them in no bay, {} the first", outside,
                         marks_->names[none.all()[0].first]),
             "the unit of the bays table, and its x and y");
    else
      for (const SharedFaults::Fellows& f : none.all())
        refuse(f.at.where(), f.at.field(), fellows_words(*marks_, f, "points") + " in no bay",
               "corners that reach round it");
    return of_mark;
  }

 private:
  void refuse(const Where& where, std::string_view field, std::string what, std::string_view cure) {
    told_.problem(where, field, Fault{std::move(what), "a place in one bay", std::string(cure)});
  }
  void refuse_two(const SharedFaults::Fellows& f) {
    const Point<Drawing>& at = marks_->places[f.first];
    const BayOf in = bay_of(at, bays_.outlines);
    refuse(f.at.where(), f.at.field(),
           fmt::format("{} in two bays, {} and {}{}{}", marks_->names[f.first], bays_.names[*in.bay],
                       bays_.names[*in.another],
                       bays_.outlines[*in.bay].side_of(at) == Outline::Side::edge ? ", on their edge" : "",
                       f.count == 1 ? "" : fmt::format("; {} points of this row in all", f.count)),
           "corners that leave it to one of them");
  }

  const DeckStated& stated_;
  const JobMarks& marks_;
  const BaysStated& bays_;
  Messages& told_;
};

/// Over flutes what is fastened has to meet a fastening line. Points of the drawing and supports of trapezes
/// are held against the lines here; hangers along runs were when they were placed, or their run was told.
class OnLines {
 public:
  OnLines(const Hung& hung, const std::vector<std::uint32_t>& of_mark, LengthUnit unit, Messages& told)
      : marks_(hung.marks), overhead_(hung.overhead), of_mark_(of_mark), unit_(unit), told_(told) {}

  void hold() {
    const auto& flutes = overhead_.bays.flutes;
    if (std::ranges::none_of(flutes, [](const auto& f) { return f.has_value(); })) return;
    for (std::size_t m = 0; m < marks_.size(); ++m)
      if (const auto& f = flutes[of_mark_[m]]; f && marks_.has_deck_point(m) && !is_told(m)) hold(m, *f);
  }

 private:
  /// Whether its run is told already: it breaks a rule, or goes along the flutes.
  bool is_told(std::size_t m) const {
    if (m < marks_.drawn || marks_.is_support(m)) return false;
    const RunFound& run = overhead_.runs[marks_.from_run[m - marks_.drawn]];
    return !run.spacing.solved || run.along_flutes;
  }
  void hold(std::size_t m, const StatedFlutes& f) {
    constexpr Length kOnLine = Length::millimetres(5);  // within the flute (common practice, no source)
    const Point<Drawing>& p = marks_->places[m];
    const Length at = f.along_x ? p.at.y : p.at.x;
    const Length line = f.first + std::round((at - f.first) / f.pitch) * f.pitch;
    if (abs(at - line) <= kOnLine + kHair) return;
    told_.doubt(marks_.is_support(m) ? "supports between flutes" : "points between flutes", marks_.where(m),
                marks_.field(m),
                fmt::format("{} is {} from the nearest fastening line of bay {}, {} {}", marks_->names[m],
                            length_words(abs(at - line), unit_), overhead_.bays.names[of_mark_[m]],
                            f.along_x ? "y" : "x", length_words(line, unit_)));
  }

  const JobMarks& marks_;
  const Overhead& overhead_;
  const std::vector<std::uint32_t>& of_mark_;
  LengthUnit unit_;
  Messages& told_;
};

}  // namespace

std::vector<std::uint32_t> place_in_bays(const DeckStated& stated, const Hung& hung, Messages& told) {
  return InBays(stated, hung, told).place();
}

void hold_on_lines(const Hung& hung, const std::vector<std::uint32_t>& of_mark, LengthUnit unit,
                   Messages& told) {
  OnLines(hung, of_mark, unit, told).hold();
}

std::vector<BayStep> steps_between(const BaysStated& bays, const std::vector<Deck>& decks,
                                   const FittedTransform& fit) {
  std::vector<BayStep> out;
  for (const BayJoint& j : neighbours(bays.outlines)) {
    const Point<Site> at = fit.site_from_drawing(j.edge.middle);
    out.push_back({j.first, j.second, decks[j.second].elevation_at(at) - decks[j.first].elevation_at(at)});
  }
  return out;
}

}  // namespace deckmark
