#pragma once
/// A batch of files that appear together: written beside their targets, flushed, read back, compared, then
/// renamed, or added at the end of a file that keeps what it has.

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
  int (*open_new)(const char* path);       ///< O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0666
  int (*open_existing)(const char* path);  ///< O_RDWR | O_APPEND | O_CLOEXEC: writes go to its end
  long (*write)(int fd, const char* data, std::size_t size);
  int (*start_write_back)(int fd, std::int64_t offset,
                          std::int64_t size);  ///< a hint; its failure is no failure
  int (*flush)(int fd);                        ///< data and size reach the disk
  long (*read_at)(int fd, char* data, std::size_t size, std::int64_t offset);
  std::int64_t (*length)(int fd);           ///< bytes
  int (*cut)(int fd, std::int64_t length);  ///< what lies beyond is gone
  int (*set_mode)(int fd, unsigned mode);   ///< permission bits
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

/// What becomes of what stands under the name of a file.
enum class How : std::uint8_t {
  replace,
  append,  ///< it stays, and the content is added at its end (a journal)
};

/// One file of the batch: a table, or a text. One target may stand in a batch several times.
struct OutputFile {
  std::filesystem::path target;
  /// REQUIRES of a table that is appended a style without header.
  std::variant<std::unique_ptr<WrittenTable>, std::string> content;
  /// A file that is appended to and whose last line is not ended gets a line feed first; one that is not
  /// there is made by the commit.
  How how = How::replace;
  /// What stands before the rows in a chain of digests; empty: there is none (`StagedFile::chained`).
  std::string digest_after{};
};

/// What a staged file turned out to be.
struct StagedFile {
  std::filesystem::path target;
  std::size_t rows = 0;     ///< without the header; 0 for a text
  std::uint64_t bytes = 0;  ///< of the content alone, where it is appended
  std::string sha256;       ///< of these bytes
  /// SHA-256 of `digest_after` and the content, without the header line, every CR LF counted as LF; empty
  /// where there is no `digest_after`.
  std::string chained;
};

/// Holds a file or folder against a second job at the same time (advisory lock that dies with the process and
/// leaves no file).
class JobLock {
 public:
  /// Throws SystemFailure when another process holds it, or the path cannot be opened. `held`: what is told
  /// behind the path where another process holds it; a literal.
  explicit JobLock(const std::filesystem::path& path,
                   const char* held =
                       "another deckmark is working on this job, or on one that shares its "
                       "files; wait until it has ended, then run again");
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
/// permission bits. A link to a file that is appended to is followed, and the folder where it leads held too.
/// CAVEAT  a file system without hard links costs a copy of every file that is replaced.
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
  /// Has the commit begin with moving the bytes of `target` beyond the first `keep`, if any, to the end of
  /// `torn`, on a line of their own. No such file is no failure. Throws SystemFailure.
  void cut(const std::filesystem::path& target, std::uint64_t keep, const std::filesystem::path& torn);
  /// Renames all staged files into place, or adds them at the end of their targets, strictly in the order
  /// staged, through a power cut too, and before the last removes `stale` (plain files; a missing one is no
  /// failure). What is added is flushed, read back and compared. If anything fails, what was done is undone,
  /// the last first: what stood before stands again, what was added is cut off, what was cut comes back; and
  /// the failure is thrown on. Where the system refuses that too, the earlier content gets a name beside its
  /// target that tells it (`kept_in`), what came before stays, and the text of the failure says so. A process
  /// killed meanwhile leaves under every name the old file or the new one, whole, and never a later file that
  /// is newer than an earlier one. CAVEAT  killed while it adds, it leaves a part of what it adds, maybe half
  /// a line; killed while it moves a tail, it leaves that in both files. A journal has to tell what counts.
  void commit(const std::vector<std::filesystem::path>& stale);

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace deckmark
