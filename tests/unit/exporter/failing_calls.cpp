#include "failing_calls.h"

#include <unistd.h>

#include <string>

namespace deckmark_test {

namespace {

const deckmark::FileCalls& real() { return deckmark::system_file_calls(); }

bool fails() {
  Faults& f = faults();
  const int number = f.calls++;
  if (number == f.die_at) ::_exit(9);
  if (number < f.fail_from || number > f.fail_to) return false;
  errno = f.reason;
  ++f.failed;
  return true;
}

int open_new(const char* path) { return fails() ? -1 : real().open_new(path); }
int open_existing(const char* path) { return fails() ? -1 : real().open_existing(path); }
std::int64_t length(int fd) { return fails() ? -1 : real().length(fd); }
int cut(int fd, std::int64_t size) { return fails() ? -1 : real().cut(fd, size); }
int start_write_back(int fd, std::int64_t offset, std::int64_t size) {
  return fails() ? -1 : real().start_write_back(fd, offset, size);
}
int flush(int fd) { return fails() ? -1 : real().flush(fd); }
long read_at(int fd, char* data, std::size_t size, std::int64_t offset) {
  return fails() ? -1 : real().read_at(fd, data, size, offset);
}
/// True from the `from`th call of its kind on.
bool fails_from(std::atomic<int>& count, int from, int to = 1 << 30) {
  const int number = count++;
  if (from < 0 || number < from || number > to) return false;
  errno = faults().reason;
  return true;
}

int rename_file(const char* from, const char* to) {
  if (fails() || fails_from(faults().renames, faults().renames_fail_from, faults().renames_fail_to))
    return -1;
  return real().rename(from, to);
}
int unlink_file(const char* path) { return fails() ? -1 : real().unlink(path); }
int make_folder(const char* path) { return fails() ? -1 : real().make_folder(path); }
int remove_folder(const char* path) { return fails() ? -1 : real().remove_folder(path); }
int flush_folder(const char* path) { return fails() ? -1 : real().flush_folder(path); }

int set_mode(int fd, unsigned mode) { return fails() ? -1 : real().set_mode(fd, mode); }

int close_file(int fd) {
  // A close that fails has closed all the same.
  const bool bad = fails();
  const int reason = errno;
  const int result = real().close(fd);
  if (!bad) return result;
  errno = reason;
  return -1;
}

int link_file(const char* from, const char* to) {
  if (fails() || fails_from(faults().links, faults().links_fail_from)) return -1;
  if (faults().only_link != 0) {
    errno = faults().only_link;
    return -1;
  }
  return real().link(from, to);
}

long write_file(int fd, const char* data, std::size_t size) {
  if (fails()) return -1;
  Faults& f = faults();
  if (f.short_writes && size > 2) size /= 3;
  const long before = f.written.fetch_add(static_cast<long>(size));
  if (f.flip_written < before || f.flip_written >= before + static_cast<long>(size))
    return real().write(fd, data, size);
  std::string changed(data, size);
  changed[static_cast<std::size_t>(f.flip_written - before)] ^= 0x04;
  return real().write(fd, changed.data(), size);
}

}  // namespace

Faults& faults() {
  static Faults instance;
  return instance;
}

const deckmark::FileCalls& failing_calls() {
  static const deckmark::FileCalls calls = {open_new,    open_existing, write_file,    start_write_back,
                                            flush,       read_at,       length,        cut,
                                            set_mode,    close_file,    link_file,     rename_file,
                                            unlink_file, make_folder,   remove_folder, flush_folder};
  return calls;
}

}  // namespace deckmark_test
