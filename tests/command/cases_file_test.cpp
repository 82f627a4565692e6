// Paths, streams and faults while writing, of tests/cases.
#include <doctest/doctest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>

#include "cases_support.h"

using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

/// A job of three points and a deck; it runs as it is.
void write_job(JobFolder& job, const std::string& under = "", const std::string& drawing = "drawing.csv") {
  job.write(under + "job.toml", "[drawing]\npoints = \"" + drawing +
                                    "\"\n[floor]\nelevation = \"1 m\"\n[deck]\nelevation = \"4 m\"\n");
  job.write(under + drawing, "point,x,y\nP1,0,0\nP2,5,0\nP3,5,4\n");
}

/// Runs the program as a user who is not root, where the test is root.
CommandResult run_as_user(const JobFolder& job, std::vector<std::string> args) {
  CommandRun run = job.prepared(std::move(args));
  if (::geteuid() == 0) {
    run.args.insert(run.args.begin(),
                    {"--reuid=65534", "--regid=65534", "--clear-groups", "--", run.program.string()});
    run.program = "/usr/bin/setpriv";
  }
  return run.run();
}

/// A shell line in the job's folder; $0 is the program.
CommandResult shell(const JobFolder& job, const std::string& line) {
  CommandRun run = job.prepared({"-c", line, DECKMARK_PROGRAM});
  run.program = "/bin/sh";
  return run.run();
}

bool one_line_ends_it(const CommandResult& result, const std::string& start) {
  const std::size_t last = result.err.rfind('\n', result.err.size() - 2);
  return result.err.substr(last == std::string::npos ? 0 : last + 1).rfind(start, 0) == 0;
}

/// Exit 3 (or 2), with path and reason on standard error, nothing said of success, the folder as before.
void check_failed(const JobFolder& job, const std::map<std::string, std::string>& before,
                  const CommandResult& result, const std::vector<std::string>& words) {
  CAPTURE(result.err);
  CHECK((result.exit_code == 2 || result.exit_code == 3));
  CHECK((job.snapshot() == before));
  CHECK(result.err.find("READY") == std::string::npos);
  CHECK(result.err.find("BASELINES NOT CHECKED") == std::string::npos);
  for (const std::string& word : words) {
    CAPTURE(word);
    CHECK(result.err.find(word) != std::string::npos);
  }
}

void run_again() {
  JobFolder job;
  write_job(job);
  REQUIRE(job.run().exit_code == 0);
  const auto first = job.snapshot();
  job.write("out/notes.txt", "mine");
  job.write("out/other.csv", "mine");
  job.write("drawing.csv", "point,x,y\nP1,0,0\nP2,5,0\nP3,5,4.5\nP4,6,0\n");
  REQUIRE(job.run().exit_code == 0);
  const auto second = job.snapshot();
  for (const char* name : {"out/points.csv", "out/floor-list.csv", "out/deck-list.csv", "out/changes.csv",
                           "out/summary.txt", "numbers.csv"}) {
    CAPTURE(name);
    CHECK(second.at(name) != first.at(name));
  }
  CHECK(second.at("out/notes.txt") == "mine");
  CHECK(second.at("out/other.csv") == "mine");
  CHECK(named_rows(second.at("out/points.csv")).size() == 4);
  REQUIRE(job.run().exit_code == 0);
  const auto third = job.snapshot();
  for (const auto& [name, bytes] : third)  // a job without change: the same bytes but for what changed
    if (name != "out/changes.csv" && name != "out/summary.txt" && name != "out/SHA256SUMS")
      CHECK(bytes == second.at(name));
}

void output_over_input() {
  for (const std::string how :
       {"out option", "symlink", "hard link", "linked folder", "list name", "ledger as drawing"}) {
    CAPTURE(how);
    JobFolder job;
    write_job(job, "", how == "list name" ? "floor-list.csv" : "points.csv");
    std::vector<std::string> args = {"run", ".", "--out", "."};
    if (how == "symlink" || how == "hard link") {
      fs::create_directory(job.path() / "out");
      if (how == "symlink")
        fs::create_symlink("../points.csv", job.path() / "out/points.csv");
      else
        fs::create_hard_link(job.path() / "points.csv", job.path() / "out/changes.csv");
      args = {"run", "."};
    }
    if (how == "linked folder") {
      fs::create_directory_symlink(".", job.path() / "elsewhere");
      args.back() = "elsewhere";
    }
    if (how == "ledger as drawing") {
      REQUIRE(job.run().exit_code == 0);
      write_job(job, "", "numbers.csv");
      job.write("numbers.csv",
                "point,number,status,x (m),y (m),deck_offset,revision,northing (m),easting "
                "(m)\nP1,1001,live,0,0,5000,,0,0\n");
      args = {"run", "."};
    }
    const auto before = job.snapshot();
    const CommandResult result = job.run(args);
    check_failed(job, before, result,
                 {how == "list name"           ? "floor-list.csv"
                  : how == "ledger as drawing" ? "numbers.csv"
                                               : "points.csv"});
    CHECK(result.exit_code == 2);
  }
}

/// The ledger where an output would lie, with the output folder named another way and not yet made.
void ledger_under_output() {
  for (const std::string out : {"out", "./out", "out/../out"}) {
    CAPTURE(out);
    JobFolder job;
    job.write("job.toml", "[drawing]\npoints = \"d.csv\"\n[numbers]\nledger = \"out/points.csv\"\n");
    job.write("d.csv", "point,x,y\nP1,0,0\n");
    const auto before = job.snapshot();
    CHECK(job.run({"run", "job.toml", "--out", out}).exit_code == 2);
    CHECK((job.snapshot() == before));
  }
}

void disk_full() {
  for (const bool csv : {true, false}) {
    JobFolder job;
    write_job(job);
    const auto before = job.snapshot();
    CommandRun run = job.prepared({"run", "."});
    if (csv) run.args.push_back("--csv");
    run.out_target = "/dev/full";
    const CommandResult result = run.run();
    CHECK(result.exit_code == 3);
    check_failed(job, before, result, {"standard output", "space"});
  }
}

void folder_is_made() {
  JobFolder job;
  write_job(job);
  CHECK(job.run({"run", ".", "--out", "no/such/parent/out"}).exit_code == 0);
  CHECK(job.has("no/such/parent/out/points.csv"));
  CHECK(!job.has("out"));
}

void read_only() {
  for (const std::string which : {"out", "."}) {  // the output folder, or the folder of job and ledger
    CAPTURE(which);
    JobFolder job;
    write_job(job);
    fs::create_directory(job.path() / "out");
    for (const char* name : {"job.toml", "drawing.csv"}) fs::permissions(job.path() / name, fs::perms(0644));
    fs::permissions(job.path(), fs::perms(0777));
    fs::permissions(job.path() / "out", fs::perms(0777));
    fs::permissions(job.path() / which, fs::perms(0555));
    const auto before = job.snapshot();
    const CommandResult result = run_as_user(job, {"run", "."});
    CHECK(result.exit_code == 3);
    check_failed(job, before, result, {which == "out" ? "out" : "issued.csv", "ermission denied"});
    fs::permissions(job.path(), fs::perms(0777));
    fs::permissions(job.path() / "out", fs::perms(0777));
  }
}

void out_is_a_file() {
  for (const std::string out : {"plain", "plain/below", "plain/below/more"}) {
    CAPTURE(out);
    JobFolder job;
    write_job(job);
    job.write("plain", "a file");
    const auto before = job.snapshot();
    check_failed(job, before, job.run({"run", ".", "--out", out}), {"plain", "file"});
  }
}

/// A folder where a file should be: found before the first file is replaced.
void folder_in_the_way() {
  for (const std::string name : {"summary.txt", "points.csv"}) {
    CAPTURE(name);
    JobFolder job;
    write_job(job);
    REQUIRE(job.run().exit_code == 0);
    fs::remove(job.path() / "out" / name);
    job.write("out/" + name + "/inside", "x");
    job.write("drawing.csv", "point,x,y\nP1,1,1\n");
    const auto before = job.snapshot();
    check_failed(job, before, job.run(), {name});
  }
}

void temporary_names() {
  JobFolder job;
  write_job(job);
  for (const std::string name :
       {"points.csv.tmp", "points.csv~", ".points.csv.swp", "summary.txt.tmp", "points.csv.bak"})
    job.write("out/" + name, "mine " + name);
  REQUIRE(job.run().exit_code == 0);
  REQUIRE(job.run().exit_code == 0);
  for (const std::string name :
       {"points.csv.tmp", "points.csv~", ".points.csv.swp", "summary.txt.tmp", "points.csv.bak"})
    CHECK(job.read("out/" + name) == "mine " + name);
}

void reader_stops_early() {
  JobFolder job;
  write_job(job);
  std::string rows = "point,x,y\n";
  for (int i = 0; i < 100000; ++i)
    rows += "P" + std::to_string(i) + "," + std::to_string(i % 400) + "," + std::to_string(i / 400) + "\n";
  job.write("drawing.csv", rows);
  job.write("job.toml", "[drawing]\npoints = \"drawing.csv\"\n");
  const CommandResult result = shell(job, "{ \"$0\" run . --csv; echo $? > status; } | head -1");
  CHECK(result.out.rfind("number,point,", 0) == 0);
  CHECK(job.read("status") == "0\n");
  CHECK(one_line_ends_it(result, "BASELINES NOT CHECKED"));
  CHECK(result.err.find("ipe") == std::string::npos);
}

void notices_apart() {
  JobFolder job;
  write_job(job);
  job.write("drawing.csv", "point,x,y,colour\nP1,0,0,red\n");
  const CommandResult result = job.run({"run", ".", "--csv"});
  CHECK(result.exit_code == 0);
  CHECK(result.out == job.read("out/points.csv"));
  CHECK(result.err.find("notice: drawing.csv:1:11: header: ") != std::string::npos);
  CHECK(result.err.find("colour") != std::string::npos);
}

void blanks_and_accents() {
  const std::string folder = unescape("niveau 2/plan \\u00E9tage/"), out = unescape("sortie \\u00E9t\\u00E9"),
                    table = unescape("points \\u00E9t\\u00E9.csv");
  JobFolder job;
  write_job(job, folder, table);
  CHECK(job.run({"run", folder, "--out", out}).exit_code == 0);
  CHECK(job.has(out + "/points.csv"));
  CHECK(job.run({"run", folder + "job.toml"}).exit_code == 0);
  CommandRun beside = job.prepared({"run", "job.toml"});
  beside.folder = job.path() / folder;
  CHECK(beside.run().exit_code == 0);
  CHECK(job.has(folder + "out/points.csv"));
  job.write(folder + table, "point,x,y\nP1,zero,0\n");
  check_told(job.run({"check", folder}).err, {table + ":2:4: x", {"\"zero\""}});
}

void leading_dash() {
  JobFolder job;
  write_job(job, "-job/", "-pts.csv");
  CHECK(job.run({"run", "--", "-job"}).exit_code == 0);
  CHECK(job.has("-job/out/points.csv"));
  CHECK(job.run({"run", "--out", "-out", "--", "-job"}).exit_code == 0);
  CHECK(job.has("-out/points.csv"));
  CHECK(job.run({"run", "-job"}).exit_code == 2);  // an option that is not known
}

/// The job file's text with one problem: where, and what it must hold.
void refused_job(const std::string& toml, const Refusal& refusal) {
  JobFolder job;
  write_job(job);
  job.write("job.toml", toml);
  job.write("tables/inside.csv", "point,x,y\nP1,0,0\n");
  const auto before = job.snapshot();
  const CommandResult result = job.run();
  check_refused(job, before, result);
  check_told(result.err, refusal);
}

void relative_paths() {
  JobFolder job;
  write_job(job, "job/");
  fs::create_directory(job.path() / "work");
  CommandRun run = job.prepared({"run", "../job"});
  run.folder = job.path() / "work";
  CHECK(run.run().exit_code == 0);
  CHECK(job.has("job/out/points.csv"));
  CHECK(job.has("job/numbers.csv"));
  run.args = {"run", "../job", "--out", "there"};
  CHECK(run.run().exit_code == 0);
  CHECK(job.has("work/there/points.csv"));
}

void no_job() {
  JobFolder job;
  fs::create_directory(job.path() / "empty");
  job.write("some/other.toml", "x");
  const auto before = job.snapshot();
  for (const std::string path : {"empty", "some", "nowhere", "nowhere/job.toml"}) {
    for (const char* command : {"run", "check", "baseline"}) {
      CAPTURE(path);
      const CommandResult result = job.run({command, path});
      check_refused(job, before, result);
      check_told(result.err, {path + ": file", {"job.toml", "deckmark new"}});
    }
  }
  CommandRun here = job.prepared({"run"});
  here.folder = job.path() / "empty";
  const CommandResult result = here.run();
  CHECK(result.exit_code == 2);
  CHECK(result.err.find("job.toml") != std::string::npos);
}

void utf16_job() {
  JobFolder job;
  write_job(job);
  const std::string toml = job.read("job.toml");
  std::string wide = "\xFF\xFE";
  for (const char c : toml) wide += std::string{c, '\0'};
  for (const bool mark : {true, false}) {
    job.write("job.toml", mark ? wide : wide.substr(2));
    const auto before = job.snapshot();
    const CommandResult result = job.run();
    check_refused(job, before, result);
    check_told(result.err, {"job.toml: file", {"UTF-16", "UTF-8"}});
  }
}

void number_twice() {
  const std::string head = "point,number,status,x (m),y (m),deck_offset,revision,northing (m),easting (m)\n";
  for (const std::string second : {"B,1001,live", "B,1001,dropped"}) {
    JobFolder job;
    write_job(job);
    job.write("numbers.csv", head + "A,1001,live,0,0,5000,,0,0\n" + second + ",1,1,5000,,1,1\n");
    const auto before = job.snapshot();
    const CommandResult result = job.run();
    check_refused(job, before, result);
    check_told(result.err, {"numbers.csv:3:3: number", {"1001", "line 2"}});
  }
}

void new_into_full_folder() {
  JobFolder job;
  job.write("there/.hidden", "x");
  const auto before = job.snapshot();
  const CommandResult result = job.run({"new", "there"});
  CHECK(result.exit_code == 2);
  CHECK(result.err.find("there") != std::string::npos);
  CHECK((job.snapshot() == before));
  job.write("file", "x");
  CHECK(job.run({"new", "file"}).exit_code == 2);
  CHECK(job.run({"new", "fresh"}).exit_code == 0);
  CHECK(job.run({"run", "fresh"}).exit_code == 0);
}

const std::map<std::string, std::function<void()>>& file_tests() {
  static const std::map<std::string, std::function<void()>> tests = {
      {"file-01", run_again},
      {"file-02",
       [] {
         output_over_input();
         ledger_under_output();
       }},
      {"file-03", disk_full},
      {"file-04", folder_is_made},
      {"file-05", read_only},
      {"file-06",
       [] {
         out_is_a_file();
         folder_in_the_way();
       }},
      {"file-08", temporary_names},
      {"file-09", reader_stops_early},
      {"file-10", notices_apart},
      {"file-11", blanks_and_accents},
      {"file-12", leading_dash},
      {"file-13",
       [] {
         refused_job("[drawing]\npoints = \"-\"\n",
                     {"job.toml:2:10: drawing.points", {"\"-\"", "standard input"}});
       }},
      {"file-14",
       [] {
         refused_job("[drawing]\npoints = \"missing.csv\"\n",
                     {"job.toml:2:10: drawing.points", {"missing.csv", "no such file", "tried"}});
       }},
      {"file-15",
       [] {
         refused_job("[drawing]\npoints = \"tables\"\n",
                     {"job.toml:2:10: drawing.points", {"tables", "folder"}});
       }},
      {"file-16", relative_paths},
      {"file-17", no_job},
      {"file-18", utf16_job},
      {"file-19",
       [] {
         refused_job("[drawing]\npoints = \"drawing.csv\"\n[floor]\nelevaton = \"12 m\"\n",
                     {"job.toml:4:1: floor.elevaton", {"elevaton", "try elevation"}});
       }},
      {"file-20",
       [] {
         refused_job("[drawing]\npoints = \"drawing.csv\"\n[floor]\nelevation = 12\n",
                     {"job.toml:4:13: floor.elevation", {"found 12 without a unit", "12 m, 12 ft"}});
       }},
      {"file-21",
       [] {
         refused_job("[drawing]\npoints =", {"job.toml:2:9: file", {"points"}});
       }},
      {"file-22", number_twice},
      {"file-23", new_into_full_folder},
  };
  return tests;
}

}  // namespace

TEST_CASE("files, streams and faults while writing") {
  auto tests = file_tests();
  tests["file-07"] = [] {};  // killed while writing: killed_run_test.cpp
  check_all_are_met("file", tests);
  run_all(file_tests());
}
