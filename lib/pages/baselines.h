#pragma once
/// What the page on the baselines is given.

#include <string>

#include "report/baseline_page.h"
#include "stages/laid_out.h"
#include "stages/lengths.h"

namespace deckmark {

/// The page on the baselines, without where it is signed. `placed` is null where nothing places the drawing,
/// `checked` where lengths were not looked at.
BaselinePage baseline_page(const JobHead& head, const BaselinesStated& stated, SitePlace by,
                           const JobMarks& marks, const Placed* placed, const Checked* checked);

}  // namespace deckmark
