#pragma once
/// What is marked on the pieces of members, and where hanging them begins.

#include <string>

#include "stages/overhead.h"

namespace deckmark {

/// Marks of hangers, joints, meetings and ends on every member. Doubts: hangers beside which a member has
/// ended, stated notches that lie elsewhere than the members meet.
void mark_members(const OverheadJob& stated, Overhead& overhead, const JobMarks& marks, LengthUnit unit,
                  Messages& told);

/// Which member of a pair hangs first, or from where a line is hung: `first`, `second`, `from R2`, `middle`.
/// (Common practice, no source: the inside of a curve first, a line from what it meets.)
std::string hanging_order(const OverheadJob& stated, const Overhead& overhead, const Member& member);

}  // namespace deckmark
