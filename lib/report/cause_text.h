#pragma once
/// Causes in words: what to look at, how much, which marks, and the cheapest check that would confirm it.

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "asbuilt/causes.h"

namespace deckmark {

/// Causes that a screen or a page tells; the rest is counted.
inline constexpr std::size_t kCausesTold = 3;

struct NamedGroup {
  GroupKind kind = GroupKind::all;
  std::string name{};                                ///< empty for all shots, and for a set of marks
  std::optional<AsbuiltLevel> level = std::nullopt;  ///< where only its shots on this level are meant
};

/// A cause with the names behind its numbers.
struct CauseLine {
  const Cause* cause = nullptr;
  NamedGroup group{};                ///< of a stretch: what it is a part of
  std::string from{}, to{};          ///< of a stretch: its first and last moment; a bump has the first
  std::vector<NamedGroup> also{};    ///< the same shots by other names
  std::optional<Vec<Drawing>> by{};  ///< along +X, +Y
  std::optional<Point<Drawing>> centre{};
  std::vector<std::uint32_t> numbers{};  ///< of the marks that it touches, a shot each
};

/// `all`, `setup S2`, `marked_from S1`, `setup S2 from 10:05`, `15 marks`, ...
std::string cause_group_text(const CauseLine& line);
/// The value as a table has it, and the unit that it has there.
struct CauseValue {
  double value = 0, sd = 0;
  int decimals = 0;
  std::string_view unit;
};
CauseValue cause_value(const Cause& cause, LengthUnit unit);

/// One sentence: `distances from S2 read 34.4 mm too long`.
std::string cause_sentence(const CauseLine& line, LengthUnit unit);
/// The cheapest check in the field that would confirm it.
std::string cause_check(const CauseLine& line);
/// A cause in the parts that a text or a table puts together.
struct CauseWords {
  std::string what;   ///< sentence with its sd
  std::string marks;  ///< how many and which
  std::string rms;    ///< before and after
  std::string also;   ///< other names of the same shots, may be empty
  std::string confirm;
};
CauseWords cause_words(const CauseLine& line, LengthUnit unit);
/// What is left of all causes once `kCausesTold` are told; empty where nothing is.
std::string causes_left_words(std::span<const CauseLine> lines);
/// No cause: what was tried, and what would have been seen.
std::vector<std::string> no_cause_words(Length noise, std::size_t shots, std::size_t tried, LengthUnit unit);
/// All causes, or what would have been seen. `noise`: rms of one coordinate that is left; `shots`: that were
/// looked at.
std::string causes_text(std::span<const CauseLine> lines, Length noise, std::size_t shots, std::size_t tried,
                        LengthUnit unit);

}  // namespace deckmark
