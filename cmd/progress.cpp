#include "progress.h"

#include <fmt/format.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <string>
#include <string_view>

#include "measure/side_by_side.h"
#include "work/doing.h"

namespace deckmark {

namespace {

using namespace std::chrono_literals;

constexpr std::chrono::milliseconds kFirst = 2s, kAgain = 500ms;
constexpr std::string_view kWiped = "\r\x1b[K";

std::atomic<bool> line_stands{false};

/// A terminal that takes no more shows nothing: there is nobody to tell.
void put(std::string_view text) {
  if (::write(STDERR_FILENO, text.data(), text.size()) < 0) return;
}

}  // namespace

void Progress::start() {
  shown_ = try_beside([this] { show(); });
}

void Progress::show() {
  const auto begin = std::chrono::steady_clock::now();
  std::unique_lock lock(mutex_);
  const auto is_over = [this] { return is_over_; };
  if (changed_.wait_for(lock, kFirst, is_over)) return;
  do {
    const char* words = being_done();
    if (!words) continue;
    const auto seconds =
        std::chrono::duration_cast<std::chrono::seconds>(std::chrono::steady_clock::now() - begin).count();
    line_stands = true;
    put(fmt::format("{}deckmark: {} ... {} s", kWiped, words, seconds));
  } while (!changed_.wait_for(lock, kAgain, is_over));
  wipe();
}

void Progress::stop() {
  {
    const std::lock_guard lock(mutex_);
    is_over_ = true;
  }
  changed_.notify_all();
  if (shown_.valid()) shown_.get();
}

void Progress::wipe() {
  if (line_stands.exchange(false)) put(kWiped);
}

}  // namespace deckmark
