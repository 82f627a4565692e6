// Every file that a run can write: a job that makes it, the same job again, and the job that no longer does.
#include "work/outputs.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <set>
#include <string>
#include <vector>

#include "job_folder.h"

using namespace deckmark_test;

namespace {

/// Parts of a job, by word.
using Parts = std::set<std::string>;

std::string setup(const std::string& name) {
  return "[[setup]]\nname = \"" + name + "\"\nat = \"CP1\"\nheight = \"1.5 m\"\nobservations = \"s1.csv\"\n";
}

/// The floor lies at ground scale about CP1: E = 1748100 + x, N = 5427900 + y.
void write_job(JobFolder& job, const Parts& parts) {
  const auto has = [&](const char* part) { return parts.count(part) > 0; };
  std::string drawing = std::string("[drawing]\npoints = ") +
                        (has("loose") ? "\"loose.csv\"\n" : "\"drawing.csv\"\n"),
              toml = "[floor]\nelevation = \"10 m\"\n",
              hangers = "[hangers]\nheight = \"2.5 m\"\nmax_spacing = \"1.5 m\"\n";
  if (has("runs")) drawing += "runs = \"runs.csv\"\n";
  if (has("bill")) drawing += "bill = \"bill.csv\"\n";
  if (has("arrived")) drawing += "arrived = \"bill.csv\"\n";
  if (has("needs")) drawing += "needs = \"needs.csv\"\n";
  if (has("pieces")) drawing += "pieces = \"pieces.csv\"\n";
  if (has("deck")) toml += "[deck]\nelevation = \"14 m\"\n";
  if (has("cuts")) hangers += "cut_top = \"100 mm\"\nstock = \"3 m\"\n";
  if (has("ties")) {
    toml += "[baselines]\nties = \"ties.csv\"\n[site]\ncontrol = \"control.csv\"\n";
    if (has("crs")) toml += "crs = \"EPSG:2193\"\nground_at = \"CP1\"\nelevation = \"100 m\"\n";
  }
  if (has("marks")) toml += "[plumb]\nmarks = \"deckmarks.csv\"\n";
  if (has("asbuilt")) toml += "[asbuilt]\nshots = \"asbuilt.csv\"\n";
  if (has("offsets")) toml += "[offsets]\nunit = \"m\"\nfrom = [\"B1\", \"B2\"]\n";
  if (has("heights")) toml += "[heights]\nbenchmarks = \"benchmarks.csv\"\nlevel = \"level.csv\"\n";
  if (has("strings")) toml += "[offsets]\nunit = \"m\"\nstrings = [\"B1\", \"B2\", \"B3\"]\n";
  if (has("ducts")) toml += "[obstructions]\noutlines = \"ducts.csv\"\n";
  if (has("together") || has("grid") || has("split"))
    toml += std::string("[list]\n") + (has("together") ? "together = true\n" : "") +
            (has("grid") ? "frame = \"grid\"\n" : "") + (has("split") ? "split = \"run\"\n" : "");
  if (has("S1") || has("S2") || has("plan"))
    toml += "[instrument]\nangle_sd = \"2\\\"\"\ndistance_sd = \"2 mm\"\n";
  for (const char* name : {"S1", "S2"})
    if (has(name)) toml += setup(name);
  if (has("plan"))
    toml +=
        "[[setup]]\nname = \"P1\"\nnorthing = \"5427905 m\"\neasting = \"1748105 m\"\n"
        "plan = [\"CP2\", \"CP3\"]\n";
  if (has("crews")) toml += "[[crew]]\nname = \"north\"\npoints = [\"A\"]\n";
  job.write("job.toml", drawing + hangers + toml);
}

void write_tables(JobFolder& job) {
  job.write("drawing.csv", "point,x,y,run\nA,3,4,A\nB,4,4,A\nC,27,16,\n");
  job.write("loose.csv", "point,x,y\nA,3,4\nB,4,4\nC,27,16\n");
  job.write("runs.csv", "run,kind,x1,y1,x2,y2\nR1,line,2,8,8,8\nR2,line,5,6,5,10\n");
  job.write("pieces.csv", "piece,run,length\nR1a,R1,3\nR1b,R1,3\n");
  job.write("needs.csv", "part,per,count\nCLIP,hanger,2\n");
  job.write("bill.csv", "part,count\nCLIP,20\n");
  job.write("ducts.csv", "name,x,y\nD1,3.1,7.8\nD1,3.5,7.8\nD1,3.5,8.2\nD1,3.1,8.2\n");
  job.write("control.csv",
            "point,northing,easting,elevation\nCP1,5427900,1748100,10\nCP2,5427920,1748100,10\n"
            "CP3,5427900,1748130,10\n");
  job.write("ties.csv",
            "mark,x,y,northing,easting\nB1,0,0,5427900,1748100\nB2,30,0,5427900,1748130\n"
            "B3,0,20,5427920,1748100\nB4,30,20,5427920,1748130\n");
  job.write("s1.csv",
            "target,circle,zenith,slope,height\nCP2,0-00-00,90-00-00,20,1.5\nCP3,90-00-00,90-00-00,30,1.5\n"
            "SIDE,45-00-00,90-00-00,10,1.5\nA,36-52-11.6,90-00-00,5,1.5\n");
  job.write("benchmarks.csv", "point,elevation\nBM1,10\n");
  job.write("level.csv", "setup,target,back,fore,level\nL1,BM1,1.5,,\nL1,A,,-1.0,bracket\n");
  job.write("deckmarks.csv", "point,dx,dy\nA,1 mm,1 mm\n");
  job.write("asbuilt.csv", "point,x,y\nA,3.001,4\nB,4,4.001\n");
}

/// How a file comes about, and by taking out what it goes.
struct Way {
  std::string pattern;
  Parts made_with, gone_with;
};

const std::vector<Way>& ways() {
  static const std::vector<Way> all{
      {"list.csv", {"ties", "deck", "together"}, {"ties", "deck"}},
      {"list-NAME.csv", {"ties", "deck", "together", "crews"}, {"ties", "deck", "together"}},
      {"list-grid-NAME.csv", {"ties", "crs", "together", "grid", "crews"}, {"ties", "crs", "together"}},
      {"list-grid.csv", {"ties", "crs", "together", "grid"}, {"ties", "crs", "together"}},
      {"floor-list.csv", {"ties"}, {"ties", "split"}},
      {"floor-list-NAME.csv", {"ties", "split"}, {"ties"}},
      {"floor-list-NAME.csv", {"ties", "crews"}, {"ties"}},
      {"floor-list-grid-NAME.csv", {"ties", "crs", "grid", "crews"}, {"ties", "crs"}},
      {"deck-list-NAME.csv", {"ties", "deck", "crews"}, {"ties", "deck"}},
      {"deck-list-grid-NAME.csv", {"ties", "deck", "crs", "grid", "crews"}, {"ties", "deck", "crs"}},
      {"floor-list-grid.csv", {"ties", "crs", "grid"}, {"ties", "crs"}},
      {"floor-list-grid-NAME.csv", {"ties", "crs", "grid", "split"}, {"ties", "crs", "grid"}},
      {"deck-list.csv", {"ties", "deck"}, {"ties"}},
      {"deck-list-NAME.csv", {"ties", "deck", "split"}, {"ties", "split"}},
      {"deck-list-grid.csv", {"ties", "deck", "crs", "grid"}, {"ties", "deck", "crs"}},
      {"deck-list-grid-NAME.csv", {"ties", "deck", "crs", "grid", "split"}, {"ties", "deck", "split"}},
      {"plumb.csv", {"ties", "deck", "marks"}, {"ties", "deck"}},
      {"baseline.csv", {"ties"}, {}},
      {"ground.csv", {"ties", "crs"}, {"ties"}},
      {"checks.csv", {"ties"}, {}},
      {"asbuilt.csv", {"ties", "asbuilt"}, {"ties"}},
      {"asbuilt.csv", {"ties", "heights"}, {"ties"}},
      {"heights.csv", {"ties", "heights"}, {"ties"}},
      {"causes.csv", {"ties", "asbuilt"}, {"ties"}},
      {"setup.csv", {"ties", "S1"}, {"ties"}},
      {"sights.csv", {"ties", "S1"}, {"ties"}},
      {"net.csv", {"ties", "S1"}, {"ties"}},
      {"shots-NAME.csv", {"ties", "S1"}, {"ties", "S2"}},
      {"marks-NAME.csv", {"ties", "S1"}, {"ties", "S2"}},
      {"stake-NAME.txt", {"ties", "S1"}, {"ties", "S2"}},
      {"stake-NAME.csv", {"ties", "S1"}, {"ties", "S2"}},
      {"plan-NAME.csv", {"ties", "plan"}, {"ties"}},
      {"offsets.csv", {"ties", "offsets"}, {"ties"}},
      {"offset-sheet.txt", {"ties", "offsets"}, {"ties"}},
      {"corners.csv", {"ties", "strings"}, {"ties", "offsets"}},
      {"changes-NAME.csv", {"ties", "crews"}, {"ties"}},
      {"offsets-NAME.csv", {"ties", "offsets", "crews"}, {"ties", "offsets"}},
      {"offset-sheet-NAME.txt", {"ties", "offsets", "crews"}, {"ties", "offsets"}},
      {"hangers.csv", {"ties", "deck", "cuts"}, {"ties", "deck"}},
      {"trapeze.csv", {"ties", "deck", "runs", "ducts"}, {"ties", "deck", "runs"}},
      {"piece-marks.csv", {"ties", "deck", "runs", "pieces"}, {"ties", "deck", "runs"}},
      {"members.csv", {"ties", "runs"}, {"ties"}},
      {"site-cuts.csv", {"ties", "deck", "runs", "pieces"}, {"ties", "deck", "runs"}},
      {"crossings.csv", {"ties", "runs"}, {"ties"}},
      {"parts.csv", {"ties", "runs"}, {"ties"}},
      {"parts.csv", {"ties", "needs"}, {"ties"}},
      {"short.csv", {"ties", "needs", "bill"}, {"ties", "needs"}},
      {"short.csv", {"ties", "needs", "arrived"}, {"ties", "needs"}},
      {"shape.csv", {"ties"}, {"ties", "loose"}},
  };
  return all;
}

std::vector<std::string> of_pattern(const JobFolder& job, const std::string& pattern) {
  const std::size_t at = pattern.find("NAME");
  const std::string begin = pattern.substr(0, at),
                    end = at == std::string::npos ? "" : pattern.substr(at + 4);
  std::vector<std::string> names;
  for (const auto& [path, bytes] : job.snapshot()) {
    const std::string name = path.starts_with("out/") ? path.substr(4) : "";
    if (name.empty()) continue;
    const bool fits = at == std::string::npos ? name == pattern
                                              : name.starts_with(begin) && name.ends_with(end) &&
                                                    name.size() > begin.size() + end.size();
    if (fits) names.push_back(name);
  }
  return names;
}

}  // namespace

// Cause, 2026-11-27: which files an earlier run had made was guessed from the ends of names in its summary;
// a stake sheet was not known again: doubted at the second run, left standing when its setup was renamed.
TEST_CASE("every file of a run is known again, and goes when the job no longer makes it") {
  const std::set<std::string_view> always{"numbers.csv", "issued.csv",  "kept/NAME.csv", "points.csv",
                                          "changes.csv", "report.html", "SHA256SUMS",    "summary.txt"};
  for (const deckmark::OutputSpec* spec : deckmark::outputs()) {
    if (spec->name == "given.csv" || !spec->is_of_run) continue;  // of `give`, of `today`
    CAPTURE(spec->name);
    CHECK(spec->when.empty() == (always.count(spec->name) > 0));
    const auto way = std::ranges::find(ways(), spec->name, &Way::pattern);
    CHECK((way != ways().end()) == (always.count(spec->name) == 0 && !spec->is_journal));
  }
  for (const Way& way : ways()) {
    CAPTURE(way.pattern);
    JobFolder job;
    write_tables(job);
    write_job(job, way.made_with);
    job.write("out/mine.csv", "kept\n");
    CommandResult made = job.run();
    CAPTURE(made.err);
    REQUIRE(made.exit_code == 0);
    const std::vector<std::string> files = of_pattern(job, way.pattern);
    CHECK(!files.empty());
    // Again, unchanged: no file of its own is doubted, and the same files stand.
    const auto before = job.snapshot();
    const CommandResult again = job.run();
    CHECK(again.exit_code == 0);
    CHECK(again.err.find("no earlier run made it") == std::string::npos);
    const auto after = job.snapshot();
    CHECK(before.size() == after.size());
    for (const auto& [name, bytes] : before) CHECK(after.count(name) == 1);
    // Without: gone, and what a run has not made stays.
    write_job(job, way.gone_with);
    const CommandResult without = job.run();
    CAPTURE(without.err);
    REQUIRE(without.exit_code == 0);
    for (const std::string& name : files) {
      CAPTURE(name);
      CHECK(!job.has("out/" + name));
    }
    CHECK(job.read("out/mine.csv") == "kept\n");
    // A file of that name that no run made is doubted, and never removed by a job that does not make it.
    job.write("out/" + files.front(), "foreign\n");
    CHECK(job.run().exit_code == 0);
    CHECK(job.read("out/" + files.front()) == "foreign\n");
    write_job(job, way.made_with);
    const CommandResult doubted = job.run();
    CHECK(doubted.err.find("out/" + files.front() +
                           ": file: a run replaces it, and no earlier run made it") != std::string::npos);
  }
}

TEST_CASE("a summary that names another's file does not make a run remove it") {
  JobFolder job;
  write_tables(job);
  write_job(job, {"ties"});
  REQUIRE(job.run().exit_code == 0);
  job.write("out/notes.csv", "kept\n");
  job.write("out/plumb.csv", "an earlier run's\n");
  std::string summary = job.read("out/summary.txt");
  const std::size_t at = summary.find("  points.csv: ");
  REQUIRE(at != std::string::npos);
  summary.insert(at,
                 "  notes.csv: 1 row\n    sha256 0\n  plumb.csv: 1 row\n    sha256 0\n  ../job.toml: text\n  "
                 "  sha256 0\n");
  job.write("out/summary.txt", summary);
  CHECK(job.run().exit_code == 0);
  CHECK(job.read("out/notes.csv") == "kept\n");
  CHECK(job.has("job.toml"));
  CHECK(!job.has("out/plumb.csv"));
}
