#include "exporter/batch.h"

#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cassert>
#include <cerrno>
#include <cstring>
#include <exception>
#include <limits>
#include <mutex>
#include <numeric>
#include <set>
#include <system_error>
#include <thread>

#include "exporter/staged_file.h"
#include "measure/fault.h"
#include "table/digest.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

constexpr std::size_t kWorkers = 2;
constexpr std::size_t kOpenAtOnce = 64;
constexpr std::uint64_t kLongTable = 8U << 20;  // bytes from which a table is compared in two parts
constexpr std::uint64_t kBytesOfRow = 100;      // about; only the order of the tasks depends on it

fs::path folder_of(const fs::path& path) {
  return path.has_parent_path() ? path.parent_path() : fs::path(".");
}

/// Whatever stands in the way of a file of this name.
void check_target(const fs::path& target) {
  std::error_code ignored;
  const fs::path folder = folder_of(target);
  const fs::file_status above = fs::status(folder, ignored);
  if (fs::exists(above) && !fs::is_directory(above)) {
    throw SystemFailure(folder.string() + ": is a file, but a folder is needed here for " +
                        target.filename().string() + "; move it away, or choose another output folder");
  }
  const fs::file_status status = fs::status(target, ignored);
  if (fs::is_directory(status)) {
    throw SystemFailure(target.string() +
                        ": is a folder, but an output file needs this name; move the folder away");
  }
  if (fs::exists(status) && !fs::is_regular_file(status)) {
    throw SystemFailure(target.string() +
                        ": is not a plain file, but an output file needs this name; move it away");
  }
}

/// Removes temporary files that a killed job left in the folder; `own` are file names of this batch.
void remove_left_over(const FileCalls& calls, const fs::path& folder, const std::set<fs::path>& own) {
  std::error_code ignored;
  std::vector<std::string> names;
  for (fs::directory_iterator at(folder, ignored), end; !ignored && at != end; at.increment(ignored)) {
    const fs::path name = at->path().filename();
    if (!is_temporary_name(name.string()) || own.count(name) > 0) continue;
    if (fs::is_regular_file(at->symlink_status(ignored))) names.push_back(at->path().string());
  }
  // One that cannot be removed does no harm: new temporary names avoid it.
  for (const std::string& name : names) retried([&] { return calls.unlink(name.c_str()); });
}

std::uint64_t size_guess(const OutputFile& file) {
  if (const auto* text = std::get_if<std::string>(&file.content)) return text->size();
  return std::get<0>(file.content)->rows() * kBytesOfRow;
}

/// Compares the bytes from `offset` to `end` with that part of the table.
void check_table(StagingFile& file, const WrittenTable& table, TablePart part, std::int64_t offset,
                 std::int64_t end) {
  CheckFailure failure;
  const auto read = [&](char* data, std::size_t size) {
    const std::size_t got = file.read(data, std::min(size, static_cast<std::size_t>(end - offset)), offset);
    offset += static_cast<std::int64_t>(got);
    return got;
  };
  if (table.agrees(read, &failure, part)) return;
  throw SystemFailure(file.target().string() + ": read back after writing, row " +
                      std::to_string(failure.row) + ", cell " + std::to_string(failure.cell) + " is " +
                      in_quotes(failure.found) + ", which is not what was written; the disk may be failing");
}

void check_text(StagingFile& file, const std::string& text) {
  const auto buffer = std::make_unique<char[]>(kPieceBytes);
  std::size_t at = 0;
  for (;;) {
    const std::size_t got = file.read(buffer.get(), kPieceBytes, static_cast<std::int64_t>(at));
    if (got == 0 && at == text.size()) return;
    if (got == 0 || got > text.size() - at || std::memcmp(buffer.get(), text.data() + at, got) != 0) break;
    at += got;
  }
  throw SystemFailure(file.target().string() + ": read back after writing, the text differs near byte " +
                      std::to_string(at) + "; the disk may be failing");
}

/// One file on its way: first written, later flushed, read back and compared, so that the disk works on one
/// file while the next is formatted.
class FileTask {
 public:
  FileTask(const FileCalls& calls, const OutputFile& output, std::string& temporary)
      : calls_(calls), output_(output), temporary_(temporary) {}

  void write() {
    file_ = std::make_unique<StagingFile>(calls_, output_.target, temporary_);
    const auto put = [&](const char* data, std::size_t size) {
      file_->write(data, size);
      digest_.update(data, size);
    };
    if (const auto* text = std::get_if<std::string>(&output_.content))
      put(text->data(), text->size());
    else
      middle_ = static_cast<std::int64_t>(std::get<0>(output_.content)->write(put));
  }

  /// Flushes the file, once, and compares a part of it.
  void check(TablePart part) {
    std::call_once(*flushed_, [this] { file_->flush(); });
    if (const auto* text = std::get_if<std::string>(&output_.content)) {
      if (part != TablePart::second_half) check_text(*file_, *text);
    } else {
      constexpr std::int64_t kEnd =
          std::numeric_limits<std::int64_t>::max();  // a byte too many is found as well
      check_table(*file_, *std::get<0>(output_.content), part, part == TablePart::second_half ? middle_ : 0,
                  part == TablePart::first_half ? middle_ : kEnd);
    }
  }

  StagedFile finish() {
    StagedFile out;
    out.target = output_.target;
    if (const auto* table = std::get_if<std::unique_ptr<WrittenTable>>(&output_.content))
      out.rows = (*table)->rows();
    out.bytes = static_cast<std::uint64_t>(file_->size());
    file_->close();
    file_.reset();
    out.sha256 = digest_.hex();
    return out;
  }

 private:
  const FileCalls& calls_;
  const OutputFile& output_;
  std::string& temporary_;
  std::unique_ptr<StagingFile> file_;
  std::int64_t middle_ = 0;
  std::unique_ptr<std::once_flag> flushed_ = std::make_unique<std::once_flag>();
  Sha256 digest_;
};

/// Calls the task with each number of `order` on two threads. After a failure no further task is begun; of
/// several failures the first in that order is thrown.
template <class Task>
void on_two_workers(const std::vector<std::size_t>& order, const Task& task) {
  std::atomic<std::size_t> next{0};
  std::atomic<bool> failed{false};
  std::vector<std::exception_ptr> failures(order.size());
  const auto work = [&] {
    for (std::size_t k = next++; k < order.size() && !failed; k = next++) {
      try {
        task(order[k]);
      } catch (...) {
        failures[k] = std::current_exception();
        failed = true;
      }
    }
  };
  std::vector<std::thread> others;
  try {
    for (std::size_t w = 1; w < std::min(kWorkers, order.size()); ++w) others.emplace_back(work);
  } catch (const std::system_error&) {
    // No second thread to be had: this one does it all.
  }
  work();
  for (std::thread& other : others) other.join();
  for (const std::exception_ptr& failure : failures) {
    if (failure) std::rethrow_exception(failure);
  }
}

/// Where one file of the batch stands.
struct Entry {
  fs::path target;
  std::string temporary;  ///< empty: renamed into place, or not yet made
  std::string backup;     ///< a second name of the file that stood before; empty: none
  bool renamed = false;
};

/// A stale file that was moved out of the way.
struct Moved {
  fs::path from;
  std::string to;
};

}  // namespace

struct Batch::State {
  const FileCalls& calls;
  std::vector<Entry> entries;
  std::vector<Moved> moved;
  std::vector<fs::path> made_folders;
  std::set<fs::path> cleaned;
  bool committed = false;

  explicit State(const FileCalls& c) : calls(c) {}
  void remove(std::string& name);
  void back_up();
  void rename_all();
  void move_stale(const std::vector<fs::path>& stale);
  void flush_folders();
  std::string undo();
  void clean();
};

/// Removes a temporary file; the name is forgotten when it is gone.
void Batch::State::remove(std::string& name) {
  if (name.empty()) return;
  if (retried([&] { return calls.unlink(name.c_str()); }) == 0 || errno == ENOENT) name.clear();
}

void Batch::State::back_up() {
  for (Entry& entry : entries) back_up_file(calls, entry.target, entry.backup);
}

void Batch::State::rename_all() {
  for (std::size_t i = 0; i < entries.size(); ++i) {
    Entry& entry = entries[i];
    // A folder is flushed before a file of another one is replaced, so that the order holds through a power
    // cut too.
    if (i > 0 && folder_of(entries[i - 1].target) != folder_of(entry.target)) {
      flush_folder(calls, folder_of(entries[i - 1].target));
    }
    if (retried([&] { return calls.rename(entry.temporary.c_str(), entry.target.c_str()); }) != 0) {
      throw failure("put in place", entry.target, errno);
    }
    entry.temporary.clear();
    entry.renamed = true;
  }
}

/// Stale files are moved to a temporary name first: until the end they can come back.
void Batch::State::move_stale(const std::vector<fs::path>& stale) {
  for (const fs::path& path : stale) {
    std::error_code ignored;
    if (!fs::is_regular_file(fs::symlink_status(path, ignored))) continue;
    const auto is_made = [&](const Entry& e) {
      return e.target.lexically_normal() == path.lexically_normal();
    };
    if (std::any_of(entries.begin(), entries.end(), is_made)) continue;
    std::string to = new_temporary_name(folder_of(path));
    if (retried([&] { return calls.rename(path.c_str(), to.c_str()); }) != 0) {
      if (errno == ENOENT) continue;
      throw failure("remove", path, errno);
    }
    moved.push_back({path, std::move(to)});
  }
}

void Batch::State::flush_folders() {
  std::set<fs::path> folders;
  for (const Entry& entry : entries) folders.insert(folder_of(entry.target));
  for (const Moved& file : moved) folders.insert(folder_of(file.from));
  for (const fs::path& folder : made_folders) folders.insert(folder_of(folder));
  for (const fs::path& folder : folders) flush_folder(calls, folder);
}

/// Puts back what stood before; says what could not be put back.
std::string Batch::State::undo() {
  std::string left;
  const auto put_back = [&](std::string& from, const fs::path& to) {
    if (retried([&] { return calls.rename(from.c_str(), to.c_str()); }) != 0) {
      left += "; " + to.string() + " could not be put back (" + reason_text(errno) +
              "): its earlier content is in " + from;
    }
    from.clear();  // where it could not be put back, the file is not removed either
  };
  for (auto file = moved.rbegin(); file != moved.rend(); ++file) put_back(file->to, file->from);
  moved.clear();
  for (auto entry = entries.rbegin(); entry != entries.rend(); ++entry) {
    if (!entry->renamed) continue;
    entry->renamed = false;
    if (!entry->backup.empty()) {
      put_back(entry->backup, entry->target);
    } else if (retried([&] { return calls.unlink(entry->target.c_str()); }) != 0 && errno != ENOENT) {
      left += "; the new " + entry->target.string() + " could not be removed (" + reason_text(errno) + ")";
    }
  }
  return left;
}

/// Removes whatever temporary file is left, and the folders of a batch that came to nothing.
void Batch::State::clean() {
  for (Entry& entry : entries) {
    remove(entry.temporary);
    remove(entry.backup);
  }
  for (Moved& file : moved) remove(file.to);
  if (committed) return;
  for (auto folder = made_folders.rbegin(); folder != made_folders.rend(); ++folder) {
    calls.remove_folder(folder->c_str());  // stays where something else has been put into it
  }
  made_folders.clear();
}

Batch::Batch(const FileCalls& calls) : state_(std::make_unique<State>(calls)) {}

Batch::~Batch() { state_->clean(); }

void Batch::make_folder(const fs::path& folder) {
  fs::path so_far;
  for (const fs::path& part : folder) {
    so_far /= part;
    std::error_code ignored;
    if (part.empty() || fs::is_directory(so_far, ignored)) continue;
    if (retried([&] { return state_->calls.make_folder(so_far.c_str()); }) == 0) {
      state_->made_folders.push_back(so_far);
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

std::vector<StagedFile> Batch::stage(std::vector<OutputFile> files) {
  assert(!state_->committed);
  for (const OutputFile& file : files) check_target(file.target);
  std::set<fs::path> own;
  for (const Entry& entry : state_->entries) own.insert(fs::path(entry.temporary).filename());
  for (const OutputFile& file : files) {
    if (!state_->cleaned.insert(folder_of(file.target)).second) continue;
    remove_left_over(state_->calls, folder_of(file.target), own);
  }
  const std::size_t before = state_->entries.size();
  for (const OutputFile& file : files) state_->entries.push_back({file.target, {}, {}, false});

  // The largest first: the last task to end is then a short one.
  std::vector<std::size_t> order(files.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return size_guess(files[a]) > size_guess(files[b]); });
  std::vector<StagedFile> out(files.size());
  std::vector<FileTask> tasks;
  tasks.reserve(files.size());
  for (std::size_t i = 0; i < files.size(); ++i)
    tasks.emplace_back(state_->calls, files[i], state_->entries[before + i].temporary);
  // A job split by run can have very many short files: they are not all open at once.
  for (std::size_t from = 0; from < order.size(); from += kOpenAtOnce) {
    const std::size_t count = std::min(kOpenAtOnce, order.size() - from);
    const std::vector<std::size_t> some(order.begin() + static_cast<std::ptrdiff_t>(from),
                                        order.begin() + static_cast<std::ptrdiff_t>(from + count));
    on_two_workers(some, [&](std::size_t i) { tasks[i].write(); });
    // Long tables are compared by halves, so that both workers stay busy to the end.
    std::vector<std::size_t> parts(2 * some.size());
    for (std::size_t k = 0; k < parts.size(); ++k) parts[k] = 2 * some[k / 2] + k % 2;
    on_two_workers(parts, [&](std::size_t k) {
      const bool is_long = size_guess(files[k / 2]) > kLongTable;
      if (is_long || k % 2 == 0)
        tasks[k / 2].check(is_long ? (k % 2 == 0 ? TablePart::first_half : TablePart::second_half)
                                   : TablePart::whole);
    });
    for (const std::size_t i : some) out[i] = tasks[i].finish();
  }
  return out;
}

void Batch::commit(const std::vector<fs::path>& stale) {
  assert(!state_->committed);
  try {
    state_->back_up();
    state_->rename_all();
    state_->move_stale(stale);
    state_->flush_folders();
  } catch (const SystemFailure& reason) {
    const std::string left = state_->undo();
    if (left.empty()) throw;
    throw SystemFailure(reason.what() + left);
  }
  state_->committed = true;
  state_->clean();  // what cannot be removed now is tried once more by the destructor
}

}  // namespace deckmark
