#pragma once
/// A job with a past: what stood in its folder after every issue, to be put down again in other folders.

#include <cstdint>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "account.h"
#include "random_history.h"
#include "support/command.h"

namespace deckmark_test {

/// A folder's files by path, as `snapshot` gives them.
using Standing = std::map<std::string, std::string>;

struct Past {
  Past(std::uint32_t index, int issues);
  RandomHistory history;
  Account account;
  std::vector<Standing> after;  ///< by issue, from 1; 0 is empty
  std::string wrong;            ///< why there is no such past
  const Standing& last() const { return after.back(); }
};

/// Puts files down; those that stand there stay.
void put_down(const std::filesystem::path& folder, const Standing& files);

/// `deckmark ARGS` in a folder.
CommandResult deckmark_in(const std::filesystem::path& folder, std::vector<std::string> args);
/// A line typed into a shell that stands in the folder, with the program on its path.
CommandResult typed_in(const std::filesystem::path& folder, const std::string& line);
/// What a refusal says to try, one line each, without repeats.
std::vector<std::string> ways_out(const std::string& err);

/// Rows of a text: the header, then one a line; ends of lines and empty lines do not count.
std::vector<std::string> rows_of(const std::string& bytes);
std::string text_of_rows(const std::vector<std::string>& rows);

}  // namespace deckmark_test
