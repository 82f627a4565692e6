#pragma once
/// How the runs of a job meet, and the members of which they are made.

#include <optional>
#include <string>
#include <vector>

#include "hanger/members.h"
#include "job/overhead_job.h"
#include "table/message.h"

namespace deckmark {

struct RunMembers {
  CrossingsResult met;
  MembersResult members;
};

struct RunMembersInput {
  const OverheadJob& stated;
  std::span<const Path> paths;     ///< of all runs
  std::optional<Length> height{};  ///< of brackets, where a run states none
  bool mirrored = false;           ///< the drawing looks up
  LengthUnit unit = LengthUnit::metre;
};
/// Problems: runs to be cut by that are none or that contradict one another, reaches of a single member,
/// curves without room for a pair, members without length. Doubts: how runs meet.
RunMembers find_run_members(const RunMembersInput& input, Messages& told);

/// `R1`, or `the left member of R1`.
std::string member_words(const OverheadJob& stated, const Member& member);
/// The run of the runs table by a name, without regard to letter case.
std::optional<std::size_t> run_named(const OverheadJob& stated, std::string_view name);

}  // namespace deckmark
