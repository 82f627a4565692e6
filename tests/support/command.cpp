#include "support/command.h"

#include <fcntl.h>
#include <poll.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <stdexcept>
#include <system_error>

namespace deckmark_test {

namespace {

struct Pipe {
  int read_end = -1, write_end = -1;
  Pipe() {
    int ends[2];
    if (::pipe2(ends, O_CLOEXEC) != 0) throw std::runtime_error("cannot make a pipe");
    read_end = ends[0];
    write_end = ends[1];
  }
  ~Pipe() {
    close_write();
    ::close(read_end);
  }
  Pipe(const Pipe&) = delete;
  Pipe& operator=(const Pipe&) = delete;
  void close_write() {
    if (write_end >= 0) ::close(write_end);
    write_end = -1;
  }
};

/// The child's side; returns only when the program cannot be started.
void become(const CommandRun& run, char* const* argv, int out, int err) {
  if (!run.folder.empty() && ::chdir(run.folder.c_str()) != 0) return;
  for (const std::string& name : run.env_without) ::unsetenv(name.c_str());
  for (const auto& [name, value] : run.env) ::setenv(name.c_str(), value.c_str(), 1);
  if (!run.out_target.empty()) out = ::open(run.out_target.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0666);
  const int in = ::open("/dev/null", O_RDONLY);
  if (in < 0 || out < 0) return;
  if (::dup2(in, 0) < 0 || ::dup2(out, 1) < 0 || ::dup2(err, 2) < 0) return;
  ::execv(argv[0], argv);
}

/// Takes what is there; false at the end.
bool take(int fd, std::string& into) {
  std::array<char, 65536> piece;
  const ssize_t got = ::read(fd, piece.data(), piece.size());
  if (got < 0 && errno == EINTR) return true;
  if (got <= 0) return false;
  into.append(piece.data(), static_cast<std::size_t>(got));
  return true;
}

}  // namespace

CommandResult CommandRun::run() const {
  std::vector<std::string> words = {program.string()};
  words.insert(words.end(), args.begin(), args.end());
  std::vector<char*> argv;
  for (std::string& word : words) argv.push_back(word.data());
  argv.push_back(nullptr);

  Pipe out, err, started;
  const pid_t child = ::fork();
  if (child < 0) throw std::runtime_error("cannot start a process");
  if (child == 0) {
    become(*this, argv.data(), out.write_end, err.write_end);
    const int reason = errno;
    static_cast<void>(!::write(started.write_end, &reason, sizeof reason));
    ::_exit(127);
  }
  out.close_write();
  err.close_write();
  started.close_write();
  int reason = 0;
  if (::read(started.read_end, &reason, sizeof reason) > 0) {
    ::waitpid(child, nullptr, 0);
    throw std::runtime_error("cannot start " + program.string() + ": " +
                             std::generic_category().message(reason));
  }

  CommandResult result;
  const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(seconds);
  std::array<pollfd, 2> ends = {pollfd{out.read_end, POLLIN, 0}, pollfd{err.read_end, POLLIN, 0}};
  while (ends[0].fd >= 0 || ends[1].fd >= 0) {
    const auto left =
        std::chrono::duration_cast<std::chrono::milliseconds>(end - std::chrono::steady_clock::now()).count();
    const int ready = left > 0 ? ::poll(ends.data(), ends.size(), static_cast<int>(left)) : 0;
    if (ready < 0 && errno == EINTR) continue;
    if (ready <= 0) {
      result.timed_out = true;
      ::kill(child, SIGKILL);
      break;
    }
    for (std::size_t i = 0; i < ends.size(); ++i) {
      if (ends[i].fd >= 0 && ends[i].revents != 0 && !take(ends[i].fd, i == 0 ? result.out : result.err))
        ends[i].fd = -1;
    }
  }
  int status = 0;
  while (::waitpid(child, &status, 0) < 0 && errno == EINTR) {
  }
  if (WIFEXITED(status)) result.exit_code = WEXITSTATUS(status);
  if (WIFSIGNALED(status)) result.signal = WTERMSIG(status);
  return result;
}

}  // namespace deckmark_test
