// A job that is killed at any moment leaves under every name the earlier file or the new one, whole.
#include <doctest/doctest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <csignal>
#include <random>
#include <string>
#include <thread>
#include <vector>

#include "exporter/batch.h"
#include "exporter/staged_file.h"
#include "support/temp_folder.h"

using namespace deckmark;
using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

#ifdef DECKMARK_SANITIZED
constexpr int kKills = 10;
#else
constexpr int kKills = 200;
#endif

/// The files in the order in which they are renamed, and their rows.
struct Made {
  const char* name;
  std::size_t rows;
};
constexpr std::array kMade = {Made{"numbers.csv", 4000},       Made{"out/floor-list.csv", 6000},
                              Made{"out/deck-list.csv", 6000}, Made{"out/points.csv", 12000},
                              Made{"out/plumb.csv", 100},      Made{"out/baseline.csv", 8}};

std::unique_ptr<WrittenTable> table_of(std::size_t rows, std::int64_t generation) {
  return written_table({}, {"generation", "point", "x", "y"}, rows, [generation](auto& sink, std::size_t i) {
    sink.integer(generation);
    sink.text("R3-01");
    sink.fixed(static_cast<double>(generation) * 0.001 + static_cast<double>(i), 5);
    sink.fixed(static_cast<double>(generation) * -0.77 - static_cast<double>(i), 5);
  });
}

void make_generation(const fs::path& job, std::int64_t generation) {
  Batch batch;
  batch.make_folder(job / "out");
  batch.keep_account(job / "out");
  std::vector<OutputFile> files;
  for (const Made& made : kMade) files.push_back({job / made.name, table_of(made.rows, generation)});
  batch.stage(std::move(files));
  batch.commit({job / "out/stale.csv"});
}

/// The generation of a file that is whole; -1 where it is missing, -2 where it is not whole.
std::int64_t generation_of(const fs::path& path, std::size_t rows) {
  if (!fs::exists(path)) return -1;
  const std::string bytes = read_bytes(path);
  const std::size_t line = bytes.find('\n');
  if (line == std::string::npos) return -2;
  const std::int64_t generation = std::strtoll(bytes.c_str() + line + 1, nullptr, 10);
  std::string want;
  table_of(rows, generation)->write([&](const char* data, std::size_t size) { want.append(data, size); });
  return bytes == want ? generation : -2;
}

std::size_t left_over(const fs::path& folder) {
  std::size_t count = 0;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    if (hidden_name(entry.path().filename().string())) ++count;
  }
  return count;
}

/// Makes generation after generation until it is killed; the first byte on `ready` says that it has begun.
[[noreturn]] void run_for_ever(const fs::path& job, std::int64_t generation, int ready) {
  static_cast<void>(!::write(ready, "x", 1));
  for (;; ++generation) make_generation(job, generation);
}

}  // namespace

TEST_CASE("killed at random moments: every file whole, none newer than one before it") {
  const TempFolder job;
  make_generation(job.path(), 1);
  const auto begin = std::chrono::steady_clock::now();
  make_generation(job.path(), 2);
  const auto once =
      std::chrono::duration_cast<std::chrono::microseconds>(std::chrono::steady_clock::now() - begin).count();

  std::mt19937_64 random(1);
  std::int64_t last = 2;
  int mixed = 0, interrupted = 0;
  for (int kill = 0; kill < kKills; ++kill) {
    int ready[2];
    REQUIRE(::pipe(ready) == 0);
    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) run_for_ever(job.path(), last + 1, ready[1]);
    char byte = 0;
    REQUIRE(::read(ready[0], &byte, 1) == 1);
    std::this_thread::sleep_for(std::chrono::microseconds(random() % static_cast<std::uint64_t>(2 * once)));
    ::kill(child, SIGKILL);
    ::waitpid(child, nullptr, 0);
    ::close(ready[0]);
    ::close(ready[1]);

    std::vector<std::int64_t> generations;
    for (const Made& made : kMade) generations.push_back(generation_of(job / made.name, made.rows));
    CAPTURE(kill);
    CAPTURE(generations.front());
    CAPTURE(generations.back());
    CHECK(generations.back() >= last);  // never missing, never broken, never older than it was
    CHECK(std::is_sorted(generations.rbegin(), generations.rend()));
    CHECK(generations.front() - generations.back() <= 1);
    mixed += generations.front() != generations.back() ? 1 : 0;
    interrupted += left_over(job.path()) > 0 ? 1 : 0;
    last = generations.back();
  }
  MESSAGE("killed ", kKills, " times, ", interrupted, " with temporary files left, ", mixed,
          " between two renames");
  CHECK(interrupted > 0);  // the kills did fall into batches

  make_generation(job.path(), last + 1);
  CHECK(left_over(job.path()) == 0);
}
