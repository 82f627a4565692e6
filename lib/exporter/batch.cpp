#include "exporter/batch.h"

#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cassert>
#include <cerrno>
#include <cstring>
#include <set>
#include <system_error>
#include <thread>

#include "exporter/file_tasks.h"
#include "exporter/staged_file.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

constexpr std::size_t kOpenAtOnce = 64;

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
  // The system frees the pages of a long file within the call: two threads halve the wait.
  std::atomic<std::size_t> next{0};
  const auto work = [&] {
    for (std::size_t i = next++; i < entries.size(); i = next++) {
      remove(entries[i].temporary);
      remove(entries[i].backup);
    }
  };
  std::thread other;
  try {
    if (entries.size() > 1) other = std::thread(work);
  } catch (const std::system_error&) {
    // No second thread to be had: this one does it all.
  }
  work();
  if (other.joinable()) other.join();
  for (Moved& file : moved) remove(file.to);
  if (committed) return;
  for (auto folder = made_folders.rbegin(); folder != made_folders.rend(); ++folder) {
    calls.remove_folder(folder->c_str());  // stays where something else has been put into it
  }
  made_folders.clear();
}

Batch::Batch(const FileCalls& calls) : state_(std::make_unique<State>(calls)) {}

Batch::~Batch() { state_->clean(); }

void Batch::make_folder(const fs::path& folder) { make_folders(state_->calls, folder, state_->made_folders); }

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

  std::vector<StagedFile> out(files.size());
  // A job split by run can have very many short files: they are not all open at once.
  for (std::size_t from = 0; from < files.size(); from += kOpenAtOnce) {
    const std::size_t to = std::min(files.size(), from + kOpenAtOnce);
    std::vector<std::unique_ptr<FileTask>> tasks;
    for (std::size_t i = from; i < to; ++i)
      tasks.push_back(
          std::make_unique<FileTask>(state_->calls, files[i], state_->entries[before + i].temporary));
    write_and_check(tasks);
    for (std::size_t i = from; i < to; ++i) out[i] = tasks[i - from]->finish();
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
