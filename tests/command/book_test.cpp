// The book's dialogue through a pipe, on the real program.
#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <numbers>
#include <string>
#include <vector>

#include "job_folder.h"
#include "support/on_terminal.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

using Lines = std::vector<std::string>;

Lines told_lines(const std::string& text) {
  Lines out;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    out.push_back(text.substr(at, end - at));
    at = end + 1;
  }
  return out;
}
bool has(const std::string& out, const std::string& line) {
  const Lines lines = told_lines(out);
  return std::find(lines.begin(), lines.end(), line) != lines.end();
}
bool begins(const std::string& out, const std::string& front) {
  const Lines lines = told_lines(out);
  return std::any_of(lines.begin(), lines.end(), [&](const std::string& l) { return l.starts_with(front); });
}

/// Circle and horizontal distance from N 20, E 20, where a circle of 0 is north.
std::string seen(double northing, double easting, double turned = 0) {
  const double n = northing - 20, e = easting - 20;
  double circle = std::atan2(e, n) * 180 / std::numbers::pi + turned / 3600;
  if (circle < 0) circle += 360;
  return text("%.7f %.5f", circle, std::hypot(n, e));
}

std::string sights() {
  const struct {
    const char* name;
    double northing, easting;
  } control[] = {{"CP1", 0, 0}, {"CP2", 50, 5}, {"CP3", 5, 45}};
  std::string out = "target,face,circle,zenith,slope,height\n";
  for (const auto& c : control) {
    const double n = c.northing - 20, e = c.easting - 20, flat = std::hypot(n, e),
                 circle = std::fmod(std::atan2(e, n) * 180 / std::numbers::pi + 360, 360);
    const double zenith = 90 + std::atan2(1.5, flat) * 180 / std::numbers::pi, slope = std::hypot(flat, 1.5);
    out += text("%s,1,%.6f,%.6f,%.5f,0\n%s,2,%.6f,%.6f,%.5f,0\n", c.name, circle, zenith, slope, c.name,
                std::fmod(circle + 180, 360), 360 - zenith, slope);
  }
  return out;
}

const std::string kCrews =
    "[[crew]]\nname = \"north\"\nruns = [\"A\"]\nsetups = [\"S1\"]\ndoes = [\"floor\", \"deck\"]\n"
    "[[crew]]\nname = \"south\"\nruns = [\"B\"]\nsetups = [\"S1\"]\ndoes = [\"deck\"]\n";

/// Runs A and B of four points, 1001 to 1008, deck at 4 m; S1 stands at N 20, E 20.
void write_job(JobFolder& job, const std::string& more = "") {
  job.write("drawing.csv",
            "point,x,y,run\nA1,22,24,A\nA2,24,24,A\nA3,26,24,A\nA4,28,24,A\nB1,22,28,B\nB2,24,28,B\n"
            "B3,26,28,B\nB4,28,28,B\n");
  job.write("control.csv", "point,northing,easting,elevation\nCP1,0,0,0\nCP2,50,5,0\nCP3,5,45,0\n");
  job.write("s1.csv", sights());
  job.write("job.toml",
            "[drawing]\npoints = \"drawing.csv\"\nframe = \"site\"\n[site]\ncontrol = \"control.csv\"\n"
            "[floor]\nelevation = \"0 m\"\n[deck]\nelevation = \"4 m\"\n[hangers]\nheight = \"2.5 m\"\n"
            "cut_top = \"0.1 m\"\n[instrument]\nangle_sd = \"2\\\"\"\ndistance_sd = \"1 mm\"\n"
            "angles = \"degrees\"\n[[setup]]\nname = \"S1\"\nat = \"free\"\nheight = \"1.5 m\"\n"
            "observations = \"s1.csv\"\n" +
                more);
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code <= 1);
}

/// Types lines into the program and ends; the last line is typed only where it ends.
CommandResult talk(JobFolder& job, const std::vector<std::string>& options, const std::string& typed) {
  job.write("typed.txt", typed);
  CommandRun run = job.prepared({});
  std::string command = "exec \"$0\" book .";
  for (const std::string& o : options) command += " '" + o + "'";
  run.args = {"-c", command + " < typed.txt", DECKMARK_PROGRAM};
  run.program = "/bin/sh";
  return run.run();
}

/// Reads CP2 good, so that marks are taken.
const std::string kChecked = "check CP2\n" + seen(50, 5) + "\n";

}  // namespace

TEST_CASE("a crew checks, marks and ends; the book holds what was acknowledged") {
  JobFolder job;
  write_job(job);
  const CommandResult r =
      talk(job, {"--by", "Ada", "--setup", "S1"},
           kChecked + seen(24.002, 21.999) + "\n\ny\n" + seen(24, 24) + "\ny\ndrilled\nend\n");
  CAPTURE(r.out);
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  for (const char* line :
       {"open 0 1", "kept 1 set-up - - -", "due first", "check CP2 within", "offer 1001 floor",
        "read 1001 floor 0.0010 -0.0020 0.0022", "wait keep 1001", "kept 3 marked 1001 floor -",
        "kept 4 marked 1002 floor -", "kept 5 drilled 1003 deck -", "bye 5"})
    CHECK_MESSAGE(has(r.out, line), line);
  const auto rows = named_rows(job.read("book.csv"));
  REQUIRE(rows.size() == 5);
  CHECK(std::atof(rows[2].at("northing").c_str()) == doctest::Approx(24.002).epsilon(1e-6));
  CHECK(rows[2].at("by") == "Ada");
  CHECK(rows[2].at("issue") == "1");
  CHECK(rows[2].at("time").size() == std::string("2026-11-28T14:40:02+00:00").size());
}

TEST_CASE("it is resumed in one line, and the end of input in the middle of a mark writes nothing") {
  JobFolder job;
  write_job(job);
  talk(job, {"--by", "Ada", "--setup", "S1"}, kChecked + seen(24, 22) + "\ny\n" + seen(24, 24) + "\n");
  // A last line without its end was not typed.
  const CommandResult r = talk(job, {"--by", "Ada", "--setup", "S1"}, seen(24, 24) + "\ny");
  CHECK(r.exit_code == 0);
  CHECK(told_lines(r.out)[0] == "open 3 1");
  CHECK(told_lines(r.out)[1] == "resumed S1");
  CHECK(has(r.out, "offer 1002 floor"));
  CHECK(has(r.out, "bye 3"));
  CHECK(has(talk(job, {"--by", "Ada", "--setup", "S1"}, seen(24, 24) + "\ny\n").out,
            "kept 4 marked 1002 floor -"));
}

TEST_CASE("a dialogue that ends with a check out has status 1") {
  JobFolder job;
  write_job(job);
  const CommandResult r = talk(job, {"--by", "Ada", "--setup", "S1"},
                               kChecked + ".\ncheck CP2\n" + seen(50, 5, 120) + "\nmarked 1002\n");
  CHECK(r.exit_code == 1);
  CHECK(has(r.out, "stop S1"));
  CHECK(has(r.out, "doubtful 1001"));
  CHECK_FALSE(begins(r.out, "kept 5"));
}

TEST_CASE("what cannot begin is refused, and no book is made") {
  JobFolder job;
  write_job(job);
  for (const std::vector<std::string>& options :
       {Lines{"--setup", "S1"}, Lines{"--by", "Ada", "--setup", "S9"},
        Lines{"--by", "Ada", "--crew", "north"}, Lines{"--by", "Ada", "--setup", "S1", "--tape"},
        Lines{"--by", "Ada", "--ticks", "marked 1001"}, Lines{"--by", "Ada", "--sheet", "1101-93"},
        Lines{"--by", "Ada", "--at", "noon"}}) {
    CAPTURE(options.back());
    const CommandResult r = talk(job, options, "end\n");
    CHECK(r.exit_code == 2);
    CHECK_FALSE(job.has("book.csv"));
  }
  JobFolder fresh;
  write_job(fresh);
  fresh.forget_issues();
  const CommandResult none = talk(fresh, {"--by", "Ada"}, "end\n");
  CHECK(none.exit_code == 2);
  CHECK(none.err.find("no run handed out numbers yet") != std::string::npos);
}

TEST_CASE("a drawing that is being changed does not stop the crew") {
  JobFolder job;
  write_job(job);
  job.write("drawing.csv", "point,x,y,run\nA1,22,twenty,A\n");
  const CommandResult r = talk(job, {"--by", "Ada", "--setup", "S1"}, kChecked + ".\nend\n");
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  CHECK(has(r.out, "kept 3 marked 1001 floor -"));
}

TEST_CASE("two dialogues on one book: the second one ends with 3, another crew's goes on") {
  JobFolder job;
  write_job(job, kCrews);
  talk(job, {"--by", "Ada"}, ".\nend\n");
  const int fd = ::open((job.path() / "book.csv").c_str(), O_RDONLY);
  REQUIRE(fd >= 0);
  REQUIRE(::flock(fd, LOCK_EX | LOCK_NB) == 0);
  CHECK(talk(job, {"--by", "Bo"}, ".\nend\n").exit_code == 3);
  CHECK(talk(job, {"--by", "Bo", "--crew", "south"}, ".\nend\n").exit_code == 0);
  ::close(fd);
  CHECK(talk(job, {"--by", "Bo"}, ".\nend\n").exit_code == 0);
}

TEST_CASE("crews have books of their own, their own numbers, and see each other's marks") {
  JobFolder job;
  write_job(job, kCrews);
  const CommandResult south = talk(job, {"--by", "Bo", "--crew", "south"}, ".\ndrilled 1001\n1001\nend\n");
  CHECK(told_lines(south.out)[1] == "offer 1005 deck");
  CHECK(has(south.out, "kept 1 marked 1005 deck -"));
  CHECK(begins(south.out, "no number: 1001 is north's"));
  CHECK(job.has("book-south.csv"));
  CHECK_FALSE(job.has("book.csv"));
  // The book without a crew sees what stands there.
  const CommandResult all = talk(job, {"--by", "Ada"}, "6005\nmarked 6005\nvoided 6005\nend\n");
  CHECK(has(all.out, "again 1005"));
  CHECK(has(all.out, "kept 1 voided 1005 deck south:1"));
}

TEST_CASE("ticks of a sheet are all written or none") {
  JobFolder job;
  write_job(job);
  CommandResult r =
      talk(job, {"--by", "Ada", "--ticks", "marked 1001-1004 but 1003", "--sheet", "1101-93"}, "");
  CAPTURE(r.out);
  CHECK(r.exit_code == 0);
  CHECK(has(r.out, "kept 3 marked 1004 floor -"));
  const std::string before = job.read("book.csv");
  r = talk(job, {"--by", "Ada", "--ticks", "marked 1003 1099", "--sheet", "1101-93"}, "");
  CHECK(r.exit_code == 2);
  CHECK(begins(r.out, "no number:"));
  r = talk(job, {"--by", "Ada", "--ticks", "marked 1003", "--sheet", "1101-39"}, "");
  CHECK(r.exit_code == 2);
  CHECK(begins(r.out, "no sheet:"));
  CHECK(job.read("book.csv") == before);
  CHECK(before.find(",sheet,") != std::string::npos);
}

TEST_CASE("a row that was changed is told at its line and nothing is written behind it") {
  JobFolder job;
  write_job(job);
  talk(job, {"--by", "Ada"}, ".\n.\nend\n");
  std::string book = job.read("book.csv");
  book.replace(book.find("Ada"), 3, "Bob");
  job.write("book.csv", book);
  const CommandResult r = talk(job, {"--by", "Ada"}, ".\nend\n");
  CHECK(r.exit_code == 2);
  CHECK(r.err.find("book.csv:2") != std::string::npos);
  CHECK(job.read("book.csv") == book);
}

TEST_CASE("a torn end is kept apart and told") {
  JobFolder job;
  write_job(job);
  talk(job, {"--by", "Ada"}, ".\n.\nend\n");
  const std::string book = job.read("book.csv");
  job.write("book.csv", book.substr(0, book.size() - 20));
  const CommandResult r = talk(job, {"--by", "Ada"}, ".\nend\n");
  CHECK(r.exit_code == 0);
  CHECK(told_lines(r.out)[0] == "open 1 1");
  CHECK(begins(r.out, "torn "));
  CHECK(has(r.out, "kept 2 marked 1002 floor -"));
  CHECK(job.has("book.torn"));
}

TEST_CASE("a newer issue is told before a mark, and what it changes waits") {
  JobFolder job;
  write_job(job);
  // The program is asked while the issue is made: a shell types between.
  job.write("new.csv", job.read("drawing.csv"));
  std::string drawing = job.read("drawing.csv");
  drawing.replace(drawing.find("A2,24,24"), 8, "A2,24,25");
  job.write("new.csv", drawing);
  CommandRun run = job.prepared({});
  run.program = "/bin/sh";
  run.args = {
      "-c",
      "(echo .; while ! grep -q marked book.csv 2>/dev/null; do sleep 0.05; done; cp new.csv drawing.csv; "
      "\"$0\" run . --quiet >&2; echo .; echo 1002; echo drilled 1002; echo end) | \"$0\" book . --by Ada",
      DECKMARK_PROGRAM};
  const CommandResult r = run.run();
  CAPTURE(r.out);
  CHECK(begins(r.out, "tell issue 2 is out"));
  CHECK(begins(r.out, "no issue: 1002"));
  CHECK(has(r.out, "kept 2 drilled 1002 deck -"));
  CHECK_FALSE(has(r.out, "kept 2 marked 1002 floor -"));
}

TEST_CASE("with a tape two distances from the baselines are a place") {
  JobFolder job;
  write_job(job);
  const CommandResult r = talk(job, {"--by", "Ada", "--tape"}, "22.002 23.999\ny\nend\n");
  CAPTURE(r.out);
  CHECK(has(r.out, "read 1001 floor -0.0020 0.0010 0.0022"));
  CHECK(has(r.out, "kept 1 marked 1001 floor -"));
  CHECK(named_rows(job.read("book.csv"))[0].at("sd_along") == "0.001500");
}

TEST_CASE("on a terminal of 40 columns sentences are folded, and nothing of a pipe is shown") {
  JobFolder job;
  write_job(job);
  CommandRun run = job.prepared({"book", ".", "--by", "Ada", "--setup", "S1", "--quiet"});
  run.seconds = 20;
  const CommandResult r =
      run_on_terminal(run, 40, kChecked + seen(24.002, 22.003) + "\ny\n1003\nhelp\n.\nend\n");
  CAPTURE(r.out);
  CHECK(r.exit_code == 0);
  CHECK(begins(r.out, "Check first: a known target"));
  CHECK(r.out.find("1001: 3 mm away from 1002, 2 mm") != std::string::npos);
  CHECK_FALSE(begins(r.out, "due first"));
  // What was typed ahead is echoed first: an answer stands behind its prompt.
  for (const std::string& line : told_lines(r.out)) {
    const std::size_t prompt = line.rfind("> ");
    CHECK(line.size() - (prompt == std::string::npos ? 0 : prompt + 2) <= 40);
  }
}
