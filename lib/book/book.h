#pragma once
/// A book: rows that are only ever added, each bound to all before it by a digest.

#include <cstdint>
#include <deque>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "book/entry.h"

namespace deckmark {

struct BookFound;

/// Entries with what they view. It stays where it is when it is moved.
class Book {
 public:
  /// `name`: of the crew, empty for the book without one; `first`: the digest of issue 1, which the first row
  /// follows.
  Book(std::string name, std::string first);
  Book(Book&&) noexcept = default;
  Book& operator=(Book&&) noexcept = default;

  const std::string& name() const { return *name_; }
  const std::vector<Entry>& entries() const { return entries_; }
  std::uint32_t size() const { return static_cast<std::uint32_t>(entries_.size()); }
  /// What the next row's digest follows.
  std::string_view chain() const {
    return entries_.empty() ? std::string_view(*first_) : entries_.back().chain;
  }
  /// Adds a row: its entry and chain are given here, its texts are copied, blanks at their ends left out. The
  /// line as it is written, its line feed included. REQUIRES texts without line breaks and control
  /// characters.
  std::string add(Entry row);
  /// The header, with its line feed.
  static std::string header();

 private:
  friend struct BookReader;
  friend BookFound read_book(std::shared_ptr<const std::string> text, std::string name, std::string first);
  std::string_view keep(std::string_view text);

  std::unique_ptr<std::string> name_, first_;
  std::shared_ptr<const std::string> text_;        // that was read
  std::unique_ptr<std::deque<std::string>> more_;  // what no text holds as it is
  std::vector<Entry> entries_;
};

/// What a file holds of a book.
struct BookFound {
  Book book;
  std::size_t covered = 0;       ///< bytes of whole rows that hold; what is behind them is torn
  bool lacks_line_feed = false;  ///< the last of them has none yet
  struct Broken {
    std::size_t line = 0;  ///< 1-based
    std::string found;     ///< `act "marcked"`, `a row that was changed, or one before it`
    std::string expected;
  };
  std::optional<Broken> broken{};  ///< the first that does not hold; then nothing may be written
};
/// Reads a book. Bytes behind the last line feed that make a whole row that holds count; else they are torn.
/// An empty text is a book without rows. `name`, `first`: as of `Book`.
BookFound read_book(std::shared_ptr<const std::string> text, std::string name, std::string first);

/// An instant as ISO 8601 with an offset states it, in milliseconds from 1970-01-01T00:00Z:
/// `2026-11-28T07:30:00+01:00`, `2026-11-28T06:30Z`, seconds and their decimals may be left out. Nothing
/// where it is none, or there is no such day.
std::optional<std::int64_t> instant_of(std::string_view text);

/// Such a text up to its offset. REQUIRES an instant.
std::string_view without_offset(std::string_view time);

/// Several books in one order.
struct MergedEntry {
  std::uint32_t book = 0;  ///< which of those that were merged
  std::uint32_t row = 0;   ///< its entry less one
  std::int64_t at = 0;     ///< its time, never less than that of the row before in its book
};
/// By time, name of the book, entry.
std::vector<MergedEntry> merged(std::span<const Book* const> books);

}  // namespace deckmark
