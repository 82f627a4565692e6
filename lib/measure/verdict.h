#pragma once
/// Limits and verdicts.

#include <cstdint>
#include <string_view>

#include "measure/length.h"

namespace deckmark {

/// `own`: who made it read it, or the setup from which it was made: what both share is not seen, so it is no
/// check.
enum class Verdict : std::uint8_t { within, outside, unsure, own };
std::string_view verdict_word(Verdict v);

/// Binary noise that must not turn a deviation exactly at its limit into a failure.
inline constexpr Length kHair = Length::metres(1e-9);

/// Simple acceptance: exactly at the limit is within.
Verdict judge(Length deviation, Length limit);
/// Guarded acceptance (JCGM 106:2012, 8.3): within up to limit - 2 sd, outside above limit + 2 sd, else
/// unsure.
Verdict judge_guarded(Length deviation, Length limit, Length sd);
/// The worse of two: outside, then unsure, then own, then within.
Verdict worse(Verdict a, Verdict b);

}  // namespace deckmark
