#include "pages/baselines.h"

#include <fmt/format.h>

#include "adjust/statistics.h"

namespace deckmark {

namespace {

/// Half the width of an interval of 95 %, in sds.
double kappa() { return normal_quantile(0.975); }

PermittedBy by_of(LimitSource source) {
  switch (source) {
    case LimitSource::iso_primary:
      return PermittedBy::iso_primary;
    case LimitSource::iso_secondary:
      return PermittedBy::iso_secondary;
    case LimitSource::job_figures:
      return PermittedBy::job_figures;
    case LimitSource::job_tolerance:
    case LimitSource::dimension_tolerance:
      break;
  }
  return PermittedBy::job_tolerance;
}

std::string axis_name(const BaselinesStated& stated, std::size_t tie, TieAxis axis) {
  return fmt::format("{} {}", stated.ties[tie].name, axis == TieAxis::x ? "x" : "y");
}
std::string row_name(const BaselinesStated& stated, const TieRow& r) {
  return axis_name(stated, r.tie, r.axis);
}

PageLine tie_line(const BaselinesStated& stated, const TieRow& r) {
  PageLine line;
  line.what = row_name(stated, r);
  line.stated = r.stated;
  line.found = r.computed;
  line.off = r.residual;
  line.by_job = line.permitted = r.tolerance;
  line.good_to = known_to(r);
  line.verdict = r.verdict;
  line.by = stated.ties[r.tie].own_tolerance ? PermittedBy::own_tolerance
            : stated.square.tolerance        ? PermittedBy::job_tolerance
                                             : PermittedBy::default_tolerance;
  return line;
}

PageLine limited(std::string what, const Limit& limit, Verdict verdict) {
  PageLine line;
  line.what = std::move(what);
  line.by_job = limit.job;
  line.by_setout = limit.iso;
  line.permitted = limit.permitted;
  line.by = by_of(limit.source);
  line.verdict = verdict;
  return line;
}

PageLine square_line(const SquarenessResult& s) {
  PageLine line = limited("square, X to Y", s.limit, s.verdict);
  line.is_square = true;
  line.angle = s.included;
  line.off = s.deviation_over;
  if (s.sd_over) line.good_to = kappa() * *s.sd_over;
  return line;
}

PageLine length_line(const TapedLength& stated, const LengthCheck& c) {
  PageLine line = limited(fmt::format("{} to {}", stated.from, stated.to), c.limit, c.verdict);
  line.stated = c.stated;
  line.found = c.measured;
  line.off = c.deviation;
  line.good_to = kappa() * c.sd;
  return line;
}

PageLine dimension_line(const PrintedDimension& stated, const DimensionCheck& c, bool own_tolerance) {
  PageLine line;
  line.what = fmt::format("{} to {}", stated.from, stated.to);
  line.is_dimension = true;
  line.stated = c.stated;
  line.found = c.measured;
  line.off = c.deviation;
  line.by_job = line.permitted = c.permitted;
  line.verdict = c.verdict;
  line.by = own_tolerance ? PermittedBy::job_dimension : PermittedBy::default_dimension;
  return line;
}

/// Rows of lengths and dimensions, and what the lengths say of one another.
void add_checked(const BaselineJob& stated, const Checked& checked, BaselinePage& page) {
  for (std::size_t i = 0; i < checked.lengths.size(); ++i)
    page.lines.push_back(length_line(stated.lengths[i], checked.lengths[i]));
  for (std::size_t i = 0; i < checked.dimensions.size(); ++i)
    page.lines.push_back(
        dimension_line(stated.dimensions[i], checked.dimensions[i], stated.own_dimension_tolerance));
  page.corner = checked.corner_marks;
  if (!checked.together.wrong.empty()) {
    const TapedLength& first = stated.lengths[checked.together.wrong.front().suspects.front().side];
    page.measure_first = fmt::format("{} to {}", first.from, first.to);
  }
}

/// The mapped point farthest from where the baselines cross.
std::size_t farthest_mark(const MarkTable& marks) {
  std::size_t far = 0;
  double most = -1;
  for (std::size_t i = 0; i < marks.size(); ++i) {
    const double x = marks.places[i].at.x.metres(), y = marks.places[i].at.y.metres();
    if (x * x + y * y <= most) continue;
    most = x * x + y * y;
    far = i;
  }
  return far;
}

/// How good the fit is. `far`: the farthest point, or none.
void add_assurance(const BaselinesStated& stated, const Placed& placed, std::span<const Point<Drawing>> far,
                   BaselinePage& page) {
  const BaselineResult& fit = *placed.baseline;
  page.assurance = assurance(fit, far);
  if (page.assurance->least_seen) page.least_seen = row_name(stated, fit.rows[*page.assurance->least_seen]);
  for (const TieRow& r : fit.rows)
    if (r.verdict == Verdict::unsure) page.unchecked.push_back(row_name(stated, r));
  page.left_over = fit.degrees_of_freedom;
  for (const WrongTie& w : placed.wrong) {
    PageWrong wrong{axis_name(stated, w.tie, w.axis), w.error, {}};
    for (const auto& [tie, axis] : w.alike) wrong.alike.push_back(axis_name(stated, tie, axis));
    page.wrong.push_back(std::move(wrong));
  }
}

/// The fit in use, with its rows where there are ties.
void add_fit(const BaselinesStated& stated, const Placed& placed, BaselinePage& page) {
  const auto& is_signed = stated.checks.signed_fit;
  if (placed.baseline || is_signed) page.fit = &placed.fit;
  if (const auto& fit = placed.baseline) {
    page.hold = fit->options.hold;
    page.scale_free = fit->options.scale_free;
    for (const TieRow& r : fit->rows) page.lines.push_back(tie_line(stated, r));
  }
  if (placed.today) {
    page.today = &*placed.today;
    page.same_ties = placed.today->new_stated == 0;
  } else if (is_signed) {
    page.hold = is_signed->held == "x" ? Hold::x : is_signed->held == "y" ? Hold::y : Hold::both;
    page.scale_free = is_signed->scale_free;
  }
}

WithoutTies without_ties(SitePlace by) {
  return by == SitePlace::as_stated ? WithoutTies::as_stated
         : by == SitePlace::unknown ? WithoutTies::unknown
                                    : WithoutTies::as_drawn;
}

}  // namespace

std::string corner_words(const CornersFound& corners, LengthUnit unit) {
  const std::string words = moves_words(corners.moves, unit);
  if (words.empty()) return corners.instead;
  return (corners.any_outside ? "" : "All is within, but the tape can tell that corners stand off. ") + words;
}

BaselinePage baseline_page(const JobHead& head, const BaselinesStated& stated, SitePlace by,
                           const JobMarks& marks, const Placed* placed, const Checked* checked,
                           const OffsetsFound* offsets) {
  BaselinePage page;
  page.title = head.title;
  page.revision = head.revision;
  page.mirrored = head.mirrored;
  page.without_ties = without_ties(by);
  page.north = head.north;
  page.site_unit = head.site_unit;
  page.drawing_unit = head.drawing_unit;
  if (placed) add_fit(stated, *placed, page);
  page.square = squareness_of(placed, checked);
  if (page.square) page.lines.push_back(square_line(*page.square));
  if (checked) add_checked(stated.checks, *checked, page);
  if (offsets && offsets->strings) {
    if (offsets->strings->alone) page.without_ties = WithoutTies::strings;
    page.moves = corner_words(offsets->corners, page.small_unit());
  }
  const std::size_t far = farthest_mark(*marks);
  const bool any_marks = marks.size() > 0;
  if (any_marks) page.farthest = marks->names[far];
  if (page.square && page.square->worst) page.square_worst = marks->names[*page.square->worst];
  if (const auto& s = stated.checks.signed_fit)
    page.signature = SignedWords{s->by, s->on, s->revision, s->accepted_outside, s->standing};
  if (placed && placed->baseline)
    add_assurance(stated, *placed,
                  any_marks ? std::span(&marks->places[far], 1) : std::span<const Point<Drawing>>(), page);
  return page;
}

}  // namespace deckmark
