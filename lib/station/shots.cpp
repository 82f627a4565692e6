#include <algorithm>
#include <cmath>
#include <numbers>

#include "adjust/solve.h"
#include "station/setup.h"

namespace deckmark {

namespace {

constexpr double kClose = 0.010;  // m, added to three sds

double radians_of(CircleReading c, Angle orientation) {
  return (c.degrees() + orientation.degrees()) * std::numbers::pi / 180;
}

double along_sd(const Sight& s, Length horizontal, const InstrumentOptions& instrument) {
  return std::hypot(distance_sd_at(horizontal, s.distance_sd, instrument.distance_ppm).metres(),
                    s.target_sd.metres());
}
double across_sd(const Sight& s, Length horizontal) {
  return std::hypot(horizontal.metres() * s.circle_sd.radians(), s.target_sd.metres());
}

double rise_variance(const Sight& s, const InstrumentOptions& instrument) {
  const double read = rise_sd(s, instrument.distance_ppm).metres(), height = instrument.height_sd.metres();
  return read * read + height * height;
}

}  // namespace

PlanCovariance<Site> point_covariance(const SetupResult& setup, Azimuth azimuth, Length horizontal,
                                      Length along, Length across) {
  const double s = azimuth.sine(), c = azimuth.cosine(), d = horizontal.metres();
  // dN = (1, 0, -D sin A), dE = (0, 1, D cos A) on northing, easting, orientation.
  const double n[3] = {1, 0, -d * s}, e[3] = {0, 1, d * c};
  PlanCovariance<Site> out;
  for (std::size_t i = 0; i < 3; ++i)
    for (std::size_t j = 0; j < 3; ++j) {
      const double q = setup.covariance[i][j];
      out.first += n[i] * q * n[j], out.cross += n[i] * q * e[j], out.second += e[i] * q * e[j];
    }
  const double al = along.metres() * along.metres(), ac = across.metres() * across.metres();
  out.first += c * c * al + s * s * ac;
  out.cross += s * c * (al - ac);
  out.second += s * s * al + c * c * ac;
  return out;
}

std::optional<SideShot> side_shot(const SetupResult& setup, const Sight& sight, std::size_t index,
                                  const InstrumentOptions& instrument) {
  if (!setup.orientation || !sight.circle || !sight.horizontal || setup.status != SetupStatus::solved)
    return std::nullopt;
  const Azimuth azimuth = *sight.circle + *setup.orientation;
  const Length hd = *sight.horizontal;
  SideShot out{index,
               setup.at + Vec<Site>{{.northing = hd * azimuth.cosine(), .easting = hd * azimuth.sine()}},
               point_covariance(setup, azimuth, hd, Length::metres(along_sd(sight, hd, instrument)),
                                Length::metres(across_sd(sight, hd))),
               std::nullopt, std::nullopt};
  if (!setup.axis() || !sight.rise) return out;
  out.elevation = *setup.axis() + *sight.rise - sight.target_height;
  // The axis carries the instrument's height already; the target's comes with the sight.
  out.elevation_sd =
      Length::metres(std::hypot(setup.sd_axis().metres(), std::sqrt(rise_variance(sight, instrument))));
  return out;
}

std::optional<SideShot> intersect(const SetupResult& first, const Sight& from_first, std::size_t index,
                                  const SetupResult& second, const Sight& from_second) {
  if (!first.orientation || !second.orientation || !from_first.circle || !from_second.circle)
    return std::nullopt;
  const Azimuth a = *from_first.circle + *first.orientation, b = *from_second.circle + *second.orientation;
  const Vec<Site> base = second.at - first.at;
  const double n = base.by.northing.metres(), e = base.by.easting.metres();
  const double cut = a.cosine() * b.sine() - a.sine() * b.cosine();  // sine of the angle at which they meet
  if (std::fabs(cut) < std::sin(std::numbers::pi / 180)) return std::nullopt;
  const double da = (n * b.sine() - e * b.cosine()) / cut, db = (n * a.sine() - e * a.cosine()) / cut;
  if (da <= 0 || db <= 0) return std::nullopt;
  SideShot out{index,
               first.at + Vec<Site>{{.northing = Length::metres(da * a.cosine()),
                                     .easting = Length::metres(da * a.sine())}},
               {},
               std::nullopt,
               std::nullopt};
  // Each direction fixes the point across itself: its variance there is that of a shot with no distance
  // error, and the two together give the point by the inverse of the sum of both pieces of information.
  double nn = 0, ne = 0, ee = 0;
  for (const bool is_first : {true, false}) {
    const SetupResult& setup = is_first ? first : second;
    const Azimuth azimuth = is_first ? a : b;
    const Length away = Length::metres(is_first ? da : db);
    const PlanCovariance<Site> c =
        point_covariance(setup, azimuth, away, Length::metres(0),
                         Length::metres(across_sd(is_first ? from_first : from_second, away)));
    const double s = azimuth.sine(), k = azimuth.cosine();
    const double variance = std::max(s * s * c.first - 2 * s * k * c.cross + k * k * c.second, 1e-18);
    nn += s * s / variance, ne -= s * k / variance, ee += k * k / variance;
  }
  const double determinant = nn * ee - ne * ne;
  out.covariance = {ee / determinant, -ne / determinant, nn / determinant};
  return out;
}

Length miss_of(const SetupResult& setup, const Sight& sight, const Point<Site>& point) {
  const Vec<Site> to = point - setup.at;
  const double dn = to.by.northing.metres(), de = to.by.easting.metres(), hd = std::hypot(dn, de);
  if (!setup.orientation || !sight.circle) return abs(*sight.horizontal - Length::metres(hd));
  const double turn = std::remainder(radians_of(*sight.circle, *setup.orientation) - std::atan2(de, dn),
                                     2 * std::numbers::pi);
  if (!sight.horizontal) return Length::metres(std::fabs(turn) * hd);
  const double measured = sight.horizontal->metres();
  return Length::metres(
      std::sqrt(std::max(measured * measured + hd * hd - 2 * measured * hd * std::cos(turn), 0.0)));
}

std::vector<SightRow> check_sight(const SetupResult& setup, const Sight& sight, std::size_t index,
                                  const ControlMark& point, Length tolerance,
                                  const InstrumentOptions& instrument) {
  std::vector<SightRow> out;
  const bool has_circle = setup.orientation && sight.circle;
  if (setup.status != SetupStatus::solved || (!has_circle && !sight.horizontal)) return out;
  const Vec<Site> to = point.at - setup.at;
  const double dn = to.by.northing.metres(), de = to.by.easting.metres(),
               hd = std::max(std::hypot(dn, de), 1e-6);
  const auto row = [&](Quantity quantity, double residual, double variance) {
    SightRow r;
    r.sight = index;
    r.quantity = quantity;
    r.reach = Length::metres(hd);
    r.sd = std::sqrt(variance);
    r.redundancy = 1;
    if (variance > 0) r.standardised = residual / r.sd;
    return r;
  };
  const double point_sd = point.sd ? point.sd->metres() : 0.0;
  const double a = std::atan2(de, dn), s = std::sin(a), c = std::cos(a);
  const auto& q = setup.covariance;
  // Gradients of the computed azimuth less orientation, and of the computed distance, on northing, easting,
  // orientation.
  const double gc[3] = {de / (hd * hd), -dn / (hd * hd), -1}, gd[3] = {-c, -s, 0};
  double vc = 0, vd = 0;
  for (std::size_t i = 0; i < 3; ++i)
    for (std::size_t j = 0; j < 3; ++j) vc += gc[i] * q[i][j] * gc[j], vd += gd[i] * q[i][j] * gd[j];
  if (has_circle) {
    const double turn =
        std::remainder(radians_of(*sight.circle, *setup.orientation) - a, 2 * std::numbers::pi);
    const double across = std::hypot(across_sd(sight, Length::metres(hd)), point_sd) / hd;
    SightRow circle = row(Quantity::circle, turn, vc + across * across);
    circle.circle = Angle::degrees(sight.circle->degrees());
    circle.circle_residual = Angle::radians(turn);
    out.push_back(circle);
  }
  if (sight.horizontal) {
    const double measured = sight.horizontal->metres(), residual = measured - hd;
    const double along = std::hypot(along_sd(sight, *sight.horizontal, instrument), point_sd);
    SightRow d = row(Quantity::distance, residual, vd + along * along);
    d.length = *sight.horizontal;
    d.length_residual = Length::metres(residual);
    out.push_back(d);
  }
  for (SightRow& r : out) r.verdict = judge(miss_of(setup, sight, point.at), tolerance);
  if (!setup.axis() || !sight.rise || !point.elevation) return out;
  const Length observed = *sight.rise + setup.instrument_height - sight.target_height;
  const Length residual = *setup.axis() + *sight.rise - sight.target_height - *point.elevation;
  const double own = setup.sd_axis().metres();
  SightRow h = row(Quantity::height, residual.metres(),
                   own * own + point_sd * point_sd + rise_variance(sight, instrument));
  h.length = observed;
  h.length_residual = residual;
  h.verdict = out.front().verdict;
  out.push_back(h);
  return out;
}

std::optional<std::size_t> control_at(const SideShot& shot, std::span<const ControlMark> control) {
  std::optional<std::size_t> best;
  Length nearest = Length::metres(0);
  for (std::size_t i = 0; i < control.size(); ++i) {
    const Length away = distance(shot.at, control[i].at);
    const double own = control[i].sd ? control[i].sd->metres() : 0.0;
    const double limit = kClose + 3 * std::hypot(semi_major(shot.covariance).metres(), own);
    if (away.metres() > limit || (best && away >= nearest)) continue;
    best = i;
    nearest = away;
  }
  return best;
}

}  // namespace deckmark
