#pragma once
/// Brackets that level or laser measured, against their design. They have no place in plan.

#include <cstdint>
#include <vector>

#include "asbuilt/options.h"
#include "measure/verdict.h"
#include "stages/heights.h"
#include "stages/laid_out.h"
#include "stages/staged.h"

namespace deckmark {

struct BracketRow {
  std::uint32_t mark = 0;
  std::size_t target = 0;
  Length up;  ///< as measured minus design
  Length sd;
  Verdict verdict = Verdict::within;
};

struct BracketsJudged {
  std::vector<BracketRow> rows;  ///< in the order of the targets; none of brackets without a stated height
};

/// Absent where no bracket was measured. Doubts: brackets whose design has no height.
[[nodiscard]] Staged<BracketsJudged> judge_brackets(const HeightsFound& found, const AsbuiltOptions& options,
                                                    const LaidOut& laid);

}  // namespace deckmark
