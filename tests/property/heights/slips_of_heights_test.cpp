// Slips of a crew with staff and laser: what is refused, what is a check outside, what is a doubt, and
// whether the message names what has to be looked at. Words are asked for loosely: one of those between bars.
#include <doctest/doctest.h>

#include <algorithm>
#include <map>
#include <optional>
#include <sstream>
#include <string>
#include <vector>

#include "command/job_folder.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

using Files = std::map<std::string, std::string>;

/// A floor of four points, a line between two benchmarks that closes to nothing, a standing that agrees.
Files good_job() {
  return {
      {"job.toml",
       "[drawing]\npoints = \"drawing.csv\"\n[heights]\nbenchmarks = \"benchmarks.csv\"\n"
       "level = \"level.csv\"\nlaser = \"laser.csv\"\nbeam_sd = \"10\\\"\"\n[floor]\nelevation = \"9 m\"\n"},
      {"drawing.csv", "point,x,y,height\nH1,0,0,2.5\nH2,3,0,2.5\nH3,0,3,2.5\nH4,3,3,2.5\n"},
      {"benchmarks.csv", "point,elevation\nBM1,10.000\nBM2,10.500\nBM3,10.200\n"},
      {"level.csv",
       "setup,target,back,fore,distance\n"
       "S1,BM1,1.500,,20\n"    // 2
       "S1,H1,,2.495,15\n"     // 3
       "S1,TP1,,1.200,20\n"    // 4
       "S2,TP1,1.600,,20\n"    // 5
       "S2,H2,,2.900,15\n"     // 6
       "S2,BM2,,1.400,20\n"},  // 7
      {"laser.csv",
       "laser,target,level,reading,target_is,distance,housing\n"
       "L1,BM1,,1.300,below,10,\n"     // 2
       "L1,H3,deck,2.000,above,8,\n"   // 3
       "L1,H4,deck,2.010,above,9,\n"   // 4
       "L1,BM3,,1.100,below,10,\n"}};  // 5
}

/// One change to a file: the text that stands there, and what stands there instead.
struct Edit {
  std::string file, from, to;
};

struct Slip {
  std::string name;
  std::vector<Edit> edits;
  int status = 0;
  std::vector<std::string> words = {};     ///< each one of its alternatives, in what is printed
  std::string file = {};                   ///< of the problem; with status 2
  std::size_t line = 0;                    ///< 0: any
  std::string field = {};                  ///< empty: any
  std::optional<int> contradictions = {};  ///< doubts of what closes or contradicts; nothing: any
};

Files edited(const Slip& slip) {
  Files files = good_job();
  for (const Edit& e : slip.edits) {
    std::string& bytes = files[e.file];
    const std::size_t at = bytes.find(e.from);
    REQUIRE_MESSAGE(at != std::string::npos, slip.name << ": " << e.from);
    bytes.replace(at, e.from.size(), e.to);
  }
  return files;
}

/// Alternatives are parted by bars.
bool says_one(const std::string& all, const std::string& words) {
  std::istringstream in(words);
  for (std::string word; std::getline(in, word, '|');)
    if (says(all, word)) return true;
  return false;
}

void check_slip(const Slip& slip) {
  CAPTURE(slip.name);
  JobFolder folder;
  for (const auto& [name, bytes] : edited(slip)) folder.write(name, bytes);
  const auto before = folder.snapshot();
  const CommandResult ran = folder.run();
  CHECK_MESSAGE(ran.exit_code == slip.status, ran.err);
  std::string all = ran.out + ran.err;
  if (slip.status == 2) {
    check_refused(folder, before, ran);
    const auto problems = problem_lines(ran.err);
    CHECK_MESSAGE(std::any_of(problems.begin(), problems.end(),
                              [&](const ToldLine& told) {
                                return told.file == slip.file && (slip.line == 0 || told.line == slip.line) &&
                                       (slip.field.empty() || told.field == slip.field);
                              }),
                  ran.err);
  } else {
    const CommandResult looked = folder.run({"heights", "."});
    CHECK(looked.exit_code == slip.status);
    all += looked.out + looked.err;
  }
  if (slip.contradictions) {
    const auto lines = lines_of(ran.err);
    const auto told = std::count_if(lines.begin(), lines.end(), [](const std::string& line) {
      return line.rfind("doubt: ", 0) == 0 && says_one(line, "permitted|by the others");
    });
    CHECK_MESSAGE(told == *slip.contradictions, ran.err);
  }
  for (const std::string& words : slip.words)
    CHECK_MESSAGE(says_one(all, words), words << " is not in\n" << all);
}

void check_slips(const std::vector<Slip>& slips) {
  for (const Slip& slip : slips) check_slip(slip);
}

const std::string kLevel = "level.csv", kLaser = "laser.csv", kMarks = "benchmarks.csv", kJob = "job.toml";

}  // namespace

TEST_CASE("what all of this begins with is good") {
  check_slip({"nothing", {}, 0, {"BM1", "BM2", "L1"}});
  JobFolder folder;
  for (const auto& [name, bytes] : good_job()) folder.write(name, bytes);
  const CommandResult ran = folder.run();
  REQUIRE(ran.exit_code == 0);
  // Two soffits are no deck for the other points, which is told; of the readings themselves there is no word.
  for (const std::string& line : lines_of(ran.err)) {
    if (says(line, "the deck was measured at 2 points")) continue;
    for (const char* word : {"BM", "level.csv", "laser.csv"}) CHECK_MESSAGE(!says(line, word), ran.err);
  }
}

TEST_CASE("a closure outside its limit is a check outside, told with what explains it") {
  check_slips({
      {"100 mm off", {{kLevel, "1.400,20", "1.300,20"}}, 1, {"BM2", "100 mm|100.0 mm|0.100 m|0.1 m"}},
      {"a metre off", {{kLevel, "1.600,,20", "2.600,,20"}}, 1, {"BM2", "1 m|1.000 m|1000 mm"}},
      {"readings of S1 exchanged",
       {{kLevel, "1.500,,20", "1.200,,20"}, {kLevel, "TP1,,1.200,20", "TP1,,1.500,20"}},
       1,
       {"exchange|swap", "S1"}},
      {"S1 read in feet",
       {{kLevel, "1.500,,20", "4.9213,,20"},
        {kLevel, ",,2.495", ",,8.1857"},
        {kLevel, "TP1,,1.200", "TP1,,3.9370"}},
       1,
       {"BM2", "feet|foot| ft"}},
      {"BM2 with its old height", {{kMarks, "10.500", "10.530"}}, 1, {"BM2", "30 mm|30.0 mm|0.030 m|0.03 m"}},
      {"two benchmarks of one beam differ",
       {{kLaser, "BM3,,1.100", "BM3,,1.125"}},
       1,
       {"BM1", "BM3", "25 mm|25.0 mm|0.025 m", "L1"}},
      {"a benchmark re-read at the end", {{kLaser, "L1,BM3,,1.100", "L1,BM1,,1.310"}}, 1, {"BM1", "L1"}},
      {"two backs of one set-up differ",
       {{kLevel, "S1,H1,,2.495,15", "S1,BM3,1.320,,15"}},
       1,
       {"BM3", "S1|BM1", "20 mm|20.0 mm|0.020 m"}},
  });
}

TEST_CASE("a closure is told once, by itself; a reading beside it where it is singled out") {
  Slip line{"a line", {{kLevel, "1.400,20", "1.377,20"}}, 1},
      beam{"a beam", {{kLaser, "BM3,,1.100", "BM3,,1.125"}}, 1},
      single{
          "BM3 by a staff, where a beam has it right", {{kLevel, "S1,H1,,2.495,15", "S1,BM3,1.320,,15"}}, 1};
  line.contradictions = beam.contradictions = 1, single.contradictions = 2;
  single.words = {"level.csv:3:8: back: BM3 read from S1"};
  check_slips({line, beam, single});
}

TEST_CASE("a closure at its limit is within, a little more is not, and loop_limit moves it") {
  check_slips({
      {"3.0 mm of a line", {{kLevel, "1.400,20", "1.397,20"}}, 0, {"3 mm|3.0 mm|0.003 m"}},
      {"3.1 mm of a line", {{kLevel, "1.400,20", "1.3969,20"}}, 1, {"3.1 mm|0.0031 m"}},
      {"3.0 mm of a beam",
       {{kLaser, "BM3,,1.100", "BM3,,1.103"}, {kJob, "[heights]", "[heights]\nloop_limit = \"3 mm\""}},
       0,
       {}},
      {"3.1 mm of a beam",
       {{kLaser, "BM3,,1.100", "BM3,,1.1031"}, {kJob, "[heights]", "[heights]\nloop_limit = \"3 mm\""}},
       1,
       {}},
      {"4 mm of 5",
       {{kLevel, "1.400,20", "1.396,20"}, {kJob, "[heights]", "[heights]\nloop_limit = \"5 mm\""}},
       0,
       {}},
      {"2 mm of 1",
       {{kLevel, "1.400,20", "1.398,20"}, {kJob, "[heights]", "[heights]\nloop_limit = \"1 mm\""}},
       1,
       {}},
  });
}

TEST_CASE("what cannot be meant is refused at its place") {
  check_slips({
      {"a name that is a number too",
       {{"drawing.csv", "H1,0", "1002,0"}, {kLevel, "S1,H1", "S1,1002"}},
       2,
       {"1002"},
       kLevel,
       3,
       "target"},
      {"target_is empty", {{kLaser, "2.000,above", "2.000,"}}, 2, {"below", "above"}, kLaser, 3, "target_is"},
      {"target_is another word", {{kLaser, "2.000,above", "2.000,up"}}, 2, {"below"}, kLaser, 3, "target_is"},
      {"a laser without target_is", {{kLaser, "target_is", "which"}}, 2, {"target_is"}, kLaser, 0, ""},
      {"a standing that reads no benchmark",
       {{kLaser, "L1,BM3,,1.100", "L2,F1,,1.100"}},
       2,
       {"F1|L2", "benchmark"},
       kLaser,
       0,
       ""},
      {"beam and beam_sd", {{kJob, "beam_sd", "beam = \"3 mm at 10 m\"\nbeam_sd"}}, 2, {"beam"}, kJob, 0, ""},
      {"neither beam nor beam_sd", {{kJob, "beam_sd = \"10\\\"\"\n", ""}}, 2, {"beam"}, kJob, 0, ""},
      {"a beam that is no figure of papers",
       {{kJob, "beam_sd = \"10\\\"\"", "beam = \"3 mm\""}},
       2,
       {"at"},
       kJob,
       0,
       "heights.beam"},
      {"housing 45", {{kLaser, "above,8,", "above,8,45"}}, 2, {"45", "180"}, kLaser, 3, "housing"},
      {"no distance of a laser", {{kLaser, "above,8,", "above,,"}}, 2, {"distance"}, kLaser, 3, "distance"},
      {"back and fore in one row",
       {{kLevel, "1.500,,20", "1.500,1.2,20"}},
       2,
       {"back", "fore"},
       kLevel,
       2,
       ""},
      {"neither back nor fore", {{kLevel, "1.500,,20", ",,20"}}, 2, {"back", "fore"}, kLevel, 2, ""},
      {"another level", {{kLaser, "H3,deck", "H3,roof"}}, 2, {"roof", "deck"}, kLaser, 3, "level"},
      {"one benchmark twice", {{kMarks, "BM3,10.200", "bm1,10.020"}}, 2, {"BM1|bm1"}, kMarks, 4, "point"},
      {"a benchmark without height",
       {{kMarks, "BM3,10.200", "BM3,"}},
       2,
       {"elevation"},
       kMarks,
       4,
       "elevation"},
      {"no benchmarks", {{kJob, "benchmarks = \"benchmarks.csv\"\n", ""}}, 2, {"benchmarks"}, kJob, 0, ""},
      {"a reading that is none", {{kLevel, "1.500,,20", "1.5o0,,20"}}, 2, {"1.5o0"}, kLevel, 2, "back"},
  });
}

TEST_CASE("several slips are told in one round") {
  Slip slip{
      "three",
      {{kLaser, "2.000,above", "2.000,"}, {kLevel, "1.500,,20", ",,20"}, {kMarks, "BM3,10.200", "BM3,"}},
      2,
      {"benchmarks.csv:4:", "level.csv:2:", "laser.csv:3:"},
      kLaser,
      3,
      "target_is"};
  check_slip(slip);
}

TEST_CASE("what is only odd is a doubt or told") {
  check_slips({
      {"a sight of 120 m", {{kLevel, "1.500,,20", "1.500,,120"}}, 0, {"120 m|120.0 m|120.00 m", "100 m"}},
      {"a laser's sight of 101 m",
       {{kLaser, "above,8,", "above,101,"}},
       0,
       {"101 m|101.0 m|101.00 m", "100 m"}},
      {"two housings",
       {{kLaser, "L1,H3,deck,2.000,above,8,", "L1,H3,deck,2.002,above,10,0\nL1,H3,deck,1.998,above,10,180"}},
       0,
       {"L1 at H3", "turned half round", "off by 2.0 mm over 10.0 m"}},
  });
  // Up to the 100 m nothing is said.
  JobFolder folder;
  for (const auto& [name, bytes] : edited({"100 m", {{kLevel, "1.500,,20", "1.500,,100"}}, 0, {}}))
    folder.write(name, bytes);
  CHECK(!says(folder.run().err, "100 m"));
}

TEST_CASE("a bracket that was shot and levelled has both rows, and is told") {
  Files files = good_job();
  files["laser.csv"] += "L1,H1,bracket,0.200,above,5,\n";
  files["asbuilt.csv"] = "point,x,y,elevation,level\nH1,0.001,0.001,11.502,bracket\n";
  files["job.toml"] += "[asbuilt]\nshots = \"asbuilt.csv\"\n";
  JobFolder folder;
  for (const auto& [name, bytes] : files) folder.write(name, bytes);
  const CommandResult ran = folder.run();
  REQUIRE_MESSAGE(ran.exit_code <= 1, ran.err);
  const std::string all = ran.out + ran.err;
  CHECK_MESSAGE(says_one(all, "twice|two|both|2 times"), all);
  CHECK_MESSAGE(says_one(all, "H1|1001"), all);
  std::size_t rows = 0;
  for (const auto& row : named_rows(folder.read("out/asbuilt.csv")))
    rows += row.at("point") == "H1" && row.at("level") == "bracket";
  CHECK(rows == 2);
}
