#pragma once
/// Two marks by which a loaded list is checked.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>

#include "measure/frame.h"

namespace deckmark {

struct CheckPair {
  std::size_t from, to;  ///< places in the spans; the same where all marks lie at one place
  bool shows_exchange;   ///< northing and easting exchanged would show by over 10 mm
};

/// From the mark with the lowest number to the one at which exchanged axes show most: that whose differences
/// in northing and easting differ most; where they hardly differ (a line at 45 degrees), the farthest. Of
/// equals the lowest number.
///
/// REQUIRES a mark at least, as many numbers as marks; `listed`: empty for all, or one flag a mark, one of
/// them set.
[[nodiscard]] CheckPair check_pair(std::span<const Point<Site>> marks, std::span<const std::uint32_t> numbers,
                                   std::span<const std::uint8_t> listed = {});

/// A mark and where it was.
struct MarkThen {
  std::size_t mark;
  Point<Site> then;
};
struct ChangedPair {
  std::size_t from, to;  ///< the lower number first
  Length before;         ///< how far apart they were
};
/// The two marks whose distance changed most, where it did by over `kPairChanged`.
///
/// CAVEAT  of very many marks that all moved, the most moved are looked at, with as many others as four
/// million
///         pairs hold.
[[nodiscard]] std::optional<ChangedPair> changed_pair(std::span<const Point<Site>> marks,
                                                      std::span<const std::uint32_t> numbers,
                                                      std::span<const MarkThen> then);
inline constexpr Length kPairChanged = Length::millimetres(2);

}  // namespace deckmark
