#pragma once
/// Who was given an issue.

#include <cstdint>
#include <string>

namespace deckmark {

/// A row of `given.csv`.
struct GivenRow {
  std::uint32_t issue = 0;
  std::string to, on;
  std::string digest;  ///< of the issue
};

}  // namespace deckmark
