#pragma once
/// What a floor needs today as tables: everything, and lists for an instrument that lead to what is to go, to
/// be marked, to be filled.

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "book/today.h"
#include "exporter/list_options.h"
#include "job/ground_job.h"
#include "table/written.h"
#include "terms/output.h"

namespace deckmark {

extern const OutputSpec kTodayOutput, kVoidListOutput, kMarkListOutput, kFillListOutput;

/// REQUIRES a ledger that outlives the table.
std::unique_ptr<WrittenTable> today_table(std::vector<TodayRow> rows, const Ledger& ledger, LengthUnit unit);

enum class TodayList : std::uint8_t { to_void, to_mark, to_fill };
struct TodayListsInput {
  const ListOptions& options;  ///< its unit is stated
  const GroundJob& ground;
  const Ledger& ledger;
  std::int64_t deck_offset = 0;  ///< of numbers that the ledger has not
  bool mirrored = false;         ///< of the drawing
};
/// Floor first, then deck, each in the order of `rows`. An old place is told as `1043X`, on the deck `6043X`,
/// so that no instrument takes it for a live number.
/// `input` and what it views outlive the table.
std::unique_ptr<WrittenTable> today_list(const TodayListsInput& input, TodayList list,
                                         std::span<const TodayRow> rows);
/// Names under which a list has several old places, of which an instrument may keep one alone; in order.
std::vector<std::string> shared_names(const TodayListsInput& input, TodayList list,
                                      std::span<const TodayRow> rows);

}  // namespace deckmark
