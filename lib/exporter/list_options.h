#pragma once
/// The `[list]` section of a job: how the numbered lists for an instrument look.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "measure/length.h"

namespace deckmark {

enum class ListColumn : std::uint8_t {
  number,
  point,
  kind,
  run,
  x,
  y,
  northing,
  easting,
  elevation,
  description
};
enum class DescriptionPart : std::uint8_t { point, kind, run, drop };
enum class ListOrder : std::uint8_t { number, run };
enum class ListSplit : std::uint8_t { none, run };
enum class ListFrame : std::uint8_t { ground, grid };

struct ListOptions {
  std::vector<ListColumn> columns = {ListColumn::number, ListColumn::northing, ListColumn::easting,
                                     ListColumn::elevation, ListColumn::description};
  std::optional<LengthUnit> unit;  ///< DEFAULT the site unit (feet where that is feet and inches)
  int decimals = 4;                ///< 0 to 12
  bool header = false;
  char separator = ',';
  char decimal_mark = '.';  ///< REQUIRES another character than `separator`
  bool crlf = true;
  std::vector<DescriptionPart> description = {DescriptionPart::point, DescriptionPart::kind};
  std::size_t description_length = 24;  ///< characters
  bool ascii = true;
  ListOrder order = ListOrder::number;
  std::vector<std::string> only;  ///< runs to list; empty: all points
  bool together = false;
  ListSplit split = ListSplit::none;
  ListFrame frame = ListFrame::ground;
};

/// The word of a column in `[list] columns` and in a header: number, point, ...
std::string_view list_column_word(ListColumn column);
std::optional<ListColumn> list_column_from_word(std::string_view word);
std::string_view description_part_word(DescriptionPart part);
std::optional<DescriptionPart> description_part_from_word(std::string_view word);

}  // namespace deckmark
