// Elimination of blocks against the dense solution of the same equations.
#include "adjust/blocks.h"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "adjust/solve.h"

using namespace deckmark;

namespace {

/// Two setups of two shared unknowns each, five points of two, a pair of observations from each setup to
/// each.
struct Drawn {
  BlockProblem problem;
  LinearProblem dense;
};
Drawn draw(unsigned seed, std::size_t points) {
  std::mt19937 engine(seed);
  std::uniform_real_distribution<double> any(-1, 1);
  Drawn d;
  d.problem.unknowns = 4 + 2 * points;
  d.problem.blocks.resize(d.problem.unknowns);
  for (std::size_t p = 0; p < points; ++p) d.problem.blocks[4 + 2 * p] = d.problem.blocks[5 + 2 * p] = p;
  const auto equation = [&](std::initializer_list<std::size_t> unknowns) {
    BlockEquation e;
    for (const std::size_t u : unknowns) e.form.push_back({u, any(engine)});
    e.right = any(engine);
    d.problem.equations.push_back(std::move(e));
  };
  for (std::size_t p = 0; p < points; ++p)
    for (std::size_t s = 0; s < 2; ++s)
      for (int k = 0; k < 2; ++k) equation({2 * s, 2 * s + 1, 4 + 2 * p, 5 + 2 * p});
  equation({0}), equation({1}), equation({2, 3}), equation({3});
  d.dense.design = Matrix(d.problem.equations.size(), d.problem.unknowns);
  for (std::size_t i = 0; i < d.problem.equations.size(); ++i) {
    for (const Term& t : d.problem.equations[i].form) d.dense.design(i, t.unknown) += t.factor;
    d.dense.observed.push_back(d.problem.equations[i].right);
    d.dense.sds.push_back(1);
  }
  return d;
}

}  // namespace

TEST_CASE("blocks: values, redundancies and covariances are those of the dense solution") {
  for (unsigned seed = 1; seed <= 40; ++seed) {
    CAPTURE(seed);
    const Drawn d = draw(seed, 1 + seed % 6);
    const BlockSolution fast(d.problem);
    const Solution slow = solve(d.dense);
    REQUIRE(fast.full_rank() == slow.full_rank);
    REQUIRE(slow.full_rank);
    const double worst = [&] {
      double most = 1;
      for (std::size_t u = 0; u < d.problem.unknowns; ++u) most = std::max(most, slow.covariance(u, u));
      return most;
    }();
    std::vector<LinearForm> forms;
    for (std::size_t u = 0; u < d.problem.unknowns; ++u) {
      CHECK(std::abs(fast.unknowns()[u] - slow.parameters[u]) <= 1e-10 * worst);
      forms.push_back({{u, 1}});
    }
    const Matrix q = fast.covariance(forms);
    for (std::size_t u = 0; u < d.problem.unknowns; ++u)
      for (std::size_t v = 0; v < d.problem.unknowns; ++v)
        CHECK(std::abs(q(u, v) - slow.covariance(u, v)) <= 1e-9 * worst);
    double sum = 0;
    for (std::size_t i = 0; i < d.problem.equations.size(); ++i) {
      CHECK(std::abs(fast.redundancy(i) - slow.redundancy[i]) <= 1e-9);
      CHECK(std::abs(fast.residuals()[i] - slow.residuals[i]) <= 1e-10 * worst);
      sum += fast.redundancy(i);
    }
    CHECK(std::abs(sum - static_cast<double>(fast.degrees_of_freedom())) <= 1e-7);
    CHECK(std::abs(fast.square_sum() - slow.square_sum) <= 1e-9 * (1 + slow.square_sum));
    // A form may name an unknown twice, and unknowns of several blocks.
    const LinearForm twice{{0, 0.5}, {0, 0.5}, {4, 1}, {d.problem.unknowns - 1, -2}};
    const LinearForm once{{0, 1}, {4, 1}, {d.problem.unknowns - 1, -2}};
    CHECK(std::abs(fast.variance(twice) - fast.variance(once)) <= 1e-12 * worst);
  }
}

TEST_CASE("blocks: the fall that an error model brings is that of a fit with it") {
  const Drawn d = draw(7, 5);
  const BlockSolution before(d.problem);
  // One error in equations 3 and 9 alike, one of its own in 12.
  const std::vector<std::vector<Term>> columns{{{3, 1.0}, {9, 0.5}}, {{12, 2.0}}};
  const Fall fall = before.fall(columns);
  REQUIRE(fall.determined);
  BlockProblem with = d.problem;
  with.unknowns += 2;
  with.blocks.resize(with.unknowns);
  for (std::size_t k = 0; k < columns.size(); ++k)
    for (const Term& t : columns[k])
      with.equations[t.unknown].form.push_back({d.problem.unknowns + k, t.factor});
  const BlockSolution after(with);
  REQUIRE(after.full_rank());
  CHECK(std::abs(before.square_sum() - after.square_sum() - fall.square_sum) <= 1e-9);
  for (std::size_t k = 0; k < 2; ++k) {
    CHECK(std::abs(after.unknowns()[d.problem.unknowns + k] - fall.estimates[k]) <= 1e-9);
    const LinearForm form{{d.problem.unknowns + k, 1}};
    CHECK(std::abs(after.variance(form) - fall.covariance(k, k)) <= 1e-8);
  }
  // The same error twice cannot be told apart.
  CHECK_FALSE(before.fall(std::vector<std::vector<Term>>{{{3, 1.0}}, {{3, 2.0}}}).determined);
}

TEST_CASE("blocks: what nothing fixes is named, in a block and among the shared") {
  Drawn d = draw(3, 3);
  // The second point keeps one equation for two unknowns.
  std::erase_if(d.problem.equations, [first = true](const BlockEquation& e) mutable {
    bool mine = false;
    for (const Term& t : e.form) mine = mine || t.unknown == 6;
    if (mine && first) return first = false;
    return mine;
  });
  CHECK(BlockSolution(d.problem).open() == std::vector<std::size_t>{6, 7});
  Drawn shared = draw(3, 1);
  shared.problem.unknowns += 1;  // nothing names the last one
  shared.problem.blocks.resize(shared.problem.unknowns);
  CHECK(BlockSolution(shared.problem).open() == std::vector<std::size_t>{shared.problem.unknowns - 1});
}
