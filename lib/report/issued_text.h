#pragma once
/// The issues of a job and who has them, in words.

#include <span>
#include <string>
#include <string_view>

#include "issues/given.h"
#include "issues/ledger.h"

namespace deckmark {

/// 80 columns, the newest last.
std::string issued_text(std::string_view title, std::span<const IssuedRow> issues,
                        std::span<const GivenRow> given);

}  // namespace deckmark
