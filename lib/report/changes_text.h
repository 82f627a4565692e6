#pragma once
/// What changed since an earlier issue, in words.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "issues/changes.h"
#include "measure/length.h"

namespace deckmark {

/// One change; old name and number where a point was renamed.
struct ChangeLine {
  std::uint32_t number;
  std::string_view point;
  Change change;
  What what = What::floor;
  std::optional<Vec<Drawing>> by{};  ///< in plan, in the drawing's axes
  std::optional<Length> up{};        ///< in height or in length
  std::string_view old_name{};
  std::uint32_t old_number = 0;
};

/// Against what the changes are told.
struct ChangesHead {
  std::uint32_t issue = 0;  ///< that is handed out
  std::uint32_t since = 0;  ///< 0: nothing was handed out before
  std::string why{};        ///< why that one: `the last of revision B`; empty: asked for
  std::size_t points = 0;   ///< that are live
};

/// Changes that a text tells one by one; the rest is counted.
inline constexpr std::size_t kChangesTold = 60;
/// Marks that the fit alone moved are one line. `most`: told one by one.
std::string changes_text(std::span<const ChangeLine> lines, const ChangesHead& head, LengthUnit unit,
                         std::size_t most);

}  // namespace deckmark
