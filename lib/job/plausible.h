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
/// 0, or from 0.001 mm to 10 m: beyond it a value is a slip (common practice, no source), and what is
/// computed with it goes wrong elsewhere, as a fit that leaves everything open.
bool is_possible_sd(Length sd);
/// The same of a tolerance, without 0.
bool is_possible_tolerance(Length tolerance);
/// What is expected in place of one that is not.
std::string possible_sds(bool zero_allowed);
std::string possible_tolerances();
/// The doubt, with the value as it was stated.
std::string odd_sd_text(std::string_view stated);
std::string odd_tolerance_text(std::string_view stated);

}  // namespace deckmark
