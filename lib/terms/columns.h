#pragma once
/// A table that is read, declared once: its columns are objects, and no index of one stands anywhere.

#include <cstddef>
#include <cstdint>
#include <string_view>

namespace deckmark {

enum class Stands : std::uint8_t { optional, required };
struct NameCell {};
struct TextCell {};
struct LengthCell {};
struct NumberCell {};
struct AngleCell {};

/// One column: its word, its meaning, and another word under which it is known.
template <class Cell>
struct Column {
  using Kind = Cell;
  std::string_view name, meaning;
  Stands stands = Stands::optional;
  std::string_view also = {};
};

/// The columns of one table, in their order; an index is known when the program is compiled.
template <const auto&... C>
struct TableTerms {
  static constexpr std::size_t size = sizeof...(C);
  template <const auto& Wanted>
  static consteval std::size_t index() {
    constexpr std::size_t at = find<Wanted>();
    static_assert(at < size, "this column is not one of this table");
    return at;
  }
  template <class F>
  static constexpr void each(F f) {
    (f(C), ...);
  }

 private:
  template <const auto& Wanted>
  static consteval std::size_t find() {
    std::size_t i = 0, at = size;
    ((static_cast<const void*>(&C) == static_cast<const void*>(&Wanted) ? at = i : at, ++i), ...);
    return at;
  }
};

}  // namespace deckmark
