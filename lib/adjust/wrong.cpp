#include <cmath>

#include "adjust/solve.h"

namespace deckmark {

namespace {

/// Standardised residuals nearer than this share of one another are equal but for rounding and second-order
/// terms.
constexpr double kAlike = 1e-3;

/// The largest standardised residual over the limit, if there is one.
std::optional<WrongObservation> worst_of(const Fitted& fitted, const std::vector<bool>& kept, double limit) {
  std::optional<WrongObservation> worst;
  std::vector<double> sizes(kept.size(), 0.0);
  double largest = limit;
  for (std::size_t i = 0, k = 0; i < kept.size(); ++i) {
    if (!kept[i]) continue;
    if (fitted.standardised[k]) {
      const double w = *fitted.standardised[k];
      sizes[i] = std::abs(w);
      if (sizes[i] > largest) {
        largest = sizes[i];
        worst = {i, w, fitted.redundancy[k], fitted.residuals[k] / fitted.redundancy[k], {}};
      }
    }
    ++k;
  }
  for (std::size_t i = 0; worst && i < sizes.size(); ++i)
    if (i != worst->index && sizes[i] >= (1 - kAlike) * largest) worst->alike.push_back(i);
  return worst;
}

}  // namespace

std::vector<WrongObservation> find_wrong(std::size_t observations, std::size_t most, double limit,
                                         const std::function<Fitted(const std::vector<bool>& kept)>& refit) {
  std::vector<WrongObservation> found;
  std::vector<bool> kept(observations, true);
  Fitted fitted = refit(kept);
  while (fitted.solved && found.size() < most) {
    const auto worst = worst_of(fitted, kept, limit);
    if (!worst) break;
    kept[worst->index] = false;
    fitted = refit(kept);
    found.push_back(*worst);
  }
  return found;
}

std::vector<WrongObservation> find_wrong(const LinearProblem& problem, std::size_t most, double limit) {
  return find_wrong(problem.observed.size(), most, limit, [&](const std::vector<bool>& kept) {
    LinearProblem rest;
    for (std::size_t i = 0; i < kept.size(); ++i) {
      if (!kept[i]) continue;
      rest.observed.push_back(problem.observed[i]);
      rest.sds.push_back(problem.sds[i]);
      for (std::size_t j = 0; j < problem.design.cols; ++j)
        rest.design.values.push_back(problem.design(i, j));
    }
    rest.design.rows = rest.observed.size();
    rest.design.cols = problem.design.cols;
    const Solution s = solve(rest);
    return Fitted{s.full_rank, s.residuals, s.redundancy, s.standardised};
  });
}

}  // namespace deckmark
