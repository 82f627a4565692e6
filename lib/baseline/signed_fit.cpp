#include "baseline/signed_fit.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "adjust/solve.h"
#include "adjust/statistics.h"
#include "baseline/tie_fit.h"

namespace deckmark {

namespace {

constexpr Length kSamePlace = Length::millimetres(0.01);
constexpr double kShiftKept = 0.998;  // of jobs in which nothing moved
/// A turn known to half a radian only is none (ties at one place leave rounding in its column).
constexpr double kNoTurn = 0.5;

using Slopes = std::array<double, 4>;

/// A stated coordinate that is new.
struct Moved {
  std::size_t row;  // of all stated coordinates
  bool along_x;
  double by, sd;   // computed minus stated; sd of the tie alone
  double x, y;     // place in the drawing
  Slopes by_root;  // of the computed coordinate, by the fit's independent parts
};

/// Triangular root of the fit's covariance; what was held fixed has a row of zeros.
std::array<Slopes, 4> root_of(const std::array<std::array<double, 4>, 4>& covariance) {
  std::array<Slopes, 4> root{};
  for (std::size_t j = 0; j < 4; ++j) {
    double rest = covariance[j][j];
    for (std::size_t k = 0; k < j; ++k) rest -= root[j][k] * root[j][k];
    if (!(rest > 1e-12 * covariance[j][j])) continue;
    root[j][j] = std::sqrt(rest);
    for (std::size_t i = j + 1; i < 4; ++i) {
      double sum = covariance[i][j];
      for (std::size_t k = 0; k < j; ++k) sum -= root[i][k] * root[j][k];
      root[i][j] = sum / root[j][j];
    }
  }
  return root;
}

/// Slopes of the computed x or y of a found place by the fit's independent parts.
class FitError {
 public:
  explicit FitError(const FittedTransform& fit)
      : parts_(fit.site_from_drawing.parts()), root_(root_of(fit.covariance)) {}

  Slopes by_root(TieAxis axis, const Point<Drawing>& at) const {
    const Slopes slopes = tie_fit::slopes_by_fit(axis, parts_, at);
    Slopes out{};
    for (std::size_t k = 0; k < 4; ++k)
      for (std::size_t j = 0; j < 4; ++j) out[k] += slopes[j] * root_[j][k];
    return out;
  }

 private:
  const SimilarityParts& parts_;
  std::array<Slopes, 4> root_;
};

/// What was found as observations of shift and turn and of the fit's independent parts; these are observed
/// too: 0 with sd 1. So the solution has both covariances. Unknowns: shift along x, along y, turn
/// counter-clockwise in drawing axes, the four parts.
struct Motion {
  std::size_t shifts = 0;
  bool turns = false;
  Solution solution;
};

/// Brings what was found to independent equations of sd 1.
void whiten(const Whitening& whitening, LinearProblem& p) {
  const std::size_t found = p.design.rows - 4;
  Matrix rows(found, p.design.cols);
  std::copy_n(p.design.values.begin(), rows.values.size(), rows.values.begin());
  rows = whitening(rows);
  std::ranges::copy(rows.values, p.design.values.begin());
  std::ranges::copy(whitening({p.observed.data(), found}), p.observed.begin());
  std::fill_n(p.sds.begin(), found, 1.0);
}

/// `whitening`: of what was found, where it hangs together.
Motion motion(const std::vector<Moved>& found, const Whitening* whitening, const Point<Drawing>& middle,
              bool shifts, bool turn) {
  bool states_x = false, states_y = false;
  for (const Moved& f : found) (f.along_x ? states_x : states_y) = true;
  Motion out;
  out.shifts = shifts ? (states_x ? 1U : 0U) + (states_y ? 1U : 0U) : 0U;
  out.turns = turn;
  const std::size_t parts = out.shifts + (turn ? 1U : 0U);
  LinearProblem p{Matrix(found.size() + 4, parts + 4), {}, {}};
  for (std::size_t i = 0; i < found.size(); ++i) {
    const Moved& f = found[i];
    if (shifts) p.design(i, f.along_x ? 0 : out.shifts - 1) = 1;
    if (turn)
      p.design(i, out.shifts) = f.along_x ? -(f.y - middle.at.y.metres()) : f.x - middle.at.x.metres();
    for (std::size_t k = 0; k < 4; ++k) p.design(i, parts + k) = f.by_root[k];
    p.observed.push_back(f.by);
    p.sds.push_back(f.sd);
  }
  for (std::size_t k = 0; k < 4; ++k) {
    p.design(found.size() + k, parts + k) = 1;
    p.observed.push_back(0);
    p.sds.push_back(1);
  }
  if (whitening) whiten(*whitening, p);
  out.solution = solve(p);
  return out;
}

/// Square of the shift over its covariance.
double shift_square(const Motion& m) {
  const Solution& s = m.solution;
  if (m.shifts == 1) return s.parameters[0] * s.parameters[0] / s.covariance(0, 0);
  const double xx = s.covariance(0, 0), xy = s.covariance(0, 1), yy = s.covariance(1, 1);
  const double x = s.parameters[0], y = s.parameters[1];
  return (x * x * yy - 2 * x * y * xy + y * y * xx) / (xx * yy - xy * xy);
}

void put_motion(const std::vector<Moved>& found, const Whitening* whitening, bool mirrored,
                SignedCheck& out) {
  const Motion still = motion(found, whitening, out.middle, false, false);
  out.variance_factor = still.solution.square_sum / static_cast<double>(found.size());
  Motion m = motion(found, whitening, out.middle, true, true);
  const auto turn_sd = [&] { return std::sqrt(m.solution.covariance(m.shifts, m.shifts)); };
  if (!m.solution.full_rank || turn_sd() > kNoTurn) m = motion(found, whitening, out.middle, true, false);
  const auto shift = [&](std::size_t at, std::optional<Length>& value, Length& sd) {
    value = Length::metres(m.solution.parameters[at]);
    sd = Length::metres(std::sqrt(m.solution.covariance(at, at)));
  };
  const auto states = [&](bool along_x) {
    return std::any_of(found.begin(), found.end(), [&](const Moved& f) { return f.along_x == along_x; });
  };
  if (states(true)) shift(0, out.shift_x, out.sd_x);
  if (states(false)) shift(m.shifts - 1, out.shift_y, out.sd_y);
  out.moved = shift_square(m) > chi_squared_quantile(kShiftKept, static_cast<double>(m.shifts));
  if (!m.turns) return;
  // Counter-clockwise in drawing axes is clockwise on site where the drawing is mirrored.
  const double turn = m.solution.parameters[m.shifts];
  out.turn = Angle::radians(mirrored ? turn : -turn);
  out.sd_turn = Angle::radians(turn_sd());
  out.moved = out.moved || std::abs(turn) > kWrongLimit * turn_sd();
}

/// The evidence that was signed, where this stated coordinate is none but that.
const SignedStated* signed_evidence(std::span<const SignedStated> signed_from, std::size_t tie, TieAxis axis,
                                    const Point<Site>& at, Length computed) {
  for (const SignedStated& s : signed_from) {
    if (s.tie != tie || s.axis != axis) continue;
    const Length off = s.at ? distance(*s.at, at) : abs(s.found - computed);
    return off <= kSamePlace ? &s : nullptr;
  }
  return nullptr;
}

/// Covariance of all stated coordinates as the signed fit has the axes, where found places hang together.
std::optional<Matrix> joint_of(TieView ties, const SimilarityParts& parts) {
  if (!ties.places()) return std::nullopt;
  return tie_fit::covariance_of(tie_fit::centre(ties), parts.mirrored,
                                Angle::degrees(parts.azimuth_x.degrees()).radians(), parts.scale);
}

/// Of what is new, where it hangs together.
std::optional<Whitening> whitening_of(const std::vector<Moved>& found, const std::optional<Matrix>& joint) {
  if (!joint) return std::nullopt;
  std::vector<std::size_t> rows;
  for (const Moved& f : found) rows.push_back(f.row);
  return Whitening(part_of(*joint, rows));
}

Point<Drawing> mean_of(const std::vector<Point<Drawing>>& places) {
  double x = 0, y = 0;
  for (const Point<Drawing>& p : places) {
    x += p.at.x.metres() / static_cast<double>(places.size());
    y += p.at.y.metres() / static_cast<double>(places.size());
  }
  return {{.x = Length::metres(x), .y = Length::metres(y)}};
}

}  // namespace

SignedCheck check_signed(TieView ties, const FittedTransform& signed_fit,
                         std::span<const SignedStated> signed_from) {
  SignedCheck out;
  const auto drawing_from_site = signed_fit.site_from_drawing.inverse();
  const FitError error(signed_fit);
  const std::optional<Matrix> joint = joint_of(ties, signed_fit.site_from_drawing.parts());
  std::vector<Moved> found;
  const auto add = [&](std::size_t i, TieAxis axis, Length stated, Length computed, Length own,
                       const Point<Drawing>& at) {
    const Length residual = stated - computed, tolerance = ties[i].tolerance;
    const std::size_t k = out.rows.size();
    const Length sd = joint ? Length::metres(std::sqrt((*joint)(k, k))) : own;
    TieRow row{i, axis, stated, computed, residual, std::nullopt, 1.0, sd, tolerance, sd, Verdict::unsure};
    const SignedStated* old = signed_evidence(signed_from, i, axis, ties[i].at, computed);
    if (old) {
      row.redundancy = old->redundancy;
      row.residual_sd = old->residual_sd.value_or(sd * std::sqrt(std::max(old->redundancy, 0.0)));
    } else {
      const Slopes slopes = error.by_root(axis, at);
      double variance = sd.metres() * sd.metres();
      for (const double s : slopes) variance += s * s;
      row.residual_sd = Length::metres(std::sqrt(variance));
      found.push_back({k, axis == TieAxis::x, -residual.metres(), sd.metres(), at.at.x.metres(),
                       at.at.y.metres(), slopes});
    }
    if (row.residual_sd > Length::metres(0) && row.redundancy > 0)
      row.standardised = residual / row.residual_sd;
    if (row.redundancy >= tie_fit::kLeastRedundancy) row.verdict = judge(residual, tolerance);
    out.rows.push_back(row);
    out.is_new.push_back(old == nullptr);
  };
  std::vector<Point<Drawing>> places;  // of the new ties
  for (std::size_t i = 0; i < ties.size(); ++i) {
    const Point<Drawing> at = drawing_from_site(ties[i].at);
    const std::size_t before = found.size();
    if (ties[i].x) add(i, TieAxis::x, *ties[i].x, at.at.x, ties[i].sd_x, at);
    if (ties[i].y) add(i, TieAxis::y, *ties[i].y, at.at.y, ties[i].sd_y, at);
    if (found.size() > before) places.push_back(at);
  }
  out.new_stated = found.size();
  out.new_ties = places.size();
  if (found.empty()) return out;
  out.middle = mean_of(places);
  const std::optional<Whitening> whitening = whitening_of(found, joint);
  put_motion(found, whitening ? &*whitening : nullptr, signed_fit.site_from_drawing.parts().mirrored, out);
  return out;
}

}  // namespace deckmark
