#include "report/instrument_pieces.h"

#include <fmt/format.h>

#include "measure/decimal.h"
#include "report/instrument_text.h"
#include "report/pieces.h"

namespace deckmark {

std::string shown(Length value, LengthUnit unit) {
  const int decimals = unit == LengthUnit::millimetre   ? 0
                       : unit == LengthUnit::centimetre ? 1
                       : unit == LengthUnit::inch       ? 2
                                                        : 3;
  return fixed(in_unit(value, unit), decimals);
}
std::string notation_words(std::optional<AngleNotation> notation) {
  if (!notation) return "degrees-minutes-seconds";
  switch (*notation) {
    case AngleNotation::degrees:
      return "decimal degrees";
    case AngleNotation::gon:
      return "gon";
    case AngleNotation::packed:
      return "DDD.MMSS";
  }
  return "";
}

std::string fact_lines(std::span<const SetupFact> facts, const SightNames& names, LengthUnit unit) {
  std::string text;
  for (const SetupFact& f : facts) text += folded("  LOOK: ", "    ", setup_fact_text(f, names, unit));
  return text;
}

std::string direction_text(Azimuth a, std::optional<AngleNotation> notation) {
  if (!notation) return dms_text(a, 0);
  switch (*notation) {
    case AngleNotation::degrees:
      return degrees_text(a, 5);
    case AngleNotation::gon:
      return gon_text(a, 4);
    case AngleNotation::packed:
      return packed_text(a, 0);
  }
  return "";
}

}  // namespace deckmark
