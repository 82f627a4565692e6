#pragma once
/// The dialogue over a book, as a program at its pipe sees it.

#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <cstdio>
#include <filesystem>
#include <stdexcept>
#include <string>
#include <vector>

#include "support/temp_folder.h"

namespace deckmark_test {

/// A job with `points` marks in rows of twenty at N 105, 106, ... E 105 ..., one setup over CP1 that sights
/// CP2 and CP3. `more`: what else its book section holds.
inline void write_book_job(const std::filesystem::path& folder, int points, const std::string& more = "") {
  write_bytes(folder / "control.csv",
              "point,northing,easting,elevation\nCP1,100,100,10\nCP2,140,100,10\nCP3,100,150,10\n");
  write_bytes(
      folder / "s1.csv",
      "target,circle,zenith,slope,height\nCP2,0-00-00,90-00-00,40,1.5\nCP3,90-00-00,90-00-00,50,1.5\n");
  std::string drawing = "point,x,y\n";
  for (int i = 0; i < points; ++i)
    drawing += "P" + std::to_string(i) + "," + std::to_string(105 + i % 20) + "," +
               std::to_string(105 + i / 20) + "\n";
  write_bytes(folder / "drawing.csv", drawing);
  write_bytes(
      folder / "job.toml",
      "revision = \"A\"\n[drawing]\npoints = \"drawing.csv\"\nframe = \"site\"\n[site]\ncontrol = "
      "\"control.csv\"\n[floor]\nelevation = \"10 m\"\n[instrument]\nangle_sd = \"2\\\"\"\ndistance_sd "
      "= \"2 mm\"\n[[setup]]\nname = \"S1\"\nat = \"CP1\"\nheight = \"1.5 m\"\nobservations = "
      "\"s1.csv\"\n[book]\n" +
          more);
}
/// The reading of a mark of that job, or of its control, as it is typed.
inline std::string exact_reading(const std::string& target) {
  if (target == "CP2") return "c 140 100";
  if (target == "CP3") return "c 100 150";
  const int i = std::stoi(target) - 1001;
  return "c " + std::to_string(105 + i / 20) + " " + std::to_string(105 + i % 20);
}

class PipedDialogue {
 public:
  /// `most`: bytes that a file of its may have, as on a full disk; 0: any.
  PipedDialogue(const char* program, const std::filesystem::path& folder, rlim_t most = 0) {
    int in[2], out[2];
    if (::pipe2(in, O_CLOEXEC) != 0 || ::pipe2(out, O_CLOEXEC) != 0) throw std::runtime_error("no pipe");
    std::signal(SIGPIPE, SIG_IGN);
    fflush(stdout);
    pid_ = ::fork();
    if (pid_ == 0) {
      ::dup2(in[0], STDIN_FILENO);
      ::dup2(out[1], STDOUT_FILENO);
      std::signal(SIGPIPE, SIG_DFL);
      const rlimit both{most, most};
      if (most > 0) ::setrlimit(RLIMIT_FSIZE, &both);
      (void)!std::freopen((folder / "told.txt").c_str(), "w", stderr);
      ::execl(program, "deckmark", "book", folder.c_str(), "--by", "Kim", "--setup", "S1",
              static_cast<char*>(nullptr));
      ::_exit(127);
    }
    ::close(in[0]);
    ::close(out[1]);
    to_ = in[1];
    from_ = out[0];
  }
  ~PipedDialogue() {
    if (pid_ > 0) (void)end(SIGKILL);
    ::close(from_);
  }
  PipedDialogue(const PipedDialogue&) = delete;
  PipedDialogue& operator=(const PipedDialogue&) = delete;

  /// False where nobody reads any more.
  bool type(const std::string& line) {
    const std::string bytes = line + "\n";
    return ::write(to_, bytes.data(), bytes.size()) == static_cast<ssize_t>(bytes.size());
  }
  /// The lines of an answer, `wait` or `bye` the last; what came of them where it has ended.
  std::vector<std::string> answer() {
    std::vector<std::string> lines;
    for (;;) {
      for (std::size_t end; (end = held_.find('\n')) != std::string::npos;) {
        lines.push_back(held_.substr(0, end));
        held_.erase(0, end + 1);
        if (lines.back().starts_with("wait ") || lines.back().starts_with("bye ")) return lines;
      }
      char buffer[4096];
      const ssize_t got = ::read(from_, buffer, sizeof buffer);
      if (got <= 0) return lines;
      held_.append(buffer, static_cast<std::size_t>(got));
    }
  }
  void kill(int signal) const { ::kill(pid_, signal); }
  /// Closes its input, or ends it by a signal; its exit status, minus the signal that ended it.
  int end(int signal = 0) {
    if (to_ >= 0) ::close(to_);
    to_ = -1;
    if (signal != 0) ::kill(pid_, signal);
    int status = 0;
    ::waitpid(pid_, &status, 0);
    pid_ = -1;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
  }

 private:
  pid_t pid_ = -1;
  int to_ = -1, from_ = -1;
  std::string held_;
};

}  // namespace deckmark_test
