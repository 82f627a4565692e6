// What is refused of [instrument], [stake], [[setup]] and tables of observations: one row a fault.
#include <doctest/doctest.h>

#include "cases_support.h"

using namespace deckmark_test;

namespace {

const std::string kHead =
    "drawing.points = \"d.csv\"\ndrawing.frame = \"site\"\n[site]\ncontrol = \"c.csv\"\n";
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
    job.write("u.csv", "target,circle,zenith,slope\nCP1,0,90,10\nCP2,90,90,10\nQ5,45,90,10\n");
    check_refused_with(job, r.refusals);
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
      of_job("a pressure beyond", "[instrument]\npressure = 1201\n",
             {{"job.toml:6:12: instrument.pressure", {"1200"}}}),
      of_job("a pressure in quotes", "[instrument]\npressure = \"1013\"\n",
             {{"job.toml:6:12: instrument.pressure", {"without quotes"}}}),
      of_job("another word for none", "[instrument]\nrefraction = \"None\"\n",
             {{"job.toml:6:14: instrument.refraction", {"\"None\"", "from -10 to 10", "try \"none\""}}}),
      of_job("a coefficient in quotes", "[instrument]\nrefraction = \"0.13\"\n",
             {{"job.toml:6:14: instrument.refraction", {"without quotes, or \"none\""}}}),
      of_job("none without quotes", "[instrument]\nrefraction = none\n",
             {{"job.toml:6:15: file", {"try refraction = \"none\""}}}),
      of_job("a coefficient with a comma", "[instrument]\nrefraction = 0,13\n",
             {{"job.toml:6:15: file", {"a number alone, without quotes"}}}),
      of_job("an sd of control of nothing", "[net]\ncontrol_sd = 0\n",
             {{"job.toml:6:14: net.control_sd", {"above zero"}}}),
      of_job("a bare sd of control", "[net]\ncontrol_sd = 1\n",
             {{"job.toml:6:14: net.control_sd", {"unit"}}}),
      of_job("a key that [net] has not", "[net]\ncontrol_sds = \"1 mm\"\n",
             {{"job.toml:6:1: net.control_sds", {"control_sd"}}}),
      of_job("a key of another section", "[stake]\ntarget_hight = \"1 m\"\n",
             {{"job.toml:6:1: stake.target_hight", {"target_height"}}}),
      of_job("a key that is none", "[stake]\nfrom = \"S1\"\n", {{"job.toml:6:1: stake.from", {"not known"}}}),
      of_job("an sd as a number", "[instrument]\nangle_sd = 2\n",
             {{"job.toml:6:12: instrument.angle_sd", {"such as angle_sd = \"0-00-02\""}}}),
      of_job("a target of 500 m", "[stake]\ntarget_height = \"500 m\"\n",
             {{"job.toml:6:17: stake.target_height", {"500.000 m", "20 m"}}}),
      of_job("a constant of 34 m", "[instrument]\nreflector = \"34 m\"\n",
             {{"job.toml:6:13: instrument.reflector", {"34.000 m", "such as \"-34 mm\""}}}),
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
             {{"job.toml:11:6: setup.at", {"CP9", "CP1", "a point that another setup sights", "\"free\""}}}),
      {"a point that another setup sights by another name",
       kInstrument + kSetup + "[[setup]]\nname = \"S2\"\nat = \"Pillr\"\norientation = \"0°\"\n",
       kShots + "Pillar,45,90,10\n",
       {{"job.toml:15:6: setup.at", {"\"Pillr\"", "another setup sights", "try \"Pillar\""}}}},
      {"a point that the setup alone sights",
       kInstrument + kSetup + "[[setup]]\nname = \"S2\"\nat = \"q5\"\nobservations = \"u.csv\"\n",
       kShots,
       {{"u.csv:4:1: target", {"\"Q5\", over which the instrument stands"}}}},
      {"a plan over a point that another setup sights",
       kInstrument + kSetup + "[[setup]]\nname = \"S2\"\nat = \"Q5\"\nplan = [\"CP1\"]\n",
       kShots + "Q5,45,90,10\n",
       {{"job.toml:16:8: setup.plan", {"no stated place", "northing"}}}},
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
             {{"job.toml:13:9: setup.plan", {"CP7"}}}),
      of_job("a plan at no place", setup("name = \"S1\"\nat = \"free\"\nplan = [\"CP1\", \"CP2\"]\n"),
             {{"job.toml:12:8: setup.plan", {"northing"}}}),
      of_job("a plan that leaves the place open",
             setup("name = \"S1\"\nnorthing = \"1 m\"\neasting = \"1 m\"\nplan = [\"CP1\"]\n"),
             {{"job.toml:9:1: setup.plan", {"open"}}}),
      of_job("a name too long for a file",
             setup("name = \"" + std::string(61, 'S') + "\"\nat = \"free\"\nobservations = \"s.csv\"\n"),
             {{"job.toml:10:8: setup.name", {"longer", "up to 60"}}}),
      of_job("free in capitals", setup("name = \"S1\"\nat = \"Free\"\nobservations = \"s.csv\"\n"),
             {{"job.toml:11:6: setup.at", {"try \"free\""}}}),
      of_job("an instrument 1500 m high",
             setup("name = \"S1\"\nat = \"free\"\nheight = \"1500 m\"\nobservations = \"s.csv\"\n"),
             {{"job.toml:12:10: setup.height", {"1500.000 m", "20 m"}}}),
      of_job("a turn and more", setup("name = \"S1\"\nat = \"CP1\"\norientation = \"400°\"\n"),
             {{"job.toml:12:15: setup.orientation", {"360 degrees"}}}),
      of_job("a plan to its own mark", setup("name = \"S1\"\nat = \"CP1\"\nplan = [\"cp1\", \"CP2\"]\n"),
             {{"job.toml:12:9: setup.plan", {"cp1", "over which"}}}),
      of_job("a plan from a control point to itself",
             setup("name = \"S1\"\nnorthing = \"10 m\"\neasting = 0\nplan = [\"CP1\", \"CP2\"]\n"),
             {{"job.toml:13:9: setup.plan", {"CP1", "at which the spot lies"}}}),
      of_job("the mark itself sighted",
             setup("name = \"S1\"\nat = \"CP1\"\nheight = \"1.5 m\"\nobservations = \"s.csv\"\n"),
             {{"s.csv:2:1: target", {"CP1"}}}),
  });
}

TEST_CASE("observations that are refused") {
  check_rows({
      of_shots("no column of readings", "target,face,circle_sd\nCP1,1,0-00-02\n",
               {{"s.csv:1:1: header", {"circle, zenith, slope or horizontal"}}}),
      of_shots("an empty circle", "target,circle\nCP1,\n",
               {{"s.csv:2:5: circle", {"empty", "circle, zenith, slope or horizontal"}}}),
      of_shots("no reading in a row", "target,circle,zenith,slope,horizontal\nCP1,0,,,\nCP2,,,,\n",
               {{"s.csv:3:5: circle", {"empty"}}}),
      of_shots("two distances in a row", "target,circle,zenith,slope,horizontal\nCP1,0,80,10,9.848\n",
               {{"s.csv:2:13: horizontal", {"9.848", "slope \"10\"", "one distance a row"}}}),
      of_shots("a horizontal distance of nothing", "target,circle,horizontal\nCP1,0,0\n",
               {{"s.csv:2:7: horizontal", {"above zero"}}}),
      of_shots("horizontal kilometres", "target,circle,horizontal\nCP1,0,21000\n",
               {{"s.csv:2:7: horizontal", {"21000 m", "20000 m"}}}),
      of_shots("horizontal distances apart", "target,circle,horizontal\nCP1,0,10\nCP1,0,10.3\n",
               {{"s.csv:3:7: horizontal", {"10.300 m", "0.300 m from its first reading"}}}),
      of_shots("sds of angles that are none", "target,circle,circle_sd,zenith_sd\nCP1,0,0,5\nCP2,90,-1,0\n",
               {{"s.csv:2:7: circle_sd", {"not above zero", "0-00-05"}},
                {"s.csv:2:9: zenith_sd", {"\"5\", over one degree", "such as 0-00-05"}},
                {"s.csv:3:8: circle_sd", {"not above zero"}},
                {"s.csv:3:11: zenith_sd", {"not above zero"}}}),
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
      of_shots("a face in words", "target,face,circle\nCP1,left,0\nCP2,II,0\nCP3,Face 1,0\n",
               {{"s.csv:2:5: face", {"left", "1 or 2; try 1"}},
                {"s.csv:3:5: face", {"try 2"}},
                {"s.csv:4:5: face", {"try 1"}}}),
      of_shots("straight up", "target,circle,zenith\nCP1,0,0\n",
               {{"s.csv:2:7: zenith", {"straight up", "empty cell"}}}),
      of_shots("straight down", "target,circle,zenith\nCP1,0,180-00-00\n",
               {{"s.csv:2:7: zenith", {"straight"}}}),
      of_shots("a height above level", "target,circle,zenith\nCP1,0,-3\n",
               {{"s.csv:2:7: zenith", {"-3", "90", "level"}}}),
      of_shots("kilometres", "target,circle,zenith,slope\nCP1,0,90,21000\n",
               {{"s.csv:2:10: slope", {"21000 m", "20000 m", "unit"}}}),
      of_shots("a pole of 1500 m", "target,circle,zenith,slope,height\nCP1,0,90,10,1500\n",
               {{"s.csv:2:13: height", {"1500 m", "20 m"}}}),
      of_shots("a constant of 34 m", "target,circle,reflector\nCP1,0,-34\n",
               {{"s.csv:2:7: reflector", {"-34 m", "1 m"}}}),
      of_shots("face 2 not turned", "target,face,circle\nCP1,1,10\nCP1,2,10\nCP2,1,90\n",
               {{"s.csv:3:5: face",
                 {"face 2 with circle 10-00-00", "half a turn",
                  "face 1, or in face 2 a circle near 190-00-00", "try 1"}}}),
      of_shots("the other face in a table without faces", "target,circle\nCP1,10\nCP1,190\nCP2,90\n",
               {{"s.csv:3:5: circle", {"190-00-00", "10-00-00", "a column face that says 2 here"}}}),
      of_shots(
          "a circle of the other face", "target,face,circle,zenith\nCP1,1,10,90\nCP1,2,10,270\nCP2,1,90,90\n",
          {{"s.csv:3:7: circle", {"180 degrees", "near 190-00-00, since its zenith angle is of face 2"}}}),
      of_shots(
          "faces a degree apart", "target,face,circle,zenith\nCP1,1,10,80\nCP1,2,191.5,278\nCP2,1,90,90\n",
          {{"s.csv:3:7: circle", {"191-30-00", "1.5 degrees", "a reading near 190-00-00; or another name"}},
           {"s.csv:3:13: zenith", {"278-00-00", "2.0 degrees", "near 280-00-00"}}}),
      // an instrument a degree and a half out in both faces: one sight alone is not
      of_shots("faces apart beside the collimation of the others",
               "target,face,circle,zenith\nCP1,1,10,80\nCP1,2,191.5,281.5\nCP2,1,90,90\nCP2,2,271.5,271.5\n"
               "CP3,1,130,90\nCP3,2,311.5,271.5\nQ1,1,170,85\nQ1,2,350,275\n",
               {{"s.csv:9:6: circle", {"350-00-00", "1.5 degrees", "near 351-30-00"}},
                {"s.csv:9:10: zenith", {"275-00-00", "1.5 degrees", "near 276-30-00"}}}),
      of_shots("a round with the circle set anew",
               "target,circle\nCP1,0\nCP2,90\nCP3,180\nCP1,60\nCP2,150.001\nCP3,240\nCP1,60\n",
               {{"s.csv:5:5: circle",
                 {"round 2 with the circle turned by 60-00-00", "its 3 directions read that much more",
                  "as a setup of their own"}}}),
      of_shots("another target under the same name",
               "target,circle,zenith,slope\nCP1,0,90,10\nCP2,90,90,10\ncp1,140,90,25\n",
               {{"s.csv:4:5: circle", {"CP1", "140 degrees", "another name"}},
                {"s.csv:4:12: slope", {"25.000 m", "10.000 m"}}}),
      of_shots("a target that went up without its height",
               "target,circle,zenith,slope\nCP1,0,90,10\nCP1,0,80,10.1\n",
               {{"s.csv:3:7: zenith", {"10 degrees", "target height"}}}),
      of_shots(
          "gon in both faces", "target,face,circle,zenith\nCP1,1,0,98\nCP1,2,200,302\nCP2,1,90,90\n",
          {{"s.csv:3:7: circle", {"20 degrees"}}, {"s.csv:3:11: zenith", {"make 400", "angles = \"gon\""}}}),
      of_shots("text that is not UTF-8", "target,circle\nCP\xFF,0\n", {{"s.csv:2:1: target", {"0xFF"}}}),
      of_shots("decimal commas in a comma table", "target,circle,slope\nCP1,\"0,5\",\"10,25\"\n",
               {{"s.csv:2:5: circle", {"decimal comma", "try 0.5"}}, {"s.csv:2:11: slope", {"try 10.25"}}}),
      of_shots("no rows", "target,circle\n", {{"s.csv: file", {"no data rows"}}}),
      of_shots("no number", "target,circle,slope\nCP1,nan,inf\n",
               {{"s.csv:2:5: circle", {"nan"}}, {"s.csv:2:9: slope", {"inf"}}}),
      // 1002 is a name and the number of 1002's neighbour: P1 has 1001, `1002` has 1002, P3 1003; so none is
      // double here
      of_shots("blank target", "target,circle\n,0\n", {{"s.csv:2:1: target", {}}}),
  });
}

TEST_CASE("doubts of an instrument's figures") {
  struct Row {
    std::string what, instrument, shots, said;
  };
  const std::string raw = "distances = \"raw\"\nreference_refractivity = 283\ntemperature = 20\n";
  for (const Row& row : std::vector<Row>{
           {"mmHg for hPa", raw + "pressure = 760\n", kShots,
            "job.toml:12:12: instrument.pressure: 760.0 hPa is the air of a place over 1900 m high; if it is "
            "in mmHg, write 1013.2"},
           {"air of a high place", raw + "pressure = 680\n", kShots, ""},
           {"heights above level", "",
            "target,circle,zenith,slope\nCP1,0,1.5,10\nCP2,90,0.5,10\nCP3,180,0.2,10\n",
            "are these angles above level?"},
           {"a loose angle", "", "target,circle,circle_sd\nCP1,0,0.05\nCP2,90,\nCP3,180,\n",
            "s.csv:2:7: circle_sd: an angle good to 0-03-00 only; is the unit as meant?"},
           {"a constant beside a horizontal distance", raw + "pressure = 1000\n",
            "target,circle,horizontal,reflector\nCP1,0,10,-0.03\nCP2,90,10,\nCP3,180,10,\n",
            "s.csv:2:10: reflector: not applied to a distance under horizontal"},
           {"a circle that turned", "",
            "target,circle,zenith,slope\nCP1,0,90,10\nCP2,90,90,10\nCP3,180,90,10\nCP1,0-00-40,90,10\n"
            "CP2,90-00-41,90,10\n",
            "s.csv:5:1: circle: setup S1: circle turned by 40\" between rounds 1 and 2: from this reading on "
            "2 "
            "directions read more by one angle"},
           {"gon in one face", "",
            "target,circle,zenith,slope\nCP1,0,100,10\nCP2,100,99.5,10\nCP3,200,101,10\n",
            "if they are gon, write angles = \"gon\""},
       }) {
    CAPTURE(row.what);
    JobFolder job;
    job.write("job.toml", kHead + kInstrument + row.instrument + kSetup);
    job.write("d.csv", "point,x,y\nP1,0,0\n");
    job.write("c.csv", "point,northing,easting\nCP1,10,0\nCP2,0,10\nCP3,-10,0\n");
    job.write("s.csv", row.shots);
    const std::string err = job.run({"setup", "."}).err;
    CAPTURE(err);
    CHECK(err.find(": found ") == std::string::npos);
    if (row.said.empty())
      CHECK(err.find("instrument.") == std::string::npos);
    else
      CHECK(err.find(row.said) != std::string::npos);
  }
}

TEST_CASE("messages name no more than a dozen targets, of 20000 side shots too") {
  JobFolder job;
  job.write("job.toml", kHead + kInstrument + kSetup);
  job.write("d.csv", "point,x,y\nP1,0,0\n");
  job.write("c.csv", "point,northing,easting\nCP1,10,0\nCP2,0,10\nCP3,-10,0\n");
  std::string shots = kShots;
  for (int i = 0; i < 20000; ++i)
    shots += "Q" + std::to_string(i) + "," + std::to_string(i % 360) + ".5,90,17\n";
  job.write("s.csv", shots);
  const CommandResult r = job.run({"setup", ".", "--csv"});
  CHECK(r.exit_code == 0);
  CHECK(r.err.find("Q8 and 19991 more") != std::string::npos);   // read in one face: CP1 to CP3 first
  CHECK(r.err.find("Q11 and 19988 more") != std::string::npos);  // side shots
  CHECK(r.err.size() < 3000);
}
