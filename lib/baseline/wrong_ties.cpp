#include "baseline/wrong_ties.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "adjust/solve.h"
#include "adjust/statistics.h"
#include "baseline/tie_fit.h"

namespace deckmark {

namespace {

constexpr double kFalseAlarms =
    0.005;  // of a whole set of ties without fault: at most 1 % with room to spare

struct Coordinate {
  std::size_t tie;
  TieAxis axis;
};

std::vector<Coordinate> coordinates_of(TieView ties) {
  std::vector<Coordinate> out;
  for (std::size_t i = 0; i < ties.size(); ++i) {
    if (ties[i].x) out.push_back({i, TieAxis::x});
    if (ties[i].y) out.push_back({i, TieAxis::y});
  }
  return out;
}

/// Some of the ties, with their part of the covariance of the found places.
class SomeTies {
 public:
  explicit SomeTies(TieView all) : all_(all) {}

  /// Takes the tie of that index, as given; not where it states nothing.
  void add(std::size_t index, const Tie& tie) {
    if (!tie.x && !tie.y) return;
    ties_.push_back(tie);
    from_.push_back(index);
  }
  /// Once all are there.
  TieView view() {
    if (!all_.places()) return ties_;
    std::vector<std::size_t> rows;
    for (const std::size_t i : from_) rows.insert(rows.end(), {2 * i, 2 * i + 1});
    places_ = part_of(*all_.places(), rows);
    return {ties_, &places_};
  }
  /// Index among all.
  const std::vector<std::size_t>& from() const { return from_; }

 private:
  TieView all_;
  std::vector<Tie> ties_;
  std::vector<std::size_t> from_;
  Matrix places_;
};

SomeTies kept_ties(TieView ties, const std::vector<Coordinate>& all, const std::vector<bool>& kept) {
  SomeTies out(ties);
  for (std::size_t i = 0, k = 0; i < ties.size(); ++i) {
    Tie t = ties[i];
    for (; k < all.size() && all[k].tie == i; ++k)
      if (!kept[k]) (all[k].axis == TieAxis::x ? t.x : t.y).reset();
    out.add(i, t);
  }
  return out;
}

/// So many standardised residuals of ties without fault stay under it.
double limit_for(std::size_t coordinates) {
  const double each = kFalseAlarms / static_cast<double>(std::max<std::size_t>(coordinates, 1));
  return std::max(kWrongLimit, normal_quantile(1 - each / 2));
}

/// A fit of some of the ties.
struct RestFit {
  BaselineResult result;
  std::vector<std::size_t> from;  // index of each of its ties among all
};

/// Fits of what is left of the ties.
class Rests {
 public:
  Rests(TieView ties, const BaselineOptions& options) : ties_(ties), options_(options) {}

  /// What is left may fit two ways round: then the direction of the whole says which.
  RestFit fit(SomeTies rest) {
    const TieView view = rest.view();
    RestFit out{fit_baselines(view, options_, {}), rest.from()};
    if (out.result.status != FitStatus::two_fits || options_.azimuth_near) return out;
    if (!azimuth_) {
      const BaselineResult whole = fit_baselines(ties_, options_, {});
      if (!whole.fit) return out;
      azimuth_ = whole.fit->site_from_drawing.parts().azimuth_x;
    }
    BaselineOptions turned = options_;
    turned.azimuth_near = azimuth_;
    out.result = fit_baselines(view, turned, {});
    return out;
  }
  RestFit without(std::size_t tie) {
    SomeTies rest(ties_);
    for (std::size_t i = 0; i < ties_.size(); ++i)
      if (i != tie) rest.add(i, ties_[i]);
    return fit(std::move(rest));
  }

 private:
  TieView ties_;
  BaselineOptions options_;
  std::optional<Azimuth> azimuth_;
};

/// A row as a test of its coordinate alone: what it seems to be off by, over the sd of that.
std::optional<double> test_of(const TieRow& row) {
  return row.error ? std::optional(row.error->by / row.error->sd) : row.standardised;
}

bool is_clean(const BaselineResult& r, double limit) {
  return r.status == FitStatus::solved && r.degrees_of_freedom > 0 &&
         std::all_of(r.rows.begin(), r.rows.end(),
                     [&](const TieRow& row) { return std::abs(test_of(row).value_or(0)) <= limit; });
}

/// Ties any one of which, left out, leaves nothing to accuse; the best first.
std::vector<std::size_t> single_ties(std::size_t count, double limit, Rests& rests) {
  std::vector<std::pair<double, std::size_t>> found;
  for (std::size_t i = 0; i < count; ++i)
    if (const BaselineResult r = rests.without(i).result; is_clean(r, limit))
      found.emplace_back(*r.variance_factor * static_cast<double>(r.degrees_of_freedom), i);
  std::sort(found.begin(), found.end());
  std::vector<std::size_t> out;
  out.reserve(found.size());
  for (const auto& [square_sum, tie] : found) out.push_back(tie);
  return out;
}

/// What found places in common add to the variance of a stated coordinate against a fit of others: the
/// place's own variance in `own`, and twice its covariance with the fit in `shared`, in drawing axes.
struct PlaceShares {
  double own = 0, shared = 0;
};
PlaceShares place_shares(TieView ties, const WrongTie& wrong, const RestFit& rest,
                         const Point<Drawing>& there) {
  const SimilarityParts& parts = rest.result.fit->site_from_drawing.parts();
  const auto by_place = tie_fit::slopes_by_place(
      wrong.axis, parts.mirrored, Angle::degrees(parts.azimuth_x.degrees()).radians(), parts.scale);
  const auto by_fit = tie_fit::slopes_by_fit(wrong.axis, parts, there);
  const Matrix &places = *ties.places(), &gain = rest.result.gain;
  PlaceShares out;
  for (std::size_t k = 0; k < 2; ++k) {
    const std::size_t own = 2 * wrong.tie + k;
    for (std::size_t l = 0; l < 2; ++l) out.own += by_place[k] * places(own, 2 * wrong.tie + l) * by_place[l];
    for (std::size_t j = 0; j < gain.cols; ++j) {
      double moved = 0;
      for (std::size_t a = 0; a < 4; ++a) moved += by_fit[a] * gain(a, j);
      out.shared += 2 * by_place[k] * places(own, 2 * rest.from[j / 2] + j % 2) * moved;
    }
  }
  return out;
}

/// What a fit gives for a coordinate of a tie that it does not hold: the error of the stated one, and its sd.
void measure(TieView ties, const RestFit& rest, WrongTie& wrong) {
  const Tie& tie = ties[wrong.tie];
  const FittedTransform& fit = *rest.result.fit;
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
  const Length stated = is_x ? tie.sd_x : tie.sd_y;
  Length own = stated;
  wrong.sd = hypot(own, Length::metres(std::sqrt(std::max(by_fit, 0.0))));
  if (ties.places()) {
    const PlaceShares shares = place_shares(ties, wrong, rest, there);
    own = hypot(own, Length::metres(std::sqrt(std::max(shares.own, 0.0))));
    const double besides = shares.own + shares.shared + by_fit;  // what is stated is independent of it
    wrong.sd = hypot(stated, Length::metres(std::sqrt(std::max(besides, 0.0))));
  }
  wrong.standardised = wrong.error / wrong.sd;
  wrong.redundancy = (own / wrong.sd) * (own / wrong.sd);
}

/// The coordinates of one wrong tie, the worse first; those that stand within chance are left out.
std::vector<WrongTie> of_tie(std::size_t tie, TieView ties, const RestFit& rest, double limit) {
  std::vector<WrongTie> out;
  for (const TieAxis axis : {TieAxis::x, TieAxis::y}) {
    if (!(axis == TieAxis::x ? ties[tie].x : ties[tie].y)) continue;
    out.push_back({tie, axis, 0, 0, Length::metres(0), Length::metres(0), {}});
    measure(ties, rest, out.back());
  }
  std::stable_sort(out.begin(), out.end(), [](const WrongTie& a, const WrongTie& b) {
    return std::abs(a.standardised) > std::abs(b.standardised);
  });
  while (out.size() > 1 && std::abs(out.back().standardised) <= limit) out.pop_back();
  return out;
}

/// Errors against the fit without all that is wrong; what is itself wrong explains nothing besides.
void settle(std::vector<WrongTie>& wrong, TieView ties, Rests& rests) {
  std::vector<Tie> left(ties.begin(), ties.end());
  for (const WrongTie& w : wrong) (w.axis == TieAxis::x ? left[w.tie].x : left[w.tie].y).reset();
  SomeTies rest(ties);
  for (std::size_t i = 0; i < left.size(); ++i) rest.add(i, left[i]);
  const RestFit r = rests.fit(std::move(rest));
  for (WrongTie& w : wrong) {
    if (r.result.fit) measure(ties, r, w);
    std::erase_if(w.alike, [&](const auto& other) {
      return std::any_of(wrong.begin(), wrong.end(), [&](const WrongTie& o) { return o.tie == other.first; });
    });
  }
}

}  // namespace

std::size_t most_left_out(TieView ties) { return ties.places() ? 100 : 200; }

std::vector<WrongTie> tie_in_the_way(TieView ties, const BaselineOptions& options) {
  if (ties.size() < 3 || ties.size() > most_left_out(ties)) return {};
  Rests rests(ties, options);
  const double limit = limit_for(coordinates_of(ties).size());
  const std::vector<std::size_t> single = single_ties(ties.size(), limit, rests);
  if (single.size() != 1) return {};
  return of_tie(single.front(), ties, rests.without(single.front()), limit);
}

WrongTiesResult find_wrong_ties(TieView ties, const BaselineOptions& options) {
  const std::vector<Coordinate> all = coordinates_of(ties);
  WrongTiesResult out;
  out.limit = limit_for(all.size());
  Rests rests(ties, options);
  bool is_explained = true;  // what is left of the last fit stands
  const auto refit = [&](const std::vector<bool>& kept) {
    const BaselineResult r = rests.fit(kept_ties(ties, all, kept)).result;
    Fitted f;
    f.solved = r.status == FitStatus::solved;
    is_explained = f.solved;
    for (const TieRow& row : r.rows) {
      f.residuals.push_back(row.error ? row.error->by.metres() * row.redundancy : row.residual.metres());
      f.redundancy.push_back(row.redundancy);
      f.standardised.push_back(row.redundancy != 0 ? test_of(row) : std::nullopt);
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
  if ((!is_one || !is_explained) && ties.size() <= most_left_out(ties)) {
    const std::vector<std::size_t> single = single_ties(ties.size(), out.limit, rests);
    if (!single.empty()) {
      out.wrong = of_tie(single.front(), ties, rests.without(single.front()), out.limit);
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

std::vector<LeftOut> leave_out_each(TieView ties, const BaselineOptions& options) {
  std::vector<LeftOut> out;
  Rests rests(ties, options);
  for (std::size_t i = 0; i < ties.size(); ++i) {
    const BaselineResult r = rests.without(i).result;
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
