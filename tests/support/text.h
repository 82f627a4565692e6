#pragma once
/// Texts that tests write, and what they look for in those that the program gives back.

#include <doctest/doctest.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

namespace deckmark_test {

/// Values in the form of std::printf; up to 400 characters.
inline std::string text(const char* form, auto... values) {
  char room[400];
  std::snprintf(room, sizeof room, form, values...);
  return room;
}

inline bool says(const std::string& all, const std::string& part) {
  return all.find(part) != std::string::npos;
}

/// Lines without their ends.
inline std::vector<std::string> lines_of(const std::string& all) {
  std::vector<std::string> lines;
  for (std::size_t at = 0; at < all.size();) {
    const std::size_t end = std::min(all.find('\n', at), all.size());
    lines.push_back(all.substr(at, end - at));
    at = end + 1;
  }
  return lines;
}

/// The first and the last line; empty where there is none.
inline std::string first_line(const std::string& all) { return all.substr(0, all.find('\n')); }
inline std::string last_line(const std::string& all) {
  const std::vector<std::string> lines = lines_of(all);
  return lines.empty() ? std::string() : lines.back();
}

/// The number of a cell; fails the test where it is empty.
inline double number(const std::string& cell) {
  REQUIRE(!cell.empty());
  return std::strtod(cell.c_str(), nullptr);
}

}  // namespace deckmark_test
