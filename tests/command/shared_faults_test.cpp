// What many points take over from one key or one row is one fault: told once, at that place, with how many it
// touches and the first of them.
#include "overhead_support.h"

using namespace deckmark_test;

namespace {

const std::string kPoints = "point,x,y,height\nP1,1,1,\nP2,2,1,\nP3,3,1,\nP4,4,1,5\nP5,5,1,6\n";
const std::string kRuns = "run,kind,x1,y1,x2,y2,xm,ym,height\nR1,line,1,3,9,3,,,5\nR2,line,1,4,9,4,,,\n";
const std::string kBays =
    "bay,x,y,elevation\nA,0,0,4\nA,5,0,\nA,5,6,\nA,0,6,\nB,5,0,4.2\nB,10,0,\nB,10,6,\nB,5,6,\n";
const std::string kHigh = "[floor]\nelevation = \"0 m\"\n[deck]\nelevation = \"4 m\"\n";

struct Told {
  std::string place, words;
};
struct Shared {
  std::string what, toml;
  std::map<std::string, std::string> files;
  std::vector<Told> told;  // in the order of standard error, and nothing else
};

void check(const Shared& c) {
  CAPTURE(c.what);
  JobFolder job;
  job.write("job.toml", c.toml);
  for (const auto& [name, bytes] : c.files) job.write(name, bytes);
  const auto before = job.snapshot();
  const CommandResult r = job.run();
  CAPTURE(r.err);
  check_refused(job, before, r);
  const auto lines = problem_lines(r.err);
  REQUIRE(lines.size() == c.told.size());
  for (std::size_t i = 0; i < lines.size(); ++i) {
    CHECK(place_of(lines[i]) == c.told[i].place);
    CHECK(lines[i].text.find(c.told[i].words) != std::string::npos);
  }
}

}  // namespace

TEST_CASE("a key of the job file is one fault, however many points it touches") {
  const std::string points = "[drawing]\npoints = \"d.csv\"\n", runs = "[drawing]\nruns = \"r.csv\"\n",
                    both = "[drawing]\npoints = \"d.csv\"\nruns = \"r.csv\"\n";
  const std::string bays = "[floor]\nelevation = \"0 m\"\n[deck]\nbays = \"b.csv\"\n";
  for (const Shared& c : {
           Shared{"a height above the deck; rows that state their own keep their lines",
                  points + kHigh + "[hangers]\nheight = \"5 m\"\n",
                  {{"d.csv", kPoints}},
                  {{"job.toml:8:10: hangers.height",
                    "found 3 hangers, P1 the first: attach elevation 5.000 m, deck 4.000 m there"},
                   {"d.csv:5:8: height", "found P4: attach elevation 5.000 m"},
                   {"d.csv:6:8: height", "found P5: attach elevation 6.000 m"}}},
           Shared{
               "one point alone",
               points + kHigh + "[hangers]\nheight = \"5 m\"\n",
               {{"d.csv", "point,x,y\nP1,1,1\n"}},
               {{"job.toml:8:10: hangers.height", "found P1: attach elevation 5.000 m, deck 4.000 m there"}}},
           Shared{"a height of a run, and one of the key",
                  runs + kHigh + "[hangers]\nheight = \"4.5 m\"\nmax_spacing = \"2 m\"\n",
                  {{"r.csv", kRuns}},
                  {{"r.csv:2:19: height", "found 5 hangers, R1-01 the first: attach elevation 5.000 m"},
                   {"job.toml:8:10: hangers.height",
                    "found 5 hangers, R2-01 the first: attach elevation 4.500 m"}}},
           Shared{"a deck under the floor",
                  points + "[floor]\nelevation = \"10 m\"\n[deck]\nelevation = \"4 m\"\n[hangers]\nheight = "
                           "\"3 m\"\n",
                  {{"d.csv", kPoints}},
                  {{"job.toml:6:13: deck.elevation",
                    "found 5 points, P1 the first: deck 4.000 m, floor 10.000 m, expected a deck above the "
                    "floor"}}},
           Shared{
               "deck shots under the floor",
               points + "[floor]\nelevation = \"10 m\"\n[deck]\nshots = \"s.csv\"\n",
               {{"d.csv", kPoints}, {"s.csv", "shot,x,y,elevation\nA,0,0,4\nB,9,0,4\nC,0,9,4\n"}},
               {{"job.toml:6:9: deck.shots", "found 5 points, P1 the first: deck 4.000 m, floor 10.000 m"}}},
           Shared{"a floor above all bays",
                  points + "[floor]\nelevation = \"10 m\"\n[deck]\nbays = \"b.csv\"\n",
                  {{"d.csv", "point,x,y\nP1,1,1\nP2,6,1\nP3,7,1\n"}, {"b.csv", kBays}},
                  {{"job.toml:4:13: floor.elevation", "deck 4.000 m, floor 10.000 m, and no bay above it"}}},
           Shared{"one bay under the floor",
                  points + "[floor]\nelevation = \"4.1 m\"\n[deck]\nbays = \"b.csv\"\n",
                  {{"d.csv", "point,x,y\nP1,1,1\nP2,2,1\nP3,7,1\n"}, {"b.csv", kBays}},
                  {{"b.csv:2:1: bay", "found 2 points, P1 the first: deck 4.000 m, floor 4.100 m"}}},
           Shared{"a stock too short",
                  points + kHigh + "[hangers]\nheight = \"3 m\"\nstock = \"0.9 m\"\n",
                  {{"d.csv", "point,x,y,height\nP1,1,1,\nP2,2,1,2.75\nP3,3,1,3.5\n"}},
                  {{"job.toml:9:9: hangers.stock",
                    "found 2 of 3 cuts longer, P1 the first: a cut of 1.0000 m, drop 1.0000 m and "
                    "allowances; P2 the longest: 1.2500 m, expected a cut within the stock length 900.0 mm; "
                    "try stock = \"1.250 m\""}}},
           Shared{"one hanger too long for the stock",
                  points + kHigh + "[hangers]\nheight = \"3 m\"\nstock = \"1.1 m\"\n",
                  {{"d.csv", "point,x,y,height\nP1,1,1,\nP2,2,1,2.75\n"}},
                  {{"d.csv:3:1: point", "found P2: a cut of 1.2500 m"}}},
           Shared{"a spacing far too small",
                  runs + kHigh + "[hangers]\nmax_spacing = \"0.01 mm\"\n",
                  {{"r.csv", kRuns}},
                  {{"job.toml:8:15: hangers.max_spacing",
                    "found 2 runs with more than 100000 hangers along R1, 8.0000 m long, the first, expected "
                    "a wider max_spacing"}}},
           Shared{"pieces far too short",
                  runs + kHigh + "[hangers]\nmax_spacing = \"1 m\"\njoint_every = \"0.01 mm\"\n",
                  {{"r.csv", kRuns}},
                  {{"job.toml:9:15: hangers.joint_every",
                    "found 2 runs with more than 100000 pieces along R1, 8.0000 m long, the first, expected "
                    "a longer joint_every"}}},
           Shared{"bays elsewhere",
                  points + bays,
                  {{"d.csv", "point,x,y\nP1,1001,1\nP2,1002,1\n"}, {"b.csv", kBays}},
                  {{"job.toml:6:8: deck.bays", "found 2 points, all of them in no bay, P1 the first"}}},
           Shared{"hangers of one run beyond the bays",
                  runs + bays + "[hangers]\nmax_spacing = \"1 m\"\n",
                  {{"r.csv", "run,kind,x1,y1,x2,y2\nR1,line,1,3,13,3\n"}, {"b.csv", kBays}},
                  {{"r.csv:2:1: run", "found 4 points, R1-11 the first in no bay"}}},
           Shared{"a run along the edge of two bays",
                  runs + bays + "[hangers]\nmax_spacing = \"1 m\"\n",
                  {{"r.csv", "run,kind,x1,y1,x2,y2\nR1,line,5,0.5,5,5.5\n"}, {"b.csv", kBays}},
                  {{"r.csv:2:1: run",
                    "found R1-01 in two bays, A and B, on their edge; 6 points of this row in all"}}},
           Shared{
               "names of generated points that are taken",
               both + kHigh + "[hangers]\nmax_spacing = \"4 m\"\n",
               {{"d.csv", "point,x,y\nr1-01,1,1\nr1-02,2,1\nR2-03,3,1\n"}, {"r.csv", kRuns}},
               {{"r.csv:2:1: run", "found \"R1-01\" for a generated point and 1 more, names that are taken"},
                {"r.csv:3:1: run", "found \"R2-03\" for a generated point, a name that is taken"}}},
       })
    check(c);
}

TEST_CASE("the stock that is suggested is accepted") {
  for (const char* unit : {"m", "ft-in"}) {
    CAPTURE(unit);
    JobFolder job;
    job.write("d.csv", "point,x,y\nP1,1 m,1 m\nP2,2 m,1 m\n");
    const std::string head = "[drawing]\nunit = \"" + std::string(unit) +
                             "\"\npoints = \"d.csv\"\n[site]\nunit = \"" + unit + "\"\n" + kHigh +
                             "[hangers]\nheight = \"2.98765 m\"\n";
    job.write("job.toml", head + "stock = \"0.9 m\"\n");
    const auto told = problem_lines(job.run().err);
    REQUIRE(told.size() == 1);
    job.write("job.toml", head + suggestion_of(told[0]) + "\n");
    CHECK(job.run().exit_code == 0);
  }
}
