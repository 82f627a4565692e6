// Probabilities of conformity against published examples and independent integrals; 95 % circles.
#include "asbuilt/conformity.h"

#include <doctest/doctest.h>

#include <boost/math/distributions/non_central_chi_squared.hpp>
#include <cmath>
#include <random>

#include "support/vector_file.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

std::optional<double> given(const std::map<std::string, std::string>& inputs, const std::string& key) {
  const auto at = inputs.find(key);
  if (at == inputs.end()) return std::nullopt;
  return std::stod(at->second);
}

Vec<Site> offset(double north, double east) {
  return {{.northing = Length::millimetres(north), .easting = Length::millimetres(east)}};
}

PlanCovariance<Site> covariance(double north, double cross, double east) {  // mm^2
  return {north * 1e-6, cross * 1e-6, east * 1e-6};
}

/// Rice: probability that the length of a circular normal vector about `off` is under `radius`.
double rice(double off, double sd, double radius) {
  const double shift = off * off / (sd * sd);
  return boost::math::cdf(boost::math::non_central_chi_squared(2, shift), radius * radius / (sd * sd));
}

}  // namespace

TEST_CASE("conformity of an interval agrees with the guide's examples") {
  std::size_t seen = 0;
  for (const VectorRow& row : read_vectors("vectors/reference/statistics_tables.csv")) {
    if (row.at("calc") != "conformity") continue;
    ++seen;
    const auto inputs = split_inputs(row.at("inputs"));
    CAPTURE(row.at("id"));
    const double p = conformity_in_interval(std::stod(inputs.at("y")), std::stod(inputs.at("u")),
                                            given(inputs, "TL"), given(inputs, "TU"));
    CHECK(std::abs(p - std::stod(row.at("expected"))) <= std::stod(row.at("tol")));
  }
  CHECK(seen == 3);
}

TEST_CASE("greatest false-accept risk at a guarded limit") {
  // One-sided, k = 2, guard band w in shares of U = 2 u (recomputed from the normal integral; JCGM
  // 106:2012, 8.3).
  struct Row {
    double share, risk;
  };
  for (const Row& r : {Row{0, 0.50}, Row{0.25, 0.309}, Row{0.5, 0.159}, Row{0.83, 0.048}, Row{1.0, 0.023},
                       Row{1.25, 0.0062}, Row{1.5, 0.0013}}) {
    CAPTURE(r.share);
    CHECK(1 - conformity_in_interval(-r.share * 2, 1, std::nullopt, 0.0) ==
          doctest::Approx(r.risk).epsilon(0.02));
  }
}

TEST_CASE("conformity in a circle is the Rice distribution where the covariance is circular") {
  for (const double off : {0.0, 0.5, 3.0, 5.9, 6.0, 6.1, 9.0, 20.0})
    for (const double sd : {0.01, 0.3, 1.0, 2.0, 3.0, 8.0}) {
      CAPTURE(off);
      CAPTURE(sd);
      const double p = conformity_in_circle(offset(off * 0.6, off * 0.8), covariance(sd * sd, 0, sd * sd),
                                            Length::millimetres(6));
      CHECK(std::abs(p - rice(off, sd, 6)) < 1e-6);
    }
  // Centred: 1 - exp(-R^2 / 2u^2).
  CHECK(conformity_in_circle(offset(0, 0), covariance(4, 0, 4), Length::millimetres(6)) ==
        doctest::Approx(1 - std::exp(-36.0 / 8)).epsilon(1e-9));
}

TEST_CASE("conformity in a circle for an ellipse agrees with draws, and does not depend on axes") {
  std::mt19937 draws(1);
  std::normal_distribution<double> normal;
  constexpr int kDraws = 200000;
  struct Row {
    double north, east, a, b, turn;
  };  // mm, sds along the axes of the ellipse, degrees
  for (const Row& r :
       {Row{3, 4, 4, 1, 30}, Row{-5, 2, 3, 0.5, 75}, Row{6, 0, 2, 2, 10}, Row{0, 7, 5, 0.01, 120}}) {
    const double c = std::cos(r.turn * M_PI / 180), s = std::sin(r.turn * M_PI / 180);
    int inside = 0;
    for (int i = 0; i < kDraws; ++i) {
      const double u = r.a * normal(draws), v = r.b * normal(draws);
      if (std::hypot(r.north + u * c - v * s, r.east + u * s + v * c) <= 6) ++inside;
    }
    const auto cov = covariance(r.a * r.a * c * c + r.b * r.b * s * s, (r.a * r.a - r.b * r.b) * s * c,
                                r.a * r.a * s * s + r.b * r.b * c * c);
    const double share = static_cast<double>(inside) / kDraws;
    CHECK(std::abs(conformity_in_circle(offset(r.north, r.east), cov, Length::millimetres(6)) - share) <
          4 * 0.5 / std::sqrt(kDraws));
  }
}

TEST_CASE("without any uncertainty exactly at the limit conforms") {
  CHECK(conformity_in_circle(offset(3.6, 4.8), covariance(0, 0, 0), Length::millimetres(6)) == 1);
  CHECK(conformity_in_circle(offset(3.6, 4.801), covariance(0, 0, 0), Length::millimetres(6)) == 0);
}
