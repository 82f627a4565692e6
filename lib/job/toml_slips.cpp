#include "job/toml_slips.h"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <array>
#include <type_traits>
#include <utility>

#include "job/keys/all_keys.h"
#include "job/toml_depth.h"
#include "measure/letters.h"
#include "table/reader.h"

namespace deckmark {

namespace {

std::string with_straight_quotes(std::string_view text) {
  constexpr std::array<std::pair<std::string_view, char>, 6> kCurly{{{"\u201C", '"'},
                                                                     {"\u201D", '"'},
                                                                     {"\u201E", '"'},
                                                                     {"\u2018", '\''},
                                                                     {"\u2019", '\''},
                                                                     {"\u2032", '\''}}};
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    bool found = false;
    for (const auto& [curly, straight] : kCurly)
      if (text.substr(at).starts_with(curly)) {
        out += straight;
        at += curly.size();
        found = true;
        break;
      }
    if (!found) out += text[at++];
  }
  return out;
}

bool is_toml(const std::string& line) {
  if (too_deep_at(line)) return false;
  try {
    (void)toml::parse(line);
    return true;
  } catch (const toml::parse_error&) {
    return false;
  }
}

/// The text between its outer quotes, of which either may be left out.
std::string_view without_outer_quotes(std::string_view value) {
  if (value.empty()) return value;
  const char quote = value.front();
  if (quote != '"' && quote != '\'') return value;
  value.remove_prefix(1);
  const bool escaped = value.size() > 1 && value[value.size() - 2] == '\\';  // an inch mark, not the end
  if (value.ends_with(quote) && !escaped) value.remove_suffix(1);
  return value;
}

std::string as_toml_text(std::string_view text) {
  std::string out = "\"";
  for (std::size_t at = 0; at < text.size(); ++at) {
    const char c = text[at], next = at + 1 < text.size() ? text[at + 1] : ' ';
    if (c == '\\' && (next == '"' || next == '\\')) {  // escaped already
      out += c;
      out += next;
      ++at;
      continue;
    }
    if (c == '"' || c == '\\') out += '\\';
    out += c;
  }
  return out + '"';
}

/// The value without a comment that a blank stands before; nothing where that may stand inside a text.
std::optional<std::string_view> without_comment(std::string_view value) {
  const std::size_t at = value.find(" #");
  if (at == std::string_view::npos) return value;
  const std::string_view before = trimmed(value.substr(0, at));
  const bool is_text = value.front() == '"' || value.front() == '\'';
  if (is_text && (before.size() < 2 || before.back() != value.front())) return std::nullopt;
  return before;
}

/// What keys of that word take: a number, a number or a word, true or false, or something else.
enum class Plain : std::uint8_t { number, number_or_word, flag, none };
template <class Kind>
constexpr Plain kPlain = std::is_same_v<Kind, NumberKind> || std::is_same_v<Kind, CountKind> ? Plain::number
                         : std::is_same_v<Kind, NumberOrNoneKind> ? Plain::number_or_word
                         : std::is_same_v<Kind, FlagKind>         ? Plain::flag
                                                                  : Plain::none;
Plain plain_of(std::string_view word) {
  std::optional<Plain> all;
  for_each_section([&](const auto& section, Part) {
    section.each([&](const auto& key) {
      if (key.name != word) return;
      constexpr Plain one = kPlain<std::remove_cvref_t<decltype(key.kind)>>;
      all = !all || *all == one ? one : Plain::none;
    });
  });
  return all.value_or(Plain::none);
}

/// A line taken apart at its =, or at the colon that stands in its place.
struct KeyAndValue {
  std::string_view key, value;
};
std::optional<KeyAndValue> taken_apart(std::string_view text) {
  std::size_t at = text.find('=');
  if (at == std::string_view::npos) at = text.find(':');
  if (at == std::string_view::npos) return std::nullopt;
  KeyAndValue out{trimmed(text.substr(0, at)), text.substr(at + 1)};
  while (out.value.starts_with('=')) out.value.remove_prefix(1);
  out.value = trimmed(out.value);
  const auto is_plain = [](char c) { return is_letter(c) || (c >= '0' && c <= '9') || c == '_' || c == '-'; };
  if (text[at] == ':' && !std::ranges::all_of(out.key, is_plain)) return std::nullopt;
  return out;
}

bool is_digits(std::string_view value) {
  return value.find_first_not_of("0123456789.,_+-: ") == std::string_view::npos;
}

}  // namespace

std::optional<std::string> mended_toml_line(std::string_view line) {
  const std::string straight = with_straight_quotes(trimmed(line));
  const std::string_view text = straight;
  if (text.starts_with('[') && text.find(']') == std::string_view::npos) {
    const std::string mended = straight + "]";
    if (is_toml(mended)) return mended;
    return std::nullopt;
  }
  const auto parts = taken_apart(text);
  if (!parts || parts->value.empty()) return std::nullopt;
  const std::string_view key = parts->key;
  const auto bare = without_comment(parts->value);
  if (!bare) return std::nullopt;
  const std::string_view value = *bare;
  if (key.empty() || value.empty() || value.front() == '[' || value.front() == '{') return std::nullopt;
  // A number that is none, such as 1,001 or 007, and a text with what may be a comment can mean several
  // things.
  if (is_digits(value)) return std::nullopt;
  const bool is_true = value == "True" || value == "TRUE", is_false = value == "False" || value == "FALSE";
  const std::array<std::string, 2> candidates{
      fmt::format("{} = {}", key,
                  is_true    ? "true"
                  : is_false ? "false"
                             : std::string(value)),
      fmt::format("{} = {}", key, as_toml_text(without_outer_quotes(value)))};
  const Plain takes = plain_of(key);
  const std::size_t usable =
      takes == Plain::number || takes == Plain::flag ? 1 : 2;  // such a key takes no text
  for (std::size_t i = 0; i < usable; ++i)
    if (is_toml(candidates[i])) return candidates[i];
  return std::nullopt;
}

bool leaves_open(std::string_view line) {
  const auto parts = taken_apart(trimmed(line));
  if (!parts || parts->value.empty() || (parts->value.front() != '[' && parts->value.front() != '{'))
    return false;
  const std::string_view value = parts->value.substr(0, parts->value.find(" #"));
  return std::ranges::count(value, '[') > std::ranges::count(value, ']') ||
         std::ranges::count(value, '{') > std::ranges::count(value, '}');
}

std::string wanted_toml_line(std::string_view line) {
  const auto parts = taken_apart(trimmed(line));
  if (!parts || parts->key.empty())
    return "a section such as [drawing], or a key, = and a value, such as unit = \"m\"";
  const std::string key(parts->key);
  if (leaves_open(line))
    return parts->value.front() == '[' ? "a list that is closed, such as " + key + " = [\"R1\", \"R2\"]"
                                       : "an inner table that is closed by }";
  const Plain takes = plain_of(key);
  const bool is_number =
      takes == Plain::number || (takes == Plain::number_or_word && is_digits(parts->value));
  if (is_number) return "a number alone, without quotes, a unit or a zero in front";
  if (takes == Plain::flag) return "true or false, without quotes";
  if (parts->value.empty()) return "a value behind the =";
  const auto bare = without_comment(parts->value);
  if (bare && is_digits(*bare))
    return "a length in quotes with its unit, such as \"12.5 m\"; a number without a comma or a zero in "
           "front";
  return "a text in quotes, one at each end; \\\" for an inch mark in it";
}

}  // namespace deckmark
