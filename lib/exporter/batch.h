#pragma once
/// A batch of files that appear together: written beside their targets, flushed, read back, compared,
/// renamed.

#include <cstdint>
#include <filesystem>
#include <memory>
#include <stdexcept>
#include <string>
#include <variant>
#include <vector>

#include "table/written.h"

namespace deckmark {

/// The system calls that write, in one table so that a test can make every one of them fail in turn.
/// Each returns what the call of that name returns and sets errno; an interrupted call is made again by the
/// batch.
struct FileCalls {
  int (*open_new)(const char* path);  ///< O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0666
  long (*write)(int fd, const char* data, std::size_t size);
  int (*start_write_back)(int fd, std::int64_t offset,
                          std::int64_t size);  ///< a hint; its failure is no failure
  int (*flush)(int fd);                        ///< data and size reach the disk
  long (*read_at)(int fd, char* data, std::size_t size, std::int64_t offset);
  int (*close)(int fd);
  int (*link)(const char* from, const char* to);
  int (*rename)(const char* from, const char* to);
  int (*unlink)(const char* path);
  int (*make_folder)(const char* path);
  int (*remove_folder)(const char* path);
  int (*flush_folder)(const char* path);
};
const FileCalls& system_file_calls();

/// The system failed: exit status 3. The text names the path and the reason.
class SystemFailure : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// One file of the batch: a table, or a text.
struct OutputFile {
  std::filesystem::path target;
  std::variant<std::unique_ptr<WrittenTable>, std::string> content;
};

/// What a staged file turned out to be.
struct StagedFile {
  std::filesystem::path target;
  std::size_t rows = 0;  ///< without the header; 0 for a text
  std::uint64_t bytes = 0;
  std::string sha256;
};

/// Files written under temporary names until `commit` renames them.
///
/// A batch that is not committed removes its temporary files, and the folders that it made. Temporary names
/// begin with `.deckmark-`; those that a killed job left behind are removed by the next batch in the same
/// folder (the lock makes that safe); no other file is touched. CAVEAT  a file system without hard links
/// costs a copy of every file that is replaced.
class Batch {
 public:
  explicit Batch(const FileCalls& calls = system_file_calls());
  ~Batch();
  Batch(const Batch&) = delete;
  Batch& operator=(const Batch&) = delete;

  /// Makes the folder and its parents where they are missing. Throws SystemFailure.
  void make_folder(const std::filesystem::path& folder);
  /// Writes, flushes, reads back and compares all, one task a file on two workers. May be called again: a
  /// summary that states the digests of the other files is staged after them. Whatever stands in the way of a
  /// target is found here. Throws SystemFailure; then the batch must not be committed.
  std::vector<StagedFile> stage(std::vector<OutputFile> files);
  /// Renames all staged files into place in the order staged, and removes `stale` (plain files; a missing one
  /// is no failure). If anything fails, what was done is undone, what stood before stands again, and
  /// SystemFailure is thrown. A process killed meanwhile leaves under every name the old file or the new one,
  /// whole, and never a later file that is newer than an earlier one.
  void commit(const std::vector<std::filesystem::path>& stale);

 private:
  struct State;
  std::unique_ptr<State> state_;
};

/// Holds a file or folder against a second job at the same time (advisory lock that dies with the process).
class JobLock {
 public:
  /// Throws SystemFailure when another process holds it, or the path cannot be opened.
  explicit JobLock(const std::filesystem::path& path);
  ~JobLock();
  JobLock(const JobLock&) = delete;
  JobLock& operator=(const JobLock&) = delete;

 private:
  int fd_;
};

}  // namespace deckmark
