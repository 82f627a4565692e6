#pragma once
/// Private to the room: the table of what was read at one setup.

#include <optional>
#include <string>

#include "job/instrument_job.h"
#include "job/tables.h"

namespace deckmark {

/// How cells without a unit are read, and what the instrument applies.
struct ObservationsRead {
  LengthUnit unit = LengthUnit::metre;
  std::optional<AngleNotation> angles;
  Distances distances = Distances::corrected;
};
/// Reads the table behind the key into `out`: table, targets, readings and begins. What is wrong is told.
void read_observations(const TableKey& key, const ObservationsRead& as, TableLoader& tables, StatedSetup& out,
                       Messages& messages);

/// What is said of distances that no instrument of the trade reads so badly; nothing of others.
std::optional<std::string> loose_distance(Length sd);

}  // namespace deckmark
