#pragma once
/// A table that is read, declared once: its columns are objects, and no index of one stands anywhere.

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

namespace deckmark {

enum class Stands : std::uint8_t { optional, required };

/// What the cells of a column hold. `word` says it to a user.
struct NameCell {
  static constexpr std::string_view word = "name";
};
struct TextCell {
  static constexpr std::string_view word = "text";
};
struct LengthCell {
  static constexpr std::string_view word = "length";
};
struct NumberCell {
  static constexpr std::string_view word = "whole number";
};
struct DecimalCell {
  static constexpr std::string_view word = "number";
};
struct AngleCell {
  static constexpr std::string_view word = "angle";
};
/// For people: the program reads over it.
struct RemarkCell {
  static constexpr std::string_view word = "remark";
};

/// Some words that outlive the program's tables: constants.
using WordList = std::span<const std::string_view>;

/// One column: its word, its meaning, and another word under which it is read where the file lacks the
/// first. `found_as`: words that lists made elsewhere have for it, the likelier first; they are offered as a
/// rename, never read.
template <class Cell>
struct Column {
  using Kind = Cell;
  std::string_view name, meaning;
  Stands stands = Stands::optional;
  std::string_view also = {};
  WordList found_as = {};
};

/// The table as such. `passed_over`: columns that other files have which are read as this table; they are no
/// news to anybody. `where`: when a table of this name is read so, in words, where another has the same name.
struct TableWord {
  std::string_view name, meaning;
  WordList passed_over = {};
  bool may_be_empty = false;
  std::string_view where = {};
};

/// Whether two declarations are one object. Told by the arguments of a template: their addresses compared are
/// no constant where g++ checks for undefined behaviour.
template <const auto&, const auto&>
inline constexpr bool kIsSame = false;
template <const auto& One>
inline constexpr bool kIsSame<One, One> = true;

/// The columns of one table, in their order; an index is known when the program is compiled.
template <const TableWord& Word, const auto&... C>
struct TableTerms {
  static constexpr std::size_t size = sizeof...(C);
  static constexpr const TableWord& word = Word;

  template <const auto& Wanted>
  static constexpr bool holds() {
    return find<Wanted>() < size;
  }
  template <const auto& Wanted>
  static consteval std::size_t index() {
    static_assert(holds<Wanted>(), "this column is not one of this table");
    return find<Wanted>();
  }
  /// Every column by itself: `f` sees its kind.
  template <class F>
  static constexpr void each(F f) {
    (f(C), ...);
  }
  /// The same of the columns as template arguments: `f.template operator()<C>()`.
  template <class F>
  static constexpr void each_as_argument(F f) {
    (f.template operator()<C>(), ...);
  }

 private:
  template <const auto& Wanted>
  static consteval std::size_t find() {
    std::size_t i = 0, at = size;
    ((kIsSame<C, Wanted> ? at = i : at, ++i), ...);
    return at;
  }
  static consteval bool is_sound() {
    const std::array<std::string_view, sizeof...(C)> names{C.name...};
    for (std::size_t i = 0; i < size; ++i) {
      for (const char c : names[i])
        if (!(c >= 'a' && c <= 'z') && !(c >= '0' && c <= '9') && c != '_') return false;
      for (std::size_t j = 0; j < i; ++j)
        if (names[i] == names[j]) return false;
    }
    return !Word.name.empty() && !Word.meaning.empty() && (... && !C.name.empty()) &&
           (... && !C.meaning.empty());
  }
  static_assert(is_sound(), "a table and its columns have a word each, in small letters, and a meaning");
};

/// Two columns that give a place together, and all such pairs of a table, of which one has to stand.
template <const auto& First, const auto& Second>
struct PlacePair {
  template <class Terms>
  static constexpr std::pair<std::size_t, std::size_t> in() {
    return {Terms::template index<First>(), Terms::template index<Second>()};
  }
};
template <class... Pairs>
struct PlacePairs {
  template <class Terms>
  static std::vector<std::pair<std::size_t, std::size_t>> in() {
    return {Pairs::template in<Terms>()...};
  }
  template <class Terms>
  static std::vector<std::size_t> one_of() {
    return {};
  }
};
/// Columns of which one has to stand, in a table that gives no place.
template <const auto&... C>
struct OneOf {
  template <class Terms>
  static std::vector<std::pair<std::size_t, std::size_t>> in() {
    return {};
  }
  template <class Terms>
  static std::vector<std::size_t> one_of() {
    return {Terms::template index<C>()...};
  }
};

/// What a column's cells hold.
template <const auto& C>
using KindOf = typename std::remove_cvref_t<decltype(C)>::Kind;

}  // namespace deckmark
