#pragma once
/// Private to the room: files of one run that would have one name.

#include <span>
#include <string>
#include <string_view>

#include "table/message.h"

namespace deckmark {

/// What a file is named after, as the job states it.
struct NamedAfter {
  std::string words;       ///< `run "R1"`, `crew "north" at setup "S1"`
  std::string rename;      ///< what of it can be renamed: `crew "north"`; empty: nothing
  Where at;                ///< of the key that names it
  std::string_view field;  ///< `crew.name`
};
struct OutputName {
  std::string name;
  NamedAfter after;
};

/// Problems: two files of one name, once for what they are named after. A and a are one letter: a card may
/// not tell them apart.
void tell_names_that_meet(std::span<const OutputName> names, Messages& messages);

}  // namespace deckmark
