// Published tables; sources and tolerances in tests/vectors/reference/statistics_tables.csv.
#include "adjust/statistics.h"

#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "support/vector_file.h"

using namespace deckmark;

TEST_CASE("published quantiles and probabilities") {
  int met = 0;
  for (const auto& row : deckmark_test::read_vectors("vectors/reference/statistics_tables.csv")) {
    const auto in = deckmark_test::split_inputs(row.at("inputs"));
    const auto of = [&](const char* key) { return std::stod(in.at(key)); };
    const auto dist = in.find("dist");
    if (dist == in.end()) continue;  // conformity probabilities belong to the as-built checks
    double got = std::nan("");
    if (dist->second == "t_upper")
      got = student_quantile(1 - of("p"), of("nu"));
    else if (dist->second == "t_upper_inf")
      got = normal_quantile(1 - of("p"));
    else if (dist->second == "chi2_upper")
      got = chi_squared_quantile(1 - of("p"), of("nu"));
    else if (dist->second == "F_upper")
      got = fisher_quantile(1 - of("p"), of("nu1"), of("nu2"));
    else if (dist->second == "norm_0_to_z")
      got = normal_cdf(of("z")) - 0.5;
    else if (dist->second == "ellipse_factor")
      got = ellipse_factor(of("conf"));
    CAPTURE(row.at("id"));
    CAPTURE(row.at("inputs"));
    CHECK(std::abs(got - std::stod(row.at("expected"))) <= std::stod(row.at("tol")));
    ++met;
  }
  CHECK(met >= 150);
}

TEST_CASE("distribution functions undo their quantiles") {
  for (const double p : {1e-6, 0.001, 0.025, 0.5, 0.9, 0.9995}) {
    CAPTURE(p);
    CHECK(normal_cdf(normal_quantile(p)) == doctest::Approx(p).epsilon(1e-10));
    for (const double nu : {1.0, 2.0, 7.0, 40.0}) {
      CHECK(student_cdf(student_quantile(p, nu), nu) == doctest::Approx(p).epsilon(1e-9));
      CHECK(chi_squared_cdf(chi_squared_quantile(p, nu), nu) == doctest::Approx(p).epsilon(1e-9));
      CHECK(fisher_cdf(fisher_quantile(p, nu, 5), nu, 5) == doctest::Approx(p).epsilon(1e-9));
      CHECK(fisher_upper_tail(fisher_quantile(p, nu, 5), nu, 5) == doctest::Approx(1 - p).epsilon(1e-9));
      CHECK(chi_squared_upper_tail(chi_squared_quantile(p, nu), nu) == doctest::Approx(1 - p).epsilon(1e-9));
    }
  }
}

// Critical values computed for this project with independent critical-value code: two-sided alpha 0.001 and
// 0.05.
TEST_CASE("critical values of the standardised residual by estimated sd") {
  struct Row {
    std::size_t r;
    double at_001, at_05;
  };
  for (const Row& row :
       {Row{1, 1.000, 1.000}, Row{2, 1.414, 1.410}, Row{3, 1.730, 1.645}, Row{5, 2.178, 1.814},
        Row{10, 2.679, 1.904}, Row{30, 3.078, 1.945}, Row{100, 3.226, 1.956}}) {
    CAPTURE(row.r);
    CHECK(std::abs(tau_critical(0.001, row.r) - row.at_001) <= 0.0006);
    CHECK(std::abs(tau_critical(0.05, row.r) - row.at_05) <= 0.0006);
  }
}

// Baarda 1968 (0.001, 0.80: 4.132); the other pairs derived. From memory.
TEST_CASE("shift that a test finds") {
  CHECK(noncentrality(0.001, 0.80) == doctest::Approx(4.1321).epsilon(1e-5));
  CHECK(noncentrality(0.01, 0.80) == doctest::Approx(3.417).epsilon(2e-4));
  CHECK(noncentrality(0.05, 0.80) == doctest::Approx(2.802).epsilon(2e-4));
  CHECK(noncentrality(0.001, 0.90) == doctest::Approx(4.572).epsilon(2e-4));
}

// Limits for 10 degrees of freedom from the published chi-square table: 3.247 and 20.483.
TEST_CASE("global test of the variance factor") {
  CHECK(test_variance(0.324, 10, 0.05).too_low);
  CHECK_FALSE(test_variance(0.326, 10, 0.05).too_low);
  CHECK(test_variance(2.049, 10, 0.05).too_high);
  CHECK_FALSE(test_variance(2.047, 10, 0.05).too_high);
}
