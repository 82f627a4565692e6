#pragma once
/// Facts of the rooms in words: one sentence each, with the point named.

#include <functional>
#include <string>
#include <string_view>

#include "baseline/fit.h"

namespace deckmark {

/// Names behind indices.
struct BaselineNames {
  std::function<std::string_view(std::size_t)> tie, mark;
};

/// `1:6`, `1:7.5`.
std::string slope_words(double n);
/// A unit as it is said: `metres`.
std::string_view unit_words(LengthUnit unit);
/// A length as a person on site reads it: feet-inches to 1/16 in a feet-inch unit, else decimals to about 0.1
/// mm.
std::string length_words(Length value, LengthUnit unit);
/// The same, with as many decimals as it takes to read otherwise than the limit that the value exceeds.
std::string length_words_beyond(Length value, Length limit, LengthUnit unit);
/// A height or a room as one speaks of it: 4.2 m, or feet and inches to the inch.
std::string spoken_length(Length value, LengthUnit unit);

/// The unit in which small lengths on site are told: fractions of an inch where the drawing is keyed in
/// feet and inches and the site in feet, as a tape reads; else the site's.
LengthUnit small_unit(LengthUnit site, LengthUnit drawing);

/// `28.6`
std::string degrees_words(Angle value);

std::string doubt_text(const Doubt& doubt, const BaselineResult& result, const BaselineNames& names);

}  // namespace deckmark
