#pragma once
/// The chain of issues: each digest is of the one before, of the issue's own row and of its rows in the
/// ledger, so that nothing that was handed out can be changed, dropped or put in between unseen.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "issues/ledger.h"

namespace deckmark {

/// A row of `issued.csv` as far as its digest is of it: issue to folder, as cells of a table, no line end.
std::string issued_head(const IssuedRow& row);
/// What stands before an issue's ledger rows (each ended by a line feed) in what its digest is of.
std::string chain_prefix(std::string_view before, std::string_view head);
/// Digests are told and kept in so many hexadecimal digits of SHA-256.
inline constexpr std::size_t kDigestDigits = 16;

/// What a ledger's text holds of the issues that `issued.csv` names.
struct ChainFound {
  std::size_t covered = 0;    ///< where the rows of the last issue end in the text
  std::size_t uncovered = 0;  ///< rows behind them, never handed out; a torn one counts
  struct Broken {
    std::uint32_t issue;      ///< the first whose rows do not give its digest
    std::size_t begin = 0;    ///< where its rows begin
    std::size_t rows = 0;     ///< that stand there of it
    bool ends_early = false;  ///< the text ends within the issue
  };
  std::optional<Broken> broken;
};
/// `heads`: of each issue, as `issued.csv` has it. Line ends count as line feeds; blank lines and comments do
/// not count. REQUIRES a text that begins with its header.
ChainFound follow_chain(std::string_view text, std::span<const IssuedRow> issues,
                        std::span<const std::string> heads);

/// The highest number, floor or deck, of rows of a ledger that may be spoiled; 0 where none can be read.
std::int64_t highest_number(std::string_view ledger);

/// The table's records: where each begins, blank lines and comments left out, the header first. A record does
/// not run over several lines.
class RecordLines {
 public:
  explicit RecordLines(std::string_view text) : text_(text) {}
  /// The next record without its line end; nothing at the end.
  std::optional<std::string_view> next();
  /// Where the record that came last ends, its line end included.
  std::size_t end() const { return at_; }
  /// Whether it had a line end.
  bool is_whole() const { return whole_; }

 private:
  std::string_view text_;
  std::size_t at_ = 0;
  bool whole_ = true;
};

}  // namespace deckmark
