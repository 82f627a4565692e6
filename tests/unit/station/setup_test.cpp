#include <doctest/doctest.h>

#include <cmath>
#include <functional>
#include <numbers>
#include <set>
#include <string>

#include "simulation/station_world.h"
#include "support/vector_file.h"

using namespace station_test;

namespace {

const Sds kSds{
    .angle = 1e-5, .distance = 0.002, .ppm = 2, .target = 0.001, .centring = 0.001, .height = 0.001};

using Targets = std::vector<std::optional<ControlMark>>;

ControlMark control(double n, double e, double h, std::optional<Length> sd = std::nullopt) {
  return {at(n, e), Elevation::metres(h), sd};
}

// A setup with everything that its input refers to.
struct Case {
  SetupPlace place = SetupPlace::free;
  std::optional<ControlMark> mark;
  double height = 1.55;
  std::optional<Angle> orientation;
  std::vector<Sight> sights;
  Targets targets;
  InstrumentOptions instrument = options_of(kSds);
  SetupResult run() const {
    SetupInput in;
    in.place = place;
    in.mark = mark;
    in.instrument_height = m(height);
    in.orientation = orientation;
    in.sights = sights;
    in.targets = targets;
    return adjust_setup(in, {.instrument = instrument});
  }
};

// Control around a station at `station`, read with the given sds.
Case world(const std::vector<Spot>& spots, const Spot& station, double orientation, const Sds& noise_sds,
           Noise& noise, bool distances = true) {
  Case c;
  Instrument in{.axis = station, .orientation = orientation};
  in.axis.h += c.height;
  std::vector<Reading> readings;
  for (std::size_t t = 0; t < spots.size(); ++t) {
    c.targets.push_back(control(spots[t].n, spots[t].e, spots[t].h));
    append(readings,
           read(in, {.target = t, .mark = spots[t], .distance = distances}, noise_sds, 0.13, noise));
  }
  c.sights = reduce(readings, c.instrument).sights;
  return c;
}

const std::vector<Spot> kAround{{30, 5, 100.2}, {-4, 28, 99.9}, {-26, -9, 100.4}, {8, -31, 100.1}};

bool has(const SetupResult& r, SetupFactKind kind) {
  for (const SetupFact& f : r.facts)
    if (f.kind == kind) return true;
  return false;
}

// Least squares written out again for the test: numeric derivatives, normal equations in long double,
// Gauss-Jordan. Observations: circles and distances of all sights, the mark (known), control coordinates
// (with an sd).
struct Plain {
  std::vector<long double> x, residuals, redundancy;
  std::vector<std::vector<long double>> covariance;
};
Plain plain_fit(const Case& c, double n0, double e0, double turn) {
  using Vector = std::vector<long double>;
  Vector x{n0, e0, turn}, observed, sd;
  std::vector<std::size_t> slot(c.targets.size(), 0);
  for (std::size_t t = 0; t < c.targets.size(); ++t)
    if (c.targets[t] && c.targets[t]->sd) {
      slot[t] = x.size();
      x.push_back(c.targets[t]->at.at.northing.metres());
      x.push_back(c.targets[t]->at.at.easting.metres());
    }
  const auto model = [&](const Vector& p) {
    Vector out;
    if (c.place == SetupPlace::known) out.push_back(p[0]), out.push_back(p[1]);
    for (const Sight& s : c.sights) {
      const ControlMark& k = *c.targets[s.target];
      const std::size_t at_slot = slot[s.target];
      const long double n = at_slot > 0 ? p[at_slot] : static_cast<long double>(k.at.at.northing.metres());
      const long double e = at_slot > 0 ? p[at_slot + 1] : static_cast<long double>(k.at.at.easting.metres());
      const long double circle =
          static_cast<long double>(s.circle->degrees()) * std::numbers::pi_v<long double> / 180;
      const long double way = std::atan2(e - p[1], n - p[0]) - p[2];
      out.push_back(circle + std::remainder(way - circle, 2 * std::numbers::pi_v<long double>));
      out.push_back(std::hypot(n - p[0], e - p[1]));
    }
    for (std::size_t t = 0; t < c.targets.size(); ++t)
      if (slot[t] > 0) out.push_back(p[slot[t]]), out.push_back(p[slot[t] + 1]);
    return out;
  };
  if (c.place == SetupPlace::known) {
    observed.push_back(c.mark->at.at.northing.metres()), observed.push_back(c.mark->at.at.easting.metres());
    sd.push_back(kSds.centring), sd.push_back(kSds.centring);
  }
  for (const Sight& s : c.sights) {
    const double hd = s.horizontal->metres();
    observed.push_back(static_cast<long double>(s.circle->degrees()) * std::numbers::pi_v<long double> / 180);
    sd.push_back(std::hypot(s.circle_sd.radians(), kSds.target / hd));
    observed.push_back(hd);
    sd.push_back(std::hypot(kSds.distance + kSds.ppm * 1e-6 * hd, kSds.target));
  }
  for (std::size_t t = 0; t < c.targets.size(); ++t)
    if (slot[t] > 0) {
      observed.push_back(c.targets[t]->at.at.northing.metres()),
          observed.push_back(c.targets[t]->at.at.easting.metres());
      sd.push_back(c.targets[t]->sd->metres()), sd.push_back(c.targets[t]->sd->metres());
    }
  const std::size_t rows = observed.size(), cols = x.size();
  std::vector<Vector> a(rows, Vector(cols)), inverse(cols, Vector(cols));
  Vector values;
  for (int round = 0; round < 10; ++round) {
    values = model(x);
    for (std::size_t j = 0; j < cols; ++j) {
      Vector low = x, high = x;
      low[j] -= 1e-4L, high[j] += 1e-4L;
      const Vector l = model(low), h = model(high);
      for (std::size_t i = 0; i < rows; ++i) a[i][j] = (h[i] - l[i]) / 2e-4L;
    }
    std::vector<Vector> work(cols, Vector(2 * cols));
    Vector right(cols);
    for (std::size_t j = 0; j < cols; ++j) {
      work[j][cols + j] = 1;
      for (std::size_t i = 0; i < rows; ++i) {
        const long double w = 1 / (sd[i] * sd[i]);
        right[j] += a[i][j] * w * (observed[i] - values[i]);
        for (std::size_t k = 0; k < cols; ++k) work[j][k] += a[i][j] * w * a[i][k];
      }
    }
    for (std::size_t p = 0; p < cols; ++p) {
      std::size_t best = p;
      for (std::size_t q = p; q < cols; ++q)
        if (std::fabs(work[q][p]) > std::fabs(work[best][p])) best = q;
      std::swap(work[p], work[best]);
      const long double pivot = work[p][p];
      for (long double& v : work[p]) v /= pivot;
      for (std::size_t q = 0; q < cols; ++q) {
        if (q == p) continue;
        const long double f = work[q][p];
        for (std::size_t k = 0; k < 2 * cols; ++k) work[q][k] -= f * work[p][k];
      }
    }
    for (std::size_t i = 0; i < cols; ++i)
      for (std::size_t j = 0; j < cols; ++j) inverse[i][j] = work[i][cols + j];
    for (std::size_t i = 0; i < cols; ++i)
      for (std::size_t j = 0; j < cols; ++j) x[i] += inverse[i][j] * right[j];
  }
  values = model(x);
  Plain out{x, {}, {}, inverse};
  for (std::size_t i = 0; i < rows; ++i) {
    out.residuals.push_back(observed[i] - values[i]);
    long double q = 0;
    for (std::size_t j = 0; j < cols; ++j)
      for (std::size_t k = 0; k < cols; ++k) q += a[i][j] * inverse[j][k] * a[i][k];
    out.redundancy.push_back(1 - q / (sd[i] * sd[i]));
  }
  return out;
}

double near(long double want, double share, double floor) {
  return std::max(static_cast<double>(std::fabs(want)) * share, floor);
}

void compare(const Case& c, const SetupResult& r, const Plain& want) {
  CHECK(std::fabs(r.at.at.northing.metres() - static_cast<double>(want.x[0])) < 1e-7);
  CHECK(std::fabs(r.at.at.easting.metres() - static_cast<double>(want.x[1])) < 1e-7);
  CHECK(std::fabs(wrapped(*r.orientation - Angle::radians(static_cast<double>(want.x[2]))).arc_seconds()) <
        1e-4);
  for (std::size_t i = 0; i < 3; ++i)
    for (std::size_t j = 0; j < 3; ++j)
      CHECK(std::fabs(r.covariance[i][j] - static_cast<double>(want.covariance[i][j])) <=
            near(std::sqrt(want.covariance[i][i] * want.covariance[j][j]), 1e-5, 0));
  std::size_t k = c.place == SetupPlace::known ? 2 : 0;
  for (const SightRow& row : r.rows) {
    if (row.quantity == Quantity::height) continue;
    const double residual =
        row.quantity == Quantity::circle ? row.circle_residual.radians() : row.length_residual.metres();
    CHECK(std::fabs(residual - static_cast<double>(want.residuals[k])) < 1e-5 * row.sd);
    CHECK(std::fabs(row.redundancy - static_cast<double>(want.redundancy[k])) < 1e-5);
    CHECK(*row.standardised ==
          doctest::Approx(residual / (row.sd * std::sqrt(static_cast<double>(want.redundancy[k]))))
              .epsilon(1e-4));
    CHECK(
        *row.least_found ==
        doctest::Approx(4.1321 * row.sd / std::sqrt(static_cast<double>(want.redundancy[k]))).epsilon(1e-4));
    ++k;
  }
  CHECK(r.degrees_of_freedom == want.residuals.size() - want.x.size());
}

// Elevation of the ground mark as a weighted mean written out again: every sight gives one value, whose
// variance is the sight's own and that of its control's elevation together; the mark gives one more.
void compare_heights(const Case& c, const SetupResult& r) {
  struct Value {
    long double height, own, control;  // m, m^2, m^2
  };
  std::vector<Value> values;
  for (const Sight& s : c.sights) {
    const ControlMark& k = *c.targets[s.target];
    const long double z = static_cast<long double>(s.zenith->degrees()) * std::numbers::pi_v<long double> /
                          180,
                      slope = s.slope->metres();
    const long double angle = slope * std::sin(z) * static_cast<long double>(s.zenith_sd.radians());
    const long double length =
        std::cos(z) * (static_cast<long double>(kSds.distance) +
                       kSds.ppm * 1e-6L * static_cast<long double>(s.horizontal->metres()));
    const long double control = k.sd ? k.sd->metres() : 0;
    values.push_back({k.elevation->above_datum().metres() +
                          static_cast<long double>(s.target_height.metres()) - s.rise->metres() - c.height,
                      angle * angle + length * length + 2 * kSds.height * kSds.height, control * control});
  }
  if (c.place == SetupPlace::known)
    values.push_back({c.mark->elevation->above_datum().metres(), kSds.height * kSds.height, 0});
  long double sum = 0, weights = 0;
  for (const Value& v : values) sum += v.height / (v.own + v.control), weights += 1 / (v.own + v.control);
  const long double mean = sum / weights;
  CHECK(std::fabs(static_cast<double>(mean) - r.elevation->above_datum().metres()) < 1e-8);
  CHECK(r.elevation_sd->metres() ==
        doctest::Approx(static_cast<double>(1 / std::sqrt(weights))).epsilon(1e-6));
  CHECK(r.height_degrees_of_freedom == values.size() - 1);
  std::size_t k = 0;
  for (const SightRow& row : r.rows) {
    if (row.quantity != Quantity::height) continue;
    // The misfit of a value is shared out between sight and control by their variances; high above the mean
    // reads low.
    const Value& v = values[k++];
    const long double share = v.own / (v.own + v.control);
    CHECK(std::fabs(row.length_residual.metres() + static_cast<double>((v.height - mean) * share)) < 1e-8);
    CHECK(
        row.redundancy ==
        doctest::Approx(static_cast<double>(share * (1 - 1 / (v.own + v.control) / weights))).epsilon(1e-6));
    CHECK(row.sd == doctest::Approx(static_cast<double>(std::sqrt(v.own))).epsilon(1e-6));
  }
}

}  // namespace

TEST_CASE("readings without noise give the station back within 0.01 mm and 0.01 second") {
  Noise noise;
  for (const double far : {0.2, 1.0, 12.0})
    for (const double orientation : {0.0, 1.234, 3.0, -0.001}) {
      std::vector<Spot> spots = kAround;
      for (Spot& s : spots) s.n = 4.5e6 + s.n * far, s.e = 3e5 + s.e * far;
      for (const bool free : {true, false}) {
        Case c = world(spots, {4.5e6 + 2, 3e5 - 3, 100.05}, orientation, Sds{}, noise);
        if (!free) c.place = SetupPlace::known, c.mark = control(4.5e6 + 2, 3e5 - 3, 100.05);
        const SetupResult r = c.run();
        REQUIRE(r.status == SetupStatus::solved);
        CHECK(distance(r.at, at(4.5e6 + 2, 3e5 - 3)).metres() < 1e-5);
        CHECK(std::fabs(wrapped(*r.orientation - Angle::radians(orientation)).arc_seconds()) < 0.01);
        CHECK(std::fabs(r.elevation->above_datum().metres() - 100.05) < 1e-5);
        CHECK(r.orientation->degrees() >= 0);
        CHECK(r.orientation->degrees() < 360);
        CHECK(r.verdict == Verdict::within);
        CHECK(r.wrong.empty());
        for (const SightRow& row : r.rows) CHECK(std::fabs(*row.standardised) < 0.02);
      }
    }
}

TEST_CASE("with noise an independent computation agrees") {
  Noise noise;
  for (int k = 0; k < 20; ++k) {
    Case c = world(kAround, {3, -2, 100}, noise.uniform(-3, 3), kSds, noise);
    c.mark = control(3, -2, 100);
    compare(c, c.run(), plain_fit(c, 3, -2, c.run().orientation->radians()));
    compare_heights(c, c.run());
    c.place = SetupPlace::known;
    compare(c, c.run(), plain_fit(c, 3, -2, c.run().orientation->radians()));
    compare_heights(c, c.run());
    c.targets[1]->sd = mm(3);
    c.targets[3]->sd = mm(1);
    compare(c, c.run(), plain_fit(c, 3, -2, c.run().orientation->radians()));
    compare_heights(c, c.run());
    c.place = SetupPlace::free;
    compare(c, c.run(), plain_fit(c, 3, -2, c.run().orientation->radians()));
    compare_heights(c, c.run());
  }
}

TEST_CASE("centring turns the backsight: one backsight, closed form") {
  Noise noise;
  Case c = world({{0, 20, 100}}, {0, 0, 100}, 0.5, Sds{}, noise);
  c.place = SetupPlace::known;
  c.mark = control(0, 0, 100);
  c.sights[0].horizontal = std::nullopt;  // direction alone
  const SetupResult r = c.run();
  REQUIRE(r.status == SetupStatus::solved);
  CHECK(r.degrees_of_freedom == 0);
  CHECK(r.verdict == Verdict::unsure);
  CHECK_FALSE(r.variance_factor);
  CHECK(has(r, SetupFactKind::no_check));
  CHECK(r.sd_northing().millimetres() == doctest::Approx(1).epsilon(1e-9));
  const double want = std::sqrt(1e-10 + 2 * 1e-6 / 400);  // reading, target and centring across 20 m
  CHECK(r.sd_orientation()->radians() == doctest::Approx(want).epsilon(1e-6));
  for (const SightRow& row : r.rows)
    if (row.quantity == Quantity::circle) CHECK(row.verdict == Verdict::unsure);
}

TEST_CASE("elevation on its own: weights of heights and of the mark") {
  Noise noise;
  Case c = world({{20, 0, 101}, {-15, 3, 99}}, {0, 0, 100}, 0, Sds{}, noise);
  SetupResult r = c.run();
  // both sights nearly level: sd^2 = (S sz)^2 + (cos z sS)^2 + 2 hd^2
  double weights = 0;
  for (const Sight& s : c.sights) {
    const double z = s.zenith->degrees() * std::numbers::pi / 180, slope = s.slope->metres();
    const double variance =
        std::pow(slope * std::sin(z) * 1e-5, 2) + std::pow(std::cos(z) * (0.002 + 2e-6 * slope), 2) + 2e-6;
    weights += 1 / variance;
  }
  CHECK(r.elevation_sd->metres() == doctest::Approx(1 / std::sqrt(weights)).epsilon(1e-9));
  CHECK(r.height_degrees_of_freedom == 1);
  c.place = SetupPlace::known;
  c.mark = control(0, 0, 100);
  r = c.run();
  CHECK(r.elevation_sd->metres() == doctest::Approx(1 / std::sqrt(weights + 1e6)).epsilon(1e-9));
  c.mark->sd = mm(2);
  r = c.run();
  CHECK(r.elevation_sd->metres() == doctest::Approx(1 / std::sqrt(weights + 1 / 5e-6)).epsilon(1e-9));
  c.targets[0]->elevation = std::nullopt;
  c.targets[1]->elevation = std::nullopt;
  r = c.run();
  CHECK(r.elevation_sd->millimetres() == doctest::Approx(std::sqrt(5.0)).epsilon(1e-9));
  CHECK(r.axis()->above_datum().metres() == doctest::Approx(101.55));
  c.place = SetupPlace::free;
  c.mark = std::nullopt;
  CHECK_FALSE(c.run().elevation);
}

TEST_CASE("an elevation with an sd is an observation") {
  Noise noise;
  Case c = world(kAround, {0, 0, 100}, 0, Sds{}, noise);
  const double fixed = c.run().elevation_sd->metres();
  for (auto& t : c.targets) t->sd = mm(4);
  const SetupResult r = c.run();
  // four sights of nearly one weight, each with its control's own 4 mm
  CHECK(r.elevation_sd->metres() == doctest::Approx(std::sqrt(fixed * fixed + 16e-6 / 4)).epsilon(1e-3));
  CHECK(std::fabs(r.elevation->above_datum().metres() - 100) < 1e-5);
}

TEST_CASE("what cannot be solved is told") {
  Noise noise;
  const Case four = world(kAround, {0, 0, 100}, 0, Sds{}, noise);
  Case c = four;
  c.sights.resize(1);
  CHECK(c.run().status == SetupStatus::too_few);
  c = four;
  c.sights.clear();
  CHECK(c.run().status == SetupStatus::too_few);
  c.place = SetupPlace::known;
  c.mark = control(1, 2, 100, mm(3));
  CHECK(c.run().status == SetupStatus::no_orientation);
  c.place = SetupPlace::own;
  SetupResult r = c.run();
  CHECK(r.status == SetupStatus::place_only);
  CHECK_FALSE(r.orientation);
  CHECK(r.verdict == Verdict::unsure);
  CHECK(r.sd_easting().millimetres() == doctest::Approx(3));
  CHECK(distance(r.at, at(1, 2)).metres() == 0);
  c.orientation = Angle::degrees(-10);
  r = c.run();
  CHECK(r.status == SetupStatus::solved);
  CHECK(r.orientation->degrees() == doctest::Approx(350));
  CHECK(r.verdict == Verdict::unsure);
  CHECK(has(r, SetupFactKind::no_check));
  // twice the same target at two heights: four observations that leave the circle round it open
  c = four;
  c.sights.resize(1);
  c.sights.push_back(c.sights[0]);
  c.sights[1].target_height = m(0.2);
  CHECK(c.run().status == SetupStatus::open);
  // directions to two targets
  c = four;
  c.sights.resize(2);
  for (Sight& s : c.sights) s.horizontal = std::nullopt;
  CHECK(c.run().status == SetupStatus::too_few);
}

TEST_CASE("directions alone, and two directions with one distance") {
  Noise noise;
  const Case c = world(kAround, {1, 2, 100}, 0.7, Sds{}, noise, false);
  const SetupResult r = c.run();
  REQUIRE(r.status == SetupStatus::solved);
  CHECK(distance(r.at, at(1, 2)).metres() < 1e-5);
  CHECK(r.degrees_of_freedom == 1);
  CHECK_FALSE(r.elevation);
  // One distance: the station lies on a circle about that target and on the arc that sees both under the
  // angle; the two meet twice, and nothing says which.
  Case two = world({{20, 0, 100}, {0, 6, 100}}, {0, 0, 100}, 0, Sds{}, noise);
  two.sights[1].horizontal = std::nullopt;
  const SetupResult q = two.run();
  if (q.status == SetupStatus::two_places) {
    CHECK(q.places.size() == 2);
    CHECK(
        (distance(q.places[0], at(0, 0)).metres() < 1e-4 || distance(q.places[1], at(0, 0)).metres() < 1e-4));
  } else {
    REQUIRE(q.status == SetupStatus::solved);
    CHECK(distance(q.at, at(0, 0)).metres() < 1e-4);
  }
  Case other = world({{20, 0, 100}, {12, 9, 100}}, {0, 0, 100}, 0, Sds{}, noise);
  other.sights[0].horizontal =
      std::nullopt;  // the distance is to the nearer one: 15 m, seen twice along the arc
  CHECK(other.run().status == SetupStatus::two_places);
}

TEST_CASE("published three-point resection") {
  int seen = 0;
  for (const auto& row : deckmark_test::read_vectors("vectors/reference/resection_examples.csv")) {
    if (row.at("calc") != "resection3") continue;
    const auto in = deckmark_test::split_inputs(row.at("inputs"));
    const auto number = [&](const char* key) { return std::stod(in.at(key)); };
    const auto angle = [&](const char* key) {
      const std::string& t = in.at(key);
      const auto a = t.find(':'), b = t.rfind(':');
      return std::stod(t.substr(0, a)) + std::stod(t.substr(a + 1, b - a - 1)) / 60 +
             std::stod(t.substr(b + 1)) / 3600;
    };
    Case c;
    c.targets = {control(number("NA"), number("EA"), 0), control(number("NB"), number("EB"), 0),
                 control(number("NC"), number("EC"), 0)};
    const double circles[3] = {300, 300 + angle("APB"), 300 + angle("APB") + angle("BPC")};
    for (std::size_t t = 0; t < 3; ++t) {
      Sight s;
      s.target = t;
      s.circle = CircleReading::degrees(circles[t]);
      s.circle_sd = Angle::arc_seconds(1);
      c.sights.push_back(s);
    }
    const SetupResult r = c.run();
    REQUIRE(r.status == SetupStatus::solved);
    CAPTURE(row.at("source"));
    const double got = row.at("output") == "E" ? r.at.at.easting.metres() : r.at.at.northing.metres();
    CHECK(std::fabs(got - std::stod(row.at("expected"))) <= std::stod(row.at("tol")));
    ++seen;
  }
  CHECK(seen == 2);
}

TEST_CASE("published intersections of two directions") {
  int seen = 0;
  for (const auto& row : deckmark_test::read_vectors("vectors/reference/resection_examples.csv")) {
    if (row.at("calc") != "intersect_dir_dir") continue;
    const auto in = deckmark_test::split_inputs(row.at("inputs"));
    const auto azimuth = [&](const char* key) {
      const std::string& t = in.at(key);
      const auto a = t.find(':'), b = t.rfind(':');
      return std::stod(t.substr(0, a)) + std::stod(t.substr(a + 1, b - a - 1)) / 60 +
             std::stod(t.substr(b + 1)) / 3600;
    };
    SetupResult one, two;
    one.status = two.status = SetupStatus::solved;
    one.orientation = two.orientation = Angle::degrees(0);
    one.at = at(std::stod(in.at("N1")), std::stod(in.at("E1")));
    two.at = at(std::stod(in.at("N2")), std::stod(in.at("E2")));
    Sight s, t;
    s.circle = CircleReading::degrees(azimuth("az1"));
    t.circle = CircleReading::degrees(azimuth("az2"));
    const auto shot = intersect(one, s, 0, two, t);
    REQUIRE(shot);
    const double got = row.at("output") == "N"   ? shot->at.at.northing.metres()
                       : row.at("output") == "E" ? shot->at.at.easting.metres()
                                                 : distance(one.at, shot->at).metres();
    CHECK(std::fabs(got - std::stod(row.at("expected"))) <= std::stod(row.at("tol")));
    t.circle = CircleReading::degrees(azimuth("az1") + 0.5);
    CHECK_FALSE(intersect(one, s, 0, two, t));  // nearly parallel
    ++seen;
  }
  CHECK(seen == 6);
}

TEST_CASE("covariance of an intersection at right angles is that of the two directions") {
  SetupResult one, two;
  one.status = two.status = SetupStatus::solved;
  one.orientation = two.orientation = Angle::degrees(0);
  two.at = at(40, 20);
  Sight s, t;
  s.circle = CircleReading::degrees(0);
  s.circle_sd = Angle::radians(1e-4);
  t.circle_sd = Angle::radians(2e-4);
  t.circle = CircleReading::degrees(270);  // from (40, 20) west to (40, 0), which the first sees due north
  const auto shot = intersect(one, s, 0, two, t);
  REQUIRE(shot);
  CHECK(distance(shot->at, at(40, 0)).metres() < 1e-9);
  CHECK(std::sqrt(shot->covariance.second) == doctest::Approx(40 * 1e-4));
  CHECK(std::sqrt(shot->covariance.first) == doctest::Approx(20 * 2e-4));
}

TEST_CASE("danger circle: semi-axes of directions to three targets") {
  // Propagated by hand from the equations of a resection: R = 20 m, targets at -40, 0, +40 degrees,
  // directions to 5 seconds.
  struct Row {
    double inside;  // m from the far side of the circle towards its centre
    bool distances;
    double semi_major;  // mm
    bool danger;
  };
  for (const Row& r : {Row{1, false, 332, true}, Row{10, false, 15, false}, Row{20, false, 2.5, false},
                       Row{1, true, 4.0, false}}) {
    CAPTURE(r.inside);
    SetupOptions options{.instrument = options_of(kSds)};
    options.instrument.angle_sd = Angle::arc_seconds(5);
    options.instrument.target_sd = mm(0);
    options.instrument.distance_ppm = 0;
    std::vector<PlannedSight> sights;
    for (const double a : {-40.0, 0.0, 40.0}) {
      const double w = a * std::numbers::pi / 180;
      sights.push_back({.target = at(20 * std::cos(w), 20 * std::sin(w)), .distance = r.distances});
    }
    const PlannedSetup planned = plan_setup(at(-20 + r.inside, 0), std::nullopt, sights, options);
    REQUIRE(planned.fixed);
    const double semi = semi_major(PlanCovariance<Site>{planned.covariance[0][0], planned.covariance[0][1],
                                                        planned.covariance[1][1]})
                            .millimetres();
    CHECK(semi == doctest::Approx(r.semi_major).epsilon(0.03));
    bool danger = false;
    for (const SetupFact& f : planned.facts) danger = danger || f.kind == SetupFactKind::danger_circle;
    CHECK(danger == r.danger);
  }
}

TEST_CASE("a plan predicts what the adjustment then says") {
  Noise noise;
  Case c = world(kAround, {3, -2, 100}, 0.4, kSds, noise);
  std::vector<PlannedSight> planned;
  for (const Spot& s : kAround) planned.push_back({.target = at(s.n, s.e)});
  const PlannedSetup p = plan_setup(at(3, -2), std::nullopt, planned, {.instrument = c.instrument});
  const SetupResult r = c.run();
  CHECK(p.degrees_of_freedom == r.degrees_of_freedom);
  for (std::size_t i = 0; i < 3; ++i)
    CHECK(std::sqrt(p.covariance[i][i]) == doctest::Approx(std::sqrt(r.covariance[i][i])).epsilon(0.01));
  planned.erase(planned.begin() + 1, planned.end());
  CHECK_FALSE(plan_setup(at(3, -2), std::nullopt, planned, {.instrument = c.instrument}).fixed);
  CHECK(plan_setup(at(3, -2), mm(0), planned, {.instrument = c.instrument}).fixed);
}

TEST_CASE("geometry told in facts") {
  Noise noise;
  CHECK(has(world({{30, 0, 100}, {30, 5, 100}, {25, 8, 100}}, {0, 0, 100}, 0, Sds{}, noise).run(),
            SetupFactKind::narrow));
  CHECK(
      has(world({{30, 0, 100}, {-30, 1, 100}}, {0, 0, 100}, 0, Sds{}, noise).run(), SetupFactKind::in_line));
  const SetupResult good = world(kAround, {0, 0, 100}, 0, Sds{}, noise).run();
  CHECK_FALSE(has(good, SetupFactKind::narrow));
  CHECK_FALSE(has(good, SetupFactKind::in_line));
  CHECK_FALSE(has(good, SetupFactKind::weak));
  CHECK(has(good, SetupFactKind::misfit_low));  // no noise at all
  Case c = world(kAround, {0, 0, 100}, 0.5, Sds{}, noise);
  c.place = SetupPlace::known;
  c.mark = control(0, 0, 100);
  c.orientation = Angle::degrees(30);
  CHECK(has(c.run(), SetupFactKind::orientation_differs));
  c.orientation = Angle::radians(0.5);
  CHECK_FALSE(has(c.run(), SetupFactKind::orientation_differs));
}

TEST_CASE("an instrument that moved, a mark mistaken, one reflector of two") {
  Noise noise;
  std::vector<Spot> six = kAround;
  six.push_back({20, 20, 100});
  six.push_back({-15, 18, 100});
  Case c = world(six, {0, 0, 100}, 0.5, kSds, noise);
  for (std::size_t k = 3; k < 6; ++k)
    c.sights[k].circle = CircleReading::degrees(c.sights[k].circle->degrees() + 0.05);
  SetupResult r = c.run();
  REQUIRE(r.wrong.size() == 1);
  CHECK(r.wrong[0].kind == WrongKind::turned);
  CHECK(r.wrong[0].sight == 3);
  CHECK(r.wrong[0].angle->degrees() == doctest::Approx(0.05).epsilon(0.1));
  CHECK(r.verdict == Verdict::outside);

  c = world(six, {0, 0, 100}, 0.5, kSds, noise);
  c.place = SetupPlace::known;
  c.mark = control(0.3, 0.4, 100);
  r = c.run();
  REQUIRE_FALSE(r.wrong.empty());
  CHECK(r.wrong[0].kind == WrongKind::mark);
  CHECK(r.wrong[0].length->metres() == doctest::Approx(0.5).epsilon(0.02));
  CHECK(distance(*r.wrong[0].seen_at, at(0, 0)).metres() < 0.005);
  c.mark = control(0, 0, 100.1);
  r = c.run();
  REQUIRE(r.wrong.size() == 1);
  CHECK(r.wrong[0].kind == WrongKind::mark_height);
  CHECK(r.wrong[0].length->metres() == doctest::Approx(0.1).epsilon(0.05));

  c = world(six, {0, 0, 100}, 0.5, kSds, noise);
  for (std::size_t k = 0; k < 6; ++k) {
    c.sights[k].reflector = k % 2 == 0 ? mm(0) : mm(-30);
    if (k % 2 == 1) c.sights[k].horizontal = *c.sights[k].horizontal + m(0.034);
  }
  r = c.run();
  REQUIRE(r.wrong.size() == 1);
  CHECK(r.wrong[0].kind == WrongKind::all_distances);
  CHECK(r.wrong[0].length->millimetres() == doctest::Approx(34).epsilon(0.15));
}

TEST_CASE("two targets: an error is seen and not placed") {
  Noise noise;
  Case c = world({{30, 0, 100}, {0, 30, 100}}, {0, 0, 100}, 0, Sds{}, noise);
  c.sights[1].horizontal = *c.sights[1].horizontal + m(0.05);
  const SetupResult r = c.run();
  CHECK(r.degrees_of_freedom == 1);
  REQUIRE(r.wrong.size() == 1);
  CHECK_FALSE(r.wrong[0].certain);
  CHECK_FALSE(r.wrong[0].others.empty());
  CHECK(r.verdict == Verdict::outside);
  // the same in height: two sights, one to spare
  c = world({{30, 0, 100}, {0, 30, 100.1}}, {0, 0, 100}, 0, Sds{}, noise);
  c.targets[1]->elevation = Elevation::metres(100.2);
  const SetupResult h = c.run();
  REQUIRE(h.wrong.size() == 1);
  CHECK(h.wrong[0].kind == WrongKind::height);
  CHECK_FALSE(h.wrong[0].certain);
  CHECK(h.wrong[0].others.size() == 1);
}

TEST_CASE("a sight so wrong that no position is left is set aside, and said so") {
  Noise noise;
  int set_aside = 0;
  for (int k = 0; k < 40; ++k) {
    Case c = world(kAround, {2, 1, 100}, 0.5, kSds, noise);
    const Spot elsewhere{noise.uniform(-40, 40), noise.uniform(-40, 40), 100};
    c.targets[2] = control(elsewhere.n, elsewhere.e, 100);
    if (std::hypot(elsewhere.n + 26, elsewhere.e + 9) < 1) continue;
    const SetupResult r = c.run();
    REQUIRE(r.status == SetupStatus::solved);
    REQUIRE_FALSE(r.wrong.empty());
    CHECK(r.wrong[0].kind == WrongKind::target);
    CHECK(r.wrong[0].sight == 2);
    CHECK(distance(*r.wrong[0].seen_at, at(-26, -9)).metres() < 0.02);  // what was really sighted
    CHECK(r.verdict == Verdict::outside);
    if (!r.left_out) continue;
    ++set_aside;
    CHECK(*r.left_out == 2);
    CHECK(distance(r.at, at(2, 1)).metres() < 0.01);
    int rows = 0;
    for (const SightRow& row : r.rows)
      if (row.sight == 2 && row.quantity != Quantity::height) {
        ++rows;
        CHECK(row.verdict == Verdict::outside);
      }
    CHECK(rows == 2);
  }
  CHECK(set_aside > 0);
}

TEST_CASE("three names in a ring are named as such, where there are three targets and where there are more") {
  Noise noise;
  for (const std::size_t count : {std::size_t{3}, std::size_t{4}, std::size_t{6}})
    for (int k = 0; k < 20; ++k) {
      CAPTURE(count);
      CAPTURE(k);
      std::vector<Spot> spots;
      for (std::size_t t = 0; t < count; ++t) {
        const double way = 2 * std::numbers::pi * static_cast<double>(t) / static_cast<double>(count),
                     far = 20 + 5 * static_cast<double>(t);
        spots.push_back({far * std::cos(way), far * std::sin(way), 100});
      }
      Case c =
          world(spots, {noise.uniform(-5, 5), noise.uniform(-5, 5), 100}, noise.uniform(0, 6), kSds, noise);
      c.sights[0].target = 1, c.sights[1].target = 2,
      c.sights[2].target = 0;  // the sight named 1 was to 0, and so on round
      const SetupResult r = c.run();
      REQUIRE(r.status == SetupStatus::solved);
      CHECK(r.verdict == Verdict::outside);
      REQUIRE(r.wrong.size() == 1);
      const Wrong& w = r.wrong[0];
      CHECK(w.kind == WrongKind::exchanged);
      CHECK(w.certain);
      CHECK(w.sight == 0);
      CHECK(w.other_sight == 2);  // what was read as target 1 is target 0, which sight 2 was named
      REQUIRE(w.third_sight);
      CHECK(*w.third_sight == 1);
    }
}

TEST_CASE("exchanges that explain the sights equally are all named") {
  Noise noise;
  // Across the corners of a rectangle: exchanged at one diagonal, the net is the same turned by half a circle
  // as exchanged at the other.
  const std::vector<Spot> corners{{20, 10, 100}, {-20, 10, 100}, {-20, -10, 100}, {20, -10, 100}};
  for (const bool ring : {false, true}) {
    CAPTURE(ring);
    Case c = world(corners, {3, 2, 100}, 0.5, kSds, noise);
    if (ring)
      c.sights[0].target = 1, c.sights[1].target = 2, c.sights[2].target = 0;
    else
      c.sights[0].target = 2, c.sights[2].target = 0;
    const SetupResult r = c.run();
    REQUIRE(r.status == SetupStatus::solved);
    REQUIRE(r.wrong.size() == 1);
    CHECK(r.wrong[0].kind == WrongKind::exchanged);
    CHECK_FALSE(r.wrong[0].certain);
    REQUIRE(r.wrong[0].others.size() == 1);
    CHECK(r.wrong[0].others[0].kind == WrongKind::exchanged);
    CHECK(r.wrong[0].third_sight.has_value() == ring);
    CHECK(r.wrong[0].others[0].third_sight.has_value() == ring);
    if (ring) continue;
    const std::set<std::size_t> named{r.wrong[0].sight, r.wrong[0].other_sight, r.wrong[0].others[0].sight,
                                      r.wrong[0].others[0].other_sight};
    CHECK(named == std::set<std::size_t>{0, 1, 2, 3});
  }
}

TEST_CASE("side shots carry the setup's covariance, and find a mistyped control name") {
  Noise noise;
  Case c = world(kAround, {0, 0, 100}, 0.5, kSds, noise);
  c.targets[3] = std::nullopt;  // its name was mistyped: a side shot
  const SetupResult r = c.run();
  const auto shot = side_shot(r, c.sights[3], 3, c.instrument);
  REQUIRE(shot);
  CHECK(distance(shot->at, at(8, -31)).metres() < 0.015);
  CHECK(std::fabs(shot->elevation->above_datum().metres() - 100.1) < 0.01);
  CHECK(semi_major(shot->covariance) > semi_major(r.plan_covariance()));
  CHECK(shot->elevation_sd->metres() > r.elevation_sd->metres());
  std::vector<ControlMark> marks;
  for (const Spot& s : kAround) marks.push_back(control(s.n, s.e, s.h));
  CHECK(control_at(*shot, marks) == 3);
  marks.pop_back();
  CHECK_FALSE(control_at(*shot, marks));
  Sight no_distance = c.sights[3];
  no_distance.horizontal = std::nullopt;
  CHECK_FALSE(side_shot(r, no_distance, 3, c.instrument));
}

TEST_CASE("a sight to a numbered point is a check against its place") {
  Noise noise;
  Case c = world(kAround, {0, 0, 100}, 0.5, Sds{}, noise);
  c.targets[3] = std::nullopt;
  const SetupResult r = c.run();
  ControlMark point = control(8, -31, 100.1);
  auto rows = check_sight(r, c.sights[3], 3, point, mm(6), c.instrument);
  REQUIRE(rows.size() == 3);
  for (const SightRow& row : rows) {
    CHECK(row.verdict == Verdict::within);
    CHECK(std::fabs(*row.standardised) < 0.05);
  }
  const double hd = std::hypot(8.0, 31.0);
  point = control(8 + 0.008 * 8 / hd, -31 - 0.008 * 31 / hd, 100.15);  // 8 mm further away, 50 mm up
  rows = check_sight(r, c.sights[3], 3, point, mm(6), c.instrument);
  CHECK(rows[0].quantity == Quantity::circle);
  CHECK(std::fabs(rows[0].circle_residual.arc_seconds()) < 0.1);
  CHECK(rows[1].quantity == Quantity::distance);
  CHECK(rows[1].length_residual.millimetres() == doctest::Approx(-8).epsilon(0.01));
  CHECK(rows[2].length_residual.millimetres() == doctest::Approx(-50).epsilon(0.01));
  for (const SightRow& row : rows) CHECK(row.verdict == Verdict::outside);
  CHECK(check_sight(r, c.sights[3], 3, point, mm(8.001), c.instrument)[0].verdict == Verdict::within);
}
