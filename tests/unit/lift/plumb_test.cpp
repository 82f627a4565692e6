#include <doctest/doctest.h>

#include "lift_support.h"

using namespace lift_test;

namespace {

FittedTransform fit_at(double azimuth, bool mirrored = false, double scale = 1) {
  return {claim({.drawing_centre = xy(0, 0),
                 .site_centre = at(500, 1000),
                 .azimuth_x = Azimuth::degrees(azimuth),
                 .scale = scale,
                 .mirrored = mirrored}),
          {}};
}

// A floor mark measured at its design place and a deck mark found `dx`, `dy` (lengths on site) from it by
// hand: azimuth A of +X, +Y 90 degrees counter-clockwise of it (clockwise for a mirrored drawing).
Point<Site> off_by_hand(const Point<Site>& from, double azimuth, bool mirrored, double dx, double dy) {
  const double a = azimuth * 3.14159265358979323846 / 180;
  const double y = mirrored ? -dy : dy;
  return from + Vec<Site>{{.northing = m(dx * std::cos(a) + y * std::sin(a)),
                           .easting = m(dx * std::sin(a) - y * std::cos(a))}};
}

DeckMark mark_at(std::variant<Point<Site>, Point<Drawing>, Vec<Drawing>> found) {
  return {.design = xy(3, 4),
          .attach_height = std::nullopt,
          .found = found,
          .elevation = std::nullopt,
          .sd = mm(2),
          .floor_mark = std::nullopt};
}

}  // namespace

TEST_CASE("offset in the drawing's axes, whichever way the mark is given") {
  for (const bool mirrored : {false, true})
    for (const double scale : {1.0, 1.0003})
      for (const double azimuth : {0.0, 37.5, 90.0, 181.25, 300.0}) {
        CAPTURE(mirrored);
        CAPTURE(scale);
        CAPTURE(azimuth);
        const FittedTransform fit = fit_at(azimuth, mirrored, scale);
        const PlumbSite site{.fit = fit, .floor = Elevation::metres(12)};
        const Point<Site> floor = fit.site_from_drawing(xy(3, 4));
        const Point<Site> found = off_by_hand(floor, azimuth, mirrored, 0.003, -0.004);
        std::vector<DeckMark> marks{mark_at(found), mark_at(Vec<Drawing>{{.x = m(0.003), .y = m(-0.004)}})};
        marks.push_back(mark_at(found));
        marks.back().floor_mark = floor;
        marks.push_back(mark_at(xy(3 + 0.003 / scale, 4 - 0.004 / scale)));
        for (const DeckMark& mark : marks) {
          const PlumbRow row = check_plumb(mark, site, {});
          CHECK(row.off.by.x.metres() == doctest::Approx(0.003).epsilon(1e-9));
          CHECK(row.off.by.y.metres() == doctest::Approx(-0.004).epsilon(1e-9));
          CHECK(row.offset.metres() == doctest::Approx(0.005).epsilon(1e-9));
          CHECK(distance(row.place, found).metres() < 1e-9);
          CHECK(row.verdict == Verdict::within);
        }
      }
}

TEST_CASE("a measured floor mark takes the design's place") {
  const FittedTransform fit = fit_at(0);
  DeckMark mark = mark_at(at(503.010, 996));
  CHECK(check_plumb(mark, {.fit = fit, .floor = Elevation::metres(0)}, {}).offset.metres() ==
        doctest::Approx(0.010).epsilon(1e-9));
  mark.floor_mark = at(503.008, 996);
  CHECK(check_plumb(mark, {.fit = fit, .floor = Elevation::metres(0)}, {}).offset.metres() ==
        doctest::Approx(0.002).epsilon(1e-9));
  // dx, dy count from the floor mark wherever it was found; the place follows it
  mark.found = Vec<Drawing>{{.x = m(0.002), .y = m(0)}};
  const PlumbRow row = check_plumb(mark, {.fit = fit, .floor = Elevation::metres(0)}, {});
  CHECK(row.offset.metres() == doctest::Approx(0.002).epsilon(1e-12));
  CHECK(row.place.at.northing.metres() == doctest::Approx(503.010).epsilon(1e-12));
}

TEST_CASE("rise, drop and ratio are those at the deck mark") {
  const FittedTransform fit = fit_at(0);
  const std::vector<DeckShot> shots{shot(500, 990, 16), shot(510, 990, 16.2), shot(500, 1000, 16),
                                    shot(510, 1000, 16.2)};
  const DeckResult deck = fit_deck(shots);
  const PlumbSite site{.fit = fit, .floor = Elevation::metres(12), .deck = &*deck.deck};
  DeckMark mark = mark_at(at(503.5, 996));  // 0.5 m up the slope from the design
  mark.attach_height = m(3);
  PlumbRow row = check_plumb(mark, site, {.tolerance = m(1)});
  CHECK(row.rise->metres() == doctest::Approx(4 + 0.07).epsilon(1e-9));
  CHECK(row.drop->metres() == doctest::Approx(1.07).epsilon(1e-9));
  CHECK(*row.ratio == doctest::Approx(1.07 / 0.5).epsilon(1e-9));
  mark.elevation = Elevation::metres(16.5);  // its own elevation wins
  row = check_plumb(mark, site, {.tolerance = m(1)});
  CHECK(row.rise->metres() == doctest::Approx(4.5).epsilon(1e-9));
  CHECK(row.drop->metres() == doctest::Approx(1.5).epsilon(1e-9));
  mark.attach_height = std::nullopt;
  row = check_plumb(mark, site, {.tolerance = m(1), .slope = 6});
  CHECK(row.rise);
  CHECK_FALSE(row.drop);
  CHECK_FALSE(row.ratio);
  CHECK(row.slope_not_judged);
  CHECK_FALSE(row.by_slope);
  CHECK(row.verdict == Verdict::within);
  mark.elevation = std::nullopt;
  row = check_plumb(mark, {.fit = fit, .floor = Elevation::metres(12)}, {});
  CHECK_FALSE(row.rise);
  CHECK_FALSE(row.slope_not_judged);  // no slope was asked for
}

TEST_CASE("a wire 100 mm out over a 0.5 m drop is outside at 1:6 even where the deck is 6 m up") {
  const FittedTransform fit = fit_at(37);
  const Deck deck = Deck::level(Elevation::metres(18));
  DeckMark mark = mark_at(Vec<Drawing>{{.x = m(0.06), .y = m(-0.08)}});
  mark.attach_height = m(5.5);
  const PlumbRow row = check_plumb(mark, {.fit = fit, .floor = Elevation::metres(12), .deck = &deck},
                                   {.tolerance = m(0.2), .slope = 6});
  CHECK(row.rise->metres() == doctest::Approx(6));
  CHECK(row.drop->metres() == doctest::Approx(0.5));
  CHECK(*row.ratio == doctest::Approx(5));
  CHECK(row.by_tolerance == Verdict::within);
  CHECK(row.by_slope == Verdict::outside);
  CHECK(row.verdict == Verdict::outside);
}

TEST_CASE("exactly at either limit is within, and both must hold") {
  const FittedTransform fit = fit_at(0);
  const Deck deck = Deck::level(Elevation::metres(15));
  struct Row {
    double offset, attach, tolerance, slope;  // m, m, m, n
    Verdict tolerance_verdict, slope_verdict;
  };
  for (const Row& r : {Row{0.006, 2.964, 0.006, 6, Verdict::within, Verdict::within},
                       Row{0.006, 2.964, 0.006, 6.001, Verdict::within, Verdict::outside},
                       Row{0.0061, 0.1, 0.006, 6, Verdict::outside, Verdict::within},
                       Row{0.5, 0, 0.5, 6, Verdict::within, Verdict::within},
                       Row{0.5001, 0, 0.6, 6, Verdict::within, Verdict::outside},
                       Row{0, 2.9, 0, 6, Verdict::within, Verdict::within}}) {
    CAPTURE(r.offset);
    CAPTURE(r.slope);
    DeckMark mark = mark_at(Vec<Drawing>{{.x = m(r.offset), .y = m(0)}});
    mark.attach_height = m(r.attach);
    const PlumbRow row = check_plumb(mark, {.fit = fit, .floor = Elevation::metres(12), .deck = &deck},
                                     {.tolerance = m(r.tolerance), .slope = r.slope});
    CHECK(row.by_tolerance == r.tolerance_verdict);
    CHECK(row.by_slope == r.slope_verdict);
    CHECK(row.verdict == worse(r.tolerance_verdict, r.slope_verdict));
  }
}

TEST_CASE("an offset that prints as zero has no ratio") {
  const FittedTransform fit = fit_at(0);
  const Deck deck = Deck::level(Elevation::metres(15));
  const PlumbSite site{.fit = fit, .floor = Elevation::metres(12), .deck = &deck, .resolution = mm(0.01)};
  for (const double micrometres : {0.0, 4.9, 5.1}) {
    CAPTURE(micrometres);
    DeckMark mark = mark_at(Vec<Drawing>{{.x = mm(micrometres / 1000), .y = mm(0)}});
    mark.attach_height = m(2);
    CHECK(check_plumb(mark, site, {}).ratio.has_value() == (micrometres > 5));
  }
}

TEST_CASE("a mark that is not above its bracket is never within a slope") {
  const FittedTransform fit = fit_at(0);
  for (const double elevation : {14.0, 13.9}) {
    DeckMark mark = mark_at(Vec<Drawing>{{.x = m(0), .y = m(0)}});
    mark.attach_height = m(2);
    mark.elevation = Elevation::metres(elevation);
    const PlumbRow row = check_plumb(mark, {.fit = fit, .floor = Elevation::metres(12)}, {.slope = 6});
    CHECK(row.mark_not_above_attach);
    CHECK_FALSE(row.ratio);
    CHECK(row.verdict == Verdict::outside);
  }
}

TEST_CASE("sd of the offset: what it is made of") {
  // The fit leaves 3 mm along easting and 1 mm along northing in the origin, and nothing else.
  FittedTransform fit = fit_at(0);
  fit.covariance[0][0] = 9e-6;
  fit.covariance[1][1] = 1e-6;
  const PlumbSite site{.fit = fit, .floor = Elevation::metres(12)};
  // 20 mm off along northing (+X) and along easting (-Y): the design floor mark brings the fit's share
  CHECK(check_plumb(mark_at(at(503.02, 996)), site, {}).sd.millimetres() ==
        doctest::Approx(std::sqrt(4.0 + 1)).epsilon(1e-9));
  CHECK(check_plumb(mark_at(at(503, 996.02)), site, {}).sd.millimetres() ==
        doctest::Approx(std::sqrt(4.0 + 9)).epsilon(1e-9));
  CHECK(check_plumb(mark_at(at(503.02, 996.02)), site, {}).sd.millimetres() ==
        doctest::Approx(std::sqrt(4 + 5.0)).epsilon(1e-9));
  CHECK(check_plumb(mark_at(xy(3.02, 4)), site, {}).sd.millimetres() ==
        doctest::Approx(std::sqrt(4.0 + 1)).epsilon(1e-9));
  // an offset under the larger semi-axis takes that axis, whatever its direction
  CHECK(check_plumb(mark_at(at(503.001, 996)), site, {}).sd.millimetres() ==
        doctest::Approx(std::sqrt(13.0)).epsilon(1e-9));
  // a floor mark as measured brings its own sd and nothing of the fit
  DeckMark measured = mark_at(at(503.02, 996));
  measured.floor_mark = at(503, 996);
  CHECK(check_plumb(measured, site, {}).sd.millimetres() == doctest::Approx(std::sqrt(8.0)).epsilon(1e-9));
  // measured from the floor mark itself: the stated sd is that of the offset
  CHECK(check_plumb(mark_at(Vec<Drawing>{{.x = m(0.02), .y = m(0)}}), site, {}).sd.millimetres() ==
        doctest::Approx(2).epsilon(1e-9));
  measured.found = Vec<Drawing>{{.x = m(0.02), .y = m(0)}};
  CHECK(check_plumb(measured, site, {}).sd.millimetres() == doctest::Approx(2).epsilon(1e-9));
}

TEST_CASE("a design that the fit places worse than the tolerance decides only what two sds leave beyond it") {
  struct Row {
    double fit_sd, offset;  // mm
    Verdict want;
  };
  // Tolerance 6 mm, the mark's own sd 2 mm: with a fit of 8 mm an sd of 8.246 mm, so beyond 22.49 mm outside.
  for (const Row& r :
       {Row{5.9, 13, Verdict::outside}, Row{8, 13, Verdict::unsure}, Row{8, 1, Verdict::unsure},
        Row{8, 22.4, Verdict::unsure}, Row{8, 22.6, Verdict::outside}, Row{1000, 13, Verdict::unsure}}) {
    CAPTURE(r.fit_sd);
    CAPTURE(r.offset);
    FittedTransform fit = fit_at(0);
    fit.covariance[0][0] = fit.covariance[1][1] = r.fit_sd * r.fit_sd * 1e-6;
    const PlumbSite site{.fit = fit, .floor = Elevation::metres(12)};
    const Point<Site> floor = fit.site_from_drawing(xy(3, 4));
    DeckMark mark = mark_at(floor + Vec<Site>{{.northing = mm(r.offset), .easting = m(0)}});
    CHECK(check_plumb(mark, site, {}).verdict == r.want);
    // Measured from its floor mark, or on a line whose floor mark was measured, the fit has no say.
    mark.floor_mark = floor;
    CHECK(check_plumb(mark, site, {}).verdict == (r.offset > 6 ? Verdict::outside : Verdict::within));
    mark.floor_mark.reset();
    mark.found = Vec<Drawing>{{.x = mm(r.offset), .y = m(0)}};
    CHECK(check_plumb(mark, site, {}).verdict == (r.offset > 6 ? Verdict::outside : Verdict::within));
  }
}
