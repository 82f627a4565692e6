// Crews: lists, stake lists and sheets for each of them alone.
#include <doctest/doctest.h>

#include <algorithm>
#include <set>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include "job_folder.h"
#include "plain_survey.h"

using namespace deckmark_test;

namespace {

using Names = std::set<std::string>;

/// Runs A, B and C, points without a run, a reference point; the floor lies at ground scale about CP1:
/// E = 1748100 + x, N = 5427900 + y.
const std::string kDrawing =
    "point,x,y,run,kind\nA1,3,4,A,\nA2,4,4,A,\nB1,3,8,B,\nB2,4,8,B,\nB3,5,8,B,reference\nC1,9,2,C,\nF1,20,9,,"
    "\n";

std::string setup(const std::string& name) {
  return "[[setup]]\nname = \"" + name + "\"\nat = \"CP1\"\nheight = \"1.5 m\"\nobservations = \"s1.csv\"\n";
}

void write_job(JobFolder& job, const std::string& crews, const std::string& list = "",
               const std::string& setups = setup("S1") + setup("S2")) {
  job.write("drawing.csv", kDrawing);
  put_plain_survey(job);
  job.write(
      "job.toml",
      "title = \"Quay shed\"\nrevision = \"C\"\n[drawing]\npoints = \"drawing.csv\"\n"
      "[site]\ncontrol = \"control.csv\"\n[baselines]\nties = \"ties.csv\"\n[floor]\nelevation = \"10 m\"\n"
      "[deck]\nelevation = \"14 m\"\n[hangers]\nheight = \"2.5 m\"\n"
      "[offsets]\nunit = \"m\"\nfrom = [\"B1\", \"B2\"]\n"
      "[instrument]\nangle_sd = \"2\\\"\"\ndistance_sd = \"2 mm\"\n" +
          setups + "[list]\ncolumns = [\"point\", \"number\", \"northing\", \"easting\"]\nheader = true\n" +
          list + crews);
}

/// Words of the first column of a table, its header left out, sorted.
Names first_column(const std::string& bytes) {
  Names out;
  const auto rows = csv_rows(bytes);
  for (std::size_t i = 1; i < rows.size(); ++i) out.insert(rows[i][0]);
  return out;
}
Names points_of(const std::string& bytes, const std::string& level = "") {
  Names out;
  for (const auto& row : named_rows(bytes))
    if (level.empty() || row.at("level") == level) out.insert(row.at("point"));
  return out;
}
std::size_t longest_line(const std::string& text) {
  std::istringstream in(text);
  std::size_t most = 0;
  for (std::string line; std::getline(in, line);) most = std::max(most, line.size());
  return most;
}
bool says(const CommandResult& r, const std::string& what) { return r.err.find(what) != std::string::npos; }

const std::string kTwo =
    "[[crew]]\nname = \"north\"\nruns = [\"a\", \"C\"]\n"
    "[[crew]]\nname = \"south\"\nruns = [\"B\"]\npoints = [\"f1\"]\nsetups = [\"S2\"]\n";

}  // namespace

TEST_CASE("crews: every mark is in its crew's lists and in no other's") {
  JobFolder job;
  write_job(job, kTwo);
  const CommandResult result = job.run();
  CAPTURE(result.err);
  REQUIRE(result.exit_code == 0);
  CHECK_FALSE(says(result, "crew"));  // nobody is left out, none is in two
  struct Row {
    std::string crew, setup;
    Names floor, deck;
  };
  for (const Row& r : {Row{"north", "S1", {"A1", "A2", "C1"}, {"A1", "A2", "C1"}},
                       Row{"south", "S2", {"B1", "B2", "B3", "F1"}, {"B1", "B2", "F1"}}}) {
    CAPTURE(r.crew);
    CHECK(first_column(job.read("out/floor-list-" + r.crew + ".csv")) == r.floor);
    CHECK(first_column(job.read("out/deck-list-" + r.crew + ".csv")) == r.deck);
    const std::string stake = job.read("out/stake-" + r.setup + "-" + r.crew + ".csv");
    CHECK(points_of(stake, "floor") == r.floor);
    CHECK(points_of(stake, "deck") == r.deck);
    CHECK(points_of(stake, "control") == Names{"CP2", "CP3"});
    CHECK(points_of(job.read("out/offsets-" + r.crew + ".csv")) == r.floor);
    for (const std::string& name :
         {"stake-" + r.setup + "-" + r.crew + ".txt", "offset-sheet-" + r.crew + ".txt"}) {
      CAPTURE(name);
      const std::string sheet = job.read("out/" + name);
      CHECK(longest_line(sheet) <= 80);
      CHECK(sheet.find("for crew " + r.crew) != std::string::npos);
      for (const char* point : {" A1 ", " B3 ", " F1 "})
        CHECK((sheet.find(point) != std::string::npos) == (r.floor.count(std::string(point + 1, 2)) > 0));
    }
  }
  CHECK(job.has("out/stake-S2-north.txt"));        // north works from every setup
  CHECK_FALSE(job.has("out/stake-S1-south.txt"));  // south from one
  CHECK(first_column(job.read("out/floor-list.csv")).size() == 7);
  CHECK(job.read("out/stake-S1.txt").find("for crew") == std::string::npos);
  // The screen counts what is to be loaded once.
  const std::string screen = job.run({"run", "."}).out;
  CHECK(screen.find("Load floor-list.csv (7 marks, 1001 to 1007), then deck-list.csv (6 marks") !=
        std::string::npos);
  CHECK(screen.find("For each crew alone: floor-list-north.csv and so on, 16 files named") !=
        std::string::npos);
  // Rows are those of the whole list, number and place alike.
  const std::string whole = job.read("out/floor-list.csv");
  std::istringstream rows(job.read("out/floor-list-south.csv"));
  for (std::string line; std::getline(rows, line);) CHECK(whole.find(line) != std::string::npos);
  // A crew that is gone leaves nothing behind; the files of the other are the same.
  // But for the number of the issue, by which they are ticked.
  const auto sheet_of_north = [&job] {
    std::string sheet = job.read("out/stake-S1-north.txt");
    const std::size_t at = sheet.find("to tick: floor ");
    REQUIRE(at != std::string::npos);
    return sheet.erase(at, sheet.find('\n', at) - at);
  };
  const std::string north = sheet_of_north();
  write_job(job, kTwo.substr(0, kTwo.find("[[crew]]", 1)));
  const CommandResult again = job.run();
  CHECK(again.exit_code == 0);
  CHECK_FALSE(says(again, "no earlier run made it"));
  CHECK(says(again, "drawing.csv:4:1: point: B1 is in no crew: no crew's list has it"));
  for (const auto& [name, bytes] : job.snapshot()) CHECK(name.find("south") == std::string::npos);
  CHECK(sheet_of_north() == north);
}

TEST_CASE("crews: a crew has files of the work that it does alone") {
  struct Row {
    std::string does;
    bool floor, deck;
  };
  for (const Row& r : {Row{"\"floor\"", true, false}, Row{"\"deck\", \"hang\"", false, true},
                       Row{"\"hang\"", false, false}, Row{"\"hang\", \"deck\", \"floor\"", true, true}}) {
    CAPTURE(r.does);
    JobFolder job;
    write_job(job, "[[crew]]\nname = \"up\"\nruns = [\"A\"]\ndoes = [" + r.does + "]\n");
    const CommandResult result = job.run();
    CAPTURE(result.err);
    REQUIRE(result.exit_code == 0);
    CHECK(job.has("out/floor-list-up.csv") == r.floor);
    CHECK(job.has("out/deck-list-up.csv") == r.deck);
    CHECK(job.has("out/stake-S1-up.csv") == (r.floor || r.deck));
    CHECK(job.has("out/offset-sheet-up.txt") == (r.floor || r.deck));
    CHECK(job.has("out/offsets-up.csv") == (r.floor || r.deck));
    if (!r.floor && !r.deck) continue;
    const std::string stake = job.read("out/stake-S1-up.csv");
    CHECK(points_of(stake, "floor").empty() != r.floor);
    CHECK(points_of(stake, "deck").empty() != r.deck);
    const std::string sheet = job.read("out/offset-sheet-up.txt");
    CHECK((sheet.find("On the deck write the number plus") != std::string::npos) == r.deck);
  }
}

TEST_CASE("crews: together, split and in grid coordinates") {
  JobFolder job;
  write_job(job, kTwo, "together = true\n");
  REQUIRE(job.run().exit_code == 0);
  CHECK(first_column(job.read("out/list-north.csv")) == Names{"CP1", "CP2", "CP3", "A1", "A2", "C1"});
  CHECK_FALSE(job.has("out/floor-list-north.csv"));
  write_job(job, kTwo, "split = \"run\"\n");
  REQUIRE(job.run().exit_code == 0);
  CHECK_FALSE(job.has("out/list-north.csv"));
  CHECK(first_column(job.read("out/floor-list-A.csv")) == Names{"A1", "A2"});
  CHECK(first_column(job.read("out/floor-list-north.csv")) == Names{"A1", "A2", "C1"});
  // Runs that the lists leave out are in no crew's list, and a crew of which nothing is left has none.
  write_job(job, kTwo, "only = [\"C\"]\n");
  const CommandResult only = job.run();
  REQUIRE(only.exit_code == 0);
  CHECK(first_column(job.read("out/floor-list-north.csv")) == Names{"C1"});
  CHECK_FALSE(job.has("out/floor-list-south.csv"));
  CHECK_FALSE(job.has("out/stake-S2-south.csv"));
  CHECK(says(only,
             "crew \"south\" has no point for a floor list among the runs of [list] only: none is "
             "written for it"));
}

TEST_CASE("crews: two files of one name are refused, with what meets and what to rename") {
  struct Row {
    std::string crews, list, setups, told;  // told: empty: nothing
  };
  const std::string north = "[[crew]]\nname = \"North\"\nruns = [\"A\"]\n";
  for (const Row& r :
       {Row{"[[crew]]\nname = \"c\"\nruns = [\"A\"]\n", "split = \"run\"\n", setup("S1"),
            "job.toml:31:8: crew.name: found run \"C\" and crew \"c\" with one file name, floor-list-c.csv, "
            "expected names that differ in letters (A and a are one), digits, - or _; rename run \"C\" or "
            "crew "
            "\"c\""},
        Row{"[[crew]]\nname = \"c\"\nruns = [\"A\"]\n", "", setup("S1"), ""},
        Row{"[[crew]]\nname = \"None\"\nruns = [\"A\"]\n", "split = \"run\"\n", setup("S1"),
            "crew.name: found points without a run and crew \"None\" with one file name, "
            "floor-list-None.csv, "
            "expected names that differ in letters (A and a are one), digits, - or _; rename crew \"None\""},
        Row{north, "", setup("S1") + setup("s1-north"),
            "crew.name: found setup \"s1-north\" and crew \"North\" at setup \"S1\" with one file name, "
            "stake-S1-North.txt, expected names that differ in letters (A and a are one), digits, - or _; "
            "rename setup \"s1-north\" or crew \"North\""},
        Row{north + "setups = [\"s1-NORTH\"]\n", "", setup("S1") + setup("s1-north"), ""},
        Row{north + "does = [\"hang\"]\n", "", setup("S1") + setup("s1-north"), ""},
        Row{"[[crew]]\nname = \"b\"\nruns = [\"A\"]\n[[crew]]\nname = \"a-b\"\nruns = [\"B\"]\n", "",
            setup("S") + setup("S-a"),
            "found crew \"b\" at setup \"S-a\" and crew \"a-b\" at setup \"S\" with one file name"}}) {
    CAPTURE(r.crews);
    CAPTURE(r.setups);
    JobFolder job;
    write_job(job, r.crews, r.list, r.setups);
    const auto before = job.snapshot();
    const CommandResult check = job.run({"check", "."}), result = job.run();
    CAPTURE(result.err);
    if (r.told.empty()) {
      CHECK(result.exit_code == 0);
      continue;
    }
    check_refused(job, before, result);
    CHECK(check.exit_code == 2);
    CHECK(says(result, r.told));
    CHECK(problem_lines(result.err).size() == 1);  // text, table, floor and deck: told once
  }
}

TEST_CASE("crews: what a section says wrong is told at its place, all in one round") {
  JobFolder job;
  write_job(
      job,
      "[[crew]]\nname = \"north\"\nruns = [\"A\", \"Z9\"]\npoints = [\"A1\", \"Q\"]\nsetups = [\"S3\"]\n"
      "[[crew]]\nname = \"NORTH\"\nruns = [\"A\"]\ndoes = [\"floors\"]\n"
      "[[crew]]\nname = \"a b\"\n[[crew]]\nruns = []\nnmae = \"x\"\n"
      "[[crew]]\nname = \"Grid-1\"\npoints = [7]\n[[crew]]\nruns = [\"B\"]\n");
  const auto before = job.snapshot();
  const CommandResult result = job.run();
  CAPTURE(result.err);
  check_refused(job, before, result);
  for (const std::string line :
       {":36:14: crew.runs: found \"Z9\", expected a run of the drawing (A, B, C)",
        ":37:17: crew.points: found \"Q\", expected a point of the drawing",
        ":38:11: crew.setups: found \"S3\", expected a setup of the job (S1, S2)",
        ":40:8: crew.name: found name \"NORTH\" again, expected each crew's name once, without regard to "
        "letter "
        "case",
        ":42:9: crew.does: found \"floors\", expected one of floor, deck, hang; try \"floor\"",
        ":44:8: crew.name: found \"a b\", expected a name of letters, digits, - and _, since files are named "
        "after it; try \"a_b\"",
        ":43:1: crew.runs: found crew \"a b\" without runs or points, expected the runs or the points that "
        "the "
        "crew lays out; try runs = [\"R1\"]",
        ":46:8: crew.runs: found an empty list, expected at least one run; try [\"R1\"]", "nmae",
        ":49:8: crew.name: found \"Grid-1\", expected another name: floor-list-grid.csv is a list in grid "
        "coordinates; try \"crew-Grid-1\"",
        ":50:11: crew.points: found \"7\", expected a text in quotes",
        ":51:1: crew.name: found a crew without a name, expected a name of letters, digits, - and _; try "
        "name = "
        "\"crew6\""}) {
    CAPTURE(line);
    CHECK(says(result, line));
  }
  CHECK(problem_lines(result.err).size() == 12);
  write_job(job, "[crew]\nname = \"north\"\nruns = [\"A\"]\n");
  CHECK(says(job.run(), "crew: found"));
  CHECK(says(job.run(), "expected a section in double brackets for every crew; try [[crew]]"));
}

TEST_CASE("crews: stake --crew shows a crew's list from its setups") {
  JobFolder job;
  write_job(job, kTwo);
  const CommandResult south = job.run({"stake", ".", "--crew", "SOUTH"});
  CHECK(south.exit_code == 0);
  CHECK(longest_line(south.out) <= 80);
  CHECK(south.out.find("STAKE OUT from setup S2") != std::string::npos);
  CHECK(south.out.find("STAKE OUT from setup S1") == std::string::npos);
  CHECK(south.out.find("for crew south") != std::string::npos);
  CHECK(south.out.find(" B3 ") != std::string::npos);
  CHECK(south.out.find(" A1 ") == std::string::npos);
  const CommandResult table = job.run({"stake", ".", "--crew", "south", "--csv"});
  CHECK(points_of(table.out, "floor") == Names{"B1", "B2", "B3", "F1"});
  const std::string json = job.run({"stake", ".", "--crew", "SOUTH", "--json"}).out;
  CHECK(json.find("\"setup\":\"S2\",\"crew\":\"south\"") != std::string::npos);
  CHECK(job.run({"stake", ".", "--json"}).out.find("\"crew\"") == std::string::npos);
  CHECK(job.run({"stake", "."}).out.find("for crew") == std::string::npos);
  struct Row {
    std::vector<std::string> args;
    std::string told;
  };
  for (const Row& r :
       {Row{{"--crew", "suoth"},
            "crew: found \"suoth\", expected a crew of the job (north, south); try south"},
        Row{{"--crew", "south", "--setup", "S1"},
            "setup: found setup \"S1\", expected a setup of crew \"south\" with an orientation"}}) {
    std::vector<std::string> args{"stake", "."};
    args.insert(args.end(), r.args.begin(), r.args.end());
    const CommandResult refused = job.run(args);
    CAPTURE(refused.err);
    CHECK(refused.exit_code == 2);
    CHECK(says(refused, r.told));
  }
  // A fault of the crews stops a crew's list, no other.
  write_job(job, kTwo + "[[crew]]\nname = \"west\"\nruns = [\"W\"]\n");
  CHECK(job.run({"stake", ".", "--crew", "south"}).exit_code == 2);
  const CommandResult all = job.run({"stake", "."});
  CHECK(all.exit_code == 0);
  CHECK(says(all, "the crews have problems, so the job as a whole is not judged here"));
}

TEST_CASE("crews: a sheet for tape names the mark at zero where another crew has it") {
  JobFolder job;
  write_job(
      job,
      "[[crew]]\nname = \"one\"\npoints = [\"B1\"]\n[[crew]]\nname = \"two\"\npoints = [\"B2\", \"B3\"]\n");
  REQUIRE(job.run().exit_code == 0);
  CHECK(job.read("out/offset-sheet-two.txt").find("zero is the mark 1003, which another crew lays out.") !=
        std::string::npos);
  for (const char* sheet : {"out/offset-sheet-one.txt", "out/offset-sheet.txt"})
    CHECK(job.read(sheet).find("another crew") == std::string::npos);
  CHECK(points_of(job.read("out/offsets-two.csv")) == Names{"B2", "B3"});
  const auto rows = named_rows(job.read("out/offsets-two.csv"));
  CHECK(rows[0].at("along_run") == "1.000");  // from the run's first hanger still
}
