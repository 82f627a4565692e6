#pragma once
/// Private to the room: lines of what hangs, for text and page alike. They look into job and stages.

#include <cstddef>
#include <optional>
#include <vector>

#include "report/bill_text.h"
#include "report/overhead_text.h"
#include "stages/bill.h"
#include "stages/laid_out.h"

namespace deckmark {

std::vector<HungRunLine> run_lines(const OverheadJob& stated, const LaidOut& laid);
std::vector<CrossingLine> crossing_lines(const OverheadJob& stated, const Overhead& overhead);
/// Pieces by member, as far as the text tells them; how many there are is counted.
PieceLines piece_lines(const OverheadJob& stated, const LaidOut& laid);
/// What the bill leaves short; nothing where it is not judged. `most`: parts that a run lacks, by name.
std::optional<BillWords> bill_words(const OverheadJob& stated, const BillFound* bill, std::size_t most);

}  // namespace deckmark
