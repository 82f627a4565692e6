// The law of suggestions: what a fault says to try is taken by the reader that refused, in the same place,
// and is the one value that the text can have meant. Seed 1.

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <random>
#include <string>
#include <vector>

#include "awkward_text.h"
#include "measure/angle_text.h"
#include "measure/decimal.h"
#include "measure/length_text.h"
#include "suggestion_judge.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

constexpr int kTexts = 10000;

constexpr std::array kUnits{LengthUnit::metre,      LengthUnit::millimetre,  LengthUnit::centimetre,
                            LengthUnit::foot,       LengthUnit::survey_foot, LengthUnit::inch,
                            LengthUnit::feet_inches};

/// Fails where the suggestion is not taken, or is another value; true where there was one.
template <class Read, class Judge>
bool check_suggestion(const std::string& text, const Fault& fault, const Read& read, const Judge& why_not) {
  if (fault.suggestion.empty()) return false;
  CAPTURE(text);
  CAPTURE(fault.found);
  CAPTURE(fault.expected);
  CAPTURE(fault.suggestion);
  if (!read(fault.suggestion)) CHECK_MESSAGE(false, "the suggestion is refused");
  const std::string why = why_not(text, fault.suggestion);
  if (!why.empty()) CHECK_MESSAGE(why.empty(), why);
  return true;
}

}  // namespace

TEST_CASE("law: a suggested length is the one that was meant") {
  AwkwardText random;
  int offered = 0, refused = 0;
  for (int i = 0; i < 4 * kTexts; ++i) {
    const std::string text = random.length();
    const LengthForm form{random.pick(kUnits), random.chance(4), random.chance(6)};
    const auto reading = read_length(text, form);
    if (reading) continue;
    ++refused;
    // In a table with decimal commas the comma is no doubt.
    const auto judge = [&](const std::string& a, const std::string& b) {
      const auto with_points = [&](std::string s) {
        if (form.decimal_comma) std::replace(s.begin(), s.end(), ',', '.');
        return s;
      };
      if (why_not_the_same(with_points(a), with_points(b)).empty()) return std::string();
      const std::string why = why_not_the_same(a, b);
      return form.decimal_comma && why == "thousands, or decimals" ? std::string() : why;
    };
    if (check_suggestion(
            text, reading.fault(), [&](const auto& s) { return bool(read_length(s, form)); }, judge))
      ++offered;
  }
  CHECK(refused > kTexts);
  CHECK(offered > kTexts / 20);  // the law is not kept by silence
}

TEST_CASE("law: a suggested angle is the one that was meant") {
  AwkwardText random;
  int offered = 0, refused = 0;
  for (int i = 0; i < 2 * kTexts; ++i) {
    const std::string text = random.angle();
    const std::array<std::optional<AngleNotation>, 4> kinds{std::nullopt, AngleNotation::degrees,
                                                            AngleNotation::gon, AngleNotation::packed};
    const AngleForm form{random.pick(kinds), random.chance(4)};
    for (const bool circle : {false, true}) {
      const auto read = [&](const std::string& s) {
        return circle ? read_circle(s, form) : read_angle(s, form);
      };
      const auto angle = read(text);
      if (angle) continue;
      ++refused;
      // A bare number of gon or of a packed circle turns in those, and is judged by its value.
      const auto judge = [&](const std::string& a, const std::string& b) {
        std::string points = a;
        if (form.decimal_comma) std::replace(points.begin(), points.end(), ',', '.');
        const std::string why = why_not_the_same_angle(points, b, circle);
        if (why.empty() || !circle || !form.bare || *form.bare == AngleNotation::degrees) return why;
        const auto typed = read_angle(a, form), meant = read_angle(b, form);
        if (!typed || !meant) return why;
        const double turns = (typed->degrees() - meant->degrees()) / 360;
        return std::abs(turns - std::round(turns)) < 1e-12 ? std::string() : why;
      };
      if (check_suggestion(
              text, angle.fault(), [&](const auto& s) { return bool(read(s)); }, judge))
        ++offered;
    }
  }
  CHECK(refused > kTexts);
  CHECK(offered > kTexts / 20);
}

TEST_CASE("law: a suggested number or count is the one that was meant") {
  AwkwardText random;
  int offered = 0;
  for (int i = 0; i < kTexts; ++i) {
    const std::string text = random.number();
    const bool comma = random.chance(3);
    const auto number = read_number(text, comma);
    const auto judge = [&](const std::string& a, const std::string& b) {
      const std::string why = why_not_the_same(a, b);
      return comma && why == "thousands, or decimals" ? std::string() : why;
    };
    if (!number &&
        check_suggestion(
            text, number.fault(), [&](const auto& s) { return bool(read_number(s, comma)); }, judge))
      ++offered;
    const std::int64_t least = static_cast<std::int64_t>(random.below(3)),
                       most = random.chance(2) ? 999999999 : 100;
    const auto count = read_count(text, least, most);
    if (!count && check_suggestion(
                      text, count.fault(), [&](const auto& s) { return bool(read_count(s, least, most)); },
                      why_not_the_same))
      ++offered;
  }
  CHECK(offered > kTexts / 50);
}

TEST_CASE("suggestions that changed the value") {
  // 2026-11-27: candidates were built from the part of a text that had been read so far, characters were
  // taken out between digits, and ranges were suggested by their ends.
  struct Row {
    LengthUnit unit;
    const char* text;
  };
  for (const Row& r : {Row{LengthUnit::feet_inches, "12.5'-6 17/16\""},
                       {LengthUnit::metre, "12\v5"},
                       {LengthUnit::metre, "1,234 m"},
                       {LengthUnit::metre, "412,305"},
                       {LengthUnit::feet_inches, "12'-6\"-3"},
                       {LengthUnit::metre, "5 mm 3"},
                       {LengthUnit::feet_inches, "12'+6\""},
                       {LengthUnit::feet_inches, "12"},
                       {LengthUnit::metre, "12\u200B5"},
                       {LengthUnit::metre, "5 m\u200Bm"},
                       {LengthUnit::feet_inches, "12'\u200B'"},
                       {LengthUnit::metre, "0+50"},
                       {LengthUnit::metre, "1_000"},
                       {LengthUnit::metre, "--5"},
                       {LengthUnit::metre, "5-"},
                       {LengthUnit::metre, "1.5E"},
                       {LengthUnit::metre, "1e-400"},
                       {LengthUnit::metre, "5 ftus"},
                       {LengthUnit::metre, "1,2,3"},
                       {LengthUnit::metre, "12-6"},
                       {LengthUnit::metre, "\u201C6\u201D"},
                       {LengthUnit::feet_inches, "6 17/16\"-3"},
                       {LengthUnit::feet_inches, "3,12'-6\""},
                       {LengthUnit::metre, "100 200 300.5"},
                       {LengthUnit::metre, "4\u0092'"}}) {
    CAPTURE(r.text);
    const auto reading = read_length(r.text, {r.unit, false, false});
    REQUIRE(!reading);
    CHECK(reading.fault().suggestion == "");
  }
  // Both readings are named where there are two.
  CHECK(read_length("1,234 m", {LengthUnit::metre, false, false})
            .fault()
            .expected.ends_with(": 1.234 m or 1234 m"));
  CHECK(read_length("12", {LengthUnit::feet_inches, false, false}).fault().expected ==
        "a mark that says which, 12' or 12\"");
  for (const char* text : {"99999999999999999-60-00", "45-75-00", "1:02", "45.3", "N 10.123456789123° W",
                           "400.123456789123", "45-60-1e9", "138-19\"", "46-27-60 m"}) {
    CAPTURE(text);
    const auto angle = read_circle(text, {});
    REQUIRE(!angle);
    CHECK(angle.fault().suggestion == "");
  }
  for (const char* text : {"0", "1000000000", "12.0000000000000000001", "-12"}) {
    CAPTURE(text);
    CHECK(read_count(text, 1, 999999999).fault().suggestion == "");
  }
}
