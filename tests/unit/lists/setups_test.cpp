#include "lists/setups.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "unit/lists/written_text.h"
#include "unit/stages/plain_sights.h"

using namespace plain;
using lists_test::written_lines;

namespace {

using Lines = std::vector<std::string>;
constexpr LengthUnit kMetre = LengthUnit::metre;

/// The second and the third of three setups were computed.
struct Case {
  PlainSetups setups;
  Setups found;
  Case() {
    for (const char* name : {"S1", "S2", "S3"}) {
      StatedSetup s;
      s.name = name;
      s.targets = {"C1", "X", "Y"};
      setups.instrument.setups.push_back(s);
    }
    found.setups.resize(3);
    found.plans.resize(3);
    for (const std::size_t i : {std::size_t{1}, std::size_t{2}}) {
      SetupFound& f = found.setups[i].emplace();
      f.reduction.sights.resize(4);
      for (std::size_t k = 0; k < 4; ++k) f.reduction.sights[k].target = (k + i + 1) % 3;
    }
  }
  SetupFound& first() { return *found.setups[1]; }
  SetupFound& second() { return *found.setups[2]; }
};

std::size_t cells(const std::string& line) {
  return 1 + static_cast<std::size_t>(std::count(line.begin(), line.end(), ','));
}

}  // namespace

TEST_CASE("setup.csv: the setups that were computed, each column its own value") {
  Case c;
  SetupResult& r = c.first().result;
  r.at = at(100.125, 200.25);
  r.elevation = Elevation::metres(10.5);
  r.orientation = Angle::degrees(30.5);
  r.covariance = {{{4e-6, 0, 0}, {0, 9e-6, 0}, {0, 0, 1e-10}}};
  r.elevation_sd = mm(1.5);
  r.share = NetShare{3, 0.5, 1.25};
  c.first().verdict = Verdict::outside;  // a check is, though the setup itself is within
  r.verdict = Verdict::within;
  c.second().result.variance_factor = 7.5;  // of its own sights; the column is the net's
  const Lines lines = written_lines(*setup_table(c.setups.view(), c.found, kMetre));
  REQUIRE(lines.size() == 3);
  CHECK(lines[0] ==
        "setup,northing (m),easting (m),elevation (m),orientation,sd_northing (m),sd_easting (m),"
        "sd_elevation (m),sd_orientation,redundancy,variance_factor,verdict");
  CHECK(lines[1] ==
        "S2,100.12500,200.25000,10.50000,30.5000000,0.00200,0.00300,0.00150,0.0005730,3.5000,1.2500,outside");
  CHECK(lines[2] == "S3,0.00000,0.00000,,,0.00000,0.00000,,,0.0000,,unsure");
  CHECK(cells(lines[0]) == kSetupOutput.columns.size());
  CHECK(kSetupOutput.name == "setup.csv");
  CHECK(kSetupOutput.is_of_survey);
}

TEST_CASE("lengths of lists are in their unit; a circle that would print as 360 is 0") {
  Case c;
  c.first().result.at = at(0.3048, 3.048);
  c.first().result.orientation = Angle::degrees(359.99999996);
  c.second().result.orientation = Angle::degrees(359.99999994);
  const Lines lines = written_lines(*setup_table(c.setups.view(), c.found, LengthUnit::foot));
  CHECK(lines[0].starts_with("setup,northing (ft),easting (ft),"));
  CHECK(lines[1].starts_with("S2,1.00000,10.00000,,0.0000000,"));
  CHECK(lines[2].starts_with("S3,0.00000,0.00000,,359.9999999,"));
}

TEST_CASE("sights.csv: circles in degrees, the rest as lengths") {
  Case c;
  SightRow circle;
  circle.sight = 0;
  circle.circle = Angle::degrees(123.5);
  circle.circle_residual = Angle::degrees(-0.001);
  circle.length = m(99);
  circle.standardised = -2.5;
  circle.redundancy = 0.75;
  circle.verdict = Verdict::outside;
  SightRow away;
  away.sight = 1;
  away.quantity = Quantity::distance;
  away.length = m(30.25);
  away.length_residual = mm(2);
  away.verdict = Verdict::unsure;
  SightRow up = away;
  up.sight = 2;
  up.quantity = Quantity::height;
  up.length = m(-1.5);
  c.first().rows = {circle, away};
  c.second().rows = {up};
  const Lines lines = written_lines(*sights_table(c.setups.view(), c.found, kMetre));
  CHECK(lines == Lines{"setup,target,quantity,observed (m),residual (m),standardised,redundancy,verdict",
                       "S2,Y,circle,123.5000000,-0.0010000,-2.5000,0.7500,outside",
                       "S2,C1,distance,30.25000,0.00200,,0.0000,unsure",
                       "S3,Y,height,-1.50000,0.00200,,0.0000,unsure"});
  CHECK(cells(lines[0]) == kSightsOutput.columns.size());
  CHECK(kSightsOutput.is_of_survey);
}

TEST_CASE("side shots of one setup, or of all") {
  Case c;
  SideShot x{0, at(1, 2), {4e-6, 0, 9e-6}, Elevation::metres(3), mm(4)};
  SideShot y{1, at(5, 6), {1e-6, 0, 1e-6}, std::nullopt, std::nullopt};
  c.first().shots = {x, y};
  c.second().shots = {y};
  const Lines all = written_lines(*shots_table(c.setups.view(), c.found, kMetre));
  CHECK(all == Lines{"setup,target,northing (m),easting (m),elevation (m),sd_northing (m),sd_easting (m),"
                     "sd_elevation (m)",
                     "S2,Y,1.00000,2.00000,3.00000,0.00200,0.00300,0.00400",
                     "S2,C1,5.00000,6.00000,,0.00100,0.00100,", "S3,X,5.00000,6.00000,,0.00100,0.00100,"});
  CHECK(written_lines(*shots_table(c.setups.view(), c.found, kMetre, 2)) == Lines{all[0], all[3]});
  CHECK(cells(all[0]) == kShotsOutput.columns.size());
  CHECK(kShotsOutput.is_of_survey);
}

TEST_CASE("stake lists and plans: numbers of floor and deck, control without one") {
  Case c;
  c.setups.control = {control("C1", at(0, 0)), control("C2", at(0, 0))};
  c.setups.plan_tolerance = mm(7);
  PlainLaid laid = laid_of({{"A", 0, 0}, {"B", 0, 0}});
  laid.put_deck(6);
  StakeList list;
  list.lines.resize(3);
  list.lines[0].level = StakeLevel::control;
  list.lines[0].index = 1;
  list.lines[0].row.flags.check = true;
  list.lines[1].index = 1;
  StakeRow& floor = list.lines[1].row;
  floor.circle = CircleReading::degrees(12.25);
  floor.zenith = ZenithAngle::degrees(91.5);
  floor.slope = m(11);
  floor.horizontal = m(10);
  floor.rise_from_axis = m(-1.25);
  floor.sd_along = mm(1);
  floor.sd_across = mm(2);
  floor.sd_up = mm(3);
  floor.covariance = {4e-6, 0, 4e-6};
  floor.flags = {false, true, true, false, false};
  list.lines[2].level = StakeLevel::deck;
  list.lines[2].row.flags = {false, false, false, true, true};
  const Lines stake = written_lines(*stake_table(c.setups.view(), laid.view(), list, kMetre));
  CHECK(stake == Lines{"number,point,level,circle,zenith,slope (m),horizontal (m),rise_from_axis (m),"
                       "sd_along (m),sd_across (m),sd_up (m),flag",
                       ",C2,control,0.0000000,,,0.00000,,0.00000,0.00000,,check",
                       "1002,B,floor,12.2500000,91.5000000,11.00000,10.00000,-1.25000,0.00100,0.00200,"
                       "0.00300,steep near",
                       "6001,A,deck,0.0000000,,,0.00000,,0.00000,0.00000,,weak far-deck"});
  CHECK(cells(stake[0]) == kStakeOutput.columns.size());
  CHECK_FALSE(kStakeOutput.is_of_survey);
  CHECK(kStakeSheetOutput.columns.empty());

  // 95 % of a round scatter lie within 2.4477 sd.
  list.lines.erase(list.lines.begin());
  const Lines plan = written_lines(*plan_table(c.setups.view(), laid.view(), list, LengthUnit::millimetre));
  CHECK(plan == Lines{"number,point,level,horizontal (mm),sd_along (mm),sd_across (mm),radius_95 (mm),"
                      "permitted (mm),verdict,flag",
                      "1002,B,floor,10000.00,1.00,2.00,4.90,7.00,within,steep near",
                      "6001,A,deck,0.00,0.00,0.00,0.00,7.00,outside,weak far-deck"});
  CHECK(cells(plan[0]) == kPlanOutput.columns.size());
}

TEST_CASE("files of setups and when they are written") {
  CHECK(kSightsOutput.name == "sights.csv");
  CHECK(kShotsOutput.name == "shots-NAME.csv");
  CHECK(kStakeOutput.name == "stake-NAME.csv");
  CHECK(kStakeSheetOutput.name == "stake-NAME.txt");
  CHECK(kPlanOutput.name == "plan-NAME.csv");
  CHECK_FALSE(kPlanOutput.is_of_survey);
  CHECK_FALSE(kStakeSheetOutput.is_of_survey);
}
