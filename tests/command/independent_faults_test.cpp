// Faults that have nothing to do with one another are told in one round, and a fault stops only what needs
// what it spoils.
#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "cases_support.h"

using namespace deckmark_test;

namespace {

const std::string kInstrument =
    "[instrument]\nangle_sd = \"2\\\"\"\ndistance_sd = \"2 mm\"\nangles = \"degrees\"\n"
    "[[setup]]\nname = \"S1\"\nat = \"free\"\nobservations = \"s.csv\"\n";

/// A job that is sound in all its parts; a test spoils some.
struct Parts {
  std::string ties = "mark,x,y,northing,easting\nT1,0,0,100,200\nT2,20,0,100,220\nT3,0,10,110,200\n";
  std::string deck = "shot,northing,easting,elevation\nD1,100,200,4\nD2,100,220,4\nD3,110,210,4\n";
  std::string deck_marks = "point,northing,easting\nP1,101,201\n";
  std::string shots = "target,circle,zenith,slope\nCP1,0,90,10\nCP2,90,90,10\nCP3,180,90,10\n";
  std::string as_built = "point,northing,easting\nP2,102.001,204\n";
  std::string numbers = "", height = "2.5 m";
};

void fill(JobFolder& job, const Parts& p) {
  job.write("job.toml",
            "[drawing]\npoints = \"d.csv\"\n[site]\ncontrol = \"c.csv\"\n[baselines]\nties = \"t.csv\"\n"
            "[floor]\nelevation = \"0 m\"\n[deck]\nshots = \"k.csv\"\n[hangers]\nheight = \"" +
                p.height + "\"\n[plumb]\nmarks = \"m.csv\"\n[numbers]\n" + p.numbers +
                "[asbuilt]\nshots = \"a.csv\"\n" + kInstrument);
  job.write("d.csv", "point,x,y\nP1,1,1\nP2,4,2\nP3,9,3\n");
  job.write("c.csv", "point,northing,easting\nCP1,110,200\nCP2,100,210\nCP3,90,200\n");
  job.write("t.csv", p.ties);
  job.write("k.csv", p.deck);
  job.write("m.csv", p.deck_marks);
  job.write("s.csv", p.shots);
  job.write("a.csv", p.as_built);
}

CommandResult checked(const Parts& p) {
  JobFolder job;
  fill(job, p);
  return job.run({"check", "."});
}

/// `FILE: FIELD` of every problem.
std::vector<std::string> problems_of(const std::string& err) {
  std::vector<std::string> out;
  for (const ToldLine& line : problem_lines(err)) out.push_back(line.file + ": " + line.field);
  return out;
}
bool tells(const std::vector<std::string>& all, const std::string& one) {
  return std::ranges::find(all, one) != all.end();
}

}  // namespace

TEST_CASE("the sound job is checked without a problem") {
  const CommandResult result = checked({});
  CAPTURE(result.err);
  CHECK(problem_lines(result.err).empty());
}

TEST_CASE("six faults that have nothing to do with one another are told at once") {
  // 2026-11-27: such a job took six rounds of check, a fault a round.
  Parts p;
  p.ties = "mark,x,y,northing,easting\nT1,0,,100,200\nT2,20,,100,220\n";
  p.deck = "shot,northing,easting,elevation\nD1,100,200,4\nD2,100,210,4\nD3,100,220,4\n";
  p.height = "9 m";
  p.numbers = "deck_offset = 1\n";
  p.deck_marks = "point,northing,easting\nQ7,101,201\n";
  p.shots = "target,circle,zenith,slope\nCP1,0,90,10\n";
  const CommandResult result = checked(p);
  CAPTURE(result.err);
  CHECK(result.exit_code == 2);
  const auto told = problems_of(result.err);
  CHECK(tells(told, "t.csv: file"));
  CHECK(tells(told, "k.csv: file"));
  CHECK(tells(told, "job.toml: numbers.deck_offset"));
  CHECK(tells(told, "m.csv: point"));
  CHECK(tells(told, "s.csv: file"));
  CHECK(told.size() == 5);  // no bracket can be held against a deck that is not known
}

TEST_CASE("a bracket above the deck is told beside faults that leave the deck known") {
  Parts p;
  p.height = "9 m";
  p.deck_marks = "point,northing,easting\nQ7,101,201\n";
  p.shots = "target,circle,zenith,slope\nCP1,0,90,10\n";
  p.as_built = "point,northing,easting\nP2,far,204\n";
  const CommandResult result = checked(p);
  CAPTURE(result.err);
  const auto told = problems_of(result.err);
  CHECK(tells(told, "job.toml: hangers.height"));
  CHECK(tells(told, "m.csv: point"));
  CHECK(tells(told, "s.csv: file"));
  CHECK(tells(told, "a.csv: northing"));
  CHECK(told.size() == 4);
}

TEST_CASE("a fault stops the commands that need what it spoils, and no others") {
  struct Row {
    std::string what;
    void (*spoil)(Parts&);
    std::vector<std::string> stopped, not_stopped;
  };
  const Row rows[] = {
      {"a bad cell of the as-built table",
       [](Parts& p) { p.as_built = "point,northing,easting\nP2,far,204\n"; },
       {"check", "run", "asbuilt"},
       {"setup", "stake", "baseline"}},
      {"an unknown deck mark",
       [](Parts& p) { p.deck_marks = "point,northing,easting\nQ7,101,201\n"; },
       {"check", "run"},
       {"setup", "stake", "baseline", "asbuilt"}},
      {"deck shots on one line",
       [](Parts& p) {
         p.deck = "shot,northing,easting,elevation\nD1,100,200,4\nD2,100,210,4\nD3,100,220,4\n";
       },
       {"check", "run", "asbuilt"},
       {"baseline"}},
      {"a setup with one sight",
       [](Parts& p) { p.shots = "target,circle,zenith,slope\nCP1,0,90,10\n"; },
       {"check", "run", "setup", "stake"},
       {"baseline"}},
  };
  for (const Row& row : rows) {
    CAPTURE(row.what);
    Parts p;
    row.spoil(p);
    JobFolder job;
    fill(job, p);
    for (const std::string& command : row.stopped) {
      CAPTURE(command);
      const CommandResult result = job.run({command, "."});
      CAPTURE(result.err);
      CHECK(result.exit_code == 2);
      CHECK(!problem_lines(result.err).empty());
    }
    for (const std::string& command : row.not_stopped) {
      CAPTURE(command);
      const CommandResult result = job.run({command, "."});
      CAPTURE(result.err);
      CAPTURE(result.out);
      CHECK(result.exit_code < 2);
      CHECK(problem_lines(result.err).empty());
      // No verdict on a job of which a part could not be judged.
      CHECK(result.err.find("the job as a whole is not judged") != std::string::npos);
      for (const char* verdict : {"READY TO LAY OUT", "NOT CHECKED", "DO NOT LAY OUT"})
        CHECK(result.out.find(verdict) == std::string::npos);
    }
  }
}

TEST_CASE("lengths that name nobody are told beside ties that fit nothing") {
  Parts p;
  p.ties = "mark,x,y,northing,easting\nT1,0,,100,200\nT2,20,,100,220\n";
  JobFolder job;
  fill(job, p);
  job.write("l.csv", "from,to,measured\nT1,T2,20\nT1,Nobody,4\n");
  std::string toml = job.read("job.toml");
  const std::string ties = "ties = \"t.csv\"\n";
  toml.insert(toml.find(ties) + ties.size(), "lengths = \"l.csv\"\n");
  job.write("job.toml", toml);
  const CommandResult result = job.run({"check", "."});
  CAPTURE(result.err);
  const auto told = problems_of(result.err);
  CHECK(tells(told, "t.csv: file"));
  CHECK(tells(told, "l.csv: to"));
  CHECK(told.size() == 2);
}

TEST_CASE("a crs that is no text is told once, and what needs one has no fault of its own") {
  Parts p;
  JobFolder job;
  fill(job, p);
  std::string toml = job.read("job.toml");
  const std::string site = "[site]\n", list = "[list]\nframe = \"grid\"\n";
  toml.insert(toml.find(site) + site.size(), "crs = 5\nground_at = \"CP1\"\n");
  toml.insert(toml.find("[instrument]"), list);
  const std::string shots = "shots = \"k.csv\"";
  toml.replace(toml.find(shots), shots.size(), "shots = { file = \"k.csv\", frame = \"grid\" }");
  job.write("job.toml", toml);
  const CommandResult result = job.run({"check", "."});
  CAPTURE(result.err);
  CHECK(problems_of(result.err) == std::vector<std::string>{"job.toml: site.crs"});
  // Without the key both need it.
  toml.erase(toml.find("crs = 5\n"), std::string("crs = 5\n").size());
  job.write("job.toml", toml);
  const auto told = problems_of(job.run({"check", "."}).err);
  CHECK(tells(told, "job.toml: deck.shots"));
  CHECK(tells(told, "job.toml: list.frame"));
}

TEST_CASE("a setup over a control point whose row has a fault has none itself") {
  JobFolder job;
  fill(job, {});
  std::string toml = job.read("job.toml");
  const std::string at = "at = \"free\"";
  toml.replace(toml.find(at), at.size(), "at = \"CP9\"");
  job.write("job.toml", toml + "[[setup]]\nname = \"P1\"\nat = \"CP1\"\nplan = [\"CP2\", \"CP9\"]\n");
  job.write("c.csv", "point,northing,easting\nCP1,110,200\nCP2,100,210\nCP3,90,200\nCP9,far,200\n");
  const CommandResult spoiled = job.run({"check", "."});
  CAPTURE(spoiled.err);
  CHECK(problems_of(spoiled.err) == std::vector<std::string>{"c.csv: northing"});
  // Where all of the control is known, a name that is none of it is told at both keys.
  job.write("c.csv", "point,northing,easting\nCP1,110,200\nCP2,100,210\nCP3,90,200\n");
  CHECK(problems_of(job.run({"check", "."}).err) ==
        std::vector<std::string>{"job.toml: setup.at", "job.toml: setup.plan"});
}
