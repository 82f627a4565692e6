#include "adjust/solve.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <Eigen/Dense>

namespace deckmark {

namespace {

using RowMatrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

Eigen::Map<const RowMatrix> as_eigen(const Matrix& m) {
  return {m.values.data(), static_cast<Eigen::Index>(m.rows), static_cast<Eigen::Index>(m.cols)};
}
Eigen::Map<const Eigen::VectorXd> as_eigen(std::span<const double> v) {
  return {v.data(), static_cast<Eigen::Index>(v.size())};
}
Matrix from_eigen(const RowMatrix& m) {
  Matrix out(static_cast<std::size_t>(m.rows()), static_cast<std::size_t>(m.cols()));
  std::copy(m.data(), m.data() + m.size(), out.values.begin());
  return out;
}
std::vector<double> from_eigen(const Eigen::VectorXd& v) { return {v.data(), v.data() + v.size()}; }

/// Equations weighted by 1/sd, columns brought to length 1, and factored.
struct Factored {
  Eigen::VectorXd column_scale;  // lengths of the weighted columns; 1 for a column of zeros
  RowMatrix weighted;            // scaled
  Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr;
};

Factored factor(const Matrix& design, std::span<const double> sds) {
  assert(design.rows == sds.size());
  Factored f;
  f.weighted = as_eigen(sds).cwiseInverse().asDiagonal() * as_eigen(design);
  f.column_scale = f.weighted.colwise().norm();
  for (double& s : f.column_scale) s = s > 0 ? s : 1.0;
  f.weighted = f.weighted * f.column_scale.cwiseInverse().asDiagonal();
  f.qr.setThreshold(kRankTolerance);
  f.qr.compute(f.weighted);
  return f;
}

Eigen::Index rank_of(const Factored& f) { return f.weighted.size() == 0 ? 0 : f.qr.rank(); }

/// Redundancies 1 - h, h = squared length of the row of the thin orthogonal factor.
std::vector<double> redundancies(const Factored& f, Eigen::Index rank) {
  const Eigen::Index n = f.weighted.rows();
  Eigen::MatrixXd thin = Eigen::MatrixXd::Identity(n, rank);
  thin.applyOnTheLeft(f.qr.householderQ());
  std::vector<double> out;
  for (Eigen::Index i = 0; i < n; ++i) {
    const double r = 1.0 - thin.row(i).squaredNorm();
    out.push_back(r < kNoRedundancy ? 0.0 : std::min(r, 1.0));
  }
  return out;
}

/// Combinations of parameters that change no computed observation.
void fill_open(const Factored& f, Eigen::Index rank, Prediction& out) {
  const Eigen::Index u = f.weighted.cols();
  Eigen::MatrixXd basis = Eigen::MatrixXd::Zero(u, u - rank);
  const Eigen::MatrixXd r = f.qr.matrixR().topRows(rank).template triangularView<Eigen::Upper>();
  if (rank > 0)
    basis.topRows(rank) =
        -r.leftCols(rank).template triangularView<Eigen::Upper>().solve(r.rightCols(u - rank));
  basis.bottomRows(u - rank).setIdentity();
  basis = f.qr.colsPermutation() * basis;
  out.parameter_open.assign(static_cast<std::size_t>(u), false);
  for (Eigen::Index k = 0; k < basis.cols(); ++k) {
    basis.col(k) /= basis.col(k).cwiseAbs().maxCoeff();
    for (Eigen::Index j = 0; j < u; ++j)
      if (std::abs(basis(j, k)) > 1e-6) out.parameter_open[static_cast<std::size_t>(j)] = true;
  }
  out.open = from_eigen(RowMatrix(f.column_scale.cwiseInverse().asDiagonal() * basis));
}

void fill_prediction(const Factored& f, Prediction& out) {
  const Eigen::Index u = f.weighted.cols();
  const Eigen::Index rank = rank_of(f);
  out.rank = static_cast<std::size_t>(rank);
  out.full_rank = rank == u;
  out.redundancy = rank == 0 ? std::vector<double>(static_cast<std::size_t>(f.weighted.rows()), 1.0)
                             : redundancies(f, rank);
  if (!out.full_rank) {
    if (f.weighted.size() > 0) {
      fill_open(f, rank, out);
    } else {
      out.open = from_eigen(RowMatrix(RowMatrix::Identity(u, u)));
      out.parameter_open.assign(static_cast<std::size_t>(u), true);
    }
    return;
  }
  out.parameter_open.assign(static_cast<std::size_t>(u), false);
  const Eigen::MatrixXd inverse = f.qr.matrixR().topRows(u).template triangularView<Eigen::Upper>().solve(
      Eigen::MatrixXd::Identity(u, u));
  const Eigen::MatrixXd root =
      f.column_scale.cwiseInverse().asDiagonal() * (f.qr.colsPermutation() * inverse).eval();
  out.covariance = from_eigen(RowMatrix(root * root.transpose()));
}

}  // namespace

Prediction predict(const Matrix& design, std::span<const double> sds) {
  Prediction out;
  fill_prediction(factor(design, sds), out);
  return out;
}

Solution solve(const LinearProblem& problem) {
  assert(problem.observed.size() == problem.sds.size());
  const Factored f = factor(problem.design, problem.sds);
  Solution out;
  fill_prediction(f, out);
  if (!out.full_rank) return out;
  const auto design = as_eigen(problem.design);
  const auto observed = as_eigen(problem.observed);
  const Eigen::VectorXd weights = as_eigen(problem.sds).cwiseInverse();
  Eigen::VectorXd x = Eigen::VectorXd::Zero(design.cols());
  Eigen::VectorXd residual = observed;
  // One correction with the residuals of the first solution takes back most of what the first lost to
  // conditioning.
  for (int pass = 0; pass < 2 && design.cols() > 0; ++pass) {
    const Eigen::VectorXd rhs = weights.cwiseProduct(residual);
    x += f.column_scale.cwiseInverse().cwiseProduct(f.qr.solve(rhs));
    residual = observed - design * x;
  }
  out.parameters = from_eigen(x);
  out.computed = from_eigen(Eigen::VectorXd(observed - residual));
  out.residuals = from_eigen(residual);
  out.square_sum = weights.cwiseProduct(residual).squaredNorm();
  for (std::size_t i = 0; i < out.residuals.size(); ++i) {
    const double r = out.redundancy[i];
    out.standardised.push_back(r > 0 ? std::optional(out.residuals[i] / (problem.sds[i] * std::sqrt(r)))
                                     : std::nullopt);
  }
  out.degrees_of_freedom = problem.observed.size() - out.rank;
  if (out.degrees_of_freedom > 0)
    out.variance_factor = out.square_sum / static_cast<double>(out.degrees_of_freedom);
  return out;
}

EstimatorQuality quality(const Matrix& estimator, const Matrix& design, std::span<const double> sds) {
  const auto g = as_eigen(estimator);
  const auto a = as_eigen(design);
  const Eigen::VectorXd s = as_eigen(sds).cwiseAbs2();
  const RowMatrix covariance = g * s.asDiagonal() * g.transpose();
  EstimatorQuality out;
  // Row by row, so that nothing of observations x observations is ever held: with h = (A G)_ii,
  // variance = s - 2 h s + a (G S G') a'.
  for (Eigen::Index i = 0; i < a.rows(); ++i) {
    const double h = a.row(i).dot(g.col(i));
    const double redundancy = std::abs(1 - h) < kNoRedundancy ? 0.0 : 1 - h;
    out.redundancy.push_back(redundancy);
    out.residual_variance.push_back(
        redundancy == 0
            ? 0.0
            : std::max(0.0, s(i) - 2 * h * s(i) + (a.row(i) * covariance * a.row(i).transpose())(0)));
  }
  out.parameter_covariance = from_eigen(covariance);
  return out;
}

std::vector<std::optional<double>> standardise(std::span<const double> residuals,
                                               const EstimatorQuality& quality) {
  std::vector<std::optional<double>> out;
  for (std::size_t i = 0; i < residuals.size(); ++i) {
    const bool checked = quality.redundancy[i] > 0 && quality.residual_variance[i] > 0;
    out.push_back(checked ? std::optional(residuals[i] / std::sqrt(quality.residual_variance[i]))
                          : std::nullopt);
  }
  return out;
}

}  // namespace deckmark
