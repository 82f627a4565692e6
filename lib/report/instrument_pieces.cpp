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

std::string wrapped_text(const std::string& text, std::string_view first, std::string_view next) {
  std::string out(first), line;
  std::size_t room = 80 - first.size();
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t end = std::min(text.find(' ', at), text.size());
    const std::string word = text.substr(at, end - at);
    if (!line.empty() && line.size() + 1 + word.size() > room) {
      out += line + "\n" + std::string(next);
      line.clear();
      room = 80 - next.size();
    }
    line += (line.empty() ? "" : " ") + word;
    at = end + 1;
  }
  return out + line + "\n";
}

std::string fact_lines(std::span<const SetupFact> facts, const SightNames& names, LengthUnit unit) {
  std::string text;
  for (const SetupFact& f : facts) text += wrapped_text(setup_fact_text(f, names, unit), "  LOOK: ", "    ");
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
