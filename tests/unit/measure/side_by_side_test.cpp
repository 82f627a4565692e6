// Work beside other work, with a second thread and where the system gives none.
#include "measure/side_by_side.h"

#include <doctest/doctest.h>

#include <atomic>
#include <chrono>
#include <memory>
#include <optional>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

#include "support/no_threads.h"

using namespace deckmark;
using deckmark_test::NoThreads;

namespace {

/// Runs a case twice: with threads to be had, and with none.
template <class Case>
void with_and_without_threads(const Case& check) {
  check(true);
  const NoThreads none;
  check(false);
  CHECK(none.refused() > 0);
}

std::string thrown_by(const auto& work) {
  try {
    work();
  } catch (const std::runtime_error& e) {
    return e.what();
  }
  return "nothing";
}

}  // namespace

TEST_CASE("both are done, one of them on a thread of its own where there is one") {
  with_and_without_threads([](bool has_threads) {
    std::optional<std::thread::id> one, other;
    side_by_side([&] { one = std::this_thread::get_id(); }, [&] { other = std::this_thread::get_id(); });
    REQUIRE((one && other));
    CHECK(*one == std::this_thread::get_id());
    CHECK((*one != *other) == has_threads);
  });
}

TEST_CASE("what either throws comes out, that of the caller's own work first, when neither goes on") {
  with_and_without_threads([](bool) {
    bool done = false;
    const auto fails = [](const char* what) { return [what] { throw std::runtime_error(what); }; };
    CHECK(thrown_by([&] { side_by_side([&] { done = true; }, fails("beside")); }) == "beside");
    CHECK(done);
    CHECK(thrown_by([&] { side_by_side(fails("here"), fails("beside")); }) == "here");
    auto ended = std::make_shared<int>(0);
    CHECK(thrown_by([&] {
            side_by_side(fails("here"), [ended] {
              std::this_thread::sleep_for(std::chrono::milliseconds(20));
              ++*ended;
            });
          }) == "here");
    CHECK(ended.use_count() == 1);  // nobody works on it any more
  });
}

TEST_CASE("work that was begun is waited for, with its value or what it throws") {
  with_and_without_threads([](bool has_threads) {
    auto value = begin_beside([] { return 42; });
    CHECK(value.get() == 42);
    auto failure = begin_beside([]() -> int { throw std::runtime_error("no"); });
    CHECK(thrown_by([&] { (void)failure.get(); }) == "no");
    CHECK(try_beside([] {}).valid() == has_threads);
  });
}

TEST_CASE("a range is done once, in halves from the length on that is worth it") {
  with_and_without_threads([](bool has_threads) {
    struct Row {
      std::size_t size, least, parts;
    };
    for (const Row& r : {Row{0, 1, 1}, Row{1, 1, 2}, Row{9, 10, 1}, Row{10, 10, 2}, Row{1001, 10, 2}}) {
      CAPTURE(r.size);
      CAPTURE(has_threads);
      std::vector<int> times(r.size, 0);
      std::atomic<std::size_t> parts = 0;
      in_halves(r.size, r.least, [&](std::size_t from, std::size_t to) {
        ++parts;
        for (std::size_t i = from; i < to; ++i) ++times[i];
      });
      CHECK(times == std::vector<int>(r.size, 1));
      CHECK(parts == r.parts);
    }
  });
}
