#include "report/words.h"

#include <fmt/format.h>

#include <cmath>

#include "measure/decimal.h"
#include "measure/length_text.h"

namespace deckmark {

std::string slope_words(double n) { return "1:" + fixed(n, n == std::floor(n) ? 0 : 1); }

std::string_view unit_words(LengthUnit unit) {
  switch (unit) {
    case LengthUnit::metre:
      return "metres";
    case LengthUnit::centimetre:
      return "centimetres";
    case LengthUnit::millimetre:
      return "millimetres";
    case LengthUnit::foot:
      return "feet";
    case LengthUnit::survey_foot:
      return "US survey feet";
    case LengthUnit::feet_inches:
      return "feet and inches";
    case LengthUnit::inch:
      break;
  }
  return "inches";
}

std::string length_words(Length value, LengthUnit unit) {
  switch (unit) {
    case LengthUnit::feet_inches:
      return feet_inches_text(value, 16);
    case LengthUnit::metre:
    case LengthUnit::centimetre:
    case LengthUnit::millimetre:
      return abs(value) < Length::metres(1) ? fixed(value.millimetres(), 1) + " mm"
                                            : fixed(value.metres(), 4) + " m";
    case LengthUnit::inch:
      return fixed(in_unit(value, unit), 3) + " in";
    case LengthUnit::foot:
    case LengthUnit::survey_foot:
      return abs(value) < Length::feet(1)
                 ? fixed(in_unit(value, LengthUnit::inch), 2) + " in"
                 : fmt::format("{} {}", fixed(in_unit(value, unit), 4), unit_word(unit));
  }
  return "";
}

std::string spoken_length(Length value, LengthUnit unit) {
  const bool metric =
      unit == LengthUnit::metre || unit == LengthUnit::centimetre || unit == LengthUnit::millimetre;
  return metric ? fixed(value.metres(), 1) + " m" : feet_inches_text(value, 1);
}

std::string degrees_words(Angle value) { return fixed(value.degrees(), 1); }

LengthUnit small_unit(LengthUnit site, LengthUnit drawing) {
  return site == LengthUnit::foot && drawing == LengthUnit::feet_inches ? drawing : site;
}

std::string length_words_beyond(Length value, Length limit, LengthUnit unit) {
  std::string text = length_words(value, unit);
  if (text != length_words(limit, unit)) return text;
  if (unit == LengthUnit::feet_inches)
    for (const int denominator : {32, 64})
      if (text = feet_inches_text(value, denominator); text != feet_inches_text(limit, denominator))
        return text;
  const bool metric =
      unit == LengthUnit::metre || unit == LengthUnit::centimetre || unit == LengthUnit::millimetre;
  const LengthUnit fine = metric ? LengthUnit::millimetre : LengthUnit::inch;
  for (int decimals = 2; decimals <= 6; ++decimals) {
    text = fmt::format("{} {}", fixed(in_unit(value, fine), decimals), unit_word(fine));
    if (text != fmt::format("{} {}", fixed(in_unit(limit, fine), decimals), unit_word(fine))) break;
  }
  return text;
}

std::string doubt_text(const Doubt& d, const BaselineResult& result, const BaselineNames& names) {
  switch (d.kind) {
    case DoubtKind::mirroring_not_checked:
      return "these ties fit a mirrored drawing just as well: they do not check whether the drawing is seen "
             "from above; the key drawing.mirrored was followed";
    case DoubtKind::mirrored_fits_better:
      return "a mirrored drawing would fit the ties better; check drawing.mirrored";
    case DoubtKind::nearly_open:
      return fmt::format(
          "the ties hardly fix the drawing: {} can be placed to {} only (sd); add a tie farther from the "
          "others",
          names.mark(d.index), length_words(Length::metres(d.value), LengthUnit::metre));
    case DoubtKind::weak_base:
      return fmt::format(
          "the ties lie close together: {} is {} times as far away as they reach, more than 3 (common "
          "practice, no source), and their errors grow with it; add a tie near it",
          names.mark(d.index), fixed(d.value, 1));
    case DoubtKind::no_redundancy:
      return "the ties just suffice: nothing is left over, so residuals of zero check nothing; add a tie";
    case DoubtKind::unchecked:
      return fmt::format("{} of the ties: not checked by any other",
                         d.value > 1.5 ? fixed(d.value, 0) + " stated coordinates" : "1 stated coordinate");
    case DoubtKind::scale_off:
      return fmt::format(
          "the fitted scale is {} ppm from 1, more than 50 ppm (common practice, no source); check units and "
          "measure a tie again",
          fixed(d.value, 1));
    case DoubtKind::two_feet:
      return fmt::format(
          "the fitted scale is {} ppm from 1, the ratio of the US survey foot and the international foot; "
          "check which foot each table is in",
          fixed(d.value, 1));
    case DoubtKind::looks_like_units:
      return result.units
                 ? fmt::format("the ties look like a drawing in {} and a site in {}; check the units",
                               result.units->drawing, result.units->site)
                 : "the ties look like another unit; check the units";
    case DoubtKind::looks_like_missing:
      return fmt::format("tie {} is far out with a coordinate of exactly 0: a missing value?",
                         names.tie(d.index));
  }
  return "";
}

}  // namespace deckmark
