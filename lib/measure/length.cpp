#include "measure/length.h"

#include <array>
#include <cmath>
#include <cstddef>
#include <string>

#include "measure/text_scan.h"

namespace deckmark {

namespace {

struct UnitWord {
  LengthUnit unit;
  std::string_view word;
};

constexpr std::array<UnitWord, 7> kUnitWords{{{LengthUnit::metre, "m"},
                                              {LengthUnit::millimetre, "mm"},
                                              {LengthUnit::centimetre, "cm"},
                                              {LengthUnit::foot, "ft"},
                                              {LengthUnit::survey_foot, "us-ft"},
                                              {LengthUnit::inch, "in"},
                                              {LengthUnit::feet_inches, "ft-in"}}};

bool same_but_case(std::string_view text, std::string_view lower) {
  if (text.size() != lower.size()) return false;
  for (std::size_t i = 0; i < text.size(); ++i)
    if (small_letter(text[i]) != lower[i]) return false;
  return true;
}

}  // namespace

// Plain squares: lengths here are far from overflow, and a million points ask.
Length hypot(Length a, Length b) {
  return Length::metres(std::sqrt(a.metres() * a.metres() + b.metres() * b.metres()));
}

std::string_view unit_word(LengthUnit unit) {
  for (const UnitWord& w : kUnitWords) {
    if (w.unit == unit) return w.word;
  }
  return "m";
}

std::optional<LengthUnit> unit_from_word(std::string_view word) {
  for (const UnitWord& w : kUnitWords) {
    if (same_but_case(word, w.word)) return w.unit;
  }
  return std::nullopt;
}

std::string_view likely_unit_word(std::string_view word) {
  std::string small = small_letters(word);
  std::erase_if(small, [](char c) { return c == ' ' || c == '-' || c == '_' || c == '.'; });
  struct Meaning {
    std::string_view word, unit;
  };
  if (small.ends_with('s') && small.size() > 3) small.pop_back();
  for (const Meaning& m : {Meaning{"feet", "ft"},
                           {"foot", "ft"},
                           {"'", "ft"},
                           {"inch", "in"},
                           {"inche", "in"},
                           {"\"", "in"},
                           {"metre", "m"},
                           {"meter", "m"},
                           {"millimetre", "mm"},
                           {"millimeter", "mm"},
                           {"centimetre", "cm"},
                           {"centimeter", "cm"},
                           {"usft", "us-ft"},
                           {"usfeet", "us-ft"},
                           {"usfoot", "us-ft"},
                           {"ftu", "us-ft"},
                           {"ussurveyfoot", "us-ft"},
                           {"ussurveyfeet", "us-ft"},
                           {"ussurveyft", "us-ft"},
                           {"surveyfoot", "us-ft"},
                           {"surveyfeet", "us-ft"},
                           {"surveyft", "us-ft"}})
    if (small == m.word) return m.unit;
  return "";
}

double metres_in(LengthUnit unit) {
  switch (unit) {
    case LengthUnit::metre:
      return 1.0;
    case LengthUnit::millimetre:
      return 0.001;
    case LengthUnit::centimetre:
      return 0.01;
    case LengthUnit::foot:
    case LengthUnit::feet_inches:
      return 0.3048;
    case LengthUnit::survey_foot:
      return 1200.0 / 3937.0;
    case LengthUnit::inch:
      return 0.0254;
  }
  return 1.0;
}

double in_unit(Length value, LengthUnit unit) {
  const double m = value.metres();
  switch (unit) {
    case LengthUnit::metre:
      return m;
    case LengthUnit::millimetre:
      return m * 1000.0;
    case LengthUnit::centimetre:
      return m * 100.0;
    case LengthUnit::foot:
    case LengthUnit::feet_inches:
      return m / 0.3048;
    case LengthUnit::survey_foot:
      return m * 3937.0 / 1200.0;
    case LengthUnit::inch:
      return m / 0.0254;
  }
  return m;
}

Length from_unit(double count, LengthUnit unit) {
  switch (unit) {
    case LengthUnit::metre:
      return Length::metres(count);
    case LengthUnit::millimetre:
      return Length::millimetres(count);
    case LengthUnit::centimetre:
      return Length::centimetres(count);
    case LengthUnit::foot:
    case LengthUnit::feet_inches:
      return Length::feet(count);
    case LengthUnit::survey_foot:
      return Length::survey_feet(count);
    case LengthUnit::inch:
      return Length::inches(count);
  }
  return Length::metres(count);
}

int table_decimals(LengthUnit unit) {
  switch (unit) {
    case LengthUnit::millimetre:
      return 2;
    case LengthUnit::centimetre:
      return 3;
    case LengthUnit::inch:
      return 4;
    case LengthUnit::metre:
    case LengthUnit::foot:
    case LengthUnit::survey_foot:
    case LengthUnit::feet_inches:
      return 5;
  }
  return 5;
}

}  // namespace deckmark
