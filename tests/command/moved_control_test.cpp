// Control that is issued anew under ties and setups: what every command says of it, and what is kept.
#include <doctest/doctest.h>

#include <filesystem>
#include <string>
#include <vector>

#include "job_folder.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

struct Move {
  double north = 0, east = 0, up = 0;
};

/// Five control points; those of `moves` lie elsewhere, all where there is but one.
std::string control(const std::vector<Move>& moves = {{}}, double metres_a_unit = 1) {
  struct At {
    double n, e;
  };
  std::string rows = "point,northing,easting,elevation\n";
  const At all[] = {
      {5427900, 1748100}, {5427920, 1748100}, {5427900, 1748130}, {5427950, 1748140}, {5427870, 1748090}};
  for (std::size_t i = 0; i < 5; ++i) {
    const Move move = moves.size() == 1 ? moves[0] : i < moves.size() ? moves[i] : Move{};
    rows += text("CP%d,%.6f,%.6f,%.6f\n", static_cast<int>(i + 1), (all[i].n + move.north) / metres_a_unit,
                 (all[i].e + move.east) / metres_a_unit, (10 + move.up) / metres_a_unit);
  }
  return rows;
}

const std::string kDrawing = "point,x,y\nA,3,4\nB,4,4\nC,27,16\n",
                  kMoved = "point,x,y\nA,3,4\nB,4,4\nC,27,16.1\n";
const std::string kSite = "[site]\ncontrol = \"control.csv\"\n";
const std::string kRest =
    "[drawing]\npoints = \"drawing.csv\"\n[floor]\nelevation = \"10 m\"\n[baselines]\nties = \"ties.csv\"\n"
    "[asbuilt]\nshots = \"asbuilt.csv\"\n[instrument]\nangles = \"degrees\"\nangle_sd = \"2\\\"\"\n"
    "distance_sd = \"2 mm\"\n[[setup]]\nname = \"S1\"\nat = \"CP1\"\nheight = \"1.5 m\"\nobservations = "
    "\"s1.csv\"\n"
    "[[setup]]\nname = \"P1\"\nnorthing = \"5427905 m\"\neasting = \"1748105 m\"\nplan = [\"CP2\", "
    "\"CP3\"]\n";

/// A job that has been run once. S1 stands on CP1 and sights CP2, CP3 and the tie B4.
struct Job : JobFolder {
  explicit Job(const std::string& more = "") {
    write("job.toml", kSite + more + kRest);
    write("drawing.csv", kDrawing);
    write("control.csv", control());
    write("ties.csv",
          "mark,x,y,northing,easting\nB1,0,0,5427900,1748100\nB2,30,0,5427900,1748130\n"
          "B3,0,20,5427920,1748100\nB4,30,20,5427920,1748130\n");
    write("asbuilt.csv", "point,x,y\nA,3.001,4\n");
    write("s1.csv",
          "target,circle,zenith,slope,height\nCP2,0,90,20,1.5\nCP3,90,90,30,1.5\nB4,56.309932,90,36.055513,1."
          "5\n");
    const CommandResult first = run({"run", "."});
    CAPTURE(first.err);
    REQUIRE(first.exit_code == 0);
    REQUIRE(!says(first.err, "moved by"));
  }
  /// The doubts of control that moved, one a line.
  std::string told(std::vector<std::string> args) const {
    const CommandResult result = run(std::move(args));
    CAPTURE(result.err);
    CHECK(result.exit_code <= 1);
    std::string out, line;
    for (const char c : result.err) {
      if (c != '\n') {
        line += c;
        continue;
      }
      if (says(line, "moved by")) out += line + "\n";
      line.clear();
    }
    return out;
  }
};

const std::vector<std::string> kCommands{"run", "check", "baseline", "setup", "stake", "plan", "asbuilt"};
const std::string kCure = ": measure the ties again, or put the old control back\n";
const std::string kTouched =
    "; setups S1, P1 sight it; setup S1 stands on it; 3 marks are staked from there; tie B4 was measured "
    "with "
    "it";
const std::string kAll = "(CP1, CP2, CP3, CP4, CP5)";

}  // namespace

TEST_CASE("the control that an issue is made with is kept beside the ledger") {
  const Job job;
  CHECK(job.read("issued-control.csv") ==
        "issue,point,northing (m),easting (m),elevation (m)\n1,CP1,5427900.000000,1748100.000000,10.000000\n"
        "1,CP2,5427920.000000,1748100.000000,10.000000\n1,CP3,5427900.000000,1748130.000000,10.000000\n"
        "1,CP4,5427950.000000,1748140.000000,10.000000\n1,CP5,5427870.000000,1748090.000000,10.000000\n");
  const std::string files = job.run({"help", "files"}).out;
  CHECK(says(files, "issued-control.csv"));
  // A ledger of another name has its own.
  JobFolder named;
  named.write("job.toml",
              "[drawing]\npoints = \"d.csv\"\nframe = \"site\"\n[site]\ncontrol = "
              "\"c.csv\"\n[numbers]\nledger = \"hall.csv\"\n");
  named.write("d.csv", kDrawing);
  named.write("c.csv", "point,northing,easting\nK,1,2\n");
  CHECK(named.run().exit_code == 0);
  CHECK(named.read("hall-issued-control.csv") ==
        "issue,point,northing (m),easting (m),elevation (m)\n1,K,1.000000,2.000000,\n");
}

// Cause, 2026-11: a re-issue of the control moved a floor by 90 mm, and every command said READY.
TEST_CASE("control issued anew by 90 mm is told by every command that uses it") {
  Job job;
  job.write("control.csv", control({{0.09, 0.012}}));
  for (const std::string& command : kCommands) {
    CAPTURE(command);
    CHECK(job.told({command, "."}) ==
          "doubt: control.csv: file: the whole control moved by N 90.0 mm, E 12.0 mm since issue 1 " + kAll +
              kTouched + kCure);
  }
  // The run made no issue: what the last one was made with stands.
  CHECK(csv_rows(job.read("issued-control.csv")).size() == 6);
  job.write("control.csv", control());
  for (const std::string& command : kCommands) CHECK(job.told({command, "."}).empty());
}

TEST_CASE("2 mm are nothing; one point of five by 5 mm is told at its row") {
  Job job;
  job.write("control.csv", control({{0.0014, 0.0014, 0.002}}));
  for (const std::string& command : kCommands) CHECK(job.told({command, "."}).empty());
  job.write("control.csv", control({{}, {}, {}, {-0.004, -0.003}}));
  for (const std::string& command : kCommands)
    CHECK(job.told({command, "."}) ==
          "doubt: control.csv:5:1: point: CP4 moved by S 4.0 mm, W 3.0 mm since issue 1" + kCure);
  job.write("control.csv", control({{}, {0, 0, -0.005}}));
  CHECK(job.told({"setup", "."}) ==
        "doubt: control.csv:3:1: point: CP2 moved by down 5.0 mm since issue 1; setups S1, P1 sight "
        "it; 3 marks are staked from there; tie B4 was measured with it" +
            kCure);
}

TEST_CASE("an issue that is made with other control tells it, and so does that issue again") {
  Job job;
  job.write("control.csv", control({{0.09, 0.012}}));
  job.write("drawing.csv", kMoved);
  const std::string foretold = job.told({"check", "."});
  const CommandResult made = job.run();
  CHECK(says(made.err, "since issue 1 " + kAll));
  const auto kept = csv_rows(job.read("issued-control.csv"));
  REQUIRE(kept.size() == 11);
  CHECK(kept[6] == std::vector<std::string>{"2", "CP1", "5427900.090000", "1748100.012000", "10.000000"});
  const auto before = job.snapshot();
  const CommandResult again = job.run();
  CHECK(again.err == made.err);
  CHECK(again.out == made.out);
  CHECK(job.snapshot() == before);
  CHECK(job.told({"check", "."}) == foretold);
  CHECK(!foretold.empty());
  // The next issue is made with the same control: nothing moved, and no row is added.
  job.write("drawing.csv", kDrawing);
  CHECK(job.told({"run", "."}).empty());
  CHECK(job.told({"run", "."}).empty());
  CHECK(job.read("issued-control.csv") == before.at("issued-control.csv"));
}

TEST_CASE("a signed fit keeps the control that it was made with") {
  Job job;
  REQUIRE(job.run({"baseline", ".", "--sign", "signed.toml", "--by", "me", "--on", "2026-11-25",
                   "--accept-outside", "tried"})
              .exit_code <= 1);
  const std::string fit = job.read("signed.toml");
  CHECK(says(fit, "[[control]]\npoint = \"CP1\"\nnorthing = 5427900\neasting = 1748100\nelevation = 10\n"));
  std::string toml = job.read("job.toml");
  toml.replace(toml.find("ties ="), 0, "signed = \"signed.toml\"\n");
  job.write("job.toml", toml);
  job.forget_issues();
  CHECK(job.told({"baseline", "."}).empty());
  job.write("control.csv", control({{}, {}, {}, {0, 0.09}}));
  for (const std::string& command : kCommands) {
    if (command == "run") continue;
    CAPTURE(command);
    CHECK(job.told({command, "."}) ==
          "doubt: control.csv:5:1: point: CP4 moved by E 90.0 mm since the fit signed on 2026-11-25: measure "
          "the ties "
          "again and sign a new fit, or put the old control back\n");
  }
}

TEST_CASE("control of a projection and of a site in feet") {
  Job grid("crs = \"EPSG:2193\"\nground_at = \"CP1\"\nelevation = \"10 m\"\n");
  grid.write("control.csv", control({{}, {}, {}, {0.09, 0}}));
  CHECK(says(grid.told({"ground", "."}), "control.csv:5:1: point: CP4 moved by N 90.0 mm since issue 1: "));

  JobFolder feet;
  feet.write("job.toml",
             "[drawing]\npoints = \"d.csv\"\nunit = \"ft-in\"\n[site]\nunit = \"ft-in\"\ncontrol = "
             "\"c.csv\"\n[baselines]\nties = \"t.csv\"\n");
  feet.write("d.csv", "point,x,y\nA,3'-0\",4'-0\"\n");
  feet.write("t.csv", "mark,x,y,northing,easting\nB1,0,0,0,0\nB2,30',0,0,30'\nB3,0,20',20',0\n");
  feet.write("c.csv", "point,northing,easting\nK1,10',20'\nK2,30',50'\n");
  REQUIRE(feet.run().exit_code == 0);
  feet.write("c.csv", "point,northing,easting\nK1,10'-3 1/2\",20'\nK2,30'-0 1/16\",50'\n");
  CHECK(says(feet.run({"check", "."}).err, "c.csv:2:1: point: K1 moved by N 0'-3 1/2\" since issue 1: "));
  CHECK(!says(feet.run({"check", "."}).err, "K2"));
}

TEST_CASE("what of the kept control does not count, and what cannot be read") {
  Job job;
  const std::string whole = job.read("issued-control.csv");
  // A run was stopped before its issue counted, within a row.
  job.write("issued-control.csv", whole + "2,CP1,5427900.090000,1748100.012000,10.000000\n2,CP2,54279");
  CHECK(job.told({"check", "."}).empty());
  CHECK(says(job.run({"check", "."}).err,
             "issued-control.csv:7:1: row: 2 rows of an issue that was never handed out"));
  REQUIRE(job.run().exit_code == 0);
  CHECK(job.read("issued-control.csv") == whole);
  CHECK(says(job.read("numbers.torn"), "2,CP2,54279"));
  // Last line without its end, and line ends of a mail.
  job.write("issued-control.csv", whole.substr(0, whole.size() - 1));
  job.write("control.csv", control({{}, {}, {}, {}, {0.09, 0}}));
  CHECK(says(job.told({"check", "."}), "CP5 moved by N 90.0 mm"));
  std::string mailed;
  for (const char c : whole) mailed += c == '\n' ? std::string("\r\n") : std::string(1, c);
  job.write("issued-control.csv", mailed);
  CHECK(says(job.told({"check", "."}), "CP5 moved by N 90.0 mm"));
  // A cell that is none, and no file, as with a ledger of an earlier version.
  job.write("issued-control.csv", whole + "1,CP9,north,2,3\n");
  const CommandResult bad = job.run({"run", "."});
  CHECK(bad.exit_code == 2);
  CHECK(says(bad.err, "issued-control.csv:7:7: northing: found \"north\""));
  std::filesystem::remove(job.path() / "issued-control.csv");
  CHECK(job.told({"run", "."}).empty());
  CHECK(!job.has("issued-control.csv"));  // the same issue again adds nothing
  job.write("drawing.csv", kMoved);
  CHECK(job.told({"run", "."}).empty());
  CHECK(csv_rows(job.read("issued-control.csv")).size() == 6);
}
