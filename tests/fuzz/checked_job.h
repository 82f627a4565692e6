#pragma once
/// A job of a few files, read and computed as `deckmark check` does it, with what holds for every job.

#include <map>
#include <string>
#include <vector>

namespace deckmark_test {

struct CheckedJob {
  bool has_problems = false;
  std::vector<std::string> told;  ///< message lines: problems, then doubts, then notices
  std::string line, text;
};

/// Names are plain file names; the job file is job.toml. Problems and status agree, messages can be seen and
/// lie in the file that they name, nothing is written.
CheckedJob check_files(const std::map<std::string, std::string>& files);

}  // namespace deckmark_test
