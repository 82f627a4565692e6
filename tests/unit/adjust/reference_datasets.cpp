// NIST Statistical Reference Datasets, linear (Norris, Longley, Wampler1 to Wampler5) and nonlinear
// (Misra1a); certified values and their source in tests/vectors/reference/nist_strd_certified.csv.
#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "adjust/dual.h"
#include "adjust/solve.h"
#include "support/vector_file.h"

using namespace deckmark;
using deckmark_test::read_vectors;
using deckmark_test::VectorRow;

namespace {

double number(const std::string& s) { return std::stod(s); }

std::map<std::string, double> certified(const std::string& dataset) {
  std::map<std::string, double> out;
  for (const auto& row : read_vectors("vectors/reference/nist_strd_certified.csv"))
    if (row.at("dataset") == dataset) out[row.at("quantity")] = number(row.at("certified"));
  REQUIRE(out.size() > 4);
  return out;
}

/// Digits that agree: -log10 of the relative difference, of the absolute one where the certified value is 0.
double digits(double got, double want) {
  const double off = std::abs(got - want) / (want == 0 ? 1.0 : std::abs(want));
  return off == 0 ? 16.0 : -std::log10(off);
}

struct Digits {
  double parameters = 16, sds = 16, residual_sd = 16;
};

Digits compare(const Solution& s, const std::map<std::string, double>& want, const std::string& first) {
  REQUIRE(s.full_rank);
  Digits d;
  const double sigma = std::sqrt(*s.variance_factor);
  const int base = first == "B0" ? 0 : 1;
  for (std::size_t j = 0; j < s.parameters.size(); ++j) {
    const std::string name = first.substr(0, 1) + std::to_string(base + static_cast<int>(j));
    d.parameters = std::min(d.parameters, digits(s.parameters[j], want.at(name)));
    d.sds = std::min(d.sds, digits(sigma * std::sqrt(s.covariance(j, j)), want.at("sd_" + name)));
  }
  d.residual_sd = digits(sigma, want.at("residual_sd"));
  return d;
}

/// A reference set as a problem; `factor(row, j)` is column j of its design.
template <class Factor>
LinearProblem problem_of(const std::string& set, const std::string& observed, std::size_t columns,
                         const Factor& factor) {
  LinearProblem p;
  const auto rows = read_vectors("vectors/reference/nist_strd_" + set + ".csv");
  p.design = Matrix(rows.size(), columns);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    p.observed.push_back(number(rows[i].at(observed)));
    for (std::size_t j = 0; j < columns; ++j) p.design(i, j) = factor(rows[i], j);
  }
  p.sds.assign(rows.size(), 1.0);
  return p;
}

LinearProblem norris() {
  return problem_of("norris", "y", 2,
                    [](const VectorRow& row, std::size_t j) { return j == 0 ? 1 : number(row.at("x")); });
}

LinearProblem longley() {
  return problem_of("longley", "y", 7, [](const VectorRow& row, std::size_t j) {
    return j == 0 ? 1 : number(row.at("x" + std::to_string(j)));
  });
}

LinearProblem wampler(int n) {
  return problem_of("wampler", "y" + std::to_string(n), 6, [](const VectorRow& row, std::size_t j) {
    double power = 1;
    for (std::size_t k = 0; k < j; ++k) power *= number(row.at("x"));
    return power;
  });
}

}  // namespace

// Digits asked of each set follow from its conditioning: after column scaling the condition numbers are about
// 3 (Norris), 4e4 (Longley) and 2e3 (Wampler), and a backward stable method in double precision loses that
// many of its 16 digits, twice over where the residuals are large against the fitted values.
TEST_CASE("linear reference datasets") {
  SUBCASE("Norris") {
    const Digits d = compare(solve(norris()), certified("Norris"), "B0");
    CAPTURE(d.parameters);
    CAPTURE(d.sds);
    CHECK(d.parameters >= 12);
    CHECK(d.sds >= 12);
    CHECK(d.residual_sd >= 12);
  }
  SUBCASE("Longley") {
    const Digits d = compare(solve(longley()), certified("Longley"), "B0");
    CAPTURE(d.parameters);
    CAPTURE(d.sds);
    CHECK(d.parameters >= 11);
    CHECK(d.sds >= 11);
    CHECK(d.residual_sd >= 11);
  }
  // The two exact sets: residuals are rounding, so only their size can be asked for. Data up to 4e6 and 60.
  SUBCASE("Wampler1 and 2") {
    for (const auto& [n, noise] : {std::pair{1, 1e-8}, {2, 1e-13}}) {
      CAPTURE(n);
      const auto want = certified("Wampler" + std::to_string(n));
      const Solution s = solve(wampler(n));
      for (std::size_t j = 0; j < 6; ++j)
        CHECK(digits(s.parameters[j], want.at("B" + std::to_string(j))) >= 9);
      CHECK(std::sqrt(*s.variance_factor) < noise);
    }
  }
  // Residuals of 2e3, 2e5 and 2e7 beside parameters of 1: each hundredfold costs two digits of the
  // parameters, which is inherent to double precision; sds and residual sd do not suffer.
  SUBCASE("Wampler3, 4 and 5") {
    for (const auto& [n, least] : {std::pair{3, 9.0}, {4, 8.0}, {5, 6.0}}) {
      CAPTURE(n);
      const Digits d = compare(solve(wampler(n)), certified("Wampler" + std::to_string(n)), "B0");
      CAPTURE(d.parameters);
      CAPTURE(d.sds);
      CHECK(d.parameters >= least);
      CHECK(d.sds >= 11);
      CHECK(d.residual_sd >= 11);
    }
  }
}

TEST_CASE("nonlinear reference dataset Misra1a from both starts") {
  const auto rows = read_vectors("vectors/reference/nist_strd_misra1a.csv");
  std::vector<double> y, sds(rows.size(), 1.0), x;
  for (const auto& row : rows) {
    y.push_back(number(row.at("y")));
    x.push_back(number(row.at("x")));
  }
  const Model model = [&](std::span<const double> b, std::span<double> computed, Matrix& design) {
    const auto b1 = Dual<2>::unknown(b[0], 0), b2 = Dual<2>::unknown(b[1], 1);
    for (std::size_t i = 0; i < x.size(); ++i) {
      const Dual<2> f = b1 * (1.0 - exp(-b2 * x[i]));
      computed[i] = f.value;
      for (std::size_t j = 0; j < 2; ++j) design(i, j) = f.slope[j];
    }
  };
  const auto want = certified("Misra1a");
  for (const auto& start : {std::vector{500.0, 0.0001}, {250.0, 0.0005}}) {
    const NonlinearSolution s = solve_nonlinear(y, sds, start, model);
    CHECK(s.converged);
    const Digits d = compare(s, want, "b1");
    CAPTURE(d.parameters);
    CAPTURE(d.sds);
    // Certified to 11 digits; the fit is ill-conditioned enough to lose one or two of them.
    CHECK(d.parameters >= 9);
    CHECK(d.sds >= 9);
    CHECK(d.residual_sd >= 10);
  }
}
