#pragma once
/// Private to the room: an issue by what was typed, and in words.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "table/message.h"
#include "work/computation.h"

namespace deckmark {

/// `issue 3, revision C`.
std::string issue_words(const IssuedRow& issue);
/// False where the job has no issues, or they are not those by which lists were handed out (told).
bool has_issues(const Computation& c, Messages& messages);
/// The issue of that number; empty: the last. Problems: none was made yet, no number, one that is not there.
std::optional<std::uint32_t> chosen_issue(const Computation& c, std::string_view option,
                                          const std::string& typed, Messages& messages);
/// Doubts that the last issue is what the job would hand out now.
void doubt_last_issue(const Computation& c, Messages& messages);

}  // namespace deckmark
