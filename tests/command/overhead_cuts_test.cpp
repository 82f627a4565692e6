// Pieces to cut on site, and the labels that say so, from a job to its files.
#include <algorithm>

#include "overhead_support.h"

using namespace deckmark_test;

namespace {

/// One run 8.7 m long with a hanger every 1.2 m at most, and pieces of 3 m.
struct CutJob {
  std::string pieces;
  std::string keys = "max_spacing = \"1.2 m\"\nend_distance = \"0.2 m\"\n";
  std::string drawing = "";
  std::string runs = "R1,line,0,0,8.7,0\n";
};

CommandResult run_job(JobFolder& job, const CutJob& c) {
  OverheadParts parts;
  parts.drawing += "pieces = \"pieces.csv\"\n" + c.drawing;
  parts.hangers = c.keys;
  write_overhead(job, parts);
  job.write("runs.csv", "run,kind,x1,y1,x2,y2\n" + c.runs);
  job.write("pieces.csv", c.pieces);
  return job.run();
}

/// `piece member cut end` of every row.
std::vector<std::string> cuts(const JobFolder& job) {
  std::vector<std::string> out;
  for (const TableRow& r : table(job, "site-cuts.csv"))
    out.push_back(r.at("piece") + "|" + r.at("member") + "|" + r.at("cut") + "|" + r.at("end"));
  return out;
}
using Cuts = std::vector<std::string>;

}  // namespace

TEST_CASE("which pieces are cut on site stands in site-cuts.csv") {
  struct Row {
    const char* name;
    CutJob job;
    Cuts want;
  };
  const std::string head = "piece,run,length,may_cut\n";
  for (const Row& r :
       {Row{"they add up", {head + "A,R1,3,\nB,R1,3,\nC,R1,2.7,\n"}, {}},
        Row{"the last at its finish", {head + "A,R1,3,\nB,R1,3,\nC,R1,3,\n"}, {"C||0.30000|finish"}},
        Row{"its start, where only that may be cut",
            {head + "A,R1,3,\nB,R1,3,\nC,R1,3,start\n"},
            {"C||0.30000|start"}},
        Row{"another where it must not be cut",
            {head + "A,R1,3,\nB,R1,3,\nC,R1,3,no\n"},
            {"A||0.30000|start"}},
        Row{"two where the last would be too short",
            {head + "A,R1,4.3,\nB,R1,4.3,\nC,R1,4.3,\n",
             "max_spacing = \"1.2 m\"\npiece_least = \"300 mm\"\n"},
            {"A||0.20000|start", "C||4.00000|finish"}},
        Row{"too short together is told alone", {head + "A,R1,3,\nB,R1,3,\n"}, {}},
        Row{"of a pair on the member that it is of",
            {"piece,run,length,member\nA,R1,8.7,left\nB,R1,5,right\nC,R1,5,right\n", CutJob{}.keys,
             "separation = \"0.2 m\"\n"},
            {"C|right|1.30000|finish"}},
        Row{"a piece without a member on both",
            {"piece,run,length\nA,R1,5\nB,R1,5\n", CutJob{}.keys, "separation = \"0.2 m\"\n"},
            {"B|left|1.30000|finish", "B|right|1.30000|finish"}}}) {
    const std::string name = r.name;
    CAPTURE(name);
    JobFolder job;
    const CommandResult result = run_job(job, r.job);
    CAPTURE(result.err);
    REQUIRE(result.exit_code == 0);
    CHECK(cuts(job) == r.want);
  }
}

TEST_CASE("the label of a piece that is cut says so, and gives its length as it hangs") {
  JobFolder job;
  const CommandResult result =
      run_job(job, {"piece,run,length\nA,R1,5\nB,R1,5\n", CutJob{}.keys, "separation = \"0.2 m\"\n"});
  REQUIRE(result.exit_code == 0);
  const std::string summary = job.read("out/summary.txt"), page = job.read("out/report.html");
  for (const std::string label :
       {"  A on R1 left, 5.000: 0.000 free end, 0.200 1001,", "5.000 joint to B\n",
        "  B on R1 right, 3.700: from 5.000 cut 1.300 off its finish,", "3.700 free end\n"})
    CHECK_MESSAGE(summary.find(label) != std::string::npos, label);
  CHECK(page.find("<strong>B on R1 right, 3.700:</strong>") != std::string::npos);
}

TEST_CASE("no joint is cut to lie beside a hanger where another cut keeps it clear") {
  // Fluted deck: hangers stand at whole metres alone. Joints at 3 and 6 lie on two; 0.3 m off the first piece
  // puts them at 2.7 and 5.7.
  JobFolder job;
  OverheadParts parts;
  parts.drawing += "pieces = \"pieces.csv\"\n";
  parts.deck = "bays = \"bays.csv\"\n";
  parts.hangers = "max_spacing = \"1 m\"\nend_distance = \"0.9 m\"\njoint_clear = \"150 mm\"\n";
  write_overhead(job, parts);
  job.write("bays.csv",
            "bay,x,y,elevation,flutes,flute_pitch,flute_first\nA,-1,-5,4,y,1,0\nA,10,-5,,,,\nA,10,5,,,,\nA,-"
            "1,5,,,,\n");
  job.write("runs.csv", "run,kind,x1,y1,x2,y2\nR1,line,0,0,8.7,0\n");
  job.write("pieces.csv", "piece,run,length\nA,R1,3\nB,R1,3\nC,R1,3\n");
  const CommandResult result = job.run();
  CAPTURE(result.err);
  REQUIRE(result.exit_code == 0);
  CHECK(cuts(job) == Cuts{"A||0.30000|start"});
  std::vector<double> joints, hangers;
  for (const TableRow& r : table(job, "piece-marks.csv"))
    if (r.at("mark") == "joint")
      joints.push_back(number(r, "along_run"));
    else if (r.at("mark") != "end")
      hangers.push_back(number(r, "along_run"));
  CHECK(joints == std::vector<double>{2.7, 5.7});
  for (const double j : joints)
    for (const double h : hangers) CHECK(std::abs(j - h) >= 0.15);
}
