#pragma once
/// The mark table: every drawing point in parallel columns, and an index of its names.

#include <cmath>
#include <cstdint>
#include <limits>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "measure/frame.h"
#include "table/big_vector.h"
#include "table/reader.h"

namespace deckmark {

inline constexpr std::int64_t kLeastNumber = 1, kMostNumber = 999999999;
/// No row.
inline constexpr std::uint32_t kNone32 = 0xFFFFFFFF;

/// Lengths of which some may be absent, 8 bytes each; a column that the table lacks takes no room.
class OptionalLengths {
 public:
  std::optional<Length> operator[](std::size_t i) const {
    if (i >= metres_.size() || std::isnan(metres_[i])) return std::nullopt;
    return Length::metres(metres_[i]);
  }
  /// Puts the value at index `i`, which is not below any index put before.
  void put(std::size_t i, Length value) {
    metres_.resize(i, kNone);
    metres_.push_back(value.metres());
  }
  /// Appends a column whose index 0 becomes `at`.
  void append(std::size_t at, OptionalLengths&& other);
  bool empty() const { return metres_.empty(); }

 private:
  static constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
  BigVector<double> metres_;
};

/// How the words of a column are told apart: names without regard to the case of A-Z, in the spelling that
/// stands first.
enum class WordCase : std::uint8_t { exact, any };

/// Words that repeat (kinds, runs, revisions): each text once, and an index a row. Index 0 is the empty word.
class Words {
 public:
  explicit Words(WordCase word_case = WordCase::exact) : index_(Less{word_case}) { number_of(""); }
  Words(Words&&) = default;  // a map's nodes stay where they are when it moves
  Words& operator=(Words&&) = default;
  std::uint32_t number_of(std::string_view word);
  std::optional<std::uint32_t> find(std::string_view word) const;
  std::string_view operator[](std::uint32_t number) const { return *texts_[number]; }
  std::size_t size() const { return texts_.size(); }

 private:
  struct Less {
    using is_transparent = void;
    WordCase word_case;
    bool operator()(std::string_view a, std::string_view b) const;
  };
  std::map<std::string, std::uint32_t, Less> index_;
  std::vector<const std::string*> texts_;  // keys of the map, which do not move
  std::uint32_t last_ = 0;                 // rows of one run stand together
};

/// A column of words.
class WordColumn {
 public:
  WordColumn() = default;
  explicit WordColumn(WordCase word_case) : words_(word_case) {}
  std::string_view operator[](std::size_t i) const { return words_[number(i)]; }
  std::uint32_t number(std::size_t i) const { return i < rows_.size() ? rows_[i] : 0; }
  /// Puts the word at index `i`, which is not below any index put before.
  void put(std::size_t i, std::string_view word) {
    rows_.resize(i, 0);
    rows_.push_back(words_.number_of(word));
  }
  void append(std::size_t at, WordColumn&& other);
  const Words& words() const { return words_; }

 private:
  Words words_;
  BigVector<std::uint32_t> rows_;
};

inline constexpr std::string_view kHangerKind = "hanger";
inline constexpr std::string_view kReferenceKind = "reference";

/// The drawing's points. `begins` are the offsets of their rows in the table they came from.
struct MarkTable {
  TextColumn names;
  BigVector<Point<Drawing>> places;
  OptionalLengths heights;  ///< attach height above the floor, where the row states one
  WordColumn kinds;         ///< empty word: hanger
  WordColumn runs{WordCase::any};
  WordColumn was;  ///< the name that a point had before; empty: it had this one
  BigVector<std::uint32_t> begins;

  std::size_t size() const { return places.size(); }
  std::string_view kind(std::size_t i) const {
    const std::string_view k = kinds[i];
    return k.empty() ? kHangerKind : k;
  }
  /// A reference point has a floor number but no deck number and no drop.
  bool is_reference(std::size_t i) const { return kinds.number(i) != 0 && kinds[i] == kReferenceKind; }
  void reserve(std::size_t rows);
  void append(MarkTable&& other);
};

/// Finds rows by name, without regard to the case of A-Z.
class NameIndex {
 public:
  /// Indexes all names; a long column on two threads. `duplicates` are pairs (first row, later row) of equal
  /// names.
  explicit NameIndex(const TextColumn& names);
  std::optional<std::uint32_t> find(std::string_view name) const;
  const std::vector<std::pair<std::uint32_t, std::uint32_t>>& duplicates() const { return duplicates_; }

 private:
  struct Slot {
    std::uint32_t row_plus_one = 0, tag = 0;
  };
  struct Half {
    BigVector<Slot> slots;
    std::vector<std::pair<std::uint32_t, std::uint32_t>> duplicates;
  };
  void fill(Half& half, bool upper) const;
  const TextColumn* names_;
  Half halves_[2];
  std::vector<std::pair<std::uint32_t, std::uint32_t>> duplicates_;
};

}  // namespace deckmark
