#include "baseline/lengths.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <numbers>

#include "adjust/dual.h"
#include "adjust/solve.h"

namespace deckmark {

namespace {

constexpr double kRight = std::numbers::pi / 2;

Length tempered(const MeasuredLength& m, double tape_standard) {
  // A warm tape is long and reads short: the true distance is the reading grown as the tape has.
  return m.temperature ? m.tape * (1 + kSteelPerDegree * (*m.temperature - tape_standard)) : m.tape;
}

/// Verdict of an angle over the length that matters; unsure where its sd exceeds what is permitted.
template <class Result>
void judge_corner(Length baseline, const SetOutFigures& setout, std::optional<Length> tolerance,
                  Result& out) {
  out.limit = square_limit(setout, baseline, tolerance);
  out.over_baseline = baseline * (out.included - Angle::degrees(90)).radians();
  out.sd_over_baseline = baseline * out.sd.radians();
  out.too_small = 2 * out.sd_over_baseline > out.limit.permitted / 2;
  out.verdict = out.sd_over_baseline > out.limit.permitted ? Verdict::unsure
                                                           : judge(out.over_baseline, out.limit.permitted);
}

}  // namespace

std::optional<Length> horizontal(const MeasuredLength& measured, double tape_standard) {
  const Length tape = tempered(measured, tape_standard);
  if (!measured.slope_rise) return tape;
  const double m = tape.metres(), rise = measured.slope_rise->metres();
  if (std::abs(rise) >= m) return std::nullopt;
  return Length::metres(std::sqrt((m - rise) * (m + rise)));
}

std::optional<LengthCheck> check_length(const Point<Drawing>& from, const Point<Drawing>& to,
                                        const MeasuredLength& measured, const LengthOptions& options) {
  const auto flat = horizontal(measured, options.tape_standard);
  if (!flat) return std::nullopt;
  const Length stated = distance(from, to), warm = tempered(measured, options.tape_standard);
  const Length found = *flat / options.scale;
  LengthCheck out{stated,
                  found,
                  found - stated,
                  measured.sd.value_or(options.default_sd),
                  warm - measured.tape,
                  *flat - warm,
                  length_limit(options.setout, stated, options.tolerance),
                  Verdict::within};
  out.verdict = judge(out.deviation, out.limit.permitted);
  return out;
}

DimensionCheck check_dimension(const Point<Drawing>& from, const Point<Drawing>& to, Length printed,
                               Length tolerance) {
  const Length keyed = distance(from, to);
  return {printed, keyed, keyed - printed, tolerance, judge(keyed - printed, tolerance)};
}

CornerResult corner_from_sides(const SdLength& leg_a, const SdLength& leg_b, const SdLength& diagonal,
                               Length baseline, const SetOutFigures& setout,
                               std::optional<Length> tolerance) {
  const double a = leg_a.value.metres(), b = leg_b.value.metres(), c = diagonal.value.metres();
  CornerResult out;
  out.limit = square_limit(setout, baseline, tolerance);
  if (!(a > 0 && b > 0 && c > std::abs(a - b) && c < a + b)) return out;
  out.possible = true;
  // Departure from square: sin = (c^2 - a^2 - b^2) / 2ab, exact near 90 degrees where an arc cosine loses
  // digits.
  const double off = std::asin((c * c - a * a - b * b) / (2 * a * b));
  const double height = a * b * std::cos(off);  // c dc = a b sin(gamma) d gamma + (a - b cos gamma) da + ...
  const double by_a = -(a + b * std::sin(off)) / height, by_b = -(b + a * std::sin(off)) / height,
               by_c = c / height;
  const double variance = std::pow(by_a * leg_a.sd.metres(), 2) + std::pow(by_b * leg_b.sd.metres(), 2) +
                          std::pow(by_c * diagonal.sd.metres(), 2);
  out.included = Angle::radians(kRight + off);
  out.sd = Angle::radians(std::sqrt(variance));
  judge_corner(baseline, setout, tolerance, out);
  return out;
}

QuadrilateralResult corner_from_quadrilateral(std::span<const SdLength> lengths, Length baseline,
                                              const SetOutFigures& setout, std::optional<Length> tolerance) {
  assert(lengths.size() == 6);
  QuadrilateralResult out;
  out.limit = square_limit(setout, baseline, tolerance);
  std::vector<double> observed, sds;
  for (const SdLength& l : lengths) {
    observed.push_back(l.value.metres());
    sds.push_back(l.sd.metres());
  }
  // Mark 1 is the origin and mark 2 lies on the first axis; unknown are x2, x3, y3, x4, y4.
  using D = Dual<5>;
  constexpr std::array<std::array<std::size_t, 2>, 6> kEnds{{{0, 1}, {1, 2}, {2, 3}, {3, 0}, {0, 2}, {1, 3}}};
  const Model model = [&](std::span<const double> p, std::span<double> computed, Matrix& design) {
    const D x[4] = {D(0), D::unknown(p[0], 0), D::unknown(p[1], 1), D::unknown(p[3], 3)};
    const D y[4] = {D(0), D(0), D::unknown(p[2], 2), D::unknown(p[4], 4)};
    for (std::size_t i = 0; i < 6; ++i) {
      const auto [from, to] = kEnds[i];
      const D d = hypot(x[to] - x[from], y[to] - y[from]);
      computed[i] = d.value;
      for (std::size_t j = 0; j < 5; ++j) design(i, j) = d.slope[j];
    }
  };
  const std::vector<double> start{observed[0], observed[0], observed[1], 0, observed[3]};
  const NonlinearSolution s = solve_nonlinear(observed, sds, start, model);
  if (!s.converged) return out;
  out.solved = true;
  for (std::size_t i = 0; i < 6; ++i) {
    out.residuals.push_back(Length::metres(s.residuals[i]));
    out.standardised.push_back(s.standardised[i].value_or(0));
  }
  out.variance_factor = *s.variance_factor;
  const D angle = atan2(D::unknown(s.parameters[4], 4), D::unknown(s.parameters[3], 3));
  double variance = 0;
  for (std::size_t j = 0; j < 5; ++j)
    for (std::size_t k = 0; k < 5; ++k) variance += angle.slope[j] * s.covariance(j, k) * angle.slope[k];
  out.included = Angle::radians(angle.value);
  out.sd = Angle::radians(std::sqrt(variance));
  out.diagonal_difference = lengths[4].value - lengths[5].value;
  const auto unequal = [&](std::size_t a, std::size_t b) {
    return abs(lengths[a].value - lengths[b].value) > 3 * hypot(lengths[a].sd, lengths[b].sd);
  };
  out.sides_unequal = unequal(0, 2) || unequal(1, 3);
  judge_corner(baseline, setout, tolerance, out);
  return out;
}

}  // namespace deckmark
