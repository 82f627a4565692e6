#pragma once
/// What stands on the floor and in the deck: rows of books in, state out. Nothing of it is ever written.

#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include "book/book.h"
#include "issues/ledger.h"

namespace deckmark {

/// Where a thing is, as its newest row has it.
struct Record {
  std::uint32_t row = 0;  ///< in `BookState::rows`: it read the thing, or made it without a reading
  KeptSite site{Kept::none(), Kept::none()};  ///< without a reading the place of `issue`
  Kept elevation = Kept::none();
  bool is_read = false;     ///< else nothing says how well it is made
  Kept sd = Kept::none();   ///< the larger one; none where nothing was read
  std::string_view setup;   ///< from which it was made; may be empty
  std::uint32_t issue = 0;  ///< from which it was made
  /// Of the standing from which it was made, and how many groups of checks that had before.
  std::optional<std::uint32_t> standing{};
  std::uint32_t segment = 0;
};

/// A cross or a hole.
struct BookThing {
  std::uint32_t made = 0;                  ///< the row that made it
  Record record{};                         ///< of a hole that of the cross that it used up
  std::optional<std::uint32_t> doubted{};  ///< the row that doubts it, not cleared since
  std::optional<std::uint32_t> cleared{};  ///< the last row that cleared it
};

struct RodState {
  enum class Kind : std::uint8_t { none, cut, hung };
  Kind kind = Kind::none;
  Kept length = Kept::none();  ///< of the issue from which it was cut
  std::uint32_t row = 0;       ///< that cut it
};

/// What is made of one number, in the order in which it was made.
struct NumberState {
  std::vector<BookThing> floor, deck;  ///< crosses that stand
  std::vector<BookThing> holes;        ///< open
  std::vector<BookThing> filled;       ///< holes that were filled
  RodState rod;
};

/// A set-up and what was read and marked from it.
struct StandingOf {
  std::uint32_t book = 0;
  std::string_view setup;
  std::uint32_t row = 0;  ///< of the set-up
  /// Checks that no mark parts, and how they ended.
  struct Group {
    bool is_out = false;
    std::uint32_t first_out = 0;  ///< the row that first left it out
  };
  std::vector<Group> groups;
  std::vector<std::uint32_t> checks;  ///< their rows
  bool is_out = false;  ///< some target's last check is outside, and not two others were read within since
  std::uint32_t marks_since_check = 0;
  bool any_outside = false;                   ///< of its checks
  std::optional<std::uint32_t> last_check{};  ///< its row
  std::optional<std::uint32_t> knocked{};     ///< row of a knock that no check followed
};

/// One row in the order of all books.
struct BookRow {
  std::uint32_t book = 0, row = 0;
  std::int64_t at = 0;
  bool is_undone = false;
  /// Of a mark: its standing and how many groups of checks that had before; no standing: kNone32.
  std::uint32_t standing = kNone32, segment = 0;
};

/// The words by which a note says that the instrument was knocked, and that a number is passed over.
inline constexpr std::string_view kKnockedNote = "knocked", kHoldNote = "hold";

/// Replays rows. Rows that do not fit what stands change nothing. REQUIRES books and ledger that outlive it.
class BookState {
 public:
  BookState(std::vector<const Book*> books, const Ledger& ledger);
  /// Takes a row that was added at the end of a book.
  void add(std::uint32_t book);

  const std::vector<BookRow>& rows() const { return rows_; }
  const Entry& entry(std::uint32_t row) const { return books_[rows_[row].book]->entries()[rows_[row].row]; }
  const Book& book_of(std::uint32_t row) const { return *books_[rows_[row].book]; }
  /// Null where nothing was ever made of it.
  const NumberState* find(std::uint32_t number) const;
  /// Ascending; of which anything was made, whatever has become of it.
  std::vector<std::uint32_t> numbers() const;
  const std::vector<StandingOf>& standings() const { return standings_; }
  /// The last one of a setup in a book; null: there is none.
  const StandingOf* standing_of(std::uint32_t book, std::string_view setup) const;

  bool is_doubtful(const BookThing& thing) const;
  /// The row that a row's `of` names; nothing where there is none.
  std::optional<std::uint32_t> row_of(std::uint32_t row) const;
  const Ledger& ledger() const { return *ledger_; }

 private:
  void apply(std::uint32_t row);
  void set_up(std::uint32_t row);
  void check(std::uint32_t row);
  void mark(std::uint32_t row);
  void drill(std::uint32_t row);
  void fill(std::uint32_t row);
  void unmark(std::uint32_t row);
  void doubt(std::uint32_t row);
  void change_rod(std::uint32_t row);
  void note(std::uint32_t row);
  void replay();
  bool replay_number(std::uint32_t undone);
  Record record_of(std::uint32_t row);
  StandingOf* current(std::uint32_t row);
  BookThing* thing_of(std::uint32_t row, std::initializer_list<std::vector<BookThing>*> among);

  std::vector<const Book*> books_;
  const Ledger* ledger_;
  std::vector<BookRow> rows_;
  std::vector<std::vector<std::uint32_t>> row_of_entry_;  // of each book, by entry less one
  std::unordered_map<std::uint32_t, NumberState> numbers_;
  std::unordered_map<std::uint32_t, std::vector<std::uint32_t>> rows_of_number_;
  bool is_replaying_number_ = false;  // what a row did to its standing stands
  std::vector<StandingOf> standings_;
};

/// Whether of these checks, in their order, some target's last is outside and not two others were read within
/// after it.
bool are_out(std::span<const std::pair<std::string_view, Verdict>> checks);

}  // namespace deckmark
