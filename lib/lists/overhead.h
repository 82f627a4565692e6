#pragma once
/// Tables of what hangs: rods to cut, trapezes, members and marks on their pieces, crossings, parts.

#include <memory>

#include "lists/columns.h"
#include "stages/cuts.h"
#include "stages/parts.h"

namespace deckmark {

extern const OutputSpec kHangersOutput, kTrapezeOutput, kPieceMarksOutput, kMembersOutput, kSiteCutsOutput,
    kCrossingsOutput, kPartsOutput;

std::unique_ptr<WrittenTable> hangers_table(const LaidOut& laid, const CutsFound& cuts, LengthUnit unit);
std::unique_ptr<WrittenTable> trapeze_table(const LaidOut& laid, LengthUnit unit);
std::unique_ptr<WrittenTable> piece_table(const LaidOut& laid, const OverheadJob& stated, LengthUnit unit);
std::unique_ptr<WrittenTable> members_table(const Overhead& overhead, const OverheadJob& stated,
                                            LengthUnit unit);
std::unique_ptr<WrittenTable> site_cuts_table(const Overhead& overhead, LengthUnit unit);
std::unique_ptr<WrittenTable> crossings_table(const Overhead& overhead, const OverheadJob& stated,
                                              LengthUnit unit);
std::unique_ptr<WrittenTable> parts_table(std::vector<PartLine> parts, LengthUnit unit);

}  // namespace deckmark
