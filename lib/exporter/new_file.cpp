#include "exporter/new_file.h"

#include <cerrno>
#include <set>
#include <vector>

#include "exporter/staged_file.h"
#include "exporter/stopping.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

// Another job that works in this folder may clear the temporary file away: then it is written again.
constexpr int kTries = 10;

/// Removes what it names at the end of its scope.
struct Removed {
  const FileCalls& calls;
  std::string name;
  ~Removed() {
    if (!name.empty()) retried([&] { return calls.unlink(name.c_str()); });
  }
};

/// Folders that go again unless they are kept.
struct MadeFolders {
  const FileCalls& calls;
  std::vector<fs::path> paths;
  ~MadeFolders() {
    for (auto folder = paths.rbegin(); folder != paths.rend(); ++folder) calls.remove_folder(folder->c_str());
  }
};

void fill(StagingFile& file, const std::string& text) {
  file.write(text.data(), text.size());
  file.flush();
  file.check(text);
  file.close();
}

bool write_in_place(const FileCalls& calls, const fs::path& target, const std::string& text) {
  StagingFile file(calls, target);
  if (!file.is_open()) return false;
  Removed half{calls, target.string()};
  fill(file, text);
  half.name.clear();
  return true;
}

/// True where the file has its name now.
bool put_in_place(const FileCalls& calls, const fs::path& target, const std::string& text) {
  for (int i = 0;; ++i) {
    Removed temporary{calls, {}};
    StagingFile file(calls, target, temporary.name);
    fill(file, text);
    if (retried([&] { return calls.link(temporary.name.c_str(), target.c_str()); }) == 0) return true;
    const int reason = errno;
    if (reason == EEXIST) return false;
    if (cannot_link(reason)) return write_in_place(calls, target, text);
    if (reason != ENOENT || i + 1 == kTries) throw failure("put in place", target, reason);
  }
}

}  // namespace

bool write_new_file(const fs::path& target, const std::string& text, const FileCalls& calls) {
  FileStep step;
  MadeFolders made{calls, {}};
  if (target.has_parent_path()) make_folders(calls, target.parent_path(), made.paths);
  if (!put_in_place(calls, target, text)) return false;
  Removed unsafe{calls, target.string()};  // what may not last is not there
  std::set<fs::path> folders{folder_of(target)};
  for (const fs::path& folder : made.paths) folders.insert(folder_of(folder));
  for (const fs::path& folder : folders) flush_folder(calls, folder);
  unsafe.name.clear();
  made.paths.clear();
  step.done();
  return true;
}

}  // namespace deckmark
