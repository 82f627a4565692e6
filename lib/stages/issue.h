#pragma once
/// What a run hands out: the last issue again, or a new one with the rows in which it differs; and what
/// changed since those that hold earlier lists were told.

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "issues/changes.h"
#include "issues/given.h"
#include "stages/crews.h"
#include "stages/cuts.h"
#include "stages/laid_out.h"
#include "stages/staged.h"

namespace deckmark {

struct IssueStated {
  const Ledger& ledger;
  const std::vector<GivenRow>& given;
  const std::string& revision;
  const std::string& storey;
  const std::int64_t& deck_offset;
  std::string job;  ///< the job file by its path from the ledger's folder
  Where ledger_file, revision_key, floor_key;
  LengthUnit words = LengthUnit::metre;  ///< of messages
};

/// Why changes are told against an earlier issue.
enum class SinceWhy : std::uint8_t {
  asked,
  given,     ///< the last that somebody was given
  revision,  ///< the last of another revision
  before     ///< the one before
};

/// Rows that are handed out now. A handle is a mark, or a row of the ledger.
class RowsNow {
 public:
  static constexpr std::uint32_t kOfLedger = 0x80000000U, kDropped = 0x40000000U;
  /// What is given outlives the rows; `cuts` and `crews` may be null.
  RowsNow(const LaidOut& laid, const CutsFound* cuts, const Crews* crews, const IssueStated& stated);
  LedgerRow operator()(std::uint32_t handle) const;

 private:
  LedgerRow of_mark(std::uint32_t mark) const;
  const LaidOut& laid_;
  const IssueStated& stated_;
  BigVector<Kept> cuts_;
  const Crews* crews_;
};

/// What a crew is told.
struct CrewChanges {
  std::string crew;
  std::vector<ChangeRow> changes;
};

struct IssueFound {
  std::uint32_t number = 0;
  bool is_new = false;
  std::uint32_t live = 0;
  std::int64_t highest = 0;        ///< number that was ever given, floor or deck
  std::vector<Candidate> rows;     ///< of a new issue, by number
  std::vector<ToldIn> told;        ///< of each; empty: all told in this issue
  std::vector<ChangeRow> changes;  ///< as changes.csv has them
  std::uint32_t since = 0;         ///< against what had been told up to this issue
  std::vector<ChangeRow> shown;    ///< as the summary has them
  std::uint32_t shown_since = 0;
  SinceWhy why = SinceWhy::before;
  std::vector<CrewChanges> crews;  ///< in the order of the job file
  RowNow row;                      ///< behind the handles

  LedgerRow new_row(std::size_t i) const;
};

/// `since`: as it was typed; empty: the issue before. Doubts: a revision that came before with other places;
/// a floor that lies elsewhere. Problem: an issue that is not there.
[[nodiscard]] Staged<IssueFound> find_issue(const IssueStated& stated, const LaidOut& laid,
                                            const CutsFound* cuts, const Crews* crews,
                                            const std::string& since);

}  // namespace deckmark
