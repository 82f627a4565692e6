#pragma once
/// What a command is at, for whoever waits for it: set by the work, read by another thread. Knows no screen.

namespace deckmark {

/// `words` is a literal: `reading the job`.
void now_doing(const char* words);
/// Null before anything was begun.
const char* being_done();

}  // namespace deckmark
