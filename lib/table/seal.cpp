#include "table/seal.h"

#include <algorithm>
#include <vector>

#include "table/digest.h"

namespace deckmark {

namespace {

constexpr std::string_view kHead = "[seal]\n", kKey = "sha256 = \"", kEnd = "\"\n";

/// Where the last seal begins; npos: none. It stands at the beginning of a line.
std::size_t seal_of(std::string_view text) {
  std::size_t at = text.rfind(kHead);
  while (at != std::string_view::npos && at > 0 && text[at - 1] != '\n') at = text.rfind(kHead, at - 1);
  return at;
}

SealState state_of(std::string_view text) {
  const std::size_t at = seal_of(text);
  if (at == std::string_view::npos) return SealState::not_sealed;
  const std::string seal = sealed(text.substr(0, at)).substr(at);
  std::string_view rest = text.substr(at);
  if (!rest.starts_with(seal.substr(0, seal.size() - 1)))
    return SealState::changed;  // the last LF may be lost
  rest.remove_prefix(seal.size() - 1);
  return rest.find_first_not_of(" \t\n") == std::string_view::npos ? SealState::whole : SealState::added_to;
}

std::string with_line_feeds(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '\r' && i + 1 < text.size() && text[i + 1] == '\n') continue;
    out += text[i] == '\r' ? '\n' : text[i];
  }
  return out;
}

std::vector<std::string_view> lines_of(std::string_view text) {
  std::vector<std::string_view> lines;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    lines.push_back(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return lines;
}

/// A line that begins as those of a signed file do; others are the rest of the line before.
bool begins_anew(std::string_view line) {
  if (line.empty() || line.starts_with('#') || line.starts_with('[') || line == "]" ||
      line.starts_with("  ["))
    return true;
  const std::size_t word = line.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789_");
  return word != 0 && word != std::string_view::npos && line.substr(word).starts_with(" =");
}

/// Takes off what a mail puts before and behind lines, then joins those that it broke at a blank.
std::string as_before(std::string_view text, bool joined) {
  std::string out;
  for (std::string_view line : lines_of(text)) {
    if (line.starts_with('>')) line.remove_prefix(line.starts_with("> ") ? 2 : 1);
    line = line.substr(0, line.find_last_not_of(" \t") + 1);
    if (joined && !out.empty() && !begins_anew(line)) {
      out.back() = ' ';
      line.remove_prefix(line.find_first_not_of(' '));
    }
    out += line;
    out += '\n';
  }
  return out;
}

}  // namespace

std::string sealed(std::string_view body) {
  return std::string(body) + std::string(kHead) + std::string(kKey) + sha256_hex(body) + std::string(kEnd);
}

std::string_view before_seal(std::string_view text) {
  return text.substr(0, std::min(seal_of(text), text.size()));
}

SealState seal_state(std::string_view text) {
  const SealState state = state_of(text);
  if (state == SealState::whole || state == SealState::added_to) return state;
  const auto fits = [](std::string_view mended) {
    const SealState s = state_of(mended);
    return s == SealState::whole || s == SealState::added_to;
  };
  const std::string plain = with_line_feeds(text);
  if (fits(plain)) return SealState::line_ends;
  if (fits(as_before(plain, false)) || fits(as_before(plain, true))) return SealState::reflowed;
  return seal_of(plain) == std::string::npos ? SealState::not_sealed : SealState::changed;
}

}  // namespace deckmark
