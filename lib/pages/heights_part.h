#pragma once
/// Heights by level and laser, for people.

#include "report/heights_text.h"
#include "stages/brackets.h"
#include "stages/heights.h"
#include "stages/laid_out.h"

namespace deckmark {

/// `numbers`, `brackets`: null where there are none.
HeightsPage heights_page(const JobHead& head, const HeightsStated& stated, const HeightsFound& found,
                         const Numbers* numbers, const BracketsJudged* brackets,
                         const AsbuiltOptions& options, const JobMarks* marks);

}  // namespace deckmark
