#pragma once
/// Private to the room: readers of the tables that a job names.

#include <span>

#include "job/job.h"
#include "job/job_file.h"
#include "job/open_table.h"

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
  void ties(const TableKey& key, Length tie_sd, Length permitted);
  void deck_shots(const TableKey& key);
  void deck_marks(const TableKey& key);
  void asbuilt(const TableKey& key);
  /// The table that is opened next is this one, whatever its key names.
  void give(std::shared_ptr<const Source> source) { given_ = std::move(source); }

  /// The table behind a key; none where it cannot be read or its header is wrong (told).
  template <class Terms, class Places = PlacePairs<>>
  OpenTable<Terms> open(const TableKey& key) {
    return OpenTable<Terms>(open(key, spec_of<Terms, Places>()));
  }
  /// The same of a table whose rows may leave their place to the setups: without any of these the columns
  /// `Place` are required.
  template <class Terms, class Places, const auto&... Place>
  OpenTable<Terms> open_measured(const TableKey& key) {
    TableSpec spec = spec_of<Terms, Places>();
    if (!may_be_sighted()) (..., (spec.columns[Terms::template index<Place>()].required = true));
    return OpenTable<Terms>(open(key, std::move(spec)));
  }
  /// Whether setups may have sighted what a row names.
  bool may_be_sighted() const { return job_.instrument.states_setups; }
  /// The bytes behind a key, as one of the job's inputs; none where it cannot be read (told). `what`: `a
  /// table`.
  std::shared_ptr<const Source> fetch(const TableKey& key, std::string_view what);
  /// Tells every name that stands twice.
  void unique_names(const AnyColumn& column, std::span<const std::uint32_t> begins, const NameIndex& index,
                    const TextColumn& names);

 private:
  std::shared_ptr<const Table> open(const TableKey& key, TableSpec spec);
  Job& job_;
  Messages& messages_;
  std::shared_ptr<const Source> given_;
};

/// Doubts control that stands in one place under two names, each with one that it is near to.
void doubt_near_control(const Job& job, Messages& messages);

struct JobReading;
/// Section `[asbuilt]` and its table.
void read_asbuilt(const JobReading& in);

}  // namespace deckmark
