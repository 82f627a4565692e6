#pragma once
/// One line on a terminal that says what is being done, where it takes more than two seconds.

#include <condition_variable>
#include <future>
#include <mutex>

namespace deckmark {

class Progress {
 public:
  Progress() = default;
  ~Progress() { stop(); }
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;

  /// Shows from two seconds on. Where no thread can be had nothing is shown.
  void start();
  /// Takes the line away; nothing is shown any more. Called before anything else is written.
  void stop();
  /// Takes the line away from a signal handler.
  static void wipe();

 private:
  void show();

  std::mutex mutex_;
  std::condition_variable changed_;
  bool is_over_ = false;
  std::future<void> shown_;
};

}  // namespace deckmark
