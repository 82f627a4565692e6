// Files as they come: being saved, cut off, no plain files, closed to others, left over by a run that failed.

#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <sys/time.h>
#include <unistd.h>

#include <algorithm>
#include <fstream>
#include <string>
#include <vector>

#include "job_folder.h"

using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

constexpr const char* kJob = "[drawing]\npoints = \"drawing.csv\"\n";
constexpr const char* kPoints = "point,x,y,run\nA,0,0,R1\nB,131.448,1,R2\n";

void write_job(JobFolder& job, const std::string& more = "") {
  job.write("job.toml", kJob + more);
  job.write("drawing.csv", kPoints);
}

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

/// A run that must not wait for what never comes.
CommandResult run_soon(const JobFolder& job, std::vector<std::string> args = {"run", "."}) {
  CommandRun run = job.prepared(std::move(args));
  run.seconds = 20;
  const CommandResult result = run.run();
  CHECK_FALSE(result.timed_out);
  return result;
}

std::string repeated(const std::string& text, int times) {
  std::string out;
  for (int i = 0; i < times; ++i) out += text;
  return out;
}

CommandResult shell(const JobFolder& job, const std::string& line) {
  CommandRun run = job.prepared({"-c", line});
  run.program = "/bin/sh";
  return run.run();
}

/// Holds a file open for writing as a program does that is saving it.
class Saving {
 public:
  explicit Saving(const fs::path& path) : fd_(::open(path.c_str(), O_WRONLY)) {
    REQUIRE(fd_ >= 0);
    ::futimens(fd_, nullptr);  // written just now
  }
  ~Saving() { ::close(fd_); }
  Saving(const Saving&) = delete;
  Saving& operator=(const Saving&) = delete;
  int fd() const { return fd_; }

 private:
  int fd_;
};

/// Whether the system tells who has a file open for writing.
bool tells_writers(const fs::path& path) {
  const int fd = ::open(path.c_str(), O_RDONLY);
  const bool tells = ::fcntl(fd, F_SETLEASE, F_RDLCK) == 0;
  if (tells) ::fcntl(fd, F_SETLEASE, F_UNLCK);
  ::close(fd);
  return tells;
}

}  // namespace

// Cause (2026-11-27): the lock opened the job file before anybody asked what it was, and waited for a writer.
TEST_CASE("what is no plain file is refused, never waited for") {
  {
    JobFolder job;
    write_job(job);
    fs::remove(job.path() / "job.toml");
    REQUIRE(::mkfifo((job.path() / "job.toml").c_str(), 0600) == 0);
    for (const std::string command : {"run", "check", "baseline", "stake"}) {
      CAPTURE(command);
      const CommandResult result = run_soon(job, {command, "."});
      CHECK(result.exit_code == 2);
      CHECK(has(result.err, "it is not an ordinary file"));
    }
    CHECK_FALSE(job.has("out"));
  }
  for (const std::string name : {"drawing.csv", "numbers.csv"}) {
    CAPTURE(name);
    JobFolder job;
    write_job(job);
    fs::remove(job.path() / name);
    REQUIRE(::mkfifo((job.path() / name).c_str(), 0600) == 0);
    const CommandResult result = run_soon(job);
    CHECK(result.exit_code == 2);
    CHECK(has(result.err, "\"" + name + "\": it is not an ordinary file"));
    CHECK_FALSE(job.has("out"));
  }
  JobFolder job;
  write_job(job);
  job.write("job.toml", "[drawing]\npoints = \"/dev/zero\"\n");
  CHECK(run_soon(job).exit_code == 2);
  REQUIRE(::mkfifo((job.path() / "readings").c_str(), 0600) == 0);
  CHECK(run_soon(job, {"fieldtest", "readings"}).exit_code == 2);
}

// Cause (2026-11-27): the parser calls itself for every level, and 30 kB of dots ended the program.
TEST_CASE("a job file that nests deep is refused at its line") {
  struct Row {
    std::string what, text;
    std::size_t line;
  };
  const int kDeep = 15000;
  for (const Row& r : std::vector<Row>{
           {"dots", repeated("a.", kDeep) + "a = 1\n", 4},
           {"nothing but dots", repeated(".", 30000) + "\n", 4},
           {"a section", "[" + repeated("a.", kDeep) + "a]\n", 4},
           {"a list of sections", "[[" + repeated("a.", kDeep) + "a]]\n", 4},
           {"brackets", "a = " + repeated("[", kDeep) + repeated("]", kDeep) + "\n", 4},
           {"brackets that stay open", "a = [\n" + repeated("[", kDeep), 5},
           {"braces", "a = " + repeated("{a=", kDeep) + "1" + repeated("}", kDeep) + "\n", 4},
           {"braces and dots", "a = {" + repeated("a.", 40) + "a = {" + repeated("b.", 40) + "b = 1}}\n", 4},
           {"a section and its keys", "[" + repeated("a.", 40) + "a]\n" + repeated("b.", 40) + "b = 1\n", 5},
           {"behind texts that hold brackets",
            "a = '''[[\n\"'''\nb = \"[\\\"[\" # [[[\n" + repeated("c.", kDeep), 7},
           {"just too deep", "a = " + repeated("[", 63) + repeated("]", 63) + "\n", 4},
       }) {
    CAPTURE(r.what);
    JobFolder job;
    write_job(job);
    job.write("job.toml", std::string("title = \"t\"\n") + kJob + r.text);
    const auto before = job.snapshot();
    const CommandResult result = job.run();
    CHECK(result.signal == 0);
    check_refused(job, before, result);
    const auto problems = problem_lines(result.err);
    REQUIRE(problems.size() == 1);
    CHECK(problems[0].line == r.line);
    CHECK(has(problems[0].text, "more than 64 sections, keys or lists in one another"));
  }
  // As deep as it may be under [drawing], a text, and a line that is deep only once its slip is mended.
  for (const std::string& text :
       {"a = " + repeated("[", 62) + repeated("]", 62) + "\n", "b = \"" + repeated("[", 500) + "\"\n",
        "c = \"\"\"\n" + repeated("d.", kDeep) + "d = \\q\n\"\"\"\n"}) {
    JobFolder job;
    write_job(job);
    job.write("job.toml", kJob + text);
    const CommandResult result = job.run();
    CHECK(result.exit_code == 2);
    CHECK_FALSE(has(result.err, "more than 64"));
  }
}

// Cause (2026-11-27): of a table that was being saved the half that was there was read without a word.
TEST_CASE("a last row without a line end is a doubt that shows the row") {
  struct Row {
    std::string drawing, shows;
  };
  for (const Row& r : std::vector<Row>{
           {"point,x,y\nA,0,0\nB,131.448,1",
            "drawing.csv:3:1: row: \"B,131.448,1\" is the last row and has no line end"},
           {"point,x,y\r\nA,0,0\r\nB,131",
            "drawing.csv:3:1: row: \"B,131\" is the last row and has no line end"},
           {"point,x,y,note\nA,0,0,\nB,1,2,a note of more than forty letters that ends in 131.4",
            "forty letters that ends in 131.4\" is the last row"},
           {"point,x,y\nA,0,0\nB,131.448,1\n", ""},
           {"point,x,y\rA,0,0\rB,131.448,1\r", ""},
           {"point,x,y\nA,0,0\n# the end", ""},
           {"point,x,y\nA,0,0\n  ", ""},
       }) {
    CAPTURE(r.drawing);
    JobFolder job;
    write_job(job);
    job.write("drawing.csv", r.drawing);
    const CommandResult result = job.run({"check", "."});
    CAPTURE(result.err);
    CHECK(has(result.err, "no line end") == !r.shows.empty());
    if (!r.shows.empty()) CHECK(has(result.err, r.shows));
  }
}

TEST_CASE("a table that is being saved is waited for, then refused; one that is only open is read") {
  JobFolder job;
  write_job(job);
  if (!tells_writers(job.path() / "drawing.csv")) return;
  const auto before = job.snapshot();
  {
    const Saving saving(job.path() / "drawing.csv");
    const CommandResult result = job.run();
    check_refused(job, before, result);
    CHECK(has(result.err, "drawing.points: found \"drawing.csv\": it is being written by another program"));
    CHECK(has(result.err, "try again when it is saved"));
    // Opened by a spreadsheet an hour ago: nobody saves it now.
    const timespec then[2] = {{::time(nullptr) - 3600, 0}, {::time(nullptr) - 3600, 0}};
    REQUIRE(::futimens(saving.fd(), then) == 0);
    CHECK(job.run({"check", "."}).exit_code == 0);
  }
  CHECK(job.run({"check", "."}).exit_code == 0);
  {
    const Saving saving(job.path() / "job.toml");
    const CommandResult result = job.run({"check", "."});
    CHECK(result.exit_code == 2);
    CHECK(has(result.err, "try again when it is saved"));
  }
}

TEST_CASE("files that are replaced keep their mode") {
  JobFolder job;
  write_job(job);
  REQUIRE(job.run().exit_code == 0);
  for (const char* name : {"numbers.csv", "out/points.csv", "out/summary.txt"})
    fs::permissions(job.path() / name, fs::perms(0640));
  REQUIRE(job.run().exit_code == 0);
  for (const char* name : {"numbers.csv", "out/points.csv", "out/summary.txt"})
    CHECK(fs::status(job.path() / name).permissions() == fs::perms(0640));
}

#ifndef DECKMARK_SANITIZED
// Cause (2026-11-27): a thread without memory for its stack was told as `Resource temporarily unavailable`,
// and one that found none while it worked ended the program.
TEST_CASE("out of memory is one line that says what to do, whatever runs out first") {
  JobFolder job;
  job.write("job.toml", kJob);
  std::string drawing = "point,x,y\n";
  for (int i = 0; i < 150000; ++i) drawing += "P" + std::to_string(i) + ",1,1" + std::to_string(i) + "\n";
  job.write("drawing.csv", drawing);
  const auto before = job.snapshot();
  const std::string limit = "ulimit -v $((", program = ")); exec " DECKMARK_PROGRAM " ";
  int refused = 0, done = 0;
  for (int kib = 8000; kib <= 400000 && done == 0; kib += kib < 60000 ? 2500 : 5000) {
    if (shell(job, limit + std::to_string(kib) + program + "--version").exit_code != 0) continue;
    CAPTURE(kib);
    const CommandResult result = shell(job, limit + std::to_string(kib) + program + "run . --quiet");
    CAPTURE(result.err);
    CHECK(result.signal == 0);
    if (result.exit_code == 0) {
      ++done;
      continue;
    }
    ++refused;
    CHECK(result.exit_code == 3);
    CHECK(std::ranges::count(result.err, '\n') >= 1);
    const std::string last = result.err.substr(result.err.rfind('\n', result.err.size() - 2) + 1);
    CHECK(last.starts_with("deckmark: out of memory; "));
    CHECK(has(last, "then run again"));
    CHECK((job.snapshot() == before));
  }
  CHECK(refused > 5);
  CHECK(done == 1);
}
#endif

TEST_CASE("what a failed run could not put back is told, and typing what it says goes on") {
  for (const bool back : {true, false}) {
    for (const std::string name : {"out/points.csv", "numbers.csv", "out/floor-list.csv"}) {
      CAPTURE(name);
      JobFolder job;
      write_job(job);
      REQUIRE(job.run().exit_code == 0);
      job.write(name + ".earlier", job.read(name));
      job.write("out/notes.csv.earlier", "the user's");
      job.write("out/points.csv.earlier-x", "the user's");
      const auto before = job.snapshot();
      const CommandResult result = job.run();
      check_refused(job, before, result);
      const auto problems = problem_lines(result.err);
      REQUIRE(problems.size() == 1);
      CHECK(problems[0].file == "./" + name + ".earlier");
      const std::string told = suggestion_of(problems[0]);
      const std::size_t mv = told.find("mv "), mv_end = told.find(" to put it back"), rm = told.find("rm "),
                        rm_end = told.find(" to go on");
      REQUIRE(mv == 0);
      REQUIRE(rm_end != std::string::npos);
      CHECK(shell(job, back ? told.substr(mv, mv_end) : told.substr(rm, rm_end - rm)).exit_code == 0);
      CHECK_FALSE(job.has(name + ".earlier"));
      CHECK(job.run().exit_code == 0);
      CHECK(job.read("out/notes.csv.earlier") == "the user's");
    }
  }
}

TEST_CASE("a run that was stopped among its renames is told by the next, which clears it away") {
  JobFolder job;
  write_job(job);
  REQUIRE(job.run().exit_code == 0);
  job.write("out/.deckmark-1-2-points.csv.old", "point\n");
  const CommandResult check = job.run({"check", "."});
  CHECK(has(check.err, "out/points.csv: file: a run was stopped while it put its files in place"));
  CHECK(has(check.err, ".deckmark-1-2-points.csv.old is this file as it stood before"));
  CHECK(job.has("out/.deckmark-1-2-points.csv.old"));
  CHECK(job.run().exit_code == 0);
  CHECK_FALSE(job.has("out/.deckmark-1-2-points.csv.old"));
  CHECK_FALSE(has(job.run().err, "stopped"));
}

// Cause (2026-11-27): a summary that could not be read was taken for none, and the lists that it named
// stayed.
TEST_CASE("a summary that does not tell which files are old: refused, or each file told") {
  JobFolder job;
  write_job(job, "[list]\nsplit = \"run\"\n");
  REQUIRE(job.run().exit_code == 0);
  REQUIRE(job.has("out/floor-list-R1.csv"));
  write_job(job);
  if (tells_writers(job.path() / "out/summary.txt")) {
    const Saving saving(job.path() / "out/summary.txt");
    const auto before = job.snapshot();
    const CommandResult result = job.run();
    check_refused(job, before, result);
    CHECK(has(result.err, "out/summary.txt: file: found it is being written"));
  }
  const std::string summary = job.read("out/summary.txt");
  for (const std::string& damaged : {std::string(), std::string("\xFF\xFE\x00", 3), std::string("my notes\n"),
                                     summary.substr(0, summary.find("points.csv"))}) {
    job.write("out/summary.txt", damaged);
    const CommandResult check = job.run({"check", "."});
    CHECK(check.exit_code == 0);
    for (const char* name : {"out/floor-list-R1.csv", "out/floor-list-R2.csv"})
      CHECK(has(check.err, std::string(name) + ": file: this run does not make it"));
    CHECK(has(check.err, "if it is a list of an earlier run, delete it"));
    CHECK_FALSE(has(check.err, "points.csv: file: this run does not make it"));
  }
  // As it was: they go.
  job.write("out/summary.txt", summary);
  REQUIRE(job.run().exit_code == 0);
  CHECK_FALSE(job.has("out/floor-list-R1.csv"));
}

TEST_CASE("the ledger's folder is made for a job that comes to something, and held however it is named") {
  JobFolder job;
  write_job(job, "[numbers]\nledger = \"l/deep/numbers.csv\"\n");
  job.write("drawing.csv", "point,x,y\nA,zero,0\n");
  const auto before = job.snapshot();
  check_refused(job, before, job.run());
  job.write("drawing.csv", kPoints);
  CHECK(job.run({"check", "."}).exit_code == 0);
  CHECK_FALSE(job.has("l"));
  CHECK(job.run().exit_code == 0);
  CHECK(job.has("l/deep/numbers.csv"));
  // Ledger, lists and job in one folder, however it is written.
  for (const std::string out : {".", "l/deep", "./l/../l/deep/"})
    CHECK(job.run({"run", ".", "--out", out}).exit_code == 0);
}
