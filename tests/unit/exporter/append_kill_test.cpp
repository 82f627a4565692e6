// A job that adds to its journals and is ended at any moment: killed, it leaves a beginning of what it adds
// and no list ahead of it; asked to stop, all old or all new.
#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <random>
#include <string>
#include <thread>

#include "append_scenes.h"
#include "exporter/batch.h"
#include "exporter/staged_file.h"
#include "exporter/stopping.h"
#include "support/temp_folder.h"

using namespace deckmark;
using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

#ifdef DECKMARK_SANITIZED
constexpr int kMet = 2;
#else
constexpr int kMet = 25;
#endif
/// The rounds go on until each kind of moment was met so often; so many without would be a fault.
constexpr int kRounds = 400 * kMet;
constexpr std::size_t kNew = 700;  // rows of an issue

using Microseconds = std::chrono::microseconds;

/// What the issue adds to the ledger.
std::string rows_of(int issue) { return bytes_of(*bare_rows(kNew, issue)); }

std::string bytes_or_none(const fs::path& path) { return fs::exists(path) ? read_bytes(path) : ""; }

/// What counts in a job folder: whole rows of `issued.csv` (issue, bytes of the ledger up to there).
struct Counted {
  int issue = 0;
  std::size_t issues_bytes = 0, ledger_bytes = 0;
};
Counted counted_in(const fs::path& job) {
  Counted out;
  const std::string issued = bytes_or_none(job / "issued.csv");
  for (std::size_t end = issued.find('\n'); end != std::string::npos; end = issued.find('\n', end + 1)) {
    const std::string row = issued.substr(out.issues_bytes, end - out.issues_bytes);
    out.issues_bytes = end + 1;
    out.issue = std::stoi(row);
    out.ledger_bytes = std::stoul(row.substr(row.find(',') + 1));
  }
  return out;
}

/// Makes the next issue on what counts.
void make_issue(const fs::path& job) {
  Batch batch;
  batch.hold_folder(job);
  batch.make_folder(job / "out");
  batch.keep_account(job / "out");
  const Counted now = counted_in(job);
  batch.cut(job / "issued.csv", now.issues_bytes, job / "numbers.torn");
  batch.cut(job / "numbers.csv", now.ledger_bytes, job / "numbers.torn");
  const std::string issue = std::to_string(now.issue + 1);
  const std::size_t bytes = now.ledger_bytes + rows_of(now.issue + 1).size();
  std::vector<OutputFile> files;
  files.push_back({job / "numbers.csv", bare_rows(kNew, now.issue + 1), How::append});
  files.push_back({job / "issued.csv", issue + "," + std::to_string(bytes) + "\n", How::append});
  files.push_back({job / "out/points.csv", issue + "\n"});
  files.push_back({job / "out/summary.txt", issue + "\n"});
  batch.stage(std::move(files));
  batch.commit({});
}

/// A process that makes issues, one or without end, and how it is ended.
struct Child {
  explicit Child(const fs::path& job, bool for_ever) {
    int ready[2], told[2];
    REQUIRE((::pipe(ready) == 0 && ::pipe(told) == 0));
    pid = ::fork();
    REQUIRE(pid >= 0);
    if (pid == 0) {
      ::dup2(told[1], STDERR_FILENO);
      if (!for_ever) end_on_signals(nullptr);
      static_cast<void>(!::write(ready[1], "x", 1));
      do make_issue(job);
      while (for_ever);
      for (;;) ::pause();
    }
    char byte = 0;
    REQUIRE(::read(ready[0], &byte, 1) == 1);
    for (const int fd : {ready[0], ready[1], told[1]}) ::close(fd);
    says = told[0];
  }
  /// What it said.
  std::string end(int signal) {
    ::kill(pid, signal);
    ::waitpid(pid, nullptr, 0);
    char text[200];
    const long got = ::read(says, text, sizeof text);
    ::close(says);
    return {text, static_cast<std::size_t>(std::max(got, 0L))};
  }
  pid_t pid = 0;
  int says = -1;
};

std::size_t left_over(const fs::path& folder) {
  std::size_t count = 0;
  for (const auto& entry : fs::recursive_directory_iterator(folder))
    if (hidden_name(entry.path().filename().string())) ++count;
  return count;
}

/// In a process of its own: one that has put files in place says so whenever it is stopped.
template <class Work>
void apart(const Work& work) {
  const pid_t child = ::fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    work();
    ::_exit(0);
  }
  int status = -1;
  ::waitpid(child, &status, 0);
  REQUIRE(status == 0);
}

/// A job of two issues, and how long one takes.
Microseconds begin_job(const fs::path& job) {
  apart([&] { make_issue(job); });
  const auto begin = std::chrono::steady_clock::now();
  apart([&] { make_issue(job); });
  return std::chrono::duration_cast<Microseconds>(std::chrono::steady_clock::now() - begin);
}

int issue_in(const fs::path& path) { return std::stoi(read_bytes(path)); }

}  // namespace

TEST_CASE("killed at random moments: what counts stands whole, no list is ahead, the next issue goes on") {
  const TempFolder job;
  const auto once = begin_job(job.path());
  std::mt19937_64 random(1);
  std::string ledger = rows_of(1) + rows_of(2);
  int last = 2, uncovered = 0, behind = 0, listed = 2, k = 0;
  for (; (uncovered < kMet || behind < kMet) && k < kRounds; ++k) {
    Child child(job.path(), true);
    std::this_thread::sleep_for(once * (random() % 2048) / 1024);
    child.end(SIGKILL);
    CAPTURE(k);
    const Counted now = counted_in(job.path());
    REQUIRE(now.issue >= last);
    while (last < now.issue) ledger += rows_of(++last);
    REQUIRE(now.ledger_bytes == ledger.size());
    const std::string numbers = read_bytes(job / "numbers.csv");
    REQUIRE(numbers.starts_with(ledger));
    CHECK((rows_of(last + 1).starts_with(numbers.substr(ledger.size()))));
    const int points = issue_in(job / "out/points.csv"), summary = issue_in(job / "out/summary.txt");
    CHECK(points <= last);
    CHECK(summary <= points);
    CHECK(summary >= listed);
    listed = summary;
    uncovered += numbers.size() > ledger.size() ? 1 : 0;
    behind += summary < last ? 1 : 0;
    if (numbers.size() > 4'000'000) {  // a new job: looking at a long one is all the time
      fs::remove(job / "numbers.csv");
      fs::remove(job / "issued.csv");
      fs::remove_all(job / "out");
      begin_job(job.path());
      ledger = rows_of(1) + rows_of(2);
      last = listed = 2;
    }
  }
  MESSAGE("killed ", k, " times, ", uncovered, " with rows that no issue covers, ", behind,
          " with lists behind their issue");
  CHECK(uncovered >= kMet);
  CHECK(behind >= kMet);
  apart([&] { make_issue(job.path()); });
  CHECK(left_over(job.path()) == 0);
  CHECK((read_bytes(job / "numbers.csv") == ledger + rows_of(last + 1)));
}

TEST_CASE("asked to stop at random moments: journals and lists are all old or all new, and it says which") {
  const TempFolder job;
  const auto once = begin_job(job.path());
  std::mt19937_64 random(1);
  std::string ledger = rows_of(1) + rows_of(2);
  int last = 2, kept = 0, made = 0, k = 0;
  for (; (kept < kMet || made < kMet) && k < kRounds; ++k) {
    Child child(job.path(), false);
    std::this_thread::sleep_for(once * (random() % 1280) / 1024);
    const std::string said = child.end(k % 2 == 0 ? SIGTERM : SIGINT);
    CAPTURE(k);
    CAPTURE(said);
    const bool is_new = said.find("the new files stand, all of them") != std::string::npos;
    if (is_new) ledger += rows_of(++last);
    CHECK(!said.empty());
    REQUIRE(counted_in(job.path()).issue == last);
    REQUIRE((read_bytes(job / "numbers.csv") == ledger));
    CHECK(issue_in(job / "out/points.csv") == last);
    CHECK(issue_in(job / "out/summary.txt") == last);
    CHECK(left_over(job.path()) == 0);
    CHECK_FALSE(fs::exists(job / "numbers.torn"));
    ++(is_new ? made : kept);
  }
  MESSAGE("stopped ", k, " times, ", kept, " with all old, ", made, " with all new");
  CHECK(kept >= kMet);
  CHECK(made >= kMet);
}
