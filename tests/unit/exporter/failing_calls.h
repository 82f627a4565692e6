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
  int only_link = 0;  ///< with this errno every link fails
  int die_at = -1;    ///< before the call of this number the process ends as a kill ends it
  int renames_fail_from = -1, renames_fail_to = 1 << 30;  ///< renames of these numbers fail
  int links_fail_from = -1;                               ///< links likewise
  std::atomic<int> renames{0}, links{0};
  bool short_writes = false;  ///< a write takes a third of what it is given
  long flip_written = -1;     ///< byte of a write of this process that reaches the file changed
  std::atomic<long> written{0};
  std::atomic<int> failed{0};

  void reset() {
    calls = 0;
    fail_from = fail_to = -1;
    reason = EIO;
    only_link = 0;
    die_at = renames_fail_from = links_fail_from = -1;
    renames_fail_to = 1 << 30;
    renames = links = 0;
    short_writes = false;
    flip_written = -1;
    written = 0;
    failed = 0;
  }
};

Faults& faults();
const deckmark::FileCalls& failing_calls();

}  // namespace deckmark_test
