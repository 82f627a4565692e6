#pragma once
/// Names that files are named after.

#include <algorithm>
#include <string>
#include <string_view>

namespace deckmark {

inline constexpr std::size_t kLongestFilePart = 60;  ///< of what files are named after

/// True where a name can stand in a file's name as it is.
inline bool is_file_part(std::string_view name) {
  const auto fits = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
  };
  return !name.empty() && std::ranges::all_of(name, fits);
}
/// The name with _ in place of what cannot stand there; `other` where nothing is left.
inline std::string as_file_part(std::string_view name, std::string_view other) {
  std::string out;
  for (const char c : name) {
    if ((static_cast<unsigned char>(c) & 0xC0) == 0x80) continue;
    out += is_file_part(std::string_view(&c, 1)) ? c : '_';
  }
  return out.empty() ? std::string(other) : out;
}

}  // namespace deckmark
