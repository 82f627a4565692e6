#pragma once
/// The books of a job: book.csv and book-NAME.csv beside the job. Read by the commands that need them, never
/// held against writers: a book that grows meanwhile is read as far as it stood.

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "book/book.h"
#include "job/job.h"
#include "table/message.h"

namespace deckmark {

/// One book as it lies on disk.
struct BookFile {
  std::filesystem::path path;
  std::string file;  ///< as messages name it
  bool stands = false;
  BookFound found;
};

struct BooksFound {
  std::vector<BookFile> files;  ///< that stand, by the names of their crews, the one without a name first
  /// Of all, in that order.
  std::vector<const Book*> books() const;
};

/// Where the book of a crew lies; empty: the one without a name.
std::filesystem::path book_path(const Job& job, std::string_view crew);
/// As messages name it.
std::string book_name(const Job& job, std::string_view crew);
/// Where bytes go that were never written to their end: `book.torn` beside the book.
std::filesystem::path torn_of(const std::filesystem::path& book);

/// Crews of which a book stands in a folder, by the names that this job gives its books; sorted, the one
/// without a name first.
std::vector<std::string> crews_with_books(const Job& job, const std::filesystem::path& folder);
/// The books that stand beside the job, in that order.
std::vector<std::filesystem::path> book_paths(const Job& job);

/// One book; a book without rows where no such file stands. Problems, told at their line: rows that do not
/// hold, a file that cannot be read, rows in a job without issues. REQUIRES a ledger that was read.
BookFile read_book_file(const Job& job, std::string_view crew, Messages& messages);
/// All books that stand, or all but that of one crew. Notice: bytes at an end that make no whole row.
BooksFound read_books(const Job& job, Messages& messages,
                      const std::optional<std::string_view>& but = std::nullopt);

/// Reads from the books what the job takes from there as shots and deck marks: of each number and level the
/// newest thing that stands, with a reading and not doubtful. Notice: how many others there are, and why.
void take_book(Job& job, PartMessages& told);

/// Numbers of which a cross stands on the floor by all books, as far as their rows hold.
std::uint32_t floor_marks_in_books(const Job& job);

}  // namespace deckmark
