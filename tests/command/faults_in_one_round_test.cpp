// Slips put into the jobs in data/, one row each: which lines are told in the first round, and which commands
// go on without what is spoiled.
#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include "job_folder.h"

using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

/// `old` replaced by `now` once in a file; an empty `old`: the file is written.
struct Edit {
  std::string file, old, now;
};

struct Row {
  std::string what, job;
  std::vector<Edit> edits;
  std::vector<std::string> args;  ///< the command; the job stands behind its first word
  std::vector<std::string>
      told;  ///< `FILE: FIELD` of every problem, in their order; empty: it is not stopped
  std::vector<std::string> says;  ///< words of standard error
  std::vector<std::string> not_said = {};
};

void spoil(JobFolder& job, const Row& row) {
  for (const auto& file : fs::directory_iterator(fs::path(DECKMARK_DATA_DIR) / row.job))
    if (file.is_regular_file()) job.write(file.path().filename().string(), read_bytes(file.path()));
  for (const Edit& e : row.edits) {
    if (e.old.empty()) {
      job.write(e.file, e.now);
      continue;
    }
    std::string text = job.read(e.file);
    const std::size_t at = text.find(e.old);
    CAPTURE(e.old);
    REQUIRE(at != std::string::npos);
    job.write(e.file, text.replace(at, e.old.size(), e.now));
  }
}

void check_row(const Row& row) {
  CAPTURE(row.what);
  JobFolder job;
  spoil(job, row);
  std::vector<std::string> args = row.args;
  args.insert(args.begin() + 1, ".");
  const CommandResult result = job.run(args);
  CAPTURE(result.err);
  CAPTURE(result.out);
  std::vector<std::string> told;
  for (const ToldLine& line : problem_lines(result.err)) told.push_back(line.file + ": " + line.field);
  CHECK(told == row.told);
  CHECK((result.exit_code == 2) == !row.told.empty());
  for (const std::string& words : row.says) {
    CAPTURE(words);
    CHECK(result.err.find(words) != std::string::npos);
  }
  for (const std::string& words : row.not_said) {
    CAPTURE(words);
    CHECK(result.err.find(words) == std::string::npos);
  }
}

const std::string kJob = "job.toml";
const Edit kNoOutlines{kJob, "[stake]", "[obstructions]\noutlines = \"none.csv\"\n[stake]"},
    kBadStock{kJob, "[stake]", "[hangers]\nstock = 3\n[stake]"},
    kBadHeight{kJob, "[stake]", "[hangers]\nheight = 3\n[stake]"},
    kBadOrder{kJob, "order = \"run\"", "order = \"rum\""},
    kBadPlan{kJob, "plan = [\"CP1\", \"CP4\"]", "plan = [\"CP8\", \"CP9\"]"},
    kBadCell{"s2.csv", "15.062", "far"}, kNoTable{kJob, "s2.csv", "s9.csv"};

}  // namespace

TEST_CASE("a command is stopped by faults of what it shows alone, and says what it leaves out") {
  const std::string beside = "the job as a whole is not judged here";
  const Row rows[] = {
      {"order of the stake list", "arcade-m", {kBadOrder}, {"setup"}, {}, {"[stake]", beside}},
      {"the same", "arcade-m", {kBadOrder}, {"stake"}, {kJob + ": stake.order"}, {}},
      {"sd of an instrument that shot nothing",
       "hall-m",
       {{kJob, "[asbuilt]", "[instrument]\nangle_sd = 3\n[asbuilt]"}},
       {"asbuilt"},
       {},
       {"the instrument has problems", beside},
       {"causes are not looked for"}},
      {"a plan", "arcade-m", {kBadPlan}, {"setup"}, {}, {"the plan of setup P1", beside}},
      {"a plan", "arcade-m", {kBadPlan}, {"stake", "--setup", "S1"}, {}, {"the plan of setup P1", beside}},
      {"a plan, each name at its place",
       "arcade-m",
       {kBadPlan},
       {"plan"},
       {kJob + ": setup.plan", kJob + ": setup.plan"},
       {"\"CP8\"", "\"CP9\""}},
      {"a cell of another setup",
       "arcade-m",
       {kBadCell},
       {"stake", "--setup", "S1"},
       {},
       {"setup S2", beside}},
      {"a cell of the setup", "arcade-m", {kBadCell}, {"stake", "--setup", "S2"}, {"s2.csv: slope"}, {}},
      {"readings of another setup", "arcade-m", {kNoTable}, {"stake", "--setup", "S1"}, {}, {"setup S2"}},
      {"readings, of a plan", "arcade-m", {kNoTable}, {"plan"}, {}, {"setup S2"}},
      {"readings", "arcade-m", {kNoTable}, {"setup"}, {kJob + ": setup.observations"}, {}},
      {"outlines",
       "arcade-m",
       {kNoOutlines},
       {"baseline"},
       {},
       {"the point farthest from the baselines is not"}},
      {"outlines", "arcade-m", {kNoOutlines}, {"setup"}, {}, {"sights to marks of the drawing are not held"}},
      {"outlines", "arcade-m", {kNoOutlines}, {"plan"}, {}, {"the marks of the drawing are left out"}},
      {"outlines, which make marks",
       "arcade-m",
       {kNoOutlines},
       {"stake", "--setup", "S1"},
       {kJob + ": obstructions.outlines"},
       {}},
      {"stock", "arcade-m", {kBadStock}, {"stake", "--setup", "S1"}, {}, {"the cuts have problems", beside}},
      {"stock", "arcade-m", {kBadStock}, {"baseline"}, {}, {"the cuts have problems"}},
      {"height of the brackets", "arcade-m", {kBadHeight}, {"stake"}, {}, {"the bracket height"}},
      {"a cell of the drawing",
       "starter-m",
       {{"drawing.csv", "R1-02,", "R1-02,x"}},
       {"baseline"},
       {},
       {"the drawing has problems", "the point farthest from the baselines is not known"}},
      {"a cell of the ties", "concourse-us-ft", {{"ties.csv", "1680278.784", "x"}}, {"ground"}, {}, {beside}},
      {"a cell of the ties", "arcade-m", {{"ties.csv", "A7,24.000", "A7,x"}}, {"setup"}, {}, {beside}},
      {"a row of control, of as-built shots",
       "hall-m",
       {{"control.csv", "\nCP1,", "\nCP1,x"}},
       {"asbuilt"},
       {},
       {"the control has problems", "causes are not looked for"}},
      {"a key of the drawing that may say how it is placed",
       "starter-m",
       {{kJob, "mirrored = false", "mirored = true"}},
       {"baseline"},
       {kJob + ": drawing.mirored"},
       {}},
      {"a row of control, of ties that have to be brought to ground scale",
       "concourse-us-ft",
       {{kJob, "ties = \"ties.csv\"", "ties = { file = \"ties.csv\", frame = \"grid\" }"},
        {"control.csv", "1680471.950", "x"}},
       {"baseline"},
       {"control.csv: northing"},
       {}},
      {"a slip of a unit",
       "arcade-m",
       {{kJob, "[site]", "[site]\nunti = \"ft\""}},
       {"baseline"},
       {kJob + ": site.unti"},
       {}},
      {"no projection, beside a cell of control",
       "starter-m",
       {{"control.csv", "\nCP1,", "\nCP1,x"}},
       {"ground"},
       {"control.csv: northing", kJob + ": site.crs"},
       {}},
      {"no projection, beside a cell of the ties",
       "starter-m",
       {{"ties.csv", "\nB1,", "\nB1,x"}},
       {"ground"},
       {kJob + ": site.crs"},
       {}},
  };
  for (const Row& row : rows) check_row(row);
}

TEST_CASE("a row that is bad hides no fault of the others") {
  const std::vector<std::string> check{"check"};
  const Row rows[] = {
      {"deck marks: a cell, an unknown point",
       "gallery-m",
       {{"deckmarks.csv", "-0.003", "x"}, {"deckmarks.csv", "R1-08", "R9-06"}},
       check,
       {"deckmarks.csv: dx", "deckmarks.csv: point"},
       {}},
      {"lengths: a cell, an unknown mark, a mark to itself",
       "foyer-m",
       {{kJob, "ties = \"ties.csv\"", "ties = \"ties.csv\"\nlengths = \"l.csv\""},
        {"l.csv", "", "from,to,measured\nA1,A6,x\nA1,B9,3\nA1,A1,4\n"}},
       check,
       {"l.csv: measured", "l.csv: to", "l.csv: to"},
       {}},
      {"pieces: a cell, an unknown run",
       "foyer-m",
       {{"pieces.csv", "3.600", "x"}, {"pieces.csv", "R1-P2,R1", "R1-P2,R9"}},
       check,
       {"pieces.csv: length", "pieces.csv: run"},
       {}},
      {"runs: no length, a kind, a name twice; a piece of the run with the bad kind has none",
       "foyer-m",
       {{"runs.csv", "5.000,1.000,5.000,8.200", "5.000,1.000,5.000,1.000"},
        {"runs.csv", "R3,line", "R1,line"},
        {"runs.csv", "O1,ring", "O1,rink"}},
       check,
       {"runs.csv: x1", "runs.csv: run", "runs.csv: kind"},
       {}},
      {"bays: a cell, and a shot on a bay that states its elevation",
       "foyer-m",
       {{"bays.csv", "low,8.000,10.000,", "low,x,10.000,"}, {"deck.csv", "H1,high", "H1,low"}},
       check,
       {"bays.csv: x", "deck.csv: bay"},
       {"shot H1 on bay low"}},
      {"obstructions: a cell, two clearances",
       "foyer-m",
       {{"ducts.csv", "D1,3.900,2.000,", "D1,3.900,2.000,0.2"},
        {"ducts.csv", "D1,3.900,7.000", "D1,x,7.000"}},
       check,
       {"ducts.csv: clearance", "ducts.csv: x"},
       {}},
      {"control: a cell in the first of two rows of one name",
       "starter-m",
       {{"control.csv", "\nCP1,", "\nCP1,x"}, {"control.csv", "\nCP2,", "\nCP1,"}},
       check,
       {"control.csv: northing", "control.csv: point"},
       {}},
      {"words of lists: each, and a column twice",
       "starter-m",
       {{kJob, "columns = [\"number\", \"northing\", \"easting\", \"elevation\", \"description\"]",
         "columns = [\"nr\", \"n\", \"number\", \"number\"]\ndescription = [\"pt\", \"knd\"]"}},
       check,
       {kJob + ": list.columns", kJob + ": list.columns", kJob + ": list.columns",
        kJob + ": list.description", kJob + ": list.description"},
       {"column number twice"}},
      {"a projection and the point where ground meets it",
       "concourse-us-ft",
       {{kJob, "EPSG:6428", "EPSG:1"}, {kJob, "ground_at = \"CP1\"", "ground_at = \"CP9\""}},
       check,
       {kJob + ": site.crs", kJob + ": site.ground_at"},
       {}},
      {"a header without name and place",
       "starter-m",
       {{"drawing.csv", "point,x,y", "pt_no,e,n"}},
       check,
       {"drawing.csv: header"},
       {"column point; and x and y"}},
  };
  for (const Row& row : rows) check_row(row);
}

TEST_CASE("what another fault makes is told as no fault of its own") {
  const std::vector<std::string> check{"check"};
  const Row rows[] = {
      {"a slip of ties is no job without ties",
       "starter-m",
       {{kJob, "ties =", "Ties ="}},
       check,
       {kJob + ": baselines.Ties"},
       {"try ties"},
       {"frame = "}},
      {"the other foot is told at the unit alone",
       "concourse-us-ft",
       {{kJob, "unit = \"us-ft\"", "unit = \"ft\""}},
       check,
       {kJob + ": site.unit"},
       {"us-ft"}},
      {"a slip of a key that is needed",
       "arcade-m",
       {{kJob, "distance_sd", "distance_sdd"}},
       check,
       {kJob + ": instrument.distance_sdd"},
       {"try distance_sd"}},
      {"a slip of name",
       "arcade-m",
       {{kJob, "name = \"S1\"", "namee = \"S1\""}},
       check,
       {kJob + ": setup.namee"},
       {}},
      {"a separator that is none has no default to clash with",
       "gallery-m",
       {{kJob, "separator = \";\"", "separator = \"::\""}},
       check,
       {kJob + ": list.separator"},
       {}},
      {"a slip in a table's value",
       "starter-m",
       {{kJob, "shots = \"deck.csv\"", "shots = { fil = \"deck.csv\" }"}},
       check,
       {kJob + ": deck.shots.fil"},
       {}},
      {"shots without a column for the bay",
       "foyer-m",
       {{"deck.csv", "shot,bay", "shot,area"}},
       check,
       {"deck.csv: header"},
       {"deck shots column bay"}},
      {"what is added to a rod, longer than stock",
       "foyer-m",
       {{kJob, "cut_top = \"150 mm\"", "cut_top = \"150 m\""}},
       check,
       {kJob + ": hangers.cut_top"},
       {}},
      {"a step of cuts, longer than stock",
       "foyer-m",
       {{kJob, "cut_round = \"5 mm\"", "cut_round = \"50 m\""}},
       check,
       {kJob + ": hangers.cut_round"},
       {}},
      {"a run of nine kilometres",
       "foyer-m",
       {{"runs.csv", "15.400,9.000", "15.400,9000"}},
       check,
       {"runs.csv: run", "runs.csv: run"},
       {"run R3"}},
      {"a header in place of another",
       "hall-m",
       {{"asbuilt.csv", "setup", "level"}},
       check,
       {"asbuilt.csv: level"},
       {"rows that are alike", "floor, deck or bracket"}},
      {"metres in a drawing that is said to be in feet and inches, of each axis",
       "starter-m",
       {{kJob, "unit = \"m\"           # how", "unit = \"ft-in\"           # how"}},
       check,
       {"drawing.csv: x", "drawing.csv: y", "ties.csv: x", "ties.csv: y", "ties.csv: x", "ties.csv: y"},
       {"rows that are alike", "which may be feet or inches"}},
      {"circle and zenith exchanged",
       "arcade-m",
       {{"s1.csv", "circle,zenith", "zenith,circle"}},
       check,
       {"s1.csv: header"},
       {"circle and zenith exchanged"}},
      {"a header with a column too many",
       "starter-m",
       {{"drawing.csv", "point,x,y", "point,x,y,z"}},
       check,
       {"drawing.csv: row"},
       {"rows that are alike"}},
  };
  for (const Row& row : rows) check_row(row);
}

TEST_CASE("what is offered can be meant") {
  const std::vector<std::string> check{"check"};
  const Row rows[] = {
      {"words of instruments",
       "arcade-m",
       {{"s1.csv", "circle,zenith,slope,height", "hz,va,sdist,ht"}},
       {"setup"},
       {"s1.csv: header"},
       {"rename = { hz = \"circle\", va = \"zenith\", sdist = \"slope\", ht = \"height\" }"}},
      {"where the instrument stood, of as-built shots",
       "hall-m",
       {{"asbuilt.csv", "point,northing,easting,setup", "pt_no,n,e,station"}},
       {"asbuilt"},
       {"asbuilt.csv: header"},
       {"station = \"setup\""}},
      {"a key in capitals",
       "starter-m",
       {{kJob, "ties =", "TIES ="}},
       check,
       {kJob + ": baselines.TIES"},
       {"try ties"}},
      {"a key of a section above all sections",
       "starter-m",
       {{kJob, "title =", "scale = \"free\"\ntitle ="}},
       check,
       {kJob + ": scale"},
       {"scale belongs under [baselines]"}},
      {"a key of another section",
       "arcade-m",
       {{kJob, "[floor]", "[floor]\nseparation = \"3 m\""}},
       check,
       {kJob + ": floor.separation"},
       {"separation belongs under [drawing]"}},
      {"a flag as a number",
       "starter-m",
       {{kJob, "decimals = 4", "ascii = 1\ndecimals = 4"}},
       check,
       {kJob + ": list.ascii"},
       {"found 1, expected true or false"}},
      {"a corner by a slip of its bay's name",
       "foyer-m",
       {{"bays.csv", "high,17.000,0.000", "hihg,17.000,0.000"}},
       check,
       {"bays.csv: bay"},
       {"outline hihg with 1 corner,", "or the name high"}},
      {"a count with a word behind it",
       "starter-m",
       {{kJob, "start = 1001 ", "start = 1001 x "}},
       check,
       {kJob + ": file"},
       {"expected a number alone"},
       {"try"}},
      {"an inch mark in quotes",
       "starter-m",
       {{kJob, "height = \"2.900 m\"", "height = \"9'-6\"\""}},
       check,
       {kJob + ": file"},
       {"try height = \"9'-6\\\"\""}},
      {"a thousands comma",
       "starter-m",
       {{kJob, "height = \"2.900 m\"", "height = 12,000"}},
       check,
       {kJob + ": file"},
       {"a length in quotes with its unit"}},
      {"a colon",
       "starter-m",
       {{kJob, "height = \"2.900 m\"", "height: \"2.900 m\""}},
       check,
       {kJob + ": file"},
       {"try height = \"2.900 m\""}},
      {"a list left open",
       "starter-m",
       {{kJob, "decimals = 4", "only = [\"R1\"\ndecimals = 4"}},
       check,
       {kJob + ": file"},
       {"a list that is closed"}},
  };
  for (const Row& row : rows) check_row(row);
}
