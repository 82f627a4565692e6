#pragma once
/// What an inner parser answers: a value, or what is wrong with the text. It knows no file.

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

namespace deckmark {

/// What was found, what was expected (with unit and range), and text that would be accepted instead.
/// `found` is quoted by `in_quotes`; `suggestion` may be empty where nothing can be proposed.
struct Fault {
  std::string found, expected, suggestion;
};

/// The text in double quotes, cut at 40 characters; control, invisible and invalid bytes are shown as
/// U+XXXX or 0xXX, never raw.
std::string in_quotes(std::string_view text);
/// The whole text, with control, invisible and invalid bytes shown in the same way.
std::string visible(std::string_view text);
/// The first character that shows as nothing or moves the text around it (control and format characters;
/// blanks other than the tab are not among them), as `U+200B`; nothing where there is none.
std::optional<std::string> unseen_character(std::string_view text);

/// A value, or the fault of its text. Good values carry no allocation.
template <class T>
class Outcome {
 public:
  Outcome(T value) : value_(std::move(value)) {}                               // NOLINT: meant to convert
  Outcome(Fault fault) : fault_(std::make_unique<Fault>(std::move(fault))) {}  // NOLINT: meant to convert
  explicit operator bool() const { return fault_ == nullptr; }
  /// REQUIRES the outcome is good.
  const T& operator*() const { return *value_; }
  T& operator*() { return *value_; }
  const T* operator->() const { return &*value_; }
  /// REQUIRES the outcome is bad.
  const Fault& fault() const { return *fault_; }

 private:
  std::optional<T> value_;
  std::unique_ptr<Fault> fault_;
};

}  // namespace deckmark
