#pragma once
/// Results in words and tables for a terminal of 80 columns. Knows no files and no job: values in, text out.

#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "baseline/fit.h"
#include "baseline/squareness.h"
#include "lift/lift.h"
#include "lift/turned.h"

namespace deckmark {

/// Where level or laser measured the deck itself, beside what is stated or fitted.
struct DeckMeasured {
  std::size_t marks = 0;
  bool alone = false;  ///< nothing else is known of the deck
};
/// `shots`: null for a stated level. `towards`: which way it rises.
std::string deck_text(const Deck& deck, const DeckResult* shots, DeckMeasured measured, Elevation floor,
                      LengthUnit unit, std::string_view towards);

struct PlumbLine {
  std::uint32_t number;
  std::string_view point;
  const PlumbRow* row;
  const TurnsResult* turns = nullptr;  ///< where the laser was turned
};
std::string plumb_text(std::span<const PlumbLine> lines, const PlumbOptions& options, LengthUnit unit);

/// Distance between two marks of the sheet for laser and tape. `apart`, `before`: with their units; `before`:
/// in an issue, where they are chosen since that changed most. `offsets`: first digits of the digest of
/// offsets.csv, as the sheet's head has them.
std::string sheet_check_text(std::uint32_t first, std::uint32_t last, std::string_view apart,
                             const std::optional<std::pair<std::uint32_t, std::string>>& before,
                             std::string_view offsets);

/// Distance and azimuth from one number to another, to hold against an instrument's own inverse. No azimuth:
/// both lie in one place. `shows_exchange`: false where exchanged axes would give the same.
/// `before`: how far apart they were in an issue, where they are chosen since that changed most.
std::string check_text(std::uint32_t first, std::uint32_t last, Length apart, std::optional<Azimuth> way,
                       bool shows_exchange, LengthUnit unit, std::string_view north,
                       const std::optional<std::pair<std::uint32_t, Length>>& before = std::nullopt);

/// What sheets and pages call the job: its title with the storey behind it, or one of the two.
std::string headed(std::string_view title, std::string_view storey);
/// The storey with a blank line behind it; empty where the job states none.
std::string storey_line(std::string_view storey);

struct InputLine {
  std::string name, sha256;
};
std::string provenance_text(std::string_view program, std::string_view title, std::string_view revision,
                            std::span<const InputLine> inputs);

/// How much a job holds.
struct JobCounts {
  std::size_t points = 0, ties = 0, shots = 0;
  std::size_t deck_marks = 0, deck_readings = 0;  ///< readings: rows, of which a mark has several, turned
  std::size_t control = 0, level = 0, laser = 0;
};
std::string check_overview(const JobCounts& counts, std::size_t doubts);

// How the verdict on the whole job begins.
inline constexpr std::string_view kReady = "READY TO LAY OUT", kNotChecked = "BASELINES NOT CHECKED",
                                  kOwnOnly = "NOT CHECKED", kStop = "DO NOT LAY OUT";
/// The verdict of a job that is not READY, for the head of every sheet and text: at most 8 lines of 80
/// columns. Nothing of a job that is.
std::vector<std::string> verdict_lines(std::string_view verdict, std::size_t width = 78);
/// The same in one text, with a blank line behind it.
std::string verdict_head(std::string_view verdict);

/// What is always said before anyone drills.
std::string cautions_text();

}  // namespace deckmark
