#include "adjust/correlated.h"

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
Eigen::Map<RowMatrix> as_eigen(Matrix& m) {
  return {m.values.data(), static_cast<Eigen::Index>(m.rows), static_cast<Eigen::Index>(m.cols)};
}
Eigen::Map<const Eigen::VectorXd> as_eigen(std::span<const double> v) {
  return {v.data(), static_cast<Eigen::Index>(v.size())};
}

/// What is added to the diagonal, as a share of it, where a covariance has no root.
constexpr double kFirstMend = 1e-14, kLastMend = 1e-3;

/// Of what cancels in the residuals, whose rounding whitening makes larger.
double largest_terms(std::span<const double> observed, std::span<const double> at, const Model& model) {
  std::vector<double> computed(observed.size());
  Matrix design(observed.size(), at.size());
  model(at, computed, design);
  double most = 0;
  for (std::size_t i = 0; i < observed.size(); ++i) {
    double terms = std::abs(observed[i]) + std::abs(computed[i]);
    for (std::size_t j = 0; j < at.size(); ++j) terms += std::abs(design(i, j) * at[j]);
    most = std::max(most, terms);
  }
  return most;
}

}  // namespace

Whitening::Whitening(const Matrix& covariance) : lower_(covariance.rows, covariance.cols) {
  assert(covariance.rows == covariance.cols);
  if (covariance.rows == 0) return;
  // Of the correlations, so that sds of any sizes stand beside each other.
  const Eigen::VectorXd sds = as_eigen(covariance).diagonal().cwiseSqrt();
  const Eigen::VectorXd shares = sds.cwiseInverse();
  Eigen::MatrixXd correlation = shares.asDiagonal() * as_eigen(covariance) * shares.asDiagonal();
  Eigen::LLT<Eigen::MatrixXd> root(correlation);
  for (double mend = kFirstMend; root.info() != Eigen::Success && mend <= kLastMend; mend *= 10) {
    correlation.diagonal().array() = 1 + mend;
    root.compute(correlation);
  }
  as_eigen(lower_) = sds.asDiagonal() * Eigen::MatrixXd(root.matrixL());
}

std::vector<double> Whitening::operator()(std::span<const double> v) const {
  assert(v.size() == lower_.rows);
  const Eigen::VectorXd out = as_eigen(lower_).triangularView<Eigen::Lower>().solve(as_eigen(v));
  return {out.data(), out.data() + out.size()};
}

Matrix Whitening::operator()(const Matrix& m) const {
  assert(m.rows == lower_.rows);
  Matrix out = m;
  as_eigen(lower_).triangularView<Eigen::Lower>().solveInPlace(as_eigen(out));
  return out;
}

Matrix Whitening::transposed(const Matrix& m) const {
  assert(m.rows == lower_.rows);
  Matrix out = m;
  as_eigen(lower_).transpose().triangularView<Eigen::Upper>().solveInPlace(as_eigen(out));
  return out;
}

double Whitening::least_sd() const { return lower_.rows == 0 ? 1.0 : as_eigen(lower_).diagonal().minCoeff(); }

double Whitening::square_sum(std::span<const double> v) const {
  const std::vector<double> w = (*this)(v);
  return as_eigen(std::span<const double>(w)).squaredNorm();
}

NonlinearSolution solve_nonlinear(std::span<const double> observed, const Whitening& whitening,
                                  std::span<const double> start, const Model& model) {
  const std::size_t n = observed.size();
  std::vector<double> at(n);
  // Misfits are whitened, not values: their differences lose no digits.
  const Model whitened = [&](std::span<const double> p, std::span<double> computed, Matrix& design) {
    Matrix plain(n, p.size());
    model(p, at, plain);
    for (std::size_t i = 0; i < n; ++i) at[i] -= observed[i];
    std::ranges::copy(whitening(at), computed.begin());
    design = whitening(plain);
  };
  const std::vector<double> nothing(n, 0.0), one(n, 1.0);
  NonlinearOptions options;
  options.magnitude = largest_terms(observed, start, model) / whitening.least_sd();
  NonlinearSolution out = solve_nonlinear(nothing, one, start, whitened, options);
  out.redundancy.clear();
  out.standardised.clear();
  out.residuals.clear();
  out.computed.clear();
  if (!out.converged) return out;
  Matrix design(n, out.parameters.size());
  model(out.parameters, at, design);
  out.computed = at;
  for (std::size_t i = 0; i < n; ++i) out.residuals.push_back(observed[i] - at[i]);
  return out;
}

Matrix part_of(const Matrix& whole, std::span<const std::size_t> rows) {
  Matrix out(rows.size(), rows.size());
  for (std::size_t i = 0; i < rows.size(); ++i)
    for (std::size_t j = 0; j < rows.size(); ++j) out(i, j) = whole(rows[i], rows[j]);
  return out;
}

EstimatorQuality quality(const Matrix& estimator, const Matrix& design, const Matrix& covariance) {
  const auto g = as_eigen(estimator);
  const auto a = as_eigen(design);
  const auto v = as_eigen(covariance);
  const RowMatrix gv = g * v, parameters = gv * g.transpose();
  EstimatorQuality out;
  for (Eigen::Index i = 0; i < a.rows(); ++i) {
    const double redundancy = 1 - a.row(i).dot(g.col(i));
    const double variance =
        v(i, i) - 2 * a.row(i).dot(gv.col(i)) + (a.row(i) * parameters * a.row(i).transpose())(0);
    const bool checked = std::abs(redundancy) >= kNoRedundancy && variance > kNoRedundancy * v(i, i);
    out.redundancy.push_back(checked ? redundancy : 0.0);
    out.residual_variance.push_back(checked ? variance : 0.0);
  }
  out.parameter_covariance = Matrix(estimator.rows, estimator.rows);
  as_eigen(out.parameter_covariance) = parameters;
  return out;
}

SingleErrors single_errors(const Matrix& design, const Whitening& whitening,
                           std::span<const double> residuals) {
  const std::size_t n = residuals.size();
  // With the whitened design W = Q R and L^-1 = M: P v = M' (M v), P Q P = M' (I - Q Q') M.
  Matrix unit(n, n);
  for (std::size_t i = 0; i < n; ++i) unit(i, i) = 1;
  const Matrix root = whitening(unit), whitened = whitening(design);
  const auto m = as_eigen(root);
  const Eigen::HouseholderQR<Eigen::MatrixXd> qr(as_eigen(whitened));
  const Eigen::MatrixXd thin =
      qr.householderQ() * Eigen::MatrixXd::Identity(m.rows(), as_eigen(design).cols());
  const Eigen::MatrixXd seen = thin.transpose() * m;
  const std::vector<double> w = whitening(residuals);
  const Eigen::VectorXd weighted = m.transpose() * as_eigen(std::span<const double>(w));
  SingleErrors out;
  for (Eigen::Index i = 0; i < m.rows(); ++i) {
    const double all = m.col(i).squaredNorm(), left = all - seen.col(i).squaredNorm();
    const bool checked = left > kNoRedundancy * all;
    out.errors.push_back(checked ? weighted(i) / left : 0.0);
    out.sds.push_back(checked ? 1 / std::sqrt(left) : 0.0);
  }
  return out;
}

}  // namespace deckmark
