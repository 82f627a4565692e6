// What a key's declaration says of a job without it, against what is read: its default, and where it is
// required.
#include <doctest/doctest.h>

#include <algorithm>
#include <optional>
#include <set>
#include <string>
#include <type_traits>
#include <vector>

#include "declared_keys.h"
#include "job/job.h"
#include "job/key_entries.h"
#include "job/keys/all_keys.h"
#include "job/section_reader.h"
#include "support/temp_folder.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

/// A member's value where it has one; `Stated` and optional members have none where the key is absent.
template <class T>
const T* value_of(const T& member) {
  return &member;
}
template <class T>
const T* value_of(const std::optional<T>& member) {
  return member ? &*member : nullptr;
}
template <class T>
const T* value_of(const Stated<T>& member) {
  return value_of(member.value);
}

std::string full_name(const KeyEntry& k) { return std::string(k.section) + "." + std::string(k.name); }

/// The sections of the job file that were read below.
std::vector<std::string> g_read;

/// Reads every key of one section with the text that its declaration says holds without it, and compares the
/// member with that of a job that does not state it.
template <const auto& S>
void defaults_are_those_of_the_members() {
  using Values = typename std::remove_cvref_t<decltype(S)>::Values;
  const std::string name(S.name);
  g_read.push_back(name);
  S.each([&](const auto& key) {
    if (!key.without.as_typed) return;
    const std::string text = std::string(key.name) + " = " + std::string(key.without.text) + "\n";
    CAPTURE(name);
    CAPTURE(text);
    Messages told;
    const auto root =
        parse_job_file(Source::from_bytes("job.toml", name.empty() ? text : "[" + name + "]\n" + text), told);
    REQUIRE(root);
    Values stated, silent;
    SectionReader<S>(*root, "job.toml", told).read(stated);
    for (const Grade grade : {Grade::problem, Grade::doubt})
      for (const Message& m : told.sorted(grade)) FAIL_CHECK(message_line(m));
    const auto* with = value_of(key.member(stated));
    const auto* without = value_of(key.member(silent));
    REQUIRE(with != nullptr);
    REQUIRE_MESSAGE(without != nullptr, "its default is not the member's: say it in words");
    if constexpr (requires { *with == *without; })
      CHECK((*with == *without));
    else
      FAIL_CHECK("a value of this kind cannot be compared: say its default in words");
  });
}

}  // namespace

TEST_CASE("keys: the default that is declared is the value of a job that does not state the key") {
  g_read.clear();
  defaults_are_those_of_the_members<kTop>();
  defaults_are_those_of_the_members<kStorey>();
  defaults_are_those_of_the_members<kDrawing>();
  defaults_are_those_of_the_members<kSite>();
  defaults_are_those_of_the_members<kBaselines>();
  defaults_are_those_of_the_members<kFloor>();
  defaults_are_those_of_the_members<kDeck>();
  defaults_are_those_of_the_members<kHeights>();
  defaults_are_those_of_the_members<kHangers>();
  defaults_are_those_of_the_members<kObstructions>();
  defaults_are_those_of_the_members<kOffsets>();
  defaults_are_those_of_the_members<kPlumb>();
  defaults_are_those_of_the_members<kAsbuilt>();
  defaults_are_those_of_the_members<kInstrument>();
  defaults_are_those_of_the_members<kStake>();
  defaults_are_those_of_the_members<kSetup>();
  defaults_are_those_of_the_members<kNet>();
  defaults_are_those_of_the_members<kNumbers>();
  defaults_are_those_of_the_members<kList>();
  defaults_are_those_of_the_members<kCrew>();
  defaults_are_those_of_the_members<kBook>();
  std::vector<std::string> all;
  for_each_section([&](const auto& section, Part) { all.emplace_back(section.name); });
  CHECK(g_read == all);
}

TEST_CASE("keys: a member that has a value of its own has a declared default, unless words say it") {
  // The other way round: what a job without the key has is never kept from the reader of the declarations.
  const std::set<std::string> of_no_weight = {"title",    "revision",     "storey.name",
                                              "site.crs", "heights.beam", "heights.beam_sd"};  // empty: none
  std::size_t looked_at = 0;
  for_each_section([&](const auto& section, Part) {
    using Values = typename std::remove_cvref_t<decltype(section)>::Values;
    const Values silent;
    section.each([&](const auto& key) {
      const std::string full = section.name.empty() ? std::string(key.name)
                                                    : std::string(section.name) + "." + std::string(key.name);
      CAPTURE(full);
      if (value_of(key.member(silent)) == nullptr || of_no_weight.count(full) > 0) return;
      ++looked_at;
      CHECK_FALSE(key.without.text.empty());
    });
  });
  CHECK(looked_at > 45);
}

TEST_CASE("keys: a default that is told in words is what is taken where its key is used") {
  const auto in_words = [](std::string_view full) {
    const auto key = std::ranges::find(key_entries(), full, full_name);
    REQUIRE(key != key_entries().end());
    CHECK_FALSE(key->without.as_typed);
    return key->without.text;
  };
  const TempFolder folder;
  write_bytes(folder / "ties.csv", "mark,x,y,northing,easting\nT1,0,0,0,0\n");
  write_bytes(folder / "job.toml", "[baselines]\nties = \"ties.csv\"\n");
  Job job;
  PartMessages told;
  read_job(folder.path(), job, told);
  REQUIRE(job.ties.size() == 1);
  CHECK(job.ties[0].tolerance == Length::millimetres(5));
  CHECK_FALSE(job.square.tolerance);
  CHECK(in_words("baselines.tolerance") == "5 mm for ties; squareness and lengths by setout alone");
  CHECK(StatedSetup{}.height == Length::metres(0));
  CHECK(in_words("setup.height") == "0");
}

namespace {

/// A job in which one key has to stand: all that it says but that key, which stands in `section`.
struct Need {
  std::string full, others, section, keys;
  std::string told_at =
      full;  ///< the key that cannot do without it, where the section itself may be left out
};
const std::string kRuns = "[drawing]\nruns = \"runs.csv\"\n";
const std::string kControl = "[site]\ncontrol = \"control.csv\"\n";
const std::string kSetupRead =
    kControl + "[[setup]]\nname = \"S1\"\nat = \"CP1\"\nobservations = \"s1.csv\"\n[instrument]\n";
const std::string kSds = "angle_sd = \"2\\\"\"\ndistance_sd = \"2 mm\"\n";
const std::string kRaw = kSetupRead + kSds + "distances = \"raw\"\n";

const std::vector<Need> kNeeds = {
    {"hangers.max_spacing", kRuns, "[hangers]\n", ""},
    {"instrument.angle_sd", "", kSetupRead, "distance_sd = \"2 mm\"\n"},
    {"instrument.distance_sd", "", kSetupRead, "angle_sd = \"2\\\"\"\n"},
    {"instrument.reference_refractivity", "", kRaw, "temperature = 20.0\npressure = 1013.25\n"},
    {"instrument.temperature", "", kRaw, "reference_refractivity = 283.7\npressure = 1013.25\n"},
    {"instrument.pressure", "", kRaw, "reference_refractivity = 283.7\ntemperature = 20.0\n"},
    {"setup.name", kControl, "[[setup]]\n", "at = \"CP1\"\n"},
    {"setup.at", kControl, "[[setup]]\n", "name = \"S1\"\n"},
    {"setup.northing", "", "[[setup]]\n", "name = \"S1\"\neasting = \"1 m\"\n"},
    {"setup.easting", "", "[[setup]]\n", "name = \"S1\"\nnorthing = \"1 m\"\n"},
    {"heights.benchmarks", "", "[heights]\n", "level = \"level.csv\"\n", "heights.level"},
    {"heights.beam", "", "[heights]\n", "benchmarks = \"benchmarks.csv\"\nlaser = \"laser.csv\"\n",
     "heights.laser"},
    {"crew.name", "", "[[crew]]\n", "runs = [\"R1\"]\n"},
    {"crew.runs", "", "[[crew]]\n", "name = \"north\"\n"},
};
const std::vector<NamedFile> kTables = {
    {"runs.csv", "run,x1,y1,x2,y2\nR1,0,0,5,0\n"},
    {"drawing.csv", "point,x,y\nA,1,2\n"},
    {"control.csv", "point,northing,easting\nCP1,0 m,0 m\nCP4,9 m,3 m\n"},
    {"benchmarks.csv", "point,elevation\nBM1,1 m\n"},
    {"level.csv", "setup,target,back,fore\nL1,BM1,1 m,\nL1,TP1,,1 m\n"},
    {"laser.csv", "laser,target,reading,target_is,distance\nA,BM1,1 m,below,6 m\n"},
    {"s1.csv", "target,circle,zenith,slope\nCP4,10-00-00,90-00-00,9.487 m\n"}};

bool is_told(const std::string& toml, const std::string& full) {
  const auto told = problems_of(toml, kTables);
  return std::ranges::any_of(told, [&](const Message& m) { return m.field == full; });
}

}  // namespace

TEST_CASE("keys: where a required key is missing, that is a problem, and where it stands it is none") {
  // Whether a drawing is needed depends on the command: tests/command/reference_test.cpp.
  std::set<std::string> tried = {"drawing.points"};
  tried.insert("crew.points");  // without it runs are asked for
  for (const Need& n : kNeeds) {
    CAPTURE(n.full);
    tried.insert(n.full);
    const auto key = std::ranges::find(key_entries(), n.full, full_name);
    REQUIRE(key != key_entries().end());
    CHECK_FALSE(key->required.empty());
    const std::string without = n.others + n.section + n.keys;
    CAPTURE(without);
    CHECK(is_told(without, n.told_at));
    CHECK_FALSE(
        is_told(without + std::string(key->name) + " = " + std::string(key->example) + "\n", n.told_at));
  }
  for (const KeyEntry& k : key_entries()) {
    if (k.required.empty()) continue;
    const std::string full = full_name(k);
    CHECK_MESSAGE(tried.count(full) == 1, full, " is tried without");
    CHECK_MESSAGE(k.without.text.empty(), full, " is required and has no default");
  }
}
