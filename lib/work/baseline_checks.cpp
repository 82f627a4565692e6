#include <fmt/format.h>

#include <algorithm>

#include "report/words.h"
#include "work/stages.h"

namespace deckmark {

namespace {

enum End : std::size_t { from, to };  // columns of lengths and of dimensions

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
    return unknown(name, "a mark of the ties table, or a drawing point",
                   nearest_word(name, known).value_or(""), table, row, end);
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

/// Squareness from the lengths, where no ties give it.
void square_by_lengths(const Job& job, std::span<const Mark> ends, Found& found, Messages& messages) {
  std::vector<Point<Drawing>> places;
  std::vector<std::string_view> names;
  const auto index_of = [&](const Mark& m) {
    const auto at = std::find(names.begin(), names.end(), m.name);
    if (at != names.end()) return static_cast<std::size_t>(at - names.begin());
    names.push_back(m.name);
    places.push_back(m.place);
    return names.size() - 1;
  };
  std::vector<MeasuredSide> sides;
  for (std::size_t i = 0; i < found.checks.lengths.size(); ++i) {
    const LengthCheck& c = found.checks.lengths[i];
    sides.push_back({index_of(ends[2 * i]), index_of(ends[2 * i + 1]), {c.measured, c.sd}});
  }
  const Length baseline = layout_extent(job);
  if (!(baseline > kHair)) return;
  found.checks.corner = find_corner(sides, places, baseline, job.square);
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
  found.checks.today = check_signed(ties, fit);
  const SignedCheck& today = *found.checks.today;
  BaselineResult result;
  result.status = FitStatus::solved;
  result.options = job.baseline;
  result.options.hold = s.held == "x" ? Hold::x : s.held == "y" ? Hold::y : Hold::both;
  result.options.scale_free = s.scale_free;
  result.fit = fit;
  result.rows = today.rows;
  result.variance_factor = today.variance_factor;
  result.degrees_of_freedom = today.rows.size();
  found.placed.baseline = std::move(result);
  found.placed.square = squareness(ties, *found.placed.baseline, job.marks.places, job.square);
  if (today.moved)
    messages.doubt("the ties have moved", job.ties_table.table->whole(), "baselines",
                   "the ties lie shifted or turned against the signed fit by more than chance: look at the "
                   "marks before you use either");
}

void check_lengths(const Job& job, Found& found, Messages& messages) {
  MarkPlaces marks(job, found, messages);
  const BaselineJob& checks = job.checks;
  const LengthOptions options{checks.tape_standard, checks.tie_sd, job.square.setout, job.square.tolerance,
                              found.placed.fit->site_from_drawing.parts().scale};
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
  if (!messages.has_problems() && !found.placed.baseline && !found.checks.lengths.empty())
    square_by_lengths(job, ends, found, messages);
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
