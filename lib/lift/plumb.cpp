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
};

Separation separate(const DeckMark& mark, const FittedTransform& fit) {
  const Transform<Site, Drawing>& site_from_drawing = fit.site_from_drawing;
  const Point<Site> floor = mark.floor_mark ? *mark.floor_mark : site_from_drawing(mark.design);
  const PlanCovariance<Site> own = of_sd(mark.sd);
  if (const auto* along = std::get_if<Vec<Drawing>>(&mark.found)) {
    const Vec<Site> off = site_from_drawing.turn(*along);
    return {floor + off, off, *along, own};
  }
  const auto* on_site = std::get_if<Point<Site>>(&mark.found);
  const Point<Site> place = on_site ? *on_site : site_from_drawing(*std::get_if<Point<Drawing>>(&mark.found));
  const Vec<Site> off = place - floor;
  return {place, off, site_from_drawing.inverse().turn(off),
          own + (mark.floor_mark ? own : fit.covariance_at(mark.design))};
}

void judge_slope(PlumbRow& row, double n) {
  if (!row.drop) {
    row.slope_not_judged = true;
    return;
  }
  row.by_slope = row.mark_not_above_attach ? Verdict::outside : judge(row.offset, *row.drop / n);
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
  row.by_tolerance = judge(row.offset, options.tolerance);
  if (options.slope) judge_slope(row, *options.slope);
  row.verdict = row.by_slope ? worse(row.by_tolerance, *row.by_slope) : row.by_tolerance;
  return row;
}

}  // namespace deckmark
