// What is read of an instrument: rows with any one reading, sds of single readings, [net], and a setup over a
// point that others sight.
#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "job/job.h"
#include "support/temp_folder.h"

using namespace deckmark_test;
using namespace deckmark;

namespace {

const std::string kInstrument =
    "[site]\ncontrol = \"c.csv\"\n[instrument]\nangle_sd = \"2\\\"\"\ndistance_sd = \"2 mm\"\nangles = "
    "\"degrees\"\n";

struct SurveyJob {
  TempFolder folder;
  Job job;
  std::vector<std::string> problems;

  SurveyJob(const std::string& toml, const std::string& s1,
            const std::string& s2 = "target,circle\nCP1,0\n") {
    write_bytes(folder / "c.csv", "point,northing,easting\nCP1,10,0\nCP2,0,10\n");
    write_bytes(folder / "s1.csv", s1);
    write_bytes(folder / "s2.csv", s2);
    write_bytes(folder / "job.toml", kInstrument + toml);
    PartMessages told;
    read_job(folder.path(), job, told);
    for (const Message& m : std::move(told).merged().sorted(Grade::problem))
      problems.push_back(message_line(m));
  }
};

std::string setup(const std::string& name, const std::string& at, const std::string& file) {
  return "[[setup]]\nname = \"" + name + "\"\nat = \"" + at + "\"\nobservations = \"" + file + "\"\n";
}

}  // namespace

TEST_CASE("a row of observations has any one reading, with its own sds") {
  const SurveyJob j(setup("S1", "free", "s1.csv"),
                    "target,face,circle,zenith,slope,horizontal,height,circle_sd,zenith_sd,distance_sd\n"
                    "A,1,10,,,,,0-00-05,,\n"
                    "B,2,,271.5,,,1.5,,0.002,\n"
                    "C,1,,,12.5,,,,,0.003\n"
                    "D,1,20,85,,7.25,,,,\n");
  CHECK(j.problems == std::vector<std::string>{});
  REQUIRE(j.job.instrument.setups.size() == 1);
  const std::vector<Reading>& r = j.job.instrument.setups[0].readings;
  REQUIRE(r.size() == 4);
  CHECK(r[0].circle->degrees() == doctest::Approx(10));
  CHECK(r[0].circle_sd->arc_seconds() == doctest::Approx(5));
  CHECK_FALSE(r[0].zenith_sd);
  CHECK_FALSE(r[1].circle);
  CHECK(r[1].face == 2);
  CHECK(r[1].zenith->degrees() == doctest::Approx(271.5));
  CHECK(r[1].zenith_sd->degrees() == doctest::Approx(0.002));
  CHECK_FALSE(r[1].circle_sd);
  CHECK(r[2].slope->metres() == 12.5);
  CHECK_FALSE(r[2].horizontal);
  CHECK(r[2].distance_sd->metres() == 0.003);
  CHECK(r[3].horizontal->metres() == 7.25);
  CHECK_FALSE(r[3].slope);
}

TEST_CASE("angles of a table without circles: the notation of the job is that of their sds") {
  const SurveyJob j("[list]\ndecimals = 3\n" + setup("S1", "free", "s1.csv"),
                    "target,zenith (gon),zenith_sd (gon),horizontal (ft)\nA,98,0.0015,10\n");
  CHECK(j.problems == std::vector<std::string>{});
  const Reading& r = j.job.instrument.setups.at(0).readings.at(0);
  CHECK(r.zenith->degrees() == doctest::Approx(88.2));
  CHECK(r.zenith_sd->degrees() == doctest::Approx(0.00135));
  CHECK(r.horizontal->metres() == doctest::Approx(3.048));
}

TEST_CASE("[net] and refraction: absent, a value, none") {
  const SurveyJob silent("", "target,circle\nA,0\n");
  CHECK(silent.job.instrument.options.refraction == 0.13);
  CHECK_FALSE(silent.job.instrument.control_sd);
  const SurveyJob none("refraction = \"none\"\n[net]\ncontrol_sd = \"1.5 mm\"\n", "target,circle\nA,0\n");
  CHECK(none.problems == std::vector<std::string>{});
  CHECK_FALSE(none.job.instrument.options.refraction);
  CHECK(none.job.instrument.control_sd->millimetres() == doctest::Approx(1.5));
  const SurveyJob own("refraction = 0.2\n", "target,circle\nA,0\n");
  CHECK(own.job.instrument.options.refraction == 0.2);
}

TEST_CASE("[net] may stand in the file that storeys share") {
  TempFolder folder;
  write_bytes(folder / "site.toml", "[net]\ncontrol_sd = \"2 mm\"\n");
  write_bytes(folder / "job.toml", "site_file = \"site.toml\"\n");
  Job job;
  PartMessages told;
  read_job(folder.path(), job, told);
  CHECK_FALSE(std::move(told).merged().has_problems());
  REQUIRE(job.instrument.control_sd);
  CHECK(job.instrument.control_sd->millimetres() == doctest::Approx(2));
}

TEST_CASE("a setup stands over control, or over a point that another setup sights, before or behind it") {
  struct Row {
    std::string what, toml, s1, s2;
    std::vector<std::string> over;  // of each setup; `-`: none
    std::vector<bool> spoiled;
  };
  const std::string to_q = "target,circle\nCP1,0\nq7,40\n", to_control = "target,circle\nCP1,0\nCP2,90\n";
  for (const Row& r : std::vector<Row>{{"behind it",
                                        setup("S1", "free", "s1.csv") + setup("S2", "Q7", "s2.csv"),
                                        to_q,
                                        to_control,
                                        {"-", "Q7"},
                                        {false, false}},
                                       {"before it",
                                        setup("S1", "Q7", "s1.csv") + setup("S2", "free", "s2.csv"),
                                        to_control,
                                        to_q,
                                        {"Q7", "-"},
                                        {false, false}},
                                       {"control that is sighted is control",
                                        setup("S1", "free", "s1.csv") + setup("S2", "cp1", "s2.csv"),
                                        to_q,
                                        "target,circle\nCP2,0\n",
                                        {"-", "-"},
                                        {false, false}},
                                       {"its own sight",
                                        setup("S1", "free", "s1.csv") + setup("S2", "Q7", "s2.csv"),
                                        to_control,
                                        to_q,
                                        {"-", "Q7"},
                                        {false, true}},
                                       // the name may stand in a row that could not be read: nothing is told
                                       // of it, and nothing is computed
                                       {"a table that cannot be read",
                                        setup("S1", "free", "s1.csv") + setup("S2", "Q7", "s2.csv"),
                                        "target,circle\nCP1,0\n=7,40\n",
                                        to_control,
                                        {"-", "Q7"},
                                        {true, true}}}) {
    CAPTURE(r.what);
    const SurveyJob j(r.toml, r.s1, r.s2);
    REQUIRE(j.job.instrument.setups.size() == 2);
    for (std::size_t i = 0; i < 2; ++i) {
      const StatedSetup& s = j.job.instrument.setups[i];
      CHECK(s.over.value_or("-") == r.over[i]);
      CHECK(s.is_spoiled == r.spoiled[i]);
      CHECK((s.place == SetupPlace::known) == (s.over || s.control));
    }
    CHECK(
        std::ranges::none_of(j.problems, [](const std::string& p) { return p.find("setup.at") != p.npos; }));
  }
}
