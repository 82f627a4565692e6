#pragma once
/// The ledger of a job as it was read, and where it lies.

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "issues/control.h"
#include "issues/given.h"
#include "issues/ledger.h"
#include "table/message.h"
#include "table/reader.h"

namespace deckmark {

/// The files of a ledger. `NAME-issued.csv` stands beside a ledger `NAME.csv`, `issued.csv` beside
/// `numbers.csv`; likewise the others.
struct LedgerFiles {
  std::filesystem::path folder;      ///< of the job file
  std::string file = "numbers.csv";  ///< DEFAULT; from there, as messages name it
  std::filesystem::path path() const { return folder / std::filesystem::path(file); }
  /// A file beside it: `issued`, `given`.
  std::string beside(std::string_view word) const;
  std::filesystem::path path_beside(std::string_view word) const {
    return folder / std::filesystem::path(beside(word));
  }
  /// What to type where the ledger cannot be gone on with: all that is of it goes into a folder of its own
  /// (and what is `also` of it), and numbers begin above all that were given. `job`: the job file as it was
  /// typed.
  std::string begin_anew(const std::filesystem::path& job, std::int64_t above,
                         const std::vector<std::filesystem::path>& also = {}) const;
  /// Where bytes go that were never handed out.
  std::filesystem::path torn() const;
};
/// The folder beside the job into which a ledger is put that cannot be gone on with, and what it begins with.
inline constexpr std::string_view kPutAside = "ledger-before";
inline constexpr std::string_view kIssuedWord = "issued", kGivenWord = "given",
                                  kControlWord = "issued-control";
/// Every file that stands beside a ledger and is of it.
inline constexpr std::string_view kBesideLedger[] = {kIssuedWord, kGivenWord, kControlWord};

/// A file that only grows: how far what it holds counts, in bytes.
struct Journal {
  bool stands = false;
  std::uint64_t size = 0, covered = 0;
  bool ends_in_line = true;  ///< what is covered ends with a line end
};

struct LedgerFound {
  Ledger ledger;
  std::shared_ptr<const Table> table;  ///< null without a ledger
  bool is_from_before = false;         ///< an earlier version's, which the next run turns into issue 1
  Journal numbers, issued, given_file, control_journal;
  std::vector<GivenRow> given;         ///< in the order of the file
  std::vector<IssuedControl> control;  ///< of the issues, in the order of the file
  std::vector<std::shared_ptr<const Source>> sources;
};

}  // namespace deckmark
