#pragma once
/// Private to the room: what its commands share, from a computed job to words.

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "job/job.h"
#include "pages/heights_part.h"
#include "report/baseline_page.h"
#include "report/release_text.h"
#include "work/computation.h"
#include "work/run.h"

namespace deckmark {

/// Reads a job and computes it. `before_ledger` as for `read_job`.
std::unique_ptr<Computation> computed(const JobRequest& request, Need need,
                                      const BeforeLedger& before_ledger = {});
/// How it stands, without text or table.
JobOutcome outcome_of(const Standing& standing);
/// What ended with problems.
JobOutcome ended_with_problems();

BaselinePage baselines_of(const Computation& c);
/// Empty where the job has no such data, likewise below. `details`: figures of statistics too.
std::string setups_of(const Computation& c, bool details = false);
std::string ground_of(const Computation& c);
HeightsPage heights_of(const Computation& c, const HeightsFound& found);
/// Everything that was found, in words. `rest`: where rows stand that find no room in it.
std::string stages_text(const Computation& c, std::string_view rest);
/// What was released for drilling.
std::vector<ReleaseLine> releases_of(const Job& job);
/// Shots of another floor, where there are any.
void tell_floors(const Computation& c, Messages& messages, Grade grade);

}  // namespace deckmark
