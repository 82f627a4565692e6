#pragma once
/// The folder `kept/` of an output folder: the ledger with all that is of it, and every book, as they stood
/// when the lists were written. No part of an issue: neither summary nor sums name a file of it.

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "exporter/batch.h"
#include "job/job.h"
#include "table/message.h"
#include "table/written.h"

namespace deckmark {

inline constexpr const char* kKeptFolder = "kept";

/// Every file of this job that only grows: those of the ledger, the ledger first, then the books that stand.
std::vector<std::filesystem::path> growing_files(const Job& job);
/// What stands in a plain file; nothing where it cannot be read. `most`: bytes from its beginning.
std::optional<std::string> bytes_in(const std::filesystem::path& path, std::uint64_t most = UINT64_MAX);
/// The same; empty where it cannot be read.
std::string bytes_of(const std::filesystem::path& path, std::uint64_t most = UINT64_MAX);

/// A file of `kept/` with rows that what stands beside the job has not.
struct KeptAhead {
  std::filesystem::path path;
  std::string why;
  bool is_book = false;
};

/// What a run keeps. A file that holds rows which are nowhere else is never replaced.
class KeptFiles {
 public:
  /// REQUIRES that whoever adds rows to the ledger is held off, and the ledger as it was read.
  explicit KeptFiles(const Job& job) : job_(job) {}
  /// Doubts: files of `kept/` that hold rows which what stands beside the job has not, or books of which none
  /// stands there. Problem: two files of one name.
  void tell(const std::filesystem::path& out, Messages& messages) const;
  /// Those files alone, as far as `out` has any; and the line to type that takes them back.
  std::vector<KeptAhead> ahead(const std::filesystem::path& out) const;
  std::string way_back(const std::filesystem::path& out) const;
  /// Where they go; empty: nothing stands, and nothing is added by the run.
  std::vector<std::filesystem::path> targets(const std::filesystem::path& out) const;
  /// What a run adds to a file of the ledger, or puts in its place. Called in the order of staging.
  void add(const std::filesystem::path& target, std::unique_ptr<WrittenTable> table, How how);
  /// All of them that are not kept as they stand.
  std::vector<OutputFile> files(const std::filesystem::path& out);

 private:
  /// A file that the run adds to, whole.
  struct Growing {
    std::filesystem::path path;
    std::string text;
    std::unique_ptr<WrittenTable> alone;  ///< in place of the text: it is all of the file
  };
  std::uint64_t covered(const std::filesystem::path& path) const;
  std::string counted(const std::filesystem::path& path) const;
  bool may_replace(const std::filesystem::path& kept, const std::filesystem::path& path) const;

  const Job& job_;
  std::vector<Growing> added_;
};

}  // namespace deckmark
