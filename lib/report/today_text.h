#pragma once
/// What a floor needs today, in words for who walks it.

#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "book/today.h"
#include "measure/length.h"

namespace deckmark {

/// One book, as far as it stood.
struct BookAsOf {
  std::string file;  ///< `book.csv`
  std::uint32_t entry = 0;
};

struct TodayHead {
  std::vector<BookAsOf> books{};
  std::uint32_t as_issued = 0;  ///< in place of books: that issue is taken to be marked; 0: books count
  std::uint32_t issue = 0;      ///< the last one
  LengthUnit unit = LengthUnit::metre;                           ///< of the drawing
  std::int64_t deck_offset = 0;                                  ///< of numbers that the ledger has not
  std::span<const RunProgress> progress{};                       ///< in walking order; with books
  std::span<const std::string> release{};                        ///< as of `release_lines`
  std::map<std::string, std::string, std::less<>> references{};  ///< of no-drill zones, by their names
  const Ledger* ledger = nullptr;
};

/// `as of entry 412, issue 3`; of several books each by its name; then how far each run is; then by run what
/// is to be done, the most urgent first. 80 columns. `rows` are in walking order, run by run.
std::string today_text(const TodayHead& head, std::span<const TodayRow> rows);

/// `R1: marked 12 of 12, deck 9, drilled 4, hung 0`
std::string progress_words(const RunProgress& run);

}  // namespace deckmark
