// Heights by level and laser: what is refused and doubted, each at its cell, and where heights serve.
#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "job_folder.h"

using namespace deckmark_test;

namespace {

const std::string kLevelHead = "setup,target,back,fore,level,distance\n",
                  kLaserHead = "laser,target,reading,target_is,distance,level,housing\n",
                  kBenchmarks = "point,elevation,sd\nBM1,23.5,\nBM2,25.2,\n";
/// From BM1 to BM2 over two set-ups: closes on the millimetre.
const std::string kLine = "L1,BM1,1.800,,,\nL1,TP1,,0.700,,\nL2,TP1,1.500,,,\nL2,BM2,,0.900,,\n";
/// The plane lies at 25.242.
const std::string kPlane = "A,BM1,1.742,below,6,,\nA,BM2,0.042,below,8,,\n";

struct Heights {
  std::string level = kLine, laser = kPlane, benchmarks = kBenchmarks;
  std::string keys = "beam = \"3 mm at 10 m\"\n";  ///< of [heights], beside its tables
  std::string more = "";                           ///< of the job
};

/// Four hangers at floor 24, brackets at 26.7, the deck stated at 28.1.
void write_job(JobFolder& job, const Heights& h) {
  job.write("job.toml",
            "[drawing]\npoints = \"drawing.csv\"\nframe = \"site\"\n[floor]\nelevation = \"24 m\"\ndatum = "
            "\"1 m\"\n[hangers]\nheight = \"2.7 m\"\ncut_top = \"50 mm\"\n[heights]\nbenchmarks = "
            "\"benchmarks.csv\"\n" +
                std::string(h.level.empty() ? "" : "level = \"level.csv\"\n") +
                (h.laser.empty() ? "" : "laser = \"laser.csv\"\n") + h.keys + h.more);
  job.write("drawing.csv", "point,x,y,kind\nH1,0,0,\nH2,2,0,\n1001,0,3,\nREF,5,5,reference\n");
  job.write("benchmarks.csv", h.benchmarks);
  if (!h.level.empty()) job.write("level.csv", kLevelHead + h.level);
  if (!h.laser.empty()) job.write("laser.csv", kLaserHead + h.laser);
}

bool tells(const CommandResult& r, const std::string& line) {
  return ("\n" + r.err).find("\n" + line + "\n") != std::string::npos;
}

struct Told {
  std::string what;
  Heights job;
  std::string line;
};
Heights levels(const std::string& rows) { return {.level = rows}; }
Heights lasers(const std::string& rows) { return {.laser = rows}; }

std::map<std::string, std::string> row_of(const std::string& bytes, const std::string& point,
                                          const std::string& level) {
  const auto rows = csv_rows(bytes);
  for (std::size_t r = 1; r < rows.size(); ++r) {
    std::map<std::string, std::string> out;
    for (std::size_t c = 0; c < rows[r].size(); ++c) {
      const std::string& head = rows[0][c];
      out[head.substr(0, head.find(" ("))] = rows[r][c];
    }
    if (out["point"] == point && (level.empty() || out["level"] == level)) return out;
  }
  return {};
}

}  // namespace

TEST_CASE("what cannot be a height is refused at its cell, with what to write instead") {
  for (const Told& t : {
           Told{"a target of two meanings", levels(kLine + "L2,1001,,0.5,,\n"),
                "level.csv:6:4: target: found \"1001\", the name of one point and the number of \"H1\", "
                "expected a "
                "text with one meaning; try 1003 for the one, H1 for the other"},
           Told{"a benchmark that is a point",
                {.benchmarks = kBenchmarks + "H2,26,\n"},
                "benchmarks.csv:4:1: point: found \"H2\", a benchmark and a point of the drawing, expected a "
                "name that "
                "means one thing; try another name for the benchmark"},
           Told{"back and fore", levels(kLine + "L2,TP2,0.5,0.6,,\n"),
                "level.csv:6:12: fore: found both back and fore, expected one of them: back on what is "
                "known, fore on "
                "what is wanted; a second reading of a staff has its own row"},
           Told{"neither", levels(kLine + "L2,TP2,,,,\n"),
                "level.csv:6:9: fore: found neither back nor fore, expected one of them: back on what is "
                "known, fore "
                "on what is wanted; a second reading of a staff has its own row"},
           Told{"no side of the plane", lasers(kPlane + "A,H1,2.86,,3,deck,\n"),
                "laser.csv:4:11: target_is: found an empty cell, expected below or above: where the target "
                "lies from "
                "the laser's plane"},
           Told{"another word for the side", lasers(kPlane + "A,H1,2.86,up,3,deck,\n"),
                "laser.csv:4:11: target_is: found \"up\", expected below or above"},
           Told{"a reading under zero", lasers(kPlane + "A,H1,-2.86,above,3,deck,\n"),
                "laser.csv:4:6: reading: found \"-2.86\", expected a reading of zero or more, and target_is "
                "to say on "
                "which side of the plane the target lies"},
           Told{"no distance", lasers(kPlane + "A,H1,2.86,above,,deck,\n"),
                "laser.csv:4:17: distance: found an empty cell, expected how far the target is from the "
                "laser: its "
                "plane is the worse the farther"},
           Told{"a quarter turn", lasers(kPlane + "A,H1,2.86,above,3,deck,90\n"),
                "laser.csv:4:24: housing: found \"90\", expected 0 or 180: read the target, turn the laser "
                "half round, "
                "read it again"},
           Told{"a level that is none", lasers(kPlane + "A,H1,2.86,above,3,soffit,\n"),
                "laser.csv:4:19: level: found \"soffit\", expected floor, deck or bracket"},
           Told{"a staff of 53 m", levels(kLine + "L2,TP2,,53,,\n"),
                "level.csv:6:9: fore: found \"53\", which is 53 m, expected a length up to 20 m; look at "
                "the unit and "
                "the decimal point"},
           Told{"a reference point on the deck", lasers(kPlane + "A,REF,2.86,above,3,deck,\n"),
                "laser.csv:4:20: level: found deck for \"REF\", a reference point, expected floor: a "
                "reference point "
                "is not carried up; try floor"},
           Told{"a target tied to nothing", levels(kLine + "L9,TP8,1.2,,,\nL9,TP9,,1.4,,\n"),
                "level.csv:6:4: target: found \"TP8\" and 1 more, which no reading ties to a benchmark, "
                "expected a "
                "reading of a benchmark, or of a target that is tied to one, from the same set-up"},
           Told{"a laser without papers",
                {.keys = ""},
                "job.toml:13:9: heights.laser: found a laser without beam and beam_sd, expected what its "
                "papers allow "
                "its plane, or its sd as deckmark fieldtest found it; try beam = \"3 mm at 10 m\""},
           Told{"both",
                {.keys = "beam = \"3 mm at 10 m\"\nbeam_sd = \"30\\\"\"\n"},
                "job.toml:15:11: heights.beam_sd: found both beam and beam_sd, expected one of them: beam_sd "
                "where "
                "deckmark fieldtest found it"},
           Told{"papers that say nothing",
                {.keys = "beam = \"3 mm\"\n"},
                "job.toml:14:8: heights.beam: found \"3 mm\", expected how far the plane may be off, and how "
                "far away; "
                "try \"3 mm at 10 m\""},
           Told{"a soffit under the bracket", lasers(kPlane + "A,H1,2.86,below,3,deck,\n"),
                "laser.csv:4:3: target: found the deck at H1 as measured 22.382 m, the floor 24.000 m, "
                "expected a deck "
                "above floor and bracket; try checking the reading, and on which side the target lies"},
       }) {
    CAPTURE(t.what);
    JobFolder folder;
    write_job(folder, t.job);
    if (t.what == "a soffit under the bracket")
      folder.write("job.toml", folder.read("job.toml") + "[deck]\nelevation = \"28.1 m\"\n");
    const auto before = folder.snapshot();
    const CommandResult r = folder.run({"run", "."});
    CAPTURE(r.err);
    check_refused(folder, before, r);
    CHECK(tells(r, t.line));
    CHECK(problem_lines(r.err).size() == 1);
  }
}

TEST_CASE("what does not close is told with what would explain it, and nobody lays out from it") {
  for (const Told& t : {
           Told{"a line 100 mm off",
                levels("L1,BM1,1.800,,,\nL1,TP1,,0.700,,\nL2,TP1,1.600,,,\nL2,BM2,,0.900,,\n"),
                "doubt: level.csv:5:9: fore: the line from BM1 over L1, L2 to BM2 closes 100.0 mm too high, "
                "permitted "
                "3.0 mm; 100 mm in one reading would explain it, or BM1 or BM2 is not where its height says"},
           Told{"back and fore exchanged",
                levels("L1,BM1,1.800,,,\nL1,TP1,,0.700,,\nL2,TP1,0.900,,,\nL2,BM2,,1.500,,\n"),
                "doubt: level.csv:5:9: fore: the line from BM1 over L1, L2 to BM2 closes 1.2000 m too low, "
                "permitted "
                "3.0 mm; back and fore exchanged at L2 would explain it, or BM1 or BM2 is not where its "
                "height says"},
           Told{"a datum that moved", lasers(kPlane + "A,BM1,1.752,below,6,,\n"),
                "doubt: laser.csv:4:7: reading: laser A: by the second reading of BM1 its plane is 10.0 mm "
                "higher than "
                "by the first, permitted 3.5 mm; it or the mark moved between, or one is misread: read both "
                "again"},
           Told{"benchmarks that differ", lasers("A,BM1,1.742,below,6,,\nA,BM2,0.062,below,8,,\n"),
                "doubt: laser.csv:3:7: reading: laser A: by BM2 its plane is 20.0 mm higher than by BM1, "
                "permitted 5.2 mm; read it again, or BM1 or BM2 is not where its height says"},
       }) {
    CAPTURE(t.what);
    JobFolder job;
    write_job(job, t.job);
    const CommandResult r = job.run({"check", "."});
    CAPTURE(r.err);
    CHECK(r.exit_code == 1);
    CHECK(r.out.starts_with("DO NOT LAY OUT"));
    CHECK(tells(r, t.line));
  }
}

TEST_CASE("sound heights: READY but for the ties, and a word where nothing checks them") {
  JobFolder job;
  write_job(job, {});
  CommandResult r = job.run({"check", "."});
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  CHECK(r.err.find("heights that nothing checks") == std::string::npos);
  CHECK(r.err.find("every height hangs") == std::string::npos);
  write_job(job, {.level = "L1,BM1,1.800,,,\nL1,H1,,1.3,,\n", .laser = ""});
  r = job.run({"check", "."});
  CHECK(r.exit_code == 0);
  CHECK(tells(r, "doubt: benchmarks.csv:3:1: point: nobody read BM2: read it, it checks the others"));
  CHECK(r.err.find("every height hangs on single readings") != std::string::npos);
}

TEST_CASE("heights serve: the deck at its points, rods, deck marks, brackets, the datum line") {
  JobFolder job;
  write_job(job,
            {.laser = kPlane + "A,H1,2.86,above,3,deck,\nA,6002,2.90,above,3,,\nA,H1,1.458,above,3,bracket,\n"
                               "A,H2,1.465,above,3,bracket,\n",
             .more = "[deck]\nelevation = \"28.1 m\"\n[plumb]\nmarks = \"deckmarks.csv\"\n"});
  job.write("deckmarks.csv", "point,dx,dy\nH2,0.001,0.001\n");
  const CommandResult r = job.run();
  CAPTURE(r.out);
  CAPTURE(r.err);
  CHECK(r.exit_code == 1);  // the bracket of H2
  // The plane is 25.242: the soffit at H1 28.102, at H2 28.142, 42 mm over what is stated; the third as
  // stated.
  CHECK(row_of(job.read("out/heights.csv"), "H1", "deck")["elevation"] == "28.10200");
  CHECK(row_of(job.read("out/heights.csv"), "H2", "deck")["number"] == "6002");
  CHECK(row_of(job.read("out/heights.csv"), "H2", "bracket")["above_datum"] == "1.70700");
  CHECK(row_of(job.read("out/heights.csv"), "TP1", "")["from"] == "L1 L2");
  CHECK(row_of(job.read("out/heights.csv"), "BM1", "")["from"] == "L1 A");
  const std::string points = job.read("out/points.csv");
  CHECK(row_of(points, "H1", "")["deck_elevation"] == "28.10200");
  CHECK(row_of(points, "H2", "")["deck_elevation"] == "28.14200");
  CHECK(row_of(points, "1001", "")["deck_elevation"] == "28.10000");
  CHECK(row_of(points, "H2", "")["drop"] == "1.44200");
  CHECK(row_of(points, "H2", "")["above_datum"] == "1.70000");
  CHECK(row_of(points, "REF", "")["above_datum"].empty());
  CHECK(row_of(job.read("out/hangers.csv"), "H2", "")["cut"] == "1.49200");
  CHECK(row_of(job.read("out/plumb.csv"), "H2", "")["rise"] == "4.14200");
  const auto bracket = row_of(job.read("out/asbuilt.csv"), "H2", "bracket");
  CHECK(bracket.at("dz") == "0.00700");
  CHECK(bracket.at("dx").empty());
  CHECK(bracket.at("plan_verdict").empty());
  CHECK(bracket.at("level_verdict") == "outside");
  CHECK(row_of(job.read("out/asbuilt.csv"), "H1", "bracket")["level_verdict"] == "within");
  CHECK(tells(
      r,
      "doubt: laser.csv:5:3: target: the deck at H2 was measured 42.0 mm above the stated elevation, more "
      "than the flatness, 20.0 mm: what was measured counts there"));
  CHECK(job.run({"run", "."}).out.find("Set the bracket of 1002 right, read it again and run again.") !=
        std::string::npos);
}

TEST_CASE("soffits alone are the deck: a plane through three, or the deck at every hanger") {
  JobFolder job;
  const std::string at_all = kPlane + "A,H1,2.86,above,3,deck,\nA,H2,2.90,above,3,deck,\n";
  write_job(job, {.laser = at_all + "A,1003,2.95,above,3,deck,\n"});
  CommandResult r = job.run();
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  CHECK(row_of(job.read("out/points.csv"), "1001", "")["deck_elevation"] == "28.19200");
  CHECK(r.out.find("plane through 3 shots") != std::string::npos);

  job.forget_issues();
  write_job(job, {.laser = at_all});  // two of three, on one line
  r = job.run();
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  CHECK(tells(
      r,
      "doubt: laser.csv:4:3: target: the deck was measured at 2 points and is not known elsewhere: measure "
      "it at every hanger, or at three that are not on one line"));
  CHECK(row_of(job.read("out/points.csv"), "H2", "")["deck_elevation"] == "28.14200");
  CHECK(row_of(job.read("out/points.csv"), "1001", "")["deck_elevation"].empty());
  CHECK(csv_rows(job.read("out/deck-list.csv")).size() == 2);

  job.forget_issues();
  job.write("drawing.csv", "point,x,y\nH1,0,0\nH2,2,0\n");
  r = job.run();
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  CHECK(row_of(job.read("out/points.csv"), "H2", "")["deck_elevation"] == "28.14200");
  CHECK(r.out.find("measured at 2 points") != std::string::npos);
}

TEST_CASE("what is contradicted stands before the heights, and what hangs on it is marked") {
  JobFolder job;
  write_job(job,
            {.laser = kPlane + "A,D1,0.340,below,12,,0\nA,D1,0.342,below,12,,180\nA,H2,0.342,below,3,,\n"
                               "B,BM1,1.742,below,5,,\nB,D1,0.341,below,5,,\nB,H1,2.858,above,4,deck,\n"});
  CommandResult r = job.run({"heights", "."});
  CAPTURE(r.out);
  CHECK(r.exit_code == 0);
  CHECK(r.out.find("?") == std::string::npos);
  CHECK(r.out.find("line from BM1 over L1, L2 to BM2     0.0 mm      permitted 3.0 mm  within\n") !=
        std::string::npos);

  // One housing is 40 mm off: D1 hangs on it, and by it both planes; the level does not.
  job.write("laser.csv", kLaserHead + kPlane +
                             "A,D1,0.340,below,12,,0\nA,D1,0.382,below,12,,180\nA,H2,0.342,below,3,,\n"
                             "B,BM1,1.742,below,5,,\nB,D1,0.341,below,5,,\nB,H1,2.858,above,4,deck,\n");
  r = job.run({"heights", "."});
  CHECK(r.exit_code == 1);
  const std::size_t told = r.out.find("  outside: one of the two readings of D1 from A is wrong"),
                    heights = r.out.find("  point  ");
  REQUIRE(told != std::string::npos);
  CHECK(told < heights);
  CHECK(r.out.find("permitted 12.7\n    mm, over 12.0 m: outside; a reading is wrong, or the laser wants "
                   "adjusting\n") != std::string::npos);
  for (const std::string point : {"BM1", "BM2", "TP1", "D1", "H1", "H2"}) {
    CAPTURE(point);
    const std::size_t row = r.out.find("\n  " + point + " ", heights);
    REQUIRE(row != std::string::npos);
    CHECK(r.out.substr(row + 1, r.out.find('\n', row + 1) - row - 1).ends_with(" ?") ==
          (point == "D1" || point[0] == 'H'));
  }
  CHECK(r.out.find("\n  laser B: its plane hangs on what is outside above: mark no line from it\n") !=
        std::string::npos);
  CHECK(r.out.find("\n  ? 3 heights hang on what is outside above: use none of them before that is\n    "
                   "cleared\n") != std::string::npos);
  r = job.run({"check", "."});
  CHECK(r.out.find("  3 heights hang on what is outside above: deckmark heights marks them\n") !=
        std::string::npos);
}

TEST_CASE("the command says what closes, and works without a drawing") {
  JobFolder job;
  write_job(job, {});
  job.write(
      "job.toml",
      "[floor]\nelevation = \"24 m\"\ndatum = \"1 m\"\n[heights]\nbenchmarks = \"benchmarks.csv\"\nlaser = "
      "\"laser.csv\"\nbeam = \"3 mm at 10 m\"\n");
  job.write("laser.csv", kLaserHead + kPlane + "A,D1,0.340,below,12,,0\nA,D1,0.344,below,12,,180\n");
  CommandResult r = job.run({"heights", "."});
  CAPTURE(r.out);
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  CHECK(r.out.find("laser A, BM1 and BM2") != std::string::npos);
  CHECK(r.out.find("laser A: its plane is 242.0 mm above the line: mark the line that far below it") !=
        std::string::npos);
  CHECK(r.out.find(
            "turned half round it reads 4.0 mm otherwise, permitted 12.7 mm,\n    so its plane is off by "
            "2.0 mm over 12.0 m; the mean counts\n") != std::string::npos);
  r = job.run({"heights", ".", "--csv"});
  CHECK(row_of(r.out, "D1", "")["elevation"] == "24.90000");
  job.write("job.toml",
            "[heights]\nbenchmarks = \"benchmarks.csv\"\nlaser = \"laser.csv\"\nbeam = \"3 mm at 10 m\"\n");
  r = job.run({"heights", "."});
  CHECK(r.out.find("\nPLANES\n  laser A: its plane is at elevation 25.2420 m\n") != std::string::npos);
  // Just outside reads otherwise than its limit, in the row and in the sentence.
  job.write("job.toml", job.read("job.toml") + "loop_limit = \"3 mm\"\n");
  job.write("laser.csv", kLaserHead + kPlane + "A,BM1,1.74504,below,6,,\n");
  r = job.run({"heights", "."});
  CHECK(r.exit_code == 1);
  CHECK(r.out.find("3.04 mm high permitted 3.00 mm  outside") != std::string::npos);
  CHECK(r.err.find("its plane is 3.04 mm higher than by the first, permitted 3.00 mm") != std::string::npos);
  job.write("job.toml", "[drawing]\npoints = \"drawing.csv\"\n");
  r = job.run({"heights", "."});
  CHECK(r.exit_code == 2);
  CHECK(tells(
      r,
      "job.toml: heights.level: found no readings, expected the path of what a level or a laser read; try "
      "laser = \"laser.csv\" under [heights]"));
}

TEST_CASE("rows that a crew keys by mistake are doubted, each at its cell, and count for what they say") {
  for (const Told& t : {
           Told{"a soffit whose level was left out", lasers(kPlane + "A,H1,2.86,above,3,,\n"),
                "doubt: laser.csv:4:3: target: H1, read as a floor mark, lies 4.1020 m above the floor of "
                "the drawing: "
                "for a soffit or a bracket write deck or bracket under level"},
           Told{"a row pasted twice", levels(kLine + "L2,BM2,,0.900,,\n"),
                "doubt: level.csv:6:4: target: BM2 from L2 stands twice, alike in all: if it was read once, "
                "take one row "
                "out; it checks nothing"},
           Told{"a set-up in two places", levels(kLine + "L1,TP2,,1.2,,\n"),
                "doubt: level.csv:6:1: setup: L1 stood further up, and another one between: set up again it "
                "has another "
                "name"},
           Told{"a standing in two places", lasers(kPlane + "B,BM1,1.7,below,3,,\nA,H1,2.86,above,3,deck,\n"),
                "doubt: laser.csv:5:1: laser: A stood further up, and another one between: set up again it "
                "has another "
                "name"},
           Told{"a laser tied by one reading",
                lasers(kPlane + "B,BM1,1.7,below,6,,\nB,H1,2.9,above,3,deck,\n"),
                "doubt: laser.csv:4:1: laser: nothing checks what laser B read: it hangs on one reading of "
                "BM1; read "
                "that again, or another known height"},
           Told{"a set-up tied by one reading", levels(kLine + "L3,BM2,0.9,,,\nL3,H1,,2.1,,\n"),
                "doubt: level.csv:6:1: setup: nothing checks what L3 read: it hangs on one reading of BM2; "
                "read that "
                "again, or another known height"},
           Told{"no known height behind the soffits",
                lasers(kPlane +
                       "A,H1,2.86,above,3,deck,\nA,H2,2.86,above,3,deck,\nA,1003,2.86,above,3,deck,\n"),
                "doubt: laser.csv:6:1: laser: laser A read 3 targets behind BM2 and no known height after "
                "them: read "
                "BM2 again at the end, or a bump between them stays hidden"},
           Told{"a benchmark misspelt",
                {.level = "", .laser = "A,BM1,1.742,below,6,,\nA,BM-2,0.042,below,8,,\n"},
                "doubt: benchmarks.csv:3:1: point: nobody read BM2, but BM-2 was read: is BM2 meant?"},
           Told{"back and fore that look exchanged",
                levels("L1,BM1,1.800,,,\nL1,TP1,,0.700,,\nL2,TP2,0.900,,,\n"
                       "L2,TP1,,1.500,,\nL3,TP2,1.2,,,\nL3,BM2,,1.2,,\n"),
                "doubt: level.csv:4:1: setup: L2 reads back on TP2, which nobody read before, and fore on "
                "TP1, which "
                "was: are back and fore exchanged?"},
           Told{"a set-up moved under its name", levels(kLine + "L2,TP2,,1.000,,\nL2,TP2,1.000,,,\n"),
                "doubt: level.csv:7:1: setup: L2 reads back on TP2, which it read fore: set up again it has "
                "another "
                "name"},
           Told{"a floor in another datum", levels(kLine + "L2,H1,,-7.9,,\nL2,H2,,-7.9,,\n"),
                "doubt: level.csv:6:4: target: all 2 floor marks lie about 10.0000 m above the floor of the "
                "drawing: are "
                "[floor] elevation and the benchmarks in one datum?"},
       }) {
    CAPTURE(t.what);
    JobFolder job;
    write_job(job, t.job);
    const CommandResult r = job.run({"check", "."});
    CAPTURE(r.err);
    CHECK(r.exit_code == 0);
    CHECK(tells(r, t.line));
  }
  JobFolder sound;  // it ends on its first mark, read again
  write_job(sound, {.level = kLine + "L2,TP1,,1.500,,\n"});
  CHECK(sound.run({"check", "."}).err.find("level.csv") == std::string::npos);
}

TEST_CASE(
    "a reading on the wrong side is one problem at its row, with what to write where twice it is the error") {
  const std::string soffit =
      "A,H1,2.86,above,3,deck,\n";  // at 28.102; the level's line of sight lies at 26.1
  struct Side {
    std::string what, level, laser, hint;
  };
  for (const Side& s :
       {Side{"a staff upside down without its minus", kLine + "L2,H1,,2.002,deck,\n", kPlane + soffit,
             "H1 from L2 with a minus, if the staff was held upside down"},
        Side{"a minus too many", kLine + "L2,H1,,-2.002,deck,\nL2,FL,,-3.1,,\nL1,FL,,2.3,,\n",
             kPlane + soffit, "FL from L2 without its minus"},
        Side{"below for above", kLine + "L2,H1,,-2.002,deck,\n", kPlane + "A,H1,2.86,below,3,deck,\n",
             "H1 from A with the other word under target_is"},
        Side{"no side explains it", kLine + "L2,H1,,-2.002,deck,\n", kPlane + "A,H1,3.86,above,3,deck,\n",
             ""}}) {
    CAPTURE(s.what);
    JobFolder job;
    write_job(job, {.level = s.level, .laser = s.laser});
    const auto before = job.snapshot();
    const CommandResult r = job.run({"run", "."});
    CAPTURE(r.err);
    check_refused(job, before, r);
    REQUIRE(problem_lines(r.err).size() == 1);
    CHECK(suggestion_of(problem_lines(r.err)[0]) == s.hint);
  }
  JobFolder job;
  write_job(job, {.level = kLine + "L2,H1,,-2.002,deck,\n", .laser = kPlane + soffit});
  CHECK(job.run({"run", "."}).exit_code == 0);
}

TEST_CASE(
    "a soffit off the plane of the others: a beam below it, a slip of the pen, and what follows from it") {
  const std::string others =
      kPlane +
      "A,P1,2.86,above,3,deck,\nA,P2,2.86,above,3,deck,\nA,P3,2.86,above,3,deck,\n"
      "A,P4,2.86,above,3,deck,\nA,P6,2.86,above,3,deck,\nA,P7,2.86,above,3,deck,\nA,P8,2.86,above,3,deck,\n"
      "A,P9,2.86,above,3,deck,\n";
  const std::string where = "doubt: laser.csv:12:3: target: shot P5 stands ";
  struct Soffit {
    std::string reading, told;
  };
  for (const Soffit& s :
       {Soffit{"2.560",
               "300.0 mm below the plane of the others, about a foot; a beam there? Else read it again: its "
               "drop is by it"},
        Soffit{"2.760",
               "100.0 mm below the plane of the others, about 100 mm; a beam there? Else read it again: its "
               "drop is by it"},
        Soffit{"3.010", "150.0 mm above the plane of the others; read it again: its drop is by it"}}) {
    CAPTURE(s.reading);
    JobFolder job;
    write_job(job, {.laser = others + "A,P5," + s.reading + ",above,3,deck,\nA,BM2,0.042,below,8,,\n"});
    std::string drawing = "point,x,y\n";
    for (int i = 0; i < 9; ++i)
      drawing += "P" + std::to_string(i + 1) + "," + std::to_string(2 * (i % 3)) + "," +
                 std::to_string(2 * (i / 3)) + "\n";
    job.write("drawing.csv", drawing);
    const CommandResult r = job.run();
    CAPTURE(r.err);
    CHECK(tells(r, where + s.told));
    const double drop = std::stod(row_of(job.read("out/points.csv"), "P5", "")["drop"]);
    CHECK(drop == doctest::Approx(25.242 + std::stod(s.reading) - 26.7));
  }
}

TEST_CASE("by heights that do not close no bracket stops the job") {
  JobFolder job;
  const std::string bracket = "A,H1,1.480,above,3,bracket,\n";  // 22 mm too high
  write_job(job, {.laser = kPlane + bracket});
  CHECK(job.run({"check", "."}).out.find("the bracket of 1001 (H1) is 22.0 mm too high") !=
        std::string::npos);
  write_job(job, {.laser = "A,BM1,1.742,below,6,,\nA,BM2,0.082,below,8,,\n" + bracket});
  const CommandResult r = job.run({"check", "."});
  CHECK(r.exit_code == 1);
  CHECK(r.out.find("the bracket of") == std::string::npos);
  CHECK(r.out.find("The heights do not close: move no bracket by these.") != std::string::npos);
}

TEST_CASE("no sheet and no stake list for a job whose heights have a fault") {
  JobFolder job;
  write_job(job, {.laser = kPlane + "A,H1,2.86,above,,deck,\n", .more = "[offsets]\nunit = \"m\"\n"});
  for (const std::string command : {"offsets", "stake", "asbuilt", "heights", "check", "run"}) {
    CAPTURE(command);
    const CommandResult r = job.run({command, "."});
    CAPTURE(r.err);
    CHECK(r.exit_code == 2);
    CHECK(r.out.empty());
    CHECK(r.err.find("laser.csv:4:17: distance: found an empty cell") != std::string::npos);
  }
}
