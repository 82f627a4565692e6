#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

#include "adjust/solve.h"

namespace deckmark {

namespace {

constexpr double kRounding = 4 * std::numeric_limits<double>::epsilon();

struct Evaluated {
  std::vector<double> computed;
  Matrix design;
  double square_sum = 0;
  double rounding = 0;            // what rounding may add to the square sum
  std::vector<double> magnitude;  // of the terms behind each residual, of which rounding is a share
};

Evaluated evaluate(std::span<const double> observed, std::span<const double> sds,
                   std::span<const double> parameters, const Model& model, double magnitude) {
  Evaluated e{
      std::vector<double>(observed.size(), 0.0), Matrix(observed.size(), parameters.size()), 0, 0, {}};
  model(parameters, e.computed, e.design);
  for (std::size_t i = 0; i < observed.size(); ++i) {
    const double v = (observed[i] - e.computed[i]) / sds[i];
    double terms = std::abs(e.computed[i]) + std::abs(observed[i]);
    for (std::size_t j = 0; j < parameters.size(); ++j) terms += std::abs(e.design(i, j) * parameters[j]);
    terms = std::max(terms, magnitude * sds[i]);
    e.magnitude.push_back(terms);
    e.square_sum += v * v;
    e.rounding += kRounding * std::abs(v) * (std::abs(v) + terms / sds[i]);
  }
  return e;
}

LinearProblem linearised(std::span<const double> observed, std::span<const double> sds, const Evaluated& at) {
  LinearProblem p{at.design, {}, {sds.begin(), sds.end()}};
  for (std::size_t i = 0; i < observed.size(); ++i) p.observed.push_back(observed[i] - at.computed[i]);
  return p;
}

/// Largest change of a computed observation as a share of its sd, beyond what rounding alone does.
double change(const Evaluated& at, std::span<const double> step, std::span<const double> sds) {
  double most = 0;
  for (std::size_t i = 0; i < sds.size(); ++i) {
    double moved = 0;
    for (std::size_t j = 0; j < step.size(); ++j) moved += at.design(i, j) * step[j];
    most = std::max(most, (std::abs(moved) - kRounding * at.magnitude[i]) / sds[i]);
  }
  return most;
}

}  // namespace

NonlinearSolution solve_nonlinear(std::span<const double> observed, std::span<const double> sds,
                                  std::span<const double> start, const Model& model,
                                  const NonlinearOptions& options) {
  assert(observed.size() == sds.size());
  NonlinearSolution out;
  std::vector<double> x(start.begin(), start.end());
  Evaluated at = evaluate(observed, sds, x, model, options.magnitude);
  while (out.steps < options.most_steps) {
    const Solution step = solve(linearised(observed, sds, at));
    if (!step.full_rank) {
      static_cast<Prediction&>(out) = step;
      return out;
    }
    ++out.steps;
    out.converged = change(at, step.parameters, sds) <= options.settled;
    std::vector<double> next(x.size());
    double share = 1;
    for (int halved = 0; halved < 30; ++halved, share /= 2) {
      for (std::size_t j = 0; j < x.size(); ++j) next[j] = x[j] + share * step.parameters[j];
      Evaluated there = evaluate(observed, sds, next, model, options.magnitude);
      if (!(there.square_sum <= at.square_sum + at.rounding)) continue;
      x = next;
      at = std::move(there);
      break;
    }
    if (out.converged) break;
  }
  static_cast<Solution&>(out) = solve(linearised(observed, sds, at));
  if (!out.full_rank) {
    out.converged = false;
    out.parameters.clear();
    return out;
  }
  // The residuals are those of the model itself, not of its last linearisation.
  out.parameters = x;
  out.computed = at.computed;
  out.square_sum = at.square_sum;
  for (std::size_t i = 0; i < observed.size(); ++i) {
    out.residuals[i] = observed[i] - at.computed[i];
    if (out.standardised[i]) out.standardised[i] = out.residuals[i] / (sds[i] * std::sqrt(out.redundancy[i]));
  }
  if (out.degrees_of_freedom > 0)
    out.variance_factor = out.square_sum / static_cast<double>(out.degrees_of_freedom);
  return out;
}

}  // namespace deckmark
