// One text, read in every form: what is read lies in the stated range and survives printing and reading; what
// is refused is told in visible words, with a suggestion that the same form takes.
#include <array>
#include <cmath>
#include <limits>
#include <set>
#include <type_traits>

#include "fuzz.h"
#include "measure/angle_text.h"
#include "measure/decimal.h"
#include "measure/length_text.h"

using namespace deckmark;
using deckmark_test::must;

namespace {

constexpr std::array kUnits = {LengthUnit::metre,      LengthUnit::millimetre,  LengthUnit::centimetre,
                               LengthUnit::foot,       LengthUnit::survey_foot, LengthUnit::inch,
                               LengthUnit::feet_inches};

/// Half a unit of the last printed decimal, the 1e-9 by which ties are widened, and what doubles of this size
/// leave.
bool is_near(double a, double b, double half_step) {
  const double size = std::fmax(std::fabs(a), std::fabs(b));
  return std::fabs(a - b) <= half_step * (1 + 1e-9) + 1e-9 * (half_step > 1e-9) +
                                 8 * std::numeric_limits<double>::epsilon() * size;
}

void look_at_fault(const Fault& fault, const std::string& text) {
  must(!fault.found.empty() && !fault.expected.empty(), "a fault says what was found and expected", text);
  for (const std::string& words : {fault.found, fault.expected})
    must(visible(words) == words, "a fault is told in characters that can be seen", words);
}

/// A printed length is read back, and prints as before.
template <class Print>
void print_and_read(Length value, const LengthForm& form, double half_step, Print print) {
  const std::string text = print(value);
  const auto again = read_length(text, form);
  must(bool(again), "a printed length is read", text);
  must(is_near(again->value.metres(), value.metres(), half_step), "a printed length reads back", text);
  must(print(again->value) == text, "a length read back prints as before", text + "\n" + print(again->value));
}

void print_length(Length value) {
  must(std::isfinite(value.metres()), "a length is finite");
  const double size = std::fabs(value.metres());
  must(size == 0 || (size >= 1e-300 && size <= 1e9), "a length is 0, or from 1e-300 m to 1e9 m");
  must(size != 0 || !std::signbit(value.metres()), "-0 reads as 0");
  if (size > 9e8) return;  // rounding up might leave the range
  const LengthForm marks{LengthUnit::feet_inches};
  for (const int denominator : {1, 2, 16, 64})
    print_and_read(value, marks, 0.0254 / 2 / denominator,
                   [&](Length v) { return feet_inches_text(v, denominator); });
  for (const int decimals : {0, 2, 4})
    print_and_read(value, marks, 0.0254 / 2 * std::pow(10, -decimals),
                   [&](Length v) { return feet_decimal_inches_text(v, decimals); });
  for (const LengthUnit unit : kUnits) {
    if (unit == LengthUnit::feet_inches) continue;
    const std::string text =
        fixed(in_unit(value, unit), table_decimals(unit)) + " " + std::string(unit_word(unit));
    const auto again = read_length(text, marks);
    must(bool(again), "a length with its unit is read", text);
    must(is_near(again->value.metres(), value.metres(),
                 metres_in(unit) / 2 * std::pow(10, -table_decimals(unit))),
         "a length with its unit reads back", text);
  }
}

void read_lengths(std::string_view text) {
  std::set<double> printed;  // forms mostly read the same
  for (const LengthUnit unit : kUnits) {
    for (const bool comma : {false, true}) {
      const auto plain = read_length(text, {unit, comma, false});
      const auto strict = read_length(text, {unit, comma, true});
      for (const auto* r : {&plain, &strict}) {
        if (*r) {
          must(text.size() <= 256, "a text that is read has at most 256 bytes");
          if (printed.insert((*r)->value.metres()).second) print_length((*r)->value);
          continue;
        }
        look_at_fault(r->fault(), std::string(text));
        const std::string& proposed = r->fault().suggestion;
        must(proposed.empty() || bool(read_length(proposed, {unit, comma, r == &strict})),
             "a suggestion is accepted", proposed);
      }
      must(!strict || (plain && plain->value == strict->value), "a text with its unit needs no `needs_unit`");
    }
  }
}

template <class Value, class Print, class Read>
void print_and_read_angle(Value value, double half_step, Print print, Read read) {
  const std::string text = print(value);
  const auto again = read(text);
  must(bool(again), "a printed angle is read", text);
  double off = std::fabs(again->degrees() - value.degrees());
  if constexpr (std::is_same_v<Value, Azimuth>) off = std::fmin(off, 360 - off);
  must(off <= half_step + 1e-12, "a printed angle reads back", text);
  if constexpr (std::is_same_v<Value, Azimuth>)
    must(print(Azimuth::degrees(again->degrees())) == text, "a direction read back prints as before", text);
  else
    must(print(*again) == text, "an angle read back prints as before", text + "\n" + print(*again));
}

void print_angle(Angle value) {
  must(std::fabs(value.degrees()) <= 720, "an angle lies from -720 to 720");
  if (std::fabs(value.degrees()) > 719) return;
  for (const int decimals : {0, 1, 6}) {
    const double half = 0.5 * std::pow(10, -decimals) / 3600 + 1e-9 / 3600;
    print_and_read_angle(
        value, half, [&](Angle a) { return dms_text(a, decimals); },
        [](const std::string& t) { return read_angle(t, {}); });
    print_and_read_angle(
        value, half, [&](Angle a) { return packed_text(a, decimals); },
        [](const std::string& t) { return read_angle(t, {AngleNotation::packed}); });
  }
}

void print_circle(Angle value) {
  must(value.degrees() >= 0 && value.degrees() < 360, "a circle reading lies from 0 to under 360");
  const Azimuth direction = Azimuth::degrees(value.degrees());
  print_and_read_angle(
      direction, 0.5e-6 / 3600 + 1e-9 / 3600, [](Azimuth a) { return dms_text(a, 6); },
      [](const std::string& t) { return read_circle(t, {}); });
  print_and_read_angle(
      direction, 0.5e-6 / 3600 + 1e-9 / 3600, [](Azimuth a) { return packed_text(a, 6); },
      [](const std::string& t) { return read_circle(t, {AngleNotation::packed}); });
  for (const int decimals : {0, 4, 6}) {
    const double half = 0.5 * std::pow(10, -decimals) + 1e-9;
    print_and_read_angle(
        direction, half, [&](Azimuth a) { return degrees_text(a, decimals); },
        [](const std::string& t) { return read_circle(t, {AngleNotation::degrees}); });
    print_and_read_angle(
        direction, half, [&](Azimuth a) { return gon_text(a, decimals); },
        [](const std::string& t) { return read_circle(t, {AngleNotation::gon}); });
  }
}

void read_angles(std::string_view text) {
  constexpr std::array<std::optional<AngleNotation>, 4> kBare = {std::nullopt, AngleNotation::degrees,
                                                                 AngleNotation::gon, AngleNotation::packed};
  std::set<double> printed, turned;
  for (const auto& bare : kBare) {
    for (const bool comma : {false, true}) {
      const AngleForm form{bare, comma};
      const auto angle = read_angle(text, form), circle = read_circle(text, form);
      if (angle && printed.insert(angle->degrees()).second) print_angle(*angle);
      if (circle) {
        must(bool(angle) && angle->degrees() == circle->degrees(), "a circle reading is an angle",
             std::string(text));
        if (turned.insert(circle->degrees()).second) print_circle(*circle);
      }
      if (!angle) look_at_fault(angle.fault(), std::string(text));
      if (!circle) look_at_fault(circle.fault(), std::string(text));
      must(angle || angle.fault().suggestion.empty() || bool(read_angle(angle.fault().suggestion, form)),
           "a suggestion is accepted as an angle", std::string(text));
      must(circle || circle.fault().suggestion.empty() || bool(read_circle(circle.fault().suggestion, form)),
           "a suggestion is accepted as a circle reading", std::string(text));
    }
  }
}

void read_numbers(std::string_view text) {
  for (const bool comma : {false, true}) {
    const auto number = read_number(text, comma);
    if (!number) {
      look_at_fault(number.fault(), std::string(text));
      continue;
    }
    must(std::isfinite(number->value), "a number is finite", std::string(text));
    const std::string printed = fixed(number->value, 12);
    const auto again = read_number(printed, false);
    if (printed.size() <= 256) {
      must(bool(again) && is_near(again->value, number->value, 0.5e-12), "a number reads back", printed);
    }
  }
  const auto count = read_count(text, 1, 999999999);
  if (count) {
    must(*count >= 1 && *count <= 999999999, "a count lies in its range", std::string(text));
    must(*read_count(std::to_string(*count), 1, 999999999) == *count, "a count reads back",
         std::string(text));
    return;
  }
  look_at_fault(count.fault(), std::string(text));
  const std::string& proposed = count.fault().suggestion;
  must(proposed.empty() || bool(read_count(proposed, 1, 999999999)), "a suggestion is accepted as a count",
       proposed);
}

}  // namespace

void deckmark_test::fuzz_one(std::string_view bytes) {
  read_lengths(bytes);
  read_angles(bytes);
  read_numbers(bytes);
}
