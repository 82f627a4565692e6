#pragma once
/// A book as the program writes it, made by the tests' own hand.

#include <algorithm>
#include <cstddef>
#include <string>
#include <vector>

#include "table/digest.h"

namespace deckmark_test {

inline const std::string kBookHeader =
    "entry,time,by,act,number,level,northing (m),easting (m),elevation (m),sd_along (m),sd_across (m),setup,"
    "issue,source,of,verdict,reading,note,chain\n";

/// Notes in one book, each bound to those before it. `first`: the digest of issue 1.
inline std::string book_of_notes(const std::string& first, const std::vector<std::string>& notes) {
  std::string out = kBookHeader, chain = first;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    const std::string n = std::to_string(i + 1);
    const std::string row = n + ",2026-11-28T08:00:00+00:00,Kim,note,,,,,,,,,1,live,,,," + notes[i];
    chain = deckmark::sha256_hex(chain + "\n" + row).substr(0, 16);
    out += row + "," + chain + "\n";
  }
  return out;
}

/// The digest of issue 1 of what issued.csv holds.
inline std::string first_digest(const std::string& issued) {
  const std::size_t row = issued.find('\n') + 1, end = issued.find('\n', row);
  const std::string line = issued.substr(row, end - row);
  return line.substr(line.rfind(',') + 1);
}

}  // namespace deckmark_test
