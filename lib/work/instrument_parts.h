#pragma once
/// Private to the room: what a run says of setups.

#include <string>
#include <string_view>
#include <vector>

#include "work/stages.h"

namespace deckmark {

/// All computed setups, for people; empty where the job has none.
std::string setups_part(const Job& job, const Found& found);
/// The stake list of one setup.
std::string stake_part(const Job& job, const Found& found, std::size_t setup);
/// The same on sheets of paper, each with the verdict on the job in its head. REQUIRES a list that is not
/// empty.
std::string stake_sheets_of(const Job& job, const Found& found, std::size_t setup, const StakeList& list,
                            std::string_view verdict);
/// What a planned spot would be good to.
std::string plan_part(const Job& job, const Found& found, std::size_t setup);

/// What setups contribute to the verdict on the job.
struct SetupReasons {
  std::vector<std::string> outside, unsure;
};
SetupReasons setup_reasons(const Job& job, const Found& found);

}  // namespace deckmark
