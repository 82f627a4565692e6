// What a run says on the screen, and the digests that lie beside its files.
#include <doctest/doctest.h>

#include <algorithm>
#include <set>
#include <string>
#include <vector>

#include "job_folder.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

/// `points` of a row, `moved` millimetres further along X. Ties are all within.
void write_job(JobFolder& job, int points, double moved = 0, const std::string& more = "") {
  job.write("job.toml",
            "[drawing]\npoints = \"drawing.csv\"\n[baselines]\nties = \"ties.csv\"\n[floor]\nelevation = 0\n"
            "[deck]\nelevation = \"4 m\"\n" +
                more);
  std::string drawing = "point,x,y,run\n";
  for (int i = 0; i < points; ++i)
    drawing += "P" + std::to_string(i) + "," + std::to_string(1 + i * 0.5 + moved / 1000) + ",4,R1\n";
  job.write("drawing.csv", drawing);
  job.write("control.csv", "point,northing,easting,elevation\nCP1,2000,1000,0\nCP2,2020,1000,0\n");
  job.write("ties.csv",
            "mark,x,y,northing,easting\nB1,0,0,2000,1000\nB2,30,0,2000,1030\nB3,0,20,2020,1000\n"
            "B4,30,20,2020,1030\n");
  job.write("deckmarks.csv", "point,dx,dy\nP1,30 mm,0 mm\nP2,1 mm,0 mm\n");
}

CommandResult short_run(const JobFolder& job) { return job.run({"run", "."}); }

CommandResult sums_checked(const JobFolder& job) {
  CommandRun run;
  run.program = "/usr/bin/sha256sum";
  run.args = {"--check", "--strict", "SHA256SUMS"};
  run.folder = job.path() / "out";
  return run.run();
}

}  // namespace

TEST_CASE("a ready job takes at most 24 lines, with what to do before what changed") {
  JobFolder job;
  const std::string crews =
      "[site]\ncontrol = \"control.csv\"\n[offsets]\nunit = \"ft-in\"\nfrom = [\"B1\", \"B2\"]\n";
  for (const std::string& more : {std::string(), crews}) {
    write_job(job, 40, 0, more);
    const CommandResult first = short_run(job);
    REQUIRE(first.exit_code == 0);
    CHECK(has(first.out, "first issue: all 40 points are new"));
    write_job(job, 40, 50, more);
    const CommandResult moved = short_run(job);
    CAPTURE(moved.out);
    const std::vector<std::string> lines = lines_of(moved.out);
    CHECK(lines.size() <= 24);
    CHECK(lines.size() >= 20);  // the room is used for what changed
    CHECK(lines[0] == "READY TO LAY OUT");
    CHECK(moved.out.find("\nNEXT\n") < moved.out.find("\nCHANGES since issue 1, the one before"));
    CHECK(has(moved.out, "Load floor-list.csv (40 marks, 1001 to 1040), then deck-list.csv (40 marks,"));
    CHECK(has(moved.out, "1001 to 1040: distance 19.5000 m"));
    CHECK_FALSE(has(moved.out, "sha256 "));
    const auto told = static_cast<std::size_t>(
        std::ranges::count_if(lines, [](const std::string& l) { return has(l, " moved by 50.0 mm"); }));
    CHECK(told >= (more.empty() ? 10 : 6));
    CHECK(told <= 10);
    CHECK(has(moved.out, "  and " + std::to_string(40 - told) + " more: see changes.csv\n"));
    for (const std::string& line : lines) CHECK_MESSAGE(line.size() <= 80, line);
    job.forget_issues();
  }
}

TEST_CASE("the tape crew is told which sheet to print and what to hold its tape against") {
  JobFolder job;
  write_job(job, 3, 0, "[offsets]\nunit = \"ft-in\"\nfrom = [\"B1\", \"B2\"]\n");
  const std::string alone = short_run(job).out;
  // 30 m are 98 feet 5 1/8 inches.
  CHECK(has(alone,
            "Tape crew: print offset-sheet.txt (3 marks). Hold the tape first: B1 to B2 is\n  98'-5 1/8\"."));
  CHECK_FALSE(has(alone, "Load floor-list.csv"));  // there is no instrument in the job
  CHECK_FALSE(has(alone, "inverse"));
  write_job(job, 3, 0,
            "[site]\ncontrol = \"control.csv\"\n[offsets]\nunit = \"m\"\nfrom = [\"B1\", \"B3\"]\n");
  const std::string both = short_run(job).out;
  CHECK(has(both, "B1 to B3 is\n  20.000 m."));
  CHECK(has(both, "Load floor-list.csv"));
  write_job(job, 3, 0);
  CHECK_FALSE(has(short_run(job).out, "Tape crew"));
}

TEST_CASE("a job that is not ready begins with verdict, reasons and what to do") {
  JobFolder job;
  write_job(job, 5, 0, "[plumb]\nmarks = \"deckmarks.csv\"\n");
  const CommandResult mark = short_run(job);
  CAPTURE(mark.out);
  REQUIRE(mark.exit_code == 1);
  CHECK(mark.out.starts_with("DO NOT LAY OUT from 1002: "));
  CHECK(has(mark.out, "\n\nWHY\n  deck mark of 1002 (P1) is out of plumb by 30.0 mm, permitted 6.0 mm\n"));
  CHECK(has(mark.out, "(deckmarks.csv, line 2)"));
  CHECK(has(mark.out, "Do not drill at 1002: mark it again"));
  CHECK(has(mark.out, "Load floor-list.csv"));  // the others stand
  CHECK(mark.out.find("\nWHY\n") < mark.out.find("\nNEXT\n"));
  job.write("ties.csv",
            "mark,x,y,northing,easting\nB1,0,0,2000,1000\nB2,30,0,2000,1030.05\nB3,0,20,2020,1000\n"
            "B4,30,20,2020,1030\n");
  const CommandResult tie = short_run(job);
  CAPTURE(tie.out);
  CHECK(tie.out.starts_with("DO NOT LAY OUT: "));
  CHECK(has(tie.out, "(ties.csv, line 3)"));
  CHECK(has(tie.out, "Look at the baselines: deckmark baseline"));
  CHECK(has(tie.out, "Do not lay out from them before that is\n  mended."));
  CHECK_FALSE(has(tie.out, "Load "));
  job.write("ties.csv", "mark,x,y,northing,easting\nB1,0,0,2000,1000\nB2,30,0,2000,1030\n");
  write_job(job, 5, 0);
  job.write("ties.csv", "mark,x,y,northing,easting\nB1,0,0,2000,1000\nB2,30,0,2000,1030\n");
  const CommandResult unchecked = short_run(job);
  CHECK(unchecked.exit_code == 0);
  CHECK(has(unchecked.out, "is not checked by other ties"));
  CHECK(has(unchecked.out, "Load floor-list.csv"));
}

TEST_CASE("--details prints what the summary says; both are told without --quiet alone") {
  JobFolder job;
  write_job(job, 4);
  const std::string all = job.run({"run", ".", "--details"}).out;
  const std::string summary = job.read("out/summary.txt");
  CHECK(summary.starts_with(all));
  CHECK(has(all, "FILES WRITTEN\n"));
  CHECK(has(all, "BASELINES"));
  CHECK(job.run({"run", ".", "--details", "--quiet"}).out.empty());
  CHECK(job.run({"run", ".", "--quiet"}).out.empty());
}

TEST_CASE("sha256sum checks every file of the run but the ledger, and finds one that was altered") {
  JobFolder job;
  write_job(job, 6);
  REQUIRE(short_run(job).exit_code == 0);
  CommandResult checked = sums_checked(job);
  CAPTURE(checked.out);
  CHECK(checked.exit_code == 0);
  std::set<std::string> named, there;
  for (const std::string& line : lines_of(checked.out)) {
    CHECK(line.ends_with(": OK"));
    named.insert(line.substr(0, line.find(": OK")));
  }
  for (const auto& entry : std::filesystem::directory_iterator(job.path() / "out"))
    if (entry.is_regular_file()) there.insert(entry.path().filename().string());  // kept/ is no part of it
  CHECK(there.erase("SHA256SUMS") == 1);
  CHECK(named == there);
  CHECK(named.count("summary.txt") == 1);
  CHECK(named.count("report.html") == 1);
  const std::string told = short_run(job).out;
  CHECK(has(told, "FILES: " + std::to_string(there.size() + 1) + " in ./out; sha256sum -c SHA256SUMS"));
  CHECK(sums_checked(job).exit_code == 0);  // a second run renews them
  job.write("out/points.csv", job.read("out/points.csv") + "\n");
  checked = sums_checked(job);
  CHECK(checked.exit_code == 1);
  CHECK(has(checked.out, "points.csv: FAILED"));
}

TEST_CASE("sums that no run made are told before they are replaced, those of a run are not") {
  JobFolder job;
  write_job(job, 2);
  job.write("out/SHA256SUMS", std::string(64, '0') + "  photo.jpg\n");
  CHECK(has(job.run({"check", "."}).err, "SHA256SUMS: file: a run replaces it, and no earlier run made it"));
  CHECK(short_run(job).exit_code == 0);
  CHECK_FALSE(has(job.run({"check", "."}).err, "SHA256SUMS"));
  CHECK_FALSE(has(short_run(job).err, "SHA256SUMS"));
  // A job that reads a file of this name is refused.
  job.write("out/SHA256SUMS", job.read("drawing.csv"));
  write_job(job, 2);
  std::string toml = job.read("job.toml");
  toml.replace(toml.find("drawing.csv"), 11, "out/SHA256SUMS");
  job.write("job.toml", toml);
  CHECK(short_run(job).exit_code == 2);
}
