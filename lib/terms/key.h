#pragma once
/// A key of the job file, declared once: its word, its kind, its meaning, and the member that it fills.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>
#include <tuple>
#include <type_traits>
#include <utility>

#include "measure/frame.h"
#include "measure/length.h"

namespace deckmark {

/// What a length may be: whatever is above zero, and so on; `sd` and `permitted` are believed within bounds.
enum class Bound : std::uint8_t { any, above_zero, zero_or_more, sd, permitted };
/// The unit that feet-inch marks left out are read in.
enum class Bare : std::uint8_t { none, drawing, site };

struct LengthKind {
  using Value = Length;
  Bound bound = Bound::any;
  Bare bare = Bare::none;
};
/// An elevation.
struct HeightKind {
  using Value = Elevation;
  Bare bare = Bare::site;
};
struct FlagKind {
  using Value = bool;
};
/// One of some words; the value is the enumerator at the word's place.
template <class E, std::size_t N>
struct ChoiceKind {
  using Value = E;
  std::string_view words[N];
};

namespace terms {
template <class V, auto First, auto... Rest>
constexpr decltype(auto) at(V& values) {
  if constexpr (sizeof...(Rest) == 0)
    return (values.*First);
  else
    return at<std::remove_reference_t<decltype(values.*First)>, Rest...>(values.*First);
}
}  // namespace terms

/// `Path`: pointers to members, one within the other: a section's keys may fill options of several rooms.
template <class Kind, auto... Path>
struct Key {
  std::string_view name;
  Kind kind;
  std::string_view meaning, example;
  template <class V>
  static constexpr decltype(auto) member(V& values) {
    return terms::at<V, Path...>(values);
  }
};
template <auto... Path, class Kind>
consteval Key<Kind, Path...> key(std::string_view name, Kind kind, std::string_view meaning,
                                 std::string_view example = {}) {
  if (name.empty() || meaning.empty()) throw "a key has a name and a meaning";
  return {name, kind, meaning, example};
}

template <class V, class... Keys>
struct Section {
  using Values = V;
  std::string_view name;
  std::tuple<Keys...> keys;
  template <class F>
  constexpr void each(F f) const {
    std::apply([&](const auto&... k) { (f(k), ...); }, keys);
  }
};
template <class V, class... Keys>
consteval Section<V, Keys...> section(std::string_view name, Keys... keys) {
  const std::string_view names[] = {keys.name...};
  for (std::size_t i = 0; i < sizeof...(Keys); ++i)
    for (std::size_t j = 0; j < i; ++j)
      if (names[i] == names[j]) throw "a key stands twice in its section";
  (static_cast<void>(sizeof(decltype(keys.member(std::declval<V&>())))), ...);
  return {name, {keys...}};
}

}  // namespace deckmark
