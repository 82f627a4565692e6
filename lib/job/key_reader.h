#pragma once
/// Private to the room: a key's value, taken from the job file by its declared kind. Every fault is told at
/// the key.

#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "job/job_file.h"
#include "job/keys/stated.h"
#include "job/keys/table_key.h"
#include "measure/angle_text.h"
#include "table/message.h"
#include "terms/key.h"

namespace deckmark {

template <const auto& S>
class SectionReader;

/// How what is left out of a value is read.
struct BareNotations {
  LengthUnit drawing = LengthUnit::metre, site = LengthUnit::metre;
  std::optional<AngleNotation> angles = std::nullopt;
};

/// Only a `SectionReader` of declared keys can ask it.
class KeyReader {
  template <const auto& S>
  friend class SectionReader;

  /// `section` may be absent or no section: every key is then absent.
  KeyReader(const JobValue* section, std::string name, std::string file, Messages& messages);

  const JobValue* find(std::string_view key) const;
  std::string full(std::string_view key) const;
  /// An unknown word stands there that can only be a slip of the key; `known`: all keys of the section.
  bool has_slip_of(std::string_view key, std::span<const std::string_view> known) const;
  /// Texts of a list as they stand, each with its place; none where the key is no list.
  std::vector<std::pair<std::string, Where>> listed(std::string_view key) const;
  Where where(std::string_view key) const;
  /// A problem of a key.
  void problem(std::string_view key, const Fault& fault);
  void doubt(std::string_view kind, std::string_view key, std::string text);

  // The value where the key is there and has one of its kind; nothing otherwise (told where it is there).
  std::optional<Length> take(std::string_view key, const LengthKind& kind, const BareNotations& bare);
  std::optional<Length> take(std::string_view key, const WithinKind& kind, const BareNotations& bare);
  std::optional<Length> take(std::string_view key, const RangeKind& kind, const BareNotations& bare);
  std::optional<Length> take(std::string_view key, const PlaceKind& kind, const BareNotations& bare);
  std::optional<Elevation> take(std::string_view key, const HeightKind& kind, const BareNotations& bare);
  std::optional<LengthUnit> take(std::string_view key, const UnitKind& kind, const BareNotations& bare);
  std::optional<Angle> take(std::string_view key, const AngleKind& kind, const BareNotations& bare);
  std::optional<double> take(std::string_view key, const RatioKind& kind, const BareNotations& bare);
  std::optional<double> take(std::string_view key, const NumberKind& kind, const BareNotations& bare);
  std::optional<std::optional<double>> take(std::string_view key, const NumberOrNoneKind& kind,
                                            const BareNotations& bare);
  std::optional<std::int64_t> take(std::string_view key, const CountKind& kind, const BareNotations& bare);
  std::optional<double> take(std::string_view key, const TemperatureKind& kind, const BareNotations& bare);
  std::optional<int> take(std::string_view key, const FractionKind& kind, const BareNotations& bare);
  std::optional<bool> take(std::string_view key, const FlagKind& kind, const BareNotations& bare);
  std::optional<std::string> take(std::string_view key, const TextKind& kind, const BareNotations& bare);
  std::optional<std::vector<std::string>> take(std::string_view key, const TextsKind& kind,
                                               const BareNotations& bare);
  std::optional<char> take(std::string_view key, const MarkKind& kind, const BareNotations& bare);
  std::optional<TableKey> take(std::string_view key, const TableKind& kind, const BareNotations& bare);
  std::optional<std::vector<StatedRename>> take(std::string_view key, const RenamesKind& kind,
                                                const BareNotations& bare);
  template <class E, std::size_t N>
  std::optional<E> take(std::string_view key, const ChoiceKind<E, N>& kind, const BareNotations&) {
    std::vector<std::string> words;
    for (const Word<E>& w : kind.words) words.emplace_back(w.word);
    const auto at = choice(key, words);
    return at ? std::optional(kind.words[*at].means) : std::nullopt;
  }
  template <class E>
  std::optional<std::vector<E>> take(std::string_view key, const WordsKind<E>& kind, const BareNotations&) {
    std::vector<std::string> words;
    for (std::size_t i = 0; i <= static_cast<std::size_t>(kind.last); ++i)
      words.emplace_back(kind.word(static_cast<E>(i)));
    const auto found = texts(key, words, kind.least, kind.instead);
    if (!found) return std::nullopt;
    std::vector<E> out;
    for (std::size_t i = 0; i < found->size(); ++i) out.push_back(static_cast<E>((*found)[i].second));
    return out;
  }

  std::optional<double> number(std::string_view key, double least, double most, const std::string& expected,
                               const std::string& suggestion);
  const JobValue* take_text(std::string_view key, std::string_view expected, std::string_view such_as);
  /// A length with its unit; a bare number other than 0 is a problem. `takes`: what the caller takes, so that
  /// nothing else is suggested; empty: all.
  std::optional<Length> length(std::string_view key, LengthUnit unit,
                               const std::function<bool(Length)>& takes = {});
  std::optional<Length> far_length(std::string_view key, bool zero_allowed);
  std::optional<Length> sd(std::string_view key, bool zero_allowed, bool is_doubted);
  std::optional<Length> permitted(std::string_view key);
  std::optional<std::size_t> choice(std::string_view key, const std::vector<std::string>& words);
  /// A list of texts, each with its place among `allowed`; all are allowed where that is empty. `least`: as
  /// of the kinds.
  std::optional<std::vector<std::pair<std::string, std::size_t>>> texts(
      std::string_view key, const std::vector<std::string>& allowed, std::string_view least,
      std::string_view instead);
  std::optional<TableKey> table_in_section(std::string_view key, const JobValue& value, bool framed);

  const JobValue* section_;
  std::string name_, file_;
  Messages& messages_;
};

}  // namespace deckmark
