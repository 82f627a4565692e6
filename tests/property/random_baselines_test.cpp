// Random ties through the real program, against a computation of another kind: long double, no derivatives,
// no matrices. The azimuth is found by a section search on the square sum with the shifts as weighted means;
// every sd and ellipse by moving each stated coordinate a little and finding all again. What is printed must
// agree to its last digit. Seed 1.
#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <functional>
#include <random>
#include <string>

#include "../command/job_folder.h"

using namespace deckmark_test;

namespace {

using Real = long double;

#ifdef DECKMARK_SANITIZED
constexpr int kJobs = 9;
#else
constexpr int kJobs = 60;
#endif

const Real kDegree = std::acos(-1.0L) / 180;

struct Stated {
  bool is_x;
  Real value, sd, north, east;  // north, east from the middle of the ties
};

enum class Hold { both, x, y };

struct Ties {
  std::vector<Stated> stated;
  std::vector<std::array<Real, 2>> places;
  Real azimuth = 0, mean_north = 0, mean_east = 0;  // the azimuth is the true one: where the search begins
  std::string table;
};

Real along(const Stated& s, Real azimuth) {
  return s.is_x ? s.east * std::sin(azimuth) + s.north * std::cos(azimuth)
                : s.north * std::sin(azimuth) - s.east * std::cos(azimuth);
}

/// Weighted mean of what is stated less what an origin in the middle gives.
Real shift(const Ties& t, Real azimuth, bool of_x) {
  Real sum = 0, weight = 0;
  for (const Stated& s : t.stated)
    if (s.is_x == of_x) {
      sum += (s.value - along(s, azimuth)) / (s.sd * s.sd);
      weight += 1 / (s.sd * s.sd);
    }
  return sum / weight;
}

Real square_sum(const Ties& t, Real azimuth, bool with_x, bool with_y) {
  const Real u = shift(t, azimuth, true), v = shift(t, azimuth, false);
  Real sum = 0;
  for (const Stated& s : t.stated)
    if (s.is_x ? with_x : with_y) sum += std::pow((s.value - along(s, azimuth) - (s.is_x ? u : v)) / s.sd, 2);
  return sum;
}

/// The azimuth of +X with the least square sum of one family of ties, or of both.
Real direction(const Ties& t, bool with_x, bool with_y) {
  Real low = t.azimuth - 0.01L, high = t.azimuth + 0.01L;
  const Real golden = (std::sqrt(5.0L) - 1) / 2;
  for (int k = 0; k < 50; ++k) {
    const Real a = high - golden * (high - low), b = low + golden * (high - low);
    (square_sum(t, a, with_x, with_y) < square_sum(t, b, with_x, with_y) ? high : low) =
        square_sum(t, a, with_x, with_y) < square_sum(t, b, with_x, with_y) ? b : a;
  }
  const Real c = (low + high) / 2,
             h = 1e-5L;  // a search alone stops at the root of the precision: a parabola ends it
  const Real f0 = square_sum(t, c - h, with_x, with_y), f1 = square_sum(t, c, with_x, with_y),
             f2 = square_sum(t, c + h, with_x, with_y);
  return c + h * (f0 - f2) / (2 * (f0 - 2 * f1 + f2));
}

/// The same ties without residuals, at the azimuths that the families give (or share). Sds are of the first
/// order: what residuals add to the curvature of the square sum, up to 0.2 % on these floors, is no part of
/// them.
Ties without_residuals(const Ties& t, Real by_x, Real by_y) {
  Ties out = t;
  for (Stated& s : out.stated) {
    const Real azimuth = s.is_x ? by_x : by_y;
    s.value = along(s, azimuth) + shift(t, azimuth, s.is_x);
  }
  return out;
}

/// A quantity of the ties with its variance, or the covariance of two.
struct Moved {
  std::array<Real, 2> value{};
  Real first = 0, cross = 0, second = 0;
};
Moved by_moving(const Ties& ties, const std::function<std::array<Real, 2>(const Ties&)>& find) {
  Moved out{find(ties)};
  const Real h = 1e-3L;
  for (std::size_t i = 0; i < ties.stated.size(); ++i) {
    Ties up = ties, down = ties;
    up.stated[i].value += h;
    down.stated[i].value -= h;
    const auto a = find(up), b = find(down);
    const Real sd = ties.stated[i].sd, g0 = (a[0] - b[0]) / (2 * h) * sd, g1 = (a[1] - b[1]) / (2 * h) * sd;
    out.first += g0 * g0;
    out.cross += g0 * g1;
    out.second += g1 * g1;
  }
  return out;
}

/// Northing and easting of a drawing place, from the middle of the ties.
std::array<Real, 2> mapped(const Ties& t, Hold hold, Real x, Real y) {
  const Real a = direction(t, hold != Hold::x, hold != Hold::y);  // X is held by the ties that state y
  const Real dx = x - shift(t, a, true), dy = y - shift(t, a, false);
  return {dx * std::cos(a) + dy * std::sin(a), dx * std::sin(a) - dy * std::cos(a)};
}

struct Ellipse {
  Real major, minor, azimuth;
};
Ellipse ellipse(const Moved& m) {
  const Real mean = (m.first + m.second) / 2, apart = std::hypot((m.first - m.second) / 2, m.cross),
             k = std::sqrt(-2 * std::log(0.05L));
  Real azimuth = std::atan2(2 * m.cross, m.first - m.second) / 2 / kDegree;
  if (azimuth < 0) azimuth += 180;
  return {k * std::sqrt(mean + apart), k * std::sqrt(mean - apart), azimuth};
}

Ties random_ties(std::mt19937_64& random) {
  const auto uniform = [&](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  std::normal_distribution<double> normal;
  Ties t;
  t.azimuth = static_cast<Real>(uniform(0, 360)) * kDegree;
  t.table = "mark,x,y,northing,easting,sd_x,sd_y\n";
  const double width = uniform(10, 60), depth = uniform(10, 60), north0 = uniform(100, 500000),
               east0 = uniform(100, 500000);
  struct Row {
    Real x, y, sd_x, sd_y, north, east;
    bool has_x, has_y;
  };
  std::vector<Row> rows;
  const int count = 4 + static_cast<int>(random() % 5);
  for (int i = 0; i < count; ++i) {
    Row r{};
    r.x = std::round((i % 2 ? width : 0) * 2) / 2 + (i > 3 ? std::round(uniform(-4, 4)) : 0);
    r.y = std::round((i / 2 % 2 ? depth : 0) * 2) / 2 + (i > 3 ? std::round(uniform(-4, 4)) : 0);
    r.has_x = i < 3 || random() % 4 != 0;
    r.has_y = i < 3 || !r.has_x || random() % 4 != 0;
    r.sd_x = std::round(uniform(5, 30)) / 10000, r.sd_y = std::round(uniform(5, 30)) / 10000;
    const Real fx = r.x + r.sd_x * normal(random), fy = r.y + r.sd_y * normal(random);
    r.north = std::round((north0 + fx * std::cos(t.azimuth) + fy * std::sin(t.azimuth)) * 1e5L) / 1e5L;
    r.east = std::round((east0 + fx * std::sin(t.azimuth) - fy * std::cos(t.azimuth)) * 1e5L) / 1e5L;
    rows.push_back(r);
    char text[200];
    std::snprintf(text, sizeof text, "T%d,%s,%s,%.5Lf,%.5Lf,%.4Lf,%.4Lf\n", i,
                  r.has_x ? std::to_string(static_cast<double>(r.x)).c_str() : "",
                  r.has_y ? std::to_string(static_cast<double>(r.y)).c_str() : "", r.north, r.east, r.sd_x,
                  r.sd_y);
    t.table += text;
    t.mean_north += r.north / count, t.mean_east += r.east / count;
  }
  for (const Row& r : rows) {
    t.places.push_back({r.north - t.mean_north, r.east - t.mean_east});
    if (r.has_x) t.stated.push_back({true, r.x, r.sd_x, r.north - t.mean_north, r.east - t.mean_east});
    if (r.has_y) t.stated.push_back({false, r.y, r.sd_y, r.north - t.mean_north, r.east - t.mean_east});
  }
  return t;
}

/// The number behind a phrase.
Real number_after(const std::string& text, const std::string& phrase) {
  const std::size_t at = text.find(phrase);
  REQUIRE_MESSAGE(at != std::string::npos, phrase);
  return std::strtold(text.c_str() + at + phrase.size(), nullptr);
}

/// Printed with `digit` as the last one's worth; a hair for what a double of the site's coordinates leaves.
void check_printed(Real got, Real want, Real digit, Real slack = 0) {
  CAPTURE(static_cast<double>(got));
  CAPTURE(static_cast<double>(want));
  CHECK(std::abs(got - want) <= digit * 0.5001L + slack);
}

void check_ellipse(const std::string& page, const std::string& phrase, const Ellipse& want) {
  const std::string rest = page.substr(page.find(phrase));
  check_printed(number_after(page, phrase), want.major * 1000, 0.1L);
  check_printed(number_after(rest, " by "), want.minor * 1000, 0.1L);
  if (want.major < 1.02L * want.minor) return;  // nearly a circle: its direction hangs on the last bits
  const Real off = std::abs(number_after(rest, "longest at azimuth ") - want.azimuth);
  CHECK(std::min(off, 180 - off) <= 0.5001L);
}

Real extent(const Ties& t, Real azimuth, bool of_x) {
  Real least = 1e9L, most = -1e9L;
  for (const auto& p : t.places) {
    const Real at = along({of_x, 0, 1, p[0], p[1]}, azimuth);
    least = std::min(least, at), most = std::max(most, at);
  }
  return most - least;
}

}  // namespace

TEST_CASE("squareness, variance factor and ellipses of random ties, to the printed digits") {
  if (std::filesystem::is_directory("/dev/shm")) ::setenv("TMPDIR", "/dev/shm", 1);
  std::mt19937_64 random(1);
  for (int trial = 0; trial < kJobs; ++trial) {
    CAPTURE(trial);
    const Ties t = random_ties(random);
    const Hold hold = static_cast<Hold>(trial % 3);
    CAPTURE(t.table);
    JobFolder job;
    job.write("ties.csv", t.table);
    job.write("drawing.csv", "point,x,y\nNEAR,1,1\nFAR,61.5,77.25\n");
    job.write("job.toml", std::string("[drawing]\npoints = \"drawing.csv\"\n[baselines]\nties = "
                                      "\"ties.csv\"\ntolerance = \"50 mm\"\nhold = \"") +
                              (hold == Hold::both ? "both"
                               : hold == Hold::x  ? "x"
                                                  : "y") +
                              "\"\n");
    REQUIRE(job.run().exit_code <= 1);
    // The squareness: +X from the ties that state y, +Y from those that state x.
    const Real by_y = direction(t, false, true), by_x = direction(t, true, false), skew = by_y - by_x;
    const Moved square = by_moving(without_residuals(t, by_x, by_y), [](const Ties& of) {
      return std::array<Real, 2>{direction(of, false, true) - direction(of, true, false), 0};
    });
    const Real azimuth = direction(t, hold != Hold::x, hold != Hold::y),
               shorter = std::min(extent(t, azimuth, true), extent(t, azimuth, false));
    const auto rows = csv_rows(job.read("out/checks.csv"));
    REQUIRE(rows.size() == 2);
    check_printed(std::strtold(rows[1][4].c_str(), nullptr), 90 + skew / kDegree, 1e-5L);
    // Lever arms and extents as stated or as found differ by the residuals: millimetres over ten metres.
    check_printed(std::strtold(rows[1][5].c_str(), nullptr), skew * shorter, 1e-5L,
                  3e-4L * std::abs(skew * shorter));
    const Real sd = std::sqrt(square.first) * shorter;
    check_printed(std::strtold(rows[1][7].c_str(), nullptr), sd, 1e-5L, 3e-4L * sd);
    // The page.
    std::string page = job.run({"baseline", ".", "--details"}).out;
    for (std::size_t at; (at = page.find("\n    ")) != std::string::npos;) page.replace(at, 5, " ");
    Real sum = 0;
    const Real u = shift(t, azimuth, true), v = shift(t, azimuth, false);
    for (const Stated& s : t.stated)
      sum += std::pow((s.value - along(s, azimuth) - (s.is_x ? u : v)) / s.sd, 2);
    check_printed(number_after(page, "variance factor "), sum / static_cast<Real>(t.stated.size() - 3),
                  0.01L);
    const Ties exact = without_residuals(t, azimuth, azimuth);
    check_ellipse(page, "Origin good to ",
                  ellipse(by_moving(exact, [&](const Ties& of) { return mapped(of, hold, 0, 0); })));
    check_ellipse(page, "Farthest point, FAR: ",
                  ellipse(by_moving(exact, [&](const Ties& of) { return mapped(of, hold, 61.5L, 77.25L); })));
  }
}
