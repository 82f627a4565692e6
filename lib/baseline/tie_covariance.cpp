#include <algorithm>
#include <cmath>

#include "baseline/tie_fit.h"

namespace deckmark {

std::vector<Tie> with_place_sds(TieView ties) {
  std::vector<Tie> out(ties.begin(), ties.end());
  if (!ties.places()) return out;
  for (std::size_t i = 0; i < out.size(); ++i) {
    const Length sd = tie_fit::place_sd(*ties.places(), i);
    out[i].sd_x = hypot(out[i].sd_x, sd);
    out[i].sd_y = hypot(out[i].sd_y, sd);
    out[i].shot_sd_northing = out[i].shot_sd_easting = Length::metres(0);
  }
  return out;
}

namespace tie_fit {

Length place_sd(const Matrix& places, std::size_t tie) {
  const double both = places(2 * tie, 2 * tie) + places(2 * tie + 1, 2 * tie + 1);
  return Length::metres(std::sqrt(std::max(both / 2, 0.0)));
}

std::array<double, 2> slopes_by_place(TieAxis axis, bool mirrored, double azimuth, double scale) {
  const double hand = mirrored ? -1 : 1, sine = std::sin(azimuth) / scale, cosine = std::cos(azimuth) / scale;
  if (axis == TieAxis::x) return {cosine, sine};
  return {hand * sine, -hand * cosine};
}

std::array<double, 4> slopes_by_fit(TieAxis axis, const SimilarityParts& parts, const Point<Drawing>& at) {
  const double hand = parts.mirrored ? -1 : 1;
  const double sine = parts.azimuth_x.sine() / parts.scale, cosine = parts.azimuth_x.cosine() / parts.scale;
  const double dx = (at.at.x - parts.drawing_centre.at.x).metres(),
               dy = (at.at.y - parts.drawing_centre.at.y).metres();
  // x = ((E - E0) sin A + (N - N0) cos A) / s, y = hand ((N - N0) sin A - (E - E0) cos A) / s.
  if (axis == TieAxis::x) return {-sine, -cosine, -hand * dy, -dx / parts.scale};
  return {hand * cosine, -hand * sine, hand * dx, -dy / parts.scale};
}

Matrix covariance_of(const Ties& ties, bool mirrored, double azimuth, double scale) {
  const Matrix& places = *ties.places;
  const auto by_x = slopes_by_place(TieAxis::x, mirrored, azimuth, scale),
             by_y = slopes_by_place(TieAxis::y, mirrored, azimuth, scale);
  const std::size_t n = ties.stated.size();
  Matrix out(n, n);
  for (std::size_t i = 0; i < n; ++i) {
    const Stated& a = ties.stated[i];
    const auto& by_a = a.axis == TieAxis::x ? by_x : by_y;
    for (std::size_t j = 0; j <= i; ++j) {
      const Stated& b = ties.stated[j];
      const auto& by_b = b.axis == TieAxis::x ? by_x : by_y;
      double sum = i == j ? a.own * a.own : 0;
      for (std::size_t k = 0; k < 2; ++k)
        for (std::size_t l = 0; l < 2; ++l) sum += by_a[k] * places(2 * a.tie + k, 2 * b.tie + l) * by_b[l];
      out(i, j) = out(j, i) = sum;
    }
  }
  return out;
}

std::vector<std::size_t> rows_of(const Ties& ties, TieAxis axis) {
  std::vector<std::size_t> out;
  for (std::size_t i = 0; i < ties.stated.size(); ++i)
    if (ties.stated[i].axis == axis) out.push_back(i);
  return out;
}

}  // namespace tie_fit
}  // namespace deckmark
