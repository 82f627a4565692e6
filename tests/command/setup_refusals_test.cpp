// What is refused of [instrument], [stake], [[setup]] and tables of observations: one row a fault.
#include <doctest/doctest.h>

#include "cases_support.h"

using namespace deckmark_test;

namespace {

const std::string kHead = "[drawing]\npoints = \"d.csv\"\n[site]\ncontrol = \"c.csv\"\n";
const std::string kInstrument =
    "[instrument]\nangle_sd = \"2\\\"\"\ndistance_sd = \"2 mm\"\nangles = \"degrees\"\n";
const std::string kSetup = "[[setup]]\nname = \"S1\"\nat = \"free\"\nobservations = \"s.csv\"\n";
const std::string kShots = "target,circle,zenith,slope\nCP1,0,90,10\nCP2,90,90,10\nCP3,180,90,10\n";

struct Fault {
  std::string what, toml, shots;
  std::vector<Refusal> refusals;
};

void check_rows(const std::vector<Fault>& rows) {
  for (const Fault& r : rows) {
    CAPTURE(r.what);
    JobFolder job;
    job.write("job.toml", kHead + r.toml);
    job.write("d.csv", "point,x,y\nP1,0,0\n1002,1,0\nP3,2,0\n");
    job.write("c.csv", "point,northing,easting\nCP1,10,0\nCP2,0,10\nCP3,-10,0\n");
    job.write("s.csv", r.shots);
    const auto before = job.snapshot();
    const CommandResult result = job.run();
    CAPTURE(result.err);
    check_refused(job, before, result);
    for (const Refusal& refusal : r.refusals) check_told(result.err, refusal);
    CHECK(problem_lines(result.err).size() == r.refusals.size());
  }
}
Fault of_shots(std::string what, std::string shots, std::vector<Refusal> refusals) {
  return {std::move(what), kInstrument + kSetup, std::move(shots), std::move(refusals)};
}
Fault of_job(std::string what, std::string toml, std::vector<Refusal> refusals) {
  return {std::move(what), std::move(toml), kShots, std::move(refusals)};
}

}  // namespace

TEST_CASE("keys of the instrument that are refused") {
  check_rows({
      of_job("no sds", kSetup,
             {{"job.toml: instrument.angle_sd", {"S1", "angle_sd = "}},
              {"job.toml: instrument.distance_sd", {"distance_sd = "}},
              {"s.csv:2:7: zenith", {"notation", "angles under [instrument]"}},
              {"s.csv:3:5: circle", {}},
              {"s.csv:4:5: circle", {}},

              {"s.csv:3:8: zenith", {}},
              {"s.csv:4:9: zenith", {}}}),
      of_job("raw distances without the air", kInstrument + "distances = \"raw\"\n" + kSetup,
             {{"job.toml: instrument.reference_refractivity", {"ppm"}},
              {"job.toml: instrument.temperature", {}},
              {"job.toml: instrument.pressure", {"hPa"}}}),
      of_job("an sd of nothing", "[instrument]\nangle_sd = \"0\"\n",
             {{"job.toml:6:12: instrument.angle_sd", {"above zero"}}}),
      of_job("a word for angles", "[instrument]\nangles = \"degree\"\n",
             {{"job.toml:6:10: instrument.angles", {"degrees", "packed"}}}),
      of_job("a humidity beyond", "[instrument]\nhumidity = 150\n",
             {{"job.toml:6:12: instrument.humidity", {"100"}}}),
      of_job("a pressure in quotes", "[instrument]\npressure = \"1013\"\n",
             {{"job.toml:6:12: instrument.pressure", {"without quotes"}}}),
      of_job("a key of another section", "[stake]\ntarget_hight = \"1 m\"\n",
             {{"job.toml:6:1: stake.target_hight", {"target_height"}}}),
      of_job("an order that is none", "[stake]\norder = \"runs\"\n",
             {{"job.toml:6:9: stake.order", {"run", "walk"}}}),
  });
}

TEST_CASE("setups that are refused") {
  const auto setup = [](const std::string& keys) { return kInstrument + "[[setup]]\n" + keys; };
  check_rows({
      of_job("single brackets", "[setup]\nname = \"S1\"\n", {{"job.toml:5:1: setup", {"[[setup]]"}}}),
      of_job("no name", setup("at = \"free\"\nobservations = \"s.csv\"\n"),
             {{"job.toml:9:1: setup.name", {"S1"}}}),
      of_job("a name that is no file name",
             setup("name = \"a/b\"\nat = \"free\"\nobservations = \"s.csv\"\n"),
             {{"job.toml:10:8: setup.name", {"a_b"}}}),
      of_job("a name twice",
             kInstrument + kSetup + "[[setup]]\nname = \"s1\"\nat = \"CP1\"\norientation = \"0°\"\n",
             {{"job.toml:14:8: setup.name", {"again"}}}),
      of_job("no place", setup("name = \"S1\"\nobservations = \"s.csv\"\n"),
             {{"job.toml:9:1: setup.at", {"free"}}}),
      of_job("a control point that is none", setup("name = \"S1\"\nat = \"CP9\"\nobservations = \"s.csv\"\n"),
             {{"job.toml:11:6: setup.at", {"CP9", "CP1"}}}),
      of_job("two places",
             setup("name = \"S1\"\nat = \"free\"\nnorthing = \"1 m\"\nobservations = \"s.csv\"\n"),
             {{"job.toml:12:12: setup.northing", {"at"}}}),
      of_job("half a place", setup("name = \"S1\"\nnorthing = \"1 m\"\n"),
             {{"job.toml:9:1: setup.easting", {}}}),
      of_job("nothing observed", setup("name = \"S1\"\nat = \"free\"\n"),
             {{"job.toml:9:1: setup.observations", {"S1"}}}),
      of_job("a table that is not there", setup("name = \"S1\"\nat = \"free\"\nobservations = \"t.csv\"\n"),
             {{"job.toml:12:16: setup.observations", {"t.csv", "no such file"}}}),
      of_job("a bare height",
             setup("name = \"S1\"\nat = \"free\"\nheight = 1.55\nobservations = \"s.csv\"\n"),
             {{"job.toml:12:10: setup.height", {"1.55 m"}}}),
      of_job("a plan to nobody",
             setup("name = \"S1\"\nnorthing = \"1 m\"\neasting = \"1 m\"\nplan = [\"CP7\"]\n"),
             {{"job.toml:13:8: setup.plan", {"CP7"}}}),
      of_job("a plan at no place", setup("name = \"S1\"\nat = \"free\"\nplan = [\"CP1\", \"CP2\"]\n"),
             {{"job.toml:12:8: setup.plan", {"northing"}}}),
      of_job("a plan that leaves the place open",
             setup("name = \"S1\"\nnorthing = \"1 m\"\neasting = \"1 m\"\nplan = [\"CP1\"]\n"),
             {{"job.toml:9:1: setup.plan", {"open"}}}),
      of_job("the mark itself sighted",
             setup("name = \"S1\"\nat = \"CP1\"\nheight = \"1.5 m\"\nobservations = \"s.csv\"\n"),
             {{"s.csv:2:1: target", {"CP1"}}}),
  });
}

TEST_CASE("observations that are refused") {
  check_rows({
      of_shots("no circle column", "target,zenith\nCP1,90\n", {{"s.csv:1:1: header", {"circle"}}}),
      of_shots("an empty circle", "target,circle\nCP1,\n", {{"s.csv:2:5: circle", {"empty"}}}),
      of_shots("a circle of 400", "target,circle\nCP1,380\n", {{"s.csv:2:5: circle", {"gon"}}}),
      of_shots("a face that is none", "target,face,circle\nCP1,3,0\n", {{"s.csv:2:5: face", {"2"}}}),
      of_shots("a zenith of the other face", "target,face,circle,zenith\nCP1,1,0,270\n",
               {{"s.csv:2:9: zenith", {"face 1", "under 180"}}}),
      of_shots("a distance of nothing", "target,circle,zenith,slope\nCP1,0,90,0\n",
               {{"s.csv:2:10: slope", {"above zero"}}}),
      of_shots("a unit of angles", "target,circle (grad)\nCP1,0\n", {{"s.csv:1:8: circle", {"grad", "gon"}}}),
      of_shots("one target", "target,circle,zenith,slope\nCP1,0,90,10\n",
               {{"s.csv: file", {"S1", "1 control point"}}}),
      of_shots("no control at all", "target,circle,zenith,slope\nQ1,0,90,10\nQ2,90,90,10\n",
               {{"s.csv: file", {"Q1, Q2"}}}),
      of_shots("two directions alone", "target,circle\nCP1,0\nCP2,90\n", {{"s.csv: file", {"S1"}}}),
      // 1002 is a name and the number of 1002's neighbour: P1 has 1001, `1002` has 1002, P3 1003; so none is
      // double here
      of_shots("blank target", "target,circle\n,0\n", {{"s.csv:2:1: target", {}}}),
  });
}
