#include "support/on_terminal.h"

#include <fcntl.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdlib>
#include <stdexcept>
#include <vector>

namespace deckmark_test {

namespace {

/// The child's side; returns only when the program cannot be started.
void become(const CommandRun& run, char* const* argv, int screen) {
  if (!run.folder.empty() && ::chdir(run.folder.c_str()) != 0) return;
  for (const std::string& name : run.env_without) ::unsetenv(name.c_str());
  for (const auto& [name, value] : run.env) ::setenv(name.c_str(), value.c_str(), 1);
  for (const int fd : {0, 1, 2})
    if (::dup2(screen, fd) < 0) return;
  ::execv(argv[0], argv);
}

}  // namespace

CommandResult run_on_terminal(const CommandRun& run, unsigned short columns, const std::string& typed) {
  const int end = ::posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
  if (end < 0 || ::grantpt(end) != 0 || ::unlockpt(end) != 0)
    throw std::runtime_error("cannot make a terminal");
  const int screen = ::open(::ptsname(end), O_RDWR | O_NOCTTY | O_CLOEXEC);
  winsize size{};
  size.ws_row = 24;
  size.ws_col = columns;
  if (screen < 0 || ::ioctl(screen, TIOCSWINSZ, &size) != 0)
    throw std::runtime_error("cannot make a terminal");
  std::vector<std::string> words = {run.program.string()};
  words.insert(words.end(), run.args.begin(), run.args.end());
  std::vector<char*> argv;
  for (std::string& word : words) argv.push_back(word.data());
  argv.push_back(nullptr);
  const pid_t child = ::fork();
  if (child < 0) throw std::runtime_error("cannot start a process");
  if (child == 0) {
    become(run, argv.data(), screen);
    ::_exit(127);
  }
  ::close(screen);
  if (!typed.empty() && ::write(end, typed.data(), typed.size()) != static_cast<ssize_t>(typed.size()))
    throw std::runtime_error("cannot type");
  CommandResult result;
  std::array<char, 65536> piece;
  for (;;) {  // ends with an error once the last writer is gone
    const ssize_t got = ::read(end, piece.data(), piece.size());
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0) break;
    for (ssize_t i = 0; i < got; ++i)
      if (piece[static_cast<std::size_t>(i)] != '\r') result.out += piece[static_cast<std::size_t>(i)];
  }
  ::close(end);
  int status = 0;
  while (::waitpid(child, &status, 0) < 0 && errno == EINTR) {
  }
  if (WIFEXITED(status)) result.exit_code = WEXITSTATUS(status);
  if (WIFSIGNALED(status)) result.signal = WTERMSIG(status);
  return result;
}

}  // namespace deckmark_test
