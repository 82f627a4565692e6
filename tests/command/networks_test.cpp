// Published networks, each a job of its own through the real program, against the printed digits.
#include <doctest/doctest.h>

#include <cmath>
#include <set>

#include "job_folder.h"
#include "simulation/random_nets.h"
#include "support/network_folder.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

// What the program prints: 0.01 mm, 1e-7 degrees, four digits of quality.
constexpr double kLengthDigit = 1e-5, kAngleDigit = 1e-7, kQualityDigit = 1e-4;
// Where a source's own digits are looser than they look. Orientations were printed to 1e-6 gon; redundancies
// were made of shares printed to 0.01 %; variance factors come from an iteration that stops earlier.
constexpr double kOfGon = 1e-6, kOfShares = 1e-4, kOfFactor = 1e-5;

struct NetworkJob : JobFolder {
  Network network;
  std::set<std::string> sighted, control;

  explicit NetworkJob(Network n) : network(std::move(n)) {
    for (const NetworkControl& c : network.control) control.insert(c.point);
    for (const NetworkReading& r : network.readings) sighted.insert(r.target);
    write("control.csv", control_table());
    std::string job =
        "[site]\ncontrol = \"control.csv\"\n[instrument]\nangles = \"degrees\"\nangle_sd = "
        "\"1\\\"\"\ndistance_sd = \"1 mm\"\ncentring_sd = \"0 mm\"\ntarget_sd = \"0 mm\"\nheight_sd = \"0 "
        "mm\"\nrefraction = \"none\"\n";
    for (const NetworkSetup& s : network.setups) {
      const bool known = control.count(s.point) + sighted.count(s.point) > 0;
      job += text("[[setup]]\nname = \"%s\"\nat = \"%s\"\nheight = \"%.7f m\"\nobservations = \"%s.csv\"\n",
                  s.name.c_str(), known ? s.point.c_str() : "free", s.height, s.name.c_str());
      write(s.name + ".csv", readings_of(s.name));
    }
    write("job.toml", job);
  }

 private:
  std::string control_table() const {
    std::string rows = "point,northing,easting,elevation,sd\n";
    for (const NetworkControl& c : network.control)
      rows += text("%s,%.7f,%.7f,", c.point.c_str(), c.northing, c.easting) + cell("%.7f", c.elevation) +
              "," + cell("%.7f", c.sd) + "\n";
    return rows;
  }
  static std::string cell(const char* form, const std::optional<double>& value) {
    return value ? text(form, *value) : "";
  }
  /// Seconds as degrees.
  static std::string sd_cell(const std::optional<double>& seconds) {
    return seconds ? text("%.12f", *seconds / 3600) : "";
  }
  std::string readings_of(const std::string& setup) const {
    std::string rows = "target,circle,zenith,slope,horizontal,height,circle_sd,zenith_sd,distance_sd\n";
    for (const NetworkReading& r : network.readings)
      if (r.setup == setup)
        rows += r.target + "," + cell("%.10f", r.circle) + "," + cell("%.10f", r.zenith) + "," +
                cell("%.7f", r.slope) + "," + cell("%.7f", r.horizontal) + text(",%.7f,", r.height) +
                sd_cell(r.circle_sd) + "," + sd_cell(r.zenith_sd) + "," + cell("%.9f", r.distance_sd) + "\n";
    return rows;
  }
};

using TableRow = std::map<std::string, std::string>;

void check(const std::optional<Printed>& want, const std::string& cell, double factor, double coarse,
           const std::string& what) {
  if (!want) return;
  const double got = number(cell) * factor;
  CHECK_MESSAGE(want->fits(got, coarse), what, text(": got %.9g, printed %.9g", got, want->value));
}

const TableRow* row_of(const std::vector<TableRow>& rows, const std::string& column,
                       const std::string& name) {
  for (const TableRow& row : rows)
    if (row.at(column) == name) return &row;
  return nullptr;
}

void check_place(const NetworkPlace& want, const TableRow& got, double factor) {
  check(want.northing, got.at("northing"), 1, kLengthDigit, "northing");
  check(want.easting, got.at("easting"), 1, kLengthDigit, "easting");
  check(want.elevation, got.at("elevation"), 1, kLengthDigit, "elevation");
  check(want.sd_northing, got.at("sd_northing"), factor, kLengthDigit * factor, "sd_northing");
  check(want.sd_easting, got.at("sd_easting"), factor, kLengthDigit * factor, "sd_easting");
  check(want.sd_elevation, got.at("sd_elevation"), factor, kLengthDigit * factor, "sd_elevation");
}

struct Written {
  std::vector<TableRow> net, setups, sights;
  double variance_factor = 0;  ///< 0 where nothing is over

  explicit Written(const NetworkJob& job)
      : net(named_rows(job.read("out/net.csv"))),
        setups(named_rows(job.read("out/setup.csv"))),
        sights(named_rows(job.read("out/sights.csv"))) {
    for (const TableRow& row : setups)
      if (!row.at("variance_factor").empty()) variance_factor = number(row.at("variance_factor"));
  }
};

void check_places(const Network& network, const Written& got) {
  const double factor = network.a_posteriori ? std::sqrt(got.variance_factor) : 1.0;
  for (const NetworkPlace& want : network.places) {
    CAPTURE(want.point);
    std::size_t found = 0;
    if (const TableRow* row = row_of(got.net, "point", want.point)) ++found, check_place(want, *row, factor);
    for (const NetworkSetup& s : network.setups)
      if (s.point == want.point) {
        const TableRow* row = row_of(got.setups, "setup", s.name);
        REQUIRE(row != nullptr);
        ++found, check_place(want, *row, factor);
      }
    CHECK(found > 0);
  }
}

void check_whole(const Network& network, const Written& got) {
  for (const auto& [setup, want] : network.orientations) {
    CAPTURE(setup);
    const TableRow* row = row_of(got.setups, "setup", setup);
    REQUIRE(row != nullptr);
    check(want, row->at("orientation"), 1, kAngleDigit + kOfGon, "orientation");
  }
  if (network.variance_factor)
    for (const TableRow& row : got.setups)
      check(network.variance_factor, row.at("variance_factor"), 1, kQualityDigit + kOfFactor,
            "variance factor");
  if (!network.degrees_of_freedom) return;
  double sum = 0;
  for (const TableRow& row : got.setups) sum += number(row.at("redundancy"));
  CHECK(std::fabs(sum - static_cast<double>(*network.degrees_of_freedom)) <=
        kQualityDigit * static_cast<double>(got.setups.size()));
}

/// A slope with its zenith and the distance with the height that is made of them have one sum of
/// redundancies.
void check_sights(const Network& network, const Written& got) {
  const double factor = network.standardised_a_posteriori ? 1 / std::sqrt(got.variance_factor) : 1.0;
  std::map<std::string, double> published, ours;  // slopes with zeniths, by sight
  for (const NetworkQuality& want : network.quality) {
    const std::string sight = want.setup + " to " + want.target;
    CAPTURE(sight);
    CAPTURE(want.quantity);
    if (want.quantity == "slope" || want.quantity == "zenith") {
      published[sight] += want.redundancy.value;
      continue;
    }
    const std::string quantity = want.quantity == "circle" ? "circle" : "distance";
    const TableRow* found = nullptr;
    for (const TableRow& row : got.sights)
      if (row.at("setup") == want.setup && row.at("target") == want.target && row.at("quantity") == quantity)
        found = &row;
    REQUIRE(found != nullptr);
    check(want.redundancy, found->at("redundancy"), 1, kQualityDigit + kOfShares, "redundancy");
    const double w = std::fabs(number(found->at("standardised"))) * factor;
    CHECK_MESSAGE(want.standardised.fits(w, kQualityDigit),
                  text("standardised %.5g, printed %.5g", w, want.standardised.value));
  }
  for (const TableRow& row : got.sights)
    if (row.at("quantity") != "circle")
      ours[row.at("setup") + " to " + row.at("target")] += number(row.at("redundancy"));
  for (const auto& [sight, want] : published)
    CHECK_MESSAGE(std::fabs(ours[sight] - want) <= kQualityDigit + kOfShares, sight,
                  text(": redundancies %.4f, printed %.4f", ours[sight], want));
}

constexpr double kSecond = std::numbers::pi / 180 / 3600;

/// A net of the tests as a network to read: points P0, P1, setups S0, S1.
Network network_of(const dense_net::Net& net) {
  Network out;
  const auto degrees = [](const std::optional<double>& radians) {
    return radians ? std::optional(*radians * 180 / std::numbers::pi) : std::nullopt;
  };
  const auto point = [](std::size_t i) { return "P" + std::to_string(i); };
  for (std::size_t i = 0; i < net.marks.size(); ++i) {
    const dense_net::Mark& m = net.marks[i];
    if (!m.is_control) continue;
    NetworkControl c{point(i), m.n, m.e, std::nullopt, std::nullopt};
    if (m.has_height) c.elevation = m.h;
    if (m.sd > 0) c.sd = m.sd;
    out.control.push_back(c);
  }
  for (std::size_t i = 0; i < net.stands.size(); ++i) {
    const dense_net::Stand& s = net.stands[i];
    out.setups.push_back(
        {"S" + std::to_string(i), s.over ? point(*s.over) : "free" + std::to_string(i), s.height});
  }
  for (const dense_net::Ray& r : net.rays) {
    NetworkReading n;
    n.setup = "S" + std::to_string(r.stand), n.target = point(r.mark);
    n.circle = degrees(r.circle), n.zenith = degrees(r.zenith), n.slope = r.slope,
    n.horizontal = r.horizontal;
    n.height = r.target_height;
    if (r.circle) n.circle_sd = r.circle_sd / kSecond;
    if (r.zenith) n.zenith_sd = r.zenith_sd / kSecond;
    if (r.slope || r.horizontal) n.distance_sd = r.slope_sd;
    out.readings.push_back(n);
  }
  return out;
}

void check_near(const std::string& cell, double want, const std::string& what) {
  const double got = number(cell);
  CHECK_MESSAGE(std::fabs(got - want) <= 0.6 * kLengthDigit, what, text(": got %.9g, want %.9g", got, want));
}
void check_place(const dense_net::Place& want, const TableRow& got) {
  check_near(got.at("northing"), want.n, "northing");
  check_near(got.at("easting"), want.e, "easting");
  check_near(got.at("sd_northing"), want.sd_n, "sd_northing");
  check_near(got.at("sd_easting"), want.sd_e, "sd_easting");
  if (got.at("elevation").empty()) return;
  check_near(got.at("elevation"), want.h, "elevation");
  check_near(got.at("sd_elevation"), want.sd_h, "sd_elevation");
}

}  // namespace

TEST_CASE("published networks through the program agree to their printed digits") {
  const std::vector<std::string> names = network_names();
  CHECK(names.size() >= 7);
  for (const std::string& name : names) {
    CAPTURE(name);
    const NetworkJob job(read_network(name));
    const CommandResult r = job.run();
    CAPTURE(r.err);
    CHECK(r.exit_code == 0);
    REQUIRE(job.has("out/net.csv"));
    const Written got(job);
    check_whole(job.network, got);
    check_places(job.network, got);
    check_sights(job.network, got);
  }
}

TEST_CASE("networks at random through the program agree with the dense adjustment") {
  Noise noise;
  for (std::size_t k = 0; k < 12; ++k) {
    const dense_net::RandomNet made(noise, {.marks = 8 + noise.below(49),
                                            .stands = 1 + noise.below(26),
                                            .distances_only = false,
                                            .set_up_exactly = true,
                                            .size = k % 3 == 0 ? 20.0 : 1.0,
                                            .north = 1000 + 5000.0 * static_cast<double>(k)});
    const dense_net::Adjusted want = dense_net::adjust(made.net);
    const NetworkJob job(network_of(made.net));
    CAPTURE(text("network %zu: %zu points, %zu setups", k, made.net.marks.size(), made.net.stands.size()));
    const CommandResult r = job.run();
    CAPTURE(r.err);
    CHECK(r.exit_code <= 1);  // one reading in a thousand may be told as wrong
    REQUIRE(job.has("out/net.csv"));
    const Written got(job);
    double redundancies = 0;
    for (const dense_net::RayRows& ray : want.rays) redundancies += ray.redundancy();
    for (std::size_t i = 0; i < want.stands.size(); ++i) {
      const TableRow* row = row_of(got.setups, "setup", "S" + std::to_string(i));
      REQUIRE(row != nullptr);
      CAPTURE(i);
      check_place(want.stands[i], *row);
      redundancies -= number(row->at("redundancy"));
    }
    CHECK(std::fabs(redundancies) <= kQualityDigit * static_cast<double>(want.stands.size()));
    for (const dense_net::Ray& ray : made.net.rays) {
      const TableRow* row = row_of(got.net, "point", "P" + std::to_string(ray.mark));
      REQUIRE(row != nullptr);
      CAPTURE(ray.mark);
      check_place(want.marks[ray.mark], *row);
    }
  }
}
