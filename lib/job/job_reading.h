#pragma once
/// Private to the room: what the readers of a job's parts work on.

#include "job/job_file.h"
#include "job/parts.h"
#include "job/section_reader.h"
#include "job/tables.h"

namespace deckmark {

struct JobReading {
  const JobValue& root;  ///< the job file
  Job& job;
  PartMessages& told;

  /// What the job file says in a section; its problems are those of the part.
  template <const auto& S>
  SectionReader<S> section(Part part) const {
    return SectionReader<S>(root, job.file, told.of(part));
  }
  /// Tables whose messages belong to that part.
  TableLoader tables(Part part) const { return TableLoader(job, told.of(part)); }
  /// As far as the units have been read.
  BareNotations bare() const { return {job.drawing_unit, job.site_unit, job.instrument.angles}; }
};

}  // namespace deckmark
