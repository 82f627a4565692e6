#pragma once
/// A key of the job file, declared once: its word, its kind, its meaning, an example, and the member that it
/// fills.

#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <tuple>
#include <type_traits>
#include <utility>
#include <vector>

#include "measure/angle.h"
#include "measure/frame.h"
#include "measure/length.h"

namespace deckmark {

/// What a length may be. A standard deviation and a permitted deviation are refused where they are
/// impossible, and doubted where nobody would believe them; what is said of an instrument is believed.
enum class Bound : std::uint8_t {
  above_zero,
  zero_or_more,
  sd,
  sd_or_zero,
  instrument_sd,
  instrument_sd_or_zero,
  permitted
};
/// The unit in which a length whose feet-inch marks are left out is read.
enum class Bare : std::uint8_t { drawing, site };

struct LengthKind {
  using Value = Length;
  Bound bound;
};
/// A length no further from zero than `most`.
struct WithinKind {
  using Value = Length;
  Bare bare;
  Length most;
  std::string_view what;  ///< `a height`
};
/// A length from `least` to `most`. `such_as`: what a problem says to write.
struct RangeKind {
  using Value = Length;
  Bare bare;
  Length least, most;
  std::string_view what, such_as;
};
/// Any length.
struct PlaceKind {
  using Value = Length;
  Bare bare;
};
/// An elevation no further from zero than `most`.
struct HeightKind {
  using Value = Elevation;
  Length most;
};
struct UnitKind {
  using Value = LengthUnit;
  bool feet_for_feet_inches = false;  ///< `ft-in` is taken as feet
};
/// Above `above`, and up to `most`, or under it. `such_as`: what a problem says to write; `found`,
/// `expected`: what is told of an angle out of range.
struct AngleKind {
  using Value = Angle;
  std::string_view such_as;
  Angle above = Angle::degrees(-std::numeric_limits<double>::infinity()), most = -above;
  bool up_to_most = true;
  std::string_view found{}, expected{};
  bool bare = false;  ///< a number without a notation is read as the job says
};
/// n of `1:n`.
struct RatioKind {
  using Value = double;
};
/// A number, without quotes.
struct NumberKind {
  using Value = double;
  double least, most;
  std::string_view what;
};
/// A number, without quotes, or the word `none`: nothing of the kind.
struct NumberOrNoneKind {
  using Value = std::optional<double>;
  double least, most;
  std::string_view what;
};
/// A whole number, without quotes. `such_as`: what a problem says to write.
struct CountKind {
  using Value = std::int64_t;
  std::int64_t least, most;
  std::optional<std::int64_t> such_as = std::nullopt;
};
/// In degrees C.
struct TemperatureKind {
  using Value = double;
};
/// n of a fraction 1/n inch that tapes have.
struct FractionKind {
  using Value = int;
};
struct FlagKind {
  using Value = bool;
};
/// A text on one line.
struct TextKind {
  using Value = std::string;
  bool all_seen = false;  ///< no control or invisible character
};
/// `least`, `instead`: what is wanted of an empty list, and what to write in its place; empty: one is taken.
struct TextsKind {
  using Value = std::vector<std::string>;
  std::string_view least{}, instead{};
};
/// One character of `allowed`; `tab` may stand for a tab.
struct MarkKind {
  using Value = char;
  std::string_view allowed, expected, such_as;
};
/// One of some words.
template <class E>
struct Word {
  std::string_view word;
  E means;
};
template <class E, std::size_t N>
struct ChoiceKind {
  using Value = E;
  Word<E> words[N];
};
template <class E, std::size_t N>
consteval ChoiceKind<E, N> choice(const Word<E> (&words)[N]) {
  ChoiceKind<E, N> out{};
  for (std::size_t i = 0; i < N; ++i) out.words[i] = words[i];
  return out;
}
/// A list of words of an enum, from its first to its last.
template <class E>
struct WordsKind {
  using Value = std::vector<E>;
  std::string_view (*word)(E);
  E last;
  std::string_view least{}, instead{};
};

/// Pointers to members, one within the other: a section's keys may fill options of several rooms.
template <auto... Members>
struct MemberPath {
  template <class V>
  static constexpr decltype(auto) of(V& values) {
    return step<V, Members...>(values);
  }

 private:
  template <class V, auto First, auto... Rest>
  static constexpr decltype(auto) step(V& values) {
    if constexpr (sizeof...(Rest) == 0)
      return (values.*First);
    else
      return step<std::remove_reference_t<decltype(values.*First)>, Rest...>(values.*First);
  }
};

/// What holds where a key is not stated.
struct Otherwise {
  std::string_view text;  ///< empty: nothing
  bool as_typed = false;  ///< as it would be typed behind `=`; else in words, where it comes from elsewhere
};

/// `Place`: where it is kept whether and where the key stands, if a later stage has to name it.
template <class Kind, class Path, class Place = MemberPath<>>
struct Key {
  static constexpr bool is_placed = !std::is_same_v<Place, MemberPath<>>;
  std::string_view name;
  Kind kind;
  std::string_view meaning;
  std::string_view example;     ///< as it is typed behind `=`
  Otherwise without{};          ///< what holds without the key
  std::string_view required{};  ///< `always`, or when, in words; empty: never

  template <auto... Members>
  consteval Key<Kind, Path, MemberPath<Members...>> placed() const {
    return {name, kind, meaning, example, without, required};
  }
  /// Without the key its member has the value that this text gives.
  consteval Key defaults_to(std::string_view typed) const {
    return {name, kind, meaning, example, {typed, true}, required};
  }
  consteval Key otherwise(std::string_view in_words) const {
    return {name, kind, meaning, example, {in_words, false}, required};
  }
  consteval Key needed(std::string_view when) const { return {name, kind, meaning, example, without, when}; }
  template <class V>
  static constexpr decltype(auto) member(V& values) {
    return Path::of(values);
  }
  template <class V>
  static constexpr decltype(auto) place(V& values) {
    return Place::of(values);
  }
};
template <auto... Path, class Kind>
consteval Key<Kind, MemberPath<Path...>> key(std::string_view name, Kind kind, std::string_view meaning,
                                             std::string_view example) {
  if (name.empty() || meaning.empty() || example.empty()) throw "a key has a name, a meaning and an example";
  return {name, kind, meaning, example};
}

/// Keys of one section that fill a V; `[name]`, or `[[name]]` where it may stand several times.
template <class V, class... Keys>
struct Section {
  using Values = V;
  std::string_view name;
  std::tuple<Keys...> keys;
  bool repeats = false;
  bool is_shared = false;  ///< a file that several jobs share may hold it too

  template <class F>
  constexpr void each(F f) const {
    std::apply([&](const auto&... k) { (f(k), ...); }, keys);
  }
  constexpr std::array<std::string_view, sizeof...(Keys)> names() const {
    return std::apply([](const auto&... k) { return std::array{k.name...}; }, keys);
  }
  constexpr bool declares(std::string_view word) const {
    for (const std::string_view n : names())
      if (n == word) return true;
    return false;
  }
};
/// The section, where its keys are different words.
template <class V, class... Keys>
constexpr Section<V, Keys...> checked(Section<V, Keys...> one) {
  const auto names = one.names();
  for (std::size_t i = 0; i < names.size(); ++i)
    for (std::size_t j = 0; j < i; ++j)
      if (names[i] == names[j]) throw "a key stands twice in its section";
  return one;
}
template <class V, class... Keys>
consteval Section<V, Keys...> section(std::string_view name, Keys... keys) {
  (static_cast<void>(sizeof(decltype(keys.member(std::declval<V&>())))), ...);
  return checked(Section<V, Keys...>{name, {keys...}});
}
template <class V, class... Keys>
consteval Section<V, Keys...> repeated(Section<V, Keys...> one) {
  one.repeats = true;
  return one;
}
template <class V, class... Keys>
consteval Section<V, Keys...> shared(Section<V, Keys...> one) {
  one.is_shared = true;
  return one;
}
/// A section whose keys belong to several parts of the job, from the keys of each.
template <class V, class... A, class... B, class... Rest>
constexpr auto joined(const Section<V, A...>& a, const Section<V, B...>& b, const Rest&... rest) {
  if (a.name != b.name) throw "two sections are not one";
  const auto both = checked(Section<V, A..., B...>{a.name, std::tuple_cat(a.keys, b.keys)});
  if constexpr (sizeof...(Rest) == 0)
    return both;
  else
    return joined(both, rest...);
}

/// The name of a key of S, written where it is used; one that S does not declare does not compile.
template <const auto& S>
struct KeyName {
  std::string_view word;
  template <std::size_t N>
  consteval KeyName(const char (&name)[N]) : word(name, N - 1) {  // NOLINT: stands for a literal
    if (!S.declares(word)) throw "this section declares no key of that name";
  }
};

}  // namespace deckmark
