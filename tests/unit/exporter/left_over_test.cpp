// What a batch that is killed at a call, or that can neither rename nor undo, leaves for the next one. Every
// call is tried in turn, so that no moment is left out.
#include <doctest/doctest.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <map>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "exporter/batch.h"
#include "exporter/staged_file.h"
#include "failing_calls.h"
#include "support/temp_folder.h"

using namespace deckmark;
using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

// Thousands of batches that flush each file take minutes on a disk: they lie in memory where they can.
[[maybe_unused]] const int kInMemory =
    ::access("/dev/shm", W_OK | X_OK) == 0 ? ::setenv("TMPDIR", "/dev/shm", 0) : 0;

using Names = std::vector<std::string>;

const Names kFirst = {"points.csv", "list-R1.csv", "list-R2.csv"},
            kSecond = {"points.csv", "list-R2.csv", "list-R3.csv"}, kThird = {"points.csv"};

/// Names of files that the summary names, and those that an account names: what the next run may remove.
std::set<std::string> made_before(const fs::path& job) {
  std::set<std::string> out;
  if (fs::exists(job / "out/summary.txt")) {
    std::istringstream in(read_bytes(job / "out/summary.txt"));
    std::string name;
    std::getline(in, name);  // the generation
    while (std::getline(in, name)) out.insert(name);
  }
  for (const std::string& name : interrupted_in(job / "out").made) out.insert(name);
  out.erase("summary.txt");
  return out;
}

/// A run as the program makes it: ledger, lists, summary; what earlier runs made and this one does not goes.
void run_job(const fs::path& job, int generation, const Names& lists, const FileCalls& calls) {
  Batch batch(calls);
  batch.hold_folder(job);
  batch.hold_folder(job / "out");
  batch.keep_account(job / "out");
  const std::string mark = std::to_string(generation) + "\n";
  std::vector<fs::path> stale;
  for (const std::string& name : made_before(job))
    if (std::ranges::find(lists, name) == lists.end()) stale.push_back(job / "out" / name);
  std::vector<OutputFile> files;
  files.push_back({job / "numbers.csv", mark});
  std::string summary = mark;
  for (const std::string& name : lists) {
    files.push_back({job / "out" / name, mark});
    summary += name + "\n";
  }
  batch.stage(std::move(files));
  std::vector<OutputFile> last;
  last.push_back({job / "out/summary.txt", summary});
  batch.stage(std::move(last));
  batch.commit(stale);
}

/// The same in a process of its own that ends before the call `k`; false where it ended by itself.
bool killed_at(const fs::path& job, int generation, const Names& lists, int k, int link_reason = 0) {
  const pid_t child = ::fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    faults().reset();
    faults().die_at = k;
    faults().only_link = link_reason;
    run_job(job, generation, lists, failing_calls());
    ::_exit(0);
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFEXITED(status) && WEXITSTATUS(status) == 9;
}

int generation_of(const fs::path& path) { return fs::exists(path) ? std::stoi(read_bytes(path)) : 0; }

void put_user_files(const fs::path& job) {
  write_bytes(job / "out/mine.txt", "not ours\n");
  write_bytes(job / "out/list-R9.csv", "the user's\n");
}

/// Only what the third run makes, and what was the user's.
void check_third(const fs::path& job, int generation) {
  run_job(job, generation, kThird, system_file_calls());
  const std::string mark = std::to_string(generation) + "\n";
  CHECK(snapshot(job) == std::map<std::string, std::string>{{"numbers.csv", mark},
                                                            {"out/", ""},
                                                            {"out/list-R9.csv", "the user's\n"},
                                                            {"out/mine.txt", "not ours\n"},
                                                            {"out/points.csv", mark},
                                                            {"out/summary.txt", mark + "points.csv\n"}});
}

/// Bytes of all files in the folders, by path.
std::map<std::string, std::string> contents(const fs::path& job) {
  auto out = snapshot(job);
  std::erase_if(out, [](const auto& entry) { return entry.first.ends_with("/"); });
  return out;
}

}  // namespace

// Cause (2026-11-27): stale files went after the summary that no longer named them, and lists that a killed
// run had put in place stood in no summary: either stayed for good.
TEST_CASE("killed before any call, twice: the next run leaves nothing stale and touches nothing else") {
  for (const int link_reason : {0, EPERM}) {
    int kills = 0;
    for (int k = 0;; ++k) {
      const TempFolder job;
      put_user_files(job.path());
      run_job(job.path(), 1, kFirst, system_file_calls());
      if (!killed_at(job.path(), 2, kSecond, k, link_reason)) break;
      ++kills;
      CAPTURE(k);
      // Ledger first, and whatever stands is whole and of one of the two runs.
      const int ledger = generation_of(job / "numbers.csv");
      CHECK((ledger == 1 || ledger == 2));
      for (const char* name : {"points.csv", "list-R1.csv", "list-R2.csv", "list-R3.csv", "summary.txt"})
        CHECK(generation_of(job / "out" / name) <= ledger);
      if (k % 3 == 0) killed_at(job.path(), 3, kThird, k / 2);
      if (k % 3 == 1) killed_at(job.path(), 3, kThird, k);
      check_third(job.path(), 4);
    }
    CHECK(kills > 40);
  }
}

TEST_CASE("a stale file is gone before the summary that no longer names it is there") {
  int between = 0;
  for (int k = 0;; ++k) {
    const TempFolder job;
    run_job(job.path(), 1, kFirst, system_file_calls());
    if (!killed_at(job.path(), 2, kSecond, k)) break;
    const bool is_new = generation_of(job / "out/summary.txt") == 2;
    if (is_new) CHECK_FALSE(fs::exists(job / "out/list-R1.csv"));
    between += generation_of(job / "numbers.csv") == 2 && !is_new ? 1 : 0;
  }
  CHECK(between > 3);  // the kills did fall between the renames
}

// Cause (2026-11-27): where neither the renames nor their undoing worked, the earlier content stood in a file
// that the next run removed, under a name that did not tell which it was.
TEST_CASE("renames that fail and cannot be undone: no earlier content is lost, and each says whose it is") {
  int both = 0;
  for (const bool links_fail : {false, true}) {
    for (int from = 0; from < 12; ++from) {
      const TempFolder job;
      run_job(job.path(), 1, kFirst, system_file_calls());
      const auto before = contents(job.path());
      faults().reset();
      faults().renames_fail_from = from;
      if (links_fail) faults().links_fail_from = 5;  // those of the backups are made
      std::string text;
      try {
        run_job(job.path(), 2, kSecond, failing_calls());
      } catch (const SystemFailure& failure) {
        text = failure.what();
      }
      if (text.empty()) {
        CHECK(from > 5);
        break;
      }
      CAPTURE(from);
      CAPTURE(text);
      const auto find_earlier = [&] {
        for (const auto& [name, bytes] : before) {
          CAPTURE(name);
          const fs::path target = job / name;
          if (fs::exists(target) && read_bytes(target) == bytes) continue;
          // Not under its own name: then under one that the text tells and that tells its target.
          bool found = false;
          for (const auto& [other, held] : contents(job.path())) {
            const std::string file = fs::path(other).filename().string();
            const bool tells = file.find(target.filename().string()) != std::string::npos;
            found = found || (held == bytes && tells && text.find(file) != std::string::npos);
          }
          CHECK(found);
        }
      };
      find_earlier();
      // No later file is newer than an earlier one: a number on a list stands in the ledger.
      int least = generation_of(job / "numbers.csv");
      for (const char* name : {"points.csv", "list-R2.csv", "list-R3.csv", "summary.txt"}) {
        const int generation = generation_of(job / "out" / name);
        if (generation == 0) continue;
        CHECK(generation <= least);
        least = std::min(least, generation);
      }
      if (text.find("could not be put back") == std::string::npos) continue;
      ++both;
      std::size_t told = 0;
      for (const fs::path& folder : {job.path(), job / "out"}) {
        for (const KeptFile& file : kept_in(folder)) {
          ++told;
          CHECK(before.contains(file.target.lexically_relative(job.path()).string()));
        }
        told += interrupted_in(folder).stood_before.size();
      }
      CHECK(told > 0);
      {  // A run that comes to nothing removes none of it.
        Batch batch;
        std::vector<OutputFile> files;
        files.push_back({job / "numbers.csv", "3\n"});
        files.push_back({job / "out/points.csv", "3\n"});
        batch.stage(std::move(files));
      }
      find_earlier();
      if (links_fail) continue;
      // One that succeeds removes none of what was kept on purpose.
      run_job(job.path(), 4, kSecond, system_file_calls());
      std::size_t kept = 0;
      for (const fs::path& folder : {job.path(), job / "out"})
        for (const KeptFile& file : kept_in(folder)) {
          ++kept;
          CHECK(read_bytes(file.kept) == before.at(file.target.lexically_relative(job.path()).string()));
        }
      CHECK(kept == told);
    }
  }
  CHECK(both >= 8);
}

// Cause (2026-11-27): a file that was replaced had the mode of a new one, open to all.
TEST_CASE("a file that is replaced hands on its mode, undone or not, with links or without") {
  const auto mode_of = [](const fs::path& path) {
    struct stat status {};
    REQUIRE(::stat(path.c_str(), &status) == 0);
    return status.st_mode & 07777U;
  };
  for (const int link_reason : {0, EPERM})
    for (const unsigned mode : {0600U, 0640U, 0664U, 0444U, 0666U}) {
      CAPTURE(mode);
      const TempFolder job;
      run_job(job.path(), 1, kFirst, system_file_calls());
      const unsigned usual = mode_of(job / "out/summary.txt");
      for (const char* name : {"numbers.csv", "out/points.csv"})
        REQUIRE(::chmod((job / name).c_str(), mode) == 0);
      faults().reset();
      faults().only_link = link_reason;
      run_job(job.path(), 2, kFirst, failing_calls());
      for (const char* name : {"numbers.csv", "out/points.csv"}) CHECK(mode_of(job / name) == mode);
      CHECK(mode_of(job / "out/summary.txt") == usual);
      faults().reset();
      faults().only_link = link_reason;
      faults().renames_fail_from = faults().renames_fail_to = 3;
      CHECK_THROWS_AS(run_job(job.path(), 3, kFirst, failing_calls()), SystemFailure);
      CHECK(generation_of(job / "out/points.csv") == 2);
    }
}

TEST_CASE("what a killed batch left in a folder that is held goes, though nothing is put there") {
  const TempFolder job;
  // Killed with its temporary files in both folders.
  run_job(job.path(), 1, kFirst, system_file_calls());
  REQUIRE(killed_at(job.path(), 2, kSecond, 30));
  const auto hidden = [&] {
    std::size_t count = 0;
    for (const auto& entry : fs::directory_iterator(job.path()))
      if (entry.path().filename().string().ends_with(".part")) ++count;
    return count;
  };
  REQUIRE(hidden() > 0);
  Batch batch;
  batch.hold_folder(job.path());
  std::vector<OutputFile> files;
  files.push_back({job / "out/a.txt", "a"});
  batch.stage(std::move(files));
  CHECK(hidden() == 0);
}

TEST_CASE("a folder is held until the batch ends: against another batch, not against itself") {
  const TempFolder job;
  {
    Batch first;
    first.hold_folder(job / "out");
    first.hold_folder(job / "out");
    first.hold_folder(job / "." / "out");
    std::vector<OutputFile> files;
    files.push_back({job / "out/a.txt", "a"});
    first.stage(std::move(files));
    Batch second;
    std::vector<OutputFile> more;
    more.push_back({job / "out/b.txt", "b"});
    try {
      second.stage(std::move(more));
      FAIL("two batches in one folder");
    } catch (const SystemFailure& failure) {
      CHECK(std::string(failure.what()).find("wait until it has ended, then run again") != std::string::npos);
    }
    first.commit({});
  }
  Batch().hold_folder(job / "out");
  CHECK(contents(job.path()) ==
        std::map<std::string, std::string>{{"out/a.txt", "a"}});  // no file for the lock
  {
    Batch nothing;
    nothing.hold_folder(job / "new/deep");
    CHECK(fs::exists(job / "new/deep"));
  }
  CHECK_FALSE(fs::exists(job / "new"));
  // What was removed and made anew under a name that is held is another folder: the lock is on what stands
  // there.
  fs::create_directory(job / "gone");
  const JobLock held(job / "gone");
  CHECK(held.is_on(job / "gone"));
  fs::remove(job / "gone");
  fs::create_directory(job / "gone");
  CHECK_FALSE(held.is_on(job / "gone"));
  CHECK(JobLock(job / "gone").is_on(job / "gone"));
}

TEST_CASE("an account that another process could have written is taken at its word only where it is true") {
  const TempFolder job;
  write_bytes(job / "out/mine.csv", "the user's\n");
  write_bytes(job / "out/.deckmark-1-2.account", "12345 mine.csv\n99 ../numbers.csv\nnonsense\n");
  write_bytes(job / "numbers.csv", "1\n");
  CHECK(interrupted_in(job / "out").made.empty());
}
