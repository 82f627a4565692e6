#include "report/issue_text.h"

#include <fmt/format.h>

#include <limits>

#include "measure/decimal.h"
#include "report/pieces.h"

namespace deckmark {

namespace {

constexpr std::string_view kIssue = "ISSUE ", kDigest = "  digest ",
                           kBegan = "  of the ledger that began with ", kJob = "  job file ",
                           kHighest = "  highest number ever given ";

/// What stands behind the words at the head of a line; nothing where no line begins so.
std::optional<std::string_view> behind(std::string_view text, std::string_view words) {
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    const std::string_view line = text.substr(at, end - at);
    if (line.starts_with(words)) return line.substr(words.size());
    at = end + 1;
  }
  return std::nullopt;
}

}  // namespace

std::string issue_text(const IssueStamp& stamp, std::size_t live) {
  return fmt::format("{}{}: {}\n{}{}\n{}{}\n{}{}\n{}{}\n", kIssue, stamp.issue,
                     plural(live, "live number", "live numbers"), kDigest, stamp.digest, kBegan, stamp.began,
                     kJob, stamp.job, kHighest, stamp.highest);
}

std::optional<IssueStamp> read_issue_text(std::string_view summary) {
  const std::size_t at = summary.find(fmt::format("\n{}", kIssue));
  if (at == std::string_view::npos) return std::nullopt;
  const std::string_view text = summary.substr(at + 1);
  const auto head = behind(text, kIssue), digest = behind(text, kDigest), began = behind(text, kBegan),
             job = behind(text, kJob), highest = behind(text, kHighest);
  if (!head || !digest || !began || !job || !highest) return std::nullopt;
  const auto issue =
      read_count(head->substr(0, head->find(':')), 1, std::numeric_limits<std::uint32_t>::max());
  const auto number = read_count(*highest, 0, std::numeric_limits<std::uint32_t>::max());
  if (!issue || !number) return std::nullopt;
  return IssueStamp{static_cast<std::uint32_t>(*issue), std::string(*digest), std::string(*began),
                    std::string(*job), *number};
}

}  // namespace deckmark
