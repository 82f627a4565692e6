#pragma once
/// The sheet for laser and tape: pages of 80 columns that fit A4 and letter, black on white.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "baseline/offsets.h"
#include "marks/marks.h"

namespace deckmark {

struct SheetRow {
  std::int64_t number = 0;
  std::string_view point, kind;
  std::optional<Length> along;
  Point<Drawing> at;
  std::optional<SwingTie> tie;
  std::optional<Length> drop;
};

/// A distance between two marks, to hold the tape against.
struct SheetCheck {
  std::int64_t from = 0, to = 0;
  Length span = Length::metres(0);  ///< on site
};

/// One run, or the points without one (empty name).
struct SheetBlock {
  std::string_view run;
  bool straight = true;  ///< running distances can be taped in one line from the first mark
  std::vector<SheetRow> rows;
  std::optional<SheetCheck> ends, diagonal;
};

/// Where +Y (or +X) lies, seen from a mark.
struct SheetStand {
  std::string stand, face;
  bool is_y = true, is_left = true;
};

struct SheetHead {
  std::string title, revision, points_sha256, baselines;
  std::string standing;  ///< the first line of the summary
  OffsetForm form;
  std::vector<std::string> from;  ///< names of the marks of the swing ties, or none
  SheetStand stand;
  std::optional<std::int64_t> deck_offset;  ///< with a deck
  Length largest_rounding = Length::metres(0);
};

/// Pages, each ended by a form feed but the last.
std::string offset_sheet_text(const SheetHead& head, std::span<const SheetBlock> blocks);

}  // namespace deckmark
