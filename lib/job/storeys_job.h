#pragma once
/// Other storeys of the building, as far as numbers and heights of this one must know them. Data only.

#include <cstdint>
#include <string>
#include <vector>

#include "measure/frame.h"
#include "table/message.h"

namespace deckmark {

struct SiblingStorey {
  std::string name;      ///< what messages call it: its own name, else its job file
  std::string job_file;  ///< as this job names it, like its ledger
  std::string ledger_file;
  Where where;  ///< the entry that names it
  std::vector<std::uint32_t>
      numbers;                     ///< all of its ledger, floor and deck, live or dropped; rising, each once
  std::vector<Elevation> heights;  ///< of its floor and its deck, as far as they are stated; rising

  /// `level 4 (../l4/numbers.csv)`
  std::string with_ledger() const { return name + " (" + ledger_file + ")"; }
};

}  // namespace deckmark
