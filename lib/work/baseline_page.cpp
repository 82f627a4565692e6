#include "report/baseline_page.h"

#include <fmt/format.h>

#include <cmath>

#include "adjust/statistics.h"
#include "work/ground.h"
#include "work/stages.h"

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

std::string row_name(const Job& job, const TieRow& r) {
  return fmt::format("{} {}", job.ties[r.tie].name, r.axis == TieAxis::x ? "x" : "y");
}

PageLine tie_line(const Job& job, const TieRow& r) {
  PageLine line;
  line.what = row_name(job, r);
  line.stated = r.stated;
  line.found = r.computed;
  line.off = r.residual;
  line.by_job = line.permitted = r.tolerance;
  line.good_to = known_to(r);
  line.verdict = r.verdict;
  line.by = job.ties[r.tie].own_tolerance ? PermittedBy::own_tolerance
            : job.square.tolerance        ? PermittedBy::job_tolerance
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

void add_checks(const Job& job, const Found& found, std::vector<PageLine>& lines) {
  if (const auto& s = found.placed.square) {
    PageLine line = limited("square, X to Y", s->limit, s->verdict);
    line.is_square = true;
    line.angle = s->included;
    line.off = s->deviation_over;
    if (s->sd_over) line.good_to = kappa() * *s->sd_over;
    lines.push_back(std::move(line));
  }
  for (std::size_t i = 0; i < found.checks.lengths.size(); ++i) {
    const LengthCheck& c = found.checks.lengths[i];
    PageLine line = limited(fmt::format("{} to {}", job.checks.lengths[i].from, job.checks.lengths[i].to),
                            c.limit, c.verdict);
    line.stated = c.stated;
    line.found = c.measured;
    line.off = c.deviation;
    line.good_to = kappa() * c.sd;
    lines.push_back(std::move(line));
  }
  for (std::size_t i = 0; i < found.checks.dimensions.size(); ++i) {
    const DimensionCheck& c = found.checks.dimensions[i];
    PageLine line;
    line.what = fmt::format("{} to {}", job.checks.dimensions[i].from, job.checks.dimensions[i].to);
    line.is_dimension = true;
    line.stated = c.stated;
    line.found = c.measured;
    line.off = c.deviation;
    line.by_job = line.permitted = c.permitted;
    line.verdict = c.verdict;
    line.by =
        job.checks.own_dimension_tolerance ? PermittedBy::job_dimension : PermittedBy::default_dimension;
    lines.push_back(std::move(line));
  }
}

/// The mapped point farthest from where the baselines cross.
std::size_t farthest_mark(const Job& job) {
  std::size_t far = 0;
  double most = -1;
  for (std::size_t i = 0; i < job.marks.size(); ++i) {
    const double x = job.marks.places[i].at.x.metres(), y = job.marks.places[i].at.y.metres();
    if (x * x + y * y <= most) continue;
    most = x * x + y * y;
    far = i;
  }
  return far;
}

void add_assurance(const Job& job, const Found& found, std::size_t far, BaselinePage& page) {
  const BaselineResult& fit = *found.placed.baseline;
  const Point<Drawing> place = job.marks.places[far];
  page.assurance = assurance(fit, {&place, 1});
  if (page.assurance->least_seen) page.least_seen = row_name(job, fit.rows[*page.assurance->least_seen]);
  for (const TieRow& r : fit.rows)
    if (r.verdict == Verdict::unsure) page.unchecked.push_back(row_name(job, r));
  page.left_over = fit.degrees_of_freedom;
  for (const WrongTie& w : found.checks.wrong) {
    const auto named = [&](std::size_t tie, TieAxis axis) {
      return fmt::format("{} {}", job.ties[tie].name, axis == TieAxis::x ? "x" : "y");
    };
    PageWrong wrong{named(w.tie, w.axis), w.error, {}};
    for (const auto& [tie, axis] : w.alike) wrong.alike.push_back(named(tie, axis));
    page.wrong.push_back(std::move(wrong));
  }
}

}  // namespace

BaselinePage baseline_page(const Job& job, const Found& found) {
  BaselinePage page;
  page.title = job.title;
  page.revision = job.revision;
  page.mirrored = job.mirrored;
  const SitePlace place = site_place(job);
  page.without_ties = place == SitePlace::as_stated ? WithoutTies::as_stated
                      : place == SitePlace::unknown ? WithoutTies::unknown
                                                    : WithoutTies::as_drawn;
  page.north = north_word(job);
  page.site_unit = job.site_unit;
  page.drawing_unit = job.drawing_unit;
  if (found.placed.baseline || job.checks.signed_fit) page.fit = &*found.placed.fit;
  if (const auto& fit = found.placed.baseline) {
    page.hold = fit->options.hold;
    page.scale_free = fit->options.scale_free;
    for (const TieRow& r : fit->rows) page.lines.push_back(tie_line(job, r));
  }
  add_checks(job, found, page.lines);
  if (found.placed.square) page.square = &*found.placed.square;
  for (const std::string_view name : found.checks.corner_marks) page.corner.emplace_back(name);
  if (!found.checks.together.wrong.empty()) {
    const TapedLength& first = job.checks.lengths[found.checks.together.wrong.front().suspects.front().side];
    page.measure_first = fmt::format("{} to {}", first.from, first.to);
  }
  const std::size_t far = farthest_mark(job);
  page.farthest = job.marks.names[far];
  if (page.square && page.square->worst) page.square_worst = job.marks.names[*page.square->worst];
  if (const auto& s = job.checks.signed_fit)
    page.signature = SignedWords{s->by, s->on, s->revision, s->accepted_outside, s->standing};
  if (found.checks.today) {
    page.today = &*found.checks.today;
    page.same_ties = found.checks.today->new_stated == 0;
  } else if (const auto& s = job.checks.signed_fit) {
    page.hold = s->held == "x" ? Hold::x : s->held == "y" ? Hold::y : Hold::both;
    page.scale_free = s->scale_free;
  }
  if (found.placed.baseline) add_assurance(job, found, far, page);
  return page;
}

}  // namespace deckmark
