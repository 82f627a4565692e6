#pragma once
/// The sheet for laser and tape: pages of 76 columns and 58 lines that fit A4 and letter as a printer takes
/// them, black on white.

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "baseline/offsets.h"
#include "baseline/strings.h"
#include "marks/marks.h"

namespace deckmark {

struct SheetRow {
  std::int64_t number = 0;
  std::string_view point;
  std::optional<Length> along;
  Point<Drawing> at;
  std::optional<SwingTie> tie;
  std::optional<Length> drop;
  std::optional<StringDistances> strings{};  ///< in place of X and Y
  std::string_view in_place_of_drop;         ///< `trapeze -a -b` where the hanger does not go straight down
  std::optional<Length> above{};             ///< the bracket over the datum line
};

/// A distance between two marks, to hold the tape against.
struct SheetCheck {
  std::int64_t from = 0, to = 0;
  Length span = Length::metres(0);  ///< on site
};

/// The mark at zero of a run whose rows do not have it.
struct SheetZero {
  std::int64_t number = 0;
  bool stands = false;  ///< already; else another crew lays it out
};

/// A rod as it is cut.
struct SheetRod {
  std::int64_t number = 0;
  std::string_view point;
  Length cut = Length::metres(0);
};

/// One run, or the points without one (empty name).
struct SheetBlock {
  std::string_view run;
  /// How running distances go: straight, so that they can be taped in one line; from mark to mark; along a
  /// curve.
  enum class Way : std::uint8_t { straight, bent, curved };
  Way way = Way::straight;
  std::string members = {};            ///< of a pair: where they hang beside the marks
  bool supports_beside = false;        ///< a support stands beside the run
  std::vector<SheetRow> rows;          ///< in the order along the run
  std::optional<SheetZero> zero = {};  ///< the mark at zero, where it is no row
  std::optional<SheetCheck> ends, diagonal;
  std::vector<SheetRod> rods = {};  ///< of the rows, in their order
};

/// A mark that swing ties go out from, and where it lies from the baselines.
struct SheetFrom {
  std::string name;
  Point<Drawing> at;
};

/// From where left and right are seen: looking along an axis.
struct SheetStand {
  /// Both marks of the swing ties lie on the baseline along which one looks from the first to the second.
  /// Else nobody is told to stand on them.
  bool on_marks = false;
  std::string_view look = "+X", side = "+Y";
  bool is_left = true;
};

/// The strings, between marks of the floor.
struct SheetStrings {
  std::string first, second, third;            ///< names of the marks
  bool second_to_x = true, third_to_y = true;  ///< the mark lies where the distance grows
  Side third_is = Side::left;                  ///< of one who stands on the first mark and faces the second
  Length to_second = Length::metres(0), to_third = Length::metres(0),
         across = Length::metres(0);  ///< second to third
  std::array<SpanFrom, 3> spans{};    ///< where these distances come from
};

/// Digests of the tables that the sheet's figures stand in: two sheets of the same digests say the same.
struct SheetDigests {
  std::string points, offsets;
  std::string hangers = {};  ///< empty: no rods
};

struct SheetHead {
  std::string title, revision;
  SheetDigests sha256;
  std::string baselines;
  std::string standing;                ///< the first line of the summary
  std::vector<std::string> release{};  ///< for drilling
  OffsetForm form;
  std::vector<SheetFrom> from;  ///< the two marks of the swing ties, or none
  SheetStand stand;
  bool is_scaled = false;  ///< so much that a tape on site does not show distances of the drawing
  std::optional<std::int64_t> deck_offset;  ///< with a deck
  bool has_datum = false;                   ///< rows say how far their brackets are over the datum line
  Length largest_rounding = Length::metres(0);
  std::string crew = {};    ///< whose sheet it is; empty: of the whole job
  std::uint32_t issue = 0;  ///< that it belongs to, for what is ticked on it; 0: none
  std::optional<SheetStrings> strings{};
  std::vector<std::string> already{};  ///< names of marks that stand already and are no rows
  std::string corners{};               ///< corner marks to move first; empty: none
};

/// A length as the sheet has it, with its unit: `12'-6 1/2"`, `3.812 m`.
std::string tape_words(Length value, const OffsetForm& form);

/// As many digits of a digest as a sheet shows.
std::string sheet_digest(std::string_view sha256);

/// Pages, each ended by a form feed but the last.
std::string offset_sheet_text(const SheetHead& head, std::span<const SheetBlock> blocks);
/// The same for a screen of 80 columns: without paper's boxes for date and crew, and without the verdict.
std::string offset_screen_text(const SheetHead& head, std::span<const SheetBlock> blocks);

}  // namespace deckmark
