#pragma once
/// What stands by the rows of books, replayed one by one: crosses, holes, rods, and which of them are
/// doubtful.

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "book_file.h"

namespace deckmark_test {

/// Which row of which book.
struct RowId {
  std::string book;
  std::uint32_t entry = 0;
  auto operator<=>(const RowId&) const = default;
};

/// A cross on floor or deck, or a hole.
struct Thing {
  std::int64_t number = 0;
  std::string level;  ///< floor, deck; a hole is of the deck
  bool hole = false;
  RowId made, placed;                ///< the row that made it, the row that gave its place
  std::size_t order = 0;             ///< of the row that made it, in the common order
  double northing = 0, easting = 0;  ///< m; of the last reading, else the issue's place
  double sd = 0;                     ///< m; the larger of two
  int issue = 0;
  bool read = false;
  bool gone = false;    ///< voided, drilled, filled
  bool filled = false;  ///< a hole that still can be met
  bool doubtful = false;
};

struct Rod {
  int issue = 0;
  bool hung = false;
};

struct Standing {
  std::vector<Thing> things;  ///< in the order in which they were made
  std::map<std::int64_t, Rod> rods;
  std::map<std::pair<std::string, std::string>, bool> out;  ///< by book and setup: its last standing
  std::string wrong;                                        ///< a row that is about nothing that stands

  /// Of a number: what is neither gone nor filled, oldest first.
  std::vector<const Thing*> open(std::int64_t number, const std::string& level, bool hole) const;
  const Thing* newest(std::int64_t number, const std::string& level, bool hole) const;
};

/// `sd`: of a mark without a reading, m.
Standing replayed(const std::vector<BookFile>& books, const IssuedNumbers& issued, double sd);

}  // namespace deckmark_test
