#pragma once
/// Private to the room: reads the declared keys of a section into what their paths lead to, and answers for
/// them. A key that is not declared does not compile.

#include <algorithm>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

#include "job/key_reader.h"
#include "measure/angle.h"

namespace deckmark {

namespace section_reader {

template <class To, class From>
To as(From value) {
  if constexpr (std::is_same_v<To, Azimuth> && std::is_same_v<From, Angle>)
    return Azimuth::degrees(value.degrees());
  else if constexpr (std::is_integral_v<To> && std::is_integral_v<From>)
    return static_cast<To>(value);
  else
    return value;
}
/// A member keeps its default where there is no value.
template <class M, class V>
void put(M& member, std::optional<V> value) {
  if (value) member = as<M>(*std::move(value));
}
template <class T, class V>
void put(std::optional<T>& member, std::optional<V> value) {
  if (value) member = as<T>(*std::move(value));
}
/// Of a kind that may say that there is none.
template <class T>
void put(std::optional<T>& member, std::optional<std::optional<T>> value) {
  if (value) member = *value;
}
template <class T, class V>
void put(Stated<T>& member, std::optional<V> value) {
  put(member.value, std::move(value));
}
template <class M>
inline constexpr bool kIsWritten = std::is_base_of_v<Written, M>;

}  // namespace section_reader

/// What a section of the job file says; S is its declaration. Problems go to `messages`.
template <const auto& S>
class SectionReader {
 public:
  /// Of the whole file.
  SectionReader(const JobValue& root, const std::string& file, Messages& messages)
      : SectionReader(S.name.empty() ? &root : root.member(S.name), std::string(S.name), file, messages) {}
  /// Of one section of several, or of one within a key.
  SectionReader(const JobValue* section, std::string name, const std::string& file, Messages& messages)
      : reader_(section, std::move(name), file, messages) {}

  /// The key stands there, whatever its value.
  bool has(KeyName<S> key) const { return reader_.find(key.word) != nullptr; }
  /// Neither the key nor a slip of it, which is told as such, stands there.
  bool lacks(KeyName<S> key) const { return !means(key); }
  bool means(KeyName<S> key) const {
    static constexpr auto words = S.names();
    return has(key) || reader_.has_slip_of(key.word, words);
  }
  /// It stands there with a value that was refused.
  bool is_refused(KeyName<S> key) const { return std::ranges::count(refused_, key.word) > 0; }
  /// Texts of a list as they stand, each with its place.
  std::vector<std::pair<std::string, Where>> listed(KeyName<S> key) const { return reader_.listed(key.word); }
  /// Of the key; the file as such where it is not there.
  Where where(KeyName<S> key) const { return reader_.where(key.word); }
  void problem(KeyName<S> key, const Fault& fault) { reader_.problem(key.word, fault); }
  void doubt(std::string_view kind, KeyName<S> key, const std::string& text) {
    reader_.doubt(kind, key.word, text);
  }

  /// Takes the keys of `Keys`, which are some of S, or all; each is there to be read after those before it.
  template <const auto& Keys = S, class V>
  void read(V& into, const BareNotations& bare = {}) {
    using namespace section_reader;
    Keys.each([&](const auto& key) {
      auto& member = key.member(into);
      auto value = reader_.take(key.name, key.kind, bare);
      const Written stands{reader_.where(key.name), reader_.find(key.name) != nullptr, value.has_value()};
      if (stands.written && !stands.taken) refused_.push_back(key.name);
      put(member, std::move(value));
      if constexpr (kIsWritten<std::remove_cvref_t<decltype(member)>>) static_cast<Written&>(member) = stands;
      if constexpr (std::remove_cvref_t<decltype(key)>::is_placed) key.place(into) = stands;
    });
  }

 private:
  KeyReader reader_;
  std::vector<std::string_view> refused_;
};

}  // namespace deckmark
