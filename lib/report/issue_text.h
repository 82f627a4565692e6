#pragma once
/// The part of the summary that says which issue its lists are, written and read here alone: by it a later
/// run knows what was handed out in a folder.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace deckmark {

struct IssueStamp {
  std::uint32_t issue = 0;
  std::string digest;        ///< of the issue
  std::string began;         ///< digest of the ledger's first issue: which ledger it is
  std::string job;           ///< the job file, from the folder of the summary
  std::int64_t highest = 0;  ///< number that was ever handed out, floor or deck
  friend bool operator==(const IssueStamp&, const IssueStamp&) = default;
};

/// `live`: numbers that are live in it.
std::string issue_text(const IssueStamp& stamp, std::size_t live);
/// What `issue_text` wrote into this summary; nothing where there is none, or it is not as it wrote it.
std::optional<IssueStamp> read_issue_text(std::string_view summary);

}  // namespace deckmark
