#pragma once
/// The program on a terminal of its own.

#include <doctest/doctest.h>
#include <pty.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <map>
#include <string>
#include <vector>

#include "job_folder.h"

namespace deckmark_test {

/// All that the program writes to a terminal that is its standard output and error.
inline std::string on_terminal(const JobFolder& job, std::vector<std::string> args,
                               const std::map<std::string, std::string>& env) {
  std::vector<char*> words{const_cast<char*>("deckmark")};
  for (std::string& a : args) words.push_back(a.data());
  words.push_back(nullptr);
  fflush(stdout);
  int terminal = -1;
  const pid_t child = forkpty(&terminal, nullptr, nullptr, nullptr);
  REQUIRE(child >= 0);
  if (child == 0) {
    unsetenv("NO_COLOR");
    setenv("TERM", "xterm", 1);
    for (const auto& [name, value] : env) setenv(name.c_str(), value.c_str(), 1);
    if (chdir(job.path().c_str()) != 0) _exit(126);
    execv(DECKMARK_PROGRAM, words.data());
    _exit(127);
  }
  std::string out;
  char buffer[4096];
  for (ssize_t got = 0; (got = read(terminal, buffer, sizeof buffer)) > 0;)
    out.append(buffer, static_cast<std::size_t>(got));
  close(terminal);
  int status = 0;
  waitpid(child, &status, 0);
  REQUIRE(WIFEXITED(status));
  REQUIRE(WEXITSTATUS(status) < 2);
  return out;
}

}  // namespace deckmark_test
