// What a careful person would look at in the drawing and in what is stated of it: told on standard error, and
// never more than that.
#include <doctest/doctest.h>

#include <string>

#include "job_folder.h"

using namespace deckmark_test;

namespace {

constexpr const char* kTies =
    "mark,x,y,northing,easting\nA,0,0,1000,2000\nB,20,0,1000,2020\nC,0,12,1012,2000\nD,20,12,1012,2020\n";

struct Parts {
  std::string drawing = "point,x,y\nP1,2,2\nP2,4,2\n";
  std::string more = "";  // of job.toml
  std::string ties = kTies;
};

CommandResult check(JobFolder& job, const Parts& parts) {
  job.write("drawing.csv", parts.drawing);
  job.write("ties.csv", parts.ties);
  job.write("job.toml",
            "[drawing]\npoints = \"drawing.csv\"\n[baselines]\nties = \"ties.csv\"\n" + parts.more);
  const CommandResult result = job.run({"check", "."});
  CHECK(result.exit_code == 0);  // a doubt changes no exit status
  CHECK(result.err.find("DO NOT LAY OUT") == std::string::npos);
  return result;
}

bool says(const CommandResult& result, const std::string& text) {
  return result.err.find(text) != std::string::npos;
}

constexpr const char* kDeck = "[floor]\nelevation = \"10 m\"\n[deck]\nelevation = \"14 m\"\n";

}  // namespace

TEST_CASE("a drawing without anything odd raises no doubt") {
  JobFolder job;
  CHECK(check(job, {}).err == "READY TO LAY OUT\n");
  CHECK(check(job, {.more = std::string(kDeck) + "[hangers]\nheight = \"3 m\"\n"}).err ==
        "READY TO LAY OUT\n");
}

TEST_CASE("points closer than 25 mm are told, each with one that it is near to, and counted") {
  JobFolder job;
  const CommandResult few = check(job, {.drawing = "point,x,y,kind\nP1,2,2,\nP2,2.012,2,\nP3,4,2,\nP4,4.025,"
                                                   "2,\nP5,6,2,\nP6,6,2,\nREF,2,2,reference\n"});
  CHECK(says(few, "doubt: drawing.csv:3:1: point: P2 lies 12.0 mm from P1; closer than 25 mm"));
  CHECK(says(few, "doubt: drawing.csv:7:1: point: P6 lies on P5; closer than 25 mm"));
  CHECK_FALSE(says(few, "P4"));   // exactly 25 mm
  CHECK_FALSE(says(few, "REF"));  // a reference point may stand on a hanger
  std::string many = "point,x,y\n";
  for (int i = 0; i < 40; ++i)
    many += "H" + std::to_string(i) + "," + std::to_string(i / 2) + "," + (i % 2 ? "3.01" : "3") + "\n";
  const CommandResult counted = check(job, {.drawing = many});
  CHECK(says(counted, "H1 lies 10.0 mm from H0"));
  CHECK(says(counted, "H19 lies 10.0 mm from H18"));
  CHECK_FALSE(says(counted, "H21 lies"));
  CHECK(says(counted, "doubt: drawing.csv: and 10 more: points closer than 25 mm"));
}

TEST_CASE("generated hangers that are near others are told as runs that meet, once for two runs") {
  JobFolder job;
  const auto told = [&](const std::string& points, const std::string& runs, const std::string& more) {
    job.write("points.csv", points);
    job.write("runs.csv", "run,kind,x1,y1,x2,y2\n" + runs);
    job.write("ties.csv", kTies);
    job.write("job.toml",
              "[drawing]\npoints = \"points.csv\"\nruns = \"runs.csv\"\n[baselines]\nties = "
              "\"ties.csv\"\n[hangers]\nmax_spacing = \"1 m\"\n" +
                  more);
    const CommandResult r = job.run({"check", "."});
    CHECK(r.exit_code == 0);
    return r;
  };
  const std::string far = "point,x,y\nP1,18,11\n";
  const CommandResult meet = told(far, "R1,line,2,2,4,2\nR2,line,4.01,2,4.01,5\nR3,line,8,8,10,8\n", "");
  CHECK(says(meet,
             "doubt: runs.csv:3:1: run: R2-01 lies 10.0 mm from R1-03; closer than 25 mm (common practice, "
             "no source): runs R1 and R2 meet or overlap: may one hanger do for both?"));
  CHECK_FALSE(says(meet, "keyed twice"));
  const CommandResult over = told(far, "R1,line,2,2,6,2\nR2,line,4,2,8,2\n", "");
  CHECK(says(over,
             "R2-01 lies on R1-03; closer than 25 mm (common practice, no source): runs R1 and R2 meet or "
             "overlap (3 pairs of hangers): may one hanger do for both?"));
  CHECK_FALSE(says(over, "R2-02"));
  CHECK(says(told("point,x,y\nP1,2.01,2\n", "R1,line,2,2,4,2\n", ""),
             "doubt: runs.csv:2:1: run: R1-01 lies 10.0 mm from P1; closer than 25 mm (common practice, no "
             "source): is the point keyed beside its run?"));
  CHECK(says(told("point,x,y\nP1,2,2\nP2,2.01,2\n", "R1,line,8,8,10,8\n", ""),
             "P2 lies 10.0 mm from P1; closer than 25 mm (common practice, no source): is it keyed twice?"));
}

TEST_CASE("control points closer than 5 mm under two names are told") {
  JobFolder job;
  const auto with = [&](const std::string& rows) {
    job.write("control.csv", "point,northing,easting,elevation\n" + rows);
    return check(job, {.more = "[site]\ncontrol = \"control.csv\"\n"});
  };
  CHECK(says(with("CP1,1000,2000,\nCP2,1010,2000,\nCP3,1000,2000,\n"),
             "doubt: control.csv:4:1: point: CP3 lies on CP1; closer than 5 mm (common practice, no source): "
             "is it keyed twice?"));
  CHECK(says(with("CP1,1000.003,2000.002,10\nCP2,1000,2000,\n"),
             "doubt: control.csv:3:1: point: CP2 lies 3.6 mm from CP1; closer than 5 mm"));
  CHECK(says(with("CP1,1000,2000,10\nCP2,1000,2000,10.004\n"), "CP2 lies on CP1"));
  CHECK(with("CP1,1000,2000,10\nCP2,1000,2000,14\n").err ==
        "READY TO LAY OUT\n");  // on the floor and over it
  CHECK(with("CP1,1000,2000,\nCP2,1000.005,2000,\n").err == "READY TO LAY OUT\n");
  CHECK(with("CP1,1000,2000,\nCP2,1000.004,2000.004,\n").err == "READY TO LAY OUT\n");
}

TEST_CASE("spacing, and the distance to ends that reference points show") {
  JobFolder job;
  const std::string run =
      "point,x,y,run,kind\nE1,0,1,R1,reference\nH1,0.2,1,R1,\nH2,1.4,1,R1,\nJ,2,1,R1,reference\nH3,2.7,1,R1,"
      "\nE2,3.1,1,R1,reference\nQ1,0.1,5,R2,\nQ2,1.1,5,R2,\n";
  const CommandResult both =
      check(job, {.drawing = run, .more = "[hangers]\nmax_spacing = \"1.2 m\"\nend_distance = \"200 mm\"\n"});
  CHECK(says(both,
             "doubt: drawing.csv:6:1: point: H2 to H3 on run R1: 1.3000 m, wider than max_spacing 1.2000 m"));
  CHECK(says(both,
             "doubt: drawing.csv:6:1: point: H3 on run R1 stands 400.0 mm from the end at E2, further than "
             "end_distance 200.0 mm"));
  CHECK_FALSE(says(both, "H1"));
  CHECK_FALSE(says(both, "not checked: no point shows"));
  const CommandResult open = check(job, {.drawing = "point,x,y,run\nQ1,0.1,5,R2\nQ2,1.1,5,R2\n",
                                         .more = "[hangers]\nend_distance = \"200 mm\"\n"});
  CHECK(says(open, "hangers.end_distance: not checked: no point shows where a run ends"));
}

TEST_CASE("points beyond the ties are told where the ellipse has grown") {
  JobFolder job;
  const CommandResult far = check(job, {.drawing = "point,x,y\nP1,2,2\nFAR,45,30\nNEXT,30,12\n"});
  CHECK(says(
      far, "doubt: ties.csv: baselines: 2 points lie outside the extent of the ties, FAR the farthest, by "));
  CHECK(says(far, "the 95 % ellipse grows to "));
  // sds of 1.5 mm on four ties of two coordinates: by hand, sd² of a place = 1.5² (1/4 + r²/s), r from the
  // middle and s = sum of the ties' r² = 544 m². At a corner r² = 136, at FAR (35² + 24²) = 1801.
  CHECK(says(far, "grows to 6.9 mm there, at most 2.6 mm among the ties"));
  CHECK_FALSE(says(check(job, {.drawing = "point,x,y\nP1,2,2\nEDGE,20.5,12\n"}), "outside the extent"));
}

TEST_CASE("rises, drops and deck marks that are hard to believe") {
  JobFolder job;
  const auto with = [&](const std::string& deck, const std::string& height) {
    return check(job, {.more = "[floor]\nelevation = \"10 m\"\n[deck]\nelevation = \"" + deck +
                               "\"\n[hangers]\nheight = \"" + height + "\"\n"});
  };
  CHECK(
      says(with("11.9 m", "1 m"),
           "2 points with a rise outside 2 m to 30 m (common practice, no source), P1 the first, 1.9000 m"));
  CHECK(says(with("40.1 m", "20 m"), "2 points with a rise outside 2 m to 30 m"));
  CHECK(says(with("14 m", "3.95 m"),
             "2 hangers shorter than 100 mm (common practice, no source), P1 the first, 50.0 mm"));
  CHECK(says(with("14 m", "0.7 m"),
             "2 hangers longer than 80 % of the rise (common practice, no source), P1 the first, 3.3000 m"));
  CHECK(with("12 m", "1.9 m").err == "READY TO LAY OUT\n");  // at both limits
  CHECK(with("14 m", "0.8 m").err == "READY TO LAY OUT\n");
  job.write("marks.csv", "point,x,y,elevation\nP1,2,2,14.09\nP2,4,2,13.2\n");
  const CommandResult marks = check(
      job, {.more = std::string(kDeck) + "[hangers]\nheight = \"3 m\"\n[plumb]\nmarks = \"marks.csv\"\n"});
  CHECK(says(marks,
             "doubt: marks.csv:3:8: elevation: the deck mark of P2 stands 800.0 mm below the deck there, "
             "further than 100 mm"));
  CHECK_FALSE(says(marks, "P1"));
}

TEST_CASE("sds and tolerances that are hard to believe, at their cell or key") {
  JobFolder job;
  const std::string ties =
      "mark,x,y,northing,easting,sd,sd_x,tolerance\nA,0,0,1000,2000,0.00005,,\nB,20,0,1000,2020,,0.06,\nC,0,"
      "12,1012,2000,,,0.2\nD,20,12,1012,2020,0.0001,0.05,0.05\n";
  const CommandResult cells = check(job, {.ties = ties});
  CHECK(says(cells,
             "doubt: ties.csv:2:17: sd: \"0.00005\" is hard to believe: a standard deviation is seldom under "
             "0.1 mm or over 50 mm (common practice, no source)"));
  CHECK(says(cells, "doubt: ties.csv:3:19: sd_x: \"0.06\" is hard to believe"));
  CHECK(says(cells,
             "doubt: ties.csv:4:20: tolerance: \"0.2\" is hard to believe: a tolerance is seldom under 1 mm "
             "or over 50 mm"));
  CHECK_FALSE(says(cells, "ties.csv:5"));
  job.write("control.csv", "point,northing,easting,sd\nCP1,1000,2000,0\nCP2,1000,2010,2\n");
  const CommandResult control = check(job, {.more = "[site]\ncontrol = \"control.csv\"\n"});
  CHECK(says(control, "doubt: control.csv:3:15: sd: \"2\" is hard to believe"));
  CHECK_FALSE(says(control, "control.csv:2"));  // 0: held fixed
  struct Key {
    const char *section, *value, *told;
  };
  for (const Key& k :
       {Key{"plumb", "sd = \"2 m\"",
            "job.toml:6:6: plumb.sd: \"2 m\" is hard to believe: a standard deviation"},
        Key{"plumb", "tolerance = \"6 in\"",
            "job.toml:6:13: plumb.tolerance: \"6 in\" is hard to believe: a tolerance"},
        Key{"asbuilt", "sd = \"0.02 mm\"",
            "job.toml:6:6: asbuilt.sd: \"0.02 mm\" is hard to believe: a standard deviation"}}) {
    CAPTURE(k.told);
    CHECK(says(check(job, {.more = "[" + std::string(k.section) + "]\n" + k.value + "\n"}),
               std::string("doubt: ") + k.told));
  }
}

TEST_CASE("a freed scale off by over 50 ppm") {
  JobFolder job;
  const auto stretched = [](double scale) {
    const std::string e = std::to_string(2000 + 20 * scale), n = std::to_string(1000 + 12 * scale);
    return "mark,x,y,northing,easting\nA,0,0,1000,2000\nB,20,0,1000," + e + "\nC,0,12," + n +
           ",2000\nD,20,12," + n + "," + e + "\n";
  };
  CHECK(says(check(job, {.more = "scale = \"free\"\n", .ties = stretched(1 + 200e-6)}),
             "the fitted scale is 200.0 ppm from 1, more than 50 ppm (common practice, no source)"));
  CHECK_FALSE(
      says(check(job, {.more = "scale = \"free\"\n", .ties = stretched(1 + 40e-6)}), "the fitted scale is"));
}

TEST_CASE("a kind spelled nearly like a known one counts as a hanger, and is told") {
  JobFolder job;
  const CommandResult kinds =
      check(job, {.drawing = "point,x,y,kind\nP1,2,2,Reference\nP2,4,2,referense\nP3,6,2,reference\nP4,8,2,"
                             "Hanger\nP5,10,2,bracket\nP6,12,2,Reference\n"});
  CHECK(says(kinds,
             "doubt: drawing.csv:2:8: kind: \"Reference\" of 2 points is no known kind and counts as a "
             "hanger; if reference is meant, write it so, in small letters"));
  CHECK(says(kinds, "doubt: drawing.csv:3:8: kind: \"referense\" of 1 point is no known kind"));
  CHECK(says(kinds, "doubt: drawing.csv:5:8: kind: \"Hanger\""));
  CHECK_FALSE(says(kinds, "bracket"));
  CHECK_FALSE(says(kinds, "drawing.csv:4"));
}
