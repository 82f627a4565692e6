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
  std::size_t left = 0, falsely = 0, left_within = 0, falsely_within = 0;
  std::string told() const;
};

/// The first lines that are wrong; empty where nothing is.
std::vector<std::string> played_today(std::uint32_t index, TodayMet& met);

/// Holds the files that `deckmark today --out DIR` wrote against the account.
void compare_today(const JobFolder& folder, const std::string& dir, const Today& today,
                   const IssuedNumbers& issued, double unit, Findings& findings);

}  // namespace deckmark_test
