#pragma once
/// System calls that can be told to fail.

#include <atomic>
#include <cerrno>

#include "exporter/batch.h"

namespace deckmark_test {

/// What the calls of `failing_calls()` do; one for the whole process, since calls are plain functions.
struct Faults {
  std::atomic<int> calls{0};         ///< calls made so far
  int fail_from = -1, fail_to = -1;  ///< calls of these numbers fail, both included
  int reason = EIO;
  int only_link = 0;          ///< with this errno every link fails
  bool short_writes = false;  ///< a write takes a third of what it is given
  long flip_written = -1;     ///< byte of a write of this process that reaches the file changed
  std::atomic<long> written{0};
  std::atomic<int> failed{0};

  void reset() {
    calls = 0;
    fail_from = fail_to = -1;
    reason = EIO;
    only_link = 0;
    short_writes = false;
    flip_written = -1;
    written = 0;
    failed = 0;
  }
};

Faults& faults();
const deckmark::FileCalls& failing_calls();

}  // namespace deckmark_test
