#pragma once
/// A plain matrix in rows, so that no linear algebra library stands in a header.

#include <cstddef>
#include <vector>

namespace deckmark {

struct Matrix {
  std::size_t rows = 0, cols = 0;
  std::vector<double> values;  ///< row after row

  Matrix() = default;
  Matrix(std::size_t r, std::size_t c) : rows(r), cols(c), values(r * c, 0.0) {}
  double& operator()(std::size_t i, std::size_t j) { return values[i * cols + j]; }
  double operator()(std::size_t i, std::size_t j) const { return values[i * cols + j]; }
};

}  // namespace deckmark
