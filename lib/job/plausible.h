#pragma once
/// Private to the room: what practitioners would believe of a stated standard deviation or tolerance.

#include <string>
#include <string_view>

#include "measure/length.h"

namespace deckmark {

inline constexpr std::string_view kOddSd = "an sd that is hard to believe",
                                  kOddTolerance = "a tolerance that is hard to believe";

/// From 0.1 mm to 50 mm (common practice, no source).
bool is_plausible_sd(Length sd);
/// From 1 mm to 50 mm (common practice, no source): closer than that no tape or instrument on a floor shows,
/// and further out nothing is laid out.
bool is_plausible_tolerance(Length tolerance);
/// The doubt, with the value as it was stated.
std::string odd_sd_text(std::string_view stated);
std::string odd_tolerance_text(std::string_view stated);

}  // namespace deckmark
