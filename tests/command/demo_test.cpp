// The demo jobs do what they are there to show, and what the README and those beside the jobs paste is what
// the program prints.
#include <doctest/doctest.h>

#include <algorithm>
#include <cstdlib>

#include "case_file.h"
#include "support/command.h"
#include "support/temp_folder.h"
#include "support/text.h"

using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

const fs::path kData = DECKMARK_DATA_DIR;

/// A fresh folder with copies of the jobs in data/.
class Copies {
 public:
  Copies() {
    for (const auto& file : fs::recursive_directory_iterator(kData))
      if (file.is_regular_file()) write_bytes(folder_ / fs::relative(file, kData), read_bytes(file.path()));
  }
  CommandResult run(const std::vector<std::string>& args) const {
    CommandRun run;
    run.program = DECKMARK_PROGRAM;
    run.args = args;
    run.folder = folder_.path();
    run.env_without = {"NO_COLOR"};
    return run.run();
  }
  std::string read(const std::string& name) const { return read_bytes(folder_ / name); }
  const fs::path& path() const { return folder_.path(); }

 private:
  TempFolder folder_;
};

std::size_t count(const std::vector<std::string>& lines, const std::string& part) {
  return static_cast<std::size_t>(
      std::ranges::count_if(lines, [&](const std::string& l) { return l.find(part) != std::string::npos; }));
}

std::ptrdiff_t characters(std::string_view line) {
  return std::ranges::count_if(line, [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; });
}

/// What a line after `$ ` prints in a shell that stands in the folder of the copies and finds `deckmark`.
std::string typed(const Copies& jobs, const std::string& command) {
  const char* path = std::getenv("PATH");
  REQUIRE(path != nullptr);
  CommandRun run;
  run.program = "/bin/sh";
  run.args = {"-c", command};
  run.folder = jobs.path();
  run.env = {{"PATH", fs::path(DECKMARK_PROGRAM).parent_path().string() + ":" + path}};
  run.env_without = {"NO_COLOR"};
  const CommandResult r = run.run();
  CHECK(r.exit_code < 126);  // the shell found the command
  std::string text = r.out + r.err;
  std::erase(text, '\r');
  return text;
}

/// What the `console` blocks of a text type, each command with what the text shows of it.
std::vector<std::pair<std::string, std::string>> typed_in(const fs::path& file) {
  std::vector<std::pair<std::string, std::string>> out;
  bool inside = false;
  for (const std::string& line : lines_of(read_bytes(file))) {
    if (line.starts_with("```")) {
      inside = line == "```console";
    } else if (inside && line.starts_with("$ ")) {
      out.emplace_back(line.substr(2), "");
    } else if (inside) {
      REQUIRE(!out.empty());
      out.back().second += line + "\n";
      CHECK_MESSAGE((line.size() <= 80 || line.starts_with("DO NOT LAY OUT")), line);
    }
  }
  return out;
}

}  // namespace

TEST_CASE("the atrium shows one deck mark outside, and nothing else to wonder at") {
  const Copies jobs;
  const CommandResult looked = jobs.run({"check", "atrium-ft-in"});
  CHECK(looked.exit_code == 1);
  CHECK(difference("DO NOT LAY OUT from 1059: deck mark of 1059 (R4-03) is out of plumb by 16.7 mm, "
                   "permitted 6.0 mm; the "
                   "other 94 stand\n",
                   looked.err) == "");
  const CommandResult ran = jobs.run({"run", "atrium-ft-in"});
  CHECK(ran.exit_code == 1);
  CHECK(ran.err == looked.err);
  const auto points = lines_of(jobs.read("atrium-ft-in/out/points.csv"));
  CHECK(count(points, ",hanger,") == 94);
  CHECK(count(points, ",reference,") == 1);
  CHECK(lines_of(jobs.read("atrium-ft-in/out/floor-list.csv")).size() == 95);
  CHECK(lines_of(jobs.read("atrium-ft-in/out/deck-list.csv")).size() == 94);
  const auto plumb = lines_of(jobs.read("atrium-ft-in/out/plumb.csv"));
  CHECK(plumb.size() == 13);
  CHECK(count(plumb, ",outside") == 1);
  CHECK(count(lines_of(jobs.read("atrium-ft-in/out/baseline.csv")), ",within") == 14);
}

TEST_CASE("a second run of the atrium is the same issue: it changes no byte of any file") {
  const Copies jobs;
  jobs.run({"run", "atrium-ft-in"});
  const auto first = snapshot(jobs.path());
  jobs.run({"run", "atrium-ft-in"});
  const auto second = snapshot(jobs.path());
  CHECK(first.size() == second.size());
  for (const auto& file : first) {
    const std::string &name = file.first, &bytes = file.second;
    CAPTURE(name);
    CHECK((second.count(name) == 1 && second.at(name) == bytes));
  }
}

TEST_CASE("the gallery is all within, and so are the starter jobs") {
  const Copies jobs;
  for (const char* job : {"gallery-m", "starter-ft-in", "starter-m"}) {
    CAPTURE(job);
    const CommandResult r = jobs.run({"run", job});
    CHECK(r.exit_code == 0);
    CHECK(r.err == "READY TO LAY OUT\n");
  }
}

TEST_CASE("the foyer has the members, marks and parts that are found by hand") {
  const Copies jobs;
  const CommandResult r = jobs.run({"run", "foyer-m"});
  CHECK(r.exit_code == 0);
  CHECK(r.err ==
        "doubt: arrived.csv: file: 1 of 5 runs cannot begin: O1 lacks 1 O1-P3; see "
        "short.csv\n"
        "READY TO LAY OUT\n");
  const auto lines = [&jobs](const char* file) {
    std::vector<std::string> out = lines_of(jobs.read(std::string("foyer-m/out/") + file));
    out.erase(out.begin());
    return out;
  };
  // Members lie 90 mm beside their run. At the corner of R1 and R3, 90 degrees to the left, the left one is
  // 90 mm shorter and the right one longer. R4 ends on R2's left member: 4.400 less 0.090, and less half of
  // 40 mm. The ring: 2 pi times 1.91 and 2.09.
  CHECK(lines("members.csv") ==
        std::vector<std::string>{"R1,left,14.31000,free,joined,from R2",
                                 "R1,right,14.49000,free,joined,from R2", "R2,left,7.20000,free,free,from R1",
                                 "R2,right,7.20000,free,free,from R1", "R3,left,5.91000,joined,wall,middle",
                                 "R3,right,6.09000,joined,wall,middle", "O1,inside,12.00088,,,first",
                                 "O1,outside,13.13186,,,second", "R4,left,4.29000,wall,joined,from R2",
                                 "R4,right,4.29000,wall,joined,from R2"});
  // R4's left pieces are 2.400 + 2.400 = 4.800 long, 0.510 more than the member.
  CHECK(lines("site-cuts.csv") == std::vector<std::string>{"R4-P2,left,0.51000,finish"});
  // Hangers: 14.0 m over 1.2 m is 12 spaces, 6.8 m 6, 5.6 m 5, 4.0 m 4, the ring's 12.566 m 11, and a line
  // has one more than spaces: 42. One of R1 and one of R4 lie in the first duct; in the second one of R3 and
  // two of the ring; each has two supports. Joints, on two members each: 4 pieces 3, 2 one, 2 one, 4 around
  // 4, and R4 one on each member. Ends on two members: R1 one, R2 two, R3 and R4 one at a wall. Of 37 + 10
  // cuts no three fit into a stock piece. Clips are two a hanger, bolts one for two joints; two pairs that
  // cross meet at four places, R4 ends on one member at two.
  std::string counts;
  for (const std::string& line : lines("parts.csv")) {
    const std::size_t count = line.find(',') + 1, length = line.find(',', count) + 1;
    const std::string member = line.substr(line.rfind(',') + 1);
    counts += line.substr(0, length - 1) + (member.empty() ? " " : "," + member + " ");
  }
  CHECK(counts ==
        "hanger,37 support,10 trapeze,5 joint,20 end,10 crossing,2 corner,1 piece,28 stock,24 piece,10,left "
        "end-left,1,left end-right,2,left piece,10,right end-left,2,right end-right,1,right piece,4,inside "
        "piece,4,outside clip,84 splice,20 bolts,10 cap-left,3 cap-right,3 wall-shoe,4 inner-corner,1 "
        "outer-corner,1 cross-clip,6 ");
  // On the left 14.310 + 7.200 + 5.910 + 4.290, on the right 14.490 + 7.200 + 6.090 + 4.290.
  for (const char* line : {"piece,10,31.71000,left", "piece,10,32.07000,right", "piece,4,12.00088,inside",
                           "piece,4,13.13186,outside"})
    CHECK(std::ranges::count(lines("parts.csv"), line) == 1);
  CHECK(lines("deck-list.csv").size() == 46);  // a list has no header
  CHECK(lines("hangers.csv").size() == 47);
  // Two marks for each of 42 hangers; 20 joints; the ends of 8 members, two each; on R1 two notches on either
  // member and as many crossings on R2; two notches for R4 on R2's left member.
  const std::vector<std::string> marks = lines("piece-marks.csv");
  CHECK(marks.size() == 84 + 20 + 16 + 4 + 4 + 2);
  const auto has = [&marks](const char* line) { return std::ranges::count(marks, line) == 1; };
  // R2's members cross R1's at 4.000 - 0.090 and + 0.090, and R1-P2 begins at 3.600.
  CHECK(has("R1-P2,R1,notch,0.31000,3.91000,left"));
  CHECK(has("R1-P2,R1,notch,0.49000,4.09000,right"));
  CHECK(has("R2-P1,R2,crossing,1.91000,1.91000,left"));
  CHECK(has("R2-P2,R2,notch,1.49000,5.09000,left"));
  CHECK_FALSE(has("R2-P2,R2,notch,1.49000,5.09000,right"));
  // The outside of the corner: R3's right member begins 90 mm before the run, so 1021 stands at 0.200 +
  // 0.090.
  CHECK(has("R3-P1,R3,1021,0.29000,0.20000,right"));
  CHECK(has("R3-P1,R3,1021,0.11000,0.20000,left"));
  CHECK(has("R3-P1,R3,end,0.00000,-0.09000,right"));
  // A joint of the ring: a quarter of 12.566, of 12.001 inside and of 13.132 outside.
  CHECK(has("O1-P1,O1,joint,3.00023,3.14160,inside"));
  CHECK(has("O1-P1,O1,joint,3.28297,3.14160,outside"));
  CHECK(std::ranges::count(lines("short.csv"), "O1-P3,2,2,2,1,1,O1") == 1);
  CHECK(jobs.read("foyer-m/out/report.html").find("1 of 5 runs cannot begin") != std::string::npos);
  const std::string summary = jobs.read("foyer-m/out/summary.txt");
  CHECK(summary.find("RUNS THAT CANNOT BEGIN") < summary.find("BASELINES"));
  for (const std::string& line : lines_of(r.out)) CHECK_MESSAGE(line.size() <= 80, line);
}

TEST_CASE("the workshop is laid out from its sheet, with nothing to wonder at") {
  const Copies jobs;
  const CommandResult looked = jobs.run({"check", "workshop-ft-in"});
  CHECK(looked.out.find("no doubts") != std::string::npos);
  const CommandResult r = jobs.run({"run", "workshop-ft-in"});
  CHECK(r.exit_code == 0);
  CHECK(r.err == "READY TO LAY OUT\n");
  // By hand: 28 ft of R1 in spaces of 4 ft are 8 hangers, 14 ft of R2 and R3 in four spaces 5 each.
  const auto rows = lines_of(jobs.read("workshop-ft-in/out/offsets.csv"));
  CHECK(rows.size() == 1 + 8 + 5 + 5);
  // Sides and diagonals of the corner marks, and the squareness.
  const auto checks = lines_of(jobs.read("workshop-ft-in/out/checks.csv"));
  CHECK(count(checks, "length,") == 6);
  CHECK(count(checks, ",within,") == 7);
  CHECK(count(lines_of(jobs.read("workshop-ft-in/out/plumb.csv")), ",within") == 4);
  CHECK(!fs::exists(jobs.path() / "workshop-ft-in/out/setup.csv"));
  for (const std::string& line : lines_of(jobs.read("workshop-ft-in/out/offset-sheet.txt")))
    CHECK_MESSAGE(line.size() <= 80, line);
}

TEST_CASE("the lounge goes from strings to brackets without an instrument") {
  const Copies jobs;
  const CommandResult first = jobs.run({"baseline", "lounge-ft-in/taped-first.toml"});
  CHECK(first.exit_code == 1);
  CHECK(first.out.find("Move B3 1/2\" away from B4, then tape again.") != std::string::npos);
  const CommandResult r = jobs.run({"run", "lounge-ft-in", "--details"});
  CHECK(r.exit_code == 0);
  CHECK(r.err.find("doubt: ") == std::string::npos);
  CHECK(r.err.ends_with("READY TO LAY OUT\n"));
  const auto rows = [&jobs](const std::string& file) {
    return lines_of(jobs.read("lounge-ft-in/out/" + file));
  };
  CHECK(rows("corners.csv").size() == 1);  // no mark left to move
  CHECK(!fs::exists(jobs.path() / "lounge-ft-in/out/floor-list.csv"));
  // Four runs of 39 ft between first and last hanger, in spaces of 6 1/2 ft: seven each; one is bridged by
  // two.
  CHECK(rows("offsets.csv").size() == 1 + 4 + 4 * 7 + 2);
  CHECK(rows("hangers.csv").size() == 1 + 4 * 7 - 1 + 2);
  CHECK(count(rows("plumb.csv"), ",within") == 6);
  CHECK(count(rows("asbuilt.csv"), ",within") == 8);
  // By hand, in inches: 45 7/16 - 11 5/8 + 8 3/16 - 60 13/16 is 18 13/16 down, the benchmarks say 18 3/4.
  CHECK(r.out.find("line from BM1 over L1, L2 to BM2    1/16 in low ") != std::string::npos);
  // The beam is read 3.43 in above COL1, which BM1 puts at 101.1875 ft + 45 7/16 - 11 5/8 in: 104.005 ft;
  // R1-01 is read 9'-0 9/16" above the beam: 113.338 ft, 3'-10 1/16" over a bracket at 109.5 ft, and 5 in are
  // added.
  const auto hanger = rows("hangers.csv").at(1);
  CHECK_MESSAGE(hanger.starts_with("1005,R1-01,3.84"), hanger);
  CHECK_MESSAGE(hanger.find(",4.27083,") != std::string::npos, hanger);  // 4'-3 1/4"
  // The trapeze hangs 8 in higher than a bracket.
  CHECK(r.out.find(", 2 x 3'-7 1/4\"") != std::string::npos);
  for (const std::string& line : rows("offset-sheet.txt")) CHECK_MESSAGE(line.size() <= 76, line);
}

TEST_CASE("the lounge runs after what was taped first, and its floor is laid out before heights are read") {
  const Copies jobs;
  CHECK(jobs.run({"run", "lounge-ft-in/taped-first.toml"}).exit_code == 1);
  CHECK(jobs.run({"run", "lounge-ft-in"}).exit_code == 0);
  const std::string whole = jobs.read("lounge-ft-in/job.toml");
  std::string job = whole;
  for (const char* section : {"[heights]", "[plumb]"}) {
    const std::size_t from = job.find(section);
    REQUIRE(from != std::string::npos);
    job.erase(from, job.find("\n[", from) + 1 - from);
  }
  write_bytes(jobs.path() / "lounge-ft-in/job.toml", job);
  for (const char* kept : {"out", "numbers.csv", "issued.csv"})
    fs::remove_all(jobs.path() / "lounge-ft-in" / kept);
  const CommandResult floor = jobs.run({"run", "lounge-ft-in"});
  CAPTURE(floor.err);
  CHECK(floor.exit_code == 0);
  CHECK(count(lines_of(floor.err), "doubt: ") == 1);
  CHECK(floor.err.find("29 hangers without a drop") != std::string::npos);
  // Put back, they change what is issued: a revision of its own, else a doubt.
  const std::string first = "revision = \"A\"";
  REQUIRE(whole.find(first) != std::string::npos);
  for (const auto& [revision, doubts] : {std::pair{"revision = \"A\"", 1U}, {"revision = \"B\"", 0U}}) {
    std::string next = whole;
    write_bytes(jobs.path() / "lounge-ft-in/job.toml",
                next.replace(next.find(first), first.size(), revision));
    const CommandResult r = jobs.run({"check", "lounge-ft-in"});
    CAPTURE(r.err);
    CHECK(r.exit_code == 0);
    CHECK(count(lines_of(r.err), "doubt: ") == doubts);
  }
}

TEST_CASE("the arcade stands where its control says, and its slip is named") {
  const Copies jobs;
  const CommandResult r = jobs.run({"run", "arcade-m"});
  CHECK(r.exit_code == 0);
  CHECK(r.err == "READY TO LAY OUT\n");
  CHECK(count(lines_of(jobs.read("arcade-m/out/setup.csv")), ",within") == 2);
  // S1: 4 control points, 4 column faces and 5 deck points; S2: 3 control points and 2 marks of the list;
  // three rows each but side shots.
  CHECK(lines_of(jobs.read("arcade-m/out/sights.csv")).size() == 1 + 4 * 3 + 3 * 3 + 2 * 3);
  CHECK(lines_of(jobs.read("arcade-m/out/shots-S1.csv")).size() == 1 + 4 + 5);
  CHECK(lines_of(jobs.read("arcade-m/out/marks-S2.csv")).size() == 1 + 2);
  CHECK(lines_of(jobs.read("arcade-m/out/net.csv")).size() == 1 + 4 + 4 + 5 + 2);
  CHECK(lines_of(jobs.read("arcade-m/out/stake-S1.csv")).size() == 1 + 31 + 31 + 2 * 4);
  CHECK(lines_of(jobs.read("arcade-m/out/plan-P1.csv")).size() == 1 + 31 + 31);
  // No coordinate of a tie or of a deck shot is typed.
  CHECK(lines_of(jobs.read("arcade-m/ties.csv")).at(0) == "mark,x,y");
  CHECK(lines_of(jobs.read("arcade-m/deck.csv")).at(0) == "shot");
  CHECK(jobs.run({"setup", "arcade-m/reflector.toml"}).exit_code == 1);
  for (const char* command : {"setup", "stake", "plan"})
    for (const std::string& line : lines_of(jobs.run({command, "arcade-m"}).out))
      CHECK_MESSAGE(line.size() <= 80, line);
}

TEST_CASE("the hall has two causes, told in the tables too") {
  const Copies jobs;
  CHECK(jobs.run({"run", "hall-m"}).exit_code == 1);
  const auto causes = lines_of(jobs.read("hall-m/out/causes.csv"));
  REQUIRE(causes.size() == 3);
  CHECK(causes[1].starts_with("reflector-constant,setup CP3,floor,0.01"));
  CHECK(causes[2].starts_with("one-point,all,floor,0.01"));
  const auto shots = lines_of(jobs.read("hall-m/out/asbuilt.csv"));
  CHECK(shots.size() == 41);
  CHECK(count(shots, ",outside,") == 21);
}

TEST_CASE("every command keeps to 80 columns on every demo job, and so does every help") {
  // Not folded: the verdict is one line wherever it is told, so that scripts find it whole.
  const auto is_verdict = [](std::string_view line) {
    return line.starts_with("DO NOT LAY OUT") || line.starts_with("BASELINES NOT CHECKED: ");
  };
  const Copies jobs;
  std::size_t lines = 0;
  const auto look = [&](const std::vector<std::string>& args) {
    for (const std::string& line : lines_of(jobs.run(args).out)) {
      ++lines;
      CHECK_MESSAGE((characters(line) <= 80 || is_verdict(line)),
                    args[0] << " " << args.back() << ": " << line);
    }
  };
  const std::vector<std::string> commands{"check", "baseline", "ground",  "asbuilt", "setup",
                                          "stake", "plan",     "offsets", "heights", "run"};
  std::vector<std::string> files;
  for (const auto& entry : fs::recursive_directory_iterator(kData))
    if (entry.path().extension() == ".toml")
      files.push_back((entry.path().parent_path().filename() / entry.path().filename()).string());
  std::ranges::sort(files);
  CHECK(files.size() >= 8);
  for (const std::string& file : files)
    for (const std::string& command : commands) look({command, file});
  for (const char* setup : {"S1", "S2"}) look({"stake", "arcade-m", "--setup", setup});
  look({"fieldtest", "arcade-m/directions.csv", "--sd", "0-00-02"});
  look({"new", "fresh"});
  for (const std::string& command : commands) look({command, "--help"});
  look({"new", "--help"});
  look({"fieldtest", "--help"});
  look({"--help"});
  CHECK(lines > 1000);
}

TEST_CASE("what the README and those beside the jobs paste is what the program prints, in 80 columns") {
  std::vector<fs::path> files{fs::path(DECKMARK_TESTS_DIR).parent_path() / "README.md"};
  for (const auto& job : fs::directory_iterator(kData))
    if (!job.path().filename().string().starts_with("starter-")) files.push_back(job.path() / "README.md");
  CHECK(files.size() >= 8);
  for (const fs::path& file : files) {
    CAPTURE(file.string());
    REQUIRE(fs::exists(file));
    const Copies jobs;  // each text starts afresh, in the folder that holds the copies
    const auto commands = typed_in(file);
    const std::string job = file.parent_path().filename().string();
    CHECK((file == files.front() || std::ranges::any_of(commands, [&](const auto& c) {
             return c.first.find(job) != std::string::npos;
           })));
    for (const auto& [command, shown] : commands) {
      CAPTURE(command);
      const std::string wrong = difference(shown, typed(jobs, command));
      CHECK_MESSAGE(wrong.empty(), wrong);
    }
  }
}

TEST_CASE("the README is read in ten minutes, and no text is wider than a page") {
  const fs::path top = fs::path(DECKMARK_TESTS_DIR).parent_path();
  CHECK(lines_of(read_bytes(top / "README.md")).size() < 250);
  for (const auto& line : lines_of(read_bytes(top / "README.md")))
    CHECK_MESSAGE(characters(line) <= 110, line);
}
