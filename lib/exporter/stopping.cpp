#include "exporter/stopping.h"

#include <unistd.h>

#include <atomic>
#include <cerrno>
#include <csignal>
#include <cstring>
#include <mutex>

namespace deckmark {

/// Only changed within a step and under the lock; read when no step is going on and none can begin.
struct AllUnfinished {
  static inline std::mutex mutex;
  static inline Unfinished* first = nullptr;

  static void add(Unfinished& one) {
    const std::lock_guard lock(mutex);
    one.next_ = first;
    first = &one;
  }
  static void take(Unfinished& one) {
    const std::lock_guard lock(mutex);
    for (Unfinished** at = &first; *at; at = &(*at)->next_)
      if (*at == &one) {
        *at = one.next_;
        return;
      }
  }
  static void sweep() {
    for (Unfinished* one = first; one; one = one->next_) one->sweep();
  }
};

namespace {

constexpr int kEnding = -1;

std::atomic<int> steps{0};                   // going on; kEnding: none begins any more
std::atomic<int> asked{0};                   // the signal
std::atomic<const char*> in_place{nullptr};  // what stands, where something was put in place
std::atomic<void (*)()> before_end{nullptr};
static_assert(std::atomic<int>::is_always_lock_free && std::atomic<void (*)()>::is_always_lock_free &&
              std::atomic<const char*>::is_always_lock_free);

/// REQUIRES that this thread has set `steps` to kEnding. Calls only what a signal handler may call.
[[noreturn]] void end_process() {
  if (const auto before = before_end.load()) before();
  const char* stands = in_place.load();
  if (!stands && AllUnfinished::first) stands = "nothing was replaced, what stood before still stands";
  if (!stands) stands = "nothing was written";
  AllUnfinished::sweep();
  for (const char* text : {"deckmark: stopped; ", stands, "\n"})
    if (::write(STDERR_FILENO, text, std::strlen(text)) < 0) break;  // nobody listens
  ::_exit(128 + asked.load());
}

/// Ends the process where no step goes on; else the last step will.
void end_if_free() {
  int none = 0;
  if (steps.compare_exchange_strong(none, kEnding)) end_process();
}

extern "C" void on_stop_signal(int signal) {
  const int kept = errno;
  int none = 0;
  asked.compare_exchange_strong(none, signal);
  end_if_free();
  errno = kept;
}

}  // namespace

void end_on_signals(void (*before)()) {
  before_end = before;
  for (const int signal : {SIGINT, SIGTERM}) {
    struct sigaction now {};
    if (::sigaction(signal, nullptr, &now) != 0 || now.sa_handler == SIG_IGN) continue;
    struct sigaction wanted {};
    wanted.sa_handler = on_stop_signal;
    wanted.sa_flags = SA_RESTART;
    sigemptyset(&wanted.sa_mask);
    sigaddset(&wanted.sa_mask, SIGINT);
    sigaddset(&wanted.sa_mask, SIGTERM);
    ::sigaction(signal, &wanted, nullptr);
  }
}

FileStep::FileStep() {
  int now = steps.load();
  do {
    while (now == kEnding) ::pause();  // another thread ends the process
  } while (!steps.compare_exchange_weak(now, now + 1));
}

FileStep::~FileStep() {
  steps.fetch_sub(1);
  if (tells_ && is_asked_to_stop()) end_if_free();
}

bool FileStep::is_asked_to_stop() { return asked.load() != 0; }

void FileStep::done(const char* stands) { in_place = stands; }

Unfinished::Unfinished() { AllUnfinished::add(*this); }
Unfinished::~Unfinished() { AllUnfinished::take(*this); }

}  // namespace deckmark
