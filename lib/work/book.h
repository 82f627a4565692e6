#pragma once
/// The book of a job as a crew writes it: the job's facts, the file that is held, the dialogue over both.

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "book/dialogue.h"
#include "book/facts.h"
#include "table/message.h"
#include "work/run.h"

namespace deckmark {

class Computation;

/// As it was typed.
struct BookCall {
  std::filesystem::path job;
  std::string by, crew, at;  ///< crew and time may be empty
  std::string setup;
  bool tape = false;
  bool reads_file = false;  ///< every setup may be needed
};

/// A book that this process holds, with what its dialogue needs. It stays where it is.
class CrewBook {
 public:
  /// Nothing where there are problems (told): the job's setup, its ledger, its issues, what was typed, rows
  /// that do not hold. Throws SystemFailure; so where another dialogue holds the book.
  static std::unique_ptr<CrewBook> begin(const BookCall& call, Messages& messages);
  ~CrewBook();
  CrewBook(const CrewBook&) = delete;
  CrewBook& operator=(const CrewBook&) = delete;

  const BookFacts& facts() const;
  /// How lengths are told: the drawing's unit, and as what part of an inch.
  LengthUnit drawing_unit() const;
  int denominator() const;

  /// What stands first; the answer to a line; the end of what is typed; acts ticked on a sheet. Before an
  /// answer is given its rows are on the disk. Throws SystemFailure where they cannot be written.
  BookAnswer open();
  BookAnswer take(std::string_view line);
  BookAnswer finish();
  BookAnswer ticks(std::string_view text, std::string_view sheet);
  /// In place of these: a file that the instrument stored. Problems, told at its cells: what cannot be taken;
  /// then nothing is written.
  BookAnswer read(const std::filesystem::path& file, Messages& messages);

 private:
  struct Held;
  explicit CrewBook(std::unique_ptr<Held> held);
  BookAnswer written(BookAnswer answer);
  void look();

  std::unique_ptr<Held> held_;
};

/// What a job tells its book: targets, setups, tolerances, strings, the ledger's last issue. `setup`: the one
/// that is needed, empty: none is. Problems: none was made yet; a setup that is none, or that its readings
/// neither place nor turn; a crew that is none. The computation outlives the facts.
std::optional<BookFacts> book_facts(Computation& c, std::string_view setup, std::string_view crew, bool tape,
                                    Messages& messages);

}  // namespace deckmark
