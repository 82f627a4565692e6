#pragma once
/// A value with the place where the job file states it.

#include <optional>
#include <utility>

#include "table/message.h"

namespace deckmark {

/// Whether and where a key stands.
struct Written {
  Where at;              ///< of the key; the job file as such where it is not there
  bool written = false;  ///< it stands there, even where its value was refused
  bool taken = false;    ///< it stands there with a value of its kind
};

/// A key's value, none where it is absent or was refused, and whether and where it stands.
template <class T>
struct Stated : Written {
  std::optional<T> value;

  explicit operator bool() const { return value.has_value(); }
  const T& operator*() const { return *value; }
  const T* operator->() const { return &*value; }
  T value_or(T other) const { return value.value_or(std::move(other)); }
};

}  // namespace deckmark
