#pragma once
/// The text side of numbered lists: descriptions, header, style, file names.

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "exporter/list_options.h"
#include "table/written.h"

namespace deckmark {

/// The look of a list. Names are not neutralised: an instrument has to show the name that is on the drawing.
TableStyle list_style(const ListOptions& options);

/// Header cells: lengths carry the unit, `northing (m)`; `grid_northing (m)` in a list of grid coordinates.
std::vector<std::string> list_header(const ListOptions& options, LengthUnit unit);

/// What a description may be made of, in UTF-8, by `DescriptionPart`; an empty part is left out with its
/// blank. `drop` comes with the list's decimals and decimal mark.
using DescriptionTexts = std::array<std::string_view, 4>;

struct Description {
  std::string text;
  bool separator_replaced = false;  ///< the list's separator stood in it and became a blank: a notice is due
};

/// The parts that `[list] description` names, joined by one blank; made ASCII where the list says so; the
/// separator replaced by a blank; cut to `description_length` characters; without blanks at its end, which
/// would need quotes.
Description list_description(const DescriptionTexts& texts, const ListOptions& options);

/// The same for parts that are plain ASCII without the list's separator, which is nearly all: written to
/// `room` without allocation. Nothing where a part needs the full rules or the room does not do.
std::optional<std::string_view> plain_description(const DescriptionTexts& texts, const ListOptions& options,
                                                  std::span<char> room);

/// The text in ASCII. Accents are taken off Latin letters (composed or as combining marks); o with stroke, l
/// with stroke, sharp s, ae and the like become their usual letters; primes and curly quotes become ' and ",
/// dashes and the minus sign -, special blanks a blank, fractions 1/2, the degree sign deg, the diameter sign
/// O, times x; invisible marks vanish; every other character, and every byte that is not UTF-8, becomes ?.
std::string to_ascii(std::string_view utf8);

/// The first `most` characters; a letter with the combining marks behind it is one character, and so is a
/// byte that is not UTF-8.
std::string_view first_characters(std::string_view utf8, std::size_t most);

/// The run's name as part of a file name: ASCII letters, digits, - and _ stay, every other character becomes
/// _.
std::string safe_file_part(std::string_view utf8);

}  // namespace deckmark
