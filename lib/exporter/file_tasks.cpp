#include "exporter/file_tasks.h"

#include <algorithm>
#include <cassert>
#include <cstring>
#include <exception>
#include <limits>
#include <optional>
#include <system_error>

#include "exporter/stopping.h"
#include "measure/fault.h"
#include "measure/side_by_side.h"

namespace deckmark {

namespace {

const WrittenTable* table_of(const OutputFile& output) {
  const auto* table = std::get_if<std::unique_ptr<WrittenTable>>(&output.content);
  return table ? table->get() : nullptr;
}

/// Compares the bytes from `offset` to `end` with that block of the table.
void check_block(StagingFile& file, const WrittenTable& table, std::size_t block, std::int64_t offset,
                 std::int64_t end) {
  CheckFailure failure;
  const auto read = [&](char* data, std::size_t size) {
    const std::size_t got = file.read(data, std::min(size, static_cast<std::size_t>(end - offset)), offset);
    offset += static_cast<std::int64_t>(got);
    return got;
  };
  if (table.block_agrees(read, &failure, block)) return;
  throw SystemFailure(file.target().string() + ": read back after writing, row " +
                      std::to_string(failure.row) + ", cell " + std::to_string(failure.cell) + " is " +
                      in_quotes(failure.found) + ", which is not what was written; the disk may be failing");
}

}  // namespace

void ChainDigest::update(const char* data, std::size_t size) {
  if (in_header_) {
    const void* const end = std::memchr(data, '\n', size);
    if (!end) return;
    const char* const rows = static_cast<const char*>(end) + 1;
    size -= static_cast<std::size_t>(rows - data);
    data = rows;
    in_header_ = false;
  }
  while (size > 0) {
    if (behind_cr_ && *data != '\n') digest_.update("\r", 1);
    const void* const cr = std::memchr(data, '\r', size);
    const std::size_t plain = cr ? static_cast<std::size_t>(static_cast<const char*>(cr) - data) : size;
    digest_.update(data, plain);
    behind_cr_ = cr != nullptr;
    const std::size_t taken = plain + (cr ? 1 : 0);
    data += taken;
    size -= taken;
  }
}

std::string ChainDigest::hex() {
  if (behind_cr_) digest_.update("\r", 1);
  return digest_.hex();
}

FileTask::FileTask(const FileCalls& calls, const OutputFile& output, std::string& temporary)
    : calls_(calls), output_(output), temporary_(temporary) {
  const WrittenTable* table = table_of(output_);
  assert(output_.how == How::replace || !table || !table->style().header);
  if (!output_.digest_after.empty()) chain_.emplace(output_.digest_after, table && table->style().header);
}

std::size_t FileTask::blocks() const {
  const WrittenTable* table = table_of(output_);
  return table ? table->blocks() : 1;
}

bool FileTask::wait_for_turn(std::size_t block) {
  std::unique_lock lock(mutex_);
  turn_.wait(lock, [&] { return next_ == block || abandoned_; });
  return !abandoned_;
}

void FileTask::put(const char* data, std::size_t size) {
  file_->write(data, size);
  digest_.update(data, size);
  if (chain_) chain_->update(data, size);
}

void FileTask::write(std::size_t block) {
  bool in_turn = false;
  const auto begin = [&] {
    if (in_turn) return true;
    if (!wait_for_turn(block)) return false;
    in_turn = true;
    if (block == 0) file_ = std::make_unique<StagingFile>(calls_, output_.target, temporary_);
    begins_.push_back(file_->size());
    return true;
  };
  if (const WrittenTable* table = table_of(output_))
    table->write_block(
        [&](const char* data, std::size_t size) {
          if (begin()) put(data, size);
        },
        block);
  else if (begin())
    put(std::get<std::string>(output_.content).data(), std::get<std::string>(output_.content).size());
  if (!begin()) return;
  const std::lock_guard lock(mutex_);
  ++next_;
  turn_.notify_all();
}

void FileTask::abandon() {
  const std::lock_guard lock(mutex_);
  abandoned_ = true;
  turn_.notify_all();
}

void FileTask::check(std::size_t block) {
  const WrittenTable* table = table_of(output_);
  if (!table) return file_->check(std::get<std::string>(output_.content));
  // Behind the last block a byte too many is found as well.
  const std::int64_t end =
      block + 1 < begins_.size() ? begins_[block + 1] : std::numeric_limits<std::int64_t>::max();
  check_block(*file_, *table, block, begins_[block], end);
}

StagedFile FileTask::finish() {
  StagedFile out;
  out.target = output_.target;
  if (const WrittenTable* table = table_of(output_)) out.rows = table->rows();
  out.bytes = static_cast<std::uint64_t>(file_->size());
  file_->close();
  file_.reset();
  out.sha256 = digest_.hex();
  if (chain_) out.chained = chain_->hex();
  return out;
}

namespace {

/// Hands out the work: blocks to write, file after file; a flush as soon as a file is whole; blocks to
/// compare as soon as it is flushed. The flush only waits for the disk, so it has a thread of its own beside
/// the two workers.
class Schedule {
 public:
  explicit Schedule(const std::vector<std::unique_ptr<FileTask>>& files)
      : files_(files), states_(files.size()) {}

  void run() {
    auto flusher = try_beside([this] { work(&Schedule::next_flush); });
    has_flusher_ = flusher.valid();
    const auto both = [this] { work(&Schedule::next_work); };
    if (has_flusher_) {
      side_by_side(both, both);
      flusher.get();
    } else {
      both();  // it flushes too
    }
    for (const State& state : states_)
      if (state.failure) std::rethrow_exception(state.failure);
  }

 private:
  struct State {
    std::size_t begun = 0, written = 0, check_begun = 0;  // blocks
    bool flushed = false;
    std::exception_ptr failure;
  };
  enum class Kind : std::uint8_t { write, flush, check };
  struct Step {
    Kind kind;
    std::size_t file, block;
  };

  /// The next step for a worker; none where there is none at the moment. REQUIRES the lock.
  std::optional<Step> next_work() {
    for (; writing_ < files_.size(); ++writing_)
      if (State& s = states_[writing_]; s.begun < files_[writing_]->blocks())
        return Step{Kind::write, writing_, s.begun++};
    if (!has_flusher_)
      if (const auto flush = next_flush()) return flush;
    for (; checking_ < files_.size() && states_[checking_].flushed; ++checking_)
      if (State& s = states_[checking_]; s.check_begun < files_[checking_]->blocks())
        return Step{Kind::check, checking_, s.check_begun++};
    return std::nullopt;
  }
  std::optional<Step> next_flush() {
    if (flushing_ == files_.size() || states_[flushing_].written < files_[flushing_]->blocks())
      return std::nullopt;
    return Step{Kind::flush, flushing_++, 0};
  }
  bool ended(std::optional<Step> (Schedule::*next)()) const {
    return failed_ ||
           (next == &Schedule::next_flush ? flushing_ == files_.size() : checking_ == files_.size());
  }

  void work(std::optional<Step> (Schedule::*next)()) {
    std::unique_lock lock(mutex_);
    while (!failed_) {
      const std::optional<Step> step = (this->*next)();
      if (!step) {
        if (ended(next)) return;
        changed_.wait(lock);
        continue;
      }
      lock.unlock();
      std::exception_ptr failure;
      try {
        do_step(*step);
      } catch (...) {
        failure = std::current_exception();
      }
      lock.lock();
      note(*step, failure);
    }
  }
  void do_step(const Step& step) {
    if (FileStep::is_asked_to_stop()) throw SystemFailure("stopped");  // the end of the whole step tells
    FileTask& file = *files_[step.file];
    switch (step.kind) {
      case Kind::write:
        return file.write(step.block);
      case Kind::flush:
        return file.flush();
      case Kind::check:
        return file.check(step.block);
    }
  }
  void note(const Step& step, const std::exception_ptr& failure) {
    State& state = states_[step.file];
    if (failure) {
      if (!state.failure) state.failure = failure;
      failed_ = true;
      for (const auto& file : files_) file->abandon();
      changed_.notify_all();
      return;
    }
    if (step.kind == Kind::write && ++state.written == files_[step.file]->blocks()) changed_.notify_all();
    if (step.kind == Kind::flush) {
      state.flushed = true;
      changed_.notify_all();
    }
  }

  const std::vector<std::unique_ptr<FileTask>>& files_;
  std::mutex mutex_;
  std::condition_variable changed_;
  std::vector<State> states_;
  std::size_t writing_ = 0, flushing_ = 0, checking_ = 0;
  bool failed_ = false, has_flusher_ = false;
};

}  // namespace

void write_and_check(const std::vector<std::unique_ptr<FileTask>>& files) {
  if (!files.empty()) Schedule(files).run();
}

}  // namespace deckmark
