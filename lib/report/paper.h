#pragma once
/// Private to the room: text on sheets of paper, each with its head and foot, parted by form feeds.

#include <cstddef>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "report/pieces.h"

namespace deckmark {

// Letter and A4 both hold 60 lines at six to the inch, with margins of half an inch and more.
inline constexpr std::size_t kPageLines = 60, kFootLines = 2, kWidth = kColumns;

/// `to tick: floor 1101-57, deck 1201-40`: by which numbers the book takes what is ticked on a sheet; empty
/// where it belongs to no issue.
std::string tick_words(std::uint32_t issue, std::size_t page, bool has_deck);

/// What a sheet of paper holds, the foot too.
struct Paper {
  std::size_t lines = kPageLines, width = kWidth;
};
inline constexpr const char* kBlank = "____________";

/// Lines that stay together at a page break; rows that may be parted repeat the block's head.
class Pages {
 public:
  explicit Pages(std::size_t head_lines, const Paper& paper = {})
      : head_(head_lines), room_(paper.lines - head_lines - kFootLines), width_(paper.width) {}

  bool fits(std::size_t lines) const { return used_ + lines <= room_; }
  bool fits_empty(std::size_t lines) const { return lines <= room_; }
  bool at_top() const { return used_ == 0; }
  void line(std::string text);
  /// Over several lines, no length of feet and inches broken in two.
  void text(std::string text);
  void blank() {
    if (!at_top() && fits(1)) line("");
  }
  void next();
  /// All of it as one text without end, for a screen: nothing is filled, no foot.
  std::string scroll() const;
  /// All sheets, with the head's lines for a sheet and a number of sheets; missing ones are filled before the
  /// last.
  std::string sheets(const std::function<std::vector<std::string>(std::size_t, std::size_t)>& head);

 private:
  std::size_t head_, room_, width_, used_ = 0;
  std::vector<std::string> pages_{""};
};

}  // namespace deckmark
