#pragma once
/// What a batch did to its files so far, and how it is taken back. Private to the room.

#include <cstdint>
#include <filesystem>
#include <optional>
#include <set>
#include <string>

#include "exporter/batch.h"
#include "exporter/file_end.h"

namespace deckmark {

/// Where one file of the batch stands.
struct PlacedFile {
  std::filesystem::path target;
  How how = How::replace;
  std::string temporary{};  ///< empty: renamed into place, or not yet made
  std::string backup{};     ///< a second name of the file that stood before; empty: none
  std::string sha256{};     ///< of what is to be appended
  bool renamed = false;
  std::optional<std::int64_t> before{};  ///< bytes in the target before it was appended to; none: it was not
};

/// A stale file that was moved out of the way.
struct Moved {
  std::filesystem::path from;
  std::string to;
};

/// Takes back what a commit did, the last first; says what could not be. Where a file cannot be put back,
/// those before it stay as they are: none may be older than a later one.
class Undoing {
 public:
  explicit Undoing(const FileCalls& calls) : calls_(calls) {}
  void undo(PlacedFile& entry) {
    if (entry.before)
      cut_off(entry);
    else if (entry.renamed)
      take_away(entry);
    entry.before.reset();
    entry.renamed = false;
  }
  void undo(Moved& file) { put_back(file.to, file.from); }
  void undo(Tail& tail);
  const std::string& left() const { return left_; }

 private:
  void cut_off(const PlacedFile& entry);
  void take_away(PlacedFile& entry);
  bool put_back(std::string& from, const std::filesystem::path& to);
  void keep(std::string& from, const std::filesystem::path& target);

  const FileCalls& calls_;
  std::string left_;
  std::set<std::filesystem::path> unflushed_;  // folders of files that were put back
  bool stopped_ = false;
};

}  // namespace deckmark
