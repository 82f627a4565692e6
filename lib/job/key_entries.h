#pragma once
/// The declared keys of the job file as plain values, for whoever explains them.

#include <string>
#include <string_view>
#include <vector>

#include "terms/key.h"

namespace deckmark {

/// One key. Its words are those of its declaration (`job/keys`).
struct KeyEntry {
  std::string_view section;  ///< empty above all sections, and of a key that stands in braces
  bool repeats = false;      ///< the section is `[[section]]`
  std::string_view name;
  std::string kind;  ///< what may stand there, with its bounds: `length above 0`
  std::string_view meaning, example;
  Otherwise without;
  std::string_view required;  ///< `always`, or when; empty: never
};

/// All keys of the job file, in the order in which they are explained.
const std::vector<KeyEntry>& key_entries();
/// What a key that names a table may say in braces, in place of the table's path.
const std::vector<KeyEntry>& table_key_entries();

}  // namespace deckmark
