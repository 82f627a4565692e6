// The issues of a job, who has them, and their lists made again of the ledger alone.
#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "job_folder.h"

using namespace deckmark_test;

namespace {

const std::string kDrawing =
    "point,x,y,run\nA,0.1234567,1,R1\nB,5.5555555,1.7,R1\nC,5.1,6.0000004,R2\nD,0.33333349,6,\n";

/// A deck that slopes, control, brackets: a list with all that a list can have.
void write_job(JobFolder& job, const std::string& list, const std::string& drawing = kDrawing) {
  job.write("drawing.csv", drawing);
  job.write("ties.csv",
            "mark,x,y,northing,easting\nT1,0,0,100,200\nT2,10,0,100,210.001\nT3,0,10,110.001,200\n");
  job.write("control.csv", "point,northing,easting,elevation\nCP1,100,200,10\n");
  job.write("deck.csv", "shot,x,y,elevation\nS1,0,0,14\nS2,10,0,14.01\nS3,0,10,14.023\nS4,10,10,14.033\n");
  job.write("job.toml",
            "revision = \"A\"\n[drawing]\npoints = \"drawing.csv\"\n[floor]\nelevation = \"10 m\"\n"
            "[baselines]\nties = \"ties.csv\"\ntolerance = \"20 mm\"\n[site]\ncontrol = \"control.csv\"\n"
            "[deck]\nshots = \"deck.csv\"\n[hangers]\nheight = \"2.5 m\"\n[list]\n" +
                list);
}

std::vector<std::string> lists_in(const JobFolder& job, const std::string& folder) {
  std::vector<std::string> out;
  for (const auto& [path, bytes] : job.snapshot())
    if (path.starts_with(folder + "/") && path.find("list") != std::string::npos) out.push_back(path);
  return out;
}

}  // namespace

TEST_CASE("a list of the last issue is the run's byte for byte, whatever the layout") {
  for (const char* list :
       {"", "together = true\n", "split = \"run\"\n", "order = \"run\"\n", "header = true\ndecimals = 7\n",
        "only = [\"R2\"]\n", "unit = \"ft\"\ndecimals = 5\n",
        "unit = \"mm\"\ndecimals = 2\nseparator = \";\"\ndecimal_mark = \",\"\nline_end = \"lf\"\n",
        "columns = [\"point\", \"number\", \"x\", \"y\", \"elevation\", \"kind\", \"run\", \"description\"]\n"
        "description = [\"point\", \"drop\"]\ntogether = true\n"}) {
    CAPTURE(list);
    JobFolder job;
    // Numbers are in the order of the first drawing, runs in that of the last.
    write_job(job, list, "point,x,y,run\nC,5.1,6,R2\nA,0.1,1,R1\n");
    REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
    write_job(job, list,
              "point,x,y,run\nD,0.3,6,\nA,0.1234567,1,R1\nB,5.5555555,1.7,R1\nC,5.1,6.0000004,R2\n");
    REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
    const CommandResult result = job.run({"issued", ".", "--list", "2", "--out", "again"});
    CHECK_MESSAGE(result.exit_code == 0, result.err);
    const auto made = lists_in(job, "out"), again = lists_in(job, "again");
    REQUIRE(made.size() == again.size());
    REQUIRE_FALSE(made.empty());
    for (const std::string& path : made) CHECK(job.read(path) == job.read("again" + path.substr(3)));
    CHECK(job.run({"issued", ".", "--list", "2", "--out", "again"}).exit_code == 0);  // the same lists alone
  }
}

TEST_CASE("a list of an old issue is the one that was handed out then, with what was dropped since") {
  JobFolder job;
  write_job(job, "");
  REQUIRE(job.run({"run", ".", "--quiet", "--out", "one"}).exit_code == 0);
  write_job(job, "", "point,x,y,run\nA,0.2,1,R1\nC,5.1,6.0000004,R2\nE,3,3,\n");
  REQUIRE(job.run({"run", ".", "--quiet", "--out", "two"}).exit_code == 0);
  REQUIRE(job.run({"issued", ".", "--list", "1", "--out", "again"}).exit_code == 0);
  CHECK(job.read("again/floor-list.csv") == job.read("one/floor-list.csv"));
  CHECK(job.read("again/deck-list.csv") == job.read("one/deck-list.csv"));
  CHECK(job.read("again/floor-list.csv") != job.read("two/floor-list.csv"));
}

TEST_CASE("a folder with other files, an issue that is not there and a job without issues are refused") {
  JobFolder job;
  write_job(job, "");
  CHECK(job.run({"issued", "."}).exit_code == 2);
  CHECK(job.run({"give", ".", "--to", "north", "--on", "2026-11-25"}).exit_code == 2);
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  job.write("other/notes.txt", "mine\n");
  struct Wrong {
    std::vector<std::string> args;
    std::string told;
  };
  for (const Wrong& w :
       {Wrong{{"issued", ".", "--list", "1", "--out", "other"},
              "other/notes.txt: file: found another file in the folder"},
        Wrong{{"issued", ".", "--list", "2", "--out", "x"},
              "--list: found \"2\", expected issue 1, the only one; try --list 1"},
        Wrong{{"issued", ".", "--list", "-1", "--out", "x"}, "--list: found \"-1\""},
        Wrong{{"issued", ".", "--list", "1", "--out", "job.toml"}, "--out: found \"job.toml\", a file"},
        Wrong{{"issued", ".", "--list", "1"}, "deckmark: issued: --list N needs --out DIR"},
        Wrong{{"give", ".", "--to", "north", "--on", "25.11.26"},
              "--on: found \"25.11.26\", expected a date that reads one way"},
        Wrong{{"give", ".", "--on", "2026-11-25"}, "--to: found nothing"},
        Wrong{{"give", ".", "--to", "a\x01", "--on", "2026-11-25"}, "which holds U+0001"},
        Wrong{{"give", ".", "--to", "a", "--on", "2026-11-25", "--issue", "two"},
              "--issue: found \"two\", expected issue 1"}}) {
    CAPTURE(w.told);
    const auto before = job.snapshot();
    const CommandResult result = job.run(w.args);
    CHECK(result.exit_code == 2);
    CHECK_MESSAGE(result.err.find(w.told) != std::string::npos, result.err);
    CHECK(job.snapshot() == before);
  }
}

TEST_CASE("who has an issue is kept beside the ledger, once, with the digest of the issue") {
  JobFolder job;
  write_job(job, "");
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  const std::string digest = [&] {
    const std::string rows = job.read("issued.csv");
    return rows.substr(rows.size() - 17, 16);
  }();
  const std::vector<std::string> north{"give", ".", "--to", "north", "--on", "2026-11-25"};
  CHECK(job.run(north).out == "issue 1, revision A is given to north on 2026-11-25: given.csv\n");
  CHECK(job.read("given.csv") == "issue,to,on,digest\n1,north,2026-11-25," + digest + "\n");
  CHECK(job.run(north).out ==
        "issue 1, revision A was given already to north on 2026-11-25: nothing is added\n");
  CHECK(job.run({"give", ".", "--to", "=a", "--on", "25 November 2026"}).exit_code == 0);
  const std::string two =
      "issue,to,on,digest\n1,north,2026-11-25," + digest + "\n1,'=a,25 November 2026," + digest + "\n";
  CHECK(job.read("given.csv") == two);
  CHECK(job.run({"issued", "."}).out.find("has it: north since 2026-11-25, =a since 25 November 2026") !=
        std::string::npos);
  // Half a row does not count, and goes with the next.
  job.write("given.csv", two + "1,east,2026");
  const CommandResult torn = job.run({"give", ".", "--to", "west", "--on", "2026-11-26"});
  CHECK(torn.err == "notice: given.csv:4:1: row: it was not written to its end: this issue was not given\n");
  CHECK(job.read("given.csv") == two + "1,west,2026-11-26," + digest + "\n");
  CHECK(job.read("numbers.torn").find("1,east,2026") != std::string::npos);
  // What changes since is told since the issue that somebody has.
  write_job(job, "", "point,x,y,run\nA,0.2,1,R1\n");
  const CommandResult stale = job.run({"give", ".", "--to", "north", "--on", "2026-11-27"});
  CHECK(stale.exit_code == 0);
  CHECK(stale.err.find("the job has changed since issue 1: deckmark run ./job.toml hands out issue 2") !=
        std::string::npos);
  // A row that speaks of another issue is a problem at its cell.
  job.write("given.csv",
            "issue,to,on,digest\n2,north,2026-11-25," + digest + "\n1,north,x,0123456789abcdef\n");
  const CommandResult bad = job.run({"check", "."});
  CHECK(bad.exit_code == 2);
  const auto told = problem_lines(bad.err);
  REQUIRE(told.size() == 2);
  CHECK(place_of(told[0]) == "given.csv:2:1: issue");
  CHECK(place_of(told[1]) == "given.csv:3:11: digest");
}
