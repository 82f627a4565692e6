#include "job/toml_slips.h"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <array>
#include <utility>

#include "job/toml_depth.h"
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

/// The value without a comment that a blank stands before.
std::string_view without_comment(std::string_view value) {
  const std::size_t at = value.find(" #");
  return at == std::string_view::npos ? value : trimmed(value.substr(0, at));
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
  const std::size_t equals = text.find('=');
  if (equals == std::string_view::npos) return std::nullopt;
  const std::string_view key = trimmed(text.substr(0, equals));
  std::string_view value = text.substr(equals + 1);
  while (value.starts_with('=')) value.remove_prefix(1);
  value = trimmed(value);
  if (!value.empty() && value.front() != '"' && value.front() != '\'') value = without_comment(value);
  if (key.empty() || value.empty() || value.front() == '[' || value.front() == '{') return std::nullopt;
  // A number that is none, such as 1,001 or 007, and a text with what may be a comment can mean several
  // things.
  if (value.find_first_not_of("0123456789.,_+-: ") == std::string_view::npos) return std::nullopt;
  if ((value.front() == '"' || value.front() == '\'') && value.find(" #") != std::string_view::npos)
    return std::nullopt;
  const bool is_true = value == "True" || value == "TRUE", is_false = value == "False" || value == "FALSE";
  const std::array<std::string, 2> candidates{
      fmt::format("{} = {}", key,
                  is_true    ? "true"
                  : is_false ? "false"
                             : std::string(value)),
      fmt::format("{} = {}", key, as_toml_text(without_outer_quotes(value)))};
  for (const std::string& mended : candidates)
    if (is_toml(mended)) return mended;
  return std::nullopt;
}

}  // namespace deckmark
