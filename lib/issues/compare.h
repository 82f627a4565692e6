#pragma once
/// Which issue and list a list is that was read back from an instrument, and every row in which it differs.

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "issues/ledger.h"
#include "measure/length.h"

namespace deckmark {

/// What a list has of a mark that is a length.
enum class Axis : std::uint8_t { northing, easting, elevation, x, y };
inline constexpr std::size_t kAxes = 5;
/// `northing`, ...
std::string_view axis_word(Axis axis);

/// A number as it was read: half its last digit is what it leaves open.
struct ReadValue {
  double value = 0;  ///< in the unit of the file, which may not be known
  int decimals = 0;
};
struct ReadRow {
  std::optional<std::uint32_t> number;  ///< none: a control point, by its name
  std::string name;
  std::array<std::optional<ReadValue>, kAxes> at;
  std::uint32_t begin = 0;  ///< where the row begins in the file
};
struct ReadList {
  std::vector<ReadRow> rows;
  std::array<bool, kAxes> has{};   ///< columns of the file
  std::optional<LengthUnit> unit;  ///< that its header states
};

/// How lists are written now.
struct CompareOptions {
  LengthUnit unit = LengthUnit::metre;
  int decimals = 9;  ///< of the lists: what was handed out was rounded so
  /// Northing and easting, metres, as a list has them: in a map projection, or as they are.
  std::function<std::pair<double, double>(const KeptSite&)> on_list;
  /// Whether points of a run are listed at all.
  std::function<bool(std::string_view run)> is_listed;
};

enum class ListLevel : std::uint8_t { floor, deck, together };

/// What is wrong with a row, as far as one slip explains it.
enum class Slip : std::uint8_t {
  digit,      ///< one digit of one value is another
  rows,       ///< two rows have each other's values
  axes,       ///< northing and easting of one row are exchanged
  elevation,  ///< its elevation alone is another
  values,     ///< something else
  gone,       ///< a row of the list is not in the file
  extra,      ///< a row of the file is not in the list
  twice       ///< a number comes again
};
struct RowSlip {
  Slip slip = Slip::values;
  std::uint32_t number = 0;
  std::uint32_t other = 0;       ///< rows: the other number
  Axis axis = Axis::northing;    ///< digit: of the value; values: the first that differs
  std::uint32_t row = kNone32;   ///< of the file; none: gone
  double found = 0, listed = 0;  ///< digit, elevation, values: in the unit of the comparison
  int decimals = 0;              ///< of `found`
};

struct CompareResult {
  bool agrees = false;    ///< with `issue` and its list in every row, northing and easting in their places
  bool is_known = false;  ///< else: some row agrees, or nearly
  std::uint32_t issue = 0;
  ListLevel level = ListLevel::floor;
  std::string run, crew;  ///< whose list it is; both empty: of all
  bool of_no_run = false;
  LengthUnit unit = LengthUnit::metre;  ///< of the file
  bool axes_exchanged = false;          ///< northing and easting (x and y) of the whole file
  std::array<bool, kAxes> has{};        ///< what the file has of them
  std::size_t numbers = 0;              ///< rows with a number
  std::size_t control = 0;              ///< rows without, which are set aside
  std::size_t agreeing = 0;
  std::vector<RowSlip> slips;  ///< by number, where it does not agree
};

/// Agreeing means within half the last digit of the file's own number, and half a micrometre of the ledger's.
/// Every unit is tried, the file's, then that of the lists first; of issues that agree the newest. Where none
/// agrees, the nearest is the one with the fewest rows that differ, are gone or too many.
/// REQUIRES an issue, and a row with a number.
CompareResult compare_list(const Ledger& ledger, const ReadList& list, const CompareOptions& options);

}  // namespace deckmark
