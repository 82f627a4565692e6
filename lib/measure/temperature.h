#pragma once
/// Temperatures of tapes, in degrees C or F.

#include <cstdint>
#include <optional>
#include <string_view>

#include "measure/fault.h"

namespace deckmark {

enum class TemperatureUnit : std::uint8_t { celsius, fahrenheit };

/// `C`, `F`, with or without a degree sign or `deg` in front, in any letter case.
std::optional<TemperatureUnit> temperature_unit(std::string_view word);

/// A temperature in degrees C: `20`, `20 °C`, `68 F`. A bare number is in `bare`. Range -60 to 80 degrees C,
/// what a tape on a site can have.
Outcome<double> read_temperature(std::string_view text, TemperatureUnit bare, bool decimal_comma);

}  // namespace deckmark
