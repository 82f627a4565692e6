#include <doctest/doctest.h>

#include <algorithm>
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
  }
}

TEST_CASE("readings with sds of their own: weighted in a face, then the mean of both faces") {
  // sds in seconds; a reading without one has sqrt(2) angle_sd
  const double second = 1 / 3600.0, plain = std::numbers::sqrt2 * 1e-5 * 180 / std::numbers::pi / second;
  const auto read = [](int face, double off, std::optional<double> sd) {
    const double unit = 1 / 3600.0;
    Reading r =
        reading(face, (face == 1 ? 20 : 200) + off * unit, (face == 1 ? 80 + off * unit : 280 - off * unit));
    if (sd) r.circle_sd = Angle::arc_seconds(*sd), r.zenith_sd = Angle::arc_seconds(2 * *sd);
    return r;
  };
  const double p = 1 / (plain * plain);
  struct Row {
    std::vector<Reading> readings;
    double off, sd;     // of the circle
    double zenith_off;  // the zenith's own sds are twice these, where there are any
  };
  for (const Row& r :
       {Row{{read(1, 3, 5.0)}, 3, 5, 3}, Row{{read(1, 0, 1.0), read(1, 5, 2.0)}, 1, std::sqrt(0.8), 1},
        // a fine mean in face 1 counts no more than the coarse reading in face 2
        Row{{read(1, 0, 1.0), read(1, 5, 2.0), read(2, 7, 3.0)}, 4, std::sqrt(9.8) / 2, 4},
        Row{{read(2, 0, 1.0), read(2, 6, std::nullopt)},
            6 * p / (1 + p),
            1 / std::sqrt(1 + p),
            6 * p / (0.25 + p)}}) {
    CAPTURE(r.sd);
    const Sight s = reduced(r.readings);
    CHECK((s.circle->degrees() - 20) / second == doctest::Approx(r.off).epsilon(1e-7));
    CHECK(s.circle_sd.arc_seconds() == doctest::Approx(r.sd).epsilon(1e-9));
    CHECK((s.zenith->degrees() - 80) / second == doctest::Approx(r.zenith_off).epsilon(1e-7));
  }
  CHECK(reduced({read(1, 0, 1.0), read(2, 0, 3.0)}).zenith_sd.arc_seconds() ==
        doctest::Approx(std::sqrt(4.0 + 36.0) / 2));
  // 5" apart is nothing where a reading is good to 5", and too much where it is good to 1"
  for (const double sd : {1.0, 5.0}) {
    const Reduction q = reduce(std::vector<Reading>{read(1, 0, sd), read(1, 8, sd)}, options_of(kSds));
    CHECK(std::ranges::count(q.facts, SightFactKind::rounds_disagree, &SightFact::kind) == (sd < 2 ? 1 : 0));
  }
}

TEST_CASE("half differences of the faces and what is left of them in a sight") {
  std::vector<Reading> readings{reading(1, 10.004, 80.003), reading(2, 190, 280.001),
                                reading(1, 30, 80),         reading(2, 230, 280),
                                reading(1, 60, 80),         reading(2, 240, std::nullopt)};
  for (std::size_t i = 2; i < readings.size(); ++i) readings[i].target = i < 4 ? i - 1 : 3;
  Reading level = reading(1, 0, 70);
  level.circle.reset();
  level.target = 4;
  readings.push_back(level);
  const Reduction r = reduce(readings, options_of(kSds));
  REQUIRE(r.sights.size() == 5);
  const double circle_face[]{0, 1, -1, 0, 0}, zenith_face[]{0, 1, -1, 1, 1};
  for (std::size_t k = 0; k < 5; ++k) {
    CAPTURE(k);
    CHECK(r.sights[k].circle_face == circle_face[k]);
    CHECK(r.sights[k].zenith_face == zenith_face[k]);
  }
  REQUIRE(r.halves.size() == 2);
  CHECK(r.halves[0].sight == 0);
  CHECK(r.halves[0].circle->degrees() == doctest::Approx(0.002).epsilon(1e-9));
  CHECK(r.halves[0].zenith->degrees() == doctest::Approx(0.002).epsilon(1e-9));
  CHECK(r.halves[0].circle_sd.radians() == doctest::Approx(1e-5));
  CHECK(r.halves[0].zenith_sd.radians() == doctest::Approx(1e-5));
  CHECK(r.halves[1].sight == 3);
  CHECK(r.halves[1].circle->degrees() == doctest::Approx(0).epsilon(1e-12));
  CHECK_FALSE(r.halves[1].zenith);
  CHECK(r.errors.pairs == 2);
  CHECK(std::ranges::count(r.facts, SightFactKind::one_face, &SightFact::kind) == 3);
}

TEST_CASE("a distance that was read as horizontal stands as read, and gives the rise with the zenith") {
  for (const double k : {0.0, 0.13})
    for (const double far : {3.0, 500.0})
      for (const double z : {20.0, 60.0, 90.0, 110.0, 160.0}) {
        CAPTURE(k);
        CAPTURE(far);
        CAPTURE(z);
        const double hd = far * std::sin(z * std::numbers::pi / 180),
                     up = far * std::cos(z * std::numbers::pi / 180);
        InstrumentOptions options = options_of(kSds);
        options.refraction = k;
        options.distances = Distances::raw;  // what is reduced already gets neither air nor reflector
        options.reflector = mm(-30);
        options.reference_refractivity = options.temperature = 20, options.pressure = 1000;
        Reading r = reading(1, 0, point_at({}, {hd * 0.6, hd * 0.8, up}, k).zenith * 180 / std::numbers::pi);
        r.circle.reset();
        r.horizontal = m(hd);
        const Sight s = reduced({r}, options);
        CHECK(s.reduced);
        CHECK_FALSE(s.slope);
        CHECK_FALSE(s.circle);
        CHECK(s.horizontal->metres() == hd);
        CHECK(std::fabs(s.rise->metres() - up) < 1e-5);
        const Line line = line_over(m(hd), *s.zenith, k);
        CHECK(std::fabs(reach_of(line, k).horizontal.metres() - hd) < 1e-9);
        options.refraction.reset();
        CHECK(reduced({r}, options).rise->metres() ==
              doctest::Approx(hd / std::tan(s.zenith->degrees() * std::numbers::pi / 180)).epsilon(1e-12));
      }
  Reading level = reading(1, 0, std::nullopt);
  level.horizontal = m(40);
  CHECK(reduced({level}).horizontal->metres() == 40);
  CHECK_FALSE(reduced({level}).rise);
  CHECK(std::ranges::count(reduce(std::vector{level}, options_of(kSds)).facts,
                           SightFactKind::slope_without_zenith, &SightFact::kind) == 0);
  // 60 degrees from the zenith 20 m slope are 17.3205 m across
  Reading other = reading(1, 0, 60);
  other.horizontal = m(10 * std::sqrt(3.0) + 0.002);
  InstrumentOptions flat = options_of(kSds);
  flat.refraction.reset();
  const Sight both = reduced({reading(1, 0, 60, 20), other}, flat);
  CHECK(both.reduced);
  CHECK(both.horizontal->metres() == doctest::Approx(10 * std::sqrt(3.0) + 0.001).epsilon(1e-12));
}

TEST_CASE("without curvature and refraction a sight is a plain triangle") {
  for (const double z : {5.0, 60.0, 90.0, 100.0, 175.0}) {
    const double a = z * std::numbers::pi / 180;
    const Reach reach = reach_of({ZenithAngle::degrees(z), m(2000)}, std::nullopt);
    CHECK(reach.horizontal.metres() == doctest::Approx(2000 * std::sin(a)).epsilon(1e-14));
    CHECK(std::fabs(reach.rise.metres() - 2000 * std::cos(a)) < 1e-9);
    const Line back = line_to(reach, std::nullopt);
    CHECK(back.slope.metres() == doctest::Approx(2000).epsilon(1e-14));
    CHECK(back.zenith.degrees() == doctest::Approx(z).epsilon(1e-13));
  }
}

TEST_CASE("the sd of a rise, by small changes of what was read") {
  InstrumentOptions options = options_of(kSds);
  options.refraction.reset();
  for (const double z : {30.0, 90.0, 140.0})
    for (const bool is_horizontal : {false, true}) {
      CAPTURE(z);
      CAPTURE(is_horizontal);
      const auto rise = [&](double zenith, double distance) {
        Reading r = reading(1, 0, zenith, is_horizontal ? std::nullopt : std::optional(distance));
        if (is_horizontal) r.horizontal = m(distance);
        return reduced({r}, options);
      };
      const double h = 1e-4;
      const double by_distance = (rise(z, 50 + h).rise->metres() - rise(z, 50 - h).rise->metres()) / (2 * h),
                   by_zenith = (rise(z + h, 50).rise->metres() - rise(z - h, 50).rise->metres()) /
                               (2 * h * std::numbers::pi / 180);
      const Sight s = rise(z, 50);
      CHECK(rise_sd(s, 20).metres() ==
            doctest::Approx(std::hypot(by_distance * (0.002 + 50 * 20e-6), by_zenith * std::sqrt(2.0) * 1e-5))
                .epsilon(1e-6));
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

TEST_CASE("a circle that turned between rounds is told once, and from which reading on") {
  struct Row {
    const char* what;
    std::size_t targets, rounds;
    double by, one_off;  // seconds: in round 2 and after it; of one reading of round 2
    std::size_t turns, disagree;
  };
  // without one of the three targets: 3.29 times the sd of the mean of four differences of 4.1" is 6.8"
  for (const Row& r :
       {Row{"turned", 3, 2, 40, 0, 1, 0}, Row{"turned and stays so", 3, 3, -40, 0, 1, 0},
        Row{"a little more than chance", 3, 2, 6.9, 0, 1, 0}, Row{"chance", 3, 2, 6.7, 0, 0, 0},
        Row{"one reading off", 3, 2, 0, 40, 0, 1}, Row{"one of few", 2, 2, 0, 12, 0, 0},
        Row{"turned, and one reading off", 3, 2, 40, 30, 0, 3}, Row{"one target twice", 1, 2, 40, 0, 0, 1}}) {
    CAPTURE(r.what);
    std::vector<Reading> readings;
    for (std::size_t k = 0; k < r.rounds; ++k)
      for (int face = 1; face <= 2; ++face)
        for (std::size_t t = 0; t < r.targets; ++t) {
          const double off = (k > 0 ? r.by : 0) + (k == 1 && face == 1 && t == 0 ? r.one_off : 0);
          readings.push_back(reading(
              face, 100.0 * static_cast<double>(t) + (face == 2 ? 180 : 0) + off / 3600, std::nullopt));
          readings.back().target = t;
        }
    const Reduction q = reduce(readings, options_of(kSds));
    CHECK(q.turns.size() == r.turns);
    CHECK(std::ranges::count(q.facts, SightFactKind::rounds_disagree, &SightFact::kind) ==
          static_cast<std::ptrdiff_t>(r.disagree));
    if (q.turns.size() != 1) continue;
    CHECK(q.turns[0].round == 1);
    CHECK(q.turns[0].reading == 2 * r.targets);
    CHECK(q.turns[0].sights == 2 * r.targets);
    CHECK(q.turns[0].by.arc_seconds() == doctest::Approx(r.by).epsilon(1e-6));
  }
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
