#pragma once
/// A journal of short rows, and what its reader finds in it.

#include <doctest/doctest.h>

#include <filesystem>
#include <string>
#include <vector>

#include "exporter/journal.h"
#include "failing_calls.h"
#include "support/temp_folder.h"

namespace deckmark_test {

inline const std::string kHeader = "entry,what\n";
/// A row ends with its mark, so that its reader knows one that lacks its line feed alone.
inline std::string row(int k) { return std::to_string(k) + ",as it was done;\n"; }
inline std::string rows(int last) {
  std::string out = kHeader;
  for (int k = 1; k <= last; ++k) out += row(k);
  return out;
}

/// What a reader of these rows finds covered.
inline deckmark::HeldJournal::Found found_in(const std::filesystem::path& path) {
  const std::string text = read_bytes(path);
  const std::size_t end = text.rfind('\n') + 1;
  const bool lacks = text.size() > end && text.back() == ';';
  if (end == 0 && text + "\n" == kHeader) return {text.size(), true};
  return {lacks ? text.size() : end, lacks};
}
inline deckmark::HeldJournal::Begun begin(deckmark::HeldJournal& journal, const TempFolder& folder,
                                          const std::filesystem::path& copy = {}) {
  return journal.begin(found_in(folder / "book.csv"), {folder / "book.torn", copy});
}

}  // namespace deckmark_test
