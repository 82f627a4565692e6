#pragma once
/// One file that replaces none.

#include <filesystem>
#include <string>

#include "exporter/batch.h"

namespace deckmark {

/// Writes a file under a name that nothing has: under a temporary name, flushed, read back, compared, then
/// given its name in one step, so that of several who try at once one alone succeeds and no half file shows.
/// Missing folders are made. False: something has the name; then nothing is changed. Throws SystemFailure,
/// and then nothing is left behind. Needs no lock. CAVEAT  on a file system without hard links the file is
/// written under its name at once, still by one alone; a process killed meanwhile leaves it half.
[[nodiscard]] bool write_new_file(const std::filesystem::path& target, const std::string& text,
                                  const FileCalls& calls = system_file_calls());

}  // namespace deckmark
