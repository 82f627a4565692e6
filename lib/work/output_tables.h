#pragma once
/// Private to the room: the tables that a job writes, each described by one row function.

#include <memory>
#include <string>
#include <vector>

#include "table/written.h"
#include "work/stages.h"

namespace deckmark {

/// A numbered list and which marks stand in it.
struct ListFile {
  std::string run;                ///< as part of a file name; only where lists are split
  BigVector<std::uint32_t> rows;  ///< marks, in the order of the list
  enum class Level : std::uint8_t { floor, deck, together } level = Level::floor;
};

std::unique_ptr<WrittenTable> points_table(const Job& job, const Found& found);
std::unique_ptr<WrittenTable> plumb_table(const Job& job, const Found& found);
std::unique_ptr<WrittenTable> asbuilt_table(const Job& job, const Found& found);
std::unique_ptr<WrittenTable> causes_table(const Job& job, const Found& found);
std::unique_ptr<WrittenTable> baseline_table(const Job& job, const Found& found);
std::unique_ptr<WrittenTable> offsets_table(const Job& job, const Found& found);
bool has_checks(const Found& found);
std::unique_ptr<WrittenTable> checks_table(const Job& job, const Found& found);
std::unique_ptr<WrittenTable> changes_table(const Job& job, const Found& found);
std::unique_ptr<WrittenTable> ledger_table(const Job& job, const Found& found);
std::unique_ptr<WrittenTable> list_table(const Job& job, const Found& found, ListFile list);

/// Setups that were computed.
bool has_setups(const Found& found);
std::unique_ptr<WrittenTable> setup_table(const Job& job, const Found& found);
std::unique_ptr<WrittenTable> sights_table(const Job& job, const Found& found);
/// Of one setup, or of all.
std::unique_ptr<WrittenTable> shots_table(const Job& job, const Found& found,
                                          std::optional<std::size_t> setup = std::nullopt);
std::unique_ptr<WrittenTable> stake_table(const Job& job, const Found& found, StakeList list);
/// The same columns, with the radius that holds 95 % and whether that is within the tolerance in plan.
std::unique_ptr<WrittenTable> plan_table(const Job& job, const Found& found, StakeList list);
/// Flags in words, joined by a blank.
std::string flag_words(const StakeFlags& flags);

/// Whether `[list] only` leaves the mark in the lists.
bool is_listed(const Job& job, std::size_t mark);
/// The lists that the job asks for. Problems: two runs that would have one file name.
std::vector<ListFile> list_files(const Job& job, const Found& found, Messages& messages);
/// What is to be told about the lists: separators replaced, descriptions that became equal, names like
/// formulas.
void look_at_lists(const Job& job, const Found& found, Messages& messages);

}  // namespace deckmark
