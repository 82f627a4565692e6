#include "measure/temperature.h"

#include <fmt/format.h>

#include "measure/decimal.h"

namespace deckmark {

namespace {

constexpr double kColdest = -60, kHottest = 80;  // degrees C

std::string_view without_blanks(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}

}  // namespace

std::optional<TemperatureUnit> temperature_unit(std::string_view word) {
  for (const std::string_view front : {"°", "º", "degrees", "deg"})
    if (word.starts_with(front)) {
      word.remove_prefix(front.size());
      break;
    }
  word = without_blanks(word);
  if (word == "C" || word == "c") return TemperatureUnit::celsius;
  if (word == "F" || word == "f") return TemperatureUnit::fahrenheit;
  return std::nullopt;
}

Outcome<double> read_temperature(std::string_view text, TemperatureUnit bare, bool decimal_comma) {
  const auto refuse = [&](std::string_view more) {
    return Fault{
        in_quotes(text),
        fmt::format("a temperature of {} to {} degrees C, or its like in F{}", kColdest, kHottest, more), ""};
  };
  std::size_t digits = text.find_last_of("0123456789.");
  if (digits == std::string_view::npos) return refuse(", such as 20 C");
  const std::string_view word = without_blanks(text.substr(digits + 1));
  const auto unit = word.empty() ? std::optional(bare) : temperature_unit(word);
  const auto number = read_number(without_blanks(text.substr(0, digits + 1)), decimal_comma);
  if (!number || !unit) return refuse(", such as 20 C");
  const double celsius = *unit == TemperatureUnit::celsius ? number->value : (number->value - 32) / 1.8;
  if (celsius >= kColdest && celsius <= kHottest) return celsius;
  const bool looks_like_f =
      *unit == TemperatureUnit::celsius && number->value > kHottest && number->value <= 176;
  return refuse(looks_like_f ? ", with its F behind it" : "");
}

}  // namespace deckmark
