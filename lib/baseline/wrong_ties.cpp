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

/// So many standardised residuals of ties without fault stay under it.
double limit_for(std::size_t coordinates) {
  const double each = kFalseAlarms / static_cast<double>(std::max<std::size_t>(coordinates, 1));
  return std::max(kWrongLimit, normal_quantile(1 - each / 2));
}

/// Beyond so many ties a fit without each takes too long.
constexpr std::size_t kMostLeftOut = 200;

/// Fits of what is left of the ties.
class Rests {
 public:
  Rests(std::span<const Tie> ties, const BaselineOptions& options) : ties_(ties), options_(options) {}

  /// What is left may fit two ways round: then the direction of the whole says which.
  BaselineResult fit(std::span<const Tie> rest) {
    BaselineResult r = fit_baselines(rest, options_, {});
    if (r.status != FitStatus::two_fits || options_.azimuth_near) return r;
    if (!azimuth_) {
      const BaselineResult whole = fit_baselines(ties_, options_, {});
      if (!whole.fit) return r;
      azimuth_ = whole.fit->site_from_drawing.parts().azimuth_x;
    }
    BaselineOptions turned = options_;
    turned.azimuth_near = azimuth_;
    return fit_baselines(rest, turned, {});
  }
  BaselineResult without(std::size_t tie) {
    std::vector<Tie> rest(ties_.begin(), ties_.end());
    rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(tie));
    return fit(rest);
  }

 private:
  std::span<const Tie> ties_;
  BaselineOptions options_;
  std::optional<Azimuth> azimuth_;
};

bool is_clean(const BaselineResult& r, double limit) {
  return r.status == FitStatus::solved && r.degrees_of_freedom > 0 &&
         std::all_of(r.rows.begin(), r.rows.end(),
                     [&](const TieRow& row) { return std::abs(row.standardised.value_or(0)) <= limit; });
}

/// Ties any one of which, left out, leaves nothing to accuse; the best first.
std::vector<std::size_t> single_ties(std::size_t count, double limit, Rests& rests) {
  std::vector<std::pair<double, std::size_t>> found;
  for (std::size_t i = 0; i < count; ++i)
    if (const BaselineResult r = rests.without(i); is_clean(r, limit))
      found.emplace_back(*r.variance_factor * static_cast<double>(r.degrees_of_freedom), i);
  std::sort(found.begin(), found.end());
  std::vector<std::size_t> out;
  out.reserve(found.size());
  for (const auto& [square_sum, tie] : found) out.push_back(tie);
  return out;
}

/// What a fit gives for a coordinate of a tie that it does not hold: the error of the stated one, and its sd.
void measure(const Tie& tie, const FittedTransform& fit, WrongTie& wrong) {
  const Point<Drawing> there = fit.site_from_drawing.inverse()(tie.at);
  const bool is_x = wrong.axis == TieAxis::x;
  wrong.error = is_x ? *tie.x - there.at.x : *tie.y - there.at.y;
  // Along the axis on site: +X at its azimuth, +Y square to it, either hand.
  const Azimuth a = fit.site_from_drawing.parts().azimuth_x;
  const double north = is_x ? a.cosine() : -a.sine(), east = is_x ? a.sine() : a.cosine();
  const PlanCovariance<Site> c = fit.covariance_at(there);
  const double scale = fit.site_from_drawing.parts().scale;
  const double by_fit =
      (north * north * c.first + 2 * north * east * c.cross + east * east * c.second) / (scale * scale);
  const Length own = is_x ? tie.sd_x : tie.sd_y;
  wrong.sd = hypot(own, Length::metres(std::sqrt(std::max(by_fit, 0.0))));
  wrong.standardised = wrong.error / wrong.sd;
  wrong.redundancy = (own / wrong.sd) * (own / wrong.sd);
}

/// The coordinates of one wrong tie, the worse first; those that stand within chance are left out.
std::vector<WrongTie> of_tie(std::size_t tie, std::span<const Tie> ties, const FittedTransform& rest,
                             double limit) {
  std::vector<WrongTie> out;
  for (const TieAxis axis : {TieAxis::x, TieAxis::y}) {
    if (!(axis == TieAxis::x ? ties[tie].x : ties[tie].y)) continue;
    out.push_back({tie, axis, 0, 0, Length::metres(0), Length::metres(0), {}});
    measure(ties[tie], rest, out.back());
  }
  std::stable_sort(out.begin(), out.end(), [](const WrongTie& a, const WrongTie& b) {
    return std::abs(a.standardised) > std::abs(b.standardised);
  });
  while (out.size() > 1 && std::abs(out.back().standardised) <= limit) out.pop_back();
  return out;
}

/// Errors against the fit without all that is wrong; what is itself wrong explains nothing besides.
void settle(std::vector<WrongTie>& wrong, std::span<const Tie> ties, Rests& rests) {
  std::vector<Tie> rest(ties.begin(), ties.end());
  for (const WrongTie& w : wrong) (w.axis == TieAxis::x ? rest[w.tie].x : rest[w.tie].y).reset();
  std::erase_if(rest, [](const Tie& t) { return !t.x && !t.y; });
  const BaselineResult r = rests.fit(rest);
  for (WrongTie& w : wrong) {
    if (r.fit) measure(ties[w.tie], *r.fit, w);
    std::erase_if(w.alike, [&](const auto& other) {
      return std::any_of(wrong.begin(), wrong.end(), [&](const WrongTie& o) { return o.tie == other.first; });
    });
  }
}

}  // namespace

std::vector<WrongTie> tie_in_the_way(std::span<const Tie> ties, const BaselineOptions& options) {
  if (ties.size() < 3 || ties.size() > kMostLeftOut) return {};
  Rests rests(ties, options);
  const double limit = limit_for(coordinates_of(ties).size());
  const std::vector<std::size_t> single = single_ties(ties.size(), limit, rests);
  if (single.size() != 1) return {};
  return of_tie(single.front(), ties, *rests.without(single.front()).fit, limit);
}

WrongTiesResult find_wrong_ties(std::span<const Tie> ties, const BaselineOptions& options) {
  const std::vector<Coordinate> all = coordinates_of(ties);
  WrongTiesResult out;
  out.limit = limit_for(all.size());
  Rests rests(ties, options);
  bool is_explained = true;  // what is left of the last fit stands
  const auto refit = [&](const std::vector<bool>& kept) {
    const BaselineResult r = rests.fit(kept_ties(ties, all, kept));
    Fitted f;
    f.solved = r.status == FitStatus::solved;
    is_explained = f.solved;
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
  if (out.wrong.empty()) return out;
  const bool is_one = std::all_of(out.wrong.begin(), out.wrong.end(),
                                  [&](const WrongTie& w) { return w.tie == out.wrong.front().tie; });
  if ((!is_one || !is_explained) && ties.size() <= kMostLeftOut) {
    const std::vector<std::size_t> single = single_ties(ties.size(), out.limit, rests);
    if (!single.empty()) {
      out.wrong = of_tie(single.front(), ties, *rests.without(single.front()).fit, out.limit);
      for (std::size_t k = 1; k < single.size(); ++k)
        for (const TieAxis axis : {TieAxis::x, TieAxis::y})
          if (axis == TieAxis::x ? ties[single[k]].x : ties[single[k]].y)
            out.wrong.front().alike.emplace_back(single[k], axis);
      return out;
    }
  }
  settle(out.wrong, ties, rests);
  return out;
}

std::vector<LeftOut> leave_out_each(std::span<const Tie> ties, const BaselineOptions& options) {
  std::vector<LeftOut> out;
  Rests rests(ties, options);
  for (std::size_t i = 0; i < ties.size(); ++i) {
    const BaselineResult r = rests.without(i);
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
