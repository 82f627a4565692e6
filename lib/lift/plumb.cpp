#include <algorithm>

#include "lift/lift.h"

namespace deckmark {

namespace {

PlanCovariance<Site> of_sd(Length sd) {
  const double variance = sd.metres() * sd.metres();
  return {variance, 0, variance};
}

// What separates the two marks, on site, and how well it is known.
struct Separation {
  Point<Site> place;  // of the deck mark
  Vec<Site> off;
  Vec<Drawing> off_drawing;
  PlanCovariance<Site> covariance;
  Length fit_sd = Length::metres(0);  // larger semi-axis of what the fit adds to it
};

Separation separate(const DeckMark& mark, const FittedTransform& fit) {
  const Transform<Site, Drawing>& site_from_drawing = fit.site_from_drawing;
  const Point<Site> floor = mark.floor_mark ? *mark.floor_mark : site_from_drawing(mark.design);
  const PlanCovariance<Site> own = of_sd(mark.sd);
  if (const auto* along = std::get_if<Vec<Drawing>>(&mark.found)) {
    const Vec<Site> off = site_from_drawing.turn(*along);
    return {floor + off, off, *along, own, Length::metres(0)};
  }
  const auto* on_site = std::get_if<Point<Site>>(&mark.found);
  const Point<Site> place = on_site ? *on_site : site_from_drawing(*std::get_if<Point<Drawing>>(&mark.found));
  const Vec<Site> off = place - floor;
  if (mark.floor_mark)
    return {place, off, site_from_drawing.inverse().turn(off), own + of_sd(mark.floor_sd.value_or(mark.sd)),
            Length::metres(0)};
  const PlanCovariance<Site> by_fit = mark.design_covariance.value_or(fit.covariance_at(mark.design));
  return {place, off, site_from_drawing.inverse().turn(off), own + by_fit, semi_major(by_fit)};
}

// `fit_decides`: the fit places the design better than the tolerance. Else an offset may be the fit's.
Verdict judge_offset(const PlumbRow& row, Length limit, bool fit_decides) {
  return fit_decides ? judge(row.offset, limit) : judge_guarded(row.offset, limit, row.sd);
}

void judge_slope(PlumbRow& row, double n, bool fit_decides) {
  if (!row.drop) {
    row.slope_not_judged = true;
    return;
  }
  row.by_slope = row.mark_not_above_attach ? Verdict::outside : judge_offset(row, *row.drop / n, fit_decides);
}

}  // namespace

PlumbRow check_plumb(const DeckMark& mark, const PlumbSite& site, const PlumbOptions& options) {
  const Separation s = separate(mark, site.fit);
  PlumbRow row;
  row.place = s.place;
  row.off = s.off_drawing;
  row.offset = norm(s.off);
  row.sd = offset_sd(s.off, s.covariance);
  std::optional<Elevation> elevation = mark.elevation;
  if (!elevation && site.deck != nullptr) elevation = site.deck->elevation_at(s.place);
  if (elevation) {
    row.rise = *elevation - site.floor;
    if (mark.attach_height) row.drop = *row.rise - *mark.attach_height;
  }
  row.mark_not_above_attach = row.drop && *row.drop <= kHair;
  // Half the last place rounds away from zero and so prints.
  const bool prints = row.offset >= site.resolution / 2.0;
  if (prints && row.drop && !row.mark_not_above_attach) row.ratio = *row.drop / row.offset;
  const bool fit_decides = s.fit_sd <= options.tolerance + kHair;
  row.by_tolerance = judge_offset(row, options.tolerance, fit_decides);
  if (options.slope) judge_slope(row, *options.slope, fit_decides);
  row.verdict = row.by_slope ? worse(row.by_tolerance, *row.by_slope) : row.by_tolerance;
  if (mark.is_own && row.verdict != Verdict::outside) row.verdict = Verdict::own;
  return row;
}

}  // namespace deckmark
