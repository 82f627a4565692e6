#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <unordered_map>

#include "report/baseline_page.h"
#include "report/words.h"
#include "table/meant_word.h"
#include "work/stages.h"

namespace deckmark {

namespace {

enum End : std::size_t { from, to };  // columns of lengths and of dimensions
constexpr std::size_t measured = 2;   // column of lengths

/// What a name of the lengths table means.
struct Mark {
  std::string_view name;
  Point<Drawing> place;
};

/// Finds the marks that lengths and dimensions name.
class MarkPlaces {
 public:
  MarkPlaces(const Job& job, const Found& found, Messages& messages)
      : job_(job), found_(found), messages_(messages) {}

  /// A tie, else a drawing point; a name that is both is the tie.
  std::optional<Mark> any(const std::string& name, const ReadTable& table, std::size_t row, End end) {
    for (const NamedTie& t : job_.ties)
      if (found_.placed.baseline && same_name(t.name, name))
        return Mark{t.name, place_of(t.tie, *found_.placed.baseline)};
    if (const auto m = job_.mark_index->find(name)) return Mark{job_.marks.names[*m], job_.marks.places[*m]};
    std::vector<std::string> known;
    for (const NamedTie& t : job_.ties) known.push_back(t.name);
    return unknown(name, "a mark of the ties table, or a drawing point", meant_word(name, known).value_or(""),
                   table, row, end);
  }
  std::optional<Mark> drawn(const std::string& name, const ReadTable& table, std::size_t row, End end) {
    if (const auto m = job_.mark_index->find(name)) return Mark{job_.marks.names[*m], job_.marks.places[*m]};
    return unknown(name, "the name of a drawing point", "", table, row, end);
  }
  /// False where both ends are one mark (told).
  bool differ(const std::string& a, const std::string& b, const ReadTable& table, std::size_t row) {
    if (!same_name(a, b)) return true;
    tell(table, row, to, {in_quotes(b) + " again", "two different marks", ""});
    return false;
  }

 private:
  std::optional<Mark> unknown(const std::string& name, std::string expected, std::string near,
                              const ReadTable& table, std::size_t row, End end) {
    tell(table, row, end, {in_quotes(name), std::move(expected), std::move(near)});
    return std::nullopt;
  }
  void tell(const ReadTable& table, std::size_t row, End end, const Fault& fault) {
    messages_.problem(table.table->where(table.begins[row], end), end == from ? "from" : "to", fault);
  }
  const Job& job_;
  const Found& found_;
  Messages& messages_;
};

/// The smaller extent of the layout along X and Y: without ties, what the baselines have to carry.
Length layout_extent(const Job& job) {
  const auto corners = extent_corners(job.marks.places);
  const Vec<Drawing> extent = corners[2] - corners[0];
  const Length less = std::min(extent.by.x, extent.by.y);
  return less > kHair ? less : std::max(extent.by.x, extent.by.y);
}

/// The lengths as sides between marks.
struct Sides {
  std::vector<Point<Drawing>> places;
  std::vector<std::string_view> names;
  std::vector<MeasuredSide> sides;
};

Sides sides_of(std::span<const Mark> ends, std::span<const LengthCheck> lengths) {
  Sides out;
  std::unordered_map<std::string_view, std::size_t> known;
  const auto index_of = [&](const Mark& m) {
    const auto [at, is_new] = known.try_emplace(m.name, out.names.size());
    if (is_new) {
      out.names.push_back(m.name);
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
  LengthDoubts(const Job& job, const Found& found, const Sides& sides, Messages& messages)
      : job_(job), found_(found), sides_(sides), messages_(messages) {}

  void tell() {
    const LengthsTogether& together = found_.checks.together;
    if (!together.all_tested)
      messages_.notice(
          "lengths not held against one another", job_.checks.lengths_table.table->whole(), "lengths",
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
  std::string words(Length l) const { return length_words(l, job_.site_unit); }
  /// What the others give, as one reads it on site: at the scale of the fit.
  std::string right(const LengthSuspect& s) const {
    const Length value = found_.checks.lengths[s.side].measured - s.error;
    return words(value * found_.placed.fit->site_from_drawing.parts().scale);
  }
  std::string off(const LengthSuspect& s) const {
    return fmt::format("{} too {}", words(abs(s.error)), s.error > Length::metres(0) ? "long" : "short");
  }
  std::string one(const LengthSuspect& s) const {
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
    return fmt::format(
        "{} lengths contradict one another and cannot tell which is wrong: {}, {}. Measure {} again "
        "first: if it is the one, it will read {} (it is {} now); if not, go on in this order",
        w.suspects.size(), span(first.side), fmt::join(others, ", "), span(first.side), right(first),
        off(first));
  }
  void tell(std::size_t side, std::string text) {
    const ReadTable& table = job_.checks.lengths_table;
    messages_.doubt("lengths that contradict one another", table.table->where(table.begins[side], measured),
                    "measured", std::move(text));
  }

  const Job& job_;
  const Found& found_;
  const Sides& sides_;
  Messages& messages_;
};

/// Squareness from the lengths, where no ties give it.
void square_by_lengths(const Job& job, const Sides& sides, Found& found, Messages& messages) {
  const std::vector<std::string_view>& names = sides.names;
  const Length baseline = layout_extent(job);
  if (!(baseline > kHair)) return;
  found.checks.corner = find_corner(sides.sides, found.checks.together, sides.places, baseline, job.square);
  if (!found.checks.corner) return;
  const CornerCheck& corner = *found.checks.corner;
  for (const std::size_t m : corner.marks) found.checks.corner_marks.push_back(names[m]);
  found.placed.square = corner.square;
  SquarenessResult& square = *found.placed.square;
  if (square.contradicted) return;
  put_worst(job.marks.places, square);
  const Where where = job.checks.lengths_table.table->whole();
  if (corner.too_small)
    messages.doubt("a small triangle", where, "lengths",
                   fmt::format("the triangle at {} is too small for baselines of {}: there it is good to {} "
                               "(95 %), more than half of the permitted {}; tape a larger one",
                               found.checks.corner_marks[0], length_words(baseline, job.site_unit),
                               length_words(1.96 * *square.sd_over, job.site_unit),
                               length_words(square.limit.permitted, job.site_unit)));
  if (corner.sides_unequal)
    messages.doubt("unequal sides", where, "lengths",
                   fmt::format("opposite sides of the rectangle at {} differ by more than their sds: equal "
                               "diagonals then do not prove it square",
                               found.checks.corner_marks[0]));
}

/// What the signed file says of the ties that are there today, by name.
std::vector<SignedStated> signed_from(const Job& job) {
  std::vector<SignedStated> out;
  for (const SignedTie& s : job.checks.signed_fit->ties)
    for (std::size_t t = 0; t < job.ties.size(); ++t)
      if (same_name(job.ties[t].name, s.mark))
        out.push_back({t, s.is_x ? TieAxis::x : TieAxis::y, s.found, s.at, s.redundancy, s.residual_sd});
  return out;
}

std::string_view held_word(Hold hold) { return hold == Hold::both ? "both" : hold == Hold::x ? "x" : "y"; }

}  // namespace

void place_signed(const Job& job, std::span<const Tie> ties, Found& found, Messages& messages) {
  const SignedBaselines& s = *job.checks.signed_fit;
  const FittedTransform fit{claim({s.drawing_centre, s.site_centre, s.azimuth_x, s.scale, s.mirrored}),
                            s.covariance};
  found.placed.fit = fit;
  const Where where = Where::whole(job.checks.signed_file);
  if (s.revision != job.revision)
    messages.doubt("another revision was signed", where, "revision",
                   fmt::format("signed for revision {}, the job is revision {}",
                               s.revision.empty() ? "(none)" : s.revision,
                               job.revision.empty() ? "(none)" : job.revision));
  if (s.held != held_word(job.baseline.hold) || s.scale_free != job.baseline.scale_free)
    messages.notice(
        "a signed fit is used", where, "baselines",
        fmt::format("the signed fit holds {} with a {} scale; hold and scale of the job are not used", s.held,
                    s.scale_free ? "free" : "fixed"));
  if (ties.empty()) return;
  if (job.ties_table.table->source()->sha256() != s.ties_sha256)
    messages.notice(
        "other ties than signed", job.ties_table.table->whole(), "file",
        fmt::format("not the {} that was signed: these ties check the signed fit and change nothing",
                    in_quotes(s.ties_file)));
  found.checks.today = check_signed(ties, fit, signed_from(job));
  const SignedCheck& today = *found.checks.today;
  BaselineResult result;
  result.status = FitStatus::solved;
  result.options = job.baseline;
  result.options.hold = s.held == "x" ? Hold::x : s.held == "y" ? Hold::y : Hold::both;
  result.options.scale_free = s.scale_free;
  result.fit = fit;
  result.rows = today.rows;
  result.variance_factor = today.variance_factor;
  result.degrees_of_freedom = today.new_stated;
  found.placed.baseline = std::move(result);
  found.placed.square = squareness(ties, *found.placed.baseline, job.marks.places, job.square);
  if (today.moved)
    messages.doubt(
        "the ties have moved", job.ties_table.table->whole(), "baselines",
        fmt::format("the ties lie shifted or turned against the signed fit by more than chance: {}; "
                    "look at the marks before you use either",
                    signed_shift_words(today, job.site_unit, job.drawing_unit)));
}

void check_lengths(const Job& job, Found& found, Messages& messages) {
  MarkPlaces marks(job, found, messages);
  const BaselineJob& checks = job.checks;
  const LengthOptions options{checks.tape_standard, checks.tie_sd, job.square.setout, job.square.tolerance,
                              found.placed.fit ? found.placed.fit->site_from_drawing.parts().scale : 1};
  std::vector<Mark> ends;
  for (std::size_t i = 0; i < checks.lengths.size(); ++i) {
    const TapedLength& l = checks.lengths[i];
    const auto a = marks.any(l.from, checks.lengths_table, i, from),
               b = marks.any(l.to, checks.lengths_table, i, to);
    if (!a || !b || !marks.differ(l.from, l.to, checks.lengths_table, i)) continue;
    found.checks.lengths.push_back(*check_length(a->place, b->place, l.measured, options));
    ends.push_back(*a);
    ends.push_back(*b);
  }
  for (std::size_t i = 0; i < checks.dimensions.size(); ++i) {
    const PrintedDimension& d = checks.dimensions[i];
    const auto a = marks.drawn(d.from, checks.dimensions_table, i, from),
               b = marks.drawn(d.to, checks.dimensions_table, i, to);
    if (!a || !b || !marks.differ(d.from, d.to, checks.dimensions_table, i)) continue;
    found.checks.dimensions.push_back(
        check_dimension(a->place, b->place, d.distance, checks.dimension_tolerance));
  }
  if (messages.has_problems() || found.checks.lengths.empty()) return;
  const Sides sides = sides_of(ends, found.checks.lengths);
  found.checks.together = hold_together(sides.sides, sides.places);
  LengthDoubts(job, found, sides, messages).tell();
  if (!found.placed.baseline) square_by_lengths(job, sides, found, messages);
}

std::vector<std::string> outside_checks(const Job& job, const Found& found) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < found.checks.lengths.size(); ++i) {
    const LengthCheck& c = found.checks.lengths[i];
    if (c.verdict != Verdict::outside) continue;
    out.push_back(fmt::format("length {} to {} is off by {}, permitted {}", job.checks.lengths[i].from,
                              job.checks.lengths[i].to,
                              length_words_beyond(abs(c.deviation), c.limit.permitted, job.site_unit),
                              length_words(c.limit.permitted, job.site_unit)));
  }
  for (std::size_t i = 0; i < found.checks.dimensions.size(); ++i) {
    const DimensionCheck& c = found.checks.dimensions[i];
    if (c.verdict != Verdict::outside) continue;
    out.push_back(fmt::format("dimension {} to {} is printed {} and keyed {}", job.checks.dimensions[i].from,
                              job.checks.dimensions[i].to, length_words(c.stated, job.drawing_unit),
                              length_words_beyond(c.measured, c.stated, job.drawing_unit)));
  }
  return out;
}

}  // namespace deckmark
