#pragma once
/// What changed between what had been told up to one issue and what is handed out now.

#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "issues/ledger.h"

namespace deckmark {

enum class Change : std::uint8_t {
  fresh,
  moved,
  dropped,
  returned,
  renamed,
  refit,
  gone,
  raised,
  lowered,
  longer,
  shorter,
  passed  ///< to another crew, or from one
};
/// `new`, `moved`, ...
std::string_view change_word(Change c);

/// A number that may have changed: its row up to the issue compared with (none: it was not there), and a
/// handle of its row now.
struct Candidate {
  std::uint32_t number;
  std::uint32_t before, now;
};
/// The row behind a handle.
using RowNow = std::function<LedgerRow(std::uint32_t now)>;

struct ChangeRow {
  std::uint32_t number = 0;
  Change change = Change::fresh;
  What what = What::floor;
  std::uint32_t now = kNone32;   ///< handle of the row now
  std::uint32_t told = kNone32;  ///< the ledger row with the place last told; of `renamed` to a new number,
                                 ///< of the number that it replaces; none: new
};

/// Changes by number, then floor, deck, bracket, cut, against the places last told up to an issue (0: nothing
/// had been told). A place is told that lies over 1 mm from there, so that what creeps is told. `candidates`
/// ascend and hold every number that has a row after that issue.
std::vector<ChangeRow> changes_of(const Ledger& ledger, std::uint32_t since,
                                  std::span<const Candidate> candidates, const RowNow& now);
/// Numbers with a row after `since`; the handle is the ledger's row.
std::vector<Candidate> candidates_since(const Ledger& ledger, std::uint32_t since);
/// The row by which a number's place was last told, from its row at that time; itself where it was not told.
std::uint32_t told_row(const Ledger& ledger, std::uint32_t row, What what);

/// Whether a crew is one of those in a cell of the ledger, without regard to letter case.
bool has_crew(std::string_view crews, std::string_view crew);
/// Changes of the numbers that a crew has now or had at `since`, out of `changes` of all: a number that came
/// to it or went from it is `passed` in place of moved, refit and renamed; one whose place a number of
/// another crew took is dropped.
std::vector<ChangeRow> crew_changes(const Ledger& ledger, std::span<const Candidate> candidates,
                                    std::span<const ChangeRow> changes, const RowNow& now,
                                    std::string_view crew);

/// What a change says beside its word.
struct ChangeBy {
  std::optional<Vec<Drawing>> moved;  ///< of `moved`
  std::optional<Vec<Site>> refit;     ///< of `refit`
  std::optional<Length> up;           ///< of a height or a length that has another one
  std::optional<KeptSite> old_place;
  Kept old_elevation = Kept::none();
};
ChangeBy change_by(const Ledger& ledger, const ChangeRow& change, const RowNow& now);

/// By which issue each row of a new issue was told, in the order of `candidates`, whose changes these are.
std::vector<ToldIn> told_by(const Ledger& ledger, std::uint32_t issue, std::span<const Candidate> candidates,
                            std::span<const ChangeRow> changes);

}  // namespace deckmark
