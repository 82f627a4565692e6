#pragma once
/// What a stage gives: a value, or none because the job asks for none, or none because its data are spoiled.

#include <cstdint>
#include <optional>
#include <utility>

#include "table/message.h"

namespace deckmark {

enum class Came : std::uint8_t { absent, spoiled, there };

/// A stage's result. A spoiled one may hold what was found all the same: for those alone that look for
/// further faults, never for a list.
template <class T>
struct Staged {
  Came came = Came::absent;
  std::optional<T> value;
  Messages told;

  static Staged absent() { return {}; }
  /// There, or spoiled where a problem was told.
  static Staged found(T value, Messages told = {}) {
    const bool bad = told.has_problems();
    return {bad ? Came::spoiled : Came::there, std::move(value), std::move(told)};
  }
  static Staged spoiled(Messages told = {}) { return {Came::spoiled, std::nullopt, std::move(told)}; }
  /// Further faults of what is spoiled already: its problems are told, and no more.
  Staged looked_over() && {
    told.keep_problems();
    if (came == Came::there) came = Came::spoiled;
    return std::move(*this);
  }
  bool is_there() const { return came == Came::there; }
  bool is_spoiled() const { return came == Came::spoiled; }
  /// The value where it may be used.
  const T* get() const { return is_there() ? &*value : nullptr; }
};

/// A stage that is used where the job has it, and done without where it has not.
template <class T>
struct May {
  const Staged<T>& of;
};
template <class T>
May<T> may(const Staged<T>& s) {
  return {s};
}

namespace staged {
template <class T>
Came came(const Staged<T>& s) {
  return s.came;
}
template <class T>
Came came(const May<T>& s) {
  return s.of.came == Came::absent ? Came::there : s.of.came;
}
template <class T>
const T& pass(const Staged<T>& s) {
  return *s.value;
}
template <class T>
const T* pass(const May<T>& s) {
  return s.of.get();
}
}  // namespace staged

/// `after(deck, may(plumb))([&](const Deck&, const Plumb*) { ... })`: runs the stage where everything that it
/// needs is there; spoiled where one of them is spoiled, absent where one is absent.
template <class... In>
auto after(const In&... in) {
  return [&in...]<class F>(F stage) -> decltype(stage(staged::pass(in)...)) {
    const Came all[] = {staged::came(in)...};
    Came worst = Came::there;
    for (const Came c : all)
      if (c == Came::spoiled || (c == Came::absent && worst == Came::there)) worst = c;
    if (worst == Came::there) return stage(staged::pass(in)...);
    decltype(stage(staged::pass(in)...)) none;
    none.came = worst;
    return none;
  };
}

}  // namespace deckmark
