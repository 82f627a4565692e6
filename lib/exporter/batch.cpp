#include "exporter/batch.h"

#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cassert>
#include <cerrno>
#include <cstring>
#include <fstream>
#include <set>
#include <system_error>

#include "exporter/file_end.h"
#include "exporter/file_tasks.h"
#include "exporter/staged_file.h"
#include "exporter/stopping.h"
#include "exporter/undoing.h"
#include "measure/side_by_side.h"

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

/// Inode of a plain file; 0 where there is none of that name. A rename does not change it.
std::uint64_t inode_of(const fs::path& path) {
  struct stat status {};
  return ::lstat(path.c_str(), &status) == 0 && S_ISREG(status.st_mode) ? status.st_ino : 0;
}

/// A line of an account: the inode that the file has once it stands there, and its name.
struct Accounted {
  std::uint64_t inode = 0;
  std::string name;
};

/// What accounts of killed batches in the folder say, as far as it is still true.
std::vector<Accounted> accounted_in(const fs::path& folder) {
  std::vector<Accounted> out;
  for (const fs::path& account : hidden_files(folder, HiddenFile::account)) {
    std::ifstream in(account);
    Accounted line;
    while (in >> line.inode && in.get() == ' ' && std::getline(in, line.name))
      if (line.inode != 0 && line.name.find('/') == std::string::npos && !line.name.starts_with('.') &&
          inode_of(folder / line.name) == line.inode)
        out.push_back(line);
  }
  return out;
}

}  // namespace

struct Batch::State final : Unfinished {
  const FileCalls& calls;
  std::vector<std::unique_ptr<JobLock>> locks;  // released last, when the folders that it made are gone
  std::vector<PlacedFile> entries;
  std::vector<Tail> tails;
  std::vector<Moved> moved;
  std::optional<fs::path> unflushed_folder;  // of the file that was renamed last
  std::vector<fs::path> made_folders;
  std::set<fs::path> cleaned;
  std::vector<fs::path> held;  // by `locks`
  std::optional<fs::path> account_folder;
  std::string account;
  bool committed = false;

  explicit State(const FileCalls& c) : calls(c) {}
  void hold(const fs::path& folder);
  void hold_growing(const fs::path& target);
  void remove(std::string& name);
  void remove_parts(const fs::path& folder);
  void back_up();
  void write_account(const std::vector<fs::path>& stale);
  void put_all(std::size_t from, std::size_t to);
  void put(PlacedFile& entry);
  void move_stale(const std::vector<fs::path>& stale);
  void flush_folders();
  std::string undo();
  void clear_away();
  void clean();
  void sweep() override;
};

void Batch::State::hold(const fs::path& folder) {
  const auto is_held = [&](const auto& lock) { return lock->is_on(folder); };
  if (std::ranges::any_of(locks, is_held)) return;
  locks.push_back(std::make_unique<JobLock>(folder));
  held.push_back(folder);
}

/// Finds what would keep the commit from changing this file, and holds the folder where a link leads: others
/// may come to it by its own name.
void Batch::State::hold_growing(const fs::path& target) {
  check_target(target);
  std::error_code none;
  if (const auto file = StagingFile::existing(calls, target)) file->close();
  if (const fs::path real = fs::canonical(target, none); !none) hold(folder_of(real));
}

/// Removes a temporary file; the name is forgotten when it is gone.
void Batch::State::remove(std::string& name) {
  if (name.empty()) return;
  if (retried([&] { return calls.unlink(name.c_str()); }) == 0 || errno == ENOENT) name.clear();
}

/// Removes half-written files that a killed batch left in the folder.
void Batch::State::remove_parts(const fs::path& folder) {
  const auto is_own = [&](const fs::path& path) {
    return std::ranges::any_of(
        entries, [&](const PlacedFile& e) { return fs::path(e.temporary).filename() == path.filename(); });
  };
  // One that cannot be removed does no harm: new hidden names avoid it.
  for (const fs::path& path : hidden_files(folder, HiddenFile::part))
    if (!is_own(path)) retried([&] { return calls.unlink(path.c_str()); });
}

void Batch::State::back_up() {
  for (PlacedFile& entry : entries)
    if (entry.how == How::replace) back_up_file(calls, entry.target, entry.backup);
}

void Batch::State::write_account(const std::vector<fs::path>& stale) {
  if (!account_folder) return;
  std::string text;
  const auto add = [&](std::uint64_t inode, const std::string& name) {
    if (inode != 0 && name.find('\n') == std::string::npos) text += std::to_string(inode) + " " + name + "\n";
  };
  const auto is_here = [&](const fs::path& path) {
    return folder_of(path).lexically_normal() == account_folder->lexically_normal();
  };
  for (const PlacedFile& entry : entries)
    if (entry.how == How::replace && is_here(entry.target))
      add(inode_of(entry.temporary), entry.target.filename().string());
  for (const fs::path& path : stale)
    if (is_here(path)) add(inode_of(path), path.filename().string());
  for (const Accounted& line : accounted_in(*account_folder)) add(line.inode, line.name);
  StagingFile file(calls, *account_folder / "account", account, HiddenFile::account);
  file.write(text.data(), text.size());
  file.flush();
  file.close();
  flush_folder(calls, *account_folder);
}

void Batch::State::put(PlacedFile& entry) {
  const fs::path folder = folder_of(entry.target);
  // A folder is flushed before a file of another one is replaced, and before rows are added, so that the
  // order holds through a power cut too.
  if (unflushed_folder && (entry.how == How::append || *unflushed_folder != folder)) {
    flush_folder(calls, *unflushed_folder);
    unflushed_folder.reset();
  }
  if (entry.how == How::append &&
      add_to_end(calls, entry.temporary, entry.sha256, entry.target, entry.before))
    return;
  if (retried([&] { return calls.rename(entry.temporary.c_str(), entry.target.c_str()); }) != 0)
    throw failure("put in place", entry.target, errno);
  entry.temporary.clear();
  entry.renamed = true;
  unflushed_folder = folder;
}

void Batch::State::put_all(std::size_t from, std::size_t to) {
  for (std::size_t i = from; i < to; ++i) put(entries[i]);
}

/// Stale files are moved to a temporary name first: until the end they can come back.
void Batch::State::move_stale(const std::vector<fs::path>& stale) {
  for (const fs::path& path : stale) {
    std::error_code ignored;
    if (!fs::is_regular_file(fs::symlink_status(path, ignored))) continue;
    const auto is_made = [&](const PlacedFile& e) {
      return e.target.lexically_normal() == path.lexically_normal();
    };
    if (std::any_of(entries.begin(), entries.end(), is_made)) continue;
    std::string to = new_hidden_name(HiddenFile::old, path.parent_path(), path.filename().string());
    if (retried([&] { return calls.rename(path.c_str(), to.c_str()); }) != 0) {
      if (errno == ENOENT) continue;
      throw failure("remove", path, errno);
    }
    moved.push_back({path, std::move(to)});
  }
}

void Batch::State::flush_folders() {
  std::set<fs::path> folders;
  for (const PlacedFile& entry : entries) folders.insert(folder_of(entry.target));
  for (const Moved& file : moved) folders.insert(folder_of(file.from));
  for (const fs::path& folder : made_folders) folders.insert(folder_of(folder));
  for (const fs::path& folder : folders) flush_folder(calls, folder);
}

std::string Batch::State::undo() {
  Undoing undoing(calls);
  const std::size_t last = entries.empty() ? 0 : entries.size() - 1;
  if (!entries.empty()) undoing.undo(entries[last]);
  for (auto file = moved.rbegin(); file != moved.rend(); ++file) undoing.undo(*file);
  moved.clear();
  for (std::size_t i = last; i-- > 0;) undoing.undo(entries[i]);
  for (auto tail = tails.rbegin(); tail != tails.rend(); ++tail) undoing.undo(*tail);
  if (!undoing.left().empty()) account.clear();  // what could not be undone stays known by it
  return undoing.left();
}

/// Removes what killed batches kept for the case that this one fails too. One without an account makes only
/// some of a folder's files: what others held before stays.
void Batch::State::clear_away() {
  for (const fs::path& folder : cleaned)
    for (const fs::path& old : hidden_files(folder, HiddenFile::old)) {
      const fs::path target = folder / hidden_name(old.filename().string())->target;
      const auto is_target = [&](const PlacedFile& e) {
        return e.target.lexically_normal() == target.lexically_normal();
      };
      if (account_folder || std::ranges::any_of(entries, is_target))
        retried([&] { return calls.unlink(old.c_str()); });
    }
  if (account_folder)
    for (const fs::path& file : hidden_files(*account_folder, HiddenFile::account))
      retried([&] { return calls.unlink(file.c_str()); });
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
  if (entries.size() > 1)
    side_by_side(work, work);
  else
    work();
  for (Moved& file : moved) remove(file.to);
  if (committed) return clear_away();
  remove(account);
  for (auto folder = made_folders.rbegin(); folder != made_folders.rend(); ++folder) {
    calls.remove_folder(folder->c_str());  // stays where something else has been put into it
  }
  made_folders.clear();
}

/// As `clean` of a batch that is not committed, with nothing but calls of the system.
void Batch::State::sweep() {
  if (committed) return;
  for (const PlacedFile& entry : entries)
    for (const std::string* name : {&entry.temporary, &entry.backup})
      if (!name->empty()) calls.unlink(name->c_str());
  for (auto folder = made_folders.rbegin(); folder != made_folders.rend(); ++folder)
    calls.remove_folder(folder->c_str());
}

Batch::Batch(const FileCalls& calls) {
  const FileStep step;
  state_ = std::make_unique<State>(calls);
}

Batch::~Batch() {
  const FileStep step;
  try {
    state_->clean();
  } catch (const std::exception&) {
    // Without memory to look for more: the next batch removes what is left.
  }
  state_.reset();
}

void Batch::make_folder(const fs::path& folder) {
  const FileStep step;
  make_folders(state_->calls, folder, state_->made_folders);
}

void Batch::hold_folder(const fs::path& named) {
  const FileStep step;
  const fs::path folder = named.empty() ? fs::path(".") : named;
  const std::size_t before = state_->made_folders.size();
  make_folder(folder);
  try {
    state_->hold(folder);
  } catch (...) {
    state_->made_folders.resize(before);  // who was quicker to hold it wants it
    throw;
  }
}

void Batch::keep_account(const fs::path& folder) { state_->account_folder = folder; }

std::vector<StagedFile> Batch::stage(std::vector<OutputFile> files) {
  assert(!state_->committed);
  const FileStep step;
  for (const OutputFile& file : files) {
    if (file.how == How::append)
      state_->hold_growing(file.target);
    else
      check_target(file.target);
  }
  // Also where this batch puts nothing: a folder is held because others of its kind do.
  for (const fs::path& folder : state_->held)
    if (state_->cleaned.insert(folder).second) state_->remove_parts(folder);
  for (const OutputFile& file : files) {
    const fs::path folder = folder_of(file.target);
    if (!state_->cleaned.insert(folder).second) continue;
    std::error_code none;
    if (fs::is_directory(folder, none)) state_->hold(folder);
    state_->remove_parts(folder);
  }
  const std::size_t before = state_->entries.size();
  for (const OutputFile& file : files) state_->entries.push_back({file.target, file.how});

  std::vector<StagedFile> out(files.size());
  // A job split by run can have very many short files: they are not all open at once.
  for (std::size_t from = 0; from < files.size(); from += kOpenAtOnce) {
    const std::size_t to = std::min(files.size(), from + kOpenAtOnce);
    std::vector<std::unique_ptr<FileTask>> tasks;
    for (std::size_t i = from; i < to; ++i)
      tasks.push_back(
          std::make_unique<FileTask>(state_->calls, files[i], state_->entries[before + i].temporary));
    write_and_check(tasks);
    for (std::size_t i = from; i < to; ++i) {
      out[i] = tasks[i - from]->finish();
      state_->entries[before + i].sha256 = out[i].sha256;
    }
  }
  return out;
}

void Batch::cut(const fs::path& target, std::uint64_t keep, const fs::path& torn) {
  assert(!state_->committed);
  const FileStep step;
  for (const fs::path& path : {target, torn}) {
    state_->hold_growing(path);
    std::error_code none;
    if (fs::is_directory(folder_of(path), none)) state_->hold(folder_of(path));
  }
  state_->tails.push_back({target, static_cast<std::int64_t>(keep), torn});
}

void Batch::commit(const std::vector<fs::path>& stale) {
  assert(!state_->committed);
  FileStep step;
  if (FileStep::is_asked_to_stop()) throw SystemFailure("stopped");  // which ends the process here
  try {
    // The last file names the others: killed before it, the earlier one still names what is stale.
    const std::size_t all = state_->entries.size(), last = all == 0 ? 0 : all - 1;
    for (Tail& tail : state_->tails) move_tail(state_->calls, tail);
    state_->back_up();
    state_->write_account(stale);
    state_->put_all(0, last);
    state_->move_stale(stale);
    state_->put_all(last, all);
    state_->flush_folders();
  } catch (const SystemFailure& reason) {
    step.failed();
    const std::string left = state_->undo();
    if (left.empty()) throw;
    throw SystemFailure(reason.what() + left);
  } catch (...) {
    step.failed();
    try {
      (void)state_->undo();
    } catch (...) {
      // Without memory to say more: it is as if the batch had been killed here.
    }
    throw;
  }
  state_->committed = true;
  step.done();
  state_->clean();  // what cannot be removed now is tried once more by the destructor
}

Interrupted interrupted_in(const fs::path& folder) {
  Interrupted out;
  for (Accounted& line : accounted_in(folder)) out.made.push_back(std::move(line.name));
  for (const fs::path& old : hidden_files(folder, HiddenFile::old)) {
    const auto name = hidden_name(old.filename().string());
    // Before its target was replaced, a second name of it says nothing.
    if (!name->target.empty() && inode_of(folder / name->target) != inode_of(old))
      out.stood_before.push_back({old, folder / name->target});
  }
  return out;
}

}  // namespace deckmark
