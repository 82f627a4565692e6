#pragma once
/// Instrument lists of an issue, made of the ledger alone; and the table of issues.

#include <memory>
#include <optional>
#include <span>
#include <string>

#include "exporter/list_options.h"
#include "issues/given.h"
#include "issues/ledger.h"
#include "lists/instrument_lists.h"
#include "stages/laid_out.h"
#include "terms/output.h"

namespace deckmark {

/// Marks of an issue as the ledger has them, at the places and heights that were handed out. Stays where it
/// is: what it lays out views it.
class IssueMarks {
 public:
  /// `today`: the job as it stands, whose drawing says in which order runs come; without it, and for marks
  /// that it has not, the order is that of numbers. May be null. REQUIRES an issue that is there.
  IssueMarks(const Ledger& ledger, std::uint32_t issue, const LaidOut* today);
  IssueMarks(const IssueMarks&) = delete;
  IssueMarks& operator=(const IssueMarks&) = delete;
  /// False where an earlier version of the program made the issue, and kept no heights.
  bool knows_heights() const { return knows_heights_; }
  LaidOut laid() const;

 private:
  Hung hung_;
  Placed placed_;
  Numbers numbers_;
  std::optional<Decks> decks_;
  Elevation floor_ = Elevation::metres(0);
  bool knows_heights_ = true;
};

/// The name under which a run writes a list.
std::string list_name(const ListOptions& options, const ListFile& list);

extern const std::span<const OutColumn> kIssueColumns;
/// All issues, and who has each.
std::unique_ptr<WrittenTable> issues_table(const std::vector<IssuedRow>& issues,
                                           const std::vector<GivenRow>& given);
/// `north 2026-11-25; west 2026-11-26`.
std::string given_words(std::span<const GivenRow> given, std::uint32_t issue);

}  // namespace deckmark
