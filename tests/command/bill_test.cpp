// What the drawing needs, the bill and what arrived: what is refused at its cell, and what comes of it.
#include <algorithm>
#include <nlohmann/json.hpp>

#include "overhead_support.h"
#include "support/text.h"

using namespace deckmark_test;
using Json = nlohmann::ordered_json;

namespace {

const std::string kNeeds =
                      "part,per,count\nCLIP-1,hanger,2\nCLIP-1,joint,0.5\nBAR,joint,1\nCAP,end-left,1\n"
                      "CAP,end-right,1\n",
                  kBill =
                      "part,count,length\nCLIP-1,34,\nBAR,1,\nCAP,6,\nR1-P1,1,3\nR1-P2,1,3\nR2-P1,1,4.7\n"
                      "R3-P1,1,5\n",
                  kArrived =
                      "part,count,damaged\nCLIP-1,33,\nBAR,1,\nCAP,6,\nR1-P1,1,\nR1-P2,1,\nR2-P1,1,\n"
                      "R3-P1,1,\n";
const std::string kKeys = "needs = \"needs.csv\"\nbill = \"bill.csv\"\narrived = \"arrived.csv\"\n";

/// R1 with 6 hangers in two pieces, R2 with 5 and R3 with 6 in one each. They need 12.5, 10 and 12 clips, R1
/// a bar, each two caps.
void write_job(JobFolder& job, const std::string& keys = kKeys) {
  job.write("job.toml", "[drawing]\nruns = \"runs.csv\"\npieces = \"pieces.csv\"\n" + keys +
                            "frame = \"site\"\n[floor]\nelevation = 0\n[deck]\nelevation = \"4 m\"\n"
                            "[hangers]\nheight = \"2.5 m\"\nmax_spacing = \"1.2 m\"\n");
  job.write("runs.csv", "run,x1,y1,x2,y2\nR1,0,0,6,0\nR2,6,0.3,6,5\nR3,0,2,5,2\n");
  job.write("pieces.csv", "piece,run,length\nR1-P1,R1,3\nR1-P2,R1,3\nR2-P1,R2,4.7\nR3-P1,R3,5\n");
  job.write("needs.csv", kNeeds);
  job.write("bill.csv", kBill);
  job.write("arrived.csv", kArrived);
}

/// The text of a file with the cell at that place replaced.
std::string replaced(const std::string& text, const ToldLine& at, const std::string& with) {
  std::size_t begin = 0;
  for (std::size_t line = 1; line < at.line; ++line) begin = text.find('\n', begin) + 1;
  begin += at.column - 1;
  const std::size_t end = std::min(text.find_first_of(",\n", begin), text.size());
  return text.substr(0, begin) + with + text.substr(end);
}

struct Refused {
  std::string what, file, bytes, told;
};

}  // namespace

TEST_CASE("needs, bill and arrived are refused at their cells, and what is to be tried is accepted") {
  const std::string per =
      "hanger, joint, end-left, end-right, wall, corner-inside, corner-outside, through-crossing, crossing, "
      "metre or piece";
  const std::string amount = "how many for one of these, such as 2 or 0.5, from 0 to 1000000";
  const std::string whole = "a whole number from 0 to 1000000000, digits alone";
  const std::string own = "a name of its own: the program counts by this word itself";
  for (const Refused& c : {
           Refused{"a word that per has not", "needs.csv", "part,per,count\nC,joints,1\n",
                   "needs.csv:2:3: per: found \"joints\", expected " + per + "; try joint"},
           Refused{"a capital", "needs.csv", "part,per,count\nC,Hanger,1\n",
                   "needs.csv:2:3: per: found \"Hanger\", expected " + per + "; try hanger"},
           Refused{"a word far from all", "needs.csv", "part,per,count\nC,bolt,1\n",
                   "needs.csv:2:3: per: found \"bolt\", expected " + per},
           Refused{"no word", "needs.csv", "part,per,count\nC,,1\n",
                   "needs.csv:2:3: per: found an empty cell, expected " + per},
           Refused{"a count below zero", "needs.csv", "part,per,count\nC,joint,-0.5\n",
                   "needs.csv:2:9: count: found \"-0.5\", expected " + amount},
           Refused{"a count in words", "needs.csv", "part,per,count\nC,joint,two\n",
                   "needs.csv:2:9: count: found \"two\", expected a number alone, such as 12.5"},
           Refused{"a count that nobody hangs", "needs.csv", "part,per,count\nC,joint,1000001\n",
                   "needs.csv:2:9: count: found \"1000001\", expected " + amount},
           Refused{"no count", "needs.csv", "part,per,count\nC,joint,\n",
                   "needs.csv:2:9: count: found an empty cell, expected how many for one of these, such as 2 "
                   "or 0.5"},
           Refused{"a part named like a place", "needs.csv", "part,per,count\njoint,joint,1\n",
                   "needs.csv:2:1: part: found \"joint\" as a part, expected " + own},
           Refused{"a part named like a place, in capitals", "needs.csv",
                   "part,per,count\nEnd-Left,joint,1\n",
                   "needs.csv:2:1: part: found \"End-Left\" as a part, expected " + own},
           Refused{"a part named like a piece", "needs.csv", "part,per,count\nr1-p2,joint,1\n",
                   "needs.csv:2:1: part: found \"r1-p2\" as a part, expected a name of its own: a piece has "
                   "this one"},
           Refused{"half a part on the bill", "bill.csv", "part,count\nCLIP-1,2.5\n",
                   "bill.csv:2:8: count: found \"2.5\", expected " + whole},
           Refused{"a whole number with decimals", "bill.csv", "part,count\nCLIP-1,2.0\n",
                   "bill.csv:2:8: count: found \"2.0\", expected " + whole + "; try 2"},
           Refused{"a bill below zero", "bill.csv", "part,count\nCLIP-1,-2\n",
                   "bill.csv:2:8: count: found \"-2\", expected " + whole},
           Refused{"a bill without a count", "bill.csv", "part,count\nCLIP-1,\n",
                   "bill.csv:2:8: count: found an empty cell, expected how many, 0 too"},
           Refused{"a piece of no length", "bill.csv", "part,count,length\nR1-P1,1,0\n",
                   "bill.csv:2:9: length: found \"0\", expected a length above zero, such as 1.5 mm"},
           Refused{
               "a bill in feet beside a drawing in metres", "bill.csv",
               "part,count,length\nR1-P1,1,9.84\nR2-P1,1,15.42\nR3-P1,1,5\n",
               "bill.csv:1:12: length: found lengths read as metres, expected feet: read as feet 2 of 3 are "
               "the drawing's pieces, read as metres 1; try length (ft)"},
           Refused{"more damaged than arrived", "arrived.csv", "part,count,damaged\nCLIP-1,30,31\n",
                   "arrived.csv:2:11: damaged: found 31 damaged of 30, expected how many of the count are "
                   "damaged, "
                   "which holds them too"},
           Refused{"damaged in words", "arrived.csv", "part,count,damaged\nCLIP-1,30,some\n",
                   "arrived.csv:2:11: damaged: found \"some\", expected " + whole},
           Refused{"a name that is a formula", "arrived.csv", "part,count\n=A1,30\n",
                   "arrived.csv:2:1: part: found \"=A1\", expected a name that is no formula: the name "
                   "itself, in a "
                   "column set to text"},
       }) {
    CAPTURE(c.what);
    JobFolder job;
    write_job(job);
    job.write(c.file, c.bytes);
    const auto before = job.snapshot();
    const CommandResult r = job.run();
    check_refused(job, before, r);
    const auto lines = problem_lines(r.err);
    REQUIRE_MESSAGE(lines.size() == 1, r.err);
    CHECK(lines_of(r.err).front() == c.told);
    const std::string instead = suggestion_of(lines[0]);
    if (instead.empty()) continue;
    job.write(c.file, replaced(c.bytes, lines[0], instead));
    CHECK_MESSAGE(job.run().exit_code == 0, instead);
  }
}

TEST_CASE("a table that is missing is a problem of its key, and another word for a column is offered") {
  JobFolder job;
  write_job(job, "needs = \"need.csv\"\nbil = \"bill.csv\"\n");
  CommandResult r = job.run();
  CHECK(r.exit_code == 2);
  CHECK(says(r.err, "job.toml:4:9: drawing.needs: found "));
  CHECK(says(r.err,
             "job.toml:5:1: drawing.bil: found key \"bil\", which is not known, expected a key of [drawing]; "
             "try bill\n"));
  write_job(job);
  job.write("arrived.csv", "item,qty\nCLIP-1,30\n");
  r = job.run();
  CHECK(r.exit_code == 2);
  CHECK(says(r.err, "rename = { item = \"part\", qty = \"count\" }"));
}

TEST_CASE("needs of a job without runs: hangers can need a part, what only runs have cannot") {
  JobFolder job;
  write_job(job);
  job.write("job.toml",
            "[drawing]\npoints = \"points.csv\"\nneeds = \"needs.csv\"\narrived = \"arrived.csv\"\n"
            "frame = \"site\"\n");
  job.write("points.csv", "point,x,y\nA,0,0\nB,2,0\nC,4,0\n");
  job.write("arrived.csv", "part,count\nCLIP-1,5\n");
  CommandResult r = job.run();
  CHECK(r.exit_code == 2);
  CHECK(says(r.err,
             "job.toml:3:9: drawing.needs: found CLIP-1 for every joint in a job without runs, expected the "
             "runs on which these are; try runs = \"runs.csv\"\n"));
  job.write("needs.csv", "part,per,count\nCLIP-1,hanger,2\n");
  r = job.run();
  CHECK(r.exit_code == 0);
  CHECK(says(r.out, "HANGERS THAT LACK PARTS\n  hangers of no run: lack 1 CLIP-1\nSHORT\n"));
  CHECK(job.read("out/short.csv") == "part,drawing,bill,arrived,damaged,short,runs\nCLIP-1,6,,5,0,1,\n");
  CHECK(job.read("out/parts.csv") == "part,count,length (m),member\nhanger,3,,\nCLIP-1,6,,\n");
}

TEST_CASE("a faulty bill does not hide another fault, and stops no command that shows other things") {
  JobFolder job;
  write_job(job);
  job.write("arrived.csv", "part,count\nCLIP-1,-1\n");
  job.write("needs.csv", "part,per,count\nC,joints,1\n");
  job.write("runs.csv", "run,x1,y1,x2,y2\nR1,0,0,6,0\nR2,6,0.3,6,5\nR3,0,2,x,2\n");
  const CommandResult r = job.run();
  CHECK(r.exit_code == 2);
  for (const char* place : {"runs.csv:4:8: x2", "needs.csv:2:3: per", "arrived.csv:2:8: count"})
    CHECK_MESSAGE(says(r.err, place), r.err);
  write_job(job);
  job.write("arrived.csv", "part,count\nCLIP-1,-1\n");
  const CommandResult baseline = job.run({"baseline", "."});
  CHECK(baseline.exit_code == 0);
  CHECK(says(baseline.err, "the bill has problems, so the job as a whole is not judged here"));
}

TEST_CASE("all is there: every run may begin, and nothing is short") {
  JobFolder job;
  write_job(job);
  const CommandResult r = job.run();
  CHECK(r.exit_code == 0);
  // 12.5 + 10 + 12 clips are 34.5, rounded up once: 35; 33 arrived.
  CHECK(says(r.err, "cannot begin"));
  job.write("arrived.csv", kArrived + "CLIP-1,2,\n");
  const CommandResult whole = job.run();
  CHECK(says(whole.out, "RUNS THAT CANNOT BEGIN: none of 3; all may begin\n"));
  CHECK_FALSE(says(whole.out, "SHORT"));
  CHECK_FALSE(says(whole.err, "cannot begin"));
  CHECK(job.read("out/short.csv") ==
        "part,drawing,bill,arrived,damaged,short,runs\nCLIP-1,35,34,35,0,0,\nBAR,1,1,1,0,0,\nCAP,6,6,6,0,0,\n"
        "R1-P1,1,1,1,0,0,\nR1-P2,1,1,1,0,0,\nR2-P1,1,1,1,0,0,\nR3-P1,1,1,1,0,0,\n");
}

TEST_CASE(
    "runs that cannot begin come first, what they would have taken goes to the next, and status stays") {
  JobFolder job;
  write_job(job);
  // 29 sound clips and no R2-P1: R1 takes 12.5 and R3 12; R2 takes none. BRA is nobody's.
  job.write("arrived.csv",
            "part,count,damaged\nCLIP-1,20,1\nclip-1,10,\nBAR,1,\nCAP,6,2\nR1-P1,1,\nR1-P2,1,\nR3-P1,2,"
            "1\nBRA,2,\n");
  const CommandResult r = job.run();
  CHECK(r.exit_code == 0);
  CHECK(says(r.err,
             "doubt: arrived.csv: file: 1 of 3 runs cannot begin: R2 lacks 1 R2-P1; see "
             "short.csv\n"));
  CHECK(says(r.err, "doubt: arrived.csv:9:1: part: nothing in the drawing needs BRA: is BAR meant?\n"));
  const std::string told =
      "RUNS THAT CANNOT BEGIN: 1 of 3, for want of parts\n  R2: lacks 1 R2-P1\n  may begin:\n    R1, R3\n"
      "SHORT\n  CLIP-1: drawing 35, bill 34, arrived 30, damaged 1, short 6\n"
      "  CAP: drawing 6, bill 6, arrived 6, damaged 2, short 2\n"
      "  R2-P1: drawing 1, bill 1, arrived 0, damaged 0, short 1\n"
      "MORE THAN THE DRAWING NEEDS\n  BRA: drawing 0, bill 0, arrived 2, damaged 0, too many "
      "2\n\nBASELINES\n";
  CHECK_MESSAGE(says(r.out, told), r.out);
  CHECK(says(job.read("out/summary.txt"), told));
  CHECK(says(job.run({"check", "."}).out, told));
  CHECK(job.read("out/short.csv") ==
        "part,drawing,bill,arrived,damaged,short,runs\nCLIP-1,35,34,30,1,6,\nBAR,1,1,1,0,0,\nCAP,6,6,6,2,2,\n"
        "R1-P1,1,1,1,0,0,\nR1-P2,1,1,1,0,0,\nR2-P1,1,1,0,0,1,R2\nR3-P1,1,1,2,1,0,\nBRA,0,0,2,0,0,\n");
  CHECK(says(job.read("out/parts.csv"), "\nCLIP-1,35,,\nBAR,1,,\nCAP,6,,\n"));
  const CommandResult screen = job.run({"run", "."});
  const auto at = [&](const char* text) { return screen.out.find(text); };
  REQUIRE(at("RUNS THAT CANNOT BEGIN: 1 of 3") != std::string::npos);
  CHECK(at("RUNS THAT CANNOT BEGIN") < at("NEXT"));
}

TEST_CASE("tables with semicolons have a decimal comma, and lengths of the bill their own unit") {
  JobFolder job;
  write_job(job, "needs = \"needs.csv\"\nbill = \"bill.csv\"\n");
  job.write("needs.csv", "Part;PER;Count\nCLIP-1;hanger;0,5\nRAIL;metre;1,25\n");
  job.write("bill.csv",
            "part;count;length (cm)\nCLIP-1;9;\nRAIL;20;15 ft\nR1-P1;1;300,05\nR1-P2;1;300,2\nR2-P1;1;4,7 m\n"
            "R3-P1;1;16' 4 7/8\"\n");
  const CommandResult r = job.run();
  REQUIRE_MESSAGE(r.exit_code == 0, r.err);
  // 17 hangers with half a clip, 15.7 m with 1.25 rails a metre.
  CHECK(job.read("out/short.csv")
            .starts_with("part,drawing,bill,arrived,damaged,short,runs\nCLIP-1,9,9,,,0,\n"
                         "RAIL,20,20,,,0,\n"));
  CHECK(says(r.err,
             "doubt: bill.csv:5:9: length: R1-P2 is 3.0020 m on the bill and 3.0000 m in the drawing: 2.0 mm "
             "apart, more than 1 mm\n"));
  CHECK_FALSE(says(r.err, "R1-P1 is"));
  CHECK_FALSE(says(r.err, "R3-P1 is"));
}

TEST_CASE("the doubt stands in --json, and status and verdict are as without a bill") {
  JobFolder job;
  write_job(job);
  job.write("arrived.csv", "part,count\nCLIP-1,3\n");
  const CommandResult r = job.run({"run", ".", "--json"});
  const Json with = Json::parse(r.out);
  REQUIRE(with.at("doubts").is_array());
  CHECK(std::ranges::count_if(with.at("doubts"), [](const Json& d) {
          return says(d.dump(),
                      "3 of 3 runs cannot begin: R1 lacks 10 CLIP-1, 1 BAR, 2 CAP, 1 R1-P1, "
                      "1 R1-P2; ");
        }) == 1);
  JobFolder plain;
  write_job(plain, "");
  const Json without = Json::parse(plain.run({"run", ".", "--json"}).out);
  for (const char* key : {"verdict", "status", "reasons", "rows"}) CHECK(with.at(key) == without.at(key));
}

TEST_CASE("the screen of a ready job keeps to its lines where many runs wait for parts") {
  JobFolder job;
  write_job(job);
  std::string runs = "run,x1,y1,x2,y2\n";
  for (int i = 1; i <= 12; ++i)
    runs += "R" + std::to_string(i) + ",0," + std::to_string(i) + ",6," + std::to_string(i) + "\n";
  job.write("runs.csv", runs);
  job.write("pieces.csv", "piece,run,length\nR1-P1,R1,6\n");
  job.write("control.csv", "point,northing,easting,elevation\nCP1,2000,1000,0\nCP2,2020,1000,0\n");
  job.write("ties.csv",
            "mark,x,y,northing,easting\nB1,0,0,2000,1000\nB2,30,0,2000,1030\nB3,0,20,2020,1000\n"
            "B4,30,20,2020,1030\n");
  job.write("arrived.csv", "part,count\nCLIP-1,3\n");
  std::string toml = job.read("job.toml");
  toml.replace(toml.find("frame = \"site\"\n"), 15, "");
  job.write("job.toml",
            toml +
                "[site]\ncontrol = \"control.csv\"\n[offsets]\nunit = \"ft-in\"\nfrom = [\"B1\", \"B2\"]\n"
                "[baselines]\nties = \"ties.csv\"\n[[crew]]\nname = \"north\"\nruns = [\"R1\"]\n");
  const CommandResult r = job.run({"run", "."});
  REQUIRE_MESSAGE(r.out.starts_with("READY TO LAY OUT"), r.out);
  CHECK(says(r.out, "RUNS THAT CANNOT BEGIN: 12 of 12, for want of parts\n"));
  CHECK(says(r.out, "  and more: see short.csv\n"));
  CHECK_MESSAGE(lines_of(r.out).size() <= 24, r.out);
}
