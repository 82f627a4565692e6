#pragma once
/// The verdict on the whole job.

#include <string>
#include <vector>

#include "report/reason.h"
#include "stages/asbuilt.h"
#include "stages/brackets.h"
#include "stages/heights.h"
#include "stages/lengths.h"
#include "stages/plumb.h"
#include "stages/setups.h"
#include "stages/strings.h"

namespace deckmark {

struct Standing {
  bool outside = false;  ///< DO NOT LAY OUT, and only then
  /// READY TO LAY OUT; BASELINES NOT CHECKED: ...; DO NOT LAY OUT: ...; where every reason is of single marks
  /// alone, DO NOT LAY OUT from 1059: ...; the other 94 stand. Up to three reasons, then how many more.
  std::string line{};
  JobVerdict verdict = JobVerdict::ready;
  std::vector<Reason> reasons{};  ///< all: what is outside, then what nothing checks; none where READY
};

/// What was judged; null where the job has none of it.
struct Judged {
  const BaselinesStated& baselines;
  SitePlace by = SitePlace::no_drawing;
  const Placed* placed = nullptr;
  const Checked* checked = nullptr;
  const LaidOut* laid = nullptr;
  const StringsFound* strings = nullptr;  ///< between which strings run, where the job says so
  const PlumbOptions& plumb_options;
  const ReadTable* deck_marks = nullptr;  ///< the table of `plumb`, where its rows' places are told
  const Plumbed* plumb = nullptr;
  const HeightsStated& heights_stated;
  const HeightsFound* heights = nullptr;
  const BracketsJudged* brackets = nullptr;
  const SetupsStated& setups_stated;
  const Setups* setups = nullptr;
  const AsbuiltStated& asbuilt_stated;
  const AsbuiltFound* asbuilt = nullptr;
};
Standing standing(const Judged& judged);

}  // namespace deckmark
