#pragma once
/// Marks in their order along runs, for what a crew reads.

#include <map>
#include <optional>
#include <string_view>
#include <vector>

#include "stages/laid_out.h"

namespace deckmark {

/// Of every mark, how far it stands along its run from the run's first hanger, in the drawing; nothing
/// without a run. Along a run of the runs table the run itself is followed (an arc along the arc), else the
/// straight joins of its points. A support of a trapeze stands at its foot on the run: below zero before the
/// first hanger, on a ring behind the last.
std::vector<std::optional<Length>> along_runs(const JobMarks& marks, const Overhead& overhead,
                                              const std::vector<StatedRun>& runs);
/// Brings marks of one run into the order along it.
void sort_along(std::vector<std::uint32_t>& marks, const std::vector<std::optional<Length>>& along);

/// The line of a run of the runs table; null for other runs.
const Path* line_of_run(const JobMarks& marks, const Overhead& overhead, const std::vector<StatedRun>& runs,
                        std::uint32_t word);

/// The two members beside the marks of a run.
struct PairBeside {
  Length by;               ///< from the run's line to the middle of each
  bool is_curved = false;  ///< they are called inside and outside, else left and right
  bool is_all = true;      ///< both are there beside every hanger of the run
};
/// By the word of their run; runs with one member, and those without hangers, are not there.
std::map<std::uint32_t, PairBeside> pairs_of_runs(const JobMarks& marks, const Overhead& overhead);

/// Deck minus bracket where a hanger goes straight down; nothing where a trapeze takes its place.
std::optional<Length> straight_drop(const LaidOut& laid, std::size_t mark);
/// What a sheet says of a hanger that has no straight drop: `trapeze -a -b`; empty of all others.
std::string_view in_place_of_drop(const JobMarks& marks, const Overhead& overhead, std::size_t mark);

}  // namespace deckmark
