#include "work/doing.h"

#include <atomic>

namespace deckmark {

namespace {

std::atomic<const char*> doing{nullptr};

}  // namespace

void now_doing(const char* words) { doing = words; }
const char* being_done() { return doing; }

}  // namespace deckmark
