#pragma once
/// A written table as text, for tests.

#include <doctest/doctest.h>

#include <algorithm>
#include <cstddef>
#include <sstream>
#include <string>
#include <vector>

#include "table/written.h"

namespace lists_test {

using namespace deckmark;

/// All bytes of a table; its own checker has to agree with them.
inline std::string written_text(const WrittenTable& table) {
  std::string out;
  table.write([&out](const char* data, std::size_t size) { out.append(data, size); });
  std::size_t at = 0;
  CheckFailure failure;
  const bool agrees = table.agrees(
      [&](char* to, std::size_t most) {
        const std::size_t n = std::min(most, out.size() - at);
        std::copy_n(out.data() + at, n, to);
        at += n;
        return n;
      },
      &failure);
  CHECK_MESSAGE(agrees, "row " << failure.row << ", cell " << failure.cell << ": " << failure.found);
  return out;
}

/// Its lines, the header first; without the line ends.
inline std::vector<std::string> written_lines(const WrittenTable& table) {
  std::vector<std::string> out;
  std::istringstream in(written_text(table));
  for (std::string line; std::getline(in, line);) {
    if (!line.empty() && line.back() == '\r') line.pop_back();
    out.push_back(line);
  }
  return out;
}

}  // namespace lists_test
