#pragma once
/// Private to the room: the file that several storeys share.

#include "job/job.h"
#include "job/job_file.h"
#include "job/parts.h"

namespace deckmark {

/// Puts what the file behind `site_file` says beside what the job file says, section by section and key by
/// key, each value with its place; a list of sections is taken whole. Where both state a key, the job file's
/// value stays: a doubt, unless the two are one. Problems: a file that cannot be read, or holds more than
/// storeys share. The file becomes one of the job's inputs.
void take_site_file(JobValue& root, Job& job, PartMessages& told);

}  // namespace deckmark
