#pragma once
/// One random history through the real program, every issue held against the account.

#include <cstdint>
#include <map>
#include <string>

#include "account.h"
#include "random_history.h"
#include "support/command.h"

namespace deckmark_test {

class JobFolder;

/// Writes the files of a world and takes away those that it no longer has.
void lay(JobFolder& job, const World& world);
/// `deckmark run . --quiet`, into the world's folder.
CommandResult run_world(const JobFolder& job, const World& world, const std::vector<std::string>& more = {});
/// The first line in which two texts differ, both; empty where they are the same.
std::string first_difference(const std::string& what, const std::string& got, const std::string& want);

/// How often what was met: words of changes, `same issue`, `issue without rows`, ...
using Met = std::map<std::string, int>;

/// Plays a history of so many issues; the first thing that differs, empty where nothing does.
std::string played(std::uint32_t index, int issues, Met& met);

}  // namespace deckmark_test
