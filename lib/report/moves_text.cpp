#include "report/moves_text.h"

#include <fmt/format.h>

#include "measure/fault.h"
#include "report/pieces.h"

namespace deckmark {

std::string moves_words(std::span<const NamedMove> moves, LengthUnit unit) {
  std::string out;
  for (std::size_t i = 0; i < moves.size(); ++i) {
    const NamedMove& m = moves[i];
    const bool again = i > 0 && moves[i - 1].mark == m.mark;
    const std::string by = unit == LengthUnit::feet_inches
                               ? short_length(abs(m.move), unit) + "\""
                               : fmt::format("{} {}", short_length(abs(m.move), unit), short_unit(unit));
    const std::string mark = again ? "" : visible(m.mark) + " ";
    out += fmt::format("{}{}{} {} {}",
                       i == 0  ? "Move "
                       : again ? " and "
                               : "; move ",
                       mark, by, m.move < Length::metres(0) ? "away from" : "toward", visible(m.toward));
  }
  return out.empty() ? out : out + ", then tape again.";
}

}  // namespace deckmark
