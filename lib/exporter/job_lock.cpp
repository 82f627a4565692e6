#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "exporter/staged_file.h"

namespace deckmark {

namespace {

constexpr int kTries = 100;  // each needs another process to have replaced the path just then

bool leads_to(const std::filesystem::path& path, int fd) {
  struct stat named {};
  struct stat open {};
  return ::stat(path.c_str(), &named) == 0 && ::fstat(fd, &open) == 0 && named.st_dev == open.st_dev &&
         named.st_ino == open.st_ino;
}

}  // namespace

JobLock::JobLock(const std::filesystem::path& path, const char* held) : fd_(-1) {
  for (int i = 0; i < kTries; ++i) {
    fd_ = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
    if (fd_ < 0) throw failure("open", path, errno);
    if (retried([&] { return ::flock(fd_, LOCK_EX | LOCK_NB); }) == 0) {
      if (leads_to(path, fd_)) return;
      // What was opened was removed or replaced before it was held: it keeps nobody out.
      ::close(fd_);
      continue;
    }
    const int reason = errno;
    ::close(fd_);
    if (reason == EWOULDBLOCK) break;
    throw failure("lock", path, reason);
  }
  throw SystemFailure(path.string() + ": " + held);
}

JobLock::~JobLock() { ::close(fd_); }

bool JobLock::is_on(const std::filesystem::path& path) const { return leads_to(path, fd_); }

}  // namespace deckmark
