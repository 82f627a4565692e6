// What several storeys share: the site file beside the job file, key by key, each value with its place.
#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "job/job.h"
#include "job/keys/all_keys.h"
#include "job/keys/top_keys.h"
#include "support/temp_folder.h"
#include "table/reader.h"

using namespace deckmark_test;
using namespace deckmark;
namespace fs = std::filesystem;

namespace {

/// A building: job files and tables by name, and what reading one of the jobs tells.
struct Building {
  TempFolder folder;
  Job job;
  PartMessages told;

  void write(const std::string& name, const std::string& bytes) const {
    fs::create_directories((folder / name).parent_path());
    write_bytes(folder / name, bytes);
  }
  void read(const std::string& name) { read_job(folder / name, job, told); }
  std::vector<std::string> lines(Grade grade) {
    std::vector<std::string> out;
    for (const Message& m : std::move(told).merged().sorted(grade)) out.push_back(message_line(m));
    return out;
  }
};

const std::string kUses = "site_file = \"../site.toml\"\n";
const std::string kTies = "mark,x,y,northing,easting\nT1,0,0,0,0\n";
const std::string kLedger =
    "point,number,status,x (m),y (m),deck_offset,revision,northing (m),easting (m)\n"
    "A,1001,live,0,0,5000,A,0,0\nB,1003,dropped,0,0,5000,A,0,0\n";

}  // namespace

TEST_CASE("site file: its values hold where the job file is silent, its tables lie beside it") {
  Building b;
  b.write(
      "site.toml",
      "[site]\nunit = \"ft\"\n[baselines]\nties = \"net/ties.csv\"\nhold = \"x\"\n[list]\ndecimals = 2\n");
  b.write("net/ties.csv", kTies);
  b.write("l3/job.toml", kUses + "[list]\nheader = true\n[storey]\nname = \"level 3\"\n");
  b.read("l3");
  CHECK(b.job.site_unit == LengthUnit::foot);
  CHECK(b.job.baseline.hold == Hold::x);
  CHECK(b.job.list.decimals == 2);
  CHECK(b.job.list.header);
  CHECK(b.job.storey == "level 3");
  REQUIRE(b.job.ties.size() == 1);
  REQUIRE(b.job.inputs.size() == 3);
  CHECK(b.job.inputs[1]->name() == "../site.toml");
  CHECK(b.job.inputs[2]->name() == "../net/ties.csv");
  CHECK(fs::equivalent(b.job.input_paths[1], b.folder / "site.toml"));
  CHECK(b.lines(Grade::problem).empty());
}

TEST_CASE("site file: of two values the job's counts, and a doubt tells both; one value said twice is none") {
  const std::string kLong = "+proj=tmerc +lat_0=0 +lon_0=9 +k=0.9996 +x_0=500000 +y_0=";  // told cut short
  struct Row {
    std::string site, own, doubt;
  };
  for (const Row& r :
       {Row{"[list]\ndecimals = 3", "[list]\ndecimals = 4",
            "job.toml:3:12: list.decimals: 4 here, 3 in ../site.toml line 2: what this file says counts; "
            "take "
            "one of them out"},
        Row{"[list]\ncolumns = [\"number\"]", "[list]\ncolumns = [\"number\", \"x\"]",
            "job.toml:3:11: list.columns: [\"number\", \"x\"] here, [\"number\"] in ../site.toml line 2: "
            "what this "
            "file says counts; take one of them out"},
        Row{"[list]\ndecimals = 3", "[list]\ndecimals = 3", ""},
        Row{"[site]\ncrs = \"" + kLong + "1\"", "[site]\ncrs = \"" + kLong + "2\"",
            "job.toml:3:7: site.crs: " + in_quotes(kLong + "2") + " here, " + in_quotes(kLong + "1") +
                " in ../site.toml line 2: what this file says counts; take one of them out"},
        // One path, written alike, is two files.
        Row{"[baselines]\nties = \"ties.csv\"", "[baselines]\nties = \"ties.csv\"",
            "job.toml:3:8: baselines.ties: \"ties.csv\" here, \"ties.csv\" in ../site.toml line 2: what this "
            "file "
            "says counts; take one of them out"},
        Row{"[baselines]\nties = \"l3/ties.csv\"", "[baselines]\nties = \"ties.csv\"",
            "job.toml:3:8: baselines.ties: \"ties.csv\" here, \"l3/ties.csv\" in ../site.toml line 2: what "
            "this "
            "file says counts; take one of them out"},
        Row{"[[setup]]\nname = \"S1\"\nat = \"free\"", "[[setup]]\nname = \"S2\"\nat = \"free\"",
            "job.toml:2:1: setup: [[setup]] here, [[setup]] in ../site.toml line 1: what this file says "
            "counts; "
            "take one of them out"}}) {
    CAPTURE(r.site);
    Building b;
    b.write("site.toml", r.site + "\n");
    b.write("ties.csv", kTies);
    b.write("l3/ties.csv", kTies);
    b.write("l3/job.toml", kUses + r.own + "\n");
    b.read("l3");
    if (r.own.find("decimals = 4") != std::string::npos) CHECK(b.job.list.decimals == 4);
    if (r.own.find("S2") != std::string::npos) {
      REQUIRE(b.job.instrument.setups.size() == 1);
      CHECK(b.job.instrument.setups[0].name == "S2");
    }
    const auto doubts = b.lines(Grade::doubt);
    if (r.doubt.empty())
      CHECK(doubts.empty());
    else
      CHECK(std::ranges::count(doubts, r.doubt) == 1);
  }
}

TEST_CASE("site file: what is wrong in it is told at its own line") {
  struct Row {
    std::string site, told;
  };
  const std::string kAlone =
      " expected [site], [baselines], [instrument], [[setup]], [net] and [list] alone, which "
      "storeys share; try moving it to the job file";
  for (const Row& r :
       {Row{"[list]\ndecimals = \"x\"", "../site.toml:2:12: list.decimals: found \"x\","},
        Row{"[list]\ndecimal = 3",
            "../site.toml:2:1: list.decimal: found key \"decimal\", which is not known,"},
        Row{"[baselines]\n\nties = \"gone.csv\"",
            "../site.toml:3:8: baselines.ties: found \"gone.csv\": no such "
            "file"},
        Row{"site_file = \"a.toml\"", "../site.toml:1:1: site_file: found site_file in a site file,"},
        Row{"title = \"x\"", "../site.toml:1:1: title: found key \"title\"," + kAlone},
        Row{"[floor]\nelevation = \"1 m\"", "../site.toml:1:2: floor: found section [floor]," + kAlone},
        Row{"[nobody]", "../site.toml:1:2: nobody: found section [nobody]," + kAlone},
        Row{"list = 3", "../site.toml:1:8: list: found \"3\", expected a section [list]"},
        Row{"[list", "../site.toml:1:6: file: found \"[list\","}}) {
    CAPTURE(r.site);
    Building b;
    b.write("site.toml", r.site + "\n");
    b.write("l3/job.toml", kUses);
    b.read("l3");
    const auto lines = b.lines(Grade::problem);
    REQUIRE(lines.size() == 1);
    CHECK(lines[0].starts_with(r.told));
  }
}

TEST_CASE("site file: one that cannot be, is told at the key") {
  struct Row {
    std::string value, told;
  };
  for (const Row& r :
       {Row{"\"gone.toml\"", "job.toml:1:13: site_file: found \"gone.toml\": no such file"},
        Row{"\"job.toml\"", "job.toml:1:13: site_file: found \"job.toml\", the job file itself,"},
        Row{"\"\"", "job.toml:1:13: site_file: found \"\","},
        Row{"3", "job.toml:1:13: site_file: found 3,"}}) {
    CAPTURE(r.value);
    Building b;
    b.write("job.toml", "site_file = " + r.value + "\n");
    b.read("job.toml");
    const auto lines = b.lines(Grade::problem);
    REQUIRE(lines.size() == 1);
    CHECK(lines[0].starts_with(r.told));
  }
}

TEST_CASE("site file: the key says which sections it may hold, those that are declared so") {
  for_each_section([](const auto& section, Part) {
    const std::string in_brackets =
        section.repeats ? "[[" + std::string(section.name) + "]]" : "[" + std::string(section.name) + "]";
    CAPTURE(in_brackets);
    kSiteFileKey.each([&](const auto& key) {
      CHECK((key.meaning.find(" " + in_brackets) != std::string_view::npos) == section.is_shared);
    });
  });
}

TEST_CASE("storeys: every number of a ledger, floor and deck, live or dropped, and the heights of its job") {
  Building b;
  b.write("site.toml", "[site]\nstoreys = [\"l3/job.toml\", \"l4\", \"l4/../l4/job.toml\"]\n");
  b.write("l3/job.toml", kUses);
  b.write("l4/job.toml", kUses +
                             "[storey]\nname = \"level 4\"\n[numbers]\nledger = \"keep/n.csv\"\n[floor]\n"
                             "elevation = \"12'-6\\\"\"\n[deck]\nelevation = \"8 m\"\n");
  b.write("l4/keep/n.csv", kLedger);
  b.read("l3");
  CHECK(b.lines(Grade::problem).empty());
  REQUIRE(b.job.storeys.size() == 1);  // itself and what is named again are none
  const SiblingStorey& s = b.job.storeys[0];
  CHECK(s.name == "level 4");
  CHECK(s.job_file == "../l4/job.toml");
  CHECK(s.ledger_file == "../l4/keep/n.csv");
  CHECK(s.numbers == std::vector<std::uint32_t>{1001, 1003, 6001, 6003});
  REQUIRE(s.heights.size() == 2);
  CHECK((s.heights[0] - Elevation::at(Length::inches(150))).metres() == doctest::Approx(0).epsilon(1e-12));
  CHECK(s.heights[1] == Elevation::metres(8));
}

TEST_CASE("storeys: what is wrong with another one") {
  struct Row {
    std::string own, other, grade, told;
  };
  const std::string kBeside = "[site]\nstoreys = [\"../l4/job.toml\"]\n";
  for (const Row& r :
       {Row{"[site]\nstoreys = [\"l5\"]\n", "", "problem",
            "job.toml:2:12: site.storeys: found \"l5\": no job there"},
        Row{kBeside, "[numbers\n", "problem",
            "job.toml:2:12: site.storeys: found ../l4/job.toml, whose numbers cannot be known"},
        Row{kBeside, "[numbers]\nledger = 3\n", "problem",
            "job.toml:2:12: site.storeys: found ../l4/job.toml, whose numbers cannot be known"},
        Row{kBeside, "[numbers]\nledger = \"bad.csv\"\n", "problem",
            "job.toml:2:12: site.storeys: found ../l4/bad.csv, which cannot be read or has problems"},
        Row{kBeside, "[numbers]\nledger = \"../l3/numbers.csv\"\n", "problem",
            "job.toml:2:12: numbers.ledger: found \"numbers.csv\", the ledger of ../l4/job.toml too"},
        Row{kBeside, "", "notice",
            "job.toml:2:12: site.storeys: ../l4/job.toml has given out no numbers yet"},
        // What else is wrong with it is its own.
        Row{kBeside, "[drawing]\npoints = \"gone.csv\"\nbogus = 1\n", "notice",
            "job.toml:2:12: site.storeys: ../l4/job.toml has given out no numbers yet"}}) {
    CAPTURE(r.other);
    Building b;
    b.write("l3/job.toml", r.own);
    b.write("l4/job.toml", r.other);
    b.write("l4/bad.csv", "point,number\nA,1\n");
    b.read("l3");
    const auto lines = b.lines(r.grade == "problem" ? Grade::problem : Grade::notice);
    REQUIRE(lines.size() == 1);
    CHECK(lines[0].starts_with(r.told));
  }
}

TEST_CASE("storeys: a run holds the ledgers of the others while it reads them") {
  Building b;
  b.write("l3/job.toml", "[site]\nstoreys = [\"../l4\"]\n");
  b.write("l4/job.toml", "");
  b.write("l4/numbers.csv", kLedger);
  std::vector<fs::path> held;
  read_job(b.folder / "l3", b.job, b.told, [&](const fs::path& ledger) { held.push_back(ledger); });
  REQUIRE(held.size() == 2);
  CHECK(fs::equivalent(held[1], b.folder / "l4/numbers.csv"));
}
