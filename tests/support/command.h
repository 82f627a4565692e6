#pragma once
/// Runs a program as a user would and tells all that it did.

#include <filesystem>
#include <map>
#include <string>
#include <vector>

namespace deckmark_test {

struct CommandResult {
  int exit_code = -1;  ///< -1 where a signal ended it
  int signal = 0;
  bool timed_out = false;
  std::string out, err;
};

/// One run of a program; standard input is closed.
struct CommandRun {
  std::filesystem::path program;
  std::vector<std::string> args;
  std::filesystem::path folder;            ///< the current folder of the run; empty: that of the test
  std::map<std::string, std::string> env;  ///< added to the test's environment
  std::vector<std::string> env_without;    ///< taken out of it
  std::filesystem::path out_target;  ///< where standard output goes instead of being captured, e.g. /dev/full
  int seconds = 300;                 ///< killed after this

  /// Throws std::runtime_error where the program cannot be started.
  CommandResult run() const;
};

}  // namespace deckmark_test
