#pragma once
/// Private to the room: the folder of lists that are no run's.

#include <filesystem>
#include <string>
#include <vector>

#include "table/message.h"

namespace deckmark {

/// Whether nothing but files of these names stands in the folder, so that nobody takes what lies there for
/// one whole where it is two (told else). A folder that is not there is fine.
bool keep_others(const std::filesystem::path& out, const std::vector<std::string>& names, Messages& messages);

}  // namespace deckmark
