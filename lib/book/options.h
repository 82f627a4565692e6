#pragma once
/// What a book is kept by.

#include <cstdint>

#include "measure/length.h"

namespace deckmark {

struct BookOptions {
  std::int64_t check_every = 20;        ///< DEFAULT marks between two check sights
  std::int64_t check_minutes = 30;      ///< DEFAULT minutes between them
  Length sd = Length::millimetres(2);   ///< DEFAULT per axis, of a mark without a reading
  Length rod = Length::millimetres(5);  ///< DEFAULT a rod that is off by more is cut again
  /// DEFAULT nearer to an old hole nothing is drilled: an alarm distance, not an engineering rule.
  Length old_hole = Length::millimetres(300);
};

}  // namespace deckmark
