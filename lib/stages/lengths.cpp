#include "stages/lengths.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <unordered_map>
#include <utility>

#include "adjust/statistics.h"
#include "baseline/corner_size.h"
#include "job/tables/dimensions.h"
#include "job/tables/lengths.h"
#include "report/words.h"
#include "stages/length_slips.h"
#include "table/meant_word.h"

namespace deckmark {

namespace {

// Columns of lengths and of dimensions alike.
constexpr std::string_view kFrom = lengths::from.name, kTo = lengths::to.name;
static_assert(kFrom == dimensions::from.name && kTo == dimensions::to.name);

/// What a name of the lengths table means.
struct Mark {
  std::string_view name;
  Point<Drawing> place;
};

/// The ties were refused: a tie is known by name, and nothing that they would place or scale is judged.
bool is_refused(const BaselinesStated& stated, const Placed* placed) {
  return !placed && !stated.ties.empty();
}

/// Finds the marks that lengths and dimensions name.
class MarkPlaces {
 public:
  MarkPlaces(const BaselinesStated& stated, const JobMarks& marks, const Placed* placed, bool knows_ties,
             Messages& messages)
      : stated_(stated), marks_(marks), placed_(placed), knows_ties_(knows_ties), messages_(messages) {}

  /// A tie, else a drawing point; a name that is both is the tie.
  std::optional<Mark> any(const std::string& name, const ReadTable& table, std::size_t row,
                          std::string_view end) {
    for (const NamedTie& t : stated_.ties)
      if (same_name(t.name, name)) return Mark{t.name, place(t.tie)};
    if (const auto mark = drawing_point(name)) return mark;
    if (!knows_ties_) return std::nullopt;
    std::vector<std::string> known;
    for (const NamedTie& t : stated_.ties) known.push_back(t.name);
    return unknown(name, "a mark of the ties table, or a drawing point", meant_word(name, known).value_or(""),
                   table, row, end);
  }
  std::optional<Mark> drawn(const std::string& name, const ReadTable& table, std::size_t row,
                            std::string_view end) {
    if (const auto mark = drawing_point(name)) return mark;
    return unknown(name, "the name of a drawing point", "", table, row, end);
  }
  /// False where both ends are one mark (told).
  bool differ(const std::string& a, const std::string& b, const ReadTable& table, std::size_t row) {
    if (!same_name(a, b)) return true;
    tell(table, row, kTo, {in_quotes(b) + " again", "two different marks", ""});
    return false;
  }

 private:
  /// Of no use where the ties were refused.
  Point<Drawing> place(const Tie& tie) const {
    if (placed_ && placed_->baseline) return place_of(tie, *placed_->baseline);
    return {{.x = Length::metres(0), .y = Length::metres(0)}};
  }
  std::optional<Mark> drawing_point(const std::string& name) const {
    const auto m = marks_.index->find(name);
    return m ? std::optional(Mark{marks_->names[*m], marks_->places[*m]}) : std::nullopt;
  }
  std::optional<Mark> unknown(const std::string& name, std::string expected, std::string near,
                              const ReadTable& table, std::size_t row, std::string_view end) {
    tell(table, row, end, {in_quotes(name), std::move(expected), std::move(near)});
    return std::nullopt;
  }
  void tell(const ReadTable& table, std::size_t row, std::string_view end, const Fault& fault) {
    messages_.problem(cell_of(table, row, end), end, fault);
  }
  const BaselinesStated& stated_;
  const JobMarks& marks_;
  const Placed* placed_;
  bool knows_ties_;  // all of them: else an unknown name may be one
  Messages& messages_;
};

/// The smaller extent of the layout along X and Y: without ties, what the baselines have to carry.
Length layout_extent(const MarkTable& marks) {
  const auto corners = extent_corners(marks.places);
  const Vec<Drawing> extent = corners[2] - corners[0];
  const Length less = std::min(extent.by.x, extent.by.y);
  return less > kHair ? less : std::max(extent.by.x, extent.by.y);
}

TapedNet net_of(std::span<const Mark> ends, std::span<const LengthCheck> lengths) {
  TapedNet out;
  std::unordered_map<std::string_view, std::size_t> known;
  const auto index_of = [&](const Mark& m) {
    const auto [at, is_new] = known.try_emplace(m.name, out.names.size());
    if (is_new) {
      out.names.emplace_back(m.name);
      out.places.push_back(m.place);
    }
    return at->second;
  };
  for (std::size_t i = 0; i < lengths.size(); ++i) {
    const std::size_t a = index_of(ends[2 * i]), b = index_of(ends[2 * i + 1]);
    out.sides.push_back({a, b, {lengths[i].measured, lengths[i].sd}});
  }
  return out;
}

/// Names lengths that the others contradict, with what to measure again first.
class LengthDoubts {
 public:
  LengthDoubts(const BaselinesStated& stated, const Checked& checked, const TapedNet& sides, double scale,
               Messages& messages)
      : stated_(stated), checked_(checked), sides_(sides), scale_(scale), messages_(messages) {}

  void tell() {
    const LengthsTogether& together = checked_.together;
    if (!together.all_tested)
      messages_.notice(
          "lengths not held against one another", stated_.checks.lengths_table.table->whole(), "lengths",
          fmt::format("lengths between more than {} marks that hang together are not held against one "
                      "another",
                      LengthsTogether::kMostMarks));
    std::vector<bool> named(together.contradicts.size(), false);
    for (const WrongLength& w : together.wrong) {
      named[together.network[w.suspects.front().side]] = true;
      tell(w.suspects.front().side, w.suspects.size() == 1 ? one(w.suspects.front())
                                    : of_one_pair(w)       ? twice(w)
                                                           : several(w));
    }
    for (std::size_t n = 0; n < named.size(); ++n) {
      if (!together.contradicts[n] || named[n]) continue;
      std::size_t first = 0;
      while (together.network[first] != n) ++first;
      tell(first,
           fmt::format("{} and the lengths that hang together with it contradict one another, and no single "
                       "one stands out: are their sds right, or are several wrong?",
                       span(first)));
    }
  }

 private:
  std::string span(std::size_t side) const {
    const MeasuredSide& s = sides_.sides[side];
    return fmt::format("{} to {}", sides_.names[s.from], sides_.names[s.to]);
  }
  std::string words(Length l) const { return length_words(l, stated_.site_unit); }
  /// What the others give, as one reads it on site: at the scale of the fit.
  std::string right(const LengthSuspect& s) const {
    const Length value = checked_.lengths[s.side].measured - s.error;
    return words(value * scale_);
  }
  std::string off(const LengthSuspect& s) const {
    return fmt::format("{} too {}", words(abs(s.error)), s.error > Length::metres(0) ? "long" : "short");
  }
  /// The error is found about the places that the wrong length has bent: a large one is not that exact.
  bool is_exact(const LengthSuspect& s) const {
    constexpr Length kTold = Length::millimetres(1);
    return abs(s.error) * (abs(s.error) / checked_.lengths[s.side].measured) < kTold;
  }
  std::string one(const LengthSuspect& s) const {
    if (!is_exact(s))
      return fmt::format("{} is contradicted by the other lengths, by about {}; measure it again",
                         span(s.side), off(s));
    return fmt::format("{} is contradicted by the other lengths: it reads {}, they give {}; measure it again",
                       span(s.side), off(s), right(s));
  }
  bool of_one_pair(const WrongLength& w) const {
    const auto pair = [&](std::size_t side) {
      return std::minmax(sides_.sides[side].from, sides_.sides[side].to);
    };
    return std::ranges::all_of(
        w.suspects, [&](const LengthSuspect& s) { return pair(s.side) == pair(w.suspects.front().side); });
  }
  std::string twice(const WrongLength& w) const {
    return fmt::format(
        "{} was measured more than once, and the readings differ by {}: measure it again to see "
        "which holds",
        span(w.suspects.front().side), words(abs(w.suspects.front().error)));
  }
  std::string several(const WrongLength& w) const {
    std::vector<std::string> others;
    for (std::size_t i = 1; i < w.suspects.size(); ++i) others.push_back(span(w.suspects[i].side));
    const LengthSuspect& first = w.suspects.front();
    if (!is_exact(first))
      return fmt::format(
          "{} lengths contradict one another and cannot tell which is wrong: {}, {}. Measure {} again first; "
          "if it reads the same, go on in this order",
          w.suspects.size(), span(first.side), fmt::join(others, ", "), span(first.side));
    return fmt::format(
        "{} lengths contradict one another and cannot tell which is wrong: {}, {}. Measure {} again "
        "first: if it is the one, it will read {} (it is {} now); if not, go on in this order",
        w.suspects.size(), span(first.side), fmt::join(others, ", "), span(first.side), right(first),
        off(first));
  }
  void tell(std::size_t side, std::string text) {
    const ReadTable& table = stated_.checks.lengths_table;
    messages_.doubt("lengths that contradict one another", cell_of(table, side, lengths::measured.name),
                    lengths::measured.name, std::move(text));
  }

  const BaselinesStated& stated_;
  const Checked& checked_;
  const TapedNet& sides_;
  double scale_;  // of the fit
  Messages& messages_;
};

/// A leg as one tapes it: up to the next 0.1 m or half foot, but no further than the floor reaches.
std::string leg_words(Length leg, Length floor, LengthUnit unit) {
  const bool metric =
      unit == LengthUnit::metre || unit == LengthUnit::centimetre || unit == LengthUnit::millimetre;
  const Length step = metric ? Length::metres(0.1) : Length::feet(0.5);
  return spoken_length(std::min(step * std::ceil((leg - kHair) / step), floor), unit);
}

/// What to tape in place of a corner that is too small, and how far the floor reaches.
struct InPlace {
  LargerCorner corner;
  Vec<Drawing> reach;

  /// Nothing on this floor betters the present one by a tenth.
  bool is_present_best() const { return !corner.fits && corner.finer < 1.1; }
};

InPlace larger_on_floor(const CornerCheck& corner, const TapedNet& sides, const MarkTable& marks) {
  std::vector<Point<Drawing>> floor(sides.places);
  for (std::size_t m = 0; m < marks.size(); ++m) floor.push_back(marks.places[m]);
  const auto corners = extent_corners(floor);
  const Vec<Drawing> reach = corners[2] - corners[0];
  const auto leg = [&](std::size_t end) {
    return sides.places[corner.marks[end]] - sides.places[corner.marks[0]];
  };
  const bool is_triangle = corner.marks.size() == 3;
  const double times = 2 * *corner.square.sd_over / (corner.square.limit.permitted / 2);
  return {
      larger_corner(is_triangle ? CornerFigure::triangle : CornerFigure::rectangle,
                    {abs(leg(1).by.x), abs(leg(is_triangle ? 2 : 3).by.y)}, times, {reach.by.x, reach.by.y}),
      reach};
}

/// What to do about a corner that is too small: nothing that is larger than the floor.
std::string larger_words(const CornerCheck& corner, const InPlace& in_place, LengthUnit unit) {
  const LargerCorner& larger = in_place.corner;
  const Length good_to = kSds95 * *corner.square.sd_over / larger.finer;
  const std::string finer = good_to > corner.square.limit.permitted
                                ? "; it takes a finer tape, or an instrument that measures angles"
                                : "";
  if (in_place.is_present_best()) return "that is as good as this room and this tape allow" + finer;
  const std::string legs = fmt::format("{} by {}", leg_words(larger.legs.x, in_place.reach.by.x, unit),
                                       leg_words(larger.legs.y, in_place.reach.by.y, unit));
  if (!larger.fits)
    return fmt::format(
        "tape four sides and both diagonals of {}: good to {}, as good as this room and this tape "
        "allow{}",
        legs, length_words(good_to, unit), finer);
  if (larger.figure == CornerFigure::triangle) return fmt::format("tape one with legs of {} or more", legs);
  return fmt::format("{}tape four sides and both diagonals of {} or more",
                     corner.marks.size() == 3 ? "no triangle on this floor is large enough: " : "", legs);
}

/// What is odd about the corner from which the squareness was found.
void tell_corner(const BaselinesStated& stated, const Checked& checked, Length baseline,
                 const TapedNet& sides, const MarkTable& marks, Messages& told) {
  const CornerCheck& corner = *checked.corner;
  const Where where = stated.checks.lengths_table.table->whole();
  const auto words = [&](Length l) { return length_words(l, stated.site_unit); };
  if (corner.too_small) {
    const InPlace in_place = larger_on_floor(corner, sides, marks);
    const Length good_to = kSds95 * *corner.square.sd_over;
    const std::string figure =
                          fmt::format("the {} at {}", corner.marks.size() == 3 ? "triangle" : "rectangle",
                                      checked.corner_marks[0]),
                      good = fmt::format("good to {} (95 %)", words(good_to)),
                      over = fmt::format("baselines of {}", words(baseline)),
                      half = "more than half of the permitted " + words(corner.square.limit.permitted),
                      then = larger_words(corner, in_place, stated.site_unit);
    const std::string text =
        in_place.is_present_best()
            ? fmt::format("{} is {} over {}, {}: {}", figure, good, over, half, then)
            : fmt::format("{} is too small for {}: there it is {}, {}; {}", figure, over, good, half, then);
    // Where it decides all the same and nothing betters it there is nothing to do.
    if (in_place.is_present_best() && good_to <= corner.square.limit.permitted)
      told.notice("a small triangle", where, "lengths", text);
    else
      told.doubt("a small triangle", where, "lengths", text);
  }
  if (corner.sides_unequal)
    told.doubt("unequal sides", where, "lengths",
               fmt::format("opposite sides of the rectangle at {} differ by more than their sds: equal "
                           "diagonals then do not prove it square",
                           checked.corner_marks[0]));
}

/// Squareness from the lengths, where no ties give it.
void square_by_lengths(const BaselinesStated& stated, const MarkTable& marks, const TapedNet& sides,
                       Checked& checked, Messages& told) {
  const Length baseline = layout_extent(marks);
  if (!(baseline > kHair)) return;
  checked.corner = find_corner(sides.sides, checked.together, sides.places, baseline, stated.square);
  if (!checked.corner) return;
  for (const std::size_t m : checked.corner->marks) checked.corner_marks.emplace_back(sides.names[m]);
  checked.square = checked.corner->square;
  if (checked.square->contradicted) return;
  put_worst(marks.places, *checked.square);
  tell_corner(stated, checked, baseline, sides, marks, told);
}

/// Judges every length whose marks are known; the ends of each.
std::vector<Mark> judge_lengths(const BaselinesStated& stated, const LengthOptions& options, bool refused,
                                MarkPlaces& marks, Checked& checked) {
  const ReadTable& table = stated.checks.lengths_table;
  std::vector<Mark> ends;
  for (std::size_t i = 0; i < stated.checks.lengths.size(); ++i) {
    const TapedLength& l = stated.checks.lengths[i];
    const auto a = marks.any(l.from, table, i, kFrom), b = marks.any(l.to, table, i, kTo);
    if (!a || !b || !marks.differ(l.from, l.to, table, i) || refused) continue;
    checked.lengths.push_back(*check_length(a->place, b->place, l.measured, options));
    ends.push_back(*a);
    ends.push_back(*b);
  }
  return ends;
}

void judge_dimensions(const BaselinesStated& stated, MarkPlaces& marks, Checked& checked) {
  const ReadTable& table = stated.checks.dimensions_table;
  for (std::size_t i = 0; i < stated.checks.dimensions.size(); ++i) {
    const PrintedDimension& d = stated.checks.dimensions[i];
    const auto a = marks.drawn(d.from, table, i, kFrom), b = marks.drawn(d.to, table, i, kTo);
    if (!a || !b || !marks.differ(d.from, d.to, table, i)) continue;
    checked.dimensions.push_back(
        check_dimension(a->place, b->place, d.distance, stated.checks.dimension_tolerance));
  }
}

/// Every length and dimension that is outside. REQUIRES a row of each.
std::vector<Reason> outside_reasons(const BaselinesStated& stated, const Checked& checked) {
  std::vector<Reason> out;
  const LengthUnit unit = small_unit(stated.site_unit, stated.drawing_unit);
  const auto add = [&out](const ReadTable& table, std::size_t row, std::string text) {
    out.push_back({.text = std::move(text), .where = table.table->where(table.begins[row], 0)});
  };
  for (std::size_t i = 0; i < checked.lengths.size(); ++i) {
    const LengthCheck& c = checked.lengths[i];
    const TapedLength& l = stated.checks.lengths[i];
    if (c.verdict == Verdict::outside)
      add(stated.checks.lengths_table, i,
          fmt::format("length {} to {} is off by {}, permitted {}", l.from, l.to,
                      length_words_beyond(abs(c.deviation), c.limit.permitted, unit),
                      length_words(c.limit.permitted, unit)));
  }
  for (std::size_t i = 0; i < checked.dimensions.size(); ++i) {
    const DimensionCheck& c = checked.dimensions[i];
    const PrintedDimension& d = stated.checks.dimensions[i];
    if (c.verdict == Verdict::outside)
      add(stated.checks.dimensions_table, i,
          fmt::format("dimension {} to {} is printed {} and keyed {}", d.from, d.to,
                      length_words(c.stated, stated.drawing_unit),
                      length_words_beyond(c.measured, c.stated, stated.drawing_unit)));
  }
  return out;
}

}  // namespace

std::optional<std::size_t> TapedNet::find(std::string_view name) const {
  for (std::size_t m = 0; m < names.size(); ++m)
    if (same_name(names[m], name)) return m;
  return std::nullopt;
}

Staged<Checked> check_lengths(const BaselinesStated& stated, const JobMarks& marks, const Placed* placed,
                              bool knows_ties) {
  const BaselineJob& checks = stated.checks;
  if (!checks.lengths_table.table && !checks.dimensions_table.table) return Staged<Checked>::absent();
  Messages told;
  Checked checked;
  MarkPlaces places(stated, marks, placed, knows_ties, told);
  const bool refused = is_refused(stated, placed) || !knows_ties;
  const double scale = placed ? placed->fit.site_from_drawing.parts().scale : 1;
  const LengthOptions options{checks.tape_standard, checks.tie_sd, stated.square.setout,
                              stated.square.tolerance, scale};
  const std::vector<Mark> ends = judge_lengths(stated, options, refused, places, checked);
  judge_dimensions(stated, places, checked);
  if (told.has_problems() || refused) return Staged<Checked>::spoiled(std::move(told));
  checked.outside = outside_reasons(stated, checked);
  if (!checked.lengths.empty()) {
    checked.net = net_of(ends, checked.lengths);
    checked.together = hold_together(checked.net.sides, checked.net.places);
    tell_alike(stated, checked, told);
    checked.slip = slip_words(stated, checked);
    if (checked.slip.empty())
      LengthDoubts(stated, checked, checked.net, scale, told).tell();
    else
      told.doubt("one slip that explains lengths", checks.lengths_table.table->whole(), "lengths",
                 checked.slip);
    if (!placed || !placed->baseline) square_by_lengths(stated, *marks, checked.net, checked, told);
  }
  return Staged<Checked>::found(std::move(checked), std::move(told));
}

const SquarenessResult* squareness_of(const Placed* placed, const Checked* checked) {
  if (placed && placed->square) return &*placed->square;
  return checked && checked->square ? &*checked->square : nullptr;
}

}  // namespace deckmark
