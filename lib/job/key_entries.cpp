#include "job/key_entries.h"

#include <fmt/format.h>

#include <cmath>
#include <span>

#include "job/keys/all_keys.h"
#include "job/one_of.h"

namespace deckmark {

namespace {

std::string metres(Length length) { return fmt::format("{} m", length.metres()); }
std::string degrees(Angle angle) { return fmt::format("{}°", angle.degrees()); }

std::string in_words(const LengthKind& kind) {
  switch (kind.bound) {
    case Bound::zero_or_more:
    case Bound::sd_or_zero:
    case Bound::instrument_sd_or_zero:
      return "length, 0 or more";
    case Bound::above_zero:
    case Bound::sd:
    case Bound::instrument_sd:
    case Bound::permitted:
      break;
  }
  return "length above 0";
}
std::string in_words(const WithinKind& kind) {
  return fmt::format("length, {} to {}", metres(-kind.most), metres(kind.most));
}
std::string in_words(const RangeKind& kind) {
  return fmt::format("length, {} to {}", metres(kind.least), metres(kind.most));
}
std::string in_words(const PlaceKind&) { return "length"; }
std::string in_words(const HeightKind& kind) {
  return fmt::format("elevation, {} to {}", metres(-kind.most), metres(kind.most));
}
std::string in_words(const UnitKind&) {
  std::vector<std::string> words;
  for (const LengthUnit unit :
       {LengthUnit::feet_inches, LengthUnit::foot, LengthUnit::inch, LengthUnit::survey_foot,
        LengthUnit::metre, LengthUnit::millimetre, LengthUnit::centimetre})
    words.emplace_back(unit_word(unit));
  return "unit: " + one_of(words);
}
std::string in_words(const AngleKind& kind) {
  std::string out = "angle";
  if (!std::isinf(kind.above.degrees())) out += " above " + degrees(kind.above);
  if (!std::isinf(kind.most.degrees()))
    out += (kind.up_to_most ? ", up to " : ", under ") + degrees(kind.most);
  return out;
}
std::string in_words(const RatioKind&) { return "ratio 1:n"; }
std::string in_words(const NumberKind& kind) {
  return fmt::format("number, {} to {}", kind.least, kind.most);
}
std::string in_words(const NumberOrNoneKind& kind) {
  return fmt::format("number, {} to {}, or none", kind.least, kind.most);
}
std::string in_words(const CountKind& kind) {
  return fmt::format("whole number, {} to {}", kind.least, kind.most);
}
std::string in_words(const TemperatureKind&) { return "temperature"; }
std::string in_words(const FractionKind&) { return "fraction of an inch"; }
std::string in_words(const FlagKind&) { return "true or false"; }
std::string in_words(const TextKind&) { return "text"; }
std::string in_words(const TextsKind&) { return "list of texts"; }
std::string in_words(const MarkKind& kind) { return "character: " + std::string(kind.expected); }
std::string in_words(const TableKind& kind) { return std::string(kind.what); }
std::string in_words(const RenamesKind&) { return "words in braces"; }
template <class E, std::size_t N>
std::string in_words(const ChoiceKind<E, N>& kind) {
  std::vector<std::string> words;
  for (const Word<E>& w : kind.words) words.emplace_back(w.word);
  return "word: " + one_of(words);
}
template <class E>
std::string in_words(const WordsKind<E>& kind) {
  std::vector<std::string> words;
  for (std::size_t i = 0; i <= static_cast<std::size_t>(kind.last); ++i)
    words.emplace_back(kind.word(static_cast<E>(i)));
  return "list of words: " + one_of(words);
}

template <class Section>
void add(const Section& section, std::string_view name, std::vector<KeyEntry>& out) {
  section.each([&](const auto& key) {
    out.push_back({name, section.repeats, key.name, in_words(key.kind), key.meaning, key.example, key.without,
                   key.required});
  });
}

}  // namespace

const std::vector<KeyEntry>& key_entries() {
  static const std::vector<KeyEntry> all = [] {
    std::vector<KeyEntry> out;
    for_each_section([&](const auto& section, Part) { add(section, section.name, out); });
    return out;
  }();
  return all;
}

const std::vector<KeyEntry>& table_key_entries() {
  static const std::vector<KeyEntry> all = [] {
    std::vector<KeyEntry> out;
    add(kFramedTable, "", out);
    return out;
  }();
  return all;
}

}  // namespace deckmark
