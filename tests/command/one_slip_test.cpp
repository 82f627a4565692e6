// One slip in a job that is sound: the real program names what was keyed wrongly, once, and nothing that is
// right. The jobs are those of data; expected figures are worked out by hand from the numbers there.
#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include "job_folder.h"

using namespace deckmark_test;

namespace {

/// Text of a file of a job, and what was keyed in its place.
struct Slip {
  std::string job, file, good, bad;
  int exit;
  std::vector<std::string> lines;  ///< all doubts and problems, the beginning of each
  std::string command = "check";
};

/// Doubts and problems: all lines of standard error but notices, the count and the verdict.
/// What the foyer tells as it is: a piece came bent.
const std::string kFoyerParts = "doubt: arrived.csv: file: 1 of 5 runs cannot begin: O1 lacks 1 O1-P3";

std::vector<std::string> told_lines(const std::string& err) {
  std::vector<std::string> out;
  std::size_t begin = 0;
  while (begin < err.size()) {
    const std::size_t end = std::min(err.find('\n', begin), err.size());
    const std::string line = err.substr(begin, end - begin);
    if (line.find(".csv:") != std::string::npos || line.find(".toml:") != std::string::npos)
      if (!line.starts_with("notice:")) out.push_back(line);
    begin = end + 1;
  }
  return out;
}

void check(const Slip& slip) {
  CAPTURE(slip.job);
  CAPTURE(slip.bad);
  JobFolder job;
  std::filesystem::copy(std::filesystem::path(DECKMARK_DATA_DIR) / slip.job, job.path(),
                        std::filesystem::copy_options::recursive);
  std::string text = job.read(slip.file);
  const std::size_t at = text.find(slip.good);
  REQUIRE(at != std::string::npos);
  job.write(slip.file, text.replace(at, slip.good.size(), slip.bad));
  const CommandResult r = job.run({slip.command, "."});
  CAPTURE(r.err);
  CHECK(r.exit_code == slip.exit);
  const std::vector<std::string> told = told_lines(r.err);
  REQUIRE(told.size() == slip.lines.size());
  for (std::size_t i = 0; i < told.size(); ++i) {
    CAPTURE(slip.lines[i]);
    CHECK(told[i].starts_with(slip.lines[i]));
  }
}

}  // namespace

TEST_CASE("one slip: a deck shot that is wrong is told alone, at its row") {
  const std::string shot = "deck.csv:5:22: elevation: found shot D3 ";
  for (const Slip& s : std::vector<Slip>{
           {"starter-m",
            "deck.csv",
            "2146.827,16.198",
            "2146.827,53.143",
            2,
            {shot + "36.9447 m above the plane"}},
           {"starter-m", "deck.csv", "2146.827,16.198", "2146.827,161.98", 2, {shot + "145.7817 m above"}},
           {"starter-m", "deck.csv", "2146.827,16.198", "2146.827,1.6198", 2, {shot + "14.5785 m below"}},
           {"starter-m",
            "deck.csv",
            "2146.827,16.198",
            "2146.827,17.198",
            0,
            {"doubt: deck.csv:5:22: elevation: shot D3 stands 999.7 mm above the plane of the others"}},
           {"starter-m",
            "deck.csv",
            "5314.388,2146.827",
            "2146.827,5314.388",
            0,
            {"doubt: deck.csv:5:1: shot: shot D3 lies 4475.6784 m from the nearest other, and the others "
             "within "
             "8.0624 m of one another: its northing and easting look exchanged"}},
           {"atrium-ft-in",
            "deck.csv",
            "4818.857",
            "4181.857",
            1,
            {"doubt: deck.csv:3:1: shot: shot D1 lies 640.2598 m from the nearest other, and the others "
             "within "
             "19.5550 m of one another: check the digits of its northing"}},
           {"atrium-ft-in",
            "deck.csv",
            "28.1219",
            "29.1219",
            1,
            {"doubt: deck.csv:8:22: elevation: shot D6 stands 1.0021 m above the plane of the others"}},
           {"foyer-m",
            "deck.csv",
            "24.317\nH4",
            "25.317\nH4",
            0,
            {"doubt: deck.csv:5:25: elevation: shot H3 stands 1.0005 m above the plane of the others",
             kFoyerParts}},
           {"concourse-us-ft",
            "deck.csv",
            "5278.510",
            "5278510",
            2,
            {"deck.csv:3:27: elevation: found shot D01 5273231.4894 us-ft above the plane of the others, "
             "expected "
             "about 5278.511 us-ft there"}}})
    check(s);
}

TEST_CASE("one slip: a tie that is wrong is told alone, by as much as it is off") {
  for (const Slip& s : std::vector<Slip>{
           {"starter-m",
            "ties.csv",
            "5310.7498,2150.3998",
            "2150.3998,5310.7498",
            1,
            {"doubt: ties.csv:3:1: mark: tie B1: looks like northing and easting exchanged; put right, the "
             "ties "
             "fit within 0.7 mm (rms)"}},
           // 100 mm east are 56 mm along X and 83 mm along Y of a drawing turned by 34 degrees; B4 is 1 mm
           // off itself.
           {"starter-m",
            "ties.csv",
            "5321.5665,2150.4981",
            "5321.5665,2150.5981",
            1,
            {"doubt: ties.csv:6:1: mark: without B4 the other ties fit within 0.5 mm",
             "doubt: ties.csv:6:4: x: x of tie B4 is contradicted by the others: it seems to be off by 57.",
             "doubt: ties.csv:6:10: y: y of tie B4 is contradicted by the others: it seems to be off by "
             "83."}},
           {"foyer-m",
            "ties.csv",
            "F6,17.000,10.000",
            "F6,17.000,10.010",
            1,
            {"doubt: ties.csv:5:1: mark: without F6 the other ties fit within 1.1 mm",
             "doubt: ties.csv:5:11: y: y of tie F6 is contradicted by the others: it seems to be off by 9.9 "
             "mm",
             kFoyerParts}},
           {"starter-m",
            "ties.csv",
            "northing,easting",
            "northing (ft),easting (ft)",
            2,
            {"ties.csv:2:10: northing: found northing and easting read as feet, expected metres: so read the "
             "ties "
             "fit within 0.7 mm (rms)"}},
           {"starter-m",
            "ties.csv",
            "mark,x,y",
            "mark,y,x",
            2,
            {"ties.csv: file: found ties that misfit by 6.000 m as drawn and by 0.001 m mirrored, expected "
             "ties "
             "that fit a drawing that is not mirrored; try exchange x and y of the ties, or exchange "
             "northing"}}})
    check(s);
}

TEST_CASE("one slip: control and angles of setups") {
  check({"arcade-m", "job.toml", "[instrument]\n", "[instrument]\nangles = \"degrees\"\n", 0, {}});
  JobFolder job;
  std::filesystem::copy(std::filesystem::path(DECKMARK_DATA_DIR) / "arcade-m", job.path(),
                        std::filesystem::copy_options::recursive);
  std::string control = job.read("control.csv");
  job.write("control.csv", control.replace(control.find("northing,easting"), 16, "easting,northing"));
  const CommandResult r = job.run({"setup", "."});
  CAPTURE(r.err);
  CHECK(r.exit_code == 1);
  // The ties are read by these setups: what they make of them is not judged.
  CHECK(r.out.find("WRONG: northing and easting of the control are exchanged: the other way") !=
        std::string::npos);
  CHECK(r.err.find("CP3") == std::string::npos);
  CHECK(r.err.find("mark 1001") == std::string::npos);
}
