#include "report/release_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "measure/fault.h"
#include "report/pieces.h"

namespace deckmark {

std::vector<std::string> release_lines(std::span<const ReleaseLine> released) {
  const auto shown = [](std::string_view text) { return visible(std::string(text)); };
  std::vector<std::string> out;
  constexpr std::size_t kMost = 6;
  for (const ReleaseLine& r : released.first(std::min(released.size(), kMost))) {
    out.push_back(
        fmt::format("Released for drilling: {}, by {} on {}", shown(r.what), shown(r.by), shown(r.on)));
    if (!r.reference.empty()) out.back() += fmt::format(" ({})", shown(r.reference));
  }
  if (released.size() > kMost)
    out.push_back(
        fmt::format("and {} more: see the table that [deck] released names", released.size() - kMost));
  if (released.empty()) out.emplace_back("Nothing is released for drilling.");
  out.emplace_back(kAsScanned);
  return out;
}

std::string release_text(std::span<const std::string> lines) {
  std::string out;
  for (const std::string& line : lines) out += folded("", "  ", line);
  return out;
}

std::vector<std::string> release_head(std::span<const std::string> lines, std::size_t width) {
  std::vector<std::string> out;
  for (const std::string& line : lines)
    for (std::string& part : wrapped(line, width, 3)) out.push_back(std::move(part));
  return out;
}

}  // namespace deckmark
