#include "work/read_books.h"

#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <system_error>
#include <utility>

#include "book/state.h"
#include "job/keys/book_keys.h"
#include "job/named_after.h"
#include "work/kept_files.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

/// Bytes as they lie there; nothing, and told, where they cannot be read.
std::shared_ptr<const std::string> shared_bytes_of(const fs::path& path, const std::string& file,
                                                   Messages& messages) {
  if (auto bytes = bytes_in(path)) return std::make_shared<const std::string>(*std::move(bytes));
  messages.problem(Where::whole(file), "file",
                   Fault{in_quotes(file) + ": it cannot be read", "a book that the program wrote", ""});
  return nullptr;
}

fs::path folder_of_books(const Job& job) { return book_path(job, "").parent_path(); }

void tell_broken(const BookFile& book, Messages& messages) {
  const BookFound::Broken& broken = *book.found.broken;
  const bool is_first = broken.line == 2;
  messages.problem(
      Where::at(book.file, {static_cast<std::uint32_t>(broken.line), 1}), "row",
      Fault{broken.found,
            broken.expected + (is_first ? ", behind the first issue of this job's ledger: is it a book of "
                                          "another job? Then put it back there"
                                        : ": take the book as it stood from kept/ of an output folder "
                                          "(deckmark restore)"),
            ""});
}

}  // namespace

fs::path book_path(const Job& job, std::string_view crew) {
  return job.folder / fs::path(book_name(job, crew));
}

std::string book_name(const Job& job, std::string_view crew) {
  const fs::path named(job.book.file.value_or(std::string(kBookFile)));
  if (crew.empty()) return named.string();
  return (named.parent_path() /
          fmt::format("{}-{}{}", named.stem().string(), crew, named.extension().string()))
      .string();
}

fs::path torn_of(const fs::path& book) {
  fs::path out = book;
  return out.replace_extension(".torn");
}

std::vector<const Book*> BooksFound::books() const {
  std::vector<const Book*> out;
  for (const BookFile& file : files) out.push_back(&file.found.book);
  return out;
}

std::vector<std::string> crews_with_books(const Job& job, const fs::path& folder) {
  const fs::path plain = book_path(job, "").filename();
  const std::string stem = plain.stem().string() + "-", extension = plain.extension().string();
  std::vector<std::string> crews;
  std::error_code none;
  if (fs::exists(fs::symlink_status(folder / plain, none))) crews.emplace_back();
  for (const auto& entry : fs::directory_iterator(folder.empty() ? "." : folder, none)) {
    const fs::path name = entry.path().filename();
    if (name.extension() != extension || !name.string().starts_with(stem)) continue;
    std::string crew = name.stem().string().substr(stem.size());
    if (is_file_part(crew)) crews.push_back(std::move(crew));
  }
  std::sort(crews.begin(), crews.end());
  return crews;
}

std::vector<fs::path> book_paths(const Job& job) {
  std::vector<fs::path> out;
  for (const std::string& crew : crews_with_books(job, folder_of_books(job)))
    out.push_back(book_path(job, crew));
  return out;
}

BookFile read_book_file(const Job& job, std::string_view crew, Messages& messages) {
  const std::vector<IssuedRow>& issues = job.ledger.ledger.issues();
  const std::string first = issues.empty() ? std::string() : issues.front().digest;
  BookFile out{book_path(job, crew), book_name(job, crew), false, BookFound{Book(std::string(crew), first)}};
  std::error_code none;
  if (!fs::exists(fs::symlink_status(out.path, none))) return out;
  out.stands = true;
  auto text = shared_bytes_of(out.path, out.file, messages);
  if (!text) return out;
  out.found = read_book(std::move(text), std::string(crew), first);
  if (issues.empty() && out.found.book.size() > 0)
    messages.problem(Where::whole(out.file), "file",
                     Fault{"a book beside a ledger without issues",
                           "the ledger that it belongs to: put that back, or move the book away", ""});
  else if (out.found.broken)
    tell_broken(out, messages);
  return out;
}

BooksFound read_books(const Job& job, Messages& messages, const std::optional<std::string_view>& but) {
  BooksFound out;
  for (const std::string& crew : crews_with_books(job, folder_of_books(job))) {
    if (but && crew == *but) continue;
    BookFile file = read_book_file(job, crew, messages);
    std::error_code bad;
    const std::uintmax_t size = fs::file_size(file.path, bad);
    if (!file.found.broken && !bad && size > file.found.covered)
      messages.notice(
          "an end that was not written", Where::whole(file.file), "file",
          fmt::format("{} bytes at its end make no whole row: they do not count", size - file.found.covered));
    out.files.push_back(std::move(file));
  }
  return out;
}

std::uint32_t floor_marks_in_books(const Job& job) {
  Messages told;  // by the commands that need the books themselves
  const BooksFound found = read_books(job, told);
  const BookState state(found.books(), job.ledger.ledger);
  std::uint32_t out = 0;
  for (const std::uint32_t number : state.numbers()) out += state.find(number)->floor.empty() ? 0U : 1U;
  return out;
}

}  // namespace deckmark
