#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include "exporter/staged_file.h"

namespace deckmark {

JobLock::JobLock(const std::filesystem::path& path) : fd_(::open(path.c_str(), O_RDONLY | O_CLOEXEC)) {
  if (fd_ < 0) throw failure("open", path, errno);
  if (retried([&] { return ::flock(fd_, LOCK_EX | LOCK_NB); }) == 0) return;
  const int reason = errno;
  ::close(fd_);
  if (reason == EWOULDBLOCK) {
    throw SystemFailure(path.string() +
                        ": another deckmark is working on this job; wait until it has ended, then run again");
  }
  throw failure("lock", path, reason);
}

JobLock::~JobLock() { ::close(fd_); }

}  // namespace deckmark
