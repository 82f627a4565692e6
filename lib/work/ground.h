#pragma once
/// Private to the room: control in a map projection, and what bringing it to ground scale comes to.

#include <memory>
#include <string>
#include <string_view>

#include "table/written.h"
#include "work/stages.h"

namespace deckmark {

/// The control's rows, the farthest hanger and the independent check; doubts where one factor is not enough.
void look_at_ground(const Job& job, Found& found, Messages& messages);
std::unique_ptr<WrittenTable> ground_table(const Job& job, const Found& found);
/// Empty for a job without a projection.
std::string ground_part(const Job& job, const Found& found);
/// The north from which azimuths on site count.
std::string_view north_word(const Job& job);

}  // namespace deckmark
