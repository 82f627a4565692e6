#pragma once
/// Setups, stake lists and plans in words.

#include <string>
#include <string_view>
#include <vector>

#include "report/reason.h"
#include "stages/setups.h"
#include "stages/stake.h"

namespace deckmark {

/// Every setup that was computed; empty where there is none. `laid`: null where marks have no place on site.
/// `details`: figures of statistics too.
std::string setups_part(const SetupsStated& stated, const Setups& found, const LaidOut* laid,
                        bool details = false);

/// What a stake list or a plan of one setup is told with.
struct StakeWords {
  const JobHead& head;
  const SetupsStated& stated;
  const Setups& found;
  const StakeInput& stake;
  const LaidOut& laid;
};
/// `share`: whose marks.
std::string stake_part(const StakeWords& words, std::size_t setup, const CrewShare& share = {});
/// The stake list as sheets to take along; `verdict` stands in their heads, and `crew` where it is not empty.
/// `issue`: that they belong to.
std::string stake_sheets_of(const StakeWords& words, std::size_t setup, const StakeList& list,
                            std::string_view verdict, std::uint32_t issue, std::string_view crew = {});
std::string plan_part(const StakeWords& words, std::size_t setup);

/// Reasons for the verdict on the whole job.
struct SetupReasons {
  std::vector<Reason> outside;
  std::vector<std::string> unsure;  ///< names of setups
};
SetupReasons setup_reasons(const SetupsStated& stated, const Setups& found, const LaidOut* laid);

}  // namespace deckmark
