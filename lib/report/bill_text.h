#pragma once
/// Parts that are short and runs that cannot begin, in words.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace deckmark {

struct StuckRun {
  std::string_view run;
  std::string lacks;  ///< `3 CLIP-1, 1 R2-P1`
};
struct BillLine {
  std::string_view part;
  std::int64_t drawing = 0;
  std::optional<std::int64_t> bill, arrived, damaged;
  std::int64_t short_by = 0;
  std::int64_t beyond = 0;  ///< sound ones that the drawing does not need
};
struct BillWords {
  std::size_t runs = 0;
  std::vector<StuckRun> stuck;     ///< in the order in which runs take
  std::string loose_lacks;         ///< of hangers of no run; empty: nothing
  std::vector<std::string> ready;  ///< runs that have all their parts
  bool says_what_arrived = false;  ///< else all is by the bill
  std::vector<BillLine> parts;
};

/// Runs that cannot begin first, then what is short, then what is too much; so many of each by name.
std::string bill_text(const BillWords& words, std::size_t most = 60);
/// The same for the screen of a run, without what is too much: at most so many lines, two or more.
std::string bill_short_text(const BillWords& words, std::size_t lines);

}  // namespace deckmark
