#pragma once
/// A file that grows by whole rows, each of them on the disk before it is acknowledged, and its copy on a
/// second disk.

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "exporter/batch.h"
#include "measure/fault.h"

namespace deckmark {

/// A journal that this process holds. In this order: make it, which holds it against a second writer; read
/// the file; `begin` with what was found; `append`. Who only reads holds nothing and sees whole rows, and
/// maybe the beginning of one.
///
/// A signal does not end the process while a row is on its way (`FileStep`). A journal that was made and got
/// no row is removed again.
class HeldJournal {
 public:
  /// Makes the file with that header, its line feed included, where none stands, and holds it until the end
  /// of this object or of the process, whichever comes first. Throws SystemFailure: another process holds it,
  /// or the file can be neither made nor opened.
  HeldJournal(std::filesystem::path path, std::string header, const FileCalls& calls = system_file_calls());
  ~HeldJournal();
  HeldJournal(const HeldJournal&) = delete;
  HeldJournal& operator=(const HeldJournal&) = delete;

  /// What was found in the file since it is held.
  struct Found {
    std::uint64_t covered = 0;     ///< bytes of whole rows, the header among them
    bool lacks_line_feed = false;  ///< the last of these rows has none yet
  };
  struct Places {
    std::filesystem::path torn;           ///< takes what is cut off the end, on a line of its own
    std::filesystem::path copy_folder{};  ///< empty: no copy; the copy is the file of the same name there
  };
  struct Begun {
    /// The copy holds whole rows that the journal has not, or is the journal itself: then nothing was
    /// changed, and nothing may be appended.
    std::optional<Fault> refused{};
    std::uint64_t torn = 0;   ///< bytes that were moved to `Places::torn`
    std::string copy_lost{};  ///< why there is no copy from here on, a sentence; empty: there is one, or none
                              ///< is wanted
  };
  /// Mends the end of the file and brings the copy up to what the file holds. What is torn at the end of the
  /// copy goes to a file beside it, named as `Places::torn`. Throws SystemFailure; the copy's disk is no
  /// reason. REQUIRES to be called once, before `append`.
  [[nodiscard]] Begun begin(const Found& found, const Places& places);
  /// Adds whole rows, in one write where the system takes them in one, flushed and read back; then the same
  /// in the copy. Returns why there is no copy from here on, told once, else nothing. Throws SystemFailure
  /// where the rows are not acknowledged: then they are cut off again as far as the system allows, and no
  /// further row is taken. Rows are refused as well where the file was replaced, or changed by another, since
  /// it is held.
  [[nodiscard]] std::string append(std::string_view rows);

 private:
  std::string without_copy(std::string_view why);

  const FileCalls& calls_;
  std::filesystem::path path_;
  std::string header_;
  bool made_ = false, has_rows_ = false, is_broken_ = true;
  std::unique_ptr<JobLock> lock_;
  std::int64_t size_ = 0;       // bytes; the copy has as many
  std::filesystem::path copy_;  // empty: none
};

}  // namespace deckmark
