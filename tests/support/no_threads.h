#pragma once
/// A system that gives no thread, as it is at the limit of a user's processes. A program that uses it lists
/// no_threads.cpp among its sources: that stands in the way of the system's own call.

namespace deckmark_test {

/// While one of these stands no thread can be begun: std::thread and std::async throw std::system_error.
class NoThreads {
 public:
  NoThreads();
  ~NoThreads();
  NoThreads(const NoThreads&) = delete;
  NoThreads& operator=(const NoThreads&) = delete;
  /// Threads that were asked for since.
  int refused() const;
};

}  // namespace deckmark_test
