#include "lists/columns.h"

namespace deckmark {

std::vector<std::string> header_of(std::span<const OutColumn> columns, LengthUnit unit) {
  std::vector<std::string> out;
  out.reserve(columns.size());
  for (const OutColumn& c : columns) {
    std::string& head = out.emplace_back(c.name);
    if (c.kind == OutKind::length) head += " (" + std::string(unit_word(unit)) + ")";
    if (c.kind == OutKind::metres) head += " (m)";
  }
  return out;
}

}  // namespace deckmark
