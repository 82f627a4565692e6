#pragma once
/// Private to the room: what the job gives to the search for causes, and what it found, named.

#include <vector>

#include "report/asbuilt_text.h"
#include "report/cause_text.h"
#include "work/stages.h"

namespace deckmark {

/// REQUIRES rows. The causes' shots are indices of rows.
CausesResult asbuilt_causes(const Job& job, const Found& found);
/// Setups that shot or marked and whose place the job does not tell.
std::vector<std::string_view> unplaced_setups(const Job& job, const Found& found);
/// With names and numbers.
std::vector<CauseLine> cause_lines(const Job& job, const Found& found);
/// All that is told of the shots. REQUIRES a job with shots; it refers to both arguments.
AsbuiltPage asbuilt_page(const Job& job, const Found& found);

}  // namespace deckmark
