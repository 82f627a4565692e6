#pragma once
/// What a drawing needs against what a bill orders and what arrived: which parts are short, and which runs
/// can be begun.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "bill/part_words.h"

namespace deckmark {

/// A row of what each place needs: `count` of the part for every `per`; zero or more, 0.5 too.
struct PartNeed {
  std::string part;
  PartPer per = PartPer::hanger;
  double count = 0;
};
/// A piece that the drawing names, and how many of it hang on a run.
struct PieceNeed {
  std::string piece;
  std::size_t run = 0;
  std::int64_t count = 1;
};
struct BilledPart {
  std::string part;
  std::int64_t count = 0;
};
struct ArrivedPart {
  std::string part;
  std::int64_t count = 0;    ///< damaged ones too
  std::int64_t damaged = 0;  ///< of these
};

/// Names are one without regard to the case of A-Z; rows of one part add up.
struct DeliveryInput {
  std::span<const PartNeed> needs;
  std::span<const PieceNeed> pieces;
  std::span<const PlaceCounts> places;  ///< of the runs in their order, then of what is on no run
  std::optional<std::span<const BilledPart>> bill{};      ///< nothing: the job has no bill
  std::optional<std::span<const ArrivedPart>> arrived{};  ///< nothing: the job does not say what arrived
};

enum class PartFrom : std::uint8_t { needs, pieces, nothing };

/// A part over the whole job.
struct PartHeld {
  std::string part;  ///< as it is first written
  PartFrom from = PartFrom::needs;
  std::int64_t drawing = 0;                            ///< the sum over the job, rounded up once
  std::optional<std::int64_t> bill, arrived, damaged;  ///< nothing where the job has no such table
  std::int64_t short_by = 0;  ///< of what arrived sound, or of the bill where nothing says what arrived
  std::vector<std::size_t> lacked_by;  ///< by the index of `places`
  /// Sound ones; those of the bill where nothing says what arrived.
  std::int64_t there() const;
  /// Those beyond the drawing; zero where it is short.
  std::int64_t beyond() const;
};
struct PartLack {
  std::size_t part;    ///< of `DeliveryResult::parts`
  std::int64_t count;  ///< one or more
};
struct DeliveryResult {
  bool is_judged = false;       ///< there is a bill, or something says what arrived
  std::vector<PartHeld> parts;  ///< those of needs; pieces, where bill or arrived name one; the others
  std::vector<std::vector<PartLack>> lacks;  ///< by the index of `places`; empty: it has all that it needs
};

/// Runs take in their order, all that they need or nothing: what one takes the next ones lack, and what it
/// leaves they have. What is there is what arrived sound; where nothing says what arrived, the bill; without
/// both nothing is judged. Pieces count only where bill or arrived name one.
///
/// Method   places are summed, then multiplied with counts, so that nothing is rounded before the sum; a sum
///          within a billionth above a whole number is that number.
/// REQUIRES counts of zero or more, and `PieceNeed::run` below the size of `places`.
[[nodiscard]] DeliveryResult hold_delivery(const DeliveryInput& input);

}  // namespace deckmark
