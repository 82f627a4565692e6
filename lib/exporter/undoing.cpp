#include "exporter/undoing.h"

#include <system_error>

#include "exporter/staged_file.h"

namespace deckmark {

namespace fs = std::filesystem;

/// Gives earlier content a name that nothing removes.
void Undoing::keep(std::string& from, const fs::path& target) {
  if (from.empty()) return;
  const std::string kept = keep_file(calls_, from, target);
  if (kept.empty())
    left_ +=
        "; what " + target.string() + " held before is in " + from + ": copy it, the next run removes it";
  else
    left_ += "; what " + target.string() + " held before is in " + kept + ": mv it back, or delete it";
  if (!kept.empty()) retried([&] { return calls_.unlink(from.c_str()); });
  from.clear();  // nothing removes it
}

bool Undoing::put_back(std::string& from, const fs::path& to) {
  if (retried([&] { return calls_.rename(from.c_str(), to.c_str()); }) == 0) {
    // Of two names of one file, where a target stands in the batch twice, a rename takes none away.
    std::error_code none;
    if (fs::exists(fs::symlink_status(from, none))) retried([&] { return calls_.unlink(from.c_str()); });
    from.clear();
    unflushed_.insert(folder_of(to));
    return true;
  }
  left_ += "; " + to.string() + " could not be put back (" + reason_text(errno) + ")";
  keep(from, to);
  return false;
}

void Undoing::take_away(PlacedFile& entry) {
  if (stopped_) return keep(entry.backup, entry.target);
  if (!entry.backup.empty()) {
    stopped_ = !put_back(entry.backup, entry.target);
    return;
  }
  unflushed_.insert(folder_of(entry.target));
  if (retried([&] { return calls_.unlink(entry.target.c_str()); }) == 0 || errno == ENOENT) return;
  left_ += "; the new " + entry.target.string() + " could not be removed (" + reason_text(errno) + ")";
  stopped_ = true;
}

void Undoing::cut_off(const PlacedFile& entry) {
  if (stopped_) {
    left_ += "; what was added to " + entry.target.string() + " stays";
    return;
  }
  // What a later file held before is back before the rows behind it are gone, through a power cut too.
  for (const fs::path& folder : unflushed_)
    (void)retried([&] { return calls_.flush_folder(folder.c_str()); });
  unflushed_.clear();
  try {
    cut_back(calls_, entry.target, *entry.before);
  } catch (const SystemFailure& reason) {
    left_ += std::string("; ") + reason.what() + ": what was added to it stays";
    stopped_ = true;
  }
}

/// Behind rows that stay it would stand in the middle.
void Undoing::undo(Tail& tail) {
  if (!tail.torn_before) return;
  const auto say = [&] { left_ += "; the end of " + tail.target.string() + " is in " + tail.torn.string(); };
  if (stopped_) return say();
  try {
    put_tail_back(calls_, tail);
  } catch (const SystemFailure& reason) {
    left_ += std::string("; ") + reason.what();
    say();
  }
}

}  // namespace deckmark
