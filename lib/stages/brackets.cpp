#include "stages/brackets.h"

#include <fmt/format.h>

#include <utility>

#include "asbuilt/compare.h"

namespace deckmark {

Staged<BracketsJudged> judge_brackets(const HeightsFound& found, const AsbuiltOptions& options,
                                      const LaidOut& laid) {
  const std::vector<MeasuredHeight> measured = found.of(AsbuiltLevel::bracket);
  if (measured.empty()) return Staged<BracketsJudged>::absent();
  BracketsJudged out;
  Messages told;
  std::vector<std::uint32_t> without_design;
  for (const MeasuredHeight& m : measured) {
    const auto design = laid.heights.at(m.mark).attach;
    if (!design) {
      without_design.push_back(m.mark);
      continue;
    }
    const Length up = m.elevation - *design;
    out.rows.push_back({m.mark, m.target, up, m.sd, judge_bracket(up, m.sd, options)});
  }
  if (!without_design.empty()) {
    const std::uint32_t first = without_design.front();
    told.doubt("brackets without a height", laid.marks.where(first), laid.marks.field(first),
               fmt::format("{} bracket{} measured, {} the first, and no height stated for {}: not judged",
                           without_design.size(), without_design.size() == 1 ? "" : "s",
                           laid.marks->names[first], without_design.size() == 1 ? "it" : "them"));
  }
  return Staged<BracketsJudged>::found(std::move(out), std::move(told));
}

}  // namespace deckmark
