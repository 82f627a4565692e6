#pragma once
/// Private to the room: text in blocks. Blank lines part paragraphs, whose lines are joined; a line that
/// begins with two blanks stands as it is (tables, examples), but under an item, where two blanks go on with
/// it; `- ` begins an item.

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace deckmark {

struct Block {
  enum class Kind : std::uint8_t { paragraph, item, kept };
  Kind kind;
  std::string text;       ///< of kept lines each with its line feed
  bool is_parted = true;  ///< a blank line stands before it
};
std::vector<Block> blocks_of(std::string_view text);

/// The words of a text in lines of `width` characters, with what begins the first line and the others. A word
/// that is longer stands alone.
std::string filled(std::string_view first, std::string_view next, std::string_view words, std::size_t width);
std::string filled(std::span<const Block> blocks, std::size_t width);

/// A term and what it means, which begins at column `at`, in the term's line where that has room.
std::string defined(std::string_view term, std::string_view meaning, std::size_t at, std::size_t width);

/// The parts joined, `; ` between those that are not empty.
std::string joined_by(std::string_view between, std::span<const std::string> parts);

}  // namespace deckmark
