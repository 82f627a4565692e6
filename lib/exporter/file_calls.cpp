#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>

#include "exporter/batch.h"

namespace deckmark {

namespace {

int open_new(const char* path) { return ::open(path, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0666); }

int open_existing(const char* path) { return ::open(path, O_RDWR | O_APPEND | O_CLOEXEC); }

long write_some(int fd, const char* data, std::size_t size) { return ::write(fd, data, size); }

int start_write_back([[maybe_unused]] int fd, [[maybe_unused]] std::int64_t offset,
                     [[maybe_unused]] std::int64_t size) {
#ifdef SYNC_FILE_RANGE_WRITE
  return ::sync_file_range(fd, offset, size, SYNC_FILE_RANGE_WRITE);
#else
  return 0;
#endif
}

int flush(int fd) { return ::fdatasync(fd); }

long read_at(int fd, char* data, std::size_t size, std::int64_t offset) {
  return ::pread(fd, data, size, offset);
}

std::int64_t length(int fd) {
  struct stat status {};
  return ::fstat(fd, &status) == 0 ? status.st_size : -1;
}

int cut(int fd, std::int64_t length) { return ::ftruncate(fd, length); }

int set_mode(int fd, unsigned mode) { return ::fchmod(fd, static_cast<mode_t>(mode)); }

int make_folder(const char* path) { return ::mkdir(path, 0777); }

int flush_folder(const char* path) {
  const int fd = ::open(path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (fd < 0) return -1;
  const int result = ::fsync(fd);
  const int reason = errno;
  ::close(fd);
  // Some file systems cannot flush a folder and say so; then there is nothing to wait for.
  if (result != 0 && (reason == EINVAL || reason == ENOTSUP)) return 0;
  errno = reason;
  return result;
}

}  // namespace

const FileCalls& system_file_calls() {
  static const FileCalls calls = {open_new, open_existing, write_some, start_write_back, flush,  read_at,
                                  length,   cut,           set_mode,   ::close,          ::link, ::rename,
                                  ::unlink, make_folder,   ::rmdir,    flush_folder};
  return calls;
}

}  // namespace deckmark
