#include "baseline/wrong_ties.h"

#include <algorithm>
#include <cmath>

#include "adjust/solve.h"
#include "adjust/statistics.h"

namespace deckmark {

namespace {

constexpr double kFalseAlarms =
    0.005;  // of a whole set of ties without fault: at most 1 % with room to spare

struct Coordinate {
  std::size_t tie;
  TieAxis axis;
};

std::vector<Coordinate> coordinates_of(std::span<const Tie> ties) {
  std::vector<Coordinate> out;
  for (std::size_t i = 0; i < ties.size(); ++i) {
    if (ties[i].x) out.push_back({i, TieAxis::x});
    if (ties[i].y) out.push_back({i, TieAxis::y});
  }
  return out;
}

std::vector<Tie> kept_ties(std::span<const Tie> ties, const std::vector<Coordinate>& all,
                           const std::vector<bool>& kept) {
  std::vector<Tie> out;
  for (std::size_t i = 0, k = 0; i < ties.size(); ++i) {
    Tie t = ties[i];
    for (; k < all.size() && all[k].tie == i; ++k)
      if (!kept[k]) (all[k].axis == TieAxis::x ? t.x : t.y).reset();
    if (t.x || t.y) out.push_back(t);
  }
  return out;
}

}  // namespace

WrongTiesResult find_wrong_ties(std::span<const Tie> ties, const BaselineOptions& options) {
  const std::vector<Coordinate> all = coordinates_of(ties);
  WrongTiesResult out;
  const double family_wise =
      normal_quantile(1 - kFalseAlarms / static_cast<double>(std::max<std::size_t>(all.size(), 1)) / 2);
  out.limit = std::max(kWrongLimit, family_wise);
  BaselineOptions turned = options;
  const auto refit = [&](const std::vector<bool>& kept) {
    const BaselineResult r = fit_baselines(kept_ties(ties, all, kept), turned, {});
    Fitted f;
    f.solved = r.status == FitStatus::solved;
    // What is left may fit two ways round: the direction is known from the whole.
    if (f.solved && !turned.azimuth_near) turned.azimuth_near = r.fit->site_from_drawing.parts().azimuth_x;
    for (const TieRow& row : r.rows) {
      f.residuals.push_back(row.residual.metres());
      f.redundancy.push_back(row.redundancy);
      f.standardised.push_back(row.standardised);
    }
    return f;
  };
  for (const WrongObservation& w : find_wrong(all.size(), all.size(), out.limit, refit)) {
    WrongTie wrong{all[w.index].tie,
                   all[w.index].axis,
                   w.standardised,
                   w.redundancy,
                   Length::metres(w.error),
                   Length::metres(std::abs(w.error / w.standardised)),
                   {}};
    for (const std::size_t k : w.alike) wrong.alike.emplace_back(all[k].tie, all[k].axis);
    out.wrong.push_back(std::move(wrong));
  }
  return out;
}

std::vector<LeftOut> leave_out_each(std::span<const Tie> ties, const BaselineOptions& options) {
  std::vector<LeftOut> out;
  BaselineOptions turned = options;
  const BaselineResult whole = fit_baselines(ties, options, {});
  if (whole.fit && !turned.azimuth_near) turned.azimuth_near = whole.fit->site_from_drawing.parts().azimuth_x;
  for (std::size_t i = 0; i < ties.size(); ++i) {
    std::vector<Tie> rest(ties.begin(), ties.end());
    rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(i));
    const BaselineResult r = fit_baselines(rest, turned, {});
    LeftOut left;
    left.solved = r.status == FitStatus::solved;
    left.variance_factor = r.variance_factor;
    for (const TieRow& row : r.rows)
      left.largest_residual = std::max(left.largest_residual, abs(row.residual));
    out.push_back(left);
  }
  return out;
}

}  // namespace deckmark
