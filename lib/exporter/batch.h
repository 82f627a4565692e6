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
  int (*set_mode)(int fd, unsigned mode);  ///< permission bits
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

/// Holds a file or folder against a second job at the same time (advisory lock that dies with the process and
/// leaves no file).
class JobLock {
 public:
  /// Throws SystemFailure when another process holds it, or the path cannot be opened.
  explicit JobLock(const std::filesystem::path& path);
  ~JobLock();
  JobLock(const JobLock&) = delete;
  JobLock& operator=(const JobLock&) = delete;
  /// True where the path leads to what is held, by whatever name.
  bool is_on(const std::filesystem::path& path) const;

 private:
  int fd_;
};

/// What a target held before a batch that failed and could not put it back.
struct KeptFile {
  std::filesystem::path kept, target;
};
/// Those in a folder, by their names. No batch removes or replaces one.
std::vector<KeptFile> kept_in(const std::filesystem::path& folder);

/// What a batch that was killed while it renamed left in a folder.
struct Interrupted {
  std::vector<std::string> made;       ///< names of files here that it, or a batch before it, put in place
  std::vector<KeptFile> stood_before;  ///< earlier content; the next batch that is committed removes it
};
Interrupted interrupted_in(const std::filesystem::path& folder);

/// Files written under temporary names until `commit` renames them.
///
/// Every folder that files go into is held against other batches until this one has ended. A batch that is
/// not committed removes its temporary files, and the folders that it made. Temporary names begin with
/// `.deckmark-`; those that a killed job left behind are removed by the next batch in the same folder,
/// earlier content only when it is committed; no other file is touched. A file that is replaced hands on its
/// permission bits. CAVEAT  a file system without hard links costs a copy of every file that is replaced.
class Batch {
 public:
  explicit Batch(const FileCalls& calls = system_file_calls());
  ~Batch();
  Batch(const Batch&) = delete;
  Batch& operator=(const Batch&) = delete;

  /// Makes the folder and its parents where they are missing. Throws SystemFailure.
  void make_folder(const std::filesystem::path& folder);
  /// The same (empty: the current folder), and holds it until the batch has ended. One that this batch holds
  /// already is no failure. Throws SystemFailure, which says to wait where another batch holds it.
  void hold_folder(const std::filesystem::path& folder);
  /// From the first rename to the end of the commit a hidden file in `folder` tells which files there are of
  /// this batch and of those before it (`interrupted_in`), so that none outlives a kill unknown.
  void keep_account(const std::filesystem::path& folder);
  /// Writes, flushes, reads back and compares all, one task a file on two workers. May be called again: a
  /// summary that states the digests of the other files is staged after them. Whatever stands in the way of a
  /// target is found here. Throws SystemFailure; then the batch must not be committed.
  std::vector<StagedFile> stage(std::vector<OutputFile> files);
  /// Renames all staged files into place in the order staged, and before the last removes `stale` (plain
  /// files; a missing one is no failure). If anything fails, what was done is undone, what stood before
  /// stands again, and the failure is thrown on. Where the system refuses that too, the earlier content gets
  /// a name beside its target that tells it (`kept_in`), and the text of the failure says so. A process
  /// killed meanwhile leaves under every name the old file or the new one, whole, and never a later file that
  /// is newer than an earlier one.
  void commit(const std::vector<std::filesystem::path>& stale);

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace deckmark
