#pragma once
/// Private to the room: gathers what the page shows.

#include <string>
#include <string_view>
#include <vector>

#include "report/text.h"
#include "work/stages.h"

namespace deckmark {

/// Deck marks with names and numbers, in the order of their table.
std::vector<PlumbLine> plumb_lines(const Job& job, const Found& found);
/// The page of the job. `line`: the first line of the summary; `points_sha256`: of points.csv, by which the
/// page can be told to belong to a list.
std::string page_of(const Job& job, const Found& found, std::string_view line, std::string_view program,
                    std::string_view points_sha256);

}  // namespace deckmark
