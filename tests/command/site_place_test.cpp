// What says where the drawing lies on site (ties, a signed fit, frame = "site", or nothing), with control,
// setups and drawing there or not, against every command that reads a job.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>
#include <string>
#include <vector>

#include "job_folder.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

struct Parts {
  bool drawing = true, control = true, setups = true;
  std::string drawing_keys = {}, more = {};
};

/// The drawing lies 12 m east and 5 m north of the site's origin, unturned. The setup stands at N 1 E 2 and
/// sights control, two places that the drawing knows (B1, B2) and a free name.
void fill(JobFolder& job, const Parts& p) {
  std::string toml;
  if (p.drawing) toml += "[drawing]\npoints = \"d.csv\"\n" + p.drawing_keys;
  if (p.control) toml += "[site]\ncontrol = \"c.csv\"\n";
  toml += p.more;
  if (p.setups)
    toml += "[instrument]\nangles = \"degrees\"\nangle_sd = \"2\\\"\"\ndistance_sd = \"2 mm\"\n" +
            std::string(p.control ? "[[setup]]\nname = \"S1\"\nat = \"CP1\"\nheight = \"1.5 m\"\n"
                                    "observations = \"s1.csv\"\n"
                                    "[[setup]]\nname = \"P1\"\nnorthing = \"3 m\"\neasting = \"4 m\"\n"
                                    "plan = [\"CP1\", \"CP2\"]\n"
                                  : "[[setup]]\nname = \"S1\"\nnorthing = \"1 m\"\neasting = \"2 m\"\n"
                                    "elevation = \"0 m\"\nsd = \"1 mm\"\n"
                                    "height = \"1.5 m\"\norientation = \"0°\"\n"
                                    "observations = \"s1.csv\"\n");
  job.write("job.toml", toml);
  job.write("c.csv", "point,northing,easting,elevation\nCP1,1,2,0\nCP2,51,2,0\n");
  job.write("d.csv", "point,x,y\nB1,0,0\nB2,20,0\nP3,10,8\n");
  job.write("t.csv", "mark,x,y,northing,easting\nB1,0,0,5,12\nB2,20,0,5,32\nB3,0,20,25,12\nB4,20,20,25,32\n");
  // N 5 E 12 from N 1 E 2: 4 north, 10 east; N 5 E 32: 4 north, 30 east.
  job.write("s1.csv", std::string("target,circle,zenith,slope,height\n") +
                          (p.control ? "CP2,0,90,50,1.5\n" : "") +
                          "B1,68.1985905,90,10.7703296,1.5\nB2,82.4053566,90,30.2654919,1.5\n"
                          "COL-7,90,90,6,1.5\n");
}

struct Folder : JobFolder {
  explicit Folder(const Parts& p = {}) { fill(*this, p); }
};

const std::string kNotPlaced = "no ties: nothing says where the drawing lies on site";

}  // namespace

// 2026-11-27: with control or setups and no ties every list and stake sheet took the drawing for the site: a
// mark stood 12 m off, status 0. And `setup` asked for a drawing.
TEST_CASE("what places the drawing, against every command") {
  const std::string ties = "[baselines]\nties = \"t.csv\"\n", frame = "frame = \"site\"\n";
  struct Row {
    std::string what;
    Parts parts;
    /// Status of check, run, baseline, setup, stake, plan.
    int check, run, baseline, setup, stake, plan;
  };
  const std::vector<Row> rows{
      {"nothing but the drawing", {.control = false, .setups = false}, 0, 0, 0, 2, 2, 2},
      {"mirrored, nothing else",
       {.control = false, .setups = false, .drawing_keys = "mirrored = true\n"},
       0,
       0,
       0,
       2,
       2,
       2},
      {"control alone", {.setups = false}, 2, 2, 0, 2, 2, 2},
      {"setups alone", {.control = false}, 2, 2, 0, 0, 2, 2},
      {"control and setups", {}, 2, 2, 0, 0, 2, 0},
      {"control and setups, mirrored", {.drawing_keys = "mirrored = true\n"}, 2, 2, 0, 0, 2, 0},
      {"control, frame", {.setups = false, .drawing_keys = frame}, 0, 0, 0, 2, 2, 2},
      {"frame alone", {.control = false, .setups = false, .drawing_keys = frame}, 0, 0, 0, 2, 2, 2},
      {"ties", {.more = ties}, 0, 0, 0, 0, 0, 0},
      // Setups and plans need no place of the drawing: they leave its marks out.
      {"ties and frame", {.drawing_keys = frame, .more = ties}, 2, 2, 2, 0, 2, 0},
      {"signed and frame",
       {.drawing_keys = frame, .more = "[baselines]\nsigned = \"no.toml\"\n"},
       2,
       2,
       2,
       0,
       2,
       0},
      {"mirrored and frame", {.drawing_keys = frame + "mirrored = true\n"}, 2, 2, 2, 0, 2, 0},
      {"ties that cannot be read", {.more = "[baselines]\nties = \"no.csv\"\n"}, 2, 2, 2, 0, 2, 0},
      {"no drawing", {.drawing = false}, 0, 0, 2, 0, 2, 0},
      {"no drawing, setups alone", {.drawing = false, .control = false}, 0, 0, 2, 0, 2, 2},
      {"no drawing, control alone", {.drawing = false, .setups = false}, 2, 2, 2, 2, 2, 2},
      {"no drawing, a deck", {.drawing = false, .more = "[deck]\nelevation = \"4 m\"\n"}, 2, 2, 2, 0, 2, 0},
      {"no drawing, ties", {.drawing = false, .more = ties}, 2, 2, 2, 0, 2, 0},
  };
  for (const Row& r : rows) {
    CAPTURE(r.what);
    const Folder job(r.parts);
    const auto before = job.snapshot();
    const auto status = [&](const std::string& command) {
      const CommandResult result = job.run({command, "."});
      CAPTURE(command);
      CAPTURE(result.err);
      if (command != "run" || result.exit_code == 2) CHECK(job.snapshot() == before);
      return result.exit_code;
    };
    CHECK(status("check") == r.check);
    CHECK(status("baseline") == r.baseline);
    CHECK(status("setup") == r.setup);
    CHECK(status("stake") == r.stake);
    CHECK(status("plan") == r.plan);
    CHECK(status("run") == r.run);
  }
}

TEST_CASE("the refusal says what is missing and both ways out, and both work when typed") {
  for (const std::string command : {"check", "run", "stake", "asbuilt"}) {
    CAPTURE(command);
    const CommandResult r = Folder(Parts{}).run({command, "."});
    CHECK(r.exit_code == 2);
    const auto told = problem_lines(r.err);
    REQUIRE(told.size() >= 1);
    CHECK(place_of(told[0]) == "job.toml: baselines.ties");
    CHECK(says(told[0].text, "control and setups but " + kNotPlaced));
    CHECK(says(told[0].text, "ties = \"ties.csv\" under [baselines]"));
    CHECK(says(told[0].text, "deckmark setup"));
    CHECK(says(suggestion_of(told[0]), "frame = \"site\" under [drawing]"));
  }
  CHECK(says(Folder(Parts{.setups = false}).run().err, "found control but " + kNotPlaced));
  CHECK(says(Folder(Parts{.control = false}).run().err, "found setups but " + kNotPlaced));
  // A mirrored drawing has no site coordinates: that way out would be refused.
  CHECK_FALSE(says(Folder(Parts{.drawing_keys = "mirrored = true\n"}).run().err, "frame = "));
}

TEST_CASE("frame beside ties, a signed fit or mirrored is one line with what to do") {
  struct Row {
    Parts parts;
    std::string place, found, cure;
  };
  const std::string frame = "frame = \"site\"\n";
  for (const Row& r :
       {Row{{.drawing_keys = frame, .more = "[baselines]\nties = \"t.csv\"\n"},
            "job.toml:3:1: drawing.frame",
            "beside [baselines] ties",
            "taking frame out"},
        Row{{.drawing_keys = frame + "mirrored = true\n"},
            "job.toml:3:1: drawing.frame",
            "with mirrored = true",
            "taking mirrored out"},
        Row{{.drawing_keys = "frame = \"drawing\"\n", .more = "[baselines]\nties = \"t.csv\"\n"},
            "job.toml:3:9: drawing.frame",
            "\"drawing\"",
            "\"site\""}}) {
    const CommandResult result = Folder(r.parts).run();
    CHECK(result.exit_code == 2);
    const auto told = problem_lines(result.err);
    CAPTURE(result.err);
    REQUIRE(told.size() == 1);
    CHECK(place_of(told[0]).substr(0, 11) == r.place.substr(0, 11));
    CHECK(told[0].field == "drawing.frame");
    CHECK(says(told[0].text, r.found));
    CHECK(says(told[0].text, r.cure));
  }
}

TEST_CASE("frame = site: x is easting, y northing, and everything says so") {
  Folder job(Parts{.drawing_keys = "frame = \"site\"\n"});
  const CommandResult r = job.run();
  CAPTURE(r.err);
  CHECK(r.exit_code == 1);  // B1 and B2 were sighted 12 m from where the drawing has them
  CHECK(says(r.err, "notice: job.toml:3:"));
  CHECK(says(r.err, "drawing.frame: x is taken for easting and y for northing"));
  for (const auto& row : named_rows(job.read("out/points.csv"))) {
    CHECK(number(row.at("easting")) == doctest::Approx(number(row.at("x"))));
    CHECK(number(row.at("northing")) == doctest::Approx(number(row.at("y"))));
  }
  CHECK(says(job.read("out/report.html"), "says that x is easting and y is northing"));
  job.write("job.toml", "[drawing]\npoints = \"d.csv\"\nframe = \"site\"\n[site]\ncontrol = \"c.csv\"\n");
  const CommandResult plain = job.run();
  CHECK(plain.exit_code == 0);
  CHECK(says(plain.err, "BASELINES NOT CHECKED: no ties; x is taken for easting and y for northing"));
}

TEST_CASE("ties are measured from the setups first: side shots without ties, to points of the drawing too") {
  Folder job(Parts{});
  const CommandResult text = job.run({"setup", "."});
  CAPTURE(text.err);
  CHECK(text.exit_code == 0);
  CHECK(says(text.out, "COL-7"));
  CHECK(says(text.err, "side shots to points of the drawing, whose place on site nothing says yet: B1, B2"));
  CHECK(says(text.err, "BASELINES NOT CHECKED: no ties, so nothing says where the drawing lies on site"));
  const CommandResult csv = job.run({"setup", ".", "--shots"});
  CHECK(csv.exit_code == 0);
  const auto rows = csv_rows(csv.out);
  REQUIRE(rows.size() == 4);
  CHECK(rows[0][1] == "target");
  std::string ties = "mark,x,y,northing,easting\n";
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const bool b1 = rows[i][1] == "B1", b2 = rows[i][1] == "B2";
    if (b1 || b2) {
      CHECK(number(rows[i][2]) == doctest::Approx(5).epsilon(1e-5));
      CHECK(number(rows[i][3]) == doctest::Approx(b1 ? 12 : 32).epsilon(1e-5));
      ties += rows[i][1] + (b1 ? ",0,0," : ",20,0,") + rows[i][2] + "," + rows[i][3] + "\n";
    }
  }
  // What was shot, keyed as ties, places the drawing.
  job.write("t.csv", ties);
  job.write("job.toml", job.read("job.toml") + "[baselines]\nties = \"t.csv\"\n");
  const CommandResult placed = job.run();
  CAPTURE(placed.err);
  CHECK(placed.exit_code == 0);
  for (const auto& row : csv_rows(job.read("out/points.csv")))
    if (row[1] == "P3") {
      CHECK(number(row[6]) == doctest::Approx(13).epsilon(1e-4));
      CHECK(number(row[7]) == doctest::Approx(22).epsilon(1e-4));
    }
}

TEST_CASE("a job without a drawing writes what was measured, and removes lists that are stale") {
  Folder job(Parts{.drawing = false});
  const CommandResult r = job.run();
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  CHECK(says(r.err, "BASELINES NOT CHECKED: no drawing, so no lists: setups and control alone"));
  for (const std::string name : {"setup.csv", "sights.csv", "shots-S1.csv", "summary.txt"})
    CHECK(job.has("out/" + name));
  for (const std::string name :
       {"points.csv", "floor-list.csv", "stake-S1.csv", "plan-P1.csv", "report.html"})
    CHECK_FALSE(job.has("out/" + name));
  CHECK_FALSE(job.has("numbers.csv"));
  const auto rows = csv_rows(job.read("out/shots-S1.csv"));
  REQUIRE(rows.size() == 4);
  CHECK(number(rows[1][3]) == doctest::Approx(12).epsilon(1e-5));
  const auto first = job.snapshot();
  CHECK(job.run().exit_code == 0);
  CHECK(job.snapshot() == first);

  // A setup that is wrong is still outside.
  job.write("s1.csv", "target,circle,zenith,slope,height\nCP2,0,90,50.2,1.5\n");
  const CommandResult wrong = job.run();
  CHECK(wrong.exit_code == 1);
  CHECK(says(wrong.err, "DO NOT LAY OUT: setup S1"));

  // Lists of a job whose drawing was taken out do not stay among the new files; numbers that were handed out
  // are not forgotten.
  Folder had(Parts{.more = "[baselines]\nties = \"t.csv\"\n"});
  REQUIRE(had.run().exit_code == 0);
  REQUIRE(had.has("out/report.html"));
  had.write("job.toml", Folder(Parts{.drawing = false}).read("job.toml"));
  const CommandResult lost = had.run();
  CHECK(lost.exit_code == 2);
  CHECK(says(lost.err, "drawing.points: found no table of points beside a ledger of numbers"));
  CHECK(had.run({"setup", "."}).exit_code == 0);
  for (const char* name : {"numbers.csv", "issued.csv"}) std::filesystem::remove(had.path() / name);
  REQUIRE(had.run().exit_code == 0);
  CHECK_FALSE(had.has("out/points.csv"));
  CHECK_FALSE(had.has("out/report.html"));
  CHECK_FALSE(had.has("out/stake-S1.csv"));
}

TEST_CASE("a plan needs no place of the drawing, and then judges no mark") {
  const CommandResult r = Folder(Parts{.drawing = false}).run({"plan", "."});
  CAPTURE(r.err);
  CHECK(r.exit_code == 0);
  CHECK(says(r.out, "would be good to (95 %): place"));
  CHECK(says(r.out, "no mark has a place on site yet: none is judged"));
  CHECK(csv_rows(Folder(Parts{}).run({"plan", ".", "--csv"}).out).size() == 1);
}

TEST_CASE("control in a projection needs neither ties nor a drawing") {
  JobFolder job;
  job.write("c.csv", "point,northing,easting\nC1,5100000,500000\nC2,5100100,500100\n");
  job.write("d.csv", "point,x,y\nA,0,0\nB,9,1\n");
  const std::string site =
      "[site]\ncontrol = \"c.csv\"\ncrs = \"EPSG:32632\"\nground_at = \"C1\"\nelevation = \"0 m\"\n";
  for (const std::string drawing : {"", "[drawing]\npoints = \"d.csv\"\n"}) {
    job.write("job.toml", drawing + site);
    const CommandResult r = job.run({"ground", "."});
    CAPTURE(r.err);
    CHECK(r.exit_code == 0);
    CHECK(says(r.out, "no hanger has a place on site yet"));
    CHECK_FALSE(says(r.out, "+X runs"));
    CHECK(job.run().exit_code == (drawing.empty() ? 0 : 2));
  }
  CHECK(job.has("out/ground.csv"));
}
