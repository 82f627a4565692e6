#include "measure/angle_text.h"

#include <fmt/format.h>

#include <cassert>
#include <cmath>
#include <cstdint>

namespace deckmark {

namespace {

std::uint64_t power_of_ten(int n) {
  std::uint64_t power = 1;
  for (int i = 0; i < n; ++i) power *= 10;
  return power;
}

// Half away from zero. The hair stands for the noise of values computed in binary: 0-00-00.5 is no exact
// double.
std::uint64_t rounded(double degrees, double units_in_degree) {
  constexpr double kHair = 1e-9 / 3600.0;
  return static_cast<std::uint64_t>(std::floor((std::abs(degrees) + kHair) * units_in_degree + 0.5));
}

struct Sexagesimal {
  bool negative;
  std::uint64_t degrees, minutes, seconds, part;  // part: decimals of a second as a whole number
};

Sexagesimal split(double degrees, int decimals, bool is_direction) {
  assert(std::isfinite(degrees) && decimals >= 0 && decimals <= 6);
  const std::uint64_t power = power_of_ten(decimals);
  std::uint64_t total = rounded(degrees, 3600.0 * static_cast<double>(power));
  if (is_direction) total %= 360 * 3600 * power;
  const std::uint64_t seconds = total / power;
  return {degrees < 0 && total != 0, seconds / 3600, seconds / 60 % 60, seconds % 60, total % power};
}

std::string decimals_of(std::uint64_t part, int decimals, std::string_view point) {
  return decimals == 0 ? std::string() : fmt::format("{}{:0{}}", point, part, decimals);
}

std::string dms(const Sexagesimal& s, int decimals) {
  return fmt::format("{}{}-{:02}-{:02}{}", s.negative ? "-" : "", s.degrees, s.minutes, s.seconds,
                     decimals_of(s.part, decimals, "."));
}

std::string packed(const Sexagesimal& s, int decimals) {
  return fmt::format("{}{}.{:02}{:02}{}", s.negative ? "-" : "", s.degrees, s.minutes, s.seconds,
                     decimals_of(s.part, decimals, ""));
}

// A direction as a decimal count of `circle` units.
std::string decimal(double degrees, double circle, int decimals) {
  assert(decimals >= 0 && decimals <= 9);
  const std::uint64_t power = power_of_ten(decimals);
  const std::uint64_t total = rounded(degrees, circle / 360.0 * static_cast<double>(power)) %
                              (static_cast<std::uint64_t>(circle) * power);
  return fmt::format("{}{}", total / power, decimals_of(total % power, decimals, "."));
}

}  // namespace

std::string dms_text(Angle value, int second_decimals) {
  return dms(split(value.degrees(), second_decimals, false), second_decimals);
}

std::string dms_text(Azimuth value, int second_decimals) {
  return dms(split(value.degrees(), second_decimals, true), second_decimals);
}

std::string degrees_text(Azimuth value, int decimals) { return decimal(value.degrees(), 360.0, decimals); }

std::string gon_text(Azimuth value, int decimals) { return decimal(value.degrees(), 400.0, decimals); }

std::string packed_text(Angle value, int second_decimals) {
  return packed(split(value.degrees(), second_decimals, false), second_decimals);
}

std::string packed_text(Azimuth value, int second_decimals) {
  return packed(split(value.degrees(), second_decimals, true), second_decimals);
}

}  // namespace deckmark
