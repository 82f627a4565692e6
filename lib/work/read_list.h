#pragma once
/// Private to the room: a list as an instrument gave it back.

#include <filesystem>
#include <memory>
#include <optional>

#include "exporter/list_options.h"
#include "issues/compare.h"
#include "table/message.h"
#include "table/source.h"

namespace deckmark {

struct ListRead {
  ReadList list;
  std::shared_ptr<const Source> source;
};
/// Reads a list with or without a header line, whatever separates its cells; without one the columns are
/// those of [list]. Problems: a file that cannot be read or is no such table, values that are no numbers, no
/// row with a number of a mark.
std::optional<ListRead> read_list(const std::filesystem::path& file, const ListOptions& options,
                                  Messages& messages);

}  // namespace deckmark
