// What a crew is told when a ledger cannot be gone on with, typed as it stands; and what it must be told
// besides.
#include <doctest/doctest.h>

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <vector>

#include "job_folder.h"

using namespace deckmark_test;

namespace {

/// Points at these places along X, in metres; the job may say more.
void write_job(JobFolder& job, const std::vector<double>& at, const std::string& revision,
               const std::string& more = "") {
  std::string drawing = "point,x,y\n";
  for (std::size_t i = 0; i < at.size(); ++i)
    drawing += "P" + std::to_string(i) + "," + std::to_string(at[i]) + ",2\n";
  job.write("drawing.csv", drawing);
  job.write("job.toml", "revision = \"" + revision +
                            "\"\n[drawing]\npoints = \"drawing.csv\"\nframe = \"site\"\n[floor]\nelevation = "
                            "\"1 m\"\n" +
                            more);
}

/// Types the line that the first problem offers, beside the job.
int typed(const JobFolder& job, const std::string& err) {
  const auto lines = problem_lines(err);
  REQUIRE(lines.size() == 1);
  const std::string program(DECKMARK_PROGRAM), folder = program.substr(0, program.rfind('/'));
  const std::string line = suggestion_of(lines[0]);
  CAPTURE(line);
  const int status = std::system(
      ("cd '" + job.path().string() + "' && PATH='" + folder + "':$PATH && " + line + " >/dev/null 2>&1")
          .c_str());
  return status;
}

bool says(const std::string& text, const std::string& words) { return text.find(words) != std::string::npos; }

}  // namespace

TEST_CASE("a folder of lists within issued is moved once, and the line runs to its end") {
  JobFolder job;
  write_job(job, {1, 2}, "A");
  REQUIRE(job.run({"run", ".", "--out", "issued/A"}).exit_code == 0);
  const std::string numbers = job.read("numbers.csv"), issued = job.read("issued.csv");
  write_job(job, {1, 2.5}, "B");
  REQUIRE(job.run({"run", ".", "--out", "issued/B"}).exit_code == 0);
  job.write("numbers.csv", numbers);
  job.write("issued.csv", issued);
  const CommandResult restored = job.run();
  CAPTURE(restored.err);
  CHECK(restored.exit_code == 2);
  REQUIRE(typed(job, restored.err) == 0);
  CHECK(job.has("ledger-before/issued/B/floor-list.csv"));
  // Above what would be a deck number of the ledger that was put aside.
  CHECK(says(job.read("numbers.csv"), "P0,6003,live"));
}

TEST_CASE("numbers that were handed out and dropped since are not given again after a ledger was lost") {
  JobFolder job;
  for (const std::vector<double>& at : {std::vector<double>{1}, {1, 2, 3, 4}, {1}}) {
    write_job(job, at, std::to_string(at.size()));
    REQUIRE(job.run().exit_code == 0);
  }
  for (const char* name : {"numbers.csv", "issued.csv"}) std::filesystem::remove(job.path() / name);
  const CommandResult lost = job.run();
  CHECK(lost.exit_code == 2);
  REQUIRE(typed(job, lost.err) == 0);
  CHECK(says(job.read("numbers.csv"), "P0,1005,live"));
  // Typed too low, what was put aside counts all the same.
  for (const char* name : {"numbers.csv", "issued.csv"}) std::filesystem::remove(job.path() / name);
  std::filesystem::remove_all(job.path() / "out");
  const CommandResult low = job.run({"run", ".", "--above", "3"});
  CHECK(low.exit_code == 0);
  CHECK(says(low.err, "numbers begin above 1004, which ledger-before holds, and not above 3"));
  CHECK(says(job.read("numbers.csv"), "P0,1005,live"));
}

TEST_CASE("what reads the ledger refuses an older one as a run does") {
  JobFolder job;
  write_job(job, {1, 2}, "A");
  REQUIRE(job.run().exit_code == 0);
  const std::string numbers = job.read("numbers.csv"), issued = job.read("issued.csv");
  job.write("old.csv", job.read("out/floor-list.csv"));
  write_job(job, {1, 2.5}, "B");
  REQUIRE(job.run().exit_code == 0);
  CHECK(job.run({"compare", ".", "old.csv"}).exit_code == 1);
  job.write("numbers.csv", numbers);
  job.write("issued.csv", issued);
  for (const std::vector<std::string>& args :
       std::vector<std::vector<std::string>>{{"compare", ".", "old.csv"},
                                             {"issued", "."},
                                             {"history", ".", "1001"},
                                             {"give", ".", "--to", "north", "--on", "2026-03-02"}}) {
    const CommandResult r = job.run(args);
    CAPTURE(args[0]);
    CAPTURE(r.err);
    CHECK(r.exit_code == 2);
    CHECK(says(r.err, "found issue 1 as the last, while \"./out\" holds issue 2 of the same ledger"));
  }
  CHECK_FALSE(job.has("given.csv"));
}

TEST_CASE("a mark that moved is told so on the screen, though it was renamed or is back") {
  JobFolder job;
  write_job(job, {1, 2, 3}, "A");
  REQUIRE(job.run().exit_code == 0);
  job.write("drawing.csv", "point,x,y,was\nP0,1,2,\nQ1,2.3,2,P1\n");
  CHECK(says(job.run().out, "renamed: was P1; moved by 300.0 mm\n"));
  job.write("drawing.csv", "point,x,y,was\nP0,1,2,\nQ1,2.3,2,P1\nP2,3.6,2,\n");
  CHECK(says(job.run().out, "P2                   returned, moved by 600.0 mm\n"));
}

TEST_CASE("a list that an instrument rounded, or holds in feet, is the list that was handed out") {
  JobFolder job;
  write_job(job, {1.23456789, 2.00005, 3.99995}, "A");
  REQUIRE(job.run().exit_code == 0);
  const auto rows = csv_rows(job.read("out/floor-list.csv"));
  for (const auto& [per_metre, decimals] : {std::pair(1.0, 3), std::pair(1 / 0.3048, 4), std::pair(1.0, 4)}) {
    std::string list;
    for (const auto& row : rows) {
      char line[100];
      std::snprintf(line, sizeof line, "%s,%.*f,%.*f,%.*f\n", row[0].c_str(), decimals,
                    std::stod(row[1]) * per_metre, decimals, std::stod(row[2]) * per_metre, decimals,
                    std::stod(row[3]) * per_metre);
      list += line;
    }
    job.write("read.csv", list);
    const CommandResult r = job.run({"compare", ".", "read.csv"});
    CAPTURE(decimals);
    CAPTURE(r.out);
    CHECK(r.exit_code == 0);
  }
}

TEST_CASE("lists of another issue are not written over lists of an issue") {
  JobFolder job;
  for (const double x : {2.0, 2.5}) {
    write_job(job, {1, x}, std::to_string(x));
    REQUIRE(job.run().exit_code == 0);
  }
  REQUIRE(job.run({"issued", ".", "--list", "1", "--out", "l"}).exit_code == 0);
  CHECK(job.run({"issued", ".", "--list", "1", "--out", "l"}).exit_code == 0);
  const std::string before = job.read("l/floor-list.csv");
  const CommandResult r = job.run({"issued", ".", "--list", "2", "--out", "l"});
  CHECK(r.exit_code == 2);
  CHECK(says(r.err, "found another list of this name"));
  CHECK(job.read("l/floor-list.csv") == before);
}

TEST_CASE("a key that a crew does not have is told, and so is --take-over of nothing") {
  JobFolder job;
  write_job(job, {1}, "A", "[[crew]]\nname = \"north\"\npoints = [\"P0\"]\ndose = [\"floor\"]\n");
  const CommandResult r = job.run({"check", "."});
  CHECK(r.exit_code == 2);
  CHECK(says(r.err, "job.toml:10:1: crew.dose: found"));
  write_job(job, {1}, "A");
  REQUIRE(job.run().exit_code == 0);
  CHECK(says(job.run({"run", ".", "--take-over", "x.toml"}).err, "--take-over: found \"x.toml\""));
}
