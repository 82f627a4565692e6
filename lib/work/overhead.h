#pragma once
/// Private to the room: runs, bays, obstructions and cuts as stages and tables.

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "table/written.h"
#include "work/stages.h"

namespace deckmark {

/// Corners by the name of their outline, in the order of first mention; problems name the corner.
struct NamedOutline {
  std::string name;
  std::size_t first_row = 0;
  std::vector<std::size_t> rows;
  std::optional<Outline> outline;
};
std::vector<NamedOutline> gather_outlines(const std::vector<StatedCorner>& corners, const ReadTable& table,
                                          std::string_view field, Messages& messages);

/// Bays with their outlines and what they state; problems: outlines, elevations or flutes that contradict
/// themselves.
void read_bays(const Job& job, OverheadFound& out, Messages& messages);
/// The deck of every bay, the bay of every mark, the steps.
void lift_bays(const Job& job, Found& found, Messages& messages);
/// Tells what fitted deck shots show.
void tell_deck(const Job& job, const DeckResult& result, std::span<const std::size_t> shots,
               Messages& messages);
/// Cuts of all hangers, packed into stock pieces. Problem: a cut over the stock length.
void cut_hangers(const Job& job, Found& found, Messages& messages);

enum class OverheadTable : std::uint8_t { hangers, trapezes, piece_marks, crossings, parts };
/// Null where the job has no such data.
std::unique_ptr<WrittenTable> overhead_table(OverheadTable which, const Job& job, const Found& found);
/// What the crew wants to know of it, in words; empty where the job has none.
std::string overhead_part(const Job& job, const Found& found);

}  // namespace deckmark
