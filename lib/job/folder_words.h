#pragma once
/// Folders beside a job in which lists stand.

namespace deckmark {

/// The working folder: what a run writes to where nothing else is said.
inline constexpr const char* kWorkingFolder = "out";
/// What was handed out, a folder an issue, as the texts advise.
inline constexpr const char* kIssuedFolder = "issued";

}  // namespace deckmark
