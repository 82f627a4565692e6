#include "adjust/correlated.h"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "adjust/statistics.h"

using namespace deckmark;

namespace {

Matrix random_matrix(std::mt19937& random, std::size_t rows, std::size_t cols) {
  std::normal_distribution<double> normal;
  Matrix out(rows, cols);
  for (double& v : out.values) v = normal(random);
  return out;
}

/// M M' and some of the diagonal.
Matrix covariance_of(const Matrix& m, double own) {
  Matrix out(m.rows, m.rows);
  for (std::size_t i = 0; i < m.rows; ++i) {
    out(i, i) = own;
    for (std::size_t j = 0; j < m.rows; ++j)
      for (std::size_t k = 0; k < m.cols; ++k) out(i, j) += m(i, k) * m(j, k);
  }
  return out;
}

Matrix diagonal(const std::vector<double>& sds) {
  Matrix out(sds.size(), sds.size());
  for (std::size_t i = 0; i < sds.size(); ++i) out(i, i) = sds[i] * sds[i];
  return out;
}

}  // namespace

TEST_CASE("whitening takes a covariance to one of independent errors") {
  std::mt19937 random(1);
  for (const double own : {1.0, 1e-6}) {
    const Matrix v = covariance_of(random_matrix(random, 5, 3), own);
    const Whitening w(v);
    // L^-1 V L'^-1 = 1, column by column.
    Matrix half = w(v), turned(5, 5);
    for (std::size_t i = 0; i < 5; ++i)
      for (std::size_t j = 0; j < 5; ++j) turned(i, j) = half(j, i);
    const Matrix unit = w(turned);
    for (std::size_t i = 0; i < 5; ++i)
      for (std::size_t j = 0; j < 5; ++j) CHECK(std::abs(unit(i, j) - (i == j ? 1 : 0)) < 1e-9);
    // V (V^-1 x) = x
    Matrix x = random_matrix(random, 5, 1);
    const Matrix solved = w.transposed(w(x));
    double square_sum = 0;
    for (std::size_t i = 0; i < 5; ++i) {
      double back = 0;
      for (std::size_t j = 0; j < 5; ++j) back += v(i, j) * solved(j, 0);
      CHECK(std::abs(back - x(i, 0)) < 1e-8);
      square_sum += x(i, 0) * solved(i, 0);
    }
    CHECK(w.square_sum(x.values) == doctest::Approx(square_sum).epsilon(1e-9));
  }
}

TEST_CASE("a covariance that rounding has left without a root is mended") {
  Matrix v(2, 2);
  v(0, 0) = 4;
  v(1, 1) = 1e-6;
  v(0, 1) = v(1, 0) = 2e-3 * (1 + 1e-13);  // a correlation a hair over 1
  const std::vector<double> along{2, 1e-3};
  const double square_sum = Whitening(v).square_sum(along);
  CHECK(square_sum == doctest::Approx(1).epsilon(1e-6));
}

TEST_CASE("quality by a diagonal covariance is that by sds, and single errors are residual over redundancy") {
  std::mt19937 random(2);
  const Matrix design = random_matrix(random, 7, 3);
  const std::vector<double> sds{1, 2, 0.5, 1, 3, 1, 0.2};
  const Matrix v = diagonal(sds);
  const std::vector<double> observed = random_matrix(random, 7, 1).values;
  const Solution s = solve({design, observed, sds});
  Matrix g(3, 7);
  for (std::size_t j = 0; j < 3; ++j)
    for (std::size_t i = 0; i < 7; ++i)
      for (std::size_t k = 0; k < 3; ++k) g(j, i) += s.covariance(j, k) * design(i, k) / (sds[i] * sds[i]);
  const EstimatorQuality by_sds = quality(g, design, sds), by_matrix = quality(g, design, v);
  const SingleErrors single = single_errors(design, Whitening(v), s.residuals);
  for (std::size_t i = 0; i < 7; ++i) {
    CHECK(by_matrix.redundancy[i] == doctest::Approx(by_sds.redundancy[i]).epsilon(1e-12));
    CHECK(by_matrix.residual_variance[i] == doctest::Approx(by_sds.residual_variance[i]).epsilon(1e-12));
    CHECK(single.errors[i] == doctest::Approx(s.residuals[i] / s.redundancy[i]).epsilon(1e-9));
    CHECK(single.sds[i] == doctest::Approx(sds[i] / std::sqrt(s.redundancy[i])).epsilon(1e-9));
  }
  for (std::size_t k = 0; k < 9; ++k)
    CHECK(by_matrix.parameter_covariance.values[k] ==
          doctest::Approx(by_sds.parameter_covariance.values[k]).epsilon(1e-12));
}

TEST_CASE("an observation that nothing checks has no error that its residual could show") {
  Matrix design(3, 2), v = diagonal({1, 1, 1});
  design(0, 0) = design(1, 0) = design(2, 1) = 1;
  v(0, 1) = v(1, 0) = 0.5;
  const SingleErrors single = single_errors(design, Whitening(v), std::vector<double>{0.4, -0.4, 0});
  CHECK(single.sds[0] > 0);
  CHECK(single.sds[2] == 0);
  CHECK(single.errors[2] == 0);
}

TEST_CASE("least squares by a covariance is that of what is whitened, whatever the model") {
  // y = a exp(b t), three unknowns would be too many for two points: four of them.
  const std::vector<double> t{0, 1, 2, 3}, observed{1.02, 1.61, 2.75, 4.46};
  std::mt19937 random(3);
  Matrix shared = random_matrix(random, 4, 1);
  for (double& f : shared.values) f *= 0.02;
  const Matrix v = covariance_of(shared, 1e-4);
  const Model model = [&](std::span<const double> p, std::span<double> computed, Matrix& design) {
    for (std::size_t i = 0; i < 4; ++i) {
      design(i, 0) = std::exp(p[1] * t[i]);
      computed[i] = p[0] * design(i, 0);
      design(i, 1) = computed[i] * t[i];
    }
  };
  const std::vector<double> start{1, 0.4};
  const Whitening w(v);
  const NonlinearSolution s = solve_nonlinear(observed, w, start, model);
  REQUIRE(s.converged);
  CHECK(s.redundancy.empty());
  CHECK(s.standardised.empty());
  CHECK(s.square_sum == doctest::Approx(w.square_sum(s.residuals)).epsilon(1e-9));
  // No place nearby fits better, and the square sum rises by the inverse of the covariance.
  const auto square_sum_at = [&](double a, double b) {
    std::vector<double> off(4);
    for (std::size_t i = 0; i < 4; ++i) off[i] = observed[i] - a * std::exp(b * t[i]);
    return w.square_sum(off);
  };
  const double a = s.parameters[0], b = s.parameters[1];
  const double det = s.covariance(0, 0) * s.covariance(1, 1) - s.covariance(0, 1) * s.covariance(0, 1);
  const double da = 1e-4, db = 1e-4;
  const auto rise = [&](double p, double q) {
    return (square_sum_at(a + p, b + q) + square_sum_at(a - p, b - q)) / 2 - s.square_sum;
  };
  // Terms of the misfit itself bend the bowl a little.
  CHECK(rise(da, 0) == doctest::Approx(da * da * s.covariance(1, 1) / det).epsilon(0.02));
  CHECK(rise(0, db) == doctest::Approx(db * db * s.covariance(0, 0) / det).epsilon(0.02));
  CHECK(std::abs(square_sum_at(a + da, b) - square_sum_at(a - da, b)) < 0.02 * rise(da, 0));
}

TEST_CASE("the limit of a standardised residual leaves 99 of 100 clean adjustments in peace") {
  for (const std::size_t few : {0U, 1U, 5U, 10U}) CHECK(wrong_limit(few) == 3.29);
  CHECK(wrong_limit(11) > 3.29);
  for (const std::size_t m : {11U, 40U, 2000U}) {
    const double under = 2 * normal_cdf(wrong_limit(m)) - 1;
    CHECK(std::pow(under, static_cast<double>(m)) == doctest::Approx(0.99).epsilon(1e-9));
  }
}
