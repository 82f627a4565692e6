#pragma once
/// The pieces that a batch is made of: temporary names, one file being written, a second name for an old
/// file. Private to the room.

#include <cerrno>
#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "exporter/batch.h"

namespace deckmark {

inline constexpr std::size_t kPieceBytes = 1U << 20;

/// A system call made again for as long as a signal interrupts it.
template <class Call>
auto retried(const Call& call) {
  for (;;) {
    const auto result = call();
    if (result >= 0 || errno != EINTR) return result;
  }
}

/// The reason in plain words, with the system's own words where they differ.
std::string reason_text(int reason);
/// `cannot write out/points.csv: the disk is full`.
SystemFailure failure(std::string_view doing, const std::filesystem::path& path, int reason);

/// `.deckmark-PID-N.part`, N counting up within the process.
std::string new_temporary_name(const std::filesystem::path& folder);
bool is_temporary_name(std::string_view name);

std::filesystem::path folder_of(const std::filesystem::path& path);
/// Makes the folder and its parents where they are missing; adds those that it made.
void make_folders(const FileCalls& calls, const std::filesystem::path& folder,
                  std::vector<std::filesystem::path>& made);
void flush_folder(const FileCalls& calls, const std::filesystem::path& folder);

/// The reason why a file system gives no second name to a file.
bool cannot_link(int reason);
/// Gives the file at `target` a second, temporary name beside it, which is left empty where there is no such
/// file. A file system without hard links gets a copy.
void back_up_file(const FileCalls& calls, const std::filesystem::path& target, std::string& backup);

/// A new file under a temporary name beside its target. Everything throws SystemFailure naming the target.
class StagingFile {
 public:
  /// `temporary` becomes the name as soon as the file exists, for the caller to remove or rename.
  StagingFile(const FileCalls& calls, const std::filesystem::path& target, std::string& temporary);
  /// Under its own name, where nothing has that name; else `is_open` is false.
  StagingFile(const FileCalls& calls, const std::filesystem::path& target);
  ~StagingFile();
  StagingFile(const StagingFile&) = delete;
  StagingFile& operator=(const StagingFile&) = delete;

  const std::filesystem::path& target() const { return target_; }
  bool is_open() const { return fd_ >= 0; }
  std::int64_t size() const { return size_; }
  void write(const char* data, std::size_t size);
  void flush();
  /// Bytes read; 0 at the end of the file.
  std::size_t read(char* data, std::size_t size, std::int64_t offset);
  /// Reads all back and compares. Throws SystemFailure where it differs.
  void check(const std::string& text);
  void close();
  int descriptor() const { return fd_; }

 private:
  const FileCalls& calls_;
  std::filesystem::path target_;
  int fd_ = -1;
  std::int64_t size_ = 0, begun_ = 0;  // bytes written, bytes of which write-back was begun
};

}  // namespace deckmark
