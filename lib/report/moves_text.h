#pragma once
/// Corner marks that are to be moved, in words.

#include <span>
#include <string>

#include "measure/length.h"

namespace deckmark {

/// A mark slides along the line to another.
struct NamedMove {
  std::string mark, toward;
  Length move = Length::metres(0);  ///< positive toward
};

/// `Move B2 1/4" toward B3, then tape again.`; empty where none is moved. Moves of one mark follow one
/// another.
std::string moves_words(std::span<const NamedMove> moves, LengthUnit unit);

}  // namespace deckmark
