#pragma once
/// One random job with a book and revisions through the real program, `today` held against the account.

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "command/findings.h"
#include "today_account.h"

namespace deckmark_test {

class JobFolder;

struct TodayMet {
  std::size_t jobs = 0, unclear = 0, refused = 0;
  std::map<std::string, std::size_t> rows;  ///< `floor leave unchanged`, ... how often
  /// Of things left that were read: all, those that truly are over T away.
  struct Left {
    std::size_t all = 0, falsely = 0;
  };
  Left left_within;
  std::map<std::int64_t, Left> left_unchanged;  ///< by u, micrometres
  std::string told() const;
};

/// The first lines that are wrong; empty where nothing is.
std::vector<std::string> played_today(std::uint32_t index, TodayMet& met);

/// Holds the files that `deckmark today --out DIR` wrote against the account.
void compare_today(const JobFolder& folder, const std::string& dir, const Today& today,
                   const IssuedNumbers& issued, double unit, Findings& findings);

}  // namespace deckmark_test
