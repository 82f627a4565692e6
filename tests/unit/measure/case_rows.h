#pragma once
// Rows of tests/cases/cases.csv of one kind, with what every reader of a value must do about them.

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "measure/fault.h"
#include "support/vector_file.h"

namespace deckmark_test {

inline std::vector<VectorRow> case_rows(const std::string& kind) {
  std::vector<VectorRow> out;
  for (const VectorRow& row : read_vectors("cases/cases.csv")) {
    if (row.at("kind") == kind) out.push_back(row);
  }
  REQUIRE(!out.empty());
  return out;
}

// A refusal names what was found and what was expected, and proposes only what `accepts` takes.
template <class Accepts>
void check_fault(const deckmark::Fault& fault, const Accepts& accepts) {
  CAPTURE(fault.found);
  CAPTURE(fault.expected);
  CAPTURE(fault.suggestion);
  CHECK(!fault.found.empty());
  CHECK(!fault.expected.empty());
  if (!fault.suggestion.empty()) CHECK(accepts(fault.suggestion));
}

}  // namespace deckmark_test
