#pragma once
/// Numbered lists for an instrument: which there are, what they hold, and what is to be told about them.

#include <memory>
#include <string>
#include <vector>

#include "exporter/list_options.h"
#include "job/ground_job.h"
#include "job/stated.h"
#include "lists/columns.h"
#include "stages/crews.h"
#include "stages/laid_out.h"

namespace deckmark {

/// A numbered list and which marks stand in it.
struct ListFile {
  std::string part;               ///< of its file's name: the run where lists are split, or the crew
  BigVector<std::uint32_t> rows;  ///< marks, in the order of the list
  enum class Level : std::uint8_t { floor, deck, together } level = Level::floor;
  CrewShare share = {};
};

extern const OutputSpec kListOutput, kListsOutput, kListGridOutput, kListsGridOutput, kFloorListOutput,
    kFloorListsOutput, kFloorListGridOutput, kFloorListsGridOutput, kDeckListOutput, kDeckListsOutput,
    kDeckListGridOutput, kDeckListsGridOutput;

struct ListsInput {
  const ListOptions& options;  ///< its unit is stated
  const GroundJob& ground;
  const std::vector<ControlPoint>& control;
  const LaidOut& laid;
  Where split, decimals;         ///< the keys of [list]
  const Crews* crews = nullptr;  ///< null in a job without
};
/// The lists that the job asks for, of the whole job, then of each crew: one for all its runs also where
/// lists are split by run. A crew has none of work that it does not do, and none that would be empty.
std::vector<ListFile> list_files(const ListsInput& input);
/// `input` and what it views outlive the table.
std::unique_ptr<WrittenTable> list_table(const ListsInput& input, ListFile list);
/// What is to be told about the lists: separators replaced, descriptions that became equal, names like
/// formulas, decimals that are too few, crews whose list would be empty.
Messages look_at_lists(const ListsInput& input);

}  // namespace deckmark
