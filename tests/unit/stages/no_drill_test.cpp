#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "stages/overhead.h"
#include "unit/stages/plain_overhead.h"

using namespace deckmark;
using namespace plain;
using Strings = std::vector<std::string>;

namespace {

/// A line of two corners.
std::vector<StatedCorner> tendon(const std::string& name, double x0, double y0, double x1, double y1,
                                 std::optional<Length> clearance) {
  return {{name, xy(x0, y0), {}, {}, clearance}, {name, xy(x1, y1), {}, {}, {}}};
}

Strings problems_of(PlainOverhead& o) { return told(o.hung().told, Grade::problem); }

}  // namespace

TEST_CASE("a hanger in a no-drill zone is bridged as in an obstruction, behind these") {
  PlainOverhead o;
  std::vector<StatedCorner> zone = rectangle("Z1", 4.9, -1, 5.2, 1);
  zone[1].reference = "scan 7";
  zone[2].clearance = m(0.1);
  o.runs({line("R1", 0, 0, 6, 0, m(2.5))}).obstructions(rectangle("D", 0.9, -1, 1.2, 1)).zones(zone);
  const auto out = o.hung();
  REQUIRE(out.is_there());
  const Overhead& over = out.value->overhead;
  CHECK(over.obstruction_names == Strings{"D", "no-drill zone Z1"});
  CHECK(over.first_zone == 1);
  REQUIRE(over.zones.size() == 1);
  CHECK(over.zones[0].name == "Z1");
  CHECK(over.zones[0].reference == "scan 7");
  REQUIRE(over.trapezes.size() == 2);
  CHECK(over.trapezes[1].trapeze.obstruction == 1);
  REQUIRE(over.trapezes[1].trapeze.supports);
  CHECK(over.trapezes[1].trapeze.supports->first.at.x.metres() == doctest::Approx(4.8));
  CHECK(over.trapezes[1].trapeze.supports->second.at.x.metres() == doctest::Approx(5.3));
}

TEST_CASE("a zone takes the job's clearance where it states none") {
  PlainOverhead o;
  o.job.clearance = m(0.2);
  o.zones(rectangle("Z1", 0.9, -1, 1.2, 1));
  const Hung h = *o.hung({{"P1", 1, 0}}).value;
  REQUIRE(h.marks.size() == 3);
  CHECK(h.marks->places[1].at.x.metres() == doctest::Approx(0.7));
}

TEST_CASE("a line of two corners keeps its clearance on both sides and beyond its ends, to a micrometre") {
  struct Row {
    std::string_view name;
    double x, y;
    bool is_in;
  };
  constexpr double kHairOff = 2e-6;
  const Row rows[] = {{"on it", 2, 0, true},
                      {"nearly at its clearance", 2, 0.05 - kHairOff, true},
                      {"at its clearance", 2, 0.05, false},
                      {"on the other side", 2, -0.05 + kHairOff, true},
                      {"beyond its end", 4.05 - kHairOff, 0, true},
                      {"beyond its end at its clearance", 4.05, 0, false},
                      {"before its start", -0.05, 0, false},
                      {"past a corner of the strip", 4.04, 0.04, false}};
  PlainOverhead o;
  o.zones(tendon("T", 0, 0, 4, 0, m(0.05)));
  const auto out = o.hung();
  REQUIRE(out.is_there());
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(zone_at(out.value->overhead, xy(row.x, row.y)).has_value() == row.is_in);
  }
}

TEST_CASE("a hanger on a line is bridged square across it") {
  PlainOverhead o;
  o.zones(tendon("T", 0, 0, 3, 4, m(0.05)));
  const Hung h = *o.hung({{"P1", 1.5, 2}}).value;
  REQUIRE(h.marks.size() == 3);
  for (const std::size_t s : {1U, 2U}) {
    const Vec<Drawing> off = h.marks->places[s] - h.marks->places[0];
    CHECK(norm(off).metres() == doctest::Approx(0.05).epsilon(1e-4));
    CHECK(off.by.x.metres() * 3 + off.by.y.metres() * 4 == doctest::Approx(0).epsilon(1e-4));
  }
}

TEST_CASE("a place is told by the first zone that holds it, never by an obstruction") {
  PlainOverhead o;
  o.obstructions(rectangle("D", 0, 0, 9, 9))
      .zones(all<StatedCorner>({rectangle("Z1", 0, 0, 1, 1), rectangle("Z2", 0.5, 0, 3, 1)}));
  const auto out = o.hung();
  CHECK(zone_at(out.value->overhead, xy(0.7, 0.5)) == 0U);
  CHECK(zone_at(out.value->overhead, xy(2, 0.5)) == 1U);
  CHECK_FALSE(zone_at(out.value->overhead, xy(5, 5)));
}

TEST_CASE("zones that are none are told at their corner") {
  struct Row {
    std::string_view name;
    std::vector<StatedCorner> corners;
    std::string problem;
  };
  auto other = tendon("T", 0, 0, 1, 0, m(0.1));
  other[1].clearance = m(0.2);
  const Row rows[] = {
      {"one corner",
       {{"T", xy(0, 0), {}, {}, m(0.1)}},
       "nodrill.csv:2:1: zone: found outline T with 1 corner, expected two of a line, three or more of an "
       "outline"},
      {"a line of no length", tendon("T", 1, 1, 1, 1.0009, m(0.1)),
       "nodrill.csv:3:1: zone: found line T of no length, expected two different places"},
      {"a line without a clearance", tendon("T", 0, 0, 1, 0, {}),
       "nodrill.csv:2:7: clearance: found line T without a clearance, expected how far to keep from it on "
       "either side, 1 mm or more"},
      {"a clearance that is no strip", tendon("T", 0, 0, 1, 0, m(0.0009)),
       "nodrill.csv:2:7: clearance: found line T without a clearance, expected how far to keep from it on "
       "either side, 1 mm or more"},
      {"two clearances", other,
       "nodrill.csv:3:7: clearance: found another clearance of T, expected one clearance for an outline"},
      {"an outline that crosses itself",
       {{"T", xy(0, 0), {}, {}, {}},
        {"T", xy(2, 2), {}, {}, {}},
        {"T", xy(2, 0), {}, {}, {}},
        {"T", xy(0, 2), {}, {}, {}}},
       "nodrill.csv:4:1: zone: found the edge from corner 3 of T, which crosses that from corner 1, expected "
       "an outline that does not cross itself; corners in order"}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    PlainOverhead o;
    o.zones(row.corners);
    CHECK(problems_of(o) == Strings{row.problem});
  }
}

TEST_CASE("the job's clearance serves a line too; a fellow that could not be read hides what a zone lacks") {
  PlainOverhead o;
  o.job.clearance = m(0.05);
  o.zones(tendon("T", 0, 0, 1, 0, {}));
  CHECK(problems_of(o).empty());
  CHECK(o.hung().value->overhead.zones.size() == 1);
  o.zones({{"T", xy(0, 0), {}, {}, {}}});
  o.job.refused_zones.names = {"T"};
  CHECK(problems_of(o).empty());
}
