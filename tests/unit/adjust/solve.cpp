#include "adjust/solve.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numeric>
#include <random>

using namespace deckmark;

namespace {

LinearProblem random_problem(std::mt19937& random, std::size_t n, std::size_t u) {
  std::normal_distribution<double> normal;
  std::uniform_real_distribution<double> sd(0.5, 3.0);
  LinearProblem p{Matrix(n, u), {}, {}};
  for (double& a : p.design.values) a = normal(random);
  for (std::size_t i = 0; i < n; ++i) {
    p.observed.push_back(10 * normal(random));
    p.sds.push_back(sd(random));
  }
  return p;
}

/// Inverse of the normal matrix in extended precision by Gauss-Jordan: deliberately not the method under
/// test.
std::vector<std::vector<long double>> inverse_normal(const LinearProblem& p) {
  const std::size_t u = p.design.cols;
  std::vector<std::vector<long double>> m(u, std::vector<long double>(2 * u, 0));
  for (std::size_t j = 0; j < u; ++j) {
    for (std::size_t k = 0; k < u; ++k)
      for (std::size_t i = 0; i < p.design.rows; ++i)
        m[j][k] += static_cast<long double>(p.design(i, j)) * p.design(i, k) /
                   (static_cast<long double>(p.sds[i]) * p.sds[i]);
    m[j][u + j] = 1;
  }
  for (std::size_t j = 0; j < u; ++j) {
    const long double pivot = m[j][j];
    for (auto& v : m[j]) v /= pivot;
    for (std::size_t k = 0; k < u; ++k) {
      if (k == j) continue;
      const long double f = m[k][j];
      for (std::size_t c = 0; c < 2 * u; ++c) m[k][c] -= f * m[j][c];
    }
  }
  for (auto& row : m) row.erase(row.begin(), row.begin() + static_cast<long>(u));
  return m;
}

}  // namespace

TEST_CASE("laws of a weighted fit") {
  std::mt19937 random(1);
  for (int trial = 0; trial < 50; ++trial) {
    const LinearProblem p = random_problem(random, 12, 4);
    const Solution s = solve(p);
    REQUIRE(s.full_rank);
    CHECK(s.degrees_of_freedom == 8);
    for (std::size_t j = 0; j < 4; ++j) {  // A'Pv = 0
      double sum = 0;
      for (std::size_t i = 0; i < 12; ++i) sum += p.design(i, j) * s.residuals[i] / (p.sds[i] * p.sds[i]);
      CHECK(std::abs(sum) < 1e-11);
    }
    CHECK(std::accumulate(s.redundancy.begin(), s.redundancy.end(), 0.0) ==
          doctest::Approx(8).epsilon(1e-12));
    const auto q = inverse_normal(p);
    for (std::size_t j = 0; j < 4; ++j)
      for (std::size_t k = 0; k < 4; ++k)
        CHECK(s.covariance(j, k) == doctest::Approx(static_cast<double>(q[j][k])).epsilon(1e-11));
    for (std::size_t i = 0; i < 12; ++i) {
      long double leverage = 0;
      for (std::size_t j = 0; j < 4; ++j)
        for (std::size_t k = 0; k < 4; ++k) leverage += q[j][k] * p.design(i, j) * p.design(i, k);
      const double r = static_cast<double>(1 - leverage / (static_cast<long double>(p.sds[i]) * p.sds[i]));
      CHECK(s.redundancy[i] == doctest::Approx(r).epsilon(1e-11));
      CHECK(*s.standardised[i] == doctest::Approx(s.residuals[i] / (p.sds[i] * std::sqrt(r))).epsilon(1e-11));
    }
  }
}

TEST_CASE("the estimator in matrix form has the same quality as the solution") {
  std::mt19937 random(1);
  const LinearProblem p = random_problem(random, 9, 3);
  const Solution s = solve(p);
  const auto q = inverse_normal(p);
  Matrix g(3, 9);
  for (std::size_t j = 0; j < 3; ++j)
    for (std::size_t i = 0; i < 9; ++i)
      for (std::size_t k = 0; k < 3; ++k)
        g(j, i) += static_cast<double>(q[j][k]) * p.design(i, k) / (p.sds[i] * p.sds[i]);
  const EstimatorQuality e = quality(g, p.design, p.sds);
  const auto w = standardise(s.residuals, e);
  for (std::size_t i = 0; i < 9; ++i) {
    CHECK(e.redundancy[i] == doctest::Approx(s.redundancy[i]).epsilon(1e-10));
    CHECK(e.residual_variance[i] == doctest::Approx(s.redundancy[i] * p.sds[i] * p.sds[i]).epsilon(1e-10));
    CHECK(*w[i] == doctest::Approx(*s.standardised[i]).epsilon(1e-10));
  }
  for (std::size_t j = 0; j < 3; ++j)
    CHECK(e.parameter_covariance(j, j) == doctest::Approx(s.covariance(j, j)).epsilon(1e-10));
}

TEST_CASE("prediction needs no values") {
  std::mt19937 random(1);
  const LinearProblem p = random_problem(random, 8, 3);
  const Solution s = solve(p);
  const Prediction f = predict(p.design, p.sds);
  CHECK(f.covariance.values == s.covariance.values);
  CHECK(f.redundancy == s.redundancy);
}

TEST_CASE("short rank names what is open") {
  SUBCASE("a parameter that no observation sees") {
    LinearProblem p{Matrix(3, 2), {1, 2, 3}, {1, 1, 1}};
    for (std::size_t i = 0; i < 3; ++i) p.design(i, 0) = 1;
    const Solution s = solve(p);
    CHECK_FALSE(s.full_rank);
    CHECK(s.rank == 1);
    CHECK(s.parameters.empty());
    CHECK(s.parameter_open == std::vector{false, true});
    REQUIRE(s.open.cols == 1);
    CHECK(s.open(0, 0) == 0.0);
    CHECK(s.open(1, 0) == 1.0);
  }
  SUBCASE("two parameters seen only as a sum, in very different units") {
    LinearProblem p{Matrix(4, 3), {1, 2, 3, 4}, {1, 1, 1, 1}};
    for (std::size_t i = 0; i < 4; ++i) {
      p.design(i, 0) = static_cast<double>(i) * 1e8;
      p.design(i, 1) = static_cast<double>(i) * 1e-4;
      p.design(i, 2) = 1;
    }
    const Solution s = solve(p);
    CHECK(s.rank == 2);
    CHECK(s.parameter_open == std::vector{true, true, false});
    CHECK(s.open(0, 0) * 1e8 == doctest::Approx(-s.open(1, 0) * 1e-4).epsilon(1e-9));
  }
  SUBCASE("fewer observations than parameters") {
    LinearProblem p{Matrix(1, 2), {1}, {1}};
    p.design(0, 0) = p.design(0, 1) = 1;
    const Solution s = solve(p);
    CHECK(s.rank == 1);
    CHECK(s.parameter_open == std::vector{true, true});
  }
  SUBCASE("no observations at all") {
    const Solution s = solve({Matrix(0, 2), {}, {}});
    CHECK(s.rank == 0);
    CHECK_FALSE(s.full_rank);
    CHECK(s.parameter_open == std::vector{true, true});
  }
  SUBCASE("columns of very different size are no shortage of rank") {
    LinearProblem p{Matrix(3, 2), {1, 2, 4}, {1, 1, 1}};
    for (std::size_t i = 0; i < 3; ++i) {
      p.design(i, 0) = 1e-9;
      p.design(i, 1) = static_cast<double>(i) * 1e9;
    }
    CHECK(solve(p).full_rank);
  }
}

TEST_CASE("an observation that alone fixes a parameter has no standardised residual") {
  LinearProblem p{Matrix(3, 2), {1, 1.5, 7}, {1, 1, 1}};
  p.design(0, 0) = p.design(1, 0) = 1;
  p.design(2, 1) = 1;
  const Solution s = solve(p);
  CHECK(s.redundancy[2] == 0.0);
  CHECK_FALSE(s.standardised[2].has_value());
  CHECK(s.standardised[0].has_value());
  CHECK(*s.variance_factor == doctest::Approx(0.125));
}

TEST_CASE("nothing left over has no variance factor") {
  LinearProblem p{Matrix(2, 2), {3, 5}, {1, 1}};
  p.design(0, 0) = p.design(1, 1) = 1;
  const Solution s = solve(p);
  CHECK(s.degrees_of_freedom == 0);
  CHECK_FALSE(s.variance_factor.has_value());
}

TEST_CASE("nonlinear driver tells where the rank is short and where it does not settle") {
  const std::vector<double> observed{1, 2}, sds{1, 1}, start{0.5, 0.5};
  const auto both_in_one = solve_nonlinear(observed, sds, start, [](auto x, auto computed, Matrix& design) {
    for (std::size_t i = 0; i < 2; ++i) {
      computed[i] = x[0] * x[1];
      design(i, 0) = x[1];
      design(i, 1) = x[0];
    }
  });
  CHECK_FALSE(both_in_one.converged);
  CHECK_FALSE(both_in_one.full_rank);
  CHECK(both_in_one.parameters.empty());
  NonlinearOptions one_step;
  one_step.most_steps = 1;
  const std::vector<double> far{30.0};
  const auto stopped = solve_nonlinear(
      observed, sds, far,
      [](auto x, auto computed, Matrix& design) {
        for (std::size_t i = 0; i < 2; ++i) {
          computed[i] = std::exp(x[0]);
          design(i, 0) = std::exp(x[0]);
        }
      },
      one_step);
  CHECK_FALSE(stopped.converged);
}
