#include "manual/prose.h"

#include "measure/utf8.h"

namespace deckmark {

namespace {

/// The next part of the text up to `mark`, which is taken off too.
std::string_view next_part(std::string_view& rest, char mark) {
  const std::size_t end = rest.find(mark);
  const std::string_view part = rest.substr(0, end);
  rest = end == std::string_view::npos ? std::string_view() : rest.substr(end + 1);
  return part;
}

}  // namespace

std::vector<Block> blocks_of(std::string_view text) {
  std::vector<Block> out;
  bool parted = true;
  while (!text.empty()) {
    const std::string_view line = next_part(text, '\n');
    if (line.find_first_not_of(' ') == std::string_view::npos) {
      parted = true;
      continue;
    }
    const bool under_item =
        !parted && !out.empty() && out.back().kind == Block::Kind::item && line.find_first_not_of(' ') == 2;
    const bool is_kept = line.starts_with("  ") && !under_item, is_item = line.starts_with("- ");
    const bool goes_on =
        !parted && !out.empty() && !is_item && (out.back().kind == Block::Kind::kept) == is_kept;
    if (!goes_on)
      out.push_back({is_kept   ? Block::Kind::kept
                     : is_item ? Block::Kind::item
                               : Block::Kind::paragraph,
                     "", parted});
    Block& block = out.back();
    if (is_kept)
      block.text.append(line).append("\n");
    else
      block.text.append(block.text.empty() ? "" : " ").append(is_item || under_item ? line.substr(2) : line);
    parted = false;
  }
  return out;
}

std::string filled(std::string_view first, std::string_view next, std::string_view words, std::size_t width) {
  std::string out(first);
  std::size_t used = character_count(first);
  bool begins = true;
  while (!words.empty()) {
    const std::string_view word = next_part(words, ' ');
    if (word.empty()) continue;
    const std::size_t size = character_count(word);
    if (!begins && used + 1 + size > width) {
      out.append("\n").append(next);
      used = character_count(next);
      begins = true;
    }
    if (!begins) out += ' ';
    out.append(word);
    used += size + (begins ? 0 : 1);
    begins = false;
  }
  return out + "\n";
}

std::string filled(std::span<const Block> blocks, std::size_t width) {
  std::string out;
  for (const Block& b : blocks) {
    if (b.is_parted && !out.empty()) out += '\n';
    switch (b.kind) {
      case Block::Kind::paragraph:
        out += filled("", "", b.text, width);
        break;
      case Block::Kind::item:
        out += filled("- ", "  ", b.text, width);
        break;
      case Block::Kind::kept:
        out += b.text;
        break;
    }
  }
  return out;
}

std::string defined(std::string_view term, std::string_view meaning, std::size_t at, std::size_t width) {
  const std::string indent(at, ' ');
  std::string first = "  " + std::string(term);
  const std::size_t used = character_count(first);
  if (used + 2 > at)
    first += "\n" + indent;
  else
    first.append(at - used, ' ');
  // What stands before a line feed in `first` takes nothing of the line that is filled.
  const std::size_t lead = first.find('\n');
  return lead == std::string::npos ? filled(first, indent, meaning, width)
                                   : first.substr(0, lead + 1) + filled(indent, indent, meaning, width);
}

std::string joined_by(std::string_view between, std::span<const std::string> parts) {
  std::string out;
  for (const std::string& part : parts)
    if (!part.empty()) out.append(out.empty() ? "" : between).append(part);
  return out;
}

}  // namespace deckmark
