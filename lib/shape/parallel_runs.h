#pragma once
/// Private to the room: the pitch between runs of one direction, and the stations that they share.

#include <cstdint>
#include <span>
#include <vector>

#include "shape/families.h"
#include "shape/seen.h"

namespace deckmark::shape_detail {

/// Runs that break the pitch of their family or stand aside along it, turned runs, and points that do not
/// stand where other runs have their stations. `takes_loose`: runs that no family holds are held against it
/// too.
void look_at_family(Family& family, std::span<const Seen> runs, double tolerance, bool takes_loose,
                    std::vector<Candidate>& out);

}  // namespace deckmark::shape_detail
