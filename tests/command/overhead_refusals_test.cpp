// What is refused of runs, pieces, bays and obstructions, each at its cell.
#include <algorithm>

#include "overhead_support.h"

using namespace deckmark_test;

namespace {

const std::string kRunHead = "run,kind,x1,y1,x2,y2,xm,ym,height\n";
const std::string kLine = "R1,line,1,3,9,3,,,\n";
const std::string kBay = "bay,x,y,elevation\nB,0,0,4\nB,10,0,\nB,10,6,\nB,0,6,\n";
const std::string kDuct = "name,x,y\nD,4,0\nD,4.5,0\nD,4.5,6\nD,4,6\n";

struct Refused {
  std::string what, runs, pieces, bays, ducts, hangers, place, word;
};

void check(const Refused& c) {
  CAPTURE(c.what);
  JobFolder job;
  job.write("runs.csv", c.runs.empty() ? kRunHead + kLine : c.runs);
  if (!c.pieces.empty()) job.write("pieces.csv", c.pieces);
  job.write("bays.csv", c.bays.empty() ? kBay : c.bays);
  job.write("ducts.csv", c.ducts.empty() ? kDuct : c.ducts);
  write_overhead(job, {.drawing = std::string("runs = \"runs.csv\"\n") +
                                  (c.pieces.empty() ? "" : "pieces = \"pieces.csv\"\n"),
                       .deck = "bays = \"bays.csv\"\n",
                       .hangers = c.hangers.empty() ? "max_spacing = \"1.2 m\"\n" : c.hangers,
                       .more = "[obstructions]\noutlines = \"ducts.csv\"\n"});
  const auto before = job.snapshot();
  const CommandResult r = job.run();
  check_refused(job, before, r);
  const auto lines = problem_lines(r.err);
  CHECK_MESSAGE(std::ranges::any_of(lines,
                                    [&](const ToldLine& l) {
                                      return place_of(l) == c.place &&
                                             l.text.find(c.word) != std::string::npos;
                                    }),
                r.err);
}

}  // namespace

TEST_CASE("runs, pieces, bays and obstructions are refused at their cells") {
  for (const Refused& c : {
           Refused{"a kind that is none", kRunHead + "R1,curve,1,3,9,3,,,\n", "", "", "", "",
                   "runs.csv:2:4: kind", "curve"},
           Refused{"a run twice", kRunHead + kLine + "r1,line,1,4,9,4,,,\n", "", "", "", "",
                   "runs.csv:3:1: run", "r1"},
           Refused{"an arc without its middle", kRunHead + "R1,arc,1,3,9,3,,,\n", "", "", "", "",
                   "runs.csv:2:16: xm", "without xm and ym"},
           Refused{"a flat arc", kRunHead + "R1,arc,1,3,9,3,5,3,\n", "", "", "", "", "runs.csv:2:16: xm",
                   "on one line"},
           Refused{"a line with a middle", kRunHead + "R1,line,1,3,9,3,5,4,\n", "", "", "", "",
                   "runs.csv:2:17: xm", "of a line"},
           Refused{"a line of no length", kRunHead + "R1,line,1,3,1,3,,,\n", "", "", "", "",
                   "runs.csv:2:9: x1", "of no length"},
           Refused{"an empty end", kRunHead + "R1,line,1,3,,3,,,\n", "", "", "", "", "runs.csv:2:13: x2",
                   "empty"},
           Refused{"no max_spacing", "", "", "", "", "end_distance = \"0.2 m\"\n",
                   "job.toml: hangers.max_spacing", "without max_spacing"},
           Refused{"far too many hangers", "", "", "", "", "max_spacing = \"0.01 mm\"\n", "runs.csv:2:1: run",
                   "more than 100000 hangers"},
           Refused{"a spacing in millimetres for one in metres", "", "", "", "",
                   "max_spacing = \"1.2 mm\"\nend_distance = \"0.2 m\"\n",
                   "job.toml:9:15: hangers.max_spacing", "a widest space of 1.2 mm between hangers"},
           Refused{"a piece of no run", "", "piece,run,length\nP1,R9,2\n", "", "", "", "pieces.csv:2:4: run",
                   "R9"},
           Refused{"a piece of no length", "", "piece,run,length\nP1,R1,0\n", "", "", "",
                   "pieces.csv:2:7: length", "0"},
           Refused{"a point in no bay", kRunHead + "R1,line,1,3,11,3,,,\n", "", "", "", "",
                   "runs.csv:2:1: run", "in no bay"},
           Refused{"a point in two bays", "", "", kBay + "C,5,0,5\nC,10,0,\nC,10,6,\nC,5,6,\n", "", "",
                   "runs.csv:2:1: run", "in two bays, B and C"},
           Refused{"a bay with two elevations", "", "",
                   "bay,x,y,elevation\nB,0,0,4\nB,10,0,5\nB,10,6,\nB,0,6,\n", "", "",
                   "bays.csv:3:8: elevation", "another elevation"},
           Refused{"a bay without elevation", "", "", "bay,x,y,elevation\nB,0,0,\nB,10,0,\nB,10,6,\nB,0,6,\n",
                   "", "", "bays.csv:2:1: bay", "without elevation and without shots"},
           Refused{"a bay that crosses itself", "", "",
                   "bay,x,y,elevation\nB,0,0,4\nB,10,6,\nB,10,0,\nB,0,6,\n", "", "", "bays.csv:4:1: bay",
                   "crosses"},
           Refused{"a bay of two corners", "", "", "bay,x,y,elevation\nB,0,0,4\nB,10,6,\n", "", "",
                   "bays.csv:3:1: bay", "with 2 corners"},
           Refused{"a duct with a corner twice", "", "", "", "name,x,y\nD,4,0\nD,4.5,0\nD,4.5,0\nD,4,6\n", "",
                   "ducts.csv:4:1: name", "corner 3 of D in the place of corner 2"},
           Refused{"a clearance below zero", "", "", "",
                   "name,x,y,clearance\nD,4,0,-0.1\nD,4.5,0,\nD,4.5,6,\nD,4,6,\n", "",
                   "ducts.csv:2:7: clearance", "-0.1"},
           Refused{"a cut over the stock", "", "", "", "",
                   "max_spacing = \"1.2 m\"\ncut_top = \"0.2 m\"\nstock = \"1.6 m\"\n",
                   "job.toml:11:9: hangers.stock", "a cut of 1.7000 m"},
       })
    check(c);
}

TEST_CASE("a duct without area is refused at a corner") {
  JobFolder job;
  job.write("runs.csv", kRunHead + kLine);
  job.write("ducts.csv", "name,x,y\nD,4,0\nD,5,0\nD,6,0\n");
  write_overhead(job, {.more = "[obstructions]\noutlines = \"ducts.csv\"\n"});
  const auto before = job.snapshot();
  const CommandResult r = job.run();
  check_refused(job, before, r);
  const auto lines = problem_lines(r.err);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].file == "ducts.csv");
  CHECK(lines[0].field == "name");
}

TEST_CASE("a generated name that the drawing has, pieces without runs, elevation beside bays") {
  JobFolder job;
  job.write("points.csv", "point,x,y\nr1-02,0,0\n");
  job.write("runs.csv", kRunHead + kLine);
  write_overhead(job, {.drawing = "points = \"points.csv\"\nruns = \"runs.csv\"\n", .more = ""});
  CommandResult r = job.run();
  CHECK(r.exit_code == 2);
  CHECK(r.err.find("runs.csv:2:1: run: found \"R1-02\" for a generated point") != std::string::npos);

  job.write("pieces.csv", "piece,run,length\nP1,R1,2\n");
  write_overhead(job, {.drawing = "points = \"points.csv\"\npieces = \"pieces.csv\"\n", .more = ""});
  r = job.run();
  CHECK(r.exit_code == 2);
  CHECK(r.err.find(": drawing.pieces: found pieces without runs") != std::string::npos);

  job.write("bays.csv", kBay);
  write_overhead(job, {.deck = "elevation = \"4 m\"\nbays = \"bays.csv\"\n", .more = ""});
  r = job.run();
  CHECK(r.exit_code == 2);
  CHECK(r.err.find(": deck.elevation: found elevation beside bays") != std::string::npos);
}

TEST_CASE("a drawing needs points or runs") {
  JobFolder job;
  write_overhead(job, {.drawing = "unit = \"m\"\n", .more = ""});
  const CommandResult r = job.run();
  CHECK(r.exit_code == 2);
  CHECK(r.err.find("job.toml: drawing.points: found no table of points") != std::string::npos);
}
