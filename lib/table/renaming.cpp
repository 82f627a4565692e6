#include "table/renaming.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "measure/length_text.h"
#include "measure/letters.h"
#include "table/meant_word.h"
#include "table/reader.h"

namespace deckmark {

namespace {

std::string toml_text(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    if (c == '\t')
      out += "\\t";
    else
      out += c;
  }
  return out + '"';
}

std::string toml_key(std::string_view word) {
  const auto is_plain = [](char c) { return is_letter(c) || (c >= '0' && c <= '9') || c == '_' || c == '-'; };
  return !word.empty() && std::ranges::all_of(word, is_plain) ? std::string(word) : toml_text(word);
}

/// `Pt. No`, `pt-no` and `pt_no` are one word.
std::string bare_word(std::string_view word) {
  std::string out;
  for (const char c : small_letters(word))
    if (std::string_view(" _-.#").find(c) == std::string_view::npos) out += c;
  return out;
}

/// How likely the word is the column's: 0 the likeliest; nothing where it is none of its words.
std::optional<std::size_t> place_among(const ColumnSpec& column, std::string_view word) {
  const std::string bare = bare_word(word);
  for (std::size_t i = 0; i < column.found_as.size(); ++i)
    if (bare_word(column.found_as[i]) == bare) return i;
  return std::nullopt;
}

class Offering {
 public:
  using Way = std::pair<std::size_t, std::size_t>;

  Offering(const TableSpec& spec, const std::vector<std::string>& unknown,
           const std::function<bool(std::size_t)>& stands)
      : spec_(spec), left_(unknown), stands_(stands), way_(way_to_offer()) {}

  Offer made() {
    for (const bool required : {true, false})
      for (std::size_t c = 0; c < spec_.columns.size(); ++c)
        if (spec_.columns[c].required == required && !stands_(c) && is_wanted(c)) offer(c);
    // Slips of letters beside words that are known: one line for all.
    if (!offer_.renames.empty())
      for (std::size_t c = 0; c < spec_.columns.size(); ++c)
        if (spec_.columns[c].required && !stands_(c) && !offer_.has(spec_.columns[c].name)) offer_misspelt(c);
    return std::move(offer_);
  }

 private:
  /// The words left that are known for the column, the likeliest first.
  std::vector<std::string> words_for(std::size_t c) const {
    std::vector<std::pair<std::size_t, std::string>> found;
    for (const std::string& word : left_)
      if (const auto at = place_among(spec_.columns[c], word)) found.emplace_back(*at, word);
    std::ranges::stable_sort(found, {}, &std::pair<std::size_t, std::string>::first);
    std::vector<std::string> words;
    words.reserve(found.size());
    for (auto& [at, word] : found) words.push_back(std::move(word));
    return words;
  }

  /// Of the ways to give a place the one of which half stands, else the first that can be offered whole;
  /// none beside one that stands.
  std::optional<Way> way_to_offer() const {
    const auto begins = [&](const Way& w) { return stands_(w.first) || stands_(w.second); };
    const auto is_whole = [&](const Way& w) { return stands_(w.first) && stands_(w.second); };
    if (std::ranges::any_of(spec_.ways, is_whole)) return std::nullopt;
    const auto can_be = [&](std::size_t c) { return stands_(c) || !words_for(c).empty(); };
    const bool any_begins = std::ranges::any_of(spec_.ways, begins);
    for (const Way& w : spec_.ways)
      if (any_begins == begins(w) && can_be(w.first) && can_be(w.second)) return w;
    return std::nullopt;
  }
  bool is_wanted(std::size_t c) const {
    const auto holds = [c](const Way& w) { return w.first == c || w.second == c; };
    return std::ranges::none_of(spec_.ways, holds) || (way_ && holds(*way_));
  }

  void offer(std::size_t c) {
    const std::vector<std::string> words = words_for(c);
    if (words.empty()) return;
    const std::string& column = spec_.columns[c].name;
    take(words[0], column);
    for (std::size_t i = 1; i < words.size(); ++i)
      offer_.others.push_back(fmt::format("{} could be {} too", words[i], column));
  }

  void offer_misspelt(std::size_t c) {
    std::vector<std::string> words;
    std::ranges::copy_if(left_, std::back_inserter(words), [](const auto& w) { return !ends_in_a_unit(w); });
    if (const auto near = meant_word(spec_.columns[c].name, words)) take(*near, spec_.columns[c].name);
  }

  void take(const std::string& word, const std::string& column) {
    offer_.renames.push_back({word, column});
    std::erase(left_, word);
  }

  const TableSpec& spec_;
  std::vector<std::string> left_;
  const std::function<bool(std::size_t)>& stands_;
  std::optional<Way> way_;
  Offer offer_;
};

}  // namespace

std::string TableLine::with(const std::vector<Rename>& more) const {
  std::vector<std::string> pairs, parts{fmt::format("file = {}", toml_text(file))};
  const auto add = [&](const Rename& r) {
    pairs.push_back(fmt::format("{} = {}", toml_key(r.word), toml_text(r.column)));
  };
  for (const StatedRename& r : renames) add(r.rename);
  for (const Rename& r : more) add(r);
  parts.insert(parts.end(), beside.begin(), beside.end());
  if (!pairs.empty()) parts.push_back(fmt::format("rename = {{ {} }}", fmt::join(pairs, ", ")));
  if (parts.size() == 1) return fmt::format("{} = {}", key, toml_text(file));
  return fmt::format("{} = {{ {} }}", key, fmt::join(parts, ", "));
}

std::string TableLine::with_columns(const std::vector<std::string>& columns) const {
  std::vector<std::string> words, parts{fmt::format("file = {}", toml_text(file))};
  for (const std::string& column : columns) words.push_back(toml_text(column));
  parts.push_back(fmt::format("columns = [{}]", fmt::join(words, ", ")));
  parts.insert(parts.end(), beside.begin(), beside.end());
  return fmt::format("{} = {{ {} }}", key, fmt::join(parts, ", "));
}

bool Offer::has(std::string_view column) const {
  return std::ranges::any_of(renames, [&](const Rename& r) { return r.column == column; });
}

Offer offer_of(const TableSpec& spec, const std::vector<std::string>& unknown,
               const std::function<bool(std::size_t)>& stands) {
  return Offering(spec, unknown, stands).made();
}

bool is_found_as(const ColumnSpec& column, std::string_view word) {
  return place_among(column, word).has_value();
}

bool ends_in_a_unit(std::string_view word) {
  const std::string small = small_letters(word);
  std::string_view rest = trimmed(small);
  while (!rest.empty() && std::string_view(")]}./ ").find(rest.back()) != std::string_view::npos)
    rest.remove_suffix(1);
  const std::size_t at = rest.find_last_of(" _/-([{");
  if (at == std::string_view::npos) return false;
  const std::string_view last = rest.substr(at + 1);
  return unit_from_word(last).has_value() || !likely_unit_word(last).empty();
}

}  // namespace deckmark
