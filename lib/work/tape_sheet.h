#pragma once
/// Private to the room: the sheet for laser and tape of a job, and what of it changed since the run before.

#include <memory>
#include <string_view>

#include "pages/offset_sheet.h"
#include "table/source.h"
#include "work/computation.h"

namespace deckmark {

/// Of the tables of the whole job that its sheets' figures stand in. REQUIRES a job with a sheet.
SheetDigests digests_of_sheet(const Computation& computed);
/// What the sheet is made of. All that is given outlives it. REQUIRES a job with a sheet.
SheetInput sheet_of(const Computation& computed, const SheetDigests& digests, std::string_view verdict,
                    const CrewShare& share);
/// Doubt: distances of the sheet that are no longer those of `before`, an offsets.csv that stands in the
/// output folder, though the issue did not change the marks. REQUIRES a job with a sheet.
void tell_changed_sheet(const Computation& computed, const std::shared_ptr<const Source>& before,
                        const std::string& target, Messages& messages);

}  // namespace deckmark
