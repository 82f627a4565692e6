// Rows that a batch adds at the end of a file that keeps what it has.
#include <doctest/doctest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "append_scenes.h"
#include "exporter/batch.h"
#include "exporter/file_tasks.h"
#include "failing_calls.h"
#include "support/temp_folder.h"
#include "table/digest.h"

using namespace deckmark;
using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

// Thousands of batches that flush each file take minutes on a disk: they lie in memory where they can.
[[maybe_unused]] const int kInMemory =
    ::access("/dev/shm", W_OK | X_OK) == 0 ? ::setenv("TMPDIR", "/dev/shm", 0) : 0;

using Snapshot = std::map<std::string, std::string>;

/// One batch of these files, committed.
std::vector<StagedFile> written(std::vector<OutputFile> files, const FileCalls& calls = system_file_calls()) {
  Batch batch(calls);
  const auto staged = batch.stage(std::move(files));
  batch.commit({});
  return staged;
}

std::vector<StagedFile> add(const fs::path& target, std::string text) {
  std::vector<OutputFile> files;
  files.push_back({target, std::move(text), How::append});
  return written(std::move(files));
}

bool contains(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// Runs the scene with the faults that are set; the text of its failure. The folder must hold all old or all
/// new.
std::string run_whole(const Scene& scene, const fs::path& job, const Snapshot& before,
                      const Snapshot& after) {
  const std::string text = failure_of([&] { scene.run(job, failing_calls()); });
  CAPTURE(text);
  CHECK(snapshot(job) == (text.empty() ? after : before));
  if (!text.empty()) CHECK(contains(text, job.string()));
  return text;
}

/// What the scene finds and leaves, and how many calls it makes.
struct Course {
  Snapshot before, after;
  int calls = 0;
  long written = 0;
};
Course course_of(const Scene& scene, int link_reason = 0) {
  const TempFolder job;
  scene.put(job.path());
  Course out;
  out.before = snapshot(job.path());
  faults().reset();
  faults().only_link = link_reason;
  scene.run(job.path(), failing_calls());
  out.after = snapshot(job.path());
  out.calls = faults().calls;
  out.written = faults().written;
  return out;
}

}  // namespace

TEST_CASE("a later issue: torn tails go, rows and the issue's row are added, the lists are replaced") {
  const Course course = course_of(append_scenes()[0]);
  const Snapshot want = {
      {"issued.csv", std::string(kIssues) + kIssueRow},
      {"numbers.csv", kLedger + bytes_of(*bare_rows(kRows, 2))},
      {"numbers.torn", std::string("from before, half a li\n") + kLedgerTail + "\n" + kIssuesTail},
      {"out/", ""},
      {"out/mine.txt", "not ours\n"},
      {"out/more/", ""},
      {"out/more/list.csv", "list\n"},
      {"out/points.csv", "points\n"},
      {"out/summary.txt", "summary\n"}};
  CHECK(course.after == want);
}

TEST_CASE("the first issue: journals that are not there are made, and one is added to that was just made") {
  const Course course = course_of(append_scenes()[1]);
  const Snapshot want = {{"given.csv", "issue,to\n1,ed\n1,joe\n"},
                         {"issued.csv", "issue,digest\n1,ab\n"},
                         {"made.csv", bytes_of(*bare_rows(kRows, 2)) + "the end\n"},
                         {"numbers.csv", "number\n1001\n"},
                         {"out/", ""},
                         {"out/log.csv", "1\n"},
                         {"out/points.csv", "points\n"}};
  CHECK(course.after == want);
}

TEST_CASE("names that stand in a batch twice: each step is done on what the one before left") {
  const Course course = course_of(append_scenes()[2]);
  CHECK(course.after == Snapshot{{"a.csv", "a3\na4\n"},
                                 {"b.csv", "b1\nb2\nb3\n"},
                                 {"c.csv", "c2\n"},
                                 {"c.torn", "c tail"},
                                 {"d.csv", "d2\n"}});
}

TEST_CASE("every call of a batch that adds failed in turn: all new or all old, and nothing is left over") {
  for (const Scene& scene : append_scenes())
    for (const int link_reason : {0, EPERM}) {  // with hard links, and on a file system that has none
      CAPTURE(std::string(scene.name));
      const Course course = course_of(scene, link_reason);
      REQUIRE(course.calls > 60);
      int refused = 0, passed = 0;
      for (int k = 0; k < course.calls; ++k)
        for (const int reason : {EIO, ENOSPC}) {
          CAPTURE(k);
          const TempFolder job;
          scene.put(job.path());
          faults().reset();
          faults().fail_from = faults().fail_to = k;
          faults().reason = reason;
          faults().only_link = link_reason;
          ++(run_whole(scene, job.path(), course.before, course.after).empty() ? passed : refused);
        }
      // Only hints and the removal of temporary files may fail unnoticed.
      CHECK(refused > course.calls);
      CHECK(passed > 0);
    }
}

TEST_CASE("adding: an interrupted call is made again, a short write continued") {
  for (const Scene& scene : append_scenes()) {
    CAPTURE(std::string(scene.name));
    const Course course = course_of(scene);
    for (int k = -1; k < course.calls; ++k) {
      CAPTURE(k);
      const TempFolder job;
      scene.put(job.path());
      faults().reset();
      faults().fail_from = faults().fail_to = k;
      faults().reason = EINTR;
      faults().short_writes = k < 0;
      CHECK(run_whole(scene, job.path(), course.before, course.after).empty());
    }
  }
}

TEST_CASE("adding: every byte that changes on its way to the disk is found, and all is as it was") {
  for (const Scene& scene : append_scenes()) {
    CAPTURE(std::string(scene.name));
    const Course course = course_of(scene);
    int found = 0;
    for (long at = 0; at < course.written; at += at < 200 || at + 200 > course.written ? 1 : 17) {
      CAPTURE(at);
      const TempFolder job;
      scene.put(job.path());
      faults().reset();
      faults().flip_written = at;
      const std::string text = failure_of([&] { scene.run(job.path(), failing_calls()); });
      // What an account of a batch says is not read back.
      if (text.empty() && snapshot(job.path()) == course.after) continue;
      ++found;
      CHECK(contains(text, "read back after writing"));
      CHECK(snapshot(job.path()) == course.before);
    }
    CHECK(found > 40);
  }
}

// From some call on nothing works, not even undoing: no list may be newer than the issue's row, no such row
// without its rows, nothing that stood before may be lost, and what stays is told.
TEST_CASE(
    "every call from one on failed: what cannot be undone is told, and no list is ahead of its journal") {
  const Scene& scene = append_scenes()[0];
  for (const int link_reason : {0, EPERM}) {
    const Course course = course_of(scene, link_reason);
    int stayed = 0;
    for (int from = 0; from < course.calls; ++from) {
      CAPTURE(from);
      const TempFolder job;
      scene.put(job.path());
      faults().reset();
      faults().fail_from = from;
      faults().fail_to = 1 << 30;
      faults().only_link = link_reason;
      const std::string text = failure_of([&] { scene.run(job.path(), failing_calls()); });
      CAPTURE(text);
      const auto is = [&](const char* name, const Snapshot& held) {
        return read_bytes(job / name) == held.at(name);
      };
      if (text.empty()) {
        for (const auto& [name, bytes] : course.after)
          if (!name.ends_with('/')) CHECK(is(name.c_str(), course.after));
        continue;
      }
      const bool points_are_new = is("out/points.csv", course.after);
      const bool issue_is_there = is("issued.csv", course.after);
      if (is("out/summary.txt", course.after)) CHECK(points_are_new);
      if (points_are_new) CHECK(issue_is_there);
      if (issue_is_there) CHECK(is("numbers.csv", course.after));
      CHECK(read_bytes(job / "numbers.csv").starts_with(kLedger));
      CHECK(read_bytes(job / "issued.csv").starts_with(kIssues));
      const std::string torn = read_bytes(job / "numbers.torn");
      for (const auto& [name, tail] : {std::pair{"numbers.csv", kLedgerTail}, {"issued.csv", kIssuesTail}}) {
        const std::string now = read_bytes(job / name);
        CHECK((is(name, course.before) || contains(torn, tail)));
        if (is(name, course.before)) continue;
        ++stayed;
        CHECK(contains(text, (job / name).string()));
        CHECK((contains(text, "stays") || contains(text, "numbers.torn")));
      }
      CHECK(torn.starts_with("from before, half a li"));
    }
    CHECK(stayed > 20);
  }
}

TEST_CASE("a batch that is not committed adds nothing and cuts nothing") {
  const TempFolder job;
  append_scenes()[0].put(job.path());
  const Snapshot before = snapshot(job.path());
  {
    Batch batch;
    batch.cut(job / "numbers.csv", 5, job / "numbers.torn");
    std::vector<OutputFile> files;
    files.push_back({job / "numbers.csv", "more\n", How::append});
    batch.stage(std::move(files));
    CHECK(read_bytes(job / "numbers.csv") == before.at("numbers.csv"));
  }
  CHECK(snapshot(job.path()) == before);
}

TEST_CASE("what is added begins on a line of its own, whatever the last line ends with") {
  struct Row {
    const char *before, *added, *want;
  };
  for (const Row& r : {Row{"", "b\n", "b\n"}, Row{"a\n", "b\n", "a\nb\n"}, Row{"a", "b\n", "a\nb\n"},
                       Row{"a\r\n", "b\n", "a\r\nb\n"}, Row{"a", "", "a"}, Row{"a\n\n", "b", "a\n\nb"}}) {
    CAPTURE(r.before);
    const TempFolder job;
    write_bytes(job / "a.csv", r.before);
    const auto staged = add(job / "a.csv", r.added);
    CHECK(read_bytes(job / "a.csv") == r.want);
    CHECK(staged[0].bytes == std::string(r.added).size());
    CHECK(staged[0].sha256 == sha256_hex(r.added));
    CHECK(staged[0].chained.empty());
  }
}

TEST_CASE("a hundred thousand rows are added, with the digest of what they hang on") {
  const TempFolder job;
  write_bytes(job / "numbers.csv", kLedger);
  std::vector<OutputFile> files;
  files.push_back({job / "numbers.csv", bare_rows(100000, 7), How::append, "before\n2,rev\n"});
  const auto staged = written(std::move(files));
  const std::string rows = bytes_of(*bare_rows(100000, 7));
  CHECK(read_bytes(job / "numbers.csv") == kLedger + rows);
  CHECK(staged[0].rows == 100000);
  CHECK(staged[0].bytes == rows.size());
  CHECK(staged[0].sha256 == sha256_hex(rows));
  CHECK(staged[0].chained == sha256_hex("before\n2,rev\n" + rows));
}

TEST_CASE("the digest of a chain leaves the header out and counts line ends as LF") {
  TableStyle crlf, plain;
  crlf.crlf = true;
  const auto table = [](const TableStyle& style, std::size_t rows) {
    return written_table(style, {"number", "x"}, rows, [](auto& sink, std::size_t i) {
      sink.integer(static_cast<std::int64_t>(i));
      sink.fixed(0.5, 1);
    });
  };
  const TempFolder job;
  std::vector<OutputFile> files;
  files.push_back({job / "a.csv", table(plain, 2), How::replace, "0"});
  files.push_back({job / "b.csv", table(crlf, 2), How::replace, "0"});
  files.push_back({job / "c.csv", table(plain, 0), How::replace, "0"});
  files.push_back({job / "d.csv", "text\r\n", How::replace, "0"});
  const auto staged = written(std::move(files));
  const char* const want[] = {"00,0.5\n1,0.5\n", "00,0.5\n1,0.5\n", "0", "0text\n"};
  for (std::size_t i = 0; i < staged.size(); ++i) {
    CAPTURE(i);
    CHECK(staged[i].chained == sha256_hex(want[i]));
    CHECK(staged[i].sha256 == sha256_hex(read_bytes(staged[i].target)));
  }
}

TEST_CASE("the digest of a chain is the same however the content is cut into pieces") {
  const std::string header = "number,point\r\n", rows = "\r1,a\r\n2,\"b\r\r\nc\rd\"\n\r\n3\r";
  for (const bool has_header : {false, true}) {
    const std::string all = header + rows;
    const std::string want = sha256_hex("chain" + std::string(has_header ? "" : "number,point\n") +
                                        "\r1,a\n2,\"b\r\nc\rd\"\n\n3\r");
    for (std::size_t first = 0; first <= all.size(); ++first)
      for (std::size_t second = first; second <= all.size(); ++second) {
        ChainDigest digest("chain", has_header);
        digest.update(all.data(), first);
        digest.update(all.data() + first, second - first);
        digest.update(all.data() + second, all.size() - second);
        CHECK(digest.hex() == want);
      }
  }
}

TEST_CASE("a tail goes to the end of the torn file, on a line of its own, and no further") {
  struct Row {
    const char* held;
    std::uint64_t keep;
    const char *torn, *left, *moved;  // null: no such file
  };
  for (const Row& r : {Row{"abc\nde", 4, nullptr, "abc\n", "de"}, Row{"abc\nde", 0, nullptr, "", "abc\nde"},
                       Row{"abc\nde", 6, nullptr, "abc\nde", nullptr},
                       Row{"abc\nde", 7, "x\n", "abc\nde", "x\n"}, Row{"abc\nde", 5, "x", "abc\nd", "x\ne"},
                       Row{nullptr, 0, "x", nullptr, "x"}, Row{"abc", 2, "", "ab", "c"}}) {
    CAPTURE(r.keep);
    const TempFolder job;
    if (r.held) write_bytes(job / "a.csv", r.held);
    if (r.torn) write_bytes(job / "a.torn", r.torn);
    Batch batch;
    batch.cut(job / "a.csv", r.keep, job / "a.torn");
    batch.commit({});
    Snapshot want;
    if (r.left) want["a.csv"] = r.left;
    if (r.moved) want["a.torn"] = r.moved;
    CHECK(snapshot(job.path()) == want);
  }
}

TEST_CASE("what stands in the way of adding is found before the commit, and named") {
  const TempFolder job;
  write_bytes(job / "folder/inside", "x");
  for (const bool cuts : {false, true}) {
    Batch batch;
    const std::string text = failure_of([&] {
      if (cuts) return batch.cut(job / "folder", 0, job / "torn");
      std::vector<OutputFile> files;
      files.push_back({job / "folder", "x\n", How::append});
      batch.stage(std::move(files));
    });
    CHECK(contains(text, "folder: is a folder, but an output file needs this name"));
  }
  if (::geteuid() == 0) return;  // root may write everywhere
  write_bytes(job / "numbers.csv", "x\n");
  fs::permissions(job / "numbers.csv", fs::perms::owner_read);
  std::vector<OutputFile> files;
  files.push_back({job / "numbers.csv", "y\n", How::append});
  Batch batch;
  CHECK(contains(failure_of([&] { batch.stage(std::move(files)); }), "numbers.csv: permission denied"));
}

TEST_CASE("a link to a journal is followed, and the folder where it leads is held against another batch") {
  const TempFolder job;
  write_bytes(job / "shared/numbers.csv", "1001\n");
  write_bytes(job / "l3/job.toml", "");
  fs::create_symlink(job / "shared/numbers.csv", job / "l3/numbers.csv");
  {
    Batch batch;
    std::vector<OutputFile> files;
    files.push_back({job / "l3/numbers.csv", "1002\n", How::append});
    batch.stage(std::move(files));
    CHECK(contains(failure_of([&] { Batch().hold_folder(job / "shared"); }), "another deckmark is working"));
    batch.commit({});
  }
  CHECK(fs::is_symlink(job / "l3/numbers.csv"));
  CHECK(read_bytes(job / "shared/numbers.csv") == "1001\n1002\n");
}

TEST_CASE("a journal keeps its mode and its inode, and one that is undone its bytes in the same file") {
  const TempFolder job;
  write_bytes(job / "numbers.csv", "1001\n");
  REQUIRE(::chmod((job / "numbers.csv").c_str(), 0640) == 0);
  struct stat before {
  }, now{};
  REQUIRE(::stat((job / "numbers.csv").c_str(), &before) == 0);
  add(job / "numbers.csv", "1002\n");
  faults().reset();
  faults().renames_fail_from = 0;
  std::vector<OutputFile> files;
  files.push_back({job / "numbers.csv", "1003\n", How::append});
  files.push_back({job / "list.csv", "1003\n"});
  CHECK(contains(failure_of([&] { written(std::move(files), failing_calls()); }), "list.csv"));
  REQUIRE(::stat((job / "numbers.csv").c_str(), &now) == 0);
  CHECK(now.st_ino == before.st_ino);
  CHECK(now.st_mode == before.st_mode);
  CHECK(snapshot(job.path()) == Snapshot{{"numbers.csv", "1001\n1002\n"}});
}

namespace {

/// What a batch does that counts after a power cut, in its order: which file or folder, by its name.
std::vector<std::string>& done_in_order() {
  static std::vector<std::string> done;
  return done;
}

std::string name_of(int fd) {
  return fs::read_symlink("/proc/self/fd/" + std::to_string(fd)).filename().string();
}

const FileCalls& noted_calls() {
  static const FileCalls calls = [] {
    FileCalls out = system_file_calls();
    out.flush = [](int fd) {
      if (!name_of(fd).starts_with('.')) done_in_order().push_back("flush " + name_of(fd));
      return system_file_calls().flush(fd);
    };
    out.cut = [](int fd, std::int64_t size) {
      done_in_order().push_back("cut " + name_of(fd));
      return system_file_calls().cut(fd, size);
    };
    out.rename = [](const char* from, const char* to) {
      const std::string name = fs::path(to).filename().string();
      done_in_order().push_back("rename " + name);
      if (name == "no.csv") return errno = EIO, -1;
      return system_file_calls().rename(from, to);
    };
    out.flush_folder = [](const char* path) {
      done_in_order().push_back("flush " + fs::path(path).filename().string() + "/");
      return system_file_calls().flush_folder(path);
    };
    return out;
  }();
  return calls;
}

}  // namespace

TEST_CASE("what is to be there first is on the disk before the next step, also where it is taken back") {
  if (!fs::exists("/proc/self/fd")) return;
  const TempFolder folder;
  const fs::path job = folder / "job";
  write_bytes(job / "numbers.csv", "1001\nhalf");
  write_bytes(job / "out/list.csv", "1\n");
  done_in_order().clear();
  Batch batch(noted_calls());
  batch.cut(job / "numbers.csv", 5, job / "numbers.torn");
  std::vector<OutputFile> files;
  files.push_back({job / "issued.csv", "issue\n"});
  files.push_back({job / "numbers.csv", "1002\n", How::append});
  files.push_back({job / "issued.csv", "1\n", How::append});
  files.push_back({job / "out/list.csv", "2\n"});
  files.push_back({job / "no.csv", "no\n"});
  batch.stage(std::move(files));
  CHECK(contains(failure_of([&] { batch.commit({}); }), "no.csv"));
  const std::vector<std::string> want = {
      "flush numbers.torn", "flush job/",        "cut numbers.csv",   "flush numbers.csv",  // the tail
      "rename issued.csv",  "flush job/",        "flush numbers.csv", "flush issued.csv",   // the journals
      "rename list.csv",    "flush out/",        "rename no.csv",                           // the lists
      "rename list.csv",    "flush out/",        "cut issued.csv",    "flush issued.csv",   // and back again
      "cut numbers.csv",    "flush numbers.csv", "flush numbers.csv"};
  CHECK(done_in_order() == want);
  CHECK(snapshot(job).at("numbers.csv") == "1001\nhalf");
}
