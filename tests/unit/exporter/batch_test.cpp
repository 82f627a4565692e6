#include "exporter/batch.h"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <atomic>
#include <csignal>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "exporter/staged_file.h"
#include "failing_calls.h"
#include "support/no_threads.h"
#include "support/temp_folder.h"
#include "table/digest.h"

using namespace deckmark;
using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

std::unique_ptr<WrittenTable> table_of(std::size_t rows, int seed) {
  return written_table({}, {"number", "point", "x (m)"}, rows, [seed](auto& sink, std::size_t i) {
    sink.integer(static_cast<std::int64_t>(i) + 1001);
    sink.text(i % 3 == 0 ? "H, 1" : "R3-01");
    sink.fixed(static_cast<double>(i) * 0.37 - seed, 5);
  });
}

OutputFile table_file(const fs::path& target, std::size_t rows, int seed) {
  return {target, table_of(rows, seed)};
}
OutputFile text_file(const fs::path& target, std::string text) { return {target, std::move(text)}; }

/// A job folder with the ledger, an output folder of an earlier job, one stale file in it and one file of the
/// user.
void put_earlier_job(const fs::path& job) {
  write_bytes(job / "numbers.csv", "earlier ledger\n");
  write_bytes(job / "out/points.csv", "earlier points\n");
  write_bytes(job / "out/summary.txt", "earlier summary\n");
  write_bytes(job / "out/floor-list-R1.csv", "stale\n");
  write_bytes(job / "out/mine.txt", "not ours\n");
}

/// What a job does at its end: ledger first, the summary staged after the files that it names.
void run_job(const fs::path& job, const FileCalls& calls) {
  Batch batch(calls);
  batch.make_folder(job / "out/more");
  std::vector<OutputFile> files;
  files.push_back(table_file(job / "numbers.csv", 40, 1));
  files.push_back(table_file(job / "out/points.csv", 3000, 2));
  files.push_back(table_file(job / "out/more/list.csv", 700, 3));
  const std::vector<StagedFile> staged = batch.stage(std::move(files));
  std::vector<OutputFile> last;
  last.push_back(text_file(job / "out/summary.txt", "summary " + staged[0].sha256 + "\n"));
  batch.stage(std::move(last));
  batch.commit({job / "out/floor-list-R1.csv", job / "out/floor-list-R2.csv"});
}

/// Text of the failure, empty where there was none.
std::string failure_of(const std::function<void()>& work) {
  try {
    work();
  } catch (const SystemFailure& failure) {
    return failure.what();
  }
  return "";
}

bool contains(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("a batch replaces its files, removes the stale one and leaves the others") {
  const TempFolder job;
  put_earlier_job(job.path());
  run_job(job.path(), system_file_calls());
  const auto after = snapshot(job.path());
  std::vector<std::string> names;
  for (const auto& [name, bytes] : after) names.push_back(name);
  CHECK(names == std::vector<std::string>{"numbers.csv", "out/", "out/mine.txt", "out/more/",
                                          "out/more/list.csv", "out/points.csv", "out/summary.txt"});
  CHECK(after.at("out/mine.txt") == "not ours\n");
  CHECK(contains(after.at("numbers.csv"), "number,point,x (m)\n1001,\"H, 1\",-1.00000\n"));
  CHECK(after.at("out/summary.txt") == "summary " + sha256_hex(after.at("numbers.csv")) + "\n");
}

TEST_CASE("staged files tell rows, bytes and digest of what lies on disk") {
  const TempFolder folder;
  std::vector<OutputFile> files;
  for (int i = 0; i < 20; ++i)
    files.push_back(
        table_file(folder / ("t" + std::to_string(i) + ".csv"), static_cast<std::size_t>(i * i * 30), i));
  files.push_back(text_file(folder / "empty.txt", ""));
  Batch batch;
  const std::vector<StagedFile> staged = batch.stage(std::move(files));
  CHECK_FALSE(fs::exists(folder / "t3.csv"));  // not before the commit
  batch.commit({});
  for (std::size_t i = 0; i < staged.size(); ++i) {
    const std::string bytes = read_bytes(staged[i].target);
    CAPTURE(staged[i].target.string());
    CHECK(staged[i].bytes == bytes.size());
    CHECK(staged[i].sha256 == sha256_hex(bytes));
    CHECK(staged[i].rows == (i < 20 ? i * i * 30 : 0));
  }
}

TEST_CASE("a batch that is not committed leaves nothing behind, its folders neither") {
  const TempFolder folder;
  {
    Batch batch;
    batch.make_folder(folder / "a/b/c");
    std::vector<OutputFile> files;
    files.push_back(table_file(folder / "a/b/c/points.csv", 10, 1));
    batch.stage(std::move(files));
    CHECK(fs::exists(folder / "a/b/c"));
  }
  CHECK(snapshot(folder.path()).empty());
}

TEST_CASE("where the system gives no thread the same files are written, and nothing is left over") {
  const TempFolder want, job;
  for (const TempFolder* folder : {&want, &job}) put_earlier_job(folder->path());
  run_job(want.path(), system_file_calls());
  const NoThreads none;
  run_job(job.path(), system_file_calls());
  CHECK(snapshot(job.path()) == snapshot(want.path()));
  CHECK(none.refused() > 1);
  const auto before = snapshot(job.path());
  {
    Batch batch;
    std::vector<OutputFile> files;
    for (const char* name : {"a.csv", "b.csv", "c.csv"}) files.push_back(table_file(job / name, 10, 1));
    batch.stage(std::move(files));
    CHECK(snapshot(job.path()) != before);
  }
  CHECK(snapshot(job.path()) == before);
}

TEST_CASE("every call failed in turn: either all is new, or all is as it was, and nothing is left over") {
  const TempFolder want;
  put_earlier_job(want.path());
  const auto before = snapshot(want.path());
  run_job(want.path(), system_file_calls());
  const auto after = snapshot(want.path());

  for (const int link_reason : {0, EPERM}) {  // with hard links, and on a file system that has none
    int count = 0, refused = 0, passed = 0;
    {
      const TempFolder job;
      put_earlier_job(job.path());
      faults().reset();
      faults().only_link = link_reason;
      run_job(job.path(), failing_calls());
      CHECK(snapshot(job.path()) == after);
      count = faults().calls;
      REQUIRE(count > 30);
    }
    for (int k = 0; k < count; ++k) {
      for (const int reason : {EIO, ENOSPC}) {
        const TempFolder job;
        put_earlier_job(job.path());
        faults().reset();
        faults().fail_from = faults().fail_to = k;
        faults().reason = reason;
        faults().only_link = link_reason;
        const std::string text = failure_of([&] { run_job(job.path(), failing_calls()); });
        CAPTURE(k);
        CAPTURE(reason);
        CAPTURE(text);
        CHECK(snapshot(job.path()) == (text.empty() ? after : before));
        if (!text.empty()) CHECK(contains(text, job.path().string()));  // names the path ...
        if (!text.empty())
          CHECK(contains(text,
                         reason == EIO ? "input/output error" : "the disk is full"));  // ... and the reason
        ++(text.empty() ? passed : refused);
      }
    }
    // Only hints and the removal of temporary files may fail unnoticed.
    CHECK(refused > count);
    CHECK(passed > 0);
    CHECK(refused + passed == 2 * count);
  }
}

TEST_CASE("an interrupted call is made again") {
  const TempFolder want;
  put_earlier_job(want.path());
  faults().reset();
  run_job(want.path(), failing_calls());
  const int count = faults().calls;
  const auto after = snapshot(want.path());
  for (int k = 0; k < count; ++k) {
    const TempFolder job;
    put_earlier_job(job.path());
    faults().reset();
    faults().fail_from = faults().fail_to = k;
    faults().reason = EINTR;
    CAPTURE(k);
    CHECK(failure_of([&] { run_job(job.path(), failing_calls()); }).empty());
    CHECK(snapshot(job.path()) == after);
  }
}

TEST_CASE("a write that takes less than it is given is continued") {
  const TempFolder plain, shortened;
  put_earlier_job(plain.path());
  put_earlier_job(shortened.path());
  run_job(plain.path(), system_file_calls());
  faults().reset();
  faults().short_writes = true;
  run_job(shortened.path(), failing_calls());
  CHECK(snapshot(plain.path()) == snapshot(shortened.path()));
}

TEST_CASE("a byte that changes on its way to the disk is found before anything is replaced") {
  faults().reset();
  {
    const TempFolder job;
    put_earlier_job(job.path());
    run_job(job.path(), failing_calls());
  }
  const long written = faults().written;
  for (long at = 0; at < written; at += 997) {
    const TempFolder job;
    put_earlier_job(job.path());
    const auto before = snapshot(job.path());
    faults().reset();
    faults().flip_written = at;
    const std::string text = failure_of([&] { run_job(job.path(), failing_calls()); });
    CAPTURE(at);
    CHECK(contains(text, "read back after writing"));
    CHECK(snapshot(job.path()) == before);
  }
}

TEST_CASE("where the earlier file cannot be put back, the message says where its content is") {
  const TempFolder job;
  put_earlier_job(job.path());
  faults().reset();
  int renames_begin = -1;
  {
    // Find the call of the second rename: from there on everything fails.
    const TempFolder probe;
    for (int k = 0; renames_begin < 0; ++k) {
      put_earlier_job(probe.path());
      faults().reset();
      faults().fail_from = faults().fail_to = k;
      const std::string text = failure_of([&] { run_job(probe.path(), failing_calls()); });
      if (contains(text, "put in place") && contains(text, "points.csv")) renames_begin = k;
    }
  }
  faults().reset();
  faults().fail_from = renames_begin;
  faults().fail_to = 1 << 30;
  const std::string text = failure_of([&] { run_job(job.path(), failing_calls()); });
  CHECK(contains(text, "numbers.csv could not be put back"));
  const std::string lead = "numbers.csv held before is in ";
  const std::size_t at = text.find(lead), from = at + lead.size();
  REQUIRE(at != std::string::npos);
  CHECK(read_bytes(text.substr(from, text.find(": ", from) - from)) == "earlier ledger\n");
}

TEST_CASE("what stands in the way is found before anything is replaced, and named") {
  struct Row {
    const char *blocker, *target, *says;
  };
  for (const Row& r :
       {Row{"out/points.csv/inside", "out/points.csv", "out/points.csv: is a folder"},
        Row{"out", "out/points.csv", "out: is a file, but a folder is needed"},
        Row{"out", "out/deep/points.csv", "out/deep/points.csv: a part of the path is a file"}}) {
    const TempFolder job;
    write_bytes(job / "numbers.csv", "earlier\n");
    write_bytes(job / r.blocker, "in the way\n");
    const auto before = snapshot(job.path());
    const std::string text = failure_of([&] {
      Batch batch;
      std::vector<OutputFile> files;
      files.push_back(table_file(job / "numbers.csv", 3, 1));
      files.push_back(table_file(job / r.target, 3, 1));
      batch.stage(std::move(files));
      batch.commit({});
    });
    CAPTURE(r.target);
    CAPTURE(text);
    CHECK(contains(text, r.says));
    CHECK(snapshot(job.path()) == before);
  }
  const TempFolder job;
  write_bytes(job / "out", "a file\n");
  CHECK(contains(failure_of([&] { Batch().make_folder(job / "out"); }),
                 "out: is a file, but a folder is needed"));
  CHECK(contains(failure_of([&] { Batch().make_folder(job / "out/a/b"); }),
                 "out: is a file, but a folder is needed"));
}

TEST_CASE("temporary files of a killed job are removed; other files with a like name stay") {
  const TempFolder folder;
  write_bytes(folder / ".deckmark-123-4.part", "left over");
  write_bytes(folder / ".deckmark-123-5-a.txt.old", "left over");
  write_bytes(folder / ".deckmark-notes.part", "the user's");
  write_bytes(folder / ".deckmark-1-2.part.txt", "the user's");
  fs::create_directory(folder / ".deckmark-5-6.part");
  Batch batch;
  std::vector<OutputFile> files;
  files.push_back(text_file(folder / "a.txt", "a"));
  batch.stage(std::move(files));
  batch.commit({});
  std::vector<std::string> names;
  for (const auto& [name, bytes] : snapshot(folder.path())) names.push_back(name);
  CHECK(names == std::vector<std::string>{".deckmark-1-2.part.txt", ".deckmark-5-6.part/",
                                          ".deckmark-notes.part", "a.txt"});
}

TEST_CASE("a stale name that is a folder, a link or a file of this batch is left alone") {
  const TempFolder folder;
  write_bytes(folder / "kept/inside.txt", "x");
  write_bytes(folder / "elsewhere.csv", "x");
  fs::create_symlink(folder / "elsewhere.csv", folder / "link.csv");
  Batch batch;
  std::vector<OutputFile> files;
  files.push_back(text_file(folder / "a.txt", "a"));
  batch.stage(std::move(files));
  batch.commit({folder / "kept", folder / "link.csv", folder / "./a.txt", folder / "missing.csv"});
  CHECK(fs::is_directory(folder / "kept"));
  CHECK(fs::is_symlink(folder / "link.csv"));
  CHECK(read_bytes(folder / "a.txt") == "a");
}

TEST_CASE("names that are relative to the current folder work") {
  const TempFolder folder;
  const fs::path here = fs::current_path();
  fs::current_path(folder.path());
  const std::string text = failure_of([&] {
    Batch batch;
    batch.make_folder("out");
    std::vector<OutputFile> files;
    files.push_back(text_file("numbers.csv", "n"));
    files.push_back(text_file("out/a.txt", "a"));
    batch.stage(std::move(files));
    batch.commit({"gone.csv"});
  });
  fs::current_path(here);
  CHECK(text.empty());
  CHECK(snapshot(folder.path()) ==
        std::map<std::string, std::string>{{"numbers.csv", "n"}, {"out/", ""}, {"out/a.txt", "a"}});
}

TEST_CASE("a file larger than the system allows is told with path and reason, and nothing is replaced") {
  const TempFolder job;
  put_earlier_job(job.path());
  const auto before = snapshot(job.path());
  const auto earlier_action = std::signal(SIGXFSZ, SIG_IGN);
  rlimit limit{};
  REQUIRE(::getrlimit(RLIMIT_FSIZE, &limit) == 0);
  const rlimit small{20000, limit.rlim_max};
  REQUIRE(::setrlimit(RLIMIT_FSIZE, &small) == 0);
  const std::string text = failure_of([&] { run_job(job.path(), system_file_calls()); });
  ::setrlimit(RLIMIT_FSIZE, &limit);
  std::signal(SIGXFSZ, earlier_action);
  CHECK(contains(text, "out/points.csv: the file would be larger than the system allows"));
  CHECK(snapshot(job.path()) == before);
}

TEST_CASE("a batch of more files than may be open at once is written all the same") {
  const TempFolder folder;
  rlimit limit{};
  REQUIRE(::getrlimit(RLIMIT_NOFILE, &limit) == 0);
  const rlimit small{100, limit.rlim_max};
  REQUIRE(::setrlimit(RLIMIT_NOFILE, &small) == 0);
  const std::string text = failure_of([&] {
    Batch batch;
    std::vector<OutputFile> files;
    for (int i = 0; i < 150; ++i)
      files.push_back(table_file(folder / ("floor-list-R" + std::to_string(i) + ".csv"), 3, i));
    batch.stage(std::move(files));
    batch.commit({});
  });
  ::setrlimit(RLIMIT_NOFILE, &limit);
  CHECK(text == "");
  CHECK(snapshot(folder.path()).size() == 150);
}

TEST_CASE("the halves of a long table are compared both, and a change in either is told with its row") {
  const std::size_t rows = 120000;  // long enough to be compared in two parts
  for (const std::size_t changed : {std::size_t{1}, rows / 2 - 1, rows / 2, rows - 1}) {
    const TempFolder folder;
    // Memory and disk differ in one row: the table describes it otherwise when it is described a second time.
    std::atomic<int> described{0};
    const std::string text = failure_of([&] {
      std::vector<OutputFile> files;
      files.push_back(
          {folder / "points.csv", written_table({}, {"number", "x"}, rows, [&](auto& sink, std::size_t i) {
             sink.integer(static_cast<std::int64_t>(i));
             sink.fixed(i == changed && described++ > 0 ? 2.0 : 1.0, 3);
           })});
      Batch batch;
      batch.stage(std::move(files));
    });
    CAPTURE(changed);
    CHECK(contains(text, "row " + std::to_string(changed + 2) + ", cell 2 is \"1.000\""));
  }
}

TEST_CASE("a full disk is told with path and reason, and nothing is replaced") {
  // A small file system of its own needs rights that a test seldom has; /dev/full answers every write as a
  // full disk.
  if (::access("/dev/full", W_OK) != 0) return;
  static const FileCalls real = system_file_calls();
  FileCalls full = real;
  full.write = [](int, const char* data, std::size_t size) -> long {
    static const int device = ::open("/dev/full", O_WRONLY | O_CLOEXEC);
    return ::write(device, data, size);
  };
  const TempFolder job;
  put_earlier_job(job.path());
  const auto before = snapshot(job.path());
  const std::string text = failure_of([&] { run_job(job.path(), full); });
  CHECK(contains(text, "the disk is full"));
  CHECK(snapshot(job.path()) == before);
}

TEST_CASE("a folder without permission is told with path and reason") {
  if (::geteuid() == 0) return;  // root may write everywhere
  const TempFolder job;
  put_earlier_job(job.path());
  fs::permissions(job / "out", fs::perms::owner_read | fs::perms::owner_exec);
  const std::string text = failure_of([&] { run_job(job.path(), system_file_calls()); });
  fs::permissions(job / "out", fs::perms::owner_all);
  CHECK(contains(text, "permission denied"));
}

TEST_CASE("a job is held against a second one until it ends, even by a kill") {
  const TempFolder job;
  write_bytes(job / "job.toml", "");
  {
    const JobLock held(job / "job.toml");
    CHECK(contains(failure_of([&] { const JobLock second(job / "job.toml"); }),
                   "another deckmark is working on this job"));
  }
  int ready[2];
  REQUIRE(::pipe(ready) == 0);
  const pid_t child = ::fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    const JobLock held(job.path());
    static_cast<void>(!::write(ready[1], "x", 1));
    for (;;) ::pause();
  }
  char byte = 0;
  REQUIRE(::read(ready[0], &byte, 1) == 1);
  CHECK(contains(failure_of([&] { const JobLock second(job.path()); }),
                 "another deckmark is working on this job"));
  ::kill(child, SIGKILL);
  ::waitpid(child, nullptr, 0);
  CHECK(failure_of([&] { const JobLock second(job.path()); }).empty());
  ::close(ready[0]);
  ::close(ready[1]);
  CHECK(
      contains(failure_of([&] { const JobLock none(job / "missing"); }), "missing: no such file or folder"));
}
