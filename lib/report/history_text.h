#pragma once
/// One number's way from the drawing to the floor, in words.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "issues/ledger.h"
#include "measure/frame.h"
#include "measure/length.h"
#include "measure/verdict.h"

namespace deckmark {

/// Where a step stands.
enum class HistoryKind : std::uint8_t { drawing, issue, given, book, mark, shot, sight };
/// `drawing`, `issue`, ...
std::string_view history_word(HistoryKind kind);

struct HistoryStep {
  HistoryKind kind = HistoryKind::issue;
  std::uint32_t issue = 0;               ///< of issue, given and book
  std::string where = {};                ///< `drawing.csv:4`, or the setup of a sight
  std::string level = {};                ///< floor, deck or bracket: of mark, shot and sight
  std::optional<LedgerRow> row = {};     ///< drawing, issue: what is handed out; given: what they hold
  std::optional<LedgerRow> before = {};  ///< of an issue: the row before
  std::string who = {}, on = {};         ///< of given and book
  bool is_last = true;  ///< of given: the number has not changed since; of book: it is not undone
  std::string act = {}, setup = {};      ///< of book
  std::optional<Vec<Drawing>> off = {};  ///< mark: deck minus floor mark; shot: as built minus design
  std::optional<Length> offset = {};     ///< how far off, in plan
  std::optional<Length> up = {};         ///< of a shot
  std::optional<Verdict> verdict = {};   ///< of mark, shot and sight
};

struct HistoryHead {
  std::uint32_t number = 0;
  std::optional<std::uint32_t> deck_number = {};
  std::string_view point;
  LengthUnit unit = LengthUnit::metre;
  std::string blame{};  ///< which link is likely wrong; empty where nothing is in dispute
  /// Places are told as X and Y of the drawing: laid out from strings, a job has no north.
  bool by_drawing = false;
};

std::string history_text(const HistoryHead& head, std::span<const HistoryStep> steps);

}  // namespace deckmark
