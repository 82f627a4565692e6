#pragma once
/// Private to the room: the keys and tables of baseline checks and of the offset sheet.

#include "job/job.h"
#include "job/job_file.h"
#include "job/tables.h"

namespace deckmark {

/// `dimensions`, `dimension_tolerance` and `lines` of [drawing].
void read_drawing_checks(SectionReader& drawing, Job& job, TableLoader& tables, Messages& messages);
/// `setout` with its figures, `lengths`, `tape_standard` and `signed` of [baselines].
void read_baseline_checks(SectionReader& baselines, Job& job, TableLoader& tables, Messages& messages);
/// [offsets]; finishes the section. `wanted`: whether the job has it.
void read_offsets(SectionReader& offsets, bool wanted, Job& job);

/// A file that `baseline --sign` wrote. Problems: not such a file, or changed since.
void read_signed(const TableKey& key, Job& job, TableLoader& tables, Messages& messages);

}  // namespace deckmark
