#pragma once
/// The files of a batch on their way: written, flushed, read back and compared, by two workers that share
/// long tables block by block. Private to the room.

#include <condition_variable>
#include <cstdint>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "exporter/batch.h"
#include "exporter/staged_file.h"
#include "table/digest.h"

namespace deckmark {

/// The digest of a link of a chain: of a text, then of content without its header line, with every CR LF
/// counted as LF.
class ChainDigest {
 public:
  ChainDigest(const std::string& after, bool has_header) : in_header_(has_header) {
    digest_.update(after.data(), after.size());
  }
  void update(const char* data, std::size_t size);
  /// Ends the digest; call once.
  std::string hex();

 private:
  Sha256 digest_;
  bool in_header_, behind_cr_ = false;  // a CR was held back
};

/// One file. Blocks are formatted by any worker and put into the file in their order.
class FileTask {
 public:
  /// `output` and `temporary` outlive the task.
  FileTask(const FileCalls& calls, const OutputFile& output, std::string& temporary);

  std::size_t blocks() const;
  /// Formats a block and puts it into the file once those before it are there. Blocks are begun in order.
  /// After `abandon`, or where an earlier block failed, it returns without writing.
  void write(std::size_t block);
  /// Lets those go that wait for their turn.
  void abandon();
  void flush() { file_->flush(); }
  /// Reads a block back and compares it. Throws SystemFailure where it differs.
  void check(std::size_t block);
  StagedFile finish();

 private:
  bool wait_for_turn(std::size_t block);
  void put(const char* data, std::size_t size);

  const FileCalls& calls_;
  const OutputFile& output_;
  std::string& temporary_;
  std::unique_ptr<StagingFile> file_;
  std::vector<std::int64_t> begins_;  // of the blocks, in bytes
  Sha256 digest_;
  std::optional<ChainDigest> chain_;
  std::mutex mutex_;
  std::condition_variable turn_;
  std::size_t next_ = 0;  // the block whose turn it is
  bool abandoned_ = false;
};

/// Does it all for these files. After a failure no further work is begun; of several failures that of the
/// first file is thrown.
void write_and_check(const std::vector<std::unique_ptr<FileTask>>& files);

}  // namespace deckmark
