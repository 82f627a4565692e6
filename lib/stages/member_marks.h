#pragma once
/// What is marked on the pieces of members.

#include "stages/overhead.h"

namespace deckmark {

/// Marks of hangers, joints, meetings and ends on every member. Doubts: hangers beside which a member has
/// ended, stated notches that lie elsewhere than the members meet.
void mark_members(const OverheadJob& stated, Overhead& overhead, const JobMarks& marks, LengthUnit unit,
                  Messages& told);

}  // namespace deckmark
