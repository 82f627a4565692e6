// What is refused and what is doubted of pairs: members, ends, pieces, notches. Each at its cell, with what
// to write instead.
#include <algorithm>
#include <cstdio>

#include "overhead_support.h"

using namespace deckmark_test;

namespace {

const std::string kRunHead = "run,kind,x1,y1,x2,y2,xm,ym,separation,start,finish,start_left,cut_by\n";
const std::string kLine = "R1,line,1,3,9,3,,,,,,,\n";
const std::string kPieceHead = "piece,run,length,member,notches,may_cut\n";

struct Told {
  std::string what, runs, pieces, line;
  std::ptrdiff_t lines = 1;  ///< that tell it, of each member, or follow from it
};

void write_job(JobFolder& job, const Told& t) {
  job.write("runs.csv", kRunHead + t.runs);
  if (!t.pieces.empty()) job.write("pieces.csv", kPieceHead + t.pieces);
  write_overhead(job, {.drawing = std::string("runs = \"runs.csv\"\nseparation = \"200 mm\"\n") +
                                  (t.pieces.empty() ? "" : "pieces = \"pieces.csv\"\n"),
                       .more = ""});
}

bool tells(const CommandResult& r, const std::string& line) {
  return ("\n" + r.err).find("\n" + line + "\n") != std::string::npos;
}

}  // namespace

TEST_CASE("what cannot be of pairs is refused at its cell, with what to write instead") {
  for (const Told& t : {
           Told{"a ring too small for its pair", "O1,ring,1,1,1.15,1,,,,,,,\n", "",
                "runs.csv:2:1: run: found a separation of 200.0 mm on ring O1 of radius 75.0 mm, expected a "
                "radius of "
                "more than half the separation"},
           Told{"the same of its own separation", "O1,ring,1,1,2,1,,,1.2,,,,\n", "",
                "runs.csv:2:19: separation: found a separation of 1.2000 m on ring O1 of radius 500.0 mm, "
                "expected "
                "a radius of more than half the separation"},
           Told{"a negative separation", "R1,line,1,3,9,3,,,-0.2,,,,\n", "",
                "runs.csv:2:19: separation: found \"-0.2\", expected a length of zero or more"},
           Told{"an end that is no word", "R1,line,1,3,9,3,,,,Wal,,,\n", "",
                "runs.csv:2:20: start: found \"Wal\", expected free, wall or joined"},
           Told{"an end of a ring", "O1,ring,1,1,4,1,,,,,free,,\n", "",
                "runs.csv:2:21: finish: found an end of a ring, expected nothing here: a ring has no ends"},
           Told{"a reach of a single member", "R1,line,1,3,9,3,,,0,,,0.1,\n", "",
                "runs.csv:2:23: start_left: found a member's reach on R1, which has one member, expected a "
                "separation, "
                "or nothing here"},
           Told{"cut by what is no run", kLine + "R2,line,5,1,5,5,,,,,,,R9\n", "",
                "runs.csv:3:23: cut_by: found \"R9\", expected other runs of the runs table, parted by ;"},
           Told{"cut by itself", "R1,line,1,3,9,3,,,,,,,r1\n", "",
                "runs.csv:2:23: cut_by: found \"r1\", the run itself, expected other runs of the runs table, "
                "parted by ;"},
           Told{"each cut by the other", "R1,line,1,3,9,3,,,,,,,R2\nR2,line,5,1,5,5,,,,,,,R1\n", "",
                "runs.csv:3:23: cut_by: found R2 cut by R1, which is cut by R2, expected one of the two to "
                "go through"},
           Told{"a member that its corners take up",
                "R1,line,1,3,9,3,,,,,,,\nR2,line,9,3,9,3.15,,,,,,,\n"
                "R3,line,9,3.15,1,3.15,,,,,,,\n",
                "",
                "runs.csv:3:1: run: found R2 too short: its corners take all of the left member of R2, "
                "expected a longer "
                "run, or a smaller separation"},
           Told{"a member that is no word", kLine, "A,R1,8,lft,,\n",
                "pieces.csv:2:8: member: found \"lft\", expected left, right, inside or outside; try left"},
           Told{"a member that the run has not", kLine, "A,R1,8,inside,,\nB,R1,8,right,,\n",
                "pieces.csv:2:8: member: found inside of R1, whose members are left and right, expected a "
                "member of "
                "the run"},
           Told{"a member of a single run", "R1,line,1,3,9,3,,,0,,,,\n", "A,R1,8,left,,\n",
                "pieces.csv:2:8: member: found left of R1, which has one member, expected nothing, or a "
                "separation of "
                "the run"},
           Told{"rows with and without a member", kLine, "A,R1,4,left,,\nB,R1,4,,,\nC,R1,8,right,,\n",
                "pieces.csv:3:8: member: found B without a member, beside pieces of R1 with one, expected a "
                "member in "
                "all rows of a run, or in none"},
           Told{"one piece name on two runs", kLine + "R2,line,1,5,9,5,,,,,,,\n", "A,R1,8,,,\na,R2,8,,,\n",
                "pieces.csv:3:1: piece: found name \"a\" again, first on line 2, expected each name once"},
           Told{"a notch that is no length", kLine, "A,R1,8,,0.4; half,\n",
                "pieces.csv:2:9: notches: found \"half\", expected a length in m, or one such as 3.81 m or "
                "12'-6 1/2\""},
           Told{"a notch before the piece", kLine, "A,R1,8,,-0.4,\n",
                "pieces.csv:2:9: notches: found \"-0.4\", expected a distance from the start of the piece, 0 "
                "or more"},
           Told{"a word of may_cut that is none", kLine, "A,R1,8,,,never\n",
                "pieces.csv:2:10: may_cut: found \"never\", expected both, start, finish or no"},
       }) {
    CAPTURE(t.what);
    JobFolder job;
    write_job(job, t);
    const auto before = job.snapshot();
    const CommandResult r = job.run();
    check_refused(job, before, r);
    const auto lines = problem_lines(r.err);
    CHECK_MESSAGE(("\n" + r.err).find("\n" + t.line) != std::string::npos, r.err);
    CHECK_MESSAGE(lines.size() == 1, r.err);
  }
}

TEST_CASE("what is odd about pairs is a doubt: places, notches, ends, pieces") {
  const std::string cross = kLine + "R2,line,5,1,5,5,,,,,,,\n";
  for (const Told& t : {
           Told{"an end joined to nothing", "R1,line,1,3,9,3,,,,,joined,,\n", "",
                "doubt: runs.csv:2:21: finish: no run meets R1 at its finish: it counts as free"},
           Told{"three ends in one place",
                "R1,line,1,3,9,3,,,,,,,\nR2,line,9,3,9,6,,,,,,,\nR3,line,9,3,12,3,,,,,,,\n", "",
                "doubt: runs.csv:3:1: run: more than two runs end where R1 meets R2: all end square there",
                3},
           Told{"members that meet alone", kLine + "R2,line,5,3.05,5,6,,,,,,,\n", "",
                "doubt: runs.csv:3:1: run: members of R1 and R2 run into one another at x 4.9000 m, y 3.1000 "
                "m: look "
                "at their ends"},
           Told{"a reach longer than the run", "R1,line,1,3,9,3,,,,,,9,\n", "",
                "doubt: runs.csv:2:22: start_left: a member of R1 reaches 9.0000 m beyond its end, and the "
                "run is "
                "8.0000 m long: a slip of the unit?"},
           Told{"a hanger where a member has ended", kLine + "R2,line,9,3,9,6,,,,,,,\n", "",
                "doubt: runs.csv:2:1: run: the left member of R1 has ended beside R1-08: nothing of it hangs "
                "there",
                3},
           Told{"a notch beside its place", cross, "A,R1,8,,3.9; 4.112,\nB,R2,4,,,\n",
                "doubt: pieces.csv:2:9: notches: the notch of A on the left member of R1 at 4.1120 m lies "
                "12.0 mm "
                "beyond where R2 meets it, at 4.1000 m",
                2},
           Told{"a notch that is not stated", cross, "A,R1,8,,3.9,\nB,R2,4,,,\n",
                "doubt: pieces.csv:2:9: notches: A on the right member of R1 has no notch at 4.1000 m, where "
                "R2 meets "
                "it",
                2},
           Told{"two notches out of line", cross,
                "A,R1,8,left,3.9; 4.1008,\nC,R1,8,right,3.9; 4.0992,\nB,R2,4,left,,\nD,R2,4,right,,\n",
                "doubt: pieces.csv:3:14: notches: the notches of A and C for R2 lie 1.6 mm out of line with "
                "one another"},
           Told{"a notch where nothing meets", kLine, "A,R1,8,,2,\n",
                "doubt: pieces.csv:2:9: notches: A on the left member of R1 has a notch at 2.0000 m, and no "
                "member "
                "meets it",
                2},
           Told{"pieces of one member that are too short", kLine, "A,R1,7,left,,\nB,R1,8,right,,\n",
                "doubt: pieces.csv:2:6: length: the pieces of the left member of R1 end 1.0000 m before the "
                "member "
                "does, behind A",
                2},
           Told{"no pieces on one member", kLine, "A,R1,8,left,,\n",
                "doubt: runs.csv:2:1: run: no piece of the pieces table lies along the right member of R1"},
           Told{"no piece may be cut", kLine, "A,R1,8.1,,,no\n",
                "doubt: pieces.csv:2:6: length: the pieces of R1 are longer than the run: A is 100.0 mm too "
                "long; may_cut allows no such cut"},
           Told{"hangers without a piece", kLine, "A,R1,5,,,\n",
                "doubt: runs.csv:2:1: run: no piece of the left member of R1 reaches R1-06 and 2 hangers "
                "more",
                3},
           Told{"pieces that find no place are named", kLine, "A,R1,8,,,\nB,R1,1,,,\n",
                "doubt: pieces.csv:2:6: length: the pieces of R1 are longer than the run, which ends with A, "
                "and 1 "
                "piece behind it finds no place: B"},
           Told{"a notch beyond the piece", cross, "A,R1,3,,3.2,\nC,R1,5,,0.9; 1.1,\nB,R2,4,,,\n",
                "doubt: pieces.csv:2:9: notches: A on the left member of R1 has a notch at 3.2000 m, beyond "
                "its end",
                2},
           Told{"cut by a run that does not cross", "R1,line,1,3,9,3,,,,,,,R2\nR2,line,5,4,5,7,,,,,,,\n", "",
                "doubt: runs.csv:2:23: cut_by: R2 does not cross R1: take it out of cut_by"},
           Told{"ends that nearly meet", kLine + "R2,line,9.02,3,9.02,6,,,,,,,\n", "",
                "doubt: runs.csv:3:1: run: the start of R2 lies 20.0 mm from the finish of R1, and they make "
                "no corner: "
                "give both ends one place if they are to, or say free",
                3},
       }) {
    CAPTURE(t.what);
    JobFolder job;
    write_job(job, t);
    const CommandResult r = job.run();
    CHECK(r.exit_code == 0);
    CHECK_MESSAGE(tells(r, t.line), r.err);
    CHECK_MESSAGE(std::ranges::count(r.err, '\n') == t.lines + 1, r.err);  // the baselines are not checked
  }
}

TEST_CASE("notches are stated from the start of the piece as it comes, before it is cut there") {
  // A is 4.2 m long and 0.2 m are sawn off its start: R2's members at 3.9 and 4.1 on the run were 4.1 and 4.3
  // from its own start, and A ends at 4.0: the second is 0.1 on C. Stated so, nothing is odd; from the cut
  // end it is.
  const std::string cross = kLine + "R2,line,5,1,5,5,,,,,,,\n";
  for (const auto& [notch, is_odd] : {std::pair{"4.1", false}, {"3.9", true}}) {
    CAPTURE(notch);
    JobFolder job;
    write_job(job,
              {"", cross, std::string("A,R1,4.2,,") + notch + ",start\nC,R1,4,,0.1,no\nB,R2,4,,,\n", ""});
    const CommandResult r = job.run();
    CHECK(r.exit_code == 0);
    CHECK_MESSAGE((r.err.find("notch") != std::string::npos) == is_odd, r.err);
    CHECK(job.read("out/site-cuts.csv") ==
          "piece,member,cut (m),end\nA,left,0.20000,start\nA,right,0.20000,start\n");
  }
}

TEST_CASE(
    "what no rule lets anybody cut is no row of site-cuts.csv; on a curve each member has its own cut") {
  JobFolder job;
  write_job(job, {"", kLine, "A,R1,8.1,,,no\n", ""});
  CHECK(job.run().exit_code == 0);
  CHECK(job.read("out/site-cuts.csv") == "piece,member,cut (m),end\n");
  // Half a circle of radius 2: 6.28319 m; pieces of 6.5 m. Inside the cut is 1.9 / 2 of it, outside 2.1 / 2.
  JobFolder arc;
  write_job(arc, {"", "R1,arc,1,3,5,3,3,5,,,,,\n", "A,R1,6.5,,,\n", ""});
  CHECK(arc.run().exit_code == 0);
  CHECK(arc.read("out/site-cuts.csv") ==
        "piece,member,cut (m),end\nA,inside,0.20597,finish\nA,outside,0.22766,finish\n");
}

TEST_CASE("pieces a millimetre short of their run add up, whatever the last bit says") {
  for (int k = 0; k < 60; ++k) {
    const double run = 4.9 + k / 1000.0;
    CAPTURE(run);
    JobFolder job;
    char runs[80], pieces[80];
    std::snprintf(runs, sizeof runs, "R1,line,1,3,%.3f,3,,,0,,,,\n", 1 + run);
    std::snprintf(pieces, sizeof pieces, "A,R1,%.3f,,,\n", run - 0.001);
    write_job(job, {"", runs, pieces, ""});
    const CommandResult r = job.run();
    CHECK(r.exit_code == 0);
    const TableRows marks = table(job, "piece-marks.csv");
    CHECK(count_of(marks, "mark", "end") == 2);
    CHECK(marks.size() == table(job, "points.csv").size() + 2);
    CHECK(r.err.find("pieces") == std::string::npos);
  }
}

TEST_CASE("runs of a millimetre or two with pieces end with the first") {
  for (const char* end : {"46.462", "46.4620000001", "46.463"}) {
    CAPTURE(end);
    JobFolder job;
    write_job(job,
              {"", std::string("R1,line,46.461,3,") + end + ",3,,,,,,,\n", "A,R1,0.5,,,\nB,R1,0.5,,,\n", ""});
    const CommandResult r = job.run();
    CAPTURE(r.err);
    CHECK(r.exit_code == 0);
    CHECK(r.err.find("pieces.csv:2:6: length: the pieces of R1 are longer than the run: cut A by ") !=
          std::string::npos);
    CHECK(r.err.find("and 1 piece behind it finds no place: B\n") != std::string::npos);
  }
}

TEST_CASE("runs on one line that end on one another end square") {
  JobFolder job;
  write_job(job,
            {"", "R1,line,-50000,-50000,-49994,-49990,,,1,,,,\nR2,line,-49997,-49995,-49991,-49985,,,1,,,,\n",
             "", ""});
  const CommandResult r = job.run();
  CHECK(r.exit_code == 0);
  const TableRows members = table(job, "members.csv");
  REQUIRE(members.size() == 4);
  // The hypotenuse of 6 and 10.
  for (const TableRow& m : members) CHECK(m.at("length") == "11.66190");
}

TEST_CASE("piece_least and joint_clear hold on the member, not on the line midway") {
  // At the corner the left members are 0.5 m shorter: what is 0.65 m on the line is 0.15 m there.
  JobFolder corner;
  corner.write("runs.csv", "run,x1,y1,x2,y2\nR1,0,0,4.65,0\nR2,4.65,0,4.65,6\n");
  corner.write("pieces.csv", "piece,run,length\nA,R1,4\nB,R1,4\n");
  write_overhead(corner, {.drawing = "runs = \"runs.csv\"\npieces = \"pieces.csv\"\nseparation = \"1 m\"\n",
                          .hangers = "max_spacing = \"1.2 m\"\npiece_least = \"300 mm\"\n",
                          .more = ""});
  CHECK(corner.run().exit_code == 0);
  std::vector<double> lasts;
  for (const TableRow& m : table(corner, "piece-marks.csv"))
    if (m.at("run") == "R1" && m.at("member") == "left" && m.at("mark") == "end" && m.at("piece") == "B")
      lasts.push_back(number(m, "along_piece"));
  REQUIRE(lasts.size() == 1);
  CHECK(lasts[0] >= 0.3);
  // Half a ring of radius 2, its inside member at 1.7: joints and hangers on it are 15 % nearer to one
  // another.
  JobFolder arc;
  arc.write("runs.csv", "run,kind,x1,y1,x2,y2,xm,ym\nA,arc,2,0,-2,0,0,2\n");
  write_overhead(arc,
                 {.drawing = "runs = \"runs.csv\"\nseparation = \"600 mm\"\n",
                  .hangers = "max_spacing = \"0.7 m\"\njoint_every = \"1.15 m\"\njoint_clear = \"100 mm\"\n",
                  .more = ""});
  const CommandResult r = arc.run();
  CHECK(r.exit_code == 0);
  CHECK(r.err.find("break") == std::string::npos);
  std::vector<double> joints, hangers;
  for (const TableRow& m : table(arc, "piece-marks.csv")) {
    if (m.at("member") != "inside") continue;
    if (m.at("mark") == "joint")
      joints.push_back(number(m, "along_run"));
    else if (m.at("mark") != "end")
      hangers.push_back(number(m, "along_run"));
  }
  CHECK(joints.size() == 5);
  CHECK(hangers.size() > 8);
  for (const double j : joints)
    for (const double h : hangers) CHECK(std::abs(j - h) * 1.7 / 2 >= 0.1 - 1e-5);
}

TEST_CASE("a run that is none hides no fault of the others") {
  JobFolder job;
  write_job(job, {"",
                  "R0,line,1,1,1,1,,,,,,,\nO1,ring,20,1,20.1,1,,,,,,,\nR1,line,1,3,9,3,,,,,,,R9\nR2,line,1,8,"
                  "9,8,,,0,,,1,\n",
                  "A,R1,8,inside,,\nB,R0,8,inside,,\n", ""});
  const auto before = job.snapshot();
  const CommandResult r = job.run();
  check_refused(job, before, r);
  std::vector<std::string> places;
  CAPTURE(r.err);
  for (const ToldLine& l : problem_lines(r.err)) places.push_back(place_of(l));
  CHECK(places == std::vector<std::string>{"runs.csv:2:9: x1", "runs.csv:3:1: run", "runs.csv:4:23: cut_by",
                                           "runs.csv:5:23: start_left", "pieces.csv:2:8: member"});
}
