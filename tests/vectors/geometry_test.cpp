// Published geometry: tests/vectors/reference/geometry_examples.csv (sources in its rows).

#include <doctest/doctest.h>

#include <cmath>
#include <map>
#include <string>
#include <vector>

#include "adjust/solve.h"
#include "measure/frame.h"
#include "support/vector_file.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

/// Centre and radius of the geometric least-squares circle: distances to the centre less the radius are
/// observed as 0.
std::vector<double> circle_through(const std::vector<double>& x, const std::vector<double>& y) {
  const Model model = [&](std::span<const double> p, std::span<double> computed, Matrix& design) {
    for (std::size_t i = 0; i < x.size(); ++i) {
      const double dx = p[0] - x[i], dy = p[1] - y[i], d = std::hypot(dx, dy);
      computed[i] = d - p[2];
      design(i, 0) = dx / d;
      design(i, 1) = dy / d;
      design(i, 2) = -1;
    }
  };
  const std::vector<double> observed(x.size(), 0.0), sds(x.size(), 1.0), start = {5, 3, 4};
  const NonlinearSolution s = solve_nonlinear(observed, sds, start, model);
  REQUIRE(s.converged);
  return s.parameters;
}

}  // namespace

TEST_CASE("right angles and the least-squares circle agree with published values") {
  int checked = 0, later = 0;
  for (const VectorRow& row : read_vectors("vectors/reference/geometry_examples.csv")) {
    CAPTURE(row.at("id"));
    CAPTURE(row.at("source"));
    const auto in = split_inputs(row.at("inputs"));
    const double want = std::stod(row.at("expected")), tolerance = std::stod(row.at("tol"));
    double got = 0;
    if (row.at("calc") == "triangle") {
      const Point<Drawing> corner{{.x = Length::metres(0), .y = Length::metres(0)}};
      const Point<Drawing> far{
          {.x = Length::metres(std::stod(in.at("a"))), .y = Length::metres(std::stod(in.at("b")))}};
      got = distance(corner, far).metres();
    } else if (row.at("calc") == "circle_fit") {
      const auto circle = circle_through(split_numbers(in.at("x")), split_numbers(in.at("y")));
      const std::map<std::string, std::size_t> index = {{"xc", 0}, {"yc", 1}, {"r", 2}};
      got = circle[index.at(row.at("output"))];
    } else {
      REQUIRE(row.at("calc") ==
              "curve");  // elements of circular curves: the program has no runs along arcs yet
      ++later;
      continue;
    }
    CHECK(std::abs(got - want) <= tolerance);
    ++checked;
  }
  CHECK(checked == 5);
  CHECK(later == 7);
}
