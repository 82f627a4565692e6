#pragma once
/// Private to the room: slips of the lengths table, in words.

#include <string>
#include <vector>

#include "stages/lengths.h"

namespace deckmark {

/// One slip that explains lengths that are far off: names exchanged, or a unit; empty where none does.
std::string slip_words(const BaselinesStated& stated, const Checked& checked);
/// Rows that are the same to the last digit: they count once.
void tell_alike(const BaselinesStated& stated, const Checked& checked, Messages& told);

/// `B1 to B2, B1 to B3 and B2 to B4`, of more than three the first three and how many more.
std::string sides_words(const TapedNet& net, const std::vector<std::size_t>& sides);

}  // namespace deckmark
