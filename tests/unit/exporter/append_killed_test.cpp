// A batch that adds to journals and is killed at a call: every call is tried in turn, so that no moment is
// left out.
#include <doctest/doctest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <string>

#include "append_scenes.h"
#include "exporter/batch.h"
#include "failing_calls.h"
#include "support/temp_folder.h"

using namespace deckmark;
using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

/// Runs the scene in a process of its own that ends before the call `k`; false where it ended by itself.
bool killed_at(const Scene& scene, const fs::path& job, int k, int link_reason) {
  const pid_t child = ::fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    faults().reset();
    faults().die_at = k;
    faults().only_link = link_reason;
    faults().short_writes = true;  // so that it dies within a row too
    scene.run(job, failing_calls());
    ::_exit(0);
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFEXITED(status) && WEXITSTATUS(status) == 9;
}

}  // namespace

TEST_CASE(
    "killed before any call: journals hold what they held, then a beginning of what is added, in order") {
  const Scene& scene = append_scenes()[0];
  const std::string ledger = kLedger, issues = kIssues, rows = bytes_of(*bare_rows(kRows, 2));
  for (const int link_reason : {0, EPERM}) {
    int torn_rows = 0, uncovered = 0, behind = 0, in_both = 0, kills = 0;
    for (int k = 0;; ++k) {
      const TempFolder job;
      scene.put(job.path());
      if (!killed_at(scene, job.path(), k, link_reason)) break;
      ++kills;
      CAPTURE(k);
      const std::string numbers = read_bytes(job / "numbers.csv"), issued = read_bytes(job / "issued.csv");
      const std::string torn = read_bytes(job / "numbers.torn");
      REQUIRE(numbers.starts_with(ledger));
      REQUIRE(issued.starts_with(issues));
      const std::string added = numbers.substr(ledger.size()), row = issued.substr(issues.size());
      const bool has_tail = added == kLedgerTail, has_issues_tail = row == kIssuesTail;
      // What was torn is in one of the two places, or in both.
      CHECK((has_tail || torn.find(kLedgerTail) != std::string::npos));
      CHECK((has_issues_tail || torn.find(kIssuesTail) != std::string::npos));
      in_both += has_tail && torn.find(kLedgerTail) != std::string::npos ? 1 : 0;
      // The ledger's rows, whole, before the issue's row; that, whole, before a list.
      CHECK((has_tail || rows.starts_with(added)));
      CHECK((has_issues_tail || std::string(kIssueRow).starts_with(row)));
      const bool is_whole = row == kIssueRow;
      if (!has_issues_tail && !row.empty()) CHECK(added == rows);
      const bool points = read_bytes(job / "out/points.csv") == "points\n";
      if (points) CHECK(is_whole);
      if (read_bytes(job / "out/summary.txt") == "summary\n") CHECK(points);
      torn_rows += !has_tail && !added.empty() && !added.ends_with('\n') ? 1 : 0;
      uncovered += !has_tail && added == rows && row.empty() ? 1 : 0;
      behind += is_whole && !points ? 1 : 0;

      // The next batch takes away what does not count and goes on.
      Batch batch;
      batch.hold_folder(job.path());
      if (!is_whole) batch.cut(job / "numbers.csv", ledger.size(), job / "numbers.torn");
      if (!is_whole) batch.cut(job / "issued.csv", issues.size(), job / "numbers.torn");
      batch.keep_account(job / "out");
      std::vector<OutputFile> files;
      files.push_back({job / "issued.csv", "3,ef\n", How::append});
      files.push_back({job / "out/summary.txt", "third\n"});
      batch.stage(std::move(files));
      batch.commit({});
      CHECK(read_bytes(job / "numbers.csv") == ledger + (is_whole ? rows : ""));
      CHECK(read_bytes(job / "issued.csv") == issues + (is_whole ? kIssueRow : "") + "3,ef\n");
      for (const fs::path& folder : {job.path(), job / "out"})
        for (const auto& entry : fs::directory_iterator(folder))
          CHECK_FALSE(entry.path().filename().string().starts_with('.'));
    }
    CHECK(kills > 100);
    CHECK(torn_rows > 3);
    CHECK(uncovered > 3);
    CHECK(behind > 3);
    CHECK(in_both > 1);
  }
}
