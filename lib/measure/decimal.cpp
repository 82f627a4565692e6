#include "measure/decimal.h"

#include <fmt/format.h>

#include <array>
#include <bit>
#include <cassert>
#include <cmath>
#include <cstring>

#include "measure/exact.h"
#include "measure/number_scan.h"
#include "measure/text_scan.h"

namespace deckmark {

namespace {

constexpr std::array<std::uint64_t, 20> kPowers = [] {
  std::array<std::uint64_t, 20> p{};
  p[0] = 1;
  for (std::size_t i = 1; i < p.size(); ++i) p[i] = 10 * p[i - 1];
  return p;
}();

constexpr std::array<double, 13> kFactors = [] {
  std::array<double, 13> f{};
  for (std::size_t i = 0; i < f.size(); ++i) f[i] = static_cast<double>(kPowers[i]);
  return f;
}();

constexpr std::array<char, 200> kPairs = [] {
  std::array<char, 200> p{};
  for (std::size_t i = 0; i < 100; ++i) {
    p[2 * i] = static_cast<char>('0' + i / 10);
    p[2 * i + 1] = static_cast<char>('0' + i % 10);
  }
  return p;
}();

__extension__ using Word128 = unsigned __int128;  // g++ and clang on every 64-bit machine

int count_digits(std::uint64_t n) {
  const int guess =
      (static_cast<int>(std::bit_width(n | 1)) * 1233) >> 12;  // 1233 / 4096 is just over log10(2)
  return guess + (n >= kPowers[static_cast<std::size_t>(guess)] ? 1 : 0);
}

// Eight digits of n < 10^8 as bytes 0 to 9, the first digit in the lowest byte: three steps that halve the
// number of digits a lane holds, instead of eight divisions that wait for one another.
std::uint64_t eight_digits(std::uint64_t n) {
  const std::uint64_t fours = n / 10000 | (n % 10000) << 32;
  const std::uint64_t hundreds = ((fours * 10486) >> 20) & 0x0000007F0000007FU;  // n / 100 for n < 10^4
  const std::uint64_t twos = hundreds | (fours - 100 * hundreds) << 16;
  const std::uint64_t tens = ((twos * 103) >> 10) & 0x000F000F000F000FU;  // n / 10 for n < 100
  return tens | (twos - 10 * tens) << 8;
}

// Digits of n < 10^16 with up to eight decimals. The sixteen digits stay in two registers: put together in
// memory, the copy from there would wait for both stores.
char* write_short_digits(char* out, std::uint64_t n, int decimals) {
  constexpr std::uint64_t kHalf = 100000000, kAscii = 0x3030303030303030U;
  const std::uint64_t high = eight_digits(n / kHalf), low = eight_digits(n % kHalf);
  const std::uint64_t high_text = high | kAscii, low_text = low | kAscii;
  const int whole = std::max(count_digits(n) - decimals, 1);
  const int skipped = 8 * (16 - decimals - whole);  // bits of digits in front that are not written
  // No branch: how many digits there are would be guessed wrong too often.
  const auto text = (static_cast<Word128>(low_text) << 64 | high_text) >> skipped;
  const auto first = static_cast<std::uint64_t>(text), second = static_cast<std::uint64_t>(text >> 64);
  std::memcpy(out, &first, 8);
  std::memcpy(out + 8, &second, 8);
  out += whole;
  if (decimals == 0) return out;
  *out++ = '.';
  const std::uint64_t part = low_text >> (8 * (8 - decimals));
  std::memcpy(out, &part, 8);
  return out + decimals;
}

// Digits of n with zeros in front where it is short, the last `decimals` behind a point.
char* write_digits(char* out, std::uint64_t n, int decimals) {
  if (std::endian::native == std::endian::little && n < kPowers[16] && decimals <= 8)
    return write_short_digits(out, n, decimals);
  const int digits = std::max(count_digits(n), decimals + 1);
  char* const end = out + digits + (decimals > 0 ? 1 : 0);
  char* p = end;
  const auto put_two = [&p, &n] {
    p -= 2;
    std::memcpy(p, &kPairs[2 * (n % 100)], 2);
    n /= 100;
  };
  int left = decimals;
  for (; left >= 2; left -= 2) put_two();
  if (left == 1) {
    *--p = static_cast<char>('0' + n % 10);
    n /= 10;
  }
  if (decimals > 0) *--p = '.';
  while (p - out >= 2) put_two();
  if (p != out) *--p = static_cast<char>('0' + n % 10);
  return end;
}

// |value| * 10^decimals to the nearest whole number, ties up, decided on the exact product: its rounding
// error is recovered by one fused multiply-add. REQUIRES a product under 2^52, where the product's last bit
// is at most 1/2, so that an exact tie of the rounded product is told from a near one by the sign of the
// error alone.
std::uint64_t scaled(double value, double power) {
  const double product = value * power;
  auto whole = static_cast<std::int64_t>(product);
  const double above_half = (product - static_cast<double>(whole)) - 0.5;
  whole += above_half > 0 ? 1 : 0;  // no branch: it would be guessed wrong half of the time
  if (above_half == 0) [[unlikely]]
    whole += std::fma(value, power, -product) >= 0 ? 1 : 0;
  return static_cast<std::uint64_t>(whole);
}

// Whole part and decimals apart, for values whose scaled product would not fit.
[[gnu::noinline]] char* write_large(char* out, double size, int decimals) {
  if (size >= 0x1p53) {
    out = fmt::format_to(out, "{:.0f}", size);  // a whole number; fmt writes all its digits
    if (decimals > 0) {
      *out++ = '.';
      out = std::fill_n(out, decimals, '0');
    }
    return out;
  }
  const auto power = kPowers[static_cast<std::size_t>(decimals)];
  auto whole = static_cast<std::uint64_t>(size);
  std::uint64_t part = scaled(size - static_cast<double>(whole), static_cast<double>(power));
  if (part == power) {
    ++whole;
    part = 0;
  }
  out = write_digits(out, whole, 0);
  if (decimals == 0) return out;
  *out++ = '.';
  char* const end = out + decimals;
  for (char* p = end; p != out; part /= 10) *--p = static_cast<char>('0' + part % 10);
  return end;
}

}  // namespace

char* write_fixed(char* out, double value, int decimals) {
  assert(std::isfinite(value) && decimals >= 0 && decimals <= 12);
  const double size = std::abs(value);
  const double power = kFactors[static_cast<std::size_t>(decimals)];
  if (size * power >= 0x1p52) [[unlikely]] {
    if (value < 0) *out++ = '-';
    return write_large(out, size, decimals);
  }
  const std::uint64_t n = scaled(size, power);
  if (value < 0 && n != 0) *out++ = '-';
  return write_digits(out, n, decimals);
}

char* write_integer(char* out, std::int64_t value) {
  auto n = static_cast<std::uint64_t>(value);
  if (value < 0) {
    *out++ = '-';
    n = 0 - n;
  }
  return write_digits(out, n, 0);
}

std::string fixed(double value, int decimals) {
  std::array<char, kFixedMax> text;
  return {text.data(), write_fixed(text.data(), value, decimals)};
}

namespace {

using text_scan::is_digit;

// Takes a sign in front: -1, +1, or 0 where two stand there.
double take_sign(std::string_view& text) {
  constexpr std::string_view minus = "\u2212";
  if (text.starts_with(minus)) {
    text.remove_prefix(minus.size());
    return -1;
  }
  if (text.starts_with('-') || text.starts_with('+')) {
    const double sign = text.front() == '-' ? -1 : 1;
    text.remove_prefix(1);
    return sign;
  }
  return 1;
}

struct NumberAttempt {
  std::optional<NumberReading> reading;
  exact::Size size = exact::Size::fits;
};

NumberAttempt attempt_number(std::string_view text, bool decimal_comma) {
  text = text_scan::trimmed(text);
  const double sign = take_sign(text);
  const auto number = number_scan::front(text, decimal_comma);
  if (!number || number->size != text.size()) return {};
  const std::array terms{number->term()};
  const exact::Rounded rounded = exact::nearest(terms);
  if (rounded.size != exact::Size::fits) return {std::nullopt, rounded.size};
  return {NumberReading{sign * rounded.value + 0.0, number->is_coarse()}, exact::Size::fits};
}

}  // namespace

Outcome<NumberReading> read_number(std::string_view text, bool decimal_comma) {
  const NumberAttempt attempt = attempt_number(text, decimal_comma);
  if (attempt.reading) return *attempt.reading;
  if (attempt.size == exact::Size::too_large)
    return Fault{in_quotes(text), "a number in range, under 1e300 in size", ""};
  if (attempt.size == exact::Size::too_small)
    return Fault{in_quotes(text), "a number in range, 0 or over 1e-300 in size", ""};
  text = text_scan::trimmed(text);
  if (text.empty()) return Fault{"no text", "a number", ""};
  auto flaw = number_scan::find_flaw(text);
  if (!flaw) flaw = number_scan::find_separator_flaw(text, decimal_comma);
  if (!flaw) flaw = number_scan::Flaw{"", "a number alone, such as 12.5", ""};
  return number_scan::fault_of(text, "a number", *flaw, [&](std::string_view candidate) {
    return attempt_number(candidate, decimal_comma).reading.has_value();
  });
}

namespace {

// The digits of a number that is whole, written with a sign, decimals or an exponent; nothing where it is
// below zero, not whole, or of more than 18 digits.
std::optional<std::string> whole_digits(std::string_view text) {
  if (take_sign(text) < 0) return std::nullopt;
  const auto number = number_scan::front(text, false);
  if (!number || number->size != text.size()) return std::nullopt;
  std::string digits = number->digits;
  int exponent = number->exponent;
  for (; exponent < 0 && digits.size() > 1 && digits.back() == '0'; ++exponent) digits.pop_back();
  if (exponent < 0 || exponent > 18) return std::nullopt;
  digits.append(static_cast<std::size_t>(exponent), '0');
  digits.erase(0, std::min(digits.find_first_not_of('0'), digits.size() - 1));
  return digits.size() <= 18 ? std::optional(digits) : std::nullopt;
}

}  // namespace

Outcome<std::int64_t> read_count(std::string_view text, std::int64_t least, std::int64_t most) {
  const std::string_view digits = text_scan::trimmed(text);
  std::uint64_t value = 0;
  bool fits = !digits.empty();
  for (const char c : digits) {
    fits = fits && is_digit(c) && value < kPowers[18];
    if (!fits) break;
    value = value * 10 + static_cast<std::uint64_t>(c - '0');
  }
  const auto count = static_cast<std::int64_t>(value);
  if (fits && count >= least && count <= most) return count;
  std::string suggestion;
  const auto whole = whole_digits(digits);  // 12.0, +12, 1.2e1
  if (whole && *whole != digits && read_count(*whole, least, most)) suggestion = *whole;
  return Fault{digits.empty() ? "no text" : in_quotes(digits),
               fmt::format("a whole number from {} to {}, digits alone", least, most), suggestion};
}

}  // namespace deckmark
