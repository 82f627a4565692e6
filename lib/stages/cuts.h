#pragma once
/// Cuts of hangers, packed into stock pieces: a function of what hangs, not of a job.

#include <cstdint>
#include <functional>
#include <optional>
#include <string_view>
#include <vector>

#include "hanger/cut_list.h"
#include "hanger/hanger_options.h"
#include "measure/length.h"
#include "stages/plumb.h"
#include "stages/staged.h"

namespace deckmark {

/// How a message names a mark, and where.
struct ToldMark {
  std::string_view name;
  Where at;
  std::string_view field;
};
struct HangerDrop {
  std::uint32_t mark;
  std::optional<Length> drop;
  Length lean = Length::metres(0);  ///< of the deck mark as measured
};
struct CutInput {
  std::vector<HangerDrop> hangers;  ///< those with a rod
  CutOptions options;
  LengthUnit words = LengthUnit::metre;         ///< of messages
  Where job, stock;                             ///< the job file; the key `hangers.stock`
  std::function<ToldMark(std::uint32_t)> mark;  ///< asked only where something is told
};
struct CutsFound {
  std::vector<std::uint32_t> marks;
  std::vector<std::optional<Length>> drops, cuts;
  CutListResult list;  ///< with a stock length and drops; by the order of those that have a cut
  std::vector<std::optional<std::uint32_t>> stock_piece;  ///< of `marks`, from 1
};
/// Problem: a cut over the stock length. Doubt: hangers without a drop. REQUIRES options.wanted().
[[nodiscard]] Staged<CutsFound> cut_hangers(const CutInput& input);

/// The hangers of a job, each with its drop, and its lean where its deck mark was measured (`plumb` may be
/// null).
std::vector<HangerDrop> hanger_drops(const LaidOut& laid, const Plumbed* plumb);

}  // namespace deckmark
