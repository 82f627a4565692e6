// Laws of lengths, angles, numbers, ellipses and verdicts, on random input. Seed 1 everywhere.

#include <doctest/doctest.h>

#include <array>
#include <bit>
#include <boost/multiprecision/cpp_int.hpp>
#include <charconv>
#include <cmath>
#include <cstdlib>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "measure/angle_text.h"
#include "measure/decimal.h"
#include "measure/ellipse.h"
#include "measure/length_grammar.h"
#include "measure/length_text.h"
#include "measure/verdict.h"

using namespace deckmark;

namespace {

using boost::multiprecision::cpp_int;
using boost::multiprecision::cpp_rational;

// Sanitizer builds run a twentieth of the repeats.
constexpr int repeats(int n) {
#ifdef DECKMARK_SANITIZED
  return n / 20;
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
  return n / 20;
#else
  return n;
#endif
#else
  return n;
#endif
}

class Random {
 public:
  std::uint64_t below(std::uint64_t n) { return engine_() % n; }
  bool chance(std::uint64_t one_in) { return below(one_in) == 0; }
  /// From -1 to 1.
  double unit() { return static_cast<double>(static_cast<std::int64_t>(engine_())) * 0x1p-63; }
  template <class Container>
  const auto& pick(const Container& from) {
    return from[below(from.size())];
  }

 private:
  std::mt19937_64 engine_{1};
};

constexpr std::array kUnits{LengthUnit::metre,      LengthUnit::millimetre,  LengthUnit::centimetre,
                            LengthUnit::foot,       LengthUnit::survey_foot, LengthUnit::inch,
                            LengthUnit::feet_inches};

LengthForm random_form(Random& random) { return {random.pick(kUnits), random.chance(4), random.chance(5)}; }

std::string digits(Random& random, std::uint64_t most) {
  std::string out;
  for (std::uint64_t n = 1 + random.below(most); n > 0; --n) out += static_cast<char>('0' + random.below(10));
  return out;
}

// Texts that are lengths, nearly lengths, or begin like one.
std::string random_length_text(Random& random) {
  static const std::vector<std::string> separators{"-", " ", "", " - ", "--", "\u2013"};
  static const std::vector<std::string> feet{"'", "'", "'", " ft", "ft ", "\u2032", "\u2019", ""};
  static const std::vector<std::string> inch{"\"", "\"", "\"", " in", "\u2033", "''", ""};
  static const std::vector<std::string> words{" m",     "m",   " mm", "MM", "cm", " ft", "FT",
                                              " us-ft", " in", "\"",  "'",  "",   "",    ""};
  static const std::vector<std::string> signs{"", "", "", "-", "+", "\u2212", "'"};
  std::string text = random.pick(signs);
  if (random.chance(2)) {
    text += digits(random, random.chance(5) ? 20 : 6);
    if (random.chance(2))
      text += (random.chance(6) ? "," : ".") +
              (random.chance(9) ? "" : digits(random, random.chance(5) ? 18 : 5));
    if (random.chance(8)) text += "e" + std::string(random.chance(2) ? "-" : "+") + digits(random, 2);
    return text + random.pick(words);
  }
  if (!random.chance(4))
    text += digits(random, random.chance(9) ? 8 : 3) + random.pick(feet) + random.pick(separators);
  if (!random.chance(6)) text += random.chance(2) ? std::to_string(random.below(14)) : digits(random, 2);
  if (random.chance(6)) text += "." + digits(random, 7);
  if (random.chance(2))
    text +=
        random.pick(separators) + std::to_string(random.below(20)) + "/" + std::to_string(random.below(20));
  return text + random.pick(inch);
}

void mutate(Random& random, std::string& text) {
  static const std::vector<std::string> pieces{"'",      "\"",       "-",
                                               "/",      ".",        ",",
                                               " ",      "0",        "1",
                                               "9",      "O",        "l",
                                               "e",      "E5",       "in",
                                               "ft",     "m",        "us-ft",
                                               "#",      "(",        ")",
                                               "\u00BD", "\u00A0",   "\u200B",
                                               "\u2014", "\u2212",   "\uFF11",
                                               "\x92",   "\xE2\x80", "_",
                                               "+",      ":",        "Mar",
                                               "D",      "gon",      "\u00B0",
                                               "N",      "d",        std::string(1, '\0')};
  const std::size_t at = random.below(text.size() + 1);
  if (random.chance(3) && at < text.size())
    text.erase(at, 1);
  else
    text.insert(at, random.pick(pieces));
}

bool same(double a, double b) { return std::bit_cast<std::uint64_t>(a) == std::bit_cast<std::uint64_t>(b); }

// No double is nearer to the exact value.
bool is_nearest(double value, const cpp_rational& exact) {
  const auto distance = [&](double v) {
    const cpp_rational off = cpp_rational(v) - exact;
    return off < 0 ? cpp_rational(-off) : off;
  };
  const cpp_rational own = distance(value);
  return own <= distance(std::nextafter(value, INFINITY)) &&
         own <= distance(std::nextafter(value, -INFINITY));
}

}  // namespace

TEST_CASE("the quick reader of lengths agrees with the general one") {
  Random random;
  int taken = 0;
  for (int i = 0; i < repeats(200000); ++i) {
    std::string text = random_length_text(random);
    if (random.chance(6)) mutate(random, text);
    const LengthForm form = random_form(random);
    const auto quick = read_length(text, form);
    const auto general = length_grammar::read(text, form);
    const bool agree =
        bool(quick) == bool(general) &&
        (!quick ||
         (same(quick->value.metres(), general->value.metres()) && quick->stated == general->stated &&
          quick->marks_left_out == general->marks_left_out && quick->coarse == general->coarse));
    if (quick) ++taken;
    if (agree) continue;
    CAPTURE(text);
    CAPTURE(unit_word(form.bare));
    CHECK(agree);
  }
  CHECK(taken > repeats(50000));  // the generator makes lengths, not only faults
}

TEST_CASE("every proposal is accepted, and no text breaks a reader") {
  Random random;
  int proposals = 0;
  for (int i = 0; i < repeats(100000); ++i) {
    std::string text = random_length_text(random);
    for (std::uint64_t n = 1 + random.below(3); n > 0; --n) mutate(random, text);
    CAPTURE(text);
    const LengthForm form = random_form(random);
    if (const auto length = read_length(text, form)) {
      if (!(std::abs(length->value.metres()) <= 1e9)) CHECK(std::abs(length->value.metres()) <= 1e9);
    } else if (!length.fault().suggestion.empty()) {
      ++proposals;
      if (!read_length(length.fault().suggestion, form)) CHECK_MESSAGE(false, length.fault().suggestion);
    }
    const auto number = read_number(text, form.decimal_comma);
    if (!number && !number.fault().suggestion.empty() &&
        !read_number(number.fault().suggestion, form.decimal_comma))
      CHECK_MESSAGE(false, number.fault().suggestion);
    const AngleForm angles{random.chance(2) ? std::optional<AngleNotation>() : AngleNotation::packed,
                           form.decimal_comma};
    const auto angle = read_circle(text, angles);
    if (!angle && !angle.fault().suggestion.empty() && !read_circle(angle.fault().suggestion, angles))
      CHECK_MESSAGE(false, angle.fault().suggestion);
  }
  CHECK(proposals > repeats(3000));  // what it means is judged in suggestion_laws.cpp
}

TEST_CASE("a length is the double nearest to what is written") {
  Random random;
  for (int i = 0; i < repeats(20000); ++i) {
    const auto feet = random.below(100000), inches = random.below(12),
               under = 1 + random.below(random.chance(3) ? 999 : 64), over = random.below(under);
    const std::string text = std::to_string(feet) + "'-" + std::to_string(inches) + " " +
                             std::to_string(over) + "/" + std::to_string(under) + "\"";
    const cpp_rational total =
        cpp_rational(cpp_int(feet) * 12 + inches) + cpp_rational(cpp_int(over), cpp_int(under));
    CAPTURE(text);
    CHECK(
        is_nearest(read_length(text, {LengthUnit::metre, false, false})->value.metres(), total * 127 / 5000));
    CHECK(is_nearest(read_length(text, {LengthUnit::survey_foot, false, false})->value.metres(),
                     total * 100 / 3937));
  }
  const std::array<cpp_rational, 7> metres{1,           {1, 1000},  {1, 100}, {381, 1250}, {1200, 3937},
                                           {127, 5000}, {381, 1250}};
  for (int i = 0; i < repeats(20000); ++i) {
    const std::string whole = digits(random, 8), part = digits(random, random.chance(4) ? 25 : 6);
    const std::size_t unit = random.below(6);
    cpp_int power = 1;
    for (std::size_t k = 0; k < part.size(); ++k) power *= 10;
    const std::string all =
        (whole + part)
            .substr(std::min((whole + part).find_first_not_of('0'), whole.size() + part.size() - 1));
    const cpp_rational exact = cpp_rational(cpp_int(all), power) * metres[unit];
    CAPTURE(whole);
    CAPTURE(part);
    CAPTURE(unit);
    CHECK(is_nearest(read_length(whole + "." + part, {kUnits[unit], false, false})->value.metres(), exact));
  }
}

TEST_CASE("feet-inches read back what they print") {
  Random random;
  const LengthForm form{LengthUnit::feet_inches, false, false};
  for (int i = 0; i < repeats(50000); ++i) {
    const int denominator = 1 << random.below(7);
    const double fraction = 0.0254 / denominator;
    const Length value = Length::metres(random.unit() * (random.chance(2) ? 1 : 2000));
    const std::string text = feet_inches_text(value, denominator);
    CAPTURE(text);
    const auto back = read_length(text, form);
    REQUIRE(bool(back));
    // Half the fraction; the hair by which ties are told is 1e-9 m.
    CHECK(abs(back->value - value).metres() <= fraction / 2 + 1e-9);
    CHECK(feet_inches_text(back->value, denominator) == text);
    CHECK(feet_inches_text(-value, denominator) == (text[0] == '-'                     ? text.substr(1)
                                                    : back->value == Length::metres(0) ? text
                                                                                       : "-" + text));
    const std::string decimal = feet_decimal_inches_text(value, 2);
    const auto again = read_length(decimal, form);
    REQUIRE(bool(again));
    CHECK(abs(again->value - value).metres() <= 0.000127 + 1e-9);
    CHECK(feet_decimal_inches_text(again->value, 2) == decimal);
  }
}

TEST_CASE("multiples of the fraction print exactly") {
  Random random;
  for (int i = 0; i < repeats(20000); ++i) {
    const auto sixty_fourths = static_cast<std::int64_t>(random.below(12 * 64 * 5000));
    const auto value = Length::inches(static_cast<double>(sixty_fourths) / 64);
    const auto back = read_length(feet_inches_text(value, 64), {LengthUnit::metre, false, false});
    CHECK(std::abs(back->value.metres() - value.metres()) <= 3e-16 * value.metres());
  }
}

namespace {

// |value| to `decimals` places, half away from zero, by exact arithmetic on the binary value.
std::string exact_fixed(double value, int decimals) {
  cpp_int power = 1;
  for (int i = 0; i < decimals; ++i) power *= 10;
  const cpp_rational scaled = cpp_rational(std::abs(value)) * power;
  const cpp_int n = (numerator(scaled) * 2 + denominator(scaled)) / (denominator(scaled) * 2);
  std::string text = n.str();
  const auto places = static_cast<std::size_t>(decimals);
  if (text.size() <= places) text.insert(0, places + 1 - text.size(), '0');
  if (decimals > 0) text.insert(text.size() - places, ".");
  return (value < 0 && n != 0 ? "-" : "") + text;
}

double random_real(Random& random) {
  switch (random.below(5)) {
    case 0:
      return random.unit();
    case 1:
      return random.unit() * 1e6;
    case 2:
      return std::ldexp(random.unit(), static_cast<int>(random.below(120)) - 60);
    case 3:
      return static_cast<double>(random.below(1u << 30)) / 1024.0;  // exact ties at 9 decimals and fewer
    default:
      return static_cast<double>(random.below(2000000)) / 1e5 + 5e-6;  // near ties at 5 decimals
  }
}

}  // namespace

TEST_CASE("fixed decimals agree with exact arithmetic") {
  Random random;
  for (int i = 0; i < repeats(100000); ++i) {
    const double value = random_real(random);
    const int decimals = static_cast<int>(random.below(13));
    if (fixed(value, decimals) == exact_fixed(value, decimals)) continue;
    CAPTURE(value);
    CAPTURE(decimals);
    CHECK(fixed(value, decimals) == exact_fixed(value, decimals));
  }
  for (int i = 0; i < repeats(5000); ++i) {
    // Where the scaled value passes 2^52 the digits are made in another way.
    const int decimals = static_cast<int>(random.below(13));
    const double value = std::ldexp(1 + std::abs(random.unit()), 50 + static_cast<int>(random.below(6))) /
                         std::pow(10.0, decimals);
    if (fixed(value, decimals) == exact_fixed(value, decimals)) continue;
    CAPTURE(value);
    CAPTURE(decimals);
    CHECK(fixed(value, decimals) == exact_fixed(value, decimals));
  }
}

TEST_CASE("numbers are read as the standard library reads them") {
  Random random;
  for (int i = 0; i < repeats(50000); ++i) {
    const double value = std::ldexp(random.unit(), static_cast<int>(random.below(1800)) - 900);
    std::array<char, 64> text{};
    const char* const end = std::to_chars(text.data(), text.data() + text.size(), value).ptr;
    const auto back =
        read_number(std::string_view(text.data(), static_cast<std::size_t>(end - text.data())), false);
    CAPTURE(value);
    REQUIRE(bool(back));
    CHECK(same(back->value, value));
  }
  for (int i = 0; i < repeats(20000); ++i) {
    const std::string text = digits(random, 30) + "." + digits(random, 30) + "e" +
                             (random.chance(2) ? "-" : "") + digits(random, 2);
    double want = 0;
    std::from_chars(text.data(), text.data() + text.size(), want);
    CAPTURE(text);
    CHECK(same(read_number(text, false)->value, want));
  }
}

TEST_CASE("angles read back what they print") {
  Random random;
  for (int i = 0; i < repeats(50000); ++i) {
    const double degrees = random.unit() * (random.chance(3) ? 0.01 : 360);
    const int decimals = static_cast<int>(random.below(5));
    const double half = 0.5 / 3600 / std::pow(10.0, decimals) + 1e-12;
    const Angle angle = Angle::degrees(degrees);
    const std::string text = dms_text(angle, decimals);
    CAPTURE(text);
    const auto back = read_angle(text, {});
    REQUIRE(bool(back));
    CHECK(std::abs(back->degrees() - degrees) <= half);
    CHECK(dms_text(*back, decimals) == text);
    CHECK(text.find("-60", 1) == std::string::npos);
    const auto packed = read_angle(packed_text(angle, decimals), {AngleNotation::packed, false});
    REQUIRE(bool(packed));
    CHECK(same(packed->degrees(), back->degrees()));
    const Azimuth azimuth = Azimuth::degrees(degrees);
    const auto circle = read_circle(dms_text(azimuth, decimals), {});
    REQUIRE(bool(circle));  // so 360 is never printed
    CHECK(std::abs((Azimuth::degrees(circle->degrees()) - azimuth).degrees()) <= half);
    const auto gon = read_circle(gon_text(azimuth, 4) + " gon", {});
    REQUIRE(bool(gon));
    CHECK(std::abs((Azimuth::degrees(gon->degrees()) - azimuth).degrees()) <= 0.9 * 0.5e-4 + 1e-12);
  }
}

TEST_CASE("spellings of one angle are one angle") {
  Random random;
  for (int i = 0; i < repeats(20000); ++i) {
    const std::string d = std::to_string(random.below(360)), m = std::to_string(random.below(60)),
                      s = std::to_string(random.below(60)) + "." + digits(random, 3);
    const double want = read_angle(d + "-" + m + "-" + s, {})->degrees();
    for (const std::string& text :
         {d + ":" + m + ":" + s, d + " " + m + " " + s, d + "°" + m + "'" + s + "\"",
          d + "d" + m + "m" + s + "s", d + "º " + m + "\u2032 " + s + "\u2033"}) {
      CAPTURE(text);
      CHECK(same(read_angle(text, {})->degrees(), want));
    }
    CHECK(same(read_angle("-" + d + "-" + m + "-" + s, {})->degrees(), 0.0 - want));
  }
}

TEST_CASE("azimuths: turning on and back, and the short way") {
  Random random;
  for (int i = 0; i < repeats(50000); ++i) {
    const Azimuth a = Azimuth::degrees(random.unit() * 1000), b = Azimuth::degrees(random.unit() * 1000);
    const Angle turn = a - b;
    CHECK((a.degrees() >= 0 && a.degrees() < 360));
    CHECK((turn.degrees() > -180 && turn.degrees() <= 180));
    CHECK(std::abs(((b + turn) - a).degrees()) <= 1e-12);
    CHECK(std::hypot(a.sine(), a.cosine()) == doctest::Approx(1).epsilon(4e-16));
    const double size = 1 + std::abs(random.unit());
    const Vec<Site> v{
        {.northing = Length::metres(size * a.cosine()), .easting = Length::metres(size * a.sine())}};
    CHECK(std::abs((azimuth_of(v) - a).degrees()) <= 1e-13);
  }
}

TEST_CASE("ellipses: trace, determinant, turning, and the sd of an offset") {
  Random random;
  for (int i = 0; i < repeats(20000); ++i) {
    const double sn = 0.001 + 0.01 * std::abs(random.unit()), se = 0.001 + 0.01 * std::abs(random.unit()),
                 r = 0.999 * random.unit();
    const PlanCovariance<Site> c{sn * sn, r * sn * se, se * se};
    const ErrorEllipse e = error_ellipse(c);
    const double a = e.semi_major.metres(), b = e.semi_minor.metres();
    CHECK(a >= b);
    CHECK(a * a + b * b == doctest::Approx(c.first + c.second).epsilon(1e-14));
    CHECK(a * b == doctest::Approx(sn * se * std::sqrt(1 - r * r)).epsilon(1e-10));
    CHECK((e.azimuth.degrees() >= 0 && e.azimuth.degrees() < 180));
    // Along the major axis the sd is a, across it b; elsewhere between.
    const auto far = [](Azimuth t) {
      return Vec<Site>{{.northing = Length::metres(t.cosine()), .easting = Length::metres(t.sine())}};
    };
    CHECK(offset_sd(far(e.azimuth), c).metres() == doctest::Approx(a).epsilon(1e-9));
    CHECK(offset_sd(far(e.azimuth + Angle::degrees(90)), c).metres() == doctest::Approx(b).epsilon(1e-6));
    const double any = offset_sd(far(Azimuth::degrees(360 * random.unit())), c).metres();
    CHECK((any <= a * (1 + 1e-12) && any >= b * (1 - 1e-6)));
    // North and east exchanged mirror the azimuth about 45 degrees.
    const ErrorEllipse swapped = error_ellipse({c.second, c.cross, c.first});
    CHECK(swapped.semi_major.metres() == doctest::Approx(a).epsilon(1e-15));
    if (a > b * 1.01)
      CHECK(std::abs(std::remainder(swapped.azimuth.degrees() + e.azimuth.degrees() - 90, 180)) <= 1e-9);
  }
}

TEST_CASE("verdicts never grow better with a larger deviation or a larger sd") {
  Random random;
  const auto rank = [](Verdict v) { return v == Verdict::within ? 0 : v == Verdict::unsure ? 1 : 2; };
  for (int i = 0; i < repeats(50000); ++i) {
    const Length limit = Length::metres(std::abs(random.unit()) * 0.01),
                 sd = Length::metres(std::abs(random.unit()) * 0.005);
    const Length small = Length::metres(std::abs(random.unit()) * 0.03),
                 large = small + Length::metres(std::abs(random.unit()) * 0.01);
    CHECK(rank(judge(small, limit)) <= rank(judge(large, limit)));
    CHECK(rank(judge_guarded(small, limit, sd)) <= rank(judge_guarded(large, limit, sd)));
    CHECK(judge_guarded(small, limit, sd) == judge_guarded(-small, limit, sd));
    CHECK(judge_guarded(small, limit, Length::metres(0)) == judge(small, limit));
    // Guarded acceptance never contradicts the simple one, it only abstains.
    const Verdict guarded = judge_guarded(small, limit, sd);
    CHECK((guarded == Verdict::unsure || guarded == judge(small, limit)));
  }
}
