#include "job/unknown_keys.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <utility>
#include <vector>

#include "job/keys/all_keys.h"
#include "job/one_of.h"
#include "measure/letters.h"
#include "table/meant_word.h"
#include "table/reader.h"

namespace deckmark {

namespace {

struct DeclaredSection {
  std::string_view name;
  bool repeats = false;
  Part part = Part::file;
  std::vector<std::string> keys;

  std::string in_brackets() const {
    return repeats ? fmt::format("[[{}]]", name) : fmt::format("[{}]", name);
  }
  bool has(std::string_view key) const { return std::ranges::find(keys, key) != keys.end(); }
};

const std::vector<DeclaredSection>& declared() {
  static const std::vector<DeclaredSection> all = [] {
    std::vector<DeclaredSection> out;
    for_each_section([&](const auto& section, Part part) {
      const auto names = section.names();
      out.push_back({section.name, section.repeats, part, {names.begin(), names.end()}});
    });
    return out;
  }();
  return all;
}

const DeclaredSection* section_named(std::string_view name) {
  const auto at = std::ranges::find(declared(), name, &DeclaredSection::name);
  return at == declared().end() ? nullptr : &*at;
}

/// `under [floor] or [deck]`, of all sections that declare the key; empty where none does.
std::string home_of(std::string_view key) {
  std::vector<std::string> names;
  for (const DeclaredSection& s : declared()) {
    if (!s.has(key)) continue;
    if (s.name.empty()) return "above all sections";
    names.push_back(s.in_brackets());
  }
  return (names.empty() ? "" : "under ") + one_of(names);
}

bool is_section(const JobValue& value) {
  return value.kind == JobValue::Kind::section ||
         (value.kind == JobValue::Kind::list && !value.items.empty() &&
          std::ranges::all_of(value.items,
                              [](const JobValue& item) { return item.kind == JobValue::Kind::section; }));
}

/// `; height belongs under [hangers]`, of a word that is one of another section, or a section.
std::string hint(const std::string& word, const JobValue& value) {
  if (!word.empty() && section_named(word) && is_section(value))
    return fmt::format("; {} is a section of its own", section_named(word)->in_brackets());
  const std::string home = home_of(word);
  return home.empty() ? "" : fmt::format("; {} belongs {}", word, home);
}

/// A word that is none of `known`, told with what it can have meant: the place where it belongs, else one of
/// them that is spelled nearly so, else a word that is spelled nearly so elsewhere.
Fault fault_of(std::string found, const std::string& expected, const std::string& word, const JobValue& value,
               const std::vector<std::string>& known) {
  if (auto meant = meant_key(word, known)) return {std::move(found), expected, *std::move(meant)};
  if (const std::string home = hint(word, value); !home.empty())
    return {std::move(found), expected + home, ""};
  std::set<std::string> all;
  for (const DeclaredSection& s : declared()) all.insert(s.keys.begin(), s.keys.end());
  const auto meant = meant_key(word, {all.begin(), all.end()});
  return {std::move(found), expected, meant ? fmt::format("{} {}", *meant, home_of(*meant)) : ""};
}

/// A word above all sections: a section, or a key that stands before the first of them.
Fault fault_at_top(const std::string& word, const JobValue& value) {
  std::vector<std::string> words;
  if (!is_section(value)) words = section_named("")->keys;
  for (const DeclaredSection& s : declared())
    if (!s.name.empty()) words.emplace_back(s.name);
  const std::string what =
      is_section(value) ? fmt::format("section [{}]", word) : fmt::format("key {}", in_quotes(word));
  // What stands in double brackets is no key, though there may be one of that word.
  if (is_section(value) && value.kind == JobValue::Kind::list)
    if (auto meant = meant_word(small_letters(word), words))
      return {what + ", which is not known", "a known section or key", *std::move(meant)};
  return fault_of(what + ", which is not known", "a known section or key", word, value, words);
}

Fault fault_in(const DeclaredSection& section, const std::string& word, const JobValue& value) {
  return fault_of(fmt::format("key {}, which is not known", in_quotes(word)),
                  fmt::format("a key of [{}]", section.name), word, value, section.keys);
}

/// `told`: where the section's keys belong; a slip of `unit` is told where all are stopped by it.
void tell_in_section(const DeclaredSection& section, const JobValue& value, Messages& told,
                     Messages& of_units) {
  for (std::size_t i = 0; i < value.member_keys.size(); ++i) {
    const std::string& word = value.member_keys[i];
    if (section.has(word)) continue;
    Messages& to = meant_key(word, section.keys) == "unit" ? of_units : told;
    to.problem(value.member_places[i], fmt::format("{}.{}", section.name, word),
               fault_in(section, word, value.items[i]));
  }
}

/// What nobody knows of [drawing] may say how it is placed: then no fit can be trusted.
void tell_in_drawing(const DeclaredSection& section, const JobValue& value, PartMessages& told) {
  Messages& of_place = told.of(Part::ties);
  const std::size_t before = of_place.problems();
  tell_in_section(section, value, of_place, told.of(Part::units));
  if (of_place.problems() > before) told.spoil(Part::drawing);
}

}  // namespace

std::optional<std::string> meant_key(std::string_view word, const std::vector<std::string>& known) {
  const auto same = std::ranges::find_if(known, [&](const std::string& k) { return same_name(k, word); });
  if (same != known.end()) return *same;
  if (section_named(word) || !home_of(word).empty()) return std::nullopt;
  return meant_word(small_letters(word), known);
}

void tell_unknown(const JobValue& root, PartMessages& told) {
  for (std::size_t i = 0; i < root.member_keys.size(); ++i) {
    const std::string& word = root.member_keys[i];
    const JobValue& value = root.items[i];
    const DeclaredSection* section = word.empty() ? nullptr : section_named(word);
    if (!section) {
      if (!section_named("")->has(word))
        told.of(Part::file).problem(root.member_places[i], word, fault_at_top(word, value));
    } else if (section->repeats) {
      if (is_section(value) && value.kind == JobValue::Kind::list)
        for (std::size_t k = 0; k < value.items.size(); ++k)
          tell_in_section(*section, value.items[k],
                          section->part == Part::setups ? told.of_setup(k).place : told.of(section->part),
                          told.of(Part::units));
    } else if (value.kind == JobValue::Kind::section) {
      if (section->part == Part::drawing)
        tell_in_drawing(*section, value, told);
      else
        tell_in_section(*section, value, told.of(section->part), told.of(Part::units));
    } else {
      told.of(Part::file)
          .problem(value.place, word, Fault{in_quotes(value.text), fmt::format("a section [{}]", word), ""});
    }
  }
}

void tell_unknown_keys(const JobValue& value, std::string_view name, std::span<const std::string_view> known,
                       Messages& messages) {
  const std::vector<std::string> words(known.begin(), known.end());
  for (std::size_t i = 0; i < value.member_keys.size(); ++i) {
    const std::string& word = value.member_keys[i];
    if (std::ranges::find(words, word) != words.end()) continue;
    messages.problem(value.member_places[i], fmt::format("{}.{}", name, word),
                     Fault{fmt::format("key {}, which is not known", in_quotes(word)),
                           fmt::format("a key of [{}]", name), meant_key(word, words).value_or("")});
  }
}

}  // namespace deckmark
