#pragma once
/// Private to the room: the keys and tables of baseline checks and of the offset sheet.

#include "job/job_reading.h"

namespace deckmark {

/// `lines` of [drawing].
void read_building_lines(const JobReading& in);
/// `dimensions` and `dimension_tolerance` of [drawing].
void read_printed_dimensions(const JobReading& in);
/// `lengths` and `tape_standard` of [baselines].
void read_taped_lengths(const JobReading& in);
/// [offsets].
void read_offsets(const JobReading& in);

/// A file that `baseline --sign` wrote. Problems: not such a file, or changed since, or signed for another
/// file than the one that names it.
void read_signed(const TableKey& key, Job& job, TableLoader& tables, Messages& messages);

}  // namespace deckmark
