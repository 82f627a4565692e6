#include "crew_world.h"

#include <cmath>
#include <numbers>

#include "support/text.h"

namespace deckmark_test {

namespace {

constexpr double kDegree = std::numbers::pi / 180;
constexpr double kSecond = kDegree / 3600;
constexpr std::size_t kControl = 8;

double turned(double degrees) { return degrees - 360 * std::floor(degrees / 360); }

}  // namespace

Place operator+(const Place& a, const Place& b) { return {a.northing + b.northing, a.easting + b.easting}; }
Place operator-(const Place& a, const Place& b) { return {a.northing - b.northing, a.easting - b.easting}; }
double length_of(const Place& p) { return std::hypot(p.northing, p.easting); }

CrewWorld::CrewWorld(Dice& dice, const CrewSds& sds, std::size_t setups, std::size_t marks)
    : dice_(dice), sds_(sds) {
  const auto rounded = [](double value) { return std::round(value * 1000) / 1000; };
  for (std::size_t i = 0; i < kControl; ++i) {
    const double way = (static_cast<double>(i) + 0.6 * (dice_.uniform() - 0.5)) * 2 * std::numbers::pi /
                       static_cast<double>(kControl);
    const double far = 24 + 8 * dice_.uniform();
    control_.push_back({"CP" + std::to_string(i + 1),
                        {rounded(500 + far * std::cos(way)), rounded(300 + far * std::sin(way))},
                        rounded(kFloor + dice_.uniform())});
  }
  for (std::size_t i = 0; i < marks; ++i)
    marks_.push_back({rounded(480 + 40 * dice_.uniform()), rounded(280 + 40 * dice_.uniform())});
  for (std::size_t i = 0; i < setups; ++i) {
    instruments_.push_back({{500 + 10 * (dice_.uniform() - 0.5), 300 + 10 * (dice_.uniform() - 0.5)},
                            2 * std::numbers::pi * dice_.uniform()});
    read_.push_back(observations(i));
  }
}

CrewReading CrewWorld::read(const CrewInstrument& from, const Place& target, double up, bool both_faces) {
  const Place way = target - from.at;
  const double one = (both_faces ? 1 : std::numbers::sqrt2) * sds_.angle, flat = length_of(way);
  CrewReading r;
  r.circle =
      turned((std::atan2(way.easting, way.northing) - from.orientation + one * dice_.normal()) / kDegree);
  r.zenith = (std::atan2(flat, up) + one * dice_.normal()) / kDegree;
  const double slip = sds_.distance * dice_.normal();
  r.slope = std::hypot(flat, up) + slip;
  r.horizontal = flat + slip;
  return r;
}

std::string CrewWorld::typed(const CrewReading& reading, double target_height) {
  return dice_.chance(60)
             ? text("%.6f %.5f", reading.circle, reading.horizontal)
             : text("%.6f %.6f %.5f %.3f", reading.circle, reading.zenith, reading.slope, target_height);
}

Place CrewWorld::on(const Place& mark) {
  return {mark.northing + sds_.target * dice_.normal(), mark.easting + sds_.target * dice_.normal()};
}

/// Four of the control points, both faces, a target set up on each.
std::string CrewWorld::observations(std::size_t setup) {
  std::string out = "target,face,circle,zenith,slope,height\n";
  const std::size_t first = dice_.below(kControl);
  for (std::size_t i = 0; i < 4; ++i) {
    const Control& control = control_[(first + 2 * i) % kControl];
    const double up = control.height + kPole - kFloor - kAxis;
    const CrewReading r = read(instruments_[setup], on(control.at), up, true);
    out += control.name + text(",1,%.7f,%.7f,%.5f,%.3f\n", r.circle, r.zenith, r.slope, kPole);
    out += control.name +
           text(",2,%.7f,%.7f,%.5f,%.3f\n", turned(r.circle + 180), 360 - r.zenith, r.slope, kPole);
  }
  return out;
}

void CrewWorld::lay(JobFolder& folder) const {
  std::string job =
      "[drawing]\npoints = \"drawing.csv\"\nframe = \"site\"\n[site]\ncontrol = \"control.csv\"\n"
      "[floor]\nelevation = \"100.000 m\"\n[instrument]\nangles = \"degrees\"\ndistance_ppm = 0\n";
  job += text("angle_sd = \"%.4f\\\"\"\ndistance_sd = \"%.3f mm\"\ntarget_sd = \"%.3f mm\"\n",
              sds_.angle / kSecond, sds_.distance * 1000, sds_.target * 1000);
  for (std::size_t i = 0; i < instruments_.size(); ++i) {
    const std::string name = setup_name(i);
    job += "[[setup]]\nname = \"" + name + "\"\nat = \"free\"\nheight = \"1.550 m\"\nobservations = \"" +
           name + ".csv\"\n";
    folder.write(name + ".csv", read_[i]);
  }
  folder.write("job.toml", job);
  std::string control = "point,northing,easting,elevation\n", drawing = "point,x,y,run\n";
  for (const Control& c : control_)
    control += c.name + text(",%.3f,%.3f,%.3f\n", c.at.northing, c.at.easting, c.height);
  for (std::size_t i = 0; i < marks_.size(); ++i)
    drawing += text("M%d,%.3f,%.3f,R%d\n", static_cast<int>(i + 1), marks_[i].easting, marks_[i].northing,
                    static_cast<int>(i / 10 + 1));
  folder.write("control.csv", control);
  folder.write("drawing.csv", drawing);
}

}  // namespace deckmark_test
