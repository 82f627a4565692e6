#pragma once
/// Table of what breaks the drawing's own regularity.

#include <memory>

#include "lists/columns.h"
#include "stages/shape.h"

namespace deckmark {

extern const OutputSpec kShapeOutput;

/// `unit`: of the list; the mend is told as the drawing is keyed.
std::unique_ptr<WrittenTable> shape_table(const ShapeFound& found, const MarkTable& marks,
                                          const std::vector<StatedRun>& runs, LengthUnit unit,
                                          LengthUnit drawing_unit);

}  // namespace deckmark
