#include "exporter/list_layout.h"

#include <algorithm>

namespace deckmark {

namespace {

constexpr std::array<std::string_view, 10> kColumns = {
    "number", "point", "kind", "run", "x", "y", "northing", "easting", "elevation", "description"};
constexpr std::array<std::string_view, 4> kParts = {"point", "kind", "run", "drop"};

/// The enumerator whose place in `words` is that of the word.
template <class Enum, std::size_t N>
std::optional<Enum> from_word(const std::array<std::string_view, N>& words, std::string_view word) {
  const auto at = std::find(words.begin(), words.end(), word);
  if (at == words.end()) return std::nullopt;
  return static_cast<Enum>(at - words.begin());
}

bool is_length(ListColumn column) {
  return column == ListColumn::x || column == ListColumn::y || column == ListColumn::northing ||
         column == ListColumn::easting || column == ListColumn::elevation;
}

}  // namespace

std::string_view list_column_word(ListColumn column) { return kColumns[static_cast<std::size_t>(column)]; }
std::optional<ListColumn> list_column_from_word(std::string_view word) {
  return from_word<ListColumn>(kColumns, word);
}
std::string_view description_part_word(DescriptionPart part) {
  return kParts[static_cast<std::size_t>(part)];
}
std::optional<DescriptionPart> description_part_from_word(std::string_view word) {
  return from_word<DescriptionPart>(kParts, word);
}

TableStyle list_style(const ListOptions& options) {
  TableStyle style;
  style.separator = options.separator;
  style.decimal_mark = options.decimal_mark;
  style.crlf = options.crlf;
  style.header = options.header;
  style.neutralise = false;
  return style;
}

std::vector<std::string> list_header(const ListOptions& options, LengthUnit unit) {
  std::vector<std::string> out;
  for (const ListColumn column : options.columns) {
    std::string cell(list_column_word(column));
    const bool plane = column == ListColumn::northing || column == ListColumn::easting;
    if (plane && options.frame == ListFrame::grid) cell.insert(0, "grid_");
    if (is_length(column)) cell.append(" (").append(unit_word(unit)).append(")");
    out.push_back(std::move(cell));
  }
  return out;
}

Description list_description(const DescriptionTexts& texts, const ListOptions& options) {
  Description out;
  for (const DescriptionPart part : options.description) {
    const std::string_view text = texts[static_cast<std::size_t>(part)];
    if (text.empty()) continue;
    if (!out.text.empty()) out.text += ' ';
    out.text += text;
  }
  if (options.ascii) out.text = to_ascii(out.text);
  for (char& c : out.text) {
    if (c != options.separator) continue;
    c = ' ';
    out.separator_replaced = out.separator_replaced || options.separator != ' ';
  }
  out.text.resize(first_characters(out.text, options.description_length).size());
  while (!out.text.empty() && out.text.back() == ' ') out.text.pop_back();
  const std::size_t blanks = std::min(out.text.find_first_not_of(' '), out.text.size());
  out.text.erase(0, blanks);
  return out;
}

std::optional<std::string_view> plain_description(const DescriptionTexts& texts, const ListOptions& options,
                                                  std::span<char> room) {
  std::size_t size = 0;
  for (const DescriptionPart part : options.description) {
    const std::string_view text = texts[static_cast<std::size_t>(part)];
    if (text.empty()) continue;
    if (size + text.size() + 1 > room.size()) return std::nullopt;
    if (size > 0) room[size++] = ' ';
    for (const char c : text) {
      if (c < ' ' || c > '~' || c == options.separator) return std::nullopt;
      room[size++] = c;
    }
  }
  size = std::min(size, options.description_length);
  while (size > 0 && room[size - 1] == ' ') --size;
  if (size > 0 && room[0] == ' ') return std::nullopt;
  return std::string_view(room.data(), size);
}

}  // namespace deckmark
