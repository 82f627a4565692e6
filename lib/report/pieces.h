#pragma once
/// Private to the room: pieces of text that its pages share.

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "marks/number_ranges.h"
#include "measure/length.h"

namespace deckmark {

/// Characters in a line of a terminal and of a sheet of paper.
inline constexpr std::size_t kColumns = 80;

/// Text cut to a width for a column, its last character a full stop where it was cut. Counts characters.
std::string column(std::string_view text, std::size_t width);
/// Characters of a text.
std::size_t shown_width(std::string_view text);
/// The same as `column`, without padding.
std::string cut(std::string_view text, std::size_t width);
/// A text over several lines, broken at blanks, a word longer than a line where it must; the last one is cut
/// where more than `most` would be needed.
std::vector<std::string> wrapped(std::string_view text, std::size_t width, std::size_t most);
/// A text in lines of `kColumns` characters, broken at blanks, with what begins the first and the others.
std::string folded(std::string_view first, std::string_view next, std::string_view text);
/// Words that are not broken, a comma between, set one after another into such lines.
std::string word_lines(const std::vector<std::string>& words, std::string_view indent);
/// `1 shot`, `3 shots`.
std::string plural(std::size_t n, std::string_view one, std::string_view many);
/// `agree 1.5 times worse than the stated sds say`; how the test of the variance factor went.
enum class Agreement : std::uint8_t { as_stated, worse, better };
std::string agreement_words(double variance_factor, Agreement agreement);
/// `1001-1013, 1038-1039`, `1001-1061 by 5`; after `most` ranges `and 34 more`, a count of numbers. `add` to
/// each.
std::string ranges_text(std::span<const NumberRange> ranges, std::size_t most, std::int64_t add = 0);
/// A small length without its unit: millimetres to 0.1; inches in sixteenths, `1 9/16`, where the unit is
/// feet and inches, in sixty-fourths below that; else inches to 0.01.
std::string short_length(Length value, LengthUnit unit);
/// The same, in a finer step where it would else read as the limit that the value exceeds in size.
std::string short_length_beyond(Length value, Length limit, LengthUnit unit);
/// `mm` or `in`.
std::string_view short_unit(LengthUnit unit);

}  // namespace deckmark
