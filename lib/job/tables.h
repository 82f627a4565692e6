#pragma once
/// Private to the room: readers of the tables that a job names.

#include <future>
#include <span>

#include "job/job.h"
#include "job/job_file.h"

namespace deckmark {

/// Opens and reads tables for one job, and tells what is wrong with them.
class TableLoader {
 public:
  TableLoader(Job& job, Messages& messages) : job_(job), messages_(messages) {}
  void drawing_points(const TableKey& key);
  void control(const TableKey& key);
  /// Control in a map projection, or as latitude and longitude.
  void grid_control(const TableKey& key);
  /// The projection that a table says its northings and eastings are in; null where they are ground ones.
  const GroundJob* grid_of(const TableKey& key) const;
  void ties(const TableKey& key, Length tie_sd, Length tolerance);
  void deck_shots(const TableKey& key);
  void deck_marks(const TableKey& key);
  void ledger(const std::string& file);
  void asbuilt(const TableKey& key);
  /// Reads the ledger's bytes on another thread, beside the drawing's. `file` as the job names it.
  void fetch_ledger(const std::filesystem::path& path, const std::string& file);

  /// The table behind a key; none where it cannot be read or its header is wrong (told).
  std::shared_ptr<const Table> open(const TableKey& key, TableSpec spec);
  /// The bytes behind a key, as one of the job's inputs; none where it cannot be read (told). `what`: `a
  /// table`.
  std::shared_ptr<const Source> fetch(const TableKey& key, std::string_view what);
  /// Tells every name that stands twice.
  void unique_names(const Table& table, std::span<const std::uint32_t> begins, const NameIndex& index,
                    const TextColumn& names, std::size_t column);

 private:
  std::optional<Table> open_source(std::shared_ptr<const Source> source, const std::filesystem::path& path,
                                   TableSpec spec);
  Job& job_;
  Messages& messages_;
  std::filesystem::path fetched_path_;
  std::future<std::variant<std::shared_ptr<const Source>, Unreadable>> fetched_;
};

/// Doubts control that stands in one place under two names, each with one that it is near to.
void doubt_near_control(const Job& job, Messages& messages);

/// Section `[asbuilt]` and its table.
void read_asbuilt(SectionReader& section, AsbuiltOptions& options, TableLoader& tables);

}  // namespace deckmark
