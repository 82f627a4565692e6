#include "baseline/signed_fit.h"

#include <cmath>

#include "adjust/solve.h"

namespace deckmark {

namespace {

struct Moved {
  bool along_x;
  double by, sd;  // computed minus stated
  double x, y;    // place in the drawing
};

TieRow row_of(std::size_t tie, TieAxis axis, Length stated, Length computed, Length sd, Length tolerance) {
  const Length residual = stated - computed;
  return {tie,
          axis,
          stated,
          computed,
          residual,
          residual / sd,
          1.0,
          sd,
          tolerance,
          sd,
          judge(residual, tolerance)};
}

/// Shifts and turn of what was found. Unknowns: shift along x, along y, turn counter-clockwise in drawing
/// axes.
Solution motion(const std::vector<Moved>& found, bool with_turn) {
  double x = 0, y = 0;
  for (const Moved& f : found) {
    x += f.x / static_cast<double>(found.size());
    y += f.y / static_cast<double>(found.size());
  }
  bool states[2] = {false, false};
  for (const Moved& f : found) states[f.along_x ? 0 : 1] = true;
  const std::size_t shifts = (states[0] ? 1U : 0U) + (states[1] ? 1U : 0U);
  LinearProblem p{Matrix(found.size(), shifts + (with_turn ? 1 : 0)), {}, {}};
  for (std::size_t i = 0; i < found.size(); ++i) {
    const Moved& f = found[i];
    p.design(i, f.along_x ? 0 : shifts - 1) = 1;
    if (with_turn) p.design(i, shifts) = f.along_x ? -(f.y - y) : f.x - x;
    p.observed.push_back(f.by);
    p.sds.push_back(f.sd);
  }
  return solve(p);
}

}  // namespace

SignedCheck check_signed(std::span<const Tie> ties, const FittedTransform& signed_fit) {
  SignedCheck out;
  const auto drawing_from_site = signed_fit.site_from_drawing.inverse();
  std::vector<Moved> found;
  double square_sum = 0;
  const auto add = [&](std::size_t i, TieAxis axis, Length stated, Length computed, Length sd,
                       const Point<Drawing>& at) {
    out.rows.push_back(row_of(i, axis, stated, computed, sd, ties[i].tolerance));
    found.push_back(
        {axis == TieAxis::x, (computed - stated).metres(), sd.metres(), at.at.x.metres(), at.at.y.metres()});
    square_sum += std::pow((computed - stated) / sd, 2);
  };
  for (std::size_t i = 0; i < ties.size(); ++i) {
    const Point<Drawing> at = drawing_from_site(ties[i].at);
    if (ties[i].x) add(i, TieAxis::x, *ties[i].x, at.at.x, ties[i].sd_x, at);
    if (ties[i].y) add(i, TieAxis::y, *ties[i].y, at.at.y, ties[i].sd_y, at);
  }
  if (found.empty()) return out;
  out.variance_factor = square_sum / static_cast<double>(found.size());

  Solution s = motion(found, true);
  // A turn known to half a radian only is none (ties at one place leave rounding in its column).
  const bool turns =
      s.full_rank && std::sqrt(s.covariance(s.parameters.size() - 1, s.parameters.size() - 1)) < 0.5;
  if (!turns) s = motion(found, false);
  std::size_t next = 0;
  const auto take = [&](double& value, double& sd) {
    value = s.parameters[next];
    sd = std::sqrt(s.covariance(next, next));
    ++next;
    out.moved = out.moved || std::abs(value) > kWrongLimit * sd;
  };
  double value = 0, sd = 0;
  bool states_x = false, states_y = false;
  for (const Moved& f : found) (f.along_x ? states_x : states_y) = true;
  if (states_x) {
    take(value, sd);
    out.shift_x = Length::metres(value);
    out.sd_x = Length::metres(sd);
  }
  if (states_y) {
    take(value, sd);
    out.shift_y = Length::metres(value);
    out.sd_y = Length::metres(sd);
  }
  if (turns) {
    take(value, sd);
    // Counter-clockwise in drawing axes is clockwise on site where the drawing is mirrored.
    out.turn = Angle::radians(signed_fit.site_from_drawing.parts().mirrored ? value : -value);
    out.sd_turn = Angle::radians(sd);
  }
  return out;
}

}  // namespace deckmark
