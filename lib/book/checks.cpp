#include "book/checks.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "adjust/statistics.h"

namespace deckmark {

namespace {

constexpr double kWithin = 0.999;

double squared(double v) { return v * v; }

/// v' C^-1 w of two differences along and across.
double product(const SightCovariance& c, double along, double across, double along2, double across2) {
  const double determinant = c.along * c.across - c.cross * c.cross;
  return (c.across * along * along2 - c.cross * (along * across2 + across * along2) +
          c.along * across * across2) /
         determinant;
}

void judge(CheckResult& out) {
  const double along = out.along.metres(), across = out.across.metres();
  out.misfit = product(out.covariance, along, across, along, across);
  out.verdict = out.misfit > kCheckRegion ? Verdict::outside : Verdict::within;
  // A turn shifts the target across the sight alone; a move is seen worst along the longer axis.
  const double across_weight = product(out.covariance, 0, 1, 0, 1);
  out.missed.turn = Angle::radians(kSeenShift / std::sqrt(across_weight) / out.horizontal.metres());
  out.missed.move = kSeenShift * semi_major(PlanCovariance<Site>{out.covariance.along, out.covariance.cross,
                                                                 out.covariance.across});
}

void set_up(CheckResult& out, const std::optional<Elevation>& read, const std::optional<Elevation>& known,
            double variance) {
  if (!read || !known) return;
  out.up = *read - *known;
  out.up_sd = Length::metres(std::sqrt(variance));
}

/// Of one pointing in one face.
double across_variance(Length horizontal, const InstrumentOptions& instrument) {
  return 2 * squared(instrument.angle_sd->radians() * horizontal.metres());
}

/// One off by more than a thousandth by chance.
bool is_off(const CheckResult& c) { return c.verdict == Verdict::outside; }
bool is_off_in_height(const CheckResult& c) {
  return c.up && squared(c.up->metres() / c.up_sd->metres()) > chi_squared_quantile(kWithin, 1);
}

double limit(std::size_t checks, std::size_t unknowns) {
  const std::size_t all = 2 * checks;
  return all <= unknowns ? 1e-9 : chi_squared_quantile(kWithin, static_cast<double>(all - unknowns));
}

/// The circle reads too large by one angle.
CheckCause turned_by(std::span<const CheckResult> checks) {
  double weight = 0, sum = 0, all = 0;
  for (const CheckResult& c : checks) {
    const double reach = c.horizontal.metres();
    weight += product(c.covariance, 0, reach, 0, reach);
    sum += product(c.covariance, 0, reach, c.along.metres(), c.across.metres());
    all += c.misfit;
  }
  CheckCause out;
  out.kind = CheckCause::Kind::turned;
  out.turn = Angle::radians(sum / weight);
  out.left = std::max(all - sum * sum / weight, 0.0);
  return out;
}

Vec<Site> shift_of(const CheckResult& c) {
  const double s = c.sight.sine(), k = c.sight.cosine();
  return {{.northing = k * c.along - s * c.across, .easting = s * c.along + k * c.across}};
}

/// The instrument stands elsewhere and turned to the same zero: every target is seen displaced by the same.
CheckCause moved_by(std::span<const CheckResult> checks) {
  double nn = 0, ne = 0, ee = 0, n = 0, e = 0, all = 0;
  for (const CheckResult& c : checks) {
    const double s = c.sight.sine(), k = c.sight.cosine(), al = c.along.metres(), ac = c.across.metres();
    // A step north is k along and -s across, one east s along and k across.
    nn += product(c.covariance, k, -s, k, -s);
    ne += product(c.covariance, k, -s, s, k);
    ee += product(c.covariance, s, k, s, k);
    n += product(c.covariance, k, -s, al, ac);
    e += product(c.covariance, s, k, al, ac);
    all += c.misfit;
  }
  const double determinant = nn * ee - ne * ne, north = (ee * n - ne * e) / determinant,
               east = (nn * e - ne * n) / determinant;
  CheckCause out;
  out.kind = CheckCause::Kind::moved;
  out.shift = Vec<Site>{{.northing = Length::metres(-north), .easting = Length::metres(-east)}};
  out.left = std::max(all - north * n - east * e, 0.0);
  return out;
}

}  // namespace

CheckResult check_against(const FirstReading& first, const ReadPlace& read, Angle orientation,
                          const InstrumentOptions& instrument) {
  CheckResult out;
  out.by_first = true;
  out.horizontal = first.horizontal;
  out.sight = first.circle + orientation;
  out.along = read.horizontal - first.horizontal;
  out.across = (read.circle - first.circle).radians() * first.horizontal;
  out.covariance.along = 2 * squared(instrument.distance_sd->metres());
  out.covariance.across = 2 * across_variance(first.horizontal, instrument);
  judge(out);
  set_up(out, read.elevation, first.elevation, out.covariance.across + out.covariance.along / 100);
  return out;
}

CheckResult check_against(const ControlMark& target, const ReadPlace& read, const SetupResult& setup,
                          const InstrumentOptions& instrument) {
  CheckResult out;
  const Vec<Site> way = target.at - setup.at;
  out.horizontal = norm(way);
  out.sight = azimuth_of(way);
  out.along = read.horizontal - out.horizontal;
  out.across = ((read.circle + *setup.orientation) - out.sight).radians() * out.horizontal;
  const double target_sd = instrument.target_sd.metres(), own = target.sd ? target.sd->metres() : 0.0;
  const double distance =
      distance_sd_at(out.horizontal, *instrument.distance_sd, instrument.distance_ppm).metres();
  PlanCovariance<Site> c = point_covariance(
      setup, out.sight, out.horizontal, Length::metres(std::hypot(distance, target_sd)),
      Length::metres(std::sqrt(across_variance(out.horizontal, instrument) + squared(target_sd))));
  c.first += own * own;
  c.second += own * own;
  out.covariance = turned(c, out.sight);
  judge(out);
  set_up(out, read.elevation, target.elevation,
         across_variance(out.horizontal, instrument) + squared(setup.sd_axis().metres()) +
             squared(instrument.height_sd.metres()) + own * own);
  return out;
}

std::vector<CheckCause> causes_of(std::span<const CheckResult> checks) {
  std::vector<CheckCause> out;
  const bool is_plan_off = std::any_of(checks.begin(), checks.end(), is_off);
  if (!is_plan_off) {
    double weight = 0, sum = 0;
    for (const CheckResult& c : checks) {
      if (!c.up) continue;
      weight += 1 / squared(c.up_sd->metres());
      sum += c.up->metres() / squared(c.up_sd->metres());
    }
    if (std::any_of(checks.begin(), checks.end(), is_off_in_height)) {
      CheckCause sank;
      sank.kind = CheckCause::Kind::sank;
      // What stands lower sees everything higher.
      sank.up = Length::metres(-sum / weight);
      out.push_back(sank);
    }
    return out;
  }
  const auto add = [&](const CheckCause& cause, std::size_t unknowns) {
    if (cause.left <= limit(checks.size(), unknowns)) out.push_back(cause);
  };
  add(turned_by(checks), 1);
  add(moved_by(checks), 2);
  double all = 0;
  for (const CheckResult& c : checks) all += c.misfit;
  for (std::size_t i = 0; i < checks.size(); ++i) {
    if (!is_off(checks[i])) continue;
    CheckCause one;
    one.kind = CheckCause::Kind::target;
    one.check = i;
    one.shift = shift_of(checks[i]);
    one.left = all - checks[i].misfit;
    add(one, 2);
  }
  // With as many unknowns the one that leaves least; a turn has one less.
  const auto unknowns = [](const CheckCause& c) { return c.kind == CheckCause::Kind::turned ? 1 : 2; };
  std::stable_sort(out.begin(), out.end(), [&](const CheckCause& a, const CheckCause& b) {
    return unknowns(a) != unknowns(b) ? unknowns(a) < unknowns(b) : a.left < b.left - 1e-9;
  });
  return out;
}

}  // namespace deckmark
