// Published projections, factors, grid and ground distances, and geodesics; sources and tolerances stand in
// the rows of tests/vectors/reference.
#include <doctest/doctest.h>

#include <cmath>
#include <GeographicLib/Geocentric.hpp>
#include <GeographicLib/TransverseMercatorExact.hpp>
#include <random>
#include <sstream>

#include "support/vector_file.h"
#include "transform/ground.h"

using namespace deckmark;

namespace {

using Inputs = std::map<std::string, std::string>;
using System = std::shared_ptr<const GridSystem>;

Length m(double v) { return Length::metres(v); }
Angle deg(double v) { return Angle::degrees(v); }
Point<Grid> grid(double northing, double easting) {
  return {{.northing = m(northing), .easting = m(easting)}};
}

/// `-37:57:03.72` or decimal degrees.
double degrees(const std::string& text) {
  std::istringstream parts(text);
  double value = 0, unit = 1;
  for (std::string part; std::getline(parts, part, ':'); unit /= 60)
    value += std::abs(std::stod(part)) * unit;
  return text[0] == '-' ? -value : value;
}

System open_system(const std::string& crs) {
  auto made = GridSystem::open(crs);
  if (!made) FAIL(crs << ": " << made.fault().found);
  return *made;
}

double metres_of_unit(const Inputs& in) {
  if (!in.contains("unit")) return 1;
  return in.at("unit") == "ftUS" ? 1200.0 / 3937.0 : std::stod(in.at("unit"));
}

/// The row's projection as the definition that a user would type.
std::string definition(const std::string& calc, const Inputs& in) {
  if (in.contains("proj")) return in.at("proj");
  static const std::map<std::string, std::string> ellipsoids = {{"AIRY1830", "+ellps=airy"},
                                                                {"CLARKE1866", "+ellps=clrk66"},
                                                                {"INTL1924", "+ellps=intl"},
                                                                {"GRS80", "+ellps=GRS80"},
                                                                {"WGS84", "+ellps=WGS84"}};
  std::ostringstream out;
  out.precision(17);
  out << (calc.starts_with("tm") ? "+proj=tmerc" : "+proj=lcc");
  if (in.contains("ellscale"))
    out << " +a=" << 6378206.4 * std::stod(in.at("ellscale"))
        << " +rf=294.978698213898";  // Clarke 1866 enlarged
  else
    out << " " << ellipsoids.at(in.at("ell"));
  const auto put = [&](const char* key, const char* name, bool angle) {
    if (in.contains(key))
      out << " " << name << "=" << (angle ? degrees(in.at(key)) : std::stod(in.at(key)) * metres_of_unit(in));
  };
  put("lat0", "+lat_0", true);
  put("lon0", "+lon_0", true);
  put("lat1", "+lat_1", true);
  put("lat2", "+lat_2", true);
  if (calc.starts_with("lcc") && !in.contains("lat2")) out << " +lat_1=" << degrees(in.at("lat0"));
  put("fe", "+x_0", false);
  put("fn", "+y_0", false);
  if (in.contains("k0")) out << " +k_0=" << in.at("k0");
  if (in.contains("unit")) out << (in.at("unit") == "ftUS" ? " +units=us-ft" : " +units=ft");
  return out.str();
}

Geographic place(const Inputs& in, const char* lat = "lat", const char* lon = "lon") {
  return {deg(degrees(in.at(lat))), deg(degrees(in.at(lon)))};
}

/// The line from the first place to the second as the plane of a projection sees it.
struct Line {
  Length grid, geodesic;
  Azimuth plane, geodetic_less_convergence;
};
Line line(const GridSystem& system, const Geographic& a, const Geographic& b) {
  const auto p = system.project(a), q = system.project(b);
  const double de = (q->at.easting - p->at.easting).metres(), dn = (q->at.northing - p->at.northing).metres();
  return {distance(*p, *q), system.geodesic(a, b),
          Azimuth::degrees(std::atan2(de, dn) * 57.295779513082320877),
          system.geodesic_azimuth(a, b) - system.factors(a)->convergence};
}

double forward(const std::string& calc, const std::string& output, Inputs in) {
  double turn = 0;
  if (in.contains(
          "alpha_sec")) {  // this variant turns the cone by an angle: the same as another central meridian
    turn = std::stod(in.at("alpha_sec")) / 3600;
    const double b1 = degrees(in.at("lat1")), b2 = degrees(in.at("lat2"));
    const auto cone = open_system("+proj=lcc +ellps=intl +lat_1=" + std::to_string(b1) +
                                  " +lat_2=" + std::to_string(b2) + " +lat_0=90 +lon_0=0");
    const double sine = cone->factors({deg(50), deg(1)})->convergence.degrees();
    std::ostringstream moved;
    moved.precision(17);
    moved << degrees(in.at("lon0")) + turn / sine;
    in["lon0"] = moved.str();
  }
  const System system = open_system(definition(calc, in));
  if (in.contains("unit"))
    CHECK(system->unit() == (in.at("unit") == "ftUS" ? LengthUnit::survey_foot : LengthUnit::foot));
  const Geographic p = place(in);
  const auto to = system->project(p);
  REQUIRE(to);
  if (output == "E") return in_unit(to->at.easting, system->unit());
  if (output == "N") return in_unit(to->at.northing, system->unit());
  const auto factors = system->factors(p);
  REQUIRE(factors);
  if (output == "k") return factors->point_scale;
  if (output == "conv") return factors->convergence.degrees();
  if (output == "conv_neg") return -factors->convergence.degrees();  // published with the other sign
  return factors->convergence.degrees() /
         (p.longitude.degrees() - degrees(in.at("lon0")));  // n: the cone's constant
}

double of_line(const std::string& output, const Inputs& in) {
  const System system = open_system(definition("tm", in));
  const Line l = line(*system, place(in, "lat1", "lon1"), place(in, "lat2", "lon2"));
  if (output == "dist") return l.grid.metres();
  if (output == "plane_brg") return l.plane.degrees();
  if (output == "grid_brg") return l.geodetic_less_convergence.degrees();
  if (output == "line_k") return l.grid / l.geodesic;
  return (l.plane - l.geodetic_less_convergence).arc_seconds();
}

double geodesic(const std::string& output, const Inputs& in) {
  const System system = open_system("+proj=tmerc +ellps=" + in.at("ell"));
  const Geographic a = place(in, "lat1", "lon1"), b = place(in, "lat2", "lon2");
  if (output == "s") return system->geodesic(a, b).metres();
  if (output == "az1") return system->geodesic_azimuth(a, b).degrees();
  if (output == "azi1") return wrapped(deg(system->geodesic_azimuth(a, b).degrees())).degrees();
  return system->geodesic_azimuth(b, a).degrees();
}

/// The published tolerance in the unit of what is computed here.
double tolerance(const Inputs& row) {
  const double tol = std::stod(row.at("tol"));
  return row.at("unit") == "dms" ? tol / 3600 : tol;
}
double expected(const Inputs& row) {
  return row.at("unit") == "dms" ? degrees(row.at("expected")) : std::stod(row.at("expected"));
}

double computed(const Inputs& row) {
  const std::string &calc = row.at("calc"), &output = row.at("output");
  const Inputs in = deckmark_test::split_inputs(row.at("inputs"));
  if (calc.ends_with("_forward")) return forward(calc, output, in);
  if (calc.ends_with("_inverse") && calc != "geod_inverse") {
    const System system = open_system(definition(calc, in));
    const auto p = system->geographic({{.northing = from_unit(std::stod(in.at("N")), system->unit()),
                                        .easting = from_unit(std::stod(in.at("E")), system->unit())}});
    REQUIRE(p);
    return output == "lat" ? p->latitude.degrees() : p->longitude.degrees();
  }
  if (calc == "geod_inverse") return geodesic(output, in);
  if (calc == "tm_line") return of_line(output, in);
  if (calc == "az_minus_conv")
    return (Azimuth::degrees(degrees(in.at("az"))) - deg(degrees(in.at("conv")))).degrees();
  FAIL(calc);
  return 0;
}

}  // namespace

TEST_CASE("published projections, scales, convergences and lines to their printed digits") {
  int met = 0, zone_constants = 0;
  for (const char* file : {"projection_examples", "projection_vectors"}) {
    for (const auto& row : deckmark_test::read_vectors(std::string("vectors/reference/") + file + ".csv")) {
      if (row.at("calc") == "lcc_zone_constants") {  // tables for hand computation; the library forms its own
        ++zone_constants;
        continue;
      }
      CAPTURE(row.at("id"));
      CAPTURE(row.at("output"));
      const double got = computed(row);
      CAPTURE(got);
      CHECK(std::abs(got - expected(row)) <= tolerance(row));
      ++met;
    }
  }
  CHECK(met == 110);
  CHECK(zone_constants == 9);
}

TEST_CASE("published geodesics, inverse and direct") {
  int met = 0;
  for (const auto& row : deckmark_test::read_vectors("vectors/reference/geodesic_geodtest.csv")) {
    CAPTURE(row.at("id"));
    CAPTURE(row.at("output"));
    Inputs in = deckmark_test::split_inputs(row.at("inputs"));
    if (row.at("calc") == "geod_inverse") {
      CHECK(std::abs(computed(row) - expected(row)) <= tolerance(row));
      ++met;
    } else if (row.at("output") ==
               "lon2") {  // the direct problem, held backwards: from start to the published end
      for (const auto& other : deckmark_test::read_vectors("vectors/reference/geodesic_geodtest.csv"))
        if (other.at("id") == row.at("id") && other.at("output") == "lat2") in["lat2"] = other.at("expected");
      in["lon2"] = row.at("expected");
      CHECK(std::abs(geodesic("s", in) - std::stod(in.at("s"))) <= 1e-8);
      CHECK(std::abs(geodesic("azi1", in) - std::stod(in.at("azi1"))) <= 1e-12);
      met += 2;
    }
  }
  CHECK(met == 80);
}

TEST_CASE("published grid and ground distances") {
  const System zone = open_system(
      "+proj=lcc +ellps=GRS80 +lat_1=42.733333333333333 +lat_2=44.066666666666667 +lat_0=42 +lon_0=-90 "
      "+x_0=600000 +y_0=0");
  int met = 0;
  for (const auto& row : deckmark_test::read_vectors("vectors/reference/ground_grid_examples.csv")) {
    CAPTURE(row.at("id"));
    CAPTURE(row.at("output"));
    const std::string &calc = row.at("calc"), &output = row.at("output");
    const Inputs in = deckmark_test::split_inputs(row.at("inputs"));
    const auto of = [&](const char* key) { return std::stod(in.at(key)); };
    double got = 0;
    if (calc == "mean") {
      const auto x = deckmark_test::split_numbers(in.at("x"));
      got = (x[0] + x[1]) / 2;
    } else if (calc == "t_minus_T") {
      const auto a = zone->geographic(grid(of("N1"), of("E1"))),
                 b = zone->geographic(grid(of("N2"), of("E2")));
      const Line l = line(*zone, *a, *b);
      got = (l.plane - l.geodetic_less_convergence).arc_seconds();
    } else {
      const Length height = Length::survey_feet(of("H") + of("geoid"));
      // The published radius is a rounded mean one; ours is that of the place. They differ by 0.07 %.
      const double raised = zone->elevation_factor({deg(42.54), deg(-89.18)}, height);
      const double printed = std::round(raised * of("kgrid") * 1e7) / 1e7;
      const auto ground = claim_ground(grid(61367, 660318), printed);
      if (output == "elev_factor") got = raised;
      if (output == "combined") got = raised * of("kgrid");
      if (output == "grid")
        got = distance(ground.base(),
                       ground.to_grid({{.northing = m(61367 + of("ground")), .easting = m(660318)}}))
                  .metres();
      if (output == "ground")
        got = (ground.to_ground(grid(61367 + of("gridlen"), 660318)).at.northing - m(61367)).metres();
    }
    CAPTURE(got);
    CHECK(std::abs(got - expected(row)) <= tolerance(row));
    ++met;
  }
  CHECK(met == 18);
}

TEST_CASE("two libraries agree on transverse Mercator within 1 nm over a zone") {
  const double f = 1 / 298.257223563;  // WGS 84
  const GeographicLib::TransverseMercatorExact exact(6378137, f, 0.9996);
  const System zone = open_system("EPSG:32632");
  double worst_east = 0, worst_north = 0, worst_back = 0, sum_north = 0;
  int count = 0;
  for (double latitude = 0; latitude <= 84; latitude += 1.5)
    for (double offset = -3; offset <= 3; offset += 0.25) {
      double x = 0, y = 0, convergence = 0, scale = 0;
      exact.Forward(9, latitude, 9 + offset, x, y, convergence, scale);
      const Geographic p{deg(latitude), deg(9 + offset)};
      const auto to = zone->project(p);
      const double north = to->at.northing.metres() - y;
      // A northing of 9,000,000 m has a last place of 1.9 nm; a handful of roundings is the computer's, no
      // library's.
      const double last_place = std::nextafter(y, 2e7) - y;
      worst_east = std::max(worst_east, std::abs(to->at.easting.metres() - 500000 - x));
      worst_north = std::max(worst_north, std::abs(north) - 5 * last_place);
      sum_north += north;
      ++count;
      const auto factors = zone->factors(p);
      CHECK(std::abs(factors->point_scale - scale) < 2e-9);  // the derivatives are taken numerically there
      CHECK(std::abs(factors->convergence.degrees() - convergence) < 1e-8);
      double lat = 0, lon = 0;
      exact.Reverse(9, to->at.easting.metres() - 500000, to->at.northing.metres(), lat, lon);
      const auto back = zone->geographic(*to);
      // Degrees into metres, along the meridian and along the parallel.
      worst_back =
          std::max({worst_back, std::abs(back->latitude.degrees() - lat) * 111700,
                    std::abs(back->longitude.degrees() - lon) * 111400 * std::cos(latitude / 57.29577951)});
    }
  CAPTURE(worst_east);
  CAPTURE(worst_north);
  CHECK(worst_east <= 1e-9);
  CHECK(worst_north <= 1e-9);
  CHECK(std::abs(sum_north / count) <= 1e-9);  // without the roundings, which go both ways
  CHECK(worst_back <= 1e-8);
}

namespace {

/// A straight line in space between two places at one height: as independent of projections as can be.
double chord(const GeographicLib::Geocentric& earth, const Geographic& a, const Geographic& b,
             double height) {
  double p[3], q[3];
  earth.Forward(a.latitude.degrees(), a.longitude.degrees(), height, p[0], p[1], p[2]);
  earth.Forward(b.latitude.degrees(), b.longitude.degrees(), height, q[0], q[1], q[2]);
  return std::hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
}

struct Work {
  const char* crs;
  double latitude, longitude, height;
};

}  // namespace

TEST_CASE("ground distances of a job up to 2 km across equal the geodesic at the mean elevation") {
  // Where the point scale hardly changes over the job one factor serves it: near a central meridian or a
  // standard parallel.
  std::mt19937 random(1);
  std::uniform_real_distribution<double> place(-1000, 1000);
  for (const Work& w : {Work{"EPSG:32632", 46, 9.0, 300},
                        {"EPSG:32632", 60, 9.02, 1250},
                        {"EPSG:32633", 10, 15.01, 0},
                        {"EPSG:27700", 52, -2.0, 80},
                        {"EPSG:6539", 40.93, -73.98, 12},
                        {"EPSG:2056", 46.95, 7.45, 550},
                        {"EPSG:2193", -41.2, 173.01, 40}}) {
    CAPTURE(w.crs);
    const System system = open_system(w.crs);
    const Length height = m(w.height);
    const auto base = system->project({deg(w.latitude), deg(w.longitude)});
    const auto at_base = ground_row(*system, claim_ground(*base, 1), *base, height);
    const auto ground = claim_ground(*base, at_base->combined_factor);
    for (int i = 0; i < 200; ++i) {
      const auto random_row = [&] {
        const Point<Site> p{{.northing = base->at.northing + m(place(random) / 1.5),
                             .easting = base->at.easting + m(place(random) / 1.5)}};
        return *ground_row(*system, ground, ground.to_grid(p), height);
      };
      const GroundCheck check = check_ground(*system, random_row(), random_row(), height);
      CHECK(std::abs((check.ground - check.geodesic).metres()) <= 1e-4 + 0.2e-6 * check.geodesic.metres());
    }
  }
}

TEST_CASE("anywhere in a zone the reduced grid distance equals the geodesic, and the chord in space") {
  // The line's own scale (Simpson's mean of its ends and middle) reduces it; what one factor leaves is what
  // the scale changes over the job, no more.
  std::mt19937 random(1);
  std::uniform_real_distribution<double> place(-1000, 1000), latitude(5, 70), offset(-3, 3);
  const System system = open_system("EPSG:32632");
  const GeographicLib::Geocentric earth(6378137, 1 / 298.257223563);
  for (int i = 0; i < 500; ++i) {
    const Length height = m(150);
    const auto base = system->project({deg(latitude(random)), deg(9 + offset(random))});
    const auto at_base = ground_row(*system, claim_ground(*base, 1), *base, height);
    const auto ground = claim_ground(*base, at_base->combined_factor);
    const auto random_row = [&] {
      return *ground_row(*system, ground,
                         grid((base->at.northing + m(place(random))).metres(),
                              (base->at.easting + m(place(random))).metres()),
                         height);
    };
    const GroundRow a = random_row(), b = random_row();
    const auto middle = ground_row(*system, ground,
                                   grid((a.grid.at.northing + b.grid.at.northing).metres() / 2,
                                        (a.grid.at.easting + b.grid.at.easting).metres() / 2),
                                   height);
    const double factor = (a.combined_factor + 4 * middle->combined_factor + b.combined_factor) / 6;
    const double reduced = distance(a.grid, b.grid).metres() / factor;
    const GroundCheck check = check_ground(*system, a, b, height);
    CHECK(std::abs(reduced - check.geodesic.metres()) <= 1e-4 + 0.2e-6 * reduced);
    // The radius in the line's own direction differs from the mean one by up to 0.34 %: 0.08 ppm at this
    // height.
    CHECK(std::abs(chord(earth, a.place, b.place, height.metres()) - reduced) <= 1e-4 + 0.2e-6 * reduced);
    const double left = std::abs(factor / ground.combined_factor() - 1) * reduced;
    CHECK(std::abs((check.ground - check.geodesic).metres()) <= left + 1e-4 + 0.2e-6 * reduced);
  }
}

// 2026-11-27: the promise of 0.1 mm and 0.2 ppm was said of every direction; the elevation factor is that of
// the mean radius. Truth: straight lines in space at the height of the work, a mile apart at most, so that
// the chord differs from the arc by under 0.01 ppm.
TEST_CASE("the elevation factor of one direction lies from the mean radius' by the spread at most") {
  const System system = open_system("EPSG:32632");
  const GeographicLib::Geocentric earth(6378137, 1 / 298.257223563);
  for (const double latitude : {1.0, 25.0, 46.0, 62.0}) {
    for (const double height : {300.0, 2500.0}) {
      CAPTURE(latitude);
      CAPTURE(height);
      const double spread = system->direction_spread({deg(latitude), deg(9)}, m(height)) * 1e6;
      double most = 0;
      for (int azimuth = 0; azimuth < 180; azimuth += 15) {
        const double north = 0.004 * std::cos(azimuth * 3.14159265358979323846 / 180),
                     east = 0.004 * std::sin(azimuth * 3.14159265358979323846 / 180) /
                            std::cos(latitude * 3.14159265358979323846 / 180);
        const Geographic a{deg(latitude - north), deg(9 - east)}, b{deg(latitude + north), deg(9 + east)};
        const double off =
            (chord(earth, a, b, height) / system->geodesic_at(a, b, m(height)).metres() - 1) * 1e6;
        CHECK(std::abs(off) <= spread + 0.02);
        most = std::max(most, std::abs(off));
      }
      CHECK(most == doctest::Approx(spread).epsilon(0.05).scale(0.4));
    }
  }
  // The figure of data/concourse-us-ft/README.md: 0.53 ppm for each 1,000 m at the equator, by
  // M = a (1 - e2), N = a of WGS 84.
  const double a = 6378137, f = 1 / 298.257223563, meridian = a * (1 - f) * (1 - f),
               mean = std::sqrt(a * meridian);
  CHECK((1000 / meridian - 1000 / mean) * 1e6 == doctest::Approx(0.53).epsilon(0.01));
  CHECK(system->direction_spread({deg(0), deg(9)}, m(1000)) * 1e6 == doctest::Approx(0.53).epsilon(0.01));
}

TEST_CASE("ground and grid about a point") {
  const auto ground = claim_ground(grid(5000000, 500000), 0.9996);
  CHECK(ground.to_ground(ground.base()).at.northing == m(5000000));
  CHECK(ground.to_ground(ground.base()).at.easting == m(500000));
  const Point<Site> b{{.northing = m(5000100), .easting = m(500030)}};
  const auto there = ground.to_grid(b);
  CHECK(there.at.northing.metres() == doctest::Approx(5000099.96).epsilon(1e-15));
  CHECK(there.at.easting.metres() == doctest::Approx(500029.988).epsilon(1e-15));
  CHECK(std::abs((ground.to_ground(there).at.northing - b.at.northing).metres()) < 2e-9);
  for (const double bad : {1.9996, 0.0, -0.9996, 0.9, std::nan("")}) CHECK_FALSE(is_sensible_factor(bad));
  for (const double good : {0.9996, 1.0, 1.00045, 0.9988}) CHECK(is_sensible_factor(good));
}

TEST_CASE("systems that are refused, and why") {
  struct Row {
    const char *crs, *found, *suggestion;
  };
  for (const Row& r : {Row{"EPSG:999999", "no known code", ""},
                       {"32632", "without its authority", "EPSG:32632"},
                       {"EPSG:4326", "not a map projection", ""},
                       {"EPSG:5513", "south", "EPSG:5514"},
                       {"", "no known code", ""},
                       {"+proj=tmerc +units=km", "unit", ""},
                       {"+init=epsg:32632", "no known code", ""},
                       {"nonsense", "no known code", ""}}) {
    CAPTURE(r.crs);
    const auto made = GridSystem::open(r.crs);
    REQUIRE_FALSE(made);
    CHECK(made.fault().found.find(r.found) != std::string::npos);
    CHECK(made.fault().suggestion.find(r.suggestion) != std::string::npos);
  }
  CHECK(open_system("epsg:32632")->code() == "EPSG:32632");
  CHECK(open_system("EPSG:7405")->code() == "EPSG:27700");  // with heights, which are left alone
  CHECK(open_system("EPSG:2263")->unit() == LengthUnit::survey_foot);
  // Not conformal: no one scale at a point.
  CHECK_FALSE(open_system("EPSG:3035")->factors({deg(50), deg(25)}));
}

TEST_CASE("why a place lies outside the area of use") {
  const System nz = open_system("EPSG:2193"), ny = open_system("EPSG:2263"), utm = open_system("EPSG:32632");
  using R = OutsideReason;
  CHECK(nz->why_outside(grid(1748123.456, 5427890.123), LengthUnit::metre).reason == R::exchanged);
  CHECK(nz->why_outside(grid(0, 0), LengthUnit::metre).reason == R::zero);
  CHECK(nz->why_outside(grid(5427890.123 * 0.3048, 1748123.456 * 0.3048), LengthUnit::foot).reason ==
        R::as_metres);
  CHECK(nz->why_outside(grid(150, 230), LengthUnit::metre).reason == R::local);
  CHECK(ny->why_outside(grid(212522.5, 989791.5), LengthUnit::metre).reason == R::as_survey_feet);
  CHECK(utm->why_outside(grid(5094533, 1277432), LengthUnit::metre).reason == R::other_zone);
  CHECK(utm->why_outside(grid(5094533, 32577432), LengthUnit::metre).reason == R::zone_number);
  CHECK(utm->why_outside(grid(-66, 500000), LengthUnit::metre).reason == R::near_edge);
  CHECK(utm->why_outside(Geographic{deg(10), deg(46)}) == R::exchanged);
  CHECK(ny->why_outside(Geographic{deg(40.75), deg(73.98)}) == R::sign);
  CHECK(utm->why_outside(Geographic{deg(46), deg(171)}) == R::unknown);
  CHECK_FALSE(utm->covers(Geographic{deg(95), deg(10)}));
  CHECK_FALSE(utm->project({deg(95), deg(10)}));
}

TEST_CASE("a change of datum is exact, or refused by the name of what it lacks") {
  const auto refused = [](const char* geographic, const char* crs) {
    const auto made = DatumShift::open(geographic, *open_system(crs));
    return made ? std::string() : made.fault().found;
  };
  CHECK(refused("EPSG:4258", "EPSG:27700").find("OSTN15") != std::string::npos);
  const std::string coarse = refused("EPSG:4230", "EPSG:25831");
  CAPTURE(coarse);
  CHECK_FALSE(coarse.empty());
  CHECK(refused("EPSG:32632", "EPSG:32632").find("no latitudes") != std::string::npos);
  const auto same = DatumShift::open("EPSG:4326", *open_system("EPSG:32632"));
  REQUIRE(same);
  const auto p = (**same)({deg(46), deg(10)}, m(0));
  CHECK(p->latitude.degrees() == 46);
  CHECK(p->longitude.degrees() == 10);
}
