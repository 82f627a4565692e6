#include "baseline/offset_form.h"

#include <cmath>

#include "measure/decimal.h"
#include "measure/length_text.h"

namespace deckmark {

namespace {

constexpr double kTie = 1e-9;  // metres: what lies as near to a tie is one, as in printing feet and inches

int decimals(LengthUnit unit) {
  switch (unit) {
    case LengthUnit::millimetre:
      return 0;
    case LengthUnit::centimetre:
      return 1;
    case LengthUnit::inch:
      return 2;
    case LengthUnit::metre:
    case LengthUnit::foot:
    case LengthUnit::survey_foot:
    case LengthUnit::feet_inches:
      break;
  }
  return 3;
}

}  // namespace

Length offset_step(const OffsetForm& form) {
  if (form.unit == LengthUnit::feet_inches) return Length::inches(1.0 / form.denominator);
  return from_unit(std::pow(10.0, -decimals(form.unit)), form.unit);
}

Length as_written(Length value, const OffsetForm& form) {
  const double step = offset_step(form).metres(), size = std::abs(value.metres());
  return Length::metres(std::copysign(std::floor((size + kTie) / step + 0.5) * step, value.metres()));
}

std::string offset_text(Length value, const OffsetForm& form) {
  if (form.unit == LengthUnit::feet_inches) return feet_inches_text(value, form.denominator);
  return fixed(in_unit(as_written(value, form), form.unit), decimals(form.unit));
}

}  // namespace deckmark
