// Keys of the job file against their declarations: every one is read, its example is taken, and the jobs in
// data name the declared keys and no others. (Of README and help see unit/manual.)
#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

#include "declared_keys.h"
#include "job/keys/deck_keys.h"
#include "job/section_reader.h"
#include "support/temp_folder.h"

using namespace deckmark_test;
using namespace deckmark;
namespace fs = std::filesystem;

namespace {

bool says(const std::string& text, const std::string& words) { return text.find(words) != std::string::npos; }

/// What a key cannot do without: other keys of its section, and sections behind it.
struct Company {
  std::string full, keys, sections;
};
const std::string kControl = "[site]\ncontrol = \"control.csv\"\n";
const std::vector<Company> kCompany = {
    {"drawing.pieces", "runs = \"runs.csv\"\n", ""},
    {"site.crs", "unit = \"us-ft\"\ncontrol = \"grid.csv\"\n", ""},
    {"site.ground_at", "unit = \"us-ft\"\ncontrol = \"grid.csv\"\ncrs = \"EPSG:6428\"\n", ""},
    {"site.elevation", "unit = \"us-ft\"\ncontrol = \"grid.csv\"\ncrs = \"EPSG:6428\"\n", ""},
    {"site.geographic", "unit = \"us-ft\"\ncontrol = \"grid.csv\"\ncrs = \"EPSG:6428\"\n", ""},
    {"heights.level", "benchmarks = \"benchmarks.csv\"\n", ""},
    {"heights.laser", "benchmarks = \"benchmarks.csv\"\nbeam = \"3 mm at 10 m\"\n", ""},
    {"setup.at", "", kControl},
    {"crew.setups", "", "[[setup]]\nname = \"S1\"\n"},
    {"setup.plan", "northing = \"500 m\"\neasting = \"100 m\"\n", kControl},
};

/// Tables that are named by what follows; in every other file stands nothing of use.
const std::vector<NamedFile> kFiles = {
    {"control.csv", "point,northing,easting\nCP1,0 m,0 m\nCP4,9 m,3 m\n"},
    {"../site.toml", "[site]\nunit = \"m\"\n"},
    {"../l4/job.toml", ""},
    {"../l5/job.toml", ""},
    // From data/concourse-us-ft.
    {"grid.csv",
     "point,northing (us-ft),easting (us-ft)\nCP1,1680218.412,3473655.087\nCP2,1680471.950,3473702.336\n"}};

std::vector<Message> problems_with(const DeclaredKey& key, const std::string& value) {
  std::string toml = key.stated(value);
  for (const Company& c : kCompany)
    if (c.full == key.full()) toml += c.keys + c.sections;
  std::vector<NamedFile> files = kFiles;
  const bool is_path = key.names_file && value.front() == '"';
  const std::string path = is_path ? value.substr(1, value.size() - 2) : "";
  if (is_path && path != "control.csv") files.push_back({path, "nothing\n"});
  return problems_of(toml, files);
}

}  // namespace

TEST_CASE("keys: each has a meaning and an example, and no two fill one member") {
  const auto keys = declared_keys();
  CHECK(keys.size() > 110);
  std::set<std::string> paths, names;
  for (const DeclaredKey& k : keys) {
    CAPTURE(k.in_words());
    CHECK(names.insert(k.in_words()).second);
    CHECK(paths.insert(k.path).second);
    CHECK(k.meaning.size() > 5);
    CHECK_FALSE(says(k.meaning, "\n"));
  }
}

TEST_CASE("keys: the example of every one is taken") {
  for (const DeclaredKey& k : declared_keys()) {
    CAPTURE(k.stated(k.example));
    for (const auto& told : problems_with(k, k.example)) {
      CAPTURE(told.text);
      CHECK_FALSE((told.file == "job.toml" && told.field == k.full()));
      CHECK_FALSE((told.file == "job.toml" && told.field == "file"));
    }
  }
}

TEST_CASE("keys: a job that states all of them has none that is not known") {
  std::string toml, section;
  for (const DeclaredKey& k : declared_keys()) {
    const std::string lines = k.stated(k.example);
    toml += k.section == section ? k.name + " = " + k.example + "\n" : lines;
    section = k.section;
  }
  std::vector<std::string> fields;
  for (const auto& told : problems_of(toml, kFiles)) {
    CAPTURE(told.text);
    CHECK_FALSE(says(told.text, "not known"));
    fields.push_back(told.field);
  }
  // The job is read, not refused as a whole: keys that do not go together are told.
  CHECK(std::ranges::count(fields, "deck.elevation") == 1);
  CHECK(std::ranges::count(fields, "list.split") == 1);
}

TEST_CASE("keys: what no key can be is told at every key, so that none is declared and not read") {
  for (const DeclaredKey& k : declared_keys()) {
    const std::string toml = k.stated("[[1]]");
    CAPTURE(toml);
    std::size_t told_there = 0;
    for (const auto& told : problems_of(toml)) {
      CHECK_FALSE(says(told.text, "not known"));
      if (told.field == k.full() && told.place.line == (k.section.empty() ? 1 : 2)) ++told_there;
    }
    CHECK(told_there >= 1);
  }
}

namespace {

std::vector<std::string> declared_words() {
  std::vector<std::string> out;
  for (const DeclaredKey& k : declared_keys()) out.push_back(k.in_words());
  return out;
}

}  // namespace

TEST_CASE("keys: the jobs in data name declared ones, in what is commented out too") {
  const auto known = declared_words();
  static const std::regex section_line(R"(^#? ?(\[\[?\w+\]\]?).*)"), key_line(R"(^#? ?(\w+) = .*)");
  std::size_t files = 0;
  for (const auto& entry : fs::recursive_directory_iterator(DECKMARK_DATA_DIR)) {
    if (entry.path().extension() != ".toml") continue;
    ++files;
    std::istringstream in(read_bytes(entry.path()));
    std::string section;
    for (std::string line; std::getline(in, line);) {
      std::smatch found;
      if (std::regex_match(line, found, section_line)) section = found[1].str() + " ";
      if (!std::regex_match(line, found, key_line)) continue;
      CAPTURE(entry.path().string());
      CAPTURE(line);
      CHECK(std::ranges::count(known, section + found[1].str()) == 1);
    }
  }
  CHECK(files > 7);
}

// A key that its section does not declare cannot be asked for: a name comes from a literal that is checked
// when the program is compiled, and no reader of values stands open.
static_assert(kDeck.declares("shots") && !kDeck.declares("shtos") && !kDeck.declares("height"));
static_assert(!std::is_constructible_v<KeyName<kDeck>, std::string_view>);
static_assert(!std::is_constructible_v<KeyName<kDeck>, std::string>);
static_assert(!std::is_constructible_v<KeyReader, const JobValue*, std::string, std::string, Messages&>);
