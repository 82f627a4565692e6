#include "support/no_threads.h"

#include <dlfcn.h>
#include <pthread.h>

#include <atomic>
#include <cerrno>

namespace {

std::atomic<bool> gives_none = false;
std::atomic<int> refused_count = 0;

}  // namespace

/// Found before the system's own, which it hands on to.
extern "C" int pthread_create(pthread_t* thread, const pthread_attr_t* attributes, void* (*work)(void*),
                              void* argument) {
  if (gives_none) {
    ++refused_count;
    return EAGAIN;
  }
  using Create = int (*)(pthread_t*, const pthread_attr_t*, void* (*)(void*), void*);
  static const auto create = reinterpret_cast<Create>(dlsym(RTLD_NEXT, "pthread_create"));
  return create(thread, attributes, work, argument);
}

namespace deckmark_test {

NoThreads::NoThreads() {
  refused_count = 0;
  gives_none = true;
}
NoThreads::~NoThreads() { gives_none = false; }
int NoThreads::refused() const { return refused_count; }

}  // namespace deckmark_test
