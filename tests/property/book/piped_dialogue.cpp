#include "piped_dialogue.h"

#include <fcntl.h>
#include <poll.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <csignal>
#include <sstream>
#include <stdexcept>

namespace deckmark_test {

AnswerLine Answer::line(const std::string& first) const {
  for (const std::string& one : lines) {
    if (one != first && !one.starts_with(first + " ")) continue;
    std::istringstream in(one);
    AnswerLine words;
    for (std::string word; in >> word;) words.push_back(word);
    return words;
  }
  return {};
}

std::string Answer::all() const {
  std::string out;
  for (const std::string& one : lines) out += one + "\n";
  return out;
}

PipedDialogue::PipedDialogue(const std::filesystem::path& folder, const std::vector<std::string>& args) {
  std::vector<std::string> words = {DECKMARK_PROGRAM};
  words.insert(words.end(), args.begin(), args.end());
  std::vector<char*> argv;
  for (std::string& word : words) argv.push_back(word.data());
  argv.push_back(nullptr);
  int in[2], out[2];
  if (::pipe2(in, O_CLOEXEC) != 0 || ::pipe2(out, O_CLOEXEC) != 0)
    throw std::runtime_error("cannot make a pipe");
  ::signal(SIGPIPE, SIG_IGN);
  child_ = ::fork();
  if (child_ < 0) throw std::runtime_error("cannot start a process");
  if (child_ == 0) {
    const int err = ::open((folder / "stderr.txt").c_str(), O_WRONLY | O_CREAT | O_APPEND, 0666);
    ::setenv("LC_ALL", "C", 1);
    if (::chdir(folder.c_str()) == 0 && ::dup2(in[0], 0) == 0 && ::dup2(out[1], 1) == 1 &&
        ::dup2(err, 2) == 2)
      ::execv(argv[0], argv.data());
    ::_exit(127);
  }
  ::close(in[0]);
  ::close(out[1]);
  to_ = in[1];
  from_ = out[0];
  opening_ = answer();
}

PipedDialogue::~PipedDialogue() { end(); }

Answer PipedDialogue::type(const std::string& line) {
  const std::string bytes = line + "\n";
  if (::write(to_, bytes.data(), bytes.size()) != static_cast<ssize_t>(bytes.size())) {
    Answer gone;
    gone.ended = true;
    return gone;
  }
  return answer();
}

Answer PipedDialogue::answer() {
  Answer out;
  for (;;) {
    for (std::size_t end; (end = rest_.find('\n')) != std::string::npos;) {
      out.lines.push_back(rest_.substr(0, end));
      rest_.erase(0, end + 1);
      const std::string& last = out.lines.back();
      if (last.starts_with("wait ")) return out;
    }
    pollfd ready{from_, POLLIN, 0};
    const int polled = ::poll(&ready, 1, 10000);
    if (polled < 0 && errno == EINTR) continue;
    if (polled <= 0) throw std::runtime_error("no answer; so far: " + out.all());
    std::array<char, 16384> piece;
    const ssize_t got = ::read(from_, piece.data(), piece.size());
    if (got <= 0) {
      out.ended = true;
      return out;
    }
    rest_.append(piece.data(), static_cast<std::size_t>(got));
  }
}

int PipedDialogue::end() {
  if (child_ < 0) return -1;
  if (to_ >= 0) ::close(to_);
  to_ = -1;
  int status = 0;
  while (::waitpid(child_, &status, 0) < 0 && errno == EINTR) {
  }
  child_ = -1;
  ::close(from_);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

}  // namespace deckmark_test
