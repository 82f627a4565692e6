#pragma once
/// The number of a printed sheet, with two digits that catch a slip of the pen.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace deckmark {

/// What a sheet is of: the one digit of its number.
enum class SheetKind : std::uint8_t { floor = 1, deck = 2, holes = 3, rods = 4 };

struct SheetId {
  std::uint32_t issue = 0;
  SheetKind kind = SheetKind::floor;
  std::uint32_t page = 0;  ///< 1 to 99
  friend bool operator==(const SheetId&, const SheetId&) = default;
};
/// `4103-37`: issue, kind, page in two digits, then 98 less the number times 100 modulo 97, in two digits (as
/// of ISO 7064, MOD 97-10: every wrong digit and every two digits exchanged are found). REQUIRES a page of 1
/// to 99 and an issue from 1.
std::string sheet_id_text(const SheetId& id);
/// Nothing where it is none, or its last two digits do not belong to the rest.
std::optional<SheetId> sheet_id_of(std::string_view text);

}  // namespace deckmark
