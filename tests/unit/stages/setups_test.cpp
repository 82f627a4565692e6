#include "stages/setups.h"

#include <doctest/doctest.h>

#include "unit/stages/plain_sights.h"

using namespace plain;

namespace {

using Lines = std::vector<std::string>;

// Control around N 100 E 200, which is the drawing's origin.
const Point<Site> kStand = at(100, 200), kC1 = at(130, 205), kC2 = at(96, 228), kC3 = at(74, 191);
const std::vector<PlainSight> kControlSights{{"C1", kC1}, {"C2", kC2}, {"C3", kC3}};

std::vector<PlainSight> with_control(const std::vector<PlainSight>& more) {
  std::vector<PlainSight> out = kControlSights;
  out.insert(out.end(), more.begin(), more.end());
  return out;
}

struct Case {
  PlainSetups setups;
  Case() { setups.control = {control("C1", kC1), control("C2", kC2), control("C3", kC3)}; }
  void add(StatedSetup s) { setups.instrument.setups.push_back(std::move(s)); }
  Staged<Setups> run(const LaidOut* laid = nullptr, const JobMarks* drawn = nullptr) const {
    Staged<Setups> out = set_up_all(setups.view(), {laid, drawn});
    // What is told of each setup is kept apart; these tests read it together.
    for (std::size_t i = 0; out.value && i < out.value->told.size(); ++i)
      for (Messages* of : {&out.value->told[i].place, &out.value->told[i].readings, &out.value->told[i].plan})
        out.told.merge(std::move(*of));
    return out;
  }
};

/// Told lines that hold a text.
Lines with(const Lines& lines, std::string_view text) {
  Lines out;
  for (const std::string& line : lines)
    if (line.find(text) != std::string::npos) out.push_back(line);
  return out;
}
Lines doubts(const Staged<Setups>& r, std::string_view text = "") {
  return with(told(r.told, Grade::doubt), text);
}

}  // namespace

TEST_CASE("no setups, nothing found") { CHECK(Case().run().came == Came::absent); }

TEST_CASE("a free setup stands where its sights say, and nothing is told of it") {
  Case c;
  c.add(setup_at("S1", kStand, kControlSights, 30));
  const auto r = c.run();
  REQUIRE(r.is_there());
  REQUIRE(r.value->any_computed());
  const SetupFound& f = *r.value->setups[0];
  CHECK(f.result.at.at.northing.metres() == doctest::Approx(100));
  CHECK(f.result.at.at.easting.metres() == doctest::Approx(200));
  CHECK(f.result.orientation->degrees() == doctest::Approx(30));
  CHECK(f.verdict == Verdict::within);
  CHECK(f.rows.size() == 6);
  CHECK_FALSE(r.value->plans[0].has_value());
  CHECK(doubts(r).empty());
}

TEST_CASE("a target is control, a numbered point of floor or deck, or a side shot") {
  Case c;
  PlainLaid laid = laid_of({{"A", 10, 0}, {"B", 0, 20}, {"C2", 5, 5}, {"6001", 7, 7}});
  laid.numbers.issue.numbers = {1001, 1002, 1003, 1004};
  laid.put_deck(14);
  c.add(setup_at(
      "S1", kStand,
      with_control(
          {{"a", at(100, 210)}, {"1002", at(120, 200)}, {"6002", at(120, 200)}, {"X", at(111, 222)}})));
  const LaidOut view = laid.view();
  const auto r = c.run(&view);
  REQUIRE(r.is_there());
  const auto& t = r.value->setups[0]->targets;
  const std::vector<std::pair<TargetRole, std::uint32_t>> expected{
      {TargetRole::control, 0}, {TargetRole::control, 1}, {TargetRole::control, 2}, {TargetRole::floor, 0},
      {TargetRole::floor, 1},   {TargetRole::deck, 1},    {TargetRole::side, 0}};
  REQUIRE(t.size() == expected.size());
  for (std::size_t i = 0; i < t.size(); ++i) {
    CHECK(t[i].role == expected[i].first);
    CHECK(t[i].index == expected[i].second);
  }
  CHECK(doubts(r) ==
        Lines{"S1.csv: target: setup S1: neither control nor a numbered point, so a side shot: X; check the "
              "names",
              "S1.csv:4:1: target: \"C2\" is a control point and a point of the list too; it is taken for "
              "the control point"});
}

TEST_CASE("a name that is the number of the same point on the deck means its floor mark") {
  Case c;
  PlainLaid laid = laid_of({{"6001", 10, 0}});
  laid.put_deck(14);
  c.add(setup_at("S1", kStand, with_control({{"6001", at(100, 210)}})));
  const LaidOut view = laid.view();
  CHECK(c.run(&view).value->setups[0]->targets[3].role == TargetRole::floor);
}

TEST_CASE("a target of two meanings spoils its setup, and the others are still judged") {
  Case c;
  PlainLaid laid = laid_of({{"A", 10, 0}, {"1001", 0, 20}});
  c.add(setup_at("S1", kStand, with_control({{"1001", at(120, 200)}, {"X", at(111, 222)}})));
  c.add(setup_at("S2", kStand, {{"C1", kC1}}));
  c.add(setup_at("S3", kStand, with_control({{"Y", at(111, 222)}})));
  const LaidOut view = laid.view();
  const auto r = c.run(&view);
  CHECK(r.is_there());  // the setups that are sound can be used
  CHECK_FALSE(r.value->setups[0].has_value());
  CHECK_FALSE(r.value->setups[1].has_value());
  REQUIRE(r.value->setups[2].has_value());
  CHECK(r.value->setups[2]->shots.size() == 1);
  const Lines problems = told(r.told, Grade::problem);
  REQUIRE(problems.size() == 2);
  CHECK(problems[0] ==
        "S1.csv:8:1: target: found \"1001\", the name of one point and the number of \"A\", expected a text "
        "with one meaning; try 1002 for the one, A for the other");
  CHECK(problems[1].starts_with("S2.csv: file: found "));
  CHECK(problems[1].ends_with("; try names of the control table: C1, C2, C3"));
  CHECK(problems[1].find("no control:") == std::string::npos);  // all that it sighted is control
  CHECK(doubts(r) == Lines{"S3.csv: target: setup S3: neither control nor a numbered point, so a side shot: "
                           "Y; check the names"});
}

TEST_CASE("a setup with too few sights names what is no control") {
  Case c;
  c.add(setup_at("S1", kStand, {{"C1", kC1}, {"X", kC2}, {"Y", kC3}}));
  const Lines problems = told(c.run().told, Grade::problem);
  REQUIRE(problems.size() == 1);
  CHECK(problems[0].find(" (no control: X, Y), expected") != std::string::npos);
}

TEST_CASE("numbered points that are sighted are checked against the tolerance in plan") {
  Case c;
  c.setups.floor = Elevation::metres(2);
  PlainLaid laid = laid_of({{"A", 10, 0}, {"B", 0, 20}});
  laid.put_deck(14);
  // A is 5 mm off, B 7 mm on the deck; both to the north.
  c.add(setup_at("S1", kStand,
                 {{"1001", at(100.005, 210)},
                  kControlSights[0],
                  kControlSights[1],
                  kControlSights[2],
                  {"6002", at(120.007, 200)}}));
  const LaidOut view = laid.view();
  const auto r = c.run(&view);
  REQUIRE(r.is_there());
  const SetupFound& f = *r.value->setups[0];
  REQUIRE(f.checks.size() == 2);
  CHECK(f.checks[0].sight == 0);
  CHECK(f.checks[0].miss.millimetres() == doctest::Approx(5).epsilon(0.01));
  CHECK(f.checks[0].verdict == Verdict::within);
  CHECK(f.checks[1].sight == 4);
  CHECK(f.checks[1].miss.millimetres() == doctest::Approx(7).epsilon(0.01));
  CHECK(f.checks[1].verdict == Verdict::outside);
  CHECK(f.result.verdict == Verdict::within);
  CHECK(f.verdict == Verdict::within);
  CHECK(f.shots.empty());
  CHECK(std::is_sorted(f.rows.begin(), f.rows.end(),
                       [](const SightRow& a, const SightRow& b) { return a.sight < b.sight; }));
  CHECK(f.rows.front().sight == 0);
  c.setups.plan_tolerance = mm(7.1);
  CHECK(c.run(&view).value->setups[0]->checks[1].verdict == Verdict::within);
}

TEST_CASE("heights of numbered points: the floor as stated, the deck where a deck number was sighted") {
  Case c;
  for (ControlPoint& p : c.setups.control) p.elevation = Elevation::metres(10);
  PlainLaid laid = laid_of({{"A", 10, 0}});
  laid.put_deck(14);
  c.add(setup_at("S1", kStand, with_control({{"A", at(100, 210)}, {"6001", at(100, 210)}})));
  c.setups.instrument.setups[0].height = m(0);
  const LaidOut view = laid.view();
  const auto heights = [&] {
    std::vector<double> out;
    const SetupFound f = c.run(&view).value->setups[0].value();
    for (const SightRow& r : f.rows)
      if (r.quantity == Quantity::height && r.sight > 2) out.push_back(r.length_residual.metres());
    return out;
  };
  // All sights are level: the axis is at 10 m, so the floor stands 10 - 9, the deck 10 - 14 off.
  c.setups.floor = Elevation::metres(9);
  REQUIRE(heights().size() == 2);
  CHECK(heights()[0] == doctest::Approx(1).epsilon(0.001));
  CHECK(heights()[1] == doctest::Approx(-4).epsilon(0.001));
  c.setups.floor = std::nullopt;
  CHECK(heights().size() == 1);
}

TEST_CASE("side shots: their places, and names that may be slips") {
  Case c;
  c.setups.control.push_back(control("CP-01", at(300, 300)));
  c.setups.used = {"t1"};
  c.add(setup_at("S1", kStand,
                 with_control({{"T1", at(112, 209)},
                               {"cp1", at(105, 230)},
                               {"Q", at(96.002, 228)},
                               {"U1", at(90, 190)},
                               {"U2", at(91, 190)}})));
  const auto r = c.run();
  const SetupFound& f = *r.value->setups[0];
  REQUIRE(f.shots.size() == 5);
  CHECK(f.shots[0].sight == 3);
  CHECK(f.shots[0].at.at.northing.metres() == doctest::Approx(112));
  CHECK(f.shots[0].at.at.easting.metres() == doctest::Approx(209));
  CHECK(doubts(r) ==
        Lines{"S1.csv: target: setup S1: neither control nor a numbered point, so side shots: U1, U2; check "
              "the names",
              "S1.csv:10:1: target: \"cp1\" is taken for a side shot; was control point CP-01 meant?",
              "S1.csv:12:1: target: \"Q\" is taken for a side shot, but it lies where control point C2 does: "
              "is the name mistyped?"});
}

TEST_CASE("names that a hand may type one for the other") {
  const auto is_told = [](const std::string& name, const std::string& typed) {
    Case c;
    c.setups.control.push_back(control(name, at(300, 300)));
    c.add(setup_at("S1", kStand, with_control({{typed, at(112, 209)}})));
    return doubts(c.run(), "was control point").size() == 1;
  };
  CHECK(is_told("CP-1", "cp 01"));
  CHECK(is_told("P10", "p.1O"));
  CHECK(is_told("L7", "I7"));
  CHECK(is_told("A_2", "a2"));
  CHECK(is_told("B05", "b5"));
  CHECK_FALSE(is_told("P10", "P1"));
  CHECK_FALSE(is_told("A2", "B2"));
  CHECK_FALSE(is_told("A12", "A102"));
}

TEST_CASE("where the drawing has no place on site, its points are side shots, with a notice") {
  Case c;
  const JobMarks drawn = marks_of({{"A", 10, 0}, {"B", 0, 20}});
  c.add(setup_at("S1", kStand, with_control({{"a", at(100, 210)}, {"1001", at(101, 210)}})));
  const auto r = c.run(nullptr, &drawn);
  CHECK(r.value->setups[0]->shots.size() == 2);
  CHECK(with(told(r.told, Grade::notice), "side shots to") ==
        Lines{"S1.csv: target: setup S1: side shots to points of the drawing, whose place on site nothing "
              "says yet: a; with their drawing X or Y they can be ties"});
  CHECK(doubts(r) == Lines{"S1.csv: target: setup S1: neither control nor a numbered point, so a side shot: "
                           "1001; check the names"});
}

TEST_CASE("what is missing at a sight is told: orientation, circle, distance") {
  Case c;
  c.setups.used = {"n", "d", "s"};
  c.add(setup_at("S1", kStand,
                 with_control({{"N", at(112, 209), false, true}, {"D", at(112, 190), true, false}})));
  StatedSetup own = setup_at("S2", at(90, 190), {{"S", at(80, 180)}});
  own.place = SetupPlace::own;
  own.own = ControlMark{at(90, 190), std::nullopt, mm(1)};
  c.add(own);
  const auto r = c.run();
  CHECK(r.value->setups[0]->shots.empty());
  CHECK(doubts(r, "setup S1") ==
        Lines{"S1.csv: circle: setup S1: no coordinates without a circle reading: N",
              "S1.csv: slope: setup S1: no coordinates without a distance, or a second setup that sights it: "
              "D"});
  CHECK(doubts(r, "setup S2: nothing") ==
        Lines{"S2.csv: circle: setup S2: nothing tells its orientation, so these get no coordinates and no "
              "check: S"});
}

TEST_CASE("a numbered point that is sighted without an orientation is no check") {
  Case c;
  PlainLaid laid = laid_of({{"A", 10, 0}});
  StatedSetup own = setup_at("S1", at(90, 190), {{"1001", at(101, 210)}});
  own.place = SetupPlace::own;
  own.own = ControlMark{at(90, 190), std::nullopt, mm(1)};
  c.add(own);
  const LaidOut view = laid.view();
  const auto r = c.run(&view);
  REQUIRE(r.is_there());
  CHECK(r.value->setups[0]->checks.empty());
  CHECK(r.value->setups[0]->rows.empty());
  CHECK(doubts(r, "nothing tells its orientation").size() == 1);
}

TEST_CASE("a point that two setups sight with distances is one side shot of each") {
  Case c;
  c.add(setup_at("S1", kStand, with_control({{"X", at(140, 240)}})));
  c.add(setup_at("S2", at(100, 260), with_control({{"X", at(140, 240)}})));
  const auto r = c.run();
  CHECK(r.value->setups[0]->shots.size() == 1);
  CHECK(r.value->setups[1]->shots.size() == 1);
}

TEST_CASE("a point sighted by direction alone lies where two setups cross") {
  Case c;
  c.setups.used = {"d"};
  c.add(setup_at("S1", kStand, with_control({{"D", at(140, 240), true, false}})));
  c.add(setup_at("S2", at(100, 260), with_control({{"d", at(140, 240), true, false}}), 77));
  const auto r = c.run();
  REQUIRE(r.value->setups[0]->shots.size() == 1);
  CHECK(r.value->setups[0]->shots[0].at.at.northing.metres() == doctest::Approx(140));
  CHECK(r.value->setups[0]->shots[0].at.at.easting.metres() == doctest::Approx(240));
  CHECK(r.value->setups[1]->shots.empty());
  CHECK(doubts(r, "S1.csv").empty());
}

TEST_CASE("a setup that is refused says nothing of a point that another sights by direction alone") {
  Case c;
  c.setups.used = {"d", "e"};
  c.add(setup_at("S1", kStand,
                 with_control({{"D", at(140, 240), true, false}, {"E", at(90, 240), true, false}})));
  c.add(setup_at("S2", at(100, 260), {{"C1", kC1}, {"d", at(140, 240), true, false}}));
  const auto r = c.run();
  CHECK(r.is_there());  // the setups that are sound can be used
  CHECK(doubts(r) == Lines{"S1.csv: slope: setup S1: no coordinates without a distance, or a second setup "
                           "that sights it: E"});
}

TEST_CASE("one name that two setups see at two places") {
  const auto apart = [](double by, Length tolerance) {
    Case c;
    c.setups.plan_tolerance = tolerance;
    c.setups.used = {"x"};
    c.add(setup_at("S1", kStand, with_control({{"X", at(112, 209)}})));
    c.add(setup_at("S2", at(110, 190), with_control({{"x", at(112 + by, 209)}})));
    return doubts(c.run(), "apart");
  };
  CHECK(apart(0.050, mm(6)) ==
        Lines{"S2.csv:8:1: target: \"x\" lies 50.0 mm apart as seen from setups S1 and S2: one name for two "
              "points, or a setup that is off"});
  CHECK(apart(0.050, mm(51)).empty());  // within the tolerance in plan
  CHECK(apart(0.004, mm(1)).empty());   // no more than sds of some 3 mm from either explain
  CHECK(apart(0.020, mm(1)).size() == 1);
}

TEST_CASE("readings in one face alone are told, and faces that disagree") {
  Case c;
  auto sights = kControlSights;
  sights[1].both_faces = false;
  c.add(setup_at("S1", kStand, sights));
  const Lines one = doubts(c.run());
  REQUIRE(one.size() == 1);
  CHECK(one[0].starts_with("S1.csv: observations: "));
  CHECK(one[0].find("C2") != std::string::npos);
  CHECK(one[0].find("C1") == std::string::npos);

  Case d;
  d.add(setup_at("S1", kStand, with_control({{"C4", at(110, 180)}, {"C5", at(120, 190)}})));
  for (Reading& r : d.setups.instrument.setups[0].readings)
    if (r.target == 2 && r.face == 2) r.circle = CircleReading::degrees(r.circle->degrees() + 0.2);
  d.setups.control.push_back(control("C4", at(110, 180)));
  d.setups.control.push_back(control("C5", at(120, 190)));
  const Lines faces = doubts(d.run(), "disagree at C3,");
  REQUIRE(faces.size() == 1);
  CHECK(faces[0].starts_with("S1.csv:6:1: circle: setup S1: "));
}

TEST_CASE("a setup over its mark without an instrument height is told") {
  Case c;
  c.setups.control.push_back(control("M", kStand, Elevation::metres(10)));
  StatedSetup s = setup_at("S1", kStand, kControlSights);
  s.place = SetupPlace::known;
  s.control = 3;
  c.add(s);
  CHECK(doubts(c.run(), "height") ==
        Lines{"job.toml: setup.height: setup S1 states no instrument height: 0 is taken, so heights are "
              "wrong by it"});
  c.setups.instrument.setups[0].has_height = true;
  CHECK(doubts(c.run(), "setup.height").empty());
  c.setups.instrument.setups[0].has_height = false;
  for (Reading& r : c.setups.instrument.setups[0].readings) r.zenith = std::nullopt;
  CHECK(doubts(c.run(), "setup.height").empty());
  c.setups.instrument.setups[0] = setup_at("S1", kStand, kControlSights);
  CHECK(doubts(c.run(), "setup.height").empty());
}

TEST_CASE("a setup a kilometre from every mark is told, with the nearest") {
  const auto far = [](double north) {
    Case c;
    c.add(setup_at("S1", kStand, kControlSights, 30));
    PlainLaid laid = laid_of({{"A", 0, north + 5}, {"B", 0, north}});
    const LaidOut view = laid.view();
    return doubts(c.run(&view), "km");
  };
  CHECK(far(1000).empty());
  REQUIRE(far(1001).size() == 1);
  CHECK(far(1001)[0].find("setup S1 stands 1001.0000 m from the nearest mark, B, farther than 1 km (common "
                          "practice, no source): are ties and control in one unit") != std::string::npos);
}

TEST_CASE("what is wrong with a setup is told once, and another setup speaks for the mark") {
  // C1 stands 40 mm to the east of its coordinates; both setups see it there.
  Case c;
  const Point<Site> c1 = at(130, 205.040), c4 = at(112, 170), c5 = at(70, 220);
  c.setups.control.push_back(control("C4", c4));
  c.setups.control.push_back(control("C5", c5));
  c.add(setup_at("S1", kStand, {{"C1", c1}, {"C2", kC2}, {"C3", kC3}, {"C4", c4}, {"C5", c5}}));
  c.add(setup_at("S2", at(110, 190), {{"C2", kC2}, {"C1", c1}, {"C3", kC3}, {"C4", c4}, {"C5", c5}}));
  const auto r = c.run();
  REQUIRE(r.is_there());
  for (const auto& s : r.value->setups) {
    REQUIRE(s->result.wrong.size() >= 1);
    CHECK(s->verdict == Verdict::outside);
  }
  CHECK(r.value->setups[0]->result.wrong[0].sight == 0);
  for (const auto& s : r.value->setups) {
    CHECK(s->result.wrong[0].kind == WrongKind::moved);
    CHECK(s->result.wrong[0].seen_by == std::vector<std::size_t>{0, 1});
  }
  CHECK(r.value->setups[1]->result.wrong[0].sight == 1);
  bool misfit = false;
  for (const SetupFact& f : r.value->setups[0]->result.facts) misfit |= f.kind == SetupFactKind::misfit_high;
  CHECK(misfit);             // it is known,
  CHECK(doubts(r).empty());  // but what is wrong is told with the setup, not here
}

TEST_CASE("a fact of a setup is a doubt; one that fits too well is a notice") {
  Case c;  // three readings for three unknowns
  c.add(setup_at("S1", kStand, {{"C1", kC1, true, true}, {"C2", kC2, true, false}}));
  CHECK(doubts(c.run(), "S1.csv: setup: ") ==
        Lines{"S1.csv: setup: setup S1: nothing checks it; sight one more control point",
              "S1.csv: setup: setup S1: its place is good to 7.2 mm only (95 %), more than the tolerance in "
              "plan"});
  c.setups.plan_tolerance = mm(8);
  CHECK(doubts(c.run(), "S1.csv: setup: ").size() == 1);
  Case d;
  std::vector<PlainSight> many;
  for (int i = 0; i < 12; ++i) {
    const Point<Site> p = at(100 + 30 * std::cos(i * 0.5), 200 + 30 * std::sin(i * 0.5));
    d.setups.control.push_back(control("K" + std::to_string(i), p));
    many.push_back({"K" + std::to_string(i), p});
  }
  d.add(setup_at("S1", kStand, many));
  CHECK(with(told(d.run().told, Grade::notice), "S1.csv: setup: ").size() == 1);
  CHECK(doubts(d.run()).empty());
}

TEST_CASE("a plan: what a setup would be good to, from control that is named") {
  Case c;
  StatedSetup s;
  s.name = "P1";
  s.own = ControlMark{kStand, Elevation::metres(10), std::nullopt};
  s.place = SetupPlace::own;
  s.height = m(1.5);
  s.plan = {0, 1};
  s.states_plan = true;
  s.where = Where::whole("job.toml");
  c.add(s);
  const auto r = c.run();
  REQUIRE(r.is_there());
  CHECK_FALSE(r.value->setups[0].has_value());
  CHECK_FALSE(r.value->any_computed());
  REQUIRE(r.value->plans[0].has_value());
  const SetupResult& plan = r.value->plans[0]->setup;
  CHECK(plan.at.at.northing == kStand.at.northing);
  CHECK(plan.axis()->above_datum().metres() == doctest::Approx(11.5));
  CHECK(r.value->plans[0]->planned.degrees_of_freedom == 1);

  // Nine rounds make the directions three times better; the distances are as good as before.
  c.setups.instrument.setups[0].rounds = 9;
  CHECK(c.run().value->plans[0]->setup.covariance[2][2] < plan.covariance[2][2]);
  // Control with an sd of its own leaves more open.
  for (ControlPoint& p : c.setups.control) p.sd = mm(5);
  CHECK(c.run().value->plans[0]->setup.covariance[0][0] > plan.covariance[0][0] + 1e-6);
}

TEST_CASE("a plan on a control mark holds the mark, by the sd that it states") {
  Case c;
  StatedSetup s;
  s.name = "P1";
  s.place = SetupPlace::known;
  s.control = 0;
  s.plan = {1};
  s.states_plan = true;
  c.add(s);
  const auto open = [&] { return c.run().value->plans[0]->setup.covariance[0][0]; };
  const double fixed = open();  // centring alone, 1 mm
  CHECK(fixed < 1.001e-6);
  c.setups.control[0].sd = mm(3);
  CHECK(open() > 2 * fixed);
}

TEST_CASE("a plan that leaves something open is a problem, and the other setups are judged") {
  Case c;
  StatedSetup free;
  free.name = "P1";
  free.own = ControlMark{kStand, std::nullopt, std::nullopt};
  free.plan = {0};
  free.states_plan = true;
  free.where = Where::whole("job.toml");
  c.add(free);
  c.add(setup_at("S3", kStand, with_control({{"X", at(111, 222)}})));
  const auto r = c.run();
  CHECK(r.is_there());  // the setups that are sound can be used
  CHECK(told(r.told, Grade::problem) ==
        Lines{"job.toml: setup.plan: found a plan of setup \"P1\" that leaves its place or orientation open, "
              "expected two control points or more, at different places"});
  CHECK_FALSE(r.value->plans[0].has_value());
  CHECK(doubts(r, "setup S3").size() == 1);
}
