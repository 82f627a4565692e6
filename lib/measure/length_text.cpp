#include "measure/length_text.h"

#include <fmt/format.h>

#include <array>
#include <cassert>
#include <cmath>
#include <cstdlib>

#include "measure/decimal.h"
#include "measure/digit_run.h"
#include "measure/length_grammar.h"
#include "measure/text_scan.h"
#include "measure/unit_slips.h"

namespace deckmark {

namespace {

using text_scan::is_digit;

constexpr std::array<double, 23> kPowers{1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                         1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                         1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
constexpr std::uint64_t kExact = std::uint64_t{1} << 53;

// The quick reader knows the usual forms and works in whole numbers that a double holds exactly, so that
// its one division rounds as the general reader does. It never refuses: what it does not know is left to that
// reader.
class QuickReader {
 public:
  QuickReader(std::string_view text, const LengthForm& form)
      : p_(text.data()), end_(p_ + text.size()), form_(form) {}

  bool read(LengthReading& out) {
    const bool negative = p_ != end_ && *p_ == '-';
    if (negative || (p_ != end_ && *p_ == '+')) ++p_;
    if (!read_size(out)) return false;
    if (negative) out.value = Length::metres(0.0 - out.value.metres());
    return true;
  }

 private:
  bool at(char c) const { return p_ != end_ && *p_ == c; }
  // Takes a mark: ASCII, or by its last byte the curly quote or the prime that word processors put in its
  // place.
  bool take_mark(char ascii, char curly, char prime) {
    if (at(ascii)) {
      ++p_;
      return true;
    }
    if (end_ - p_ < 3 || p_[0] != '\xE2' || p_[1] != '\x80' || (p_[2] != curly && p_[2] != prime))
      return false;
    p_ += 3;
    return true;
  }
  bool take_feet_mark() { return take_mark('\'', '\x99', '\xB2'); }
  bool take_inch_mark() { return take_mark('"', '\x9D', '\xB3'); }

  // Up to `most` digits behind those that `value` has; how many there were.
  int digits(std::uint64_t& value, int most) {
    const char* const start = p_;
    if (end_ - p_ >= 8) {
      // How many digits a number has can hardly be guessed, so the first ones are taken together.
      const DigitRun front = leading_digits(p_);
      if (front.count > most) return 0;
      value = value * kWholePowers[static_cast<std::size_t>(front.count)] + front.value;
      p_ += front.count;
      if (front.count < 8) return front.count;
    }
    while (p_ != end_ && is_digit(*p_)) {
      if (p_ - start == most) return 0;
      value = value * 10 + static_cast<std::uint64_t>(*p_++ - '0');
    }
    return static_cast<int>(p_ - start);
  }

  bool read_size(LengthReading& out) {
    std::uint64_t whole = 0;
    const char* const start = p_;
    int n = digits(whole, 15);
    if (p_ == end_) return n > 0 && decimal(whole, 0, form_.bare, false, out);
    if (*p_ == '.') {
      ++p_;
      const int decimals = digits(whole, 15);
      n += decimals;
      if (n == 0 || n > 15) return false;
      if (p_ == end_) return decimal(whole, decimals, form_.bare, false, out);
      if (*p_ != '"') return with_unit(whole, decimals, out);
      p_ = start;
      return inches(0, true, out);
    }
    if (n == 0) return false;
    if (take_feet_mark()) return whole < 1000000 && behind_feet(whole, out);
    if (*p_ == ' ' || *p_ == '-') {
      const char separator = *p_;
      if (end_ - p_ > 1 && is_digit(p_[1])) {
        const char* const here = p_++;
        if (without_marks(whole, n, separator, out)) return true;
        p_ = here;
      }
    }
    if (*p_ != '"' && with_unit(whole, 0, out)) return true;
    p_ = start;
    return inches(0, true, out);
  }

  // whole / 10^decimals of the unit; exact until the one division.
  bool decimal(std::uint64_t whole, int decimals, LengthUnit unit, bool stated, LengthReading& out) {
    if (!stated && (form_.needs_unit || unit == LengthUnit::feet_inches) && whole != 0) return false;
    const double power = kPowers[static_cast<std::size_t>(decimals)];
    double value = 0;
    switch (unit) {
      case LengthUnit::metre:
        value = static_cast<double>(whole) / power;
        break;
      case LengthUnit::millimetre:
        value = static_cast<double>(whole) / (power * 1e3);
        break;
      case LengthUnit::centimetre:
        value = static_cast<double>(whole) / (power * 1e2);
        break;
      case LengthUnit::foot:
      case LengthUnit::feet_inches:
        if (whole >= kExact / 381) return false;
        value = static_cast<double>(whole * 381) / (power * 1250);
        break;
      case LengthUnit::survey_foot:
        if (whole >= kExact / 1200) return false;
        value = static_cast<double>(whole * 1200) / (power * 3937);
        break;
      case LengthUnit::inch:
        if (whole >= kExact / 127) return false;
        value = static_cast<double>(whole * 127) / (power * 5000);
        break;
    }
    if (value > length_grammar::kLongest) return false;
    out.value = Length::metres(value);
    if (stated) out.stated = unit;
    return true;
  }

  bool with_unit(std::uint64_t whole, int decimals, LengthReading& out) {
    if (at(' ')) ++p_;
    const auto left = end_ - p_;
    if (left < 1 || left > 2) return false;
    const char first = small_letter(p_[0]);
    const char second = left == 2 ? small_letter(p_[1]) : '\0';
    if (first == 'm' && left == 1) return decimal(whole, decimals, LengthUnit::metre, true, out);
    if (first == 'm' && second == 'm') return decimal(whole, decimals, LengthUnit::millimetre, true, out);
    if (first == 'c' && second == 'm') return decimal(whole, decimals, LengthUnit::centimetre, true, out);
    if (first == 'f' && second == 't') return decimal(whole, decimals, LengthUnit::foot, true, out);
    return false;
  }

  // numerator / denominator inches.
  bool finish(std::uint64_t feet, std::uint64_t numerator, std::uint64_t denominator, bool marks_left_out,
              LengthReading& out) {
    const std::uint64_t total = feet * 12 * denominator + numerator;
    const bool survey = form_.bare == LengthUnit::survey_foot;
    if (total >= kExact / 127) return false;
    out.value =
        Length::metres(survey ? static_cast<double>(total * 100) / static_cast<double>(denominator * 3937)
                              : static_cast<double>(total * 127) / static_cast<double>(denominator * 5000));
    out.stated = LengthUnit::feet_inches;
    out.marks_left_out = marks_left_out;
    return true;
  }

  bool behind_feet(std::uint64_t feet, LengthReading& out) {
    if (p_ == end_) return finish(feet, 0, 1, false, out);
    if (at('-') || at(' ')) ++p_;
    return inches(feet, false, out);
  }

  // `6`, `6.5`, `6 1/2`, `6-1/2`, `1/2`, then the inch mark; under feet_inches it may be left out behind
  // feet.
  bool inches(std::uint64_t feet, bool alone, LengthReading& out) {
    std::uint64_t whole = 0;
    std::uint64_t denominator = 1;
    if (digits(whole, alone ? 6 : 2) == 0) return false;
    if (at('.')) {
      ++p_;
      const int decimals = digits(whole, 6);
      if (decimals == 0) return false;
      for (int i = 0; i < decimals; ++i) denominator *= 10;
    } else if (at('/')) {
      if (!over(whole, denominator)) return false;
    } else if (at(' ') || at('-')) {
      ++p_;
      if (!fraction(whole, denominator)) return false;
    }
    if (!alone && whole >= 12 * denominator) return false;
    if (p_ == end_)
      return !alone && form_.bare == LengthUnit::feet_inches && finish(feet, whole, denominator, true, out);
    return take_inch_mark() && p_ == end_ && finish(feet, whole, denominator, false, out);
  }

  bool over(std::uint64_t numerator, std::uint64_t& denominator) {
    ++p_;
    denominator = 0;
    return digits(denominator, 4) > 0 && numerator < denominator;
  }

  // Adds the fraction that begins here to a whole number of inches.
  bool fraction(std::uint64_t& whole, std::uint64_t& denominator) {
    std::uint64_t numerator = 0;
    if (digits(numerator, 4) == 0 || !at('/') || !over(numerator, denominator)) return false;
    whole = whole * denominator + numerator;
    return true;
  }

  // `12-6`, `12-6 1/2`, `12-6-1/2`, `12 6 1/2`. Four digits in front may be a year and are left alone.
  bool without_marks(std::uint64_t feet, int feet_digits, char separator, LengthReading& out) {
    if (form_.bare != LengthUnit::feet_inches || form_.needs_unit || feet_digits > 3) return false;
    std::uint64_t whole = 0;
    std::uint64_t denominator = 1;
    if (digits(whole, 2) == 0 || whole >= 12) return false;
    if (p_ == end_) return separator == '-' && finish(feet, whole, 1, true, out);
    if (!at(' ') && !at('-')) return false;
    ++p_;
    return fraction(whole, denominator) && p_ == end_ && finish(feet, whole, denominator, true, out);
  }

  const char* p_;
  const char* end_;
  const LengthForm& form_;
};

}  // namespace

std::string units_of(std::string_view number) {
  return fmt::format("a length with its unit: {0} mm, {0} m, {0} ft or {0} in", number);
}

Outcome<LengthReading> read_length(std::string_view text, const LengthForm& form) {
  Outcome<LengthReading> reading = LengthReading{};
  if (!QuickReader(text, form).read(*reading)) reading = length_grammar::read(text, form);
  return reading;
}

namespace {

// The count of `parts` to an inch, half away from zero. kHair decides ties: a value within 1e-9 m of a tie is
// taken for it, so that 3/32" computed in binary prints like 3/32" typed, and -3/32" as its mirror image.
std::uint64_t rounded_parts(Length value, double parts) {
  constexpr double kHair = 1e-9;
  const double size = std::abs(value.metres());
  return static_cast<std::uint64_t>(std::floor((size + kHair) * parts * 5000.0 / 127.0 + 0.5));
}

}  // namespace

std::string feet_inches_text(Length value, int denominator) {
  assert(std::isfinite(value.metres()) && std::abs(value.metres()) < 1e12);
  assert(denominator >= 1 && denominator <= 64 && (denominator & (denominator - 1)) == 0);
  const auto parts = static_cast<std::uint64_t>(denominator);
  const std::uint64_t total = rounded_parts(value, denominator);
  const std::uint64_t inches = total / parts;
  std::uint64_t over = total % parts;
  std::uint64_t under = parts;
  while (over != 0 && over % 2 == 0) {
    over /= 2;
    under /= 2;
  }
  const std::string_view sign = value < Length::metres(0) && total != 0 ? "-" : "";
  if (over == 0) return fmt::format("{}{}'-{}\"", sign, inches / 12, inches % 12);
  return fmt::format("{}{}'-{} {}/{}\"", sign, inches / 12, inches % 12, over, under);
}

std::string feet_decimal_inches_text(Length value, int decimals) {
  assert(std::isfinite(value.metres()) && std::abs(value.metres()) < 1e12 && decimals >= 0 && decimals <= 4);
  std::uint64_t power = 1;
  for (int i = 0; i < decimals; ++i) power *= 10;
  const std::uint64_t total = rounded_parts(value, static_cast<double>(power));
  const std::uint64_t feet = total / (12 * power);
  const std::uint64_t rest = total % (12 * power);
  const std::string_view sign = value < Length::metres(0) && total != 0 ? "-" : "";
  if (decimals == 0) return fmt::format("{}{}'-{}\"", sign, feet, rest);
  return fmt::format("{}{}'-{}.{:0{}}\"", sign, feet, rest / power, rest % power, decimals);
}

}  // namespace deckmark
