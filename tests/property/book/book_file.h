#pragma once
/// A book and a ledger as the judges read and write them: cells by the columns that are promised, lengths in
/// whole micrometres, digests by the tests' own SHA-256. Nothing here calls the program.

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace deckmark_test {

using Micro = std::int64_t;
using MaybeMicro = std::optional<Micro>;

/// Metres with six decimals; empty where there is none.
std::string metres_cell(MaybeMicro value);
/// Whole micrometres of a decimal of metres; none of an empty cell.
MaybeMicro micro_of(const std::string& metres);

/// One row of a book.
struct BookRow {
  std::uint32_t entry = 0;
  std::string time;
  std::int64_t at = 0;  ///< the same instant, s
  std::string by = "Ada", act;
  std::int64_t number = 0;  ///< floor number; 0: none
  std::string target;       ///< of a check
  std::string level;
  MaybeMicro northing, easting, elevation, sd_along, sd_across;
  std::string setup;
  int issue = 1;
  std::string source = "live", of, verdict, reading, note, chain;

  bool has_place() const { return northing.has_value(); }
};

/// The rows of one crew.
struct BookFile {
  std::string name;  ///< of the crew; empty: the book without one
  std::vector<BookRow> rows;
};

/// The whole file: entries from 1, each row bound to those before it, the first to the digest of issue 1.
std::string book_csv(BookFile& book, const std::string& first_digest);
/// Reads a file back; `wrong` tells the first thing in it that is not as promised.
BookFile read_book_csv(const std::string& name, const std::string& bytes, const std::string& first_digest,
                       std::string& wrong);
/// `2026-11-28T07:00:00+01:00` of an instant, so many hours east.
std::string time_text(std::int64_t at, int offset_hours);
/// Its inverse, offsets in hours and minutes.
std::int64_t time_of(const std::string& text);

/// A number as one issue has it.
struct IssuedPlace {
  std::string point, kind, run;
  bool live = false;
  Micro x = 0, y = 0, northing = 0, easting = 0;
  MaybeMicro deck, cut;
  Micro floor = 0;
  std::int64_t deck_offset = 0;
};

/// numbers.csv and issued.csv.
class IssuedNumbers {
 public:
  IssuedNumbers() = default;
  IssuedNumbers(const std::string& numbers_csv, const std::string& issued_csv);
  int last_issue() const { return last_; }
  /// Digest of issue 1.
  const std::string& first_digest() const { return first_digest_; }
  std::vector<std::int64_t> numbers() const;
  /// As it stood in that issue; none where it was not yet there.
  const IssuedPlace* at(std::int64_t number, int issue) const;
  const IssuedPlace* now(std::int64_t number) const { return at(number, last_); }

 private:
  std::map<std::int64_t, std::map<int, IssuedPlace>> rows_;
  std::string first_digest_;
  int last_ = 0;
};

}  // namespace deckmark_test
