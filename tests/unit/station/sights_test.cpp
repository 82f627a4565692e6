#include <doctest/doctest.h>

#include <string>

#include "simulation/station_world.h"
#include "support/vector_file.h"

using namespace station_test;

namespace {

const Sds kSds{
    .angle = 1e-5, .distance = 0.002, .ppm = 2, .target = 0.001, .centring = 0.001, .height = 0.001};

Reading reading(int face, double circle, std::optional<double> zenith,
                std::optional<double> slope = std::nullopt) {
  Reading r;
  r.face = face;
  r.circle = CircleReading::degrees(circle);
  if (zenith) r.zenith = Angle::degrees(*zenith);
  if (slope) r.slope = m(*slope);
  return r;
}

Sight reduced(const std::vector<Reading>& readings, const InstrumentOptions& options = options_of(kSds)) {
  const Reduction r = reduce(readings, options);
  REQUIRE(r.sights.size() == 1);
  return r.sights[0];
}

double degrees_of(const std::string& dms) {
  const bool minus = dms[0] == '-';
  const auto a = dms.find(':'), b = dms.rfind(':');
  const double v = std::fabs(std::stod(dms.substr(0, a))) + std::stod(dms.substr(a + 1, b - a - 1)) / 60 +
                   std::stod(dms.substr(b + 1)) / 3600;
  return minus ? -v : v;
}

}  // namespace

TEST_CASE("circle readings become azimuths only with an orientation") {
  CHECK((CircleReading::degrees(350) + Angle::degrees(20)).degrees() == doctest::Approx(10));
  CHECK(circle_for(Azimuth::degrees(10), Angle::degrees(20)).degrees() == doctest::Approx(350));
  CHECK(CircleReading::degrees(-0.5).degrees() == doctest::Approx(359.5));
  CHECK((CircleReading::degrees(359.9) - CircleReading::degrees(0.1)).degrees() == doctest::Approx(-0.2));
}

TEST_CASE("two faces and rounds: direction, zenith, sds") {
  struct Row {
    std::vector<Reading> readings;
    double circle, zenith, share;
  };
  const double root2 = std::sqrt(2.0);
  for (const Row& r :
       {Row{{reading(1, 10, 88)}, 10, 88, root2}, Row{{reading(2, 190.002, 272.001)}, 10.002, 87.999, root2},
        Row{{reading(1, 10, 88), reading(2, 190.002, 272.001)}, 10.001, 87.9995, 1},
        Row{{reading(1, 359.9995, 90), reading(2, 180.0005, 270)}, 0, 90, 1},  // across zero
        Row{{reading(1, 0.0005, 90), reading(2, 179.9995, 270)}, 0, 90, 1},
        Row{{reading(1, 180.001, 5), reading(2, 359.999, 355)}, 180, 5, 1},
        Row{{reading(1, 10, 88), reading(2, 190, 272), reading(1, 10.004, 88.004),
             reading(2, 190.004, 271.996)},
            10.002,
            88.002,
            1 / root2},
        Row{{reading(1, 10, 88), reading(1, 10.003, 88.003), reading(2, 190, 272)},
            10.00075,
            88.00075,
            std::sqrt(0.75)},
        Row{{reading(1, 10, 88), reading(1, 10.003, 88.003)}, 10.0015, 88.0015, 1}}) {
    const Sight s = reduced(r.readings);
    CAPTURE(r.circle);
    CHECK(std::fabs((*s.circle - CircleReading::degrees(r.circle)).degrees()) < 1e-11);
    CHECK(s.zenith->degrees() == doctest::Approx(r.zenith).epsilon(1e-12));
    CHECK(s.circle_sd.radians() == doctest::Approx(1e-5 * r.share).epsilon(1e-12));
    CHECK(s.zenith_sd.radians() == doctest::Approx(1e-5 * r.share).epsilon(1e-12));
    CHECK(s.one_face() == (s.face1 == 0 || s.face2 == 0));
  }
}

TEST_CASE("a zenith angle belongs to its face") {
  CHECK(face_agrees(reading(1, 0, 88)));
  CHECK(face_agrees(reading(2, 0, 272)));
  CHECK_FALSE(face_agrees(reading(1, 0, 272)));
  CHECK_FALSE(face_agrees(reading(2, 0, 88)));
  CHECK(face_agrees(reading(2, 0, std::nullopt)));
}

TEST_CASE("readings are grouped by target and height; facts name what is missing") {
  std::vector<Reading> readings{reading(1, 0, 90, 20), reading(1, 50, 90, 30), reading(2, 180, 270, 20)};
  readings[1].target = 1;
  readings.push_back(reading(1, 70, std::nullopt, 12));
  readings.back().target = 2;
  readings.push_back(readings[0]);
  readings.back().target_height = m(0.1);
  const Reduction r = reduce(readings, options_of(kSds));
  REQUIRE(r.sights.size() == 4);
  CHECK(r.sights[0].readings == std::vector<std::size_t>{0, 2});
  CHECK(r.sights[1].target == 1);
  CHECK_FALSE(r.sights[2].horizontal);
  CHECK(r.sights[3].target_height == m(0.1));
  std::size_t one_face = 0, without = 0;
  for (const SightFact& f : r.facts) {
    if (f.kind == SightFactKind::one_face) ++one_face;
    if (f.kind == SightFactKind::slope_without_zenith) ++without;
  }
  CHECK(one_face == 3);
  CHECK(without == 1);
}

TEST_CASE("a pointing that left the others is told") {
  std::vector<Reading> readings;
  for (std::size_t t = 0; t < 5; ++t) {
    const double c = 70.0 * static_cast<double>(t), off = t == 3 ? 0.02 : 0;
    readings.push_back(reading(1, c + 0.001 + off, 90));
    readings.push_back(reading(2, c + 180 - 0.001, 270));
    readings[2 * t].target = readings[2 * t + 1].target = t;
  }
  const Reduction r = reduce(readings, options_of(kSds));
  bool named = false;
  for (const SightFact& f : r.facts)
    named = named || (f.kind == SightFactKind::faces_disagree && f.sight == 3);
  CHECK(named);
  std::vector<Reading> rounds{reading(1, 10, 90), reading(1, 10.02, 90), reading(1, 10, 90)};
  const Reduction q = reduce(rounds, options_of(kSds));
  bool told = false;
  for (const SightFact& f : q.facts) told = told || f.kind == SightFactKind::rounds_disagree;
  CHECK(told);
}

TEST_CASE("collimation, trunnion axis and index error come back from simulated readings") {
  const double second = std::numbers::pi / 648000;
  Instrument in{.axis = {0, 0, 0},
                .orientation = 0,
                .collimation = 8 * second,
                .trunnion = -5 * second,
                .index = 12 * second};
  const Sds none{};
  Noise noise;
  std::vector<Reading> readings;
  for (std::size_t t = 0; t < 6; ++t) {
    const double way = static_cast<double>(t);
    append(readings, read(in,
                          {.target = t,
                           .mark = {10 * std::cos(way), 10 * std::sin(way), -4 + 3.0 * way},
                           .target_height = 0},
                          none, 0.13, noise));
  }
  const Reduction r = reduce(readings, options_of(kSds));
  CHECK(r.errors.pairs == 6);
  CHECK(r.errors.collimation->arc_seconds() == doctest::Approx(8).epsilon(1e-6));
  CHECK(r.errors.trunnion->arc_seconds() == doctest::Approx(-5).epsilon(1e-6));
  CHECK(r.errors.index->arc_seconds() == doctest::Approx(12).epsilon(1e-6));
}

TEST_CASE(
    "readings without noise reduce to the true distance and rise up to 500 m, zenith 5 to 175 degrees") {
  const Sds none{};
  Noise noise;
  const Instrument in{.axis = {0, 0, 0}, .orientation = 1};
  for (const double k : {0.0, 0.13, 0.2})
    for (const double far : {3.0, 50.0, 500.0})
      for (const double z : {5.0, 30.0, 60.0, 85.0, 90.0, 95.0, 120.0, 150.0, 175.0}) {
        CAPTURE(k);
        CAPTURE(far);
        CAPTURE(z);
        const double hd = far * std::sin(z * std::numbers::pi / 180),
                     up = far * std::cos(z * std::numbers::pi / 180);
        InstrumentOptions options = options_of(kSds);
        options.refraction = k;
        const Sight s = reduced(
            read(in, {.mark = {hd * 0.6, hd * 0.8, up}, .target_height = 0}, none, k, noise), options);
        CHECK(std::fabs(s.horizontal->metres() - hd) < 1e-5);
        CHECK(std::fabs(s.rise->metres() - up) < 1e-5);
      }
}

TEST_CASE("the way to a target undoes the reduction") {
  for (const double k : {0.0, 0.13})
    for (const double hd : {0.0, 0.5, 20.0, 500.0, 2000.0})
      for (const double up : {-40.0, -1.5, 0.0, 4.2, 300.0}) {
        if (hd == 0 && up == 0) continue;
        const Reach back = reach_of(line_to({m(hd), m(up)}, k), k);
        CHECK(std::fabs(back.horizontal.metres() - hd) < 1e-9);
        CHECK(std::fabs(back.rise.metres() - up) < 1e-9);
      }
}

TEST_CASE("raw distances: first velocity correction and reflector") {
  InstrumentOptions options = options_of(kSds);
  options.distances = Distances::raw;
  options.reflector = mm(-17.5);
  options.wavelength = 658;
  options.temperature = 20;
  options.pressure = 1013.25;
  options.humidity = 60;
  options.reference_refractivity = 286.338;  // the air of 12 degrees: +8.03 ppm by the closed formula
  const double want = 100 * (1 + 8.03e-6) - 0.0175;
  CHECK(std::fabs(reduced({reading(1, 0, 90, 100)}, options).slope->metres() - want) < 1e-6);
  Reading own = reading(1, 0, 90, 100);
  own.reflector = mm(30);  // its own column wins
  CHECK(std::fabs(reduced({own}, options).slope->metres() - (want + 0.0475)) < 1e-6);
  options.distances = Distances::corrected;  // the instrument has applied both
  CHECK(reduced({own}, options).slope->metres() == 100);
}

TEST_CASE("refractivity of air: closed group formula") {
  // Computed by hand from the constants of IUGG 1999, which rows REF-04 and REF-07 of refraction_edm.csv
  // hold.
  CHECK(std::fabs(group_refractivity(658) - 299.2646) < 5e-5);
  CHECK(std::fabs(group_refractivity(633) - 300.2345) < 5e-5);
  CHECK(std::fabs(group_refractivity(780) - 295.8311) < 5e-5);
  CHECK(std::fabs(group_refractivity(850) - 294.5092) < 5e-5);
  CHECK(std::fabs(group_refractivity(905) - 293.6832) < 5e-5);
  CHECK(std::fabs(air_refractivity(658, 20, 1013.25, 60) - 278.308) < 5e-4);
  CHECK(std::fabs(air_refractivity(658, 12, 1013.25, 60) - 286.338) < 5e-4);
  int seen = 0;
  for (const auto& row : deckmark_test::read_vectors("vectors/reference/refraction_edm.csv")) {
    if (row.at("calc") != "iugg_group") continue;  // the others are phase indices of other formulas
    // D = Ng x 273.15/1013.25: what one hPa over one kelvin takes off
    const double group = group_refractivity(850);
    const double term =
        (air_refractivity(850, 0, 1013.25, 0) - air_refractivity(850, 0, 1012.25, 0)) * 273.15;
    const double got = row.at("output") == "Dterm" ? term : term / group;
    CHECK(std::fabs(got - std::stod(row.at("expected"))) <= std::stod(row.at("tol")));
    ++seen;
  }
  CHECK(seen == 2);
}

TEST_CASE("published curvature, refraction and trigonometric levelling") {
  int seen = 0;
  for (const auto& row : deckmark_test::read_vectors("vectors/reference/levelling_tape_examples.csv")) {
    const auto in = deckmark_test::split_inputs(row.at("inputs"));
    const double want = std::stod(row.at("expected")), tolerance = std::stod(row.at("tol"));
    CAPTURE(row.at("id"));
    CAPTURE(row.at("source"));
    if (row.at("calc") == "curv") {
      // The row has its own radius, in its own unit: everything is scaled to ours.
      const double unit = 6371000 / std::stod(in.at("R"));
      const double k = std::stod(in.at("k"));
      const auto over = [&](double coefficient) {
        return reach_of({ZenithAngle::degrees(90), m(std::stod(in.at("d")) * unit)}, coefficient)
                   .rise.metres() /
               unit;
      };
      const double got = row.at("output") == "c"    ? over(0)
                         : row.at("output") == "cr" ? over(k)
                                                    : over(0) - over(k);
      CHECK(std::fabs(got - want) <= tolerance);
      ++seen;
    } else if (row.at("calc") == "trig_level") {
      const Line line{ZenithAngle::degrees(90 - degrees_of(in.at("va"))),
                      Length::feet(std::stod(in.at("S")))};
      const Reach reach = reach_of(line, 0.13);
      const double rise = reach.rise / Length::feet(1);
      const double got = row.at("output") == "hd" ? reach.horizontal / Length::feet(1)
                                                  : std::stod(in.at("elev")) + std::stod(in.at("hi")) + rise -
                                                        std::stod(in.at("hr"));
      CHECK(std::fabs(got - want) <= tolerance);
      ++seen;
    }
  }
  CHECK(seen == 32);
}
