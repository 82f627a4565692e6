// Slips of tired people that are told before they cost a day.
#include <doctest/doctest.h>

#include <array>
#include <utility>

#include "job_folder.h"

using namespace deckmark_test;

namespace {

void starter(JobFolder& job, const std::string& more = "", const std::string& first = "") {
  const bool ties = more.find("ties = ") != std::string::npos;
  job.write("job.toml", first + "[drawing]\npoints = \"drawing.csv\"\n" + (ties ? "" : "frame = \"site\"\n") +
                            "[site]\ncontrol = \"control.csv\"\n" + more);
  job.write("control.csv", "point,northing,easting\nCP1,0,0\nCP2,0,30\n");
  job.write("drawing.csv", "point,x,y\nA,0,0\nB,9,1\nC,1,1\n");
}

}  // namespace

TEST_CASE("slips: a file of one's own in the output folder is a doubt, those of earlier runs are not") {
  JobFolder job;
  starter(job);
  job.write("out/floor-list.csv", "my own file\n");
  CHECK(job.run({"check", "."})
            .err.find("floor-list.csv: file: a run replaces it, and no earlier run made it") !=
        std::string::npos);
  CHECK(job.read("out/floor-list.csv") == "my own file\n");
  const CommandResult first = job.run();
  CHECK(first.exit_code == 0);
  CHECK(first.err.find("floor-list.csv: file: a run replaces it") != std::string::npos);
  CHECK(first.err.find("points.csv: file") == std::string::npos);
  CHECK(job.run().err.find("a run replaces it") == std::string::npos);
}

TEST_CASE("slips: the pair for the loaded list tells north from east") {
  JobFolder job;
  starter(job);
  const std::string text = job.run().out;
  CHECK(text.find("1001 to 1002: azimuth  83-39-35.3") != std::string::npos);
  CHECK(text.find("would read the same") == std::string::npos);
  job.write("drawing.csv", "point,x,y\nA,0,0\nB,9,9\n");
  CHECK(job.run().out.find("north and east exchanged would read the same here") != std::string::npos);
}

TEST_CASE("slips: the job file is told what to write, or nothing, never what stands or its contrary") {
  struct Row {
    std::string more, first, told, never;
  };
  for (const Row& r : {Row{"", "title = \"a\"\ntitle = \"b\"\n",
                           "job.toml:2:9: file: found \"title = \\\"b\\\"\", expected each key once", "try"},
                       Row{"[drawing]\nunit = \"m\"\n", "",
                           "job.toml:6:1: file: found \"[drawing]\", expected each section once", "try"},
                       Row{"[list]\nheader = \"false\"\n", "", "try header = false", "= true"},
                       Row{"[list]\nheader = \"no\"\n", "",
                           "list.header: found \"no\", expected true or false, without quotes", "try"}}) {
    JobFolder job;
    starter(job, r.more, r.first);
    const auto before = job.snapshot();
    const CommandResult result = job.run();
    CAPTURE(result.err);
    check_refused(job, before, result);
    CHECK(result.err.find(r.told) != std::string::npos);
    CHECK(result.err.find(r.never) == std::string::npos);
  }
}

TEST_CASE("slips: an end distance over max_spacing, a shot kilometres off, a setup that is nearly known") {
  JobFolder job;
  starter(job,
          "[hangers]\nmax_spacing = \"1.2 m\"\nend_distance = \"9 m\"\n[asbuilt]\nshots = \"built.csv\"\n");
  job.write("built.csv", "point,northing,easting,setup\nA,0,0,CP2\nB,1000,9000,CP9\nC,1,1,tower\n");
  const CommandResult result = job.run({"check", "."});
  CAPTURE(result.err);
  CHECK(result.exit_code == 1);
  CHECK(result.err.find("job.toml:8:16: hangers.end_distance: ends further from a hanger") !=
        std::string::npos);
  CHECK(result.err.find("built.csv:3:1: point: B lies 9046.3298 m") != std::string::npos);
  CHECK(result.err.find(
            "built.csv:3:13: setup: \"CP9\" is neither control nor a [[setup]] of the job, but CP") !=
        std::string::npos);
  CHECK(result.err.find("tower") == std::string::npos);
}

TEST_CASE("slips: what stands in the way of a list is told before a run") {
  JobFolder job;
  starter(job);
  std::filesystem::create_directories(job.path() / "out" / "points.csv");
  std::filesystem::create_symlink("nowhere", job.path() / "out" / "floor-list.csv");
  std::filesystem::create_symlink("nowhere", job.path() / "numbers.csv");
  const CommandResult result = job.run({"check", "."});
  CAPTURE(result.err);
  CHECK(result.err.find("points.csv: file: a folder of this name is in the way") != std::string::npos);
  CHECK(result.err.find("floor-list.csv: file: a run replaces this link") != std::string::npos);
  CHECK(result.err.find("numbers.csv: file: a run replaces this link") != std::string::npos);
  CHECK(job.run().exit_code == 3);
}

TEST_CASE("slips: a ledger that leads out of the folder is told as the link that it is") {
  JobFolder job, other;
  starter(job);
  other.write("numbers.csv",
              "point,number,status,x (m),y (m),deck_offset,revision,northing (m),easting (m)\n");
  std::filesystem::create_symlink(other.path() / "numbers.csv", job.path() / "numbers.csv");
  const CommandResult result = job.run();
  CAPTURE(result.err);
  CHECK(result.exit_code == 2);
  CHECK(result.err.find("found \"numbers.csv\", a link that leads out of the job's folder") !=
        std::string::npos);
  CHECK(result.err.find("try \"numbers.csv\"") == std::string::npos);
}

TEST_CASE("slips: a ledger that is lost, or cut short, is missed") {
  JobFolder job;
  starter(job);
  CHECK(job.run().exit_code == 0);
  const std::string whole = job.read("numbers.csv"), issued = job.read("issued.csv");
  CHECK(job.run().exit_code == 0);

  const auto refused = [&](const std::string& words) {
    const CommandResult result = job.run({"check", "."});
    CAPTURE(result.err);
    CHECK(result.exit_code == 2);
    CHECK(result.err.find(words) != std::string::npos);
  };
  std::filesystem::remove(job.path() / "numbers.csv");
  refused("issued.csv: file: found 1 issue and no numbers.csv beside it");
  std::filesystem::remove(job.path() / "issued.csv");
  refused("numbers.csv: file: found no issue in the ledger, while \"./out\" holds issue 1 of this job");
  job.write("numbers.csv", whole);
  refused("numbers.csv: file: found 3 rows and no issued.csv beside it");
  job.write("issued.csv", issued);
  job.write("numbers.csv", whole.substr(0, whole.find("\nC,") + 1));
  refused("numbers.csv:2:1: row: found 2 rows of issue 1 of 1, fewer than were handed out");
  job.write("numbers.csv", whole);
  CHECK(job.run({"check", "."}).exit_code == 0);
}

TEST_CASE("slips: runs are told apart without regard to letter case") {
  JobFolder job;
  starter(job, "[hangers]\nmax_spacing = \"1.2 m\"\n[list]\nsplit = \"run\"\nonly = [\"r1\", \"R2\"]\n");
  job.write("drawing.csv", "point,x,y,run\nA,1,1,R1\nB,8,1,r1\nC,9,9,R2\n");
  const CommandResult result = job.run();
  CAPTURE(result.err);
  CHECK(result.exit_code == 0);
  CHECK(result.err.find("A to B on run R1: 7.0000 m, wider than max_spacing") != std::string::npos);
  CHECK(job.has("out/floor-list-R1.csv"));
  CHECK(job.has("out/floor-list-R2.csv"));
  CHECK_FALSE(job.has("out/floor-list-r1.csv"));

  job.write("drawing.csv", "point,x,y,run\nA,1,1,a b\nB,8,1,A_B\nC,9,9,none\nD,5,5,\n");
  job.write("job.toml", "[drawing]\npoints = \"drawing.csv\"\n[list]\nsplit = \"run\"\n");
  const CommandResult clash = job.run();
  CAPTURE(clash.err);
  CHECK(clash.exit_code == 2);
  CHECK(clash.err.find("found run \"a b\" and run \"A_B\" with one file name") != std::string::npos);
  CHECK(clash.err.find("found run \"none\" and points without a run with one file name") !=
        std::string::npos);
}

TEST_CASE("slips: decimals that move marks in the lists are doubted, with what would do") {
  struct Row {
    const char* list;
    const char* told;  ///< empty: nothing
  };
  for (const Row& r :
       {Row{"decimals = 0",
            "list.decimals: 0 decimals of m move marks by up to 500.0 mm in the lists, over 2 mm (common "
            "practice, no source): 3 or more are fine"},
        Row{"decimals = 2", "up to 5.0 mm"}, Row{"decimals = 3", ""}, Row{"unit = \"ft\"\ndecimals = 2", ""},
        Row{"unit = \"ft\"\ndecimals = 1", "2 or more are fine"}, Row{"unit = \"mm\"\ndecimals = 0", ""},
        Row{"unit = \"in\"\ndecimals = 0", "1 or more are fine"}}) {
    CAPTURE(r.list);
    JobFolder job;
    starter(job, std::string("[list]\n") + r.list + "\n");
    const CommandResult result = job.run({"check", "."});
    CAPTURE(result.err);
    CHECK(result.exit_code == 0);
    CHECK((result.err.find(*r.told ? r.told : "list.decimals") != std::string::npos) == (*r.told != '\0'));
  }
}

TEST_CASE("slips: a header with its unit in another dress is shown as it is read") {
  for (const char* x : {"x [m]", "x m", "X_m", "x/m", "x_[m]"}) {
    CAPTURE(x);
    JobFolder job;
    starter(job);
    job.write("drawing.csv", std::string("point,") + x + ",y\nA,0,0\nB,9,1\n");
    const CommandResult result = job.run({"check", "."});
    CAPTURE(result.err);
    CHECK(result.exit_code == 2);
    CHECK(result.err.find("; x (m) is") != std::string::npos);
    job.write("drawing.csv", "point,x,y\nA,0,0\nB,9,1\n");
    std::string head = x;
    head.replace(0, 1, "northing");
    job.write("control.csv", "point," + head + ",easting\nCP1,0,0\nCP2,0,30\n");
    CHECK(job.run({"check", "."}).err.find("try northing (m) in place of northing") != std::string::npos);
  }
  JobFolder feet;
  starter(feet);
  feet.write("drawing.csv", "point,x ('),y\nA,0,0\nB,9,1\n");
  CHECK(feet.run({"check", "."}).err.find("try x (ft)") != std::string::npos);
}

TEST_CASE("slips: a table in place of the job file is told as one") {
  JobFolder job;
  job.write("job.toml", "point,x,y\nA,0,0\n");
  const CommandResult result = job.run();
  CAPTURE(result.err);
  CHECK(result.exit_code == 2);
  CHECK(result.err.find("found \"point,x,y\", expected the job file, TOML with sections such as [drawing]; "
                        "this line is of a table") != std::string::npos);
}

TEST_CASE("slips: a deck as steep as a roof is doubted") {
  for (const auto& [high, told] :
       {std::pair{"19", "elevation: the deck rises 1:3.3, steeper than 1:4 (common practice, no source)"},
        {"17.9", ""}}) {
    CAPTURE(high);
    JobFolder job;
    starter(job, "[deck]\nshots = \"deck.csv\"\n");
    job.write("deck.csv", std::string("shot,x,y,elevation\nS1,0,0,16\nS2,10,0,") + high +
                              "\nS3,0,10,16\nS4,10,10," + high + "\n");
    const CommandResult result = job.run({"check", "."});
    CAPTURE(result.err);
    CHECK((result.err.find(*told ? told : "steeper") != std::string::npos) == (*told != '\0'));
  }
}

TEST_CASE("slips: of two deck offsets in an earlier version's ledger the rarer is told, once, wherever") {
  JobFolder job;
  starter(job);
  for (const std::size_t row : {1U, 2U, 3U}) {
    CAPTURE(row);
    std::string bytes = "point,number,status,x (m),y (m),deck_offset,revision,northing (m),easting (m)\n";
    for (const std::size_t r : {1U, 2U, 3U})
      bytes += std::string(1, static_cast<char>('@' + r)) + "," + std::to_string(1000 + r) + ",live,0,0," +
               (r == row ? "4000" : "5000") + ",,0,0\n";
    job.write("numbers.csv", bytes);
    const CommandResult result = job.run();
    const auto told = problem_lines(result.err);
    CAPTURE(result.err);
    CHECK(result.exit_code == 2);
    REQUIRE(told.size() == 1);
    CHECK(told[0].line == row + 1);
    CHECK(told[0].text.find("found 4000, expected 5000, as 2 other rows have") != std::string::npos);
    CHECK(suggestion_of(told[0]) == "5000");
  }
}

TEST_CASE("slips: a number changed by hand in the ledger is refused, and numbers begin anew as it says") {
  JobFolder job;
  starter(job, "[floor]\nelevation = \"12 m\"\n[deck]\nelevation = \"18 m\"\n");
  CHECK(job.run().exit_code == 0);
  std::string ledger = job.read("numbers.csv");
  ledger.replace(ledger.find("C,1003"), 6, "C,6001");
  job.write("numbers.csv", ledger);
  const CommandResult met = job.run();
  CAPTURE(met.err);
  CHECK(met.exit_code == 2);
  // Above 11001, the deck number of 6001.
  CHECK(met.err.find("rows of issue 1 of 1 that are not those that were handed out") != std::string::npos);
  CHECK(met.err.find("deckmark run ./job.toml --above 11001") != std::string::npos);
}

TEST_CASE("slips: ties under each other's names, and x for y, are told as what they are") {
  // A site turned by 30 degrees; places rounded to a millimetre.
  const std::vector<std::array<std::string, 5>> good = {{"T1", "0", "0", "1000", "2000"},
                                                        {"T2", "17", "0", "1014.722", "2008.5"},
                                                        {"T3", "0", "11", "1005.5", "1990.474"},
                                                        {"T4", "17", "11", "1020.222", "1998.974"},
                                                        {"T5", "9", "4", "1009.794", "2001.036"}};
  for (const bool names : {true, false}) {
    CAPTURE(names);
    JobFolder job;
    starter(job, "[baselines]\nties = \"ties.csv\"\n");
    auto rows = good;
    if (names)
      std::swap(rows[1][3], rows[4][3]), std::swap(rows[1][4], rows[4][4]);
    else
      std::swap(rows[1][1], rows[1][2]);
    std::string bytes = "mark,x,y,northing,easting\n";
    for (const auto& r : rows) bytes += r[0] + "," + r[1] + "," + r[2] + "," + r[3] + "," + r[4] + "\n";
    job.write("ties.csv", bytes);
    const CommandResult result = job.run({"check", "."});
    CAPTURE(result.err);
    CHECK(result.exit_code == 1);
    CHECK(result.err.find(names ? "ties.csv:3:1: mark: ties T2 and T5: looks like exchanged names"
                                : "ties.csv:3:1: mark: tie T2: looks like x and y exchanged") !=
          std::string::npos);
  }
}
