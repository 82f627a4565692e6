#include "measure/exact.h"

#include <boost/multiprecision/cpp_int.hpp>
#include <cmath>
#include <cstdlib>
#include <string>

namespace deckmark::exact {

namespace {

using boost::multiprecision::cpp_int;

struct Ratio {
  cpp_int top, bottom;
};

cpp_int power_of_ten(int n) { return boost::multiprecision::pow(cpp_int(10), static_cast<unsigned>(n)); }

// The quotient is formed with 56 or 57 bits and a sticky bit below them, so that the conversion to double
// rounds exactly once. REQUIRES a result that is no subnormal.
double nearest_double(const Ratio& r) {
  const int shift = 56 - (static_cast<int>(msb(r.top)) - static_cast<int>(msb(r.bottom)));
  cpp_int top = r.top;
  cpp_int bottom = r.bottom;
  if (shift > 0) top <<= static_cast<unsigned>(shift);
  if (shift < 0) bottom <<= static_cast<unsigned>(-shift);
  cpp_int quotient, rest;
  divide_qr(top, bottom, quotient, rest);
  auto bits = static_cast<std::uint64_t>(quotient);
  if (!rest.is_zero()) bits |= 1;
  return std::ldexp(static_cast<double>(bits), -shift);
}

}  // namespace

Rounded nearest(std::span<const Term> terms) {
  constexpr int kLargest = 300;
  Ratio sum{0, 1};
  bool vanished = false;  // a term other than zero that is too small to be built
  for (const Term& t : terms) {
    std::string_view digits = t.digits;
    while (digits.size() > 1 && digits.front() == '0') digits.remove_prefix(1);
    if (digits == "0") continue;
    const int magnitude = static_cast<int>(digits.size()) + t.exponent;  // value under 10^magnitude
    if (magnitude > kLargest + 30) return {0, Size::too_large};
    if (magnitude < -kLargest - 30) {
      vanished = true;
      continue;
    }
    cpp_int top = cpp_int(std::string(digits)) * t.numerator;
    cpp_int bottom = t.denominator;
    (t.exponent > 0 ? top : bottom) *= power_of_ten(std::abs(t.exponent));
    sum.top = sum.top * bottom + top * sum.bottom;
    sum.bottom *= bottom;
  }
  if (sum.top.is_zero()) return {0, vanished ? Size::too_small : Size::fits};
  if (sum.top > sum.bottom * power_of_ten(kLargest)) return {0, Size::too_large};
  if (sum.top * power_of_ten(kLargest) < sum.bottom) return {0, Size::too_small};
  return {nearest_double(sum), Size::fits};
}

}  // namespace deckmark::exact
