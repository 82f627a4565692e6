// Every sheet and text of a job that is not READY says so in its head; a READY job's say nothing of it.
#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "job_folder.h"
#include "plain_survey.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

/// A job with all that prints: setup, plan, projection, offsets, heights, shots. `bad`: what is wrong with
/// it.
enum class Bad { nothing, far_tape, lone_setup };

void write_job(JobFolder& job, Bad bad) {
  std::string toml =
      "[drawing]\npoints = \"drawing.csv\"\n[floor]\nelevation = \"10 m\"\n[deck]\nelevation = \"14 m\"\n"
      "[baselines]\nties = \"ties.csv\"\n[site]\ncontrol = \"control.csv\"\ncrs = \"EPSG:2193\"\n"
      "ground_at = \"CP1\"\nelevation = \"100 m\"\n[asbuilt]\nshots = \"asbuilt.csv\"\n"
      "[heights]\nbenchmarks = \"benchmarks.csv\"\nlevel = \"level.csv\"\n"
      "[offsets]\nunit = \"m\"\nfrom = [\"B1\", \"B2\"]\n[instrument]\nangle_sd = \"2\\\"\"\n"
      "distance_sd = \"2 mm\"\n[[setup]]\nname = \"S1\"\nat = \"CP1\"\nheight = \"1.5 m\"\n"
      "observations = \"s1.csv\"\n[[setup]]\nname = \"P1\"\nnorthing = \"5427905 m\"\n"
      "easting = \"1748105 m\"\nplan = [\"CP2\", \"CP3\"]\n[[setup]]\nname = \"S2\"\nat = \"CP1\"\n"
      "height = \"1.5 m\"\nobservations = \"s1.csv\"\n";
  if (bad == Bad::lone_setup)
    toml += "[[setup]]\nname = \"S3\"\nnorthing = \"5427910 m\"\neasting = \"1748110 m\"\nsd = \"1 mm\"\n";
  if (bad == Bad::far_tape)
    toml.replace(toml.find("ties = \"ties.csv\"\n"), 18, "ties = \"ties.csv\"\nlengths = \"lengths.csv\"\n");
  job.write("job.toml", toml);
  std::string drawing = "point,x,y,run\n";
  for (int i = 0; i < 150; ++i)
    drawing += "H" + std::to_string(i) + "," + std::to_string(1 + i % 25) + "," + std::to_string(1 + i / 25) +
               ",R" + std::to_string(i / 25) + "\n";
  job.write("drawing.csv", drawing);
  put_plain_survey(job);
  job.write("benchmarks.csv", "point,elevation\nBM,9.8 m\n");
  job.write("level.csv", "setup,target,back,fore\nL1,BM,1.5 m,\nL1,COL,,0.4 m\n");
  job.write("asbuilt.csv", "point,x,y\nH0,1.001,1\nH1,2,1.001\n");
  job.write("lengths.csv",
            "from,to,measured\nB1,B2,30.050\nB1,B3,20.061\nB2,B4,20.072\nB3,B4,30.083\nB1,B4,36.200\n");
}

std::vector<std::string> sheets_of(const std::string& text) {
  std::vector<std::string> sheets;
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t end = std::min(text.find('\f', at), text.size());
    sheets.push_back(text.substr(at, end - at));
    at = end + 1;
  }
  return sheets;
}

/// The first lines of a text as one, its wrapped lines joined.
std::string head_of(const std::string& sheet, std::size_t lines) {
  std::string head;
  const auto all = lines_of(sheet);
  for (std::size_t i = 0; i < std::min(lines, all.size()); ++i) {
    const std::size_t begin = all[i].find_first_not_of(' ');
    if (begin != std::string::npos) head += (head.empty() ? "" : " ") + all[i].substr(begin);
  }
  return head;
}

std::size_t widest(const std::string& text) {
  std::size_t most = 0;
  for (const std::string& line : lines_of(text)) most = std::max(most, line.size());
  return most;
}

const std::vector<std::vector<std::string>>& printing() {
  static const std::vector<std::vector<std::string>> all{
      {"check", "."},  {"baseline", "."}, {"setup", "."},   {"stake", "."},   {"plan", "."},
      {"ground", "."}, {"offsets", "."},  {"asbuilt", "."}, {"heights", "."}, {"run", "."}};
  return all;
}

}  // namespace

// Cause, 2026-11-27: a stake sheet told of its own setup alone, and the screens of `setup`, `stake`, `plan`,
// `ground` and `asbuilt` told nothing of what had failed elsewhere in the job.
TEST_CASE("a job that is not READY says so in the head of every text and sheet") {
  for (const Bad bad : {Bad::far_tape, Bad::lone_setup}) {
    JobFolder job;
    write_job(job, bad);
    CommandResult ran = job.run();
    const std::string verdict = lines_of(job.read("out/summary.txt")).front();
    CAPTURE(verdict);
    REQUIRE(verdict.find(bad == Bad::far_tape ? "DO NOT LAY OUT: " : "BASELINES NOT CHECKED: ") == 0);
    REQUIRE((bad == Bad::lone_setup || verdict.size() > 100));  // longer than a line
    for (const auto& command : printing()) {
      CAPTURE(command[0]);
      const std::string out = job.run(command).out;
      CHECK(head_of(out, 8).find(verdict) == 0);
      if (command[0] != "run") CHECK(widest(out) <= 80);  // the summary's first line stays one
    }
    // Each setup's list has it.
    const std::string stakes = job.run({"stake", "."}).out;
    for (const char* setup : {"STAKE OUT from setup S1", "STAKE OUT from setup S2"}) {
      const std::size_t at = stakes.find(setup);
      REQUIRE(at != std::string::npos);
      const std::size_t begin = stakes.rfind(verdict.substr(0, 20), at);
      REQUIRE(begin != std::string::npos);
      CHECK(head_of(stakes.substr(begin, at - begin), 8) == verdict);
    }
    for (const char* file : {"out/stake-S1.txt", "out/stake-S2.txt", "out/offset-sheet.txt"}) {
      CAPTURE(file);
      const auto sheets = sheets_of(job.read(file));
      CHECK(sheets.size() > 2);
      for (const std::string& sheet : sheets) {
        CHECK(head_of(sheet, 12).find(verdict) != std::string::npos);
        CHECK(lines_of(sheet).size() <= 60);
      }
    }
    // The page: on top, and in the head of every printed sheet.
    const std::string page = job.read("out/report.html");
    const std::size_t margin = page.find("@top-left{content:\"" + verdict.substr(0, 12));
    CHECK(margin != std::string::npos);
    CHECK(page.find("<p class=\"standing") != std::string::npos);
  }
}

TEST_CASE("a READY job's sheets say nothing of a verdict") {
  JobFolder job;
  write_job(job, Bad::nothing);
  REQUIRE(job.run().exit_code == 0);
  REQUIRE(lines_of(job.read("out/summary.txt")).front() == "READY TO LAY OUT");
  for (const auto& command : printing()) {
    CAPTURE(command[0]);
    const std::string out = job.run(command).out;
    CHECK(out.find("NOT ") != 0);
    CHECK(out.find("DO NOT LAY OUT") == std::string::npos);
    const bool is_told = command[0] == "baseline" || command[0] == "run";
    CHECK((out.find("READY TO LAY OUT") == 0) == is_told);
  }
  for (const char* file : {"out/stake-S1.txt", "out/offset-sheet.txt"})
    CHECK(job.read(file).find("LAY OUT") == std::string::npos);
  CHECK(job.read("out/report.html").find("@top-left") == std::string::npos);
}

TEST_CASE("a verdict too long for a head is cut, and says where the rest is") {
  JobFolder job;
  write_job(job, Bad::far_tape);
  std::string toml = job.read("job.toml");
  for (int i = 0; i < 90; ++i)
    toml += "[[setup]]\nname = \"LONG-NAMED-SETUP-" + std::to_string(i) +
            "\"\nnorthing = \"5427910 m\"\neasting = \"1748110 m\"\nsd = \"1 mm\"\n";
  job.write("job.toml", toml);
  CHECK(job.run().exit_code == 1);
  for (const char* file : {"out/stake-S1.txt", "out/offset-sheet.txt"}) {
    CAPTURE(file);
    for (const std::string& sheet : sheets_of(job.read(file))) {
      CHECK(lines_of(sheet).size() <= 60);
      CHECK(head_of(sheet, 14).find("... the rest of it: deckmark check") != std::string::npos);
    }
  }
}

TEST_CASE("no command that judges a job is left out above") {
  JobFolder job;
  const std::string help = job.run({"--help"}).out;
  std::vector<std::string> told{"new",     "fieldtest", "help",    "give", "issued",
                                "compare", "history",   "restore", "book", "today"};  // these judge no job
  for (const auto& command : printing()) told.push_back(command[0]);
  bool inside = false;
  std::size_t found = 0;
  for (const std::string& line : lines_of(help)) {
    if (line.find("ommands") != std::string::npos && line.find(':') != std::string::npos) inside = true;
    if (!inside || line.size() < 3 || line.compare(0, 2, "  ") != 0 || line[2] == ' ' || line[2] == '-')
      continue;
    const std::string word = line.substr(2, line.find(' ', 2) - 2);
    CAPTURE(word);
    CHECK(std::ranges::count(told, word) == 1);
    ++found;
  }
  CHECK(found == told.size());
}
