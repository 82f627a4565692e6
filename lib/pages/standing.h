#pragma once
/// The verdict on the whole job.

#include <string>

#include "stages/asbuilt.h"
#include "stages/lengths.h"
#include "stages/plumb.h"
#include "stages/setups.h"

namespace deckmark {

struct Standing {
  bool outside = false;  ///< DO NOT LAY OUT, and only then
  std::string line;      ///< READY TO LAY OUT, BASELINES NOT CHECKED: ..., DO NOT LAY OUT: ...
};

/// What was judged; null where the job has none of it.
struct Judged {
  const BaselinesStated& baselines;
  SitePlace by = SitePlace::no_drawing;
  const Placed* placed = nullptr;
  const Checked* checked = nullptr;
  const LaidOut* laid = nullptr;
  const PlumbOptions& plumb_options;
  const Plumbed* plumb = nullptr;
  const SetupsStated& setups_stated;
  const Setups* setups = nullptr;
  const AsbuiltStated& asbuilt_stated;
  const AsbuiltFound* asbuilt = nullptr;
};
Standing standing(const Judged& judged);

}  // namespace deckmark
