#pragma once
/// ASCII letters without regard to case.

#include <string>
#include <string_view>

namespace deckmark {

constexpr char small_letter(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }
constexpr bool is_letter(char c) { return small_letter(c) >= 'a' && small_letter(c) <= 'z'; }
/// ASCII letters made small, all else as it is.
std::string small_letters(std::string_view text);

}  // namespace deckmark
