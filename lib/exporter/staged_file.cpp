#include "exporter/staged_file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cstring>
#include <memory>
#include <system_error>
#include <utility>

namespace deckmark {

namespace fs = std::filesystem;

namespace {

constexpr std::string_view kPrefix = ".deckmark-", kEarlier = ".earlier";
constexpr std::size_t kNameBytes = 255;
constexpr unsigned kPermissions = 0777;
constexpr std::int64_t kWriteBackBytes = 8 << 20;
constexpr int kNamesTried = 1000;

/// A descriptor that is only read, closed at the end of its scope.
struct ReadOnly {
  int fd;
  ~ReadOnly() {
    if (fd >= 0) ::close(fd);
  }
};

std::string_view suffix_of(HiddenFile kind) {
  switch (kind) {
    case HiddenFile::part:
      return ".part";
    case HiddenFile::old:
      return ".old";
    case HiddenFile::account:
      return ".account";
  }
  return "";
}

/// Takes digits off the front; false where there are none.
bool take_digits(std::string_view& text) {
  const std::size_t end = std::min(text.find_first_not_of("0123456789"), text.size());
  text.remove_prefix(end);
  return end > 0;
}

void copy_file(const FileCalls& calls, const fs::path& target, std::string& backup) {
  const ReadOnly from{::open(target.c_str(), O_RDONLY | O_CLOEXEC)};
  if (from.fd < 0 && errno == ENOENT) return;  // a file system may refuse a link before it looks for the file
  if (from.fd < 0) throw failure("read", target, errno);
  StagingFile to(calls, target, backup, HiddenFile::old);
  const auto buffer = std::make_unique<char[]>(kPieceBytes);
  for (;;) {
    const long got = retried([&] { return static_cast<long>(::read(from.fd, buffer.get(), kPieceBytes)); });
    if (got < 0) throw failure("read", target, errno);
    if (got == 0) break;
    to.write(buffer.get(), static_cast<std::size_t>(got));
  }
  to.flush();
  to.close();
}

}  // namespace

bool cannot_link(int reason) {
  return reason == EPERM || reason == EOPNOTSUPP || reason == ENOSYS || reason == EMLINK || reason == EXDEV;
}

std::string reason_text(int reason) {
  switch (reason) {
    case ENOSPC:
      return "the disk is full";
    case EDQUOT:
      return "the disk space allowed to this user is used up";
    case EFBIG:
      return "the file would be larger than the system allows";
    case EACCES:
      return "permission denied";
    case EPERM:
      return "the system does not permit it";
    case EROFS:
      return "the disk can only be read";
    case EIO:
      return "the disk reports an input/output error";
    case ENOENT:
      return "no such file or folder";
    case ENOTDIR:
      return "a part of the path is a file, not a folder";
    case ENAMETOOLONG:
      return "the name is too long";
    case EMFILE:
    case ENFILE:
      return "too many files are open";
    default:
      return std::generic_category().message(reason);
  }
}

SystemFailure failure(std::string_view doing, const fs::path& path, int reason) {
  return SystemFailure("cannot " + std::string(doing) + " " + path.string() + ": " + reason_text(reason));
}

std::string new_hidden_name(HiddenFile kind, const fs::path& folder, std::string_view target) {
  static std::atomic<unsigned> next{0};
  const std::string_view suffix = suffix_of(kind);
  std::string name = std::string(kPrefix) + std::to_string(::getpid()) + "-" + std::to_string(next++);
  if (!target.empty() && name.size() + 1 + target.size() + suffix.size() <= kNameBytes)
    name += "-" + std::string(target);
  return (folder / (name + std::string(suffix))).string();
}

std::optional<HiddenName> hidden_name(std::string_view name) {
  if (!name.starts_with(kPrefix)) return std::nullopt;
  name.remove_prefix(kPrefix.size());
  if (!take_digits(name) || !name.starts_with('-')) return std::nullopt;
  name.remove_prefix(1);
  if (!take_digits(name)) return std::nullopt;
  for (const HiddenFile kind : {HiddenFile::part, HiddenFile::old, HiddenFile::account}) {
    if (!name.ends_with(suffix_of(kind))) continue;
    name.remove_suffix(suffix_of(kind).size());
    if (name.empty()) return HiddenName{kind, ""};
    if (kind == HiddenFile::old && name.starts_with('-'))
      return HiddenName{kind, std::string(name.substr(1))};
    return std::nullopt;
  }
  return std::nullopt;
}

std::vector<fs::path> hidden_files(const fs::path& folder, HiddenFile kind) {
  std::vector<fs::path> out;
  std::error_code ignored;
  for (fs::directory_iterator at(folder, ignored), end; !ignored && at != end; at.increment(ignored)) {
    const auto name = hidden_name(at->path().filename().string());
    std::error_code none;
    if (name && name->kind == kind && fs::is_regular_file(at->symlink_status(none)))
      out.push_back(folder / at->path().filename());
  }
  std::sort(out.begin(), out.end());
  return out;
}

fs::path folder_of(const fs::path& path) {
  return path.has_parent_path() ? path.parent_path() : fs::path(".");
}

void make_folders(const FileCalls& calls, const fs::path& folder, std::vector<fs::path>& made) {
  fs::path so_far;
  for (const fs::path& part : folder) {
    so_far /= part;
    std::error_code ignored;
    if (part.empty() || fs::is_directory(so_far, ignored)) continue;
    if (retried([&] { return calls.make_folder(so_far.c_str()); }) == 0) {
      made.push_back(so_far);
      continue;
    }
    const int reason = errno;
    if (reason == EEXIST && fs::is_directory(so_far, ignored)) continue;  // another process was quicker
    if (reason == EEXIST || reason == ENOTDIR) {
      throw SystemFailure(
          so_far.string() +
          ": is a file, but a folder is needed here; move it away, or choose another output folder");
    }
    throw failure("make the folder", so_far, reason);
  }
}

void flush_folder(const FileCalls& calls, const fs::path& folder) {
  if (retried([&] { return calls.flush_folder(folder.c_str()); }) != 0)
    throw failure("write the folder", folder, errno);
}

void back_up_file(const FileCalls& calls, const fs::path& target, std::string& backup) {
  for (int i = 0; i < kNamesTried; ++i) {
    std::string name = new_hidden_name(HiddenFile::old, target.parent_path(), target.filename().string());
    if (retried([&] { return calls.link(target.c_str(), name.c_str()); }) == 0) {
      backup = std::move(name);
      return;
    }
    const int reason = errno;
    if (reason == ENOENT) return;
    if (cannot_link(reason)) return copy_file(calls, target, backup);
    if (reason != EEXIST) throw failure("keep the earlier", target, reason);
  }
  throw failure("keep the earlier", target, EEXIST);
}

std::string keep_file(const FileCalls& calls, const std::string& from, const fs::path& target) {
  for (int i = 1; i <= kNamesTried; ++i) {
    std::string name = target.string() + std::string(kEarlier) + (i > 1 ? "-" + std::to_string(i) : "");
    // A link, because it never replaces what stands; a rename where there is none to be had.
    if (retried([&] { return calls.link(from.c_str(), name.c_str()); }) == 0) return name;
    if (errno == EEXIST) continue;
    std::error_code none;
    if (fs::exists(fs::symlink_status(name, none))) continue;
    return retried([&] { return calls.rename(from.c_str(), name.c_str()); }) == 0 ? name : "";
  }
  return "";
}

std::vector<KeptFile> kept_in(const fs::path& folder) {
  std::vector<KeptFile> out;
  std::error_code ignored;
  for (fs::directory_iterator at(folder, ignored), end; !ignored && at != end; at.increment(ignored)) {
    const std::string name = at->path().filename().string();
    const std::size_t found = name.rfind(kEarlier);
    if (found == std::string::npos || found == 0) continue;
    std::string_view rest = std::string_view(name).substr(found + kEarlier.size());
    if (!rest.empty() &&
        (rest.front() != '-' || (rest.remove_prefix(1), !take_digits(rest)) || !rest.empty()))
      continue;
    out.push_back({folder / name, folder / name.substr(0, found)});
  }
  std::sort(out.begin(), out.end(), [](const KeptFile& a, const KeptFile& b) { return a.kept < b.kept; });
  return out;
}

StagingFile::StagingFile(const FileCalls& calls, const fs::path& target, std::string& temporary,
                         HiddenFile kind)
    : calls_(calls), target_(target) {
  for (int i = 0; i < kNamesTried; ++i) {
    std::string name = new_hidden_name(kind, target.parent_path(),
                                       kind == HiddenFile::old ? target.filename().string() : std::string());
    fd_ = retried([&] { return calls_.open_new(name.c_str()); });
    if (fd_ >= 0) {
      temporary = std::move(name);
      take_mode();
      return;
    }
    if (errno != EEXIST) break;
  }
  throw failure("write", target_, errno);
}

StagingFile::StagingFile(const FileCalls& calls, const fs::path& target)
    : calls_(calls), target_(target), fd_(retried([&] { return calls.open_new(target.c_str()); })) {
  if (fd_ < 0 && errno != EEXIST) throw failure("write", target_, errno);
}

std::unique_ptr<StagingFile> StagingFile::existing(const FileCalls& calls, const fs::path& target) {
  const int fd = retried([&] { return calls.open_existing(target.c_str()); });
  if (fd < 0 && errno == ENOENT) return nullptr;
  if (fd < 0) throw failure("open", target, errno);
  std::unique_ptr<StagingFile> file(new StagingFile(calls, target, fd));
  file->size_ = retried([&] { return calls.length(fd); });
  if (file->size_ < 0) throw failure("read", target, errno);
  file->begun_ = file->size_;
  return file;
}

StagingFile::StagingFile(const FileCalls& calls, const fs::path& target, int fd)
    : calls_(calls), target_(target), fd_(fd) {}

/// A file that stood there was perhaps closed to others, or open to a group, on purpose.
void StagingFile::take_mode() {
  struct stat before {};
  struct stat now {};
  if (::stat(target_.c_str(), &before) != 0 || !S_ISREG(before.st_mode) || ::fstat(fd_, &now) != 0) return;
  if (((before.st_mode ^ now.st_mode) & kPermissions) == 0) return;
  if (retried([&] { return calls_.set_mode(fd_, before.st_mode & kPermissions); }) == 0) return;
  const int reason = errno;
  calls_.close(std::exchange(fd_, -1));
  throw failure("keep the permissions of", target_, reason);
}

StagingFile::~StagingFile() {
  if (fd_ >= 0) calls_.close(fd_);
}

void StagingFile::write(const char* data, std::size_t size) {
  while (size > 0) {
    const long wrote = retried([&] { return calls_.write(fd_, data, size); });
    if (wrote < 0) throw failure("write", target_, errno);
    if (wrote == 0) throw failure("write", target_, EIO);
    data += wrote;
    size -= static_cast<std::size_t>(wrote);
    size_ += wrote;
  }
  // The disk works while the next rows are formatted, so the flush at the end has little left to wait for.
  if (size_ - begun_ >= kWriteBackBytes) {
    calls_.start_write_back(fd_, begun_, size_ - begun_);
    begun_ = size_;
  }
}

void StagingFile::flush() {
  if (retried([&] { return calls_.flush(fd_); }) != 0) throw failure("write", target_, errno);
}

void StagingFile::cut(std::int64_t size) {
  if (size_ <= size) return;
  if (retried([&] { return calls_.cut(fd_, size); }) != 0) throw failure("cut back", target_, errno);
  size_ = begun_ = size;
}

std::size_t StagingFile::read(char* data, std::size_t size, std::int64_t offset) {
  const long got = retried([&] { return calls_.read_at(fd_, data, size, offset); });
  if (got < 0) throw failure("read back", target_, errno);
  return static_cast<std::size_t>(got);
}

void StagingFile::check(const std::string& text) {
  const auto buffer = std::make_unique<char[]>(kPieceBytes);
  std::size_t at = 0;
  for (;;) {
    const std::size_t got = read(buffer.get(), kPieceBytes, static_cast<std::int64_t>(at));
    if (got == 0 && at == text.size()) return;
    if (got == 0 || got > text.size() - at || std::memcmp(buffer.get(), text.data() + at, got) != 0) break;
    at += got;
  }
  throw SystemFailure(target_.string() + ": read back after writing, the text differs near byte " +
                      std::to_string(at) + "; the disk may be failing");
}

void StagingFile::close() {
  const int fd = fd_;
  fd_ = -1;
  // An interrupted close has closed: a second one could close another thread's file.
  if (calls_.close(fd) != 0 && errno != EINTR) throw failure("write", target_, errno);
}

}  // namespace deckmark
