#pragma once
/// What the page on the baselines is given.

#include <string>

#include "report/baseline_page.h"
#include "stages/laid_out.h"
#include "stages/lengths.h"
#include "stages/offsets.h"

namespace deckmark {

/// The page on the baselines, without where it is signed. `placed` is null where nothing places the drawing,
/// `checked` where lengths were not looked at, `offsets` where no sheet is wanted.
BaselinePage baseline_page(const JobHead& head, const BaselinesStated& stated, SitePlace by,
                           const JobMarks& marks, const Placed* placed, const Checked* checked,
                           const OffsetsFound* offsets = nullptr);

/// Which corner marks to move before strings are stretched, or what stands in the way; empty where none is.
std::string corner_words(const CornersFound& corners, LengthUnit unit);

}  // namespace deckmark
