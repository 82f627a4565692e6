#include "adjust/blocks.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <Eigen/Dense>
#include <utility>

#include "adjust/solve.h"

namespace deckmark {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

Index as_index(std::size_t i) { return static_cast<Index>(i); }

/// x = start + by_shared * shared + own noise: what elimination leaves of a block.
struct Block {
  std::vector<std::size_t> unknowns;
  std::vector<std::size_t> equations;
  std::vector<std::size_t> columns;  // places among the shared unknowns that its equations name
  MatrixXd by_shared;                // unknowns x columns
  MatrixXd own;                      // covariance with the shared unknowns held
  VectorXd start;
  bool is_open = false;
};

/// A linear form carried through the blocks.
struct Expanded {
  std::vector<std::pair<std::size_t, double>> shared;   // sorted, each once
  std::vector<std::pair<std::size_t, VectorXd>> local;  // by block
};

void merge(std::vector<std::pair<std::size_t, double>>& terms) {
  std::sort(terms.begin(), terms.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  std::size_t last = 0;
  for (std::size_t i = 1; i < terms.size(); ++i) {
    if (terms[i].first == terms[last].first)
      terms[last].second += terms[i].second;
    else
      terms[++last] = terms[i];
  }
  if (!terms.empty()) terms.resize(last + 1);
}

}  // namespace

struct BlockSolution::Parts {
  explicit Parts(BlockProblem p) : problem(std::move(p)), of_block(problem.blocks) {}

  void run(BlockSolution& out);
  void sort_equations();
  /// Eliminates a block; what is left of its equations is added to the rows of the shared problem.
  void eliminate(Block& b);
  void solve_shared(BlockSolution& out);
  void find_open_shared(const Eigen::ColPivHouseholderQR<MatrixXd>& qr, BlockSolution& out) const;
  Expanded expand(const LinearForm& form) const;
  double product(const Expanded& a, const Expanded& b) const;

  BlockProblem problem;
  const std::vector<std::optional<std::size_t>>& of_block;  // by unknown
  std::vector<Block> blocks;
  std::vector<std::size_t> place;             // of each unknown in its block, or among the shared
  std::vector<std::size_t> shared;            // unknowns
  std::vector<std::size_t> shared_equations;  // that name no block
  std::vector<double> scale;                  // of the shared columns, before anything was eliminated
  MatrixXd rows;                              // of the shared problem: shared columns, then the right side
  Index filled = 0;
  MatrixXd covariance;  // of the shared unknowns
};

void BlockSolution::Parts::sort_equations() {
  const std::size_t n = problem.unknowns;
  std::size_t count = 0;
  for (const auto& b : problem.blocks)
    if (b) count = std::max(count, *b + 1);
  blocks.resize(count);
  place.resize(n);
  for (std::size_t u = 0; u < n; ++u) {
    auto& own = problem.blocks[u] ? blocks[*problem.blocks[u]].unknowns : shared;
    place[u] = own.size();
    own.push_back(u);
  }
  scale.assign(shared.size(), 0.0);
  for (std::size_t e = 0; e < problem.equations.size(); ++e) {
    std::optional<std::size_t> mine;
    for (const Term& t : problem.equations[e].form) {
      if (const auto b = problem.blocks[t.unknown]) {
        assert(!mine || *mine == *b);
        mine = b;
      } else {
        scale[place[t.unknown]] += t.factor * t.factor;
      }
    }
    (mine ? blocks[*mine].equations : shared_equations).push_back(e);
  }
  for (double& s : scale) s = s > 0 ? std::sqrt(s) : 1.0;
}

void BlockSolution::Parts::eliminate(Block& b) {
  for (const std::size_t e : b.equations)
    for (const Term& t : problem.equations[e].form)
      if (!of_block[t.unknown]) b.columns.push_back(place[t.unknown]);
  std::sort(b.columns.begin(), b.columns.end());
  b.columns.erase(std::unique(b.columns.begin(), b.columns.end()), b.columns.end());
  const Index k = as_index(b.unknowns.size()), n = as_index(b.equations.size()),
              c = as_index(b.columns.size());
  MatrixXd own = MatrixXd::Zero(n, k), rest = MatrixXd::Zero(n, c + 1);
  for (Index i = 0; i < n; ++i) {
    const BlockEquation& equation = problem.equations[b.equations[static_cast<std::size_t>(i)]];
    rest(i, c) = equation.right;
    for (const Term& t : equation.form) {
      if (of_block[t.unknown]) {
        own(i, as_index(place[t.unknown])) += t.factor;
      } else {
        const auto at = std::lower_bound(b.columns.begin(), b.columns.end(), place[t.unknown]);
        rest(i, at - b.columns.begin()) += t.factor;
      }
    }
  }
  VectorXd lengths = own.colwise().norm();
  for (double& l : lengths) l = l > 0 ? l : 1.0;
  Eigen::ColPivHouseholderQR<MatrixXd> qr(n, k);
  qr.setThreshold(kRankTolerance);
  b.is_open = n < k;
  if (!b.is_open) {
    qr.compute(own * lengths.cwiseInverse().asDiagonal());
    b.is_open = qr.rank() < k;
  }
  if (b.is_open) return;
  rest.applyOnTheLeft(qr.householderQ().adjoint());
  const MatrixXd inverse =
      lengths.cwiseInverse().asDiagonal() *
      (qr.colsPermutation() *
       qr.matrixR().topRows(k).template triangularView<Eigen::Upper>().solve(MatrixXd::Identity(k, k)))
          .eval();
  b.own = inverse * inverse.transpose();
  b.by_shared = -inverse * rest.topLeftCorner(k, c);
  b.start = inverse * rest.topRightCorner(k, 1);
  for (Index i = k; i < n; ++i, ++filled) {
    for (Index j = 0; j < c; ++j) rows(filled, as_index(b.columns[static_cast<std::size_t>(j)])) = rest(i, j);
    rows(filled, rows.cols() - 1) = rest(i, c);
  }
}

void BlockSolution::Parts::find_open_shared(const Eigen::ColPivHouseholderQR<MatrixXd>& qr,
                                            BlockSolution& out) const {
  const Index g = as_index(shared.size()), rank = qr.rank();
  MatrixXd basis = MatrixXd::Zero(g, g - rank);
  if (rank > 0)
    basis.topRows(rank) = -qr.matrixR()
                               .topLeftCorner(rank, rank)
                               .template triangularView<Eigen::Upper>()
                               .solve(qr.matrixR().topRightCorner(rank, g - rank).eval());
  basis.bottomRows(g - rank).setIdentity();
  basis = qr.colsPermutation() * basis;
  for (Index j = 0; j < g; ++j) {
    double most = 0;
    for (Index k = 0; k < basis.cols(); ++k)
      most = std::max(most, std::abs(basis(j, k)) / basis.col(k).cwiseAbs().maxCoeff());
    if (most > 1e-6) out.open_.push_back(shared[static_cast<std::size_t>(j)]);
  }
}

void BlockSolution::Parts::solve_shared(BlockSolution& out) {
  const Index g = as_index(shared.size());
  if (g == 0) return;
  const Eigen::Map<const VectorXd> lengths(scale.data(), g);
  MatrixXd scaled = MatrixXd::Zero(std::max(filled, g), g);
  VectorXd right = VectorXd::Zero(scaled.rows());
  scaled.topRows(filled) = rows.topLeftCorner(filled, g) * lengths.cwiseInverse().asDiagonal();
  right.head(filled) = rows.topRightCorner(filled, 1);
  Eigen::ColPivHouseholderQR<MatrixXd> qr(scaled.rows(), g);
  qr.setThreshold(kRankTolerance);
  qr.compute(scaled);
  if (qr.rank() < g) return find_open_shared(qr, out);
  const VectorXd x = lengths.cwiseInverse().cwiseProduct(qr.solve(right));
  for (Index j = 0; j < g; ++j) out.x_[shared[static_cast<std::size_t>(j)]] = x(j);
  const MatrixXd root =
      lengths.cwiseInverse().asDiagonal() *
      (qr.colsPermutation() *
       qr.matrixR().topRows(g).template triangularView<Eigen::Upper>().solve(MatrixXd::Identity(g, g)))
          .eval();
  covariance = root * root.transpose();
}

void BlockSolution::Parts::run(BlockSolution& out) {
  sort_equations();
  out.x_.assign(problem.unknowns, 0.0);
  rows = MatrixXd::Zero(as_index(problem.equations.size()), as_index(shared.size() + 1));
  for (const std::size_t e : shared_equations) {
    for (const Term& t : problem.equations[e].form) rows(filled, as_index(place[t.unknown])) += t.factor;
    rows(filled, rows.cols() - 1) = problem.equations[e].right;
    ++filled;
  }
  for (Block& b : blocks) {
    if (b.unknowns.empty()) continue;
    eliminate(b);
    if (b.is_open) out.open_.insert(out.open_.end(), b.unknowns.begin(), b.unknowns.end());
  }
  solve_shared(out);
  rows.resize(0, 0);
  if (!out.full_rank()) {
    std::sort(out.open_.begin(), out.open_.end());
    return;
  }
  for (const Block& b : blocks) {
    VectorXd x = b.start;
    for (std::size_t j = 0; j < b.columns.size(); ++j)
      x += b.by_shared.col(as_index(j)) * out.x_[shared[b.columns[j]]];
    for (std::size_t i = 0; i < b.unknowns.size(); ++i) out.x_[b.unknowns[i]] = x(as_index(i));
  }
  for (const BlockEquation& e : problem.equations) {
    double v = e.right;
    for (const Term& t : e.form) v -= t.factor * out.x_[t.unknown];
    out.residuals_.push_back(v);
    out.square_sum_ += v * v;
  }
  out.degrees_of_freedom_ = problem.equations.size() - problem.unknowns;
}

Expanded BlockSolution::Parts::expand(const LinearForm& form) const {
  Expanded out;
  for (const Term& t : form) {
    const auto b = of_block[t.unknown];
    if (!b) {
      out.shared.emplace_back(place[t.unknown], t.factor);
      continue;
    }
    auto at = std::find_if(out.local.begin(), out.local.end(), [&](const auto& l) { return l.first == *b; });
    if (at == out.local.end())
      at = out.local.insert(out.local.end(), {*b, VectorXd::Zero(as_index(blocks[*b].unknowns.size()))});
    at->second(as_index(place[t.unknown])) += t.factor;
  }
  for (const auto& [b, factors] : out.local) {
    const Block& block = blocks[b];
    const VectorXd by = block.by_shared.transpose() * factors;
    for (std::size_t j = 0; j < block.columns.size(); ++j)
      out.shared.emplace_back(block.columns[j], by(as_index(j)));
  }
  merge(out.shared);
  return out;
}

double BlockSolution::Parts::product(const Expanded& a, const Expanded& b) const {
  double sum = 0;
  for (const auto& [i, x] : a.shared) {
    const double* column = covariance.data() + as_index(i) * covariance.rows();
    double part = 0;
    for (const auto& [j, y] : b.shared) part += column[j] * y;
    sum += x * part;
  }
  for (const auto& [i, x] : a.local)
    for (const auto& [j, y] : b.local)
      if (i == j) sum += x.dot(blocks[i].own * y);
  return sum;
}

BlockSolution::BlockSolution(BlockProblem problem) : parts_(std::make_unique<Parts>(std::move(problem))) {
  parts_->run(*this);
}
BlockSolution::~BlockSolution() = default;
BlockSolution::BlockSolution(BlockSolution&&) noexcept = default;
BlockSolution& BlockSolution::operator=(BlockSolution&&) noexcept = default;

Matrix BlockSolution::covariance(std::span<const LinearForm> forms) const {
  std::vector<Expanded> expanded;
  expanded.reserve(forms.size());
  for (const LinearForm& f : forms) expanded.push_back(parts_->expand(f));
  Matrix out(forms.size(), forms.size());
  for (std::size_t i = 0; i < forms.size(); ++i)
    for (std::size_t j = i; j < forms.size(); ++j)
      out(i, j) = out(j, i) = parts_->product(expanded[i], expanded[j]);
  return out;
}

double BlockSolution::variance(const LinearForm& form) const {
  const Expanded e = parts_->expand(form);
  return parts_->product(e, e);
}

double BlockSolution::redundancy(std::size_t equation) const {
  const double r = 1 - variance(parts_->problem.equations[equation].form);
  return r < kNoRedundancy ? 0.0 : std::min(r, 1.0);
}

Matrix BlockSolution::residual_covariance(std::span<const std::size_t> equations) const {
  std::vector<LinearForm> forms;
  for (const std::size_t e : equations) forms.push_back(parts_->problem.equations[e].form);
  Matrix out = covariance(forms);
  for (std::size_t i = 0; i < out.rows; ++i)
    for (std::size_t j = 0; j < out.cols; ++j) out(i, j) = (i == j ? 1.0 : 0.0) - out(i, j);
  return out;
}

Fall BlockSolution::fall(std::span<const std::vector<Term>> columns) const {
  const std::size_t q = columns.size();
  std::vector<LinearForm> forms(q);
  std::vector<double> plain(q, 0.0);
  VectorXd misfit = VectorXd::Zero(as_index(q));
  MatrixXd normal = MatrixXd::Zero(as_index(q), as_index(q));
  for (std::size_t k = 0; k < q; ++k) {
    for (const Term& c : columns[k]) {
      misfit(as_index(k)) += c.factor * residuals_[c.unknown];
      plain[k] += c.factor * c.factor;
      for (const Term& t : parts_->problem.equations[c.unknown].form)
        forms[k].push_back({t.unknown, c.factor * t.factor});
    }
  }
  const Matrix taken = covariance(forms);
  for (std::size_t k = 0; k < q; ++k)
    for (std::size_t l = 0; l < q; ++l) {
      double both = 0;
      for (const Term& a : columns[k])
        for (const Term& b : columns[l])
          if (a.unknown == b.unknown) both += a.factor * b.factor;
      normal(as_index(k), as_index(l)) = both - taken(k, l);
    }
  Fall out;
  constexpr double kLeast = 1e-9;  // under this share of its own size an error changes no residual
  VectorXd lengths(as_index(q));
  for (std::size_t k = 0; k < q; ++k) {
    if (!(normal(as_index(k), as_index(k)) > kLeast * plain[k])) return out;
    lengths(as_index(k)) = 1 / std::sqrt(normal(as_index(k), as_index(k)));
  }
  const MatrixXd scaled = lengths.asDiagonal() * normal * lengths.asDiagonal();
  const Eigen::SelfAdjointEigenSolver<MatrixXd> roots(scaled);
  if (!(roots.eigenvalues()(0) > kLeast)) return out;
  const MatrixXd inverse = lengths.asDiagonal() *
                           (roots.eigenvectors() * roots.eigenvalues().cwiseInverse().asDiagonal() *
                            roots.eigenvectors().transpose())
                               .eval() *
                           lengths.asDiagonal();
  const VectorXd estimates = inverse * misfit;
  out.determined = true;
  out.square_sum = misfit.dot(estimates);
  out.estimates.assign(estimates.data(), estimates.data() + q);
  out.covariance = Matrix(q, q);
  for (std::size_t k = 0; k < q; ++k)
    for (std::size_t l = 0; l < q; ++l) out.covariance(k, l) = inverse(as_index(k), as_index(l));
  return out;
}

}  // namespace deckmark
