#pragma once
/// How the process ends when it is asked to, by SIGINT or SIGTERM: at once where no file is being worked on,
/// else between two steps. Temporary files and new folders go; no file is replaced while others are not.

namespace deckmark {

/// From here on the two signals end the process with status 128 + signal, and one line on standard error says
/// what stands. A signal that whoever started the program has ignored stays ignored. `before`: called first;
/// only what a signal handler may call; may be null.
void end_on_signals(void (*before)());

/// A step of work on files, within which the process is not ended. Its end is where it ends, if it was asked
/// to meanwhile. Steps may lie within one another and beside one another.
class FileStep {
 public:
  FileStep();
  ~FileStep();
  FileStep(const FileStep&) = delete;
  FileStep& operator=(const FileStep&) = delete;
  /// The process was asked to end: a long step gives up.
  static bool is_asked_to_stop();
  /// All that it was to put in place is there: that is what stands. `stands` says so from here on, behind
  /// `stopped; `; a literal.
  void done(const char* stands = "the new files stand, all of them");
  /// It failed, which is more to tell than that it was stopped.
  void failed() { tells_ = false; }

 private:
  bool tells_ = true;
};

/// What must be swept away where the process ends before it has ended well. REQUIRES to be made, changed and
/// unmade within a `FileStep`.
class Unfinished {
 public:
  Unfinished();
  virtual ~Unfinished();
  Unfinished(const Unfinished&) = delete;
  Unfinished& operator=(const Unfinished&) = delete;
  /// Called once, at the very end, maybe by a signal handler: unlinks and removes folders, nothing else.
  virtual void sweep() = 0;

 private:
  friend struct AllUnfinished;
  Unfinished* next_ = nullptr;
};

}  // namespace deckmark
