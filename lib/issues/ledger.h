#pragma once
/// The ledger of numbers as history: every row that was handed out, by issue. A number is given once, never
/// reused; what stands is never changed; a number's last row is its state.

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "issues/kept.h"
#include "marks/marks.h"

namespace deckmark {

/// What of a number is told apart from the rest.
enum class What : std::uint8_t { floor, deck, bracket, cut };
inline constexpr std::size_t kWhats = 4;
/// `floor`, `deck`, `bracket`, `cut`.
std::string_view what_word(What w);
/// By `What`: the last issue whose changes told it.
using ToldIn = std::array<std::uint32_t, kWhats>;

/// One row. Texts are views.
struct LedgerRow {
  std::string_view point;
  std::uint32_t number = 0;
  bool live = true;
  KeptDrawing drawing{Kept::none(), Kept::none()};
  std::int64_t deck_offset = 0;
  std::string_view revision;
  KeptSite site{Kept::none(), Kept::none()};
  std::uint32_t issue = 0;
  Kept floor = Kept::none(), attach = Kept::none(), deck = Kept::none(), cut = Kept::none();
  std::string_view kind, run, crew;
  ToldIn told{};

  /// A row of an earlier version of the program knows neither heights nor cut, kind, run and crew.
  bool knows_heights() const { return !kind.empty(); }
  /// Equal in all that is handed out: issue, revision and what was told aside.
  bool hands_out_as(const LedgerRow& other) const;
};

/// A column whose value changes now and then: one entry a change.
template <class T>
class Steady {
 public:
  void put(std::size_t row, T value) {
    if (entries_.empty() || !(entries_.back().second == value))
      entries_.emplace_back(static_cast<std::uint32_t>(row), value);
  }
  /// REQUIRES a row that is not before the first that was put.
  const T& operator[](std::size_t row) const {
    std::size_t low = 0, high = entries_.size();
    while (high - low > 1) {
      const std::size_t middle = (low + high) / 2;
      (entries_[middle].first <= row ? low : high) = middle;
    }
    return entries_[low].second;
  }
  void append(std::size_t at, Steady&& other) {
    for (const auto& [row, value] : other.entries_) put(at + row, value);
  }

 private:
  std::vector<std::pair<std::uint32_t, T>> entries_;
};

/// Lengths of which some may be absent; a column without any takes no room.
class KeptColumn {
 public:
  Kept operator[](std::size_t row) const { return row < values_.size() ? values_[row] : Kept::none(); }
  /// REQUIRES a row that is not before one that was put.
  void put(std::size_t row, Kept value) {
    if (value.is_none()) return;
    values_.resize(row, Kept::none());
    values_.push_back(value);
  }
  void append(std::size_t at, KeptColumn&& other);

 private:
  BigVector<Kept> values_;
};

/// Rows in parallel columns, in the order of the file.
class LedgerRows {
 public:
  LedgerRows() = default;
  /// Texts that live in the source are referred to, not copied.
  explicit LedgerRows(std::shared_ptr<const Source> source) : points_(std::move(source)) {}
  std::size_t size() const { return numbers_.size(); }
  void reserve(std::size_t rows);
  /// `begin`: where the row begins in the file.
  void add(const LedgerRow& row, std::uint32_t begin = 0);
  void append(LedgerRows&& other);
  /// Without its issue.
  LedgerRow at(std::size_t row) const;

  const TextColumn& points() const { return points_; }
  std::uint32_t number(std::size_t row) const { return numbers_[row]; }
  bool is_live(std::size_t row) const { return live_[row] != 0; }
  std::int64_t deck_offset(std::size_t row) const { return offsets_[row]; }
  bool has_deck(std::size_t row) const { return !decks_[row].is_none(); }
  std::uint32_t begin(std::size_t row) const { return begins_[row]; }

 private:
  TextColumn points_;
  BigVector<std::uint32_t> numbers_, begins_;
  BigVector<std::uint8_t> live_;
  BigVector<KeptDrawing> drawing_;
  BigVector<KeptSite> site_;
  Steady<std::int64_t> offsets_;
  Steady<Kept> floors_;
  KeptColumn attaches_, decks_, cuts_;
  WordColumn revisions_, kinds_, runs_, crews_;
  Steady<ToldIn> told_;
};

/// A row of `issued.csv`.
struct IssuedRow {
  std::uint32_t issue = 0;
  std::string revision;
  std::string job;  ///< the job file, from the ledger's folder
  std::string storey;
  std::uint32_t live = 0, rows = 0;
  std::string folder;  ///< of the first run's lists, from the job's folder
  std::string before;  ///< digest of the issue before; empty for the first
  std::string digest;
};

/// All issues with their rows.
class Ledger {
 public:
  Ledger() = default;
  /// REQUIRES issues 1, 2, ... that together have as many rows as there are.
  Ledger(std::vector<IssuedRow> issues, LedgerRows rows);

  const std::vector<IssuedRow>& issues() const { return issues_; }
  /// 0: nothing was handed out yet.
  std::uint32_t last_issue() const { return static_cast<std::uint32_t>(issues_.size()); }
  std::size_t rows() const { return rows_.size(); }
  const LedgerRows& columns() const { return rows_; }
  LedgerRow row(std::uint32_t row) const;
  std::uint32_t issue_of(std::uint32_t row) const;
  /// First row of an issue, from 1; of the issue after the last: the count of rows.
  std::uint32_t first_row(std::uint32_t issue) const { return first_[issue - 1]; }

  /// How many numbers were ever given.
  std::size_t numbers() const { return latest_.empty() ? rows_.size() : latest_.size(); }
  /// The last row of the i-th number, in the order of numbers.
  std::uint32_t latest(std::size_t i) const {
    return latest_.empty() ? static_cast<std::uint32_t>(i) : latest_[i];
  }
  /// The last row of a number; none: it was never given.
  std::uint32_t find(std::uint32_t number) const;
  /// The number's row as the issue left it, from one of its later rows; none: it was not there yet.
  std::uint32_t as_of(std::uint32_t row, std::uint32_t issue) const;
  /// The number's row of that very issue, from one of its later rows; none: it has none.
  std::uint32_t in_issue(std::uint32_t row, std::uint32_t issue) const;
  std::uint32_t before(std::uint32_t row) const { return before_.empty() ? kNone32 : before_[row]; }
  /// Rows of one issue that hold one number.
  std::vector<std::pair<std::uint32_t, std::uint32_t>> same_numbers() const;
  /// Highest number that was ever given; 0: none.
  std::uint32_t highest() const;

 private:
  std::vector<IssuedRow> issues_;
  LedgerRows rows_;
  std::vector<std::uint32_t> first_;
  BigVector<std::uint32_t> latest_;  // empty: the rows themselves
  BigVector<std::uint32_t> before_;  // the number's row before; empty: there are none
};

}  // namespace deckmark
