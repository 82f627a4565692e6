#include "stages/read_points.h"

#include <doctest/doctest.h>

#include <cmath>

#include "unit/stages/plain_sights.h"

using namespace plain;

namespace {

const Point<Site> kC1 = at(130, 205), kC2 = at(96, 228), kC3 = at(74, 191), kFirst = at(100, 200),
                  kSecond = at(110, 230), kT1 = at(120, 240), kT2 = at(121, 243);

/// Two setups; T1 is sighted from both, T2 from the first alone.
struct Net {
  PlainSetups setups;
  SetupsStated view;
  Staged<NetFound> net;
  std::optional<Sighted> sighted;

  explicit Net(const Point<Site>& t1_from_second = kT1) : view(stated(setups, t1_from_second)) {
    net = find_net(view, {});
    REQUIRE(net.value);
    sighted.emplace(view, *net.value, NamedMarks{});
  }
  static SetupsStated stated(PlainSetups& s, const Point<Site>& t1) {
    const std::vector<PlainSight> c = {{"C1", kC1}, {"C2", kC2}, {"C3", kC3}};
    std::vector<PlainSight> first = c, second = c;
    first.insert(first.end(), {{"T1", kT1}, {"T2", kT2}});
    second.push_back({"T1", t1});
    s.control = {control("C1", kC1), control("C2", kC2), control("C3", kC3)};
    s.instrument.setups = {setup_at("S1", kFirst, first), setup_at("S2", kSecond, second, 70)};
    return s.view();
  }
  PointsSighted points() const { return {setups.instrument.setups, &*sighted}; }
};

FoundMark read(std::string name, std::string setup = "", std::uint32_t begin = 5) {
  return {std::move(name), std::nullopt, mm(0), mm(0), std::move(setup), begin};
}
FoundMark typed(std::string name, const Point<Site>& at, Length sd) {
  return {std::move(name), at, sd, sd, "", 5};
}
KeyedTie tie(std::vector<FoundMark> found) {
  return {found.front().name, m(0), m(0), mm(1), mm(1), mm(5), false, std::move(found)};
}
ReadTable ties_table() {
  return table_of("ties.csv", {{"mark", ColumnKind::name, true}, {"setup"}}, "mark,setup\nA,\nB,\nC,\n");
}
TiesPlaced placed(const Net& net, const std::vector<KeyedTie>& ties) {
  const ReadTable table = ties_table();
  Staged<TiesPlaced> r = place_ties(ties, table, net.points());
  REQUIRE(r.is_there());
  return std::move(*r.value);
}

}  // namespace

TEST_CASE("ties of one setup share its error: their joint covariance is that of the net") {
  const Net net;
  const TiesPlaced r = placed(net, {tie({read("T1")}), tie({read("T2")})});
  REQUIRE(r.covariance.rows == 4);
  REQUIRE(r.covariance.cols == 4);
  for (std::size_t i = 0; i < 4; ++i)
    for (std::size_t k = 0; k < 4; ++k) CHECK(r.covariance(i, k) == doctest::Approx(r.covariance(k, i)));
  // Both lie 3 m apart, 40 m from the instrument: its orientation turns them alike.
  CHECK(r.covariance(0, 2) > 0.2 * r.covariance(2, 2));
  for (std::size_t i = 0; i < 2; ++i) {
    CHECK(r.ties[i].tie.shot_sd_northing.metres() == doctest::Approx(std::sqrt(r.covariance(2 * i, 2 * i))));
    CHECK(r.ties[i].tie.shot_sd_easting.metres() ==
          doctest::Approx(std::sqrt(r.covariance(2 * i + 1, 2 * i + 1))));
    CHECK(r.ties[i].tie.sd_x.millimetres() == doctest::Approx(1));  // the building's alone
  }
  CHECK(distance(r.ties[1].tie.at, kT2).millimetres() < 0.01);
}

TEST_CASE("one setup's view of a tie is weaker than that of all, and where that setup sees it") {
  const Net net(at(120.006, 240));
  const TiesPlaced all = placed(net, {tie({read("T1")})}), one = placed(net, {tie({read("T1", "s1")})}),
                   two = placed(net, {tie({read("T1", "S2")})});
  CHECK(one.covariance(0, 0) + one.covariance(1, 1) > 1.2 * (all.covariance(0, 0) + all.covariance(1, 1)));
  const auto north = [](const TiesPlaced& r) { return r.ties[0].tie.at.at.northing.metres(); };
  CHECK(north(one) < north(all) - 0.001);
  CHECK(north(all) < north(two) - 0.001);
  CHECK(one.forms[0][0].size() == 1);  // it still moves with the net
}

TEST_CASE("a tie of two faces is their middle, with a quarter of their covariance and of what they share") {
  const Net net;
  const TiesPlaced apart = placed(net, {tie({read("T1")}), tie({read("T2")})}),
                   middle = placed(net, {tie({read("T1"), read("T2")})});
  const auto& c = apart.covariance;
  CHECK(middle.covariance(0, 0) == doctest::Approx((c(0, 0) + c(2, 2) + 2 * c(0, 2)) / 4));
  CHECK(middle.ties[0].tie.at.at.easting.metres() == doctest::Approx((240.0 + 243.0) / 2));
  const TiesPlaced mixed = placed(net, {tie({read("T1"), typed("F", kT2, mm(4))})});
  CHECK(mixed.covariance(0, 0) == doctest::Approx((c(0, 0) + 16e-6) / 4));
}

TEST_CASE("typed ties share nothing with the net, and without any that is read there is no covariance") {
  const Net net;
  const TiesPlaced mixed = placed(net, {tie({typed("A", kC1, mm(2))}), tie({read("T2")})});
  CHECK(mixed.covariance(0, 0) == doctest::Approx(4e-6));
  CHECK(mixed.covariance(0, 2) == 0);
  CHECK(mixed.covariance(1, 3) == 0);
  const TiesPlaced none = placed(net, {tie({typed("A", kC1, mm(2))})});
  CHECK(!none.any_read);
  CHECK(none.covariance.rows == 0);
  CHECK(none.ties[0].tie.shot_sd_northing.millimetres() == doctest::Approx(2));
}

TEST_CASE("a net that is spoiled as a whole spoils what is read from it without a word, and nothing typed") {
  const Net net;
  const ReadTable table = ties_table();
  const PointsSighted nothing{net.setups.instrument.setups};
  const auto spoiled = place_ties({tie({read("T1")})}, table, nothing);
  CHECK(spoiled.is_spoiled());
  CHECK(spoiled.value->by_setups);
  CHECK(spoiled.value->ties.size() == 1);
  CHECK(told(spoiled.told, Grade::problem).empty());
  CHECK(place_ties({tie({typed("A", kC1, mm(2))})}, table, nothing).is_there());
}
