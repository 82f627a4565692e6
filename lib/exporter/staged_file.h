#pragma once
/// The pieces that a batch is made of: temporary names, one file being written, a second name for an old
/// file. Private to the room.

#include <cerrno>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
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

/// The folder that a file lies in: `.` where its path names none.
std::filesystem::path folder_of(const std::filesystem::path& path);

/// The reason in plain words, with the system's own words where they differ.
std::string reason_text(int reason);
/// `cannot write out/points.csv: the disk is full`.
SystemFailure failure(std::string_view doing, const std::filesystem::path& path, int reason);

/// What a hidden file of a batch is for.
enum class HiddenFile : std::uint8_t {
  part,     ///< being written, or of no use any more
  old,      ///< what a target held before
  account,  ///< names of what was put in place
};
/// `.deckmark-PID-N.part`, N counting up within the process; `.old` with the target's name in it, where there
/// is room: `.deckmark-PID-N-points.csv.old`; `.account`.
std::string new_hidden_name(HiddenFile kind, const std::filesystem::path& folder,
                            std::string_view target = {});
/// What a file name says of itself; nothing where it is none of a batch.
struct HiddenName {
  HiddenFile kind;
  std::string target;  ///< empty: not told
};
std::optional<HiddenName> hidden_name(std::string_view name);
/// Hidden files of one kind in a folder.
std::vector<std::filesystem::path> hidden_files(const std::filesystem::path& folder, HiddenFile kind);

/// Makes the folder and its parents where they are missing; adds those that it made.
void make_folders(const FileCalls& calls, const std::filesystem::path& folder,
                  std::vector<std::filesystem::path>& made);
void flush_folder(const FileCalls& calls, const std::filesystem::path& folder);

/// The reason why a file system gives no second name to a file.
bool cannot_link(int reason);
/// Gives the file at `target` a second, hidden name beside it, which is left empty where there is no such
/// file. A file system without hard links gets a copy.
void back_up_file(const FileCalls& calls, const std::filesystem::path& target, std::string& backup);
/// Gives what `target` held before, which is in `from`, a name beside it that tells this and that nothing
/// removes: `points.csv.earlier`. Empty where the system refuses it.
std::string keep_file(const FileCalls& calls, const std::string& from, const std::filesystem::path& target);

/// A new file under a temporary name beside its target, or one to add to. Everything throws SystemFailure
/// naming the target.
class StagingFile {
 public:
  /// `temporary` becomes the name as soon as the file exists, for the caller to remove or rename. The file
  /// has the permission bits of what stands at the target.
  StagingFile(const FileCalls& calls, const std::filesystem::path& target, std::string& temporary,
              HiddenFile kind = HiddenFile::part);
  /// Under its own name, where nothing has that name; else `is_open` is false.
  StagingFile(const FileCalls& calls, const std::filesystem::path& target);
  /// What stands at `target`, to be read, added to at its end, or cut; null where there is none.
  static std::unique_ptr<StagingFile> existing(const FileCalls& calls, const std::filesystem::path& target);
  ~StagingFile();
  StagingFile(const StagingFile&) = delete;
  StagingFile& operator=(const StagingFile&) = delete;

  const std::filesystem::path& target() const { return target_; }
  bool is_open() const { return fd_ >= 0; }
  std::int64_t size() const { return size_; }
  void write(const char* data, std::size_t size);
  void flush();
  /// Shortens it to `size` bytes; one that is as short stays as it is.
  void cut(std::int64_t size);
  /// Bytes read; 0 at the end of the file.
  std::size_t read(char* data, std::size_t size, std::int64_t offset);
  /// Reads all back and compares. Throws SystemFailure where it differs.
  void check(const std::string& text);
  void close();

 private:
  StagingFile(const FileCalls& calls, const std::filesystem::path& target, int fd);
  void take_mode();
  const FileCalls& calls_;
  std::filesystem::path target_;
  int fd_ = -1;
  std::int64_t size_ = 0, begun_ = 0;  // bytes in it, bytes of which write-back was begun
};

}  // namespace deckmark
