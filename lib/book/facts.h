#pragma once
/// What a dialogue is told of a job before it begins. Values; nothing of it changes while it lasts.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "book/options.h"
#include "book/typing.h"
#include "issues/ledger.h"
#include "station/setup.h"
#include "transform/transform.h"

namespace deckmark {

/// A point whose place is known, that checks are read to: control, and marks of ties.
struct BookTarget {
  std::string name;
  ControlMark mark;
};

/// A setup as its readings have it.
struct BookSetup {
  std::string name;
  SetupResult result;                  ///< solved, with an orientation
  std::vector<std::size_t> sighted{};  ///< targets that it was made with
};

/// The two strings that a tape is held square to: how far a place lies from each, as linear forms.
struct TapeStrings {
  Point<Site> at;  ///< where both distances are `zero`
  /// Unit vectors along which the distances grow: from the string along Y (with X), from that along X.
  Vec<Site> x_way, y_way;
  Length sd = Length::metres(0);  ///< of one distance
};

struct BookFacts {
  const Ledger* ledger = nullptr;
  std::uint32_t issue = 0;  ///< that is worked from
  BookOptions options{};
  Length floor_tolerance = Length::millimetres(6), deck_tolerance = Length::millimetres(6);
  InstrumentOptions instrument{};
  Length target_height = Length::metres(0), deck_target_height = Length::metres(0);
  TypingForm typing{};
  std::vector<BookTarget> targets{};
  std::vector<BookSetup> setups{};
  std::optional<TapeStrings> tape{};
  std::string crew{};  ///< whose numbers alone count; empty: all
  bool does_floor = true, does_deck = true;

  /// Permitted of a cross.
  Length tolerance(EntryLevel level) const {
    return level == EntryLevel::deck ? deck_tolerance : floor_tolerance;
  }
};

}  // namespace deckmark
