#pragma once
/// A dialogue with the real program over two pipes: a line in, the answer up to its `wait` out.

#include <sys/types.h>

#include <filesystem>
#include <string>
#include <vector>

namespace deckmark_test {

/// One line of an answer, by blanks.
using AnswerLine = std::vector<std::string>;
struct Answer {
  std::vector<std::string> lines;
  bool ended = false;  ///< the program spoke its last
  /// The first line that begins with these words; empty where there is none.
  AnswerLine line(const std::string& first) const;
  bool has(const std::string& first) const { return !line(first).empty(); }
  std::string all() const;
};

class PipedDialogue {
 public:
  /// Starts `deckmark ARGS` in the folder. Throws std::runtime_error where it cannot be started.
  PipedDialogue(const std::filesystem::path& folder, const std::vector<std::string>& args);
  ~PipedDialogue();
  PipedDialogue(const PipedDialogue&) = delete;
  PipedDialogue& operator=(const PipedDialogue&) = delete;

  /// What it says before anything is typed.
  const Answer& opening() const { return opening_; }
  /// Types a line; a program that does not answer within ten seconds is an exception.
  Answer type(const std::string& line);
  /// No more is typed; its status, -1 where a signal ended it.
  int end();

 private:
  Answer answer();
  pid_t child_ = -1;
  int to_ = -1, from_ = -1;
  std::string rest_;  ///< read and not yet given
  Answer opening_;
};

}  // namespace deckmark_test
