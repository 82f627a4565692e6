#include "pages/setups.h"

#include <doctest/doctest.h>

#include "unit/stages/plain_sights.h"

using namespace plain;

namespace {

using Lines = std::vector<std::string>;
Lines texts(const SetupReasons& reasons) {
  Lines out;
  for (const Reason& r : reasons.outside) out.push_back(r.text);
  return out;
}
bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

const Point<Site> kStand = at(100, 200), kC1 = at(130, 205), kC2 = at(96, 228), kC3 = at(74, 191);

/// Setup S1 over control, S2 likewise, with numbered points sighted; marks A, B, C from the stand on.
struct Case {
  PlainHead head;
  PlainSetups setups;
  PlainLaid laid = laid_of({{"A", 10, 0, "R1"}, {"B", 20, 0, "R1"}, {"C", 300, 400, "R2"}});
  std::vector<StatedRun> runs;
  std::vector<std::string> only;
  Setups found;

  explicit Case(const std::vector<PlainSight>& more = {}, std::optional<Length> control_sd = mm(1)) {
    laid.put_deck(14);
    setups.control = {control("C1", kC1, std::nullopt, control_sd),
                      control("C2", kC2, std::nullopt, control_sd),
                      control("C3", kC3, std::nullopt, control_sd)};
    std::vector<PlainSight> sights{{"C1", kC1}, {"C2", kC2}, {"C3", kC3}};
    sights.insert(sights.end(), more.begin(), more.end());
    setups.instrument.setups.push_back(setup_at("S1", kStand, sights));
    setups.instrument.setups.push_back(setup_at("S2", at(110, 190), {{"C1", kC1}, {"C2", kC2}, {"C3", kC3}}));
    compute();
  }
  void compute() {
    const LaidOut view = laid.view();
    found = *set_up_all(setups.view(), {&view, nullptr}).value;
  }
  std::string part(bool with_marks = true) const {
    const LaidOut view = laid.view();
    return setups_part(setups.view(), found, with_marks ? &view : nullptr);
  }
  SetupReasons reasons() const {
    const LaidOut view = laid.view();
    return setup_reasons(setups.view(), found, &view);
  }
  template <class Use>
  auto with_words(Use use) const {
    const JobHead job = head.view();
    const SetupsStated stated = setups.view();
    const StakeInput stake{setups.instrument, setups.control, runs, only, setups.plan_tolerance};
    const LaidOut view = laid.view();
    return use(StakeWords{job, stated, found, stake, view});
  }
};

}  // namespace

TEST_CASE("setups in words: those that were computed, in their order, a blank line between them") {
  Case c({{"1001", at(100.002, 210)}});
  const std::string text = c.part();
  const auto first = text.find("S1"), second = text.find("S2");
  REQUIRE(first != std::string::npos);
  REQUIRE(second != std::string::npos);
  CHECK(first < second);
  CHECK(has(text, "1001"));
  CHECK_FALSE(has(text, "6001"));
  c.found.setups[0].reset();
  CHECK_FALSE(has(c.part(), "S1"));
  CHECK(text.size() > c.part().size() + 1);
  CHECK(text.ends_with("\n" + c.part()));
  c.found.setups[1].reset();
  CHECK(c.part() == "");
}

TEST_CASE("a sight to the deck is told by the deck number") {
  const Case c({{"6002", at(100.002, 220)}});
  CHECK(has(c.part(), "6002"));
  CHECK_FALSE(has(c.part(), "1002"));
}

TEST_CASE("the control point that a setup stands on is named") {
  Case c;
  c.setups.control.push_back(control("MARK9", kStand));
  StatedSetup& s = c.setups.instrument.setups[0];
  s.place = SetupPlace::known;
  s.control = 3;
  c.compute();
  CHECK(has(c.part(), "MARK9"));
}

TEST_CASE("what held control hides: of the setup that it hides the most of, at the farthest mark") {
  CHECK_FALSE(has(Case().part(), "1003"));
  Case c({}, std::nullopt);
  const std::string text = c.part();
  CHECK(has(text, "1003"));
  CHECK(has(text, "498.197 m"));  // N 390, E 310 from S2
  // 1.96 sd; seen over 498 m 16" are 38.6 mm and 13" are 31.4 mm, to which the place of the setup comes.
  CHECK(has(text, "would be good\n  to 16\" (95 %), not 13\""));
  CHECK(has(text, "to 38.5 mm, not\n  31.9 mm"));
  CHECK_FALSE(has(c.part(false), "1003"));  // where no mark has a place on site
  // The setup whose orientation would be known worst, wherever it stands among them.
  const auto turned = [&](std::size_t i) {
    const SetupResult& r = c.found.setups[i]->result;
    return r.covariance[2][2] + r.held->covariance[2][2];
  };
  REQUIRE(turned(1) > turned(0));
  const auto told_last = [&] {
    const std::string all = c.part();
    return all.substr(all.rfind("LOOK: control"));
  };
  CHECK(has(told_last(), "S2"));
  CHECK_FALSE(has(told_last(), "S1"));
  std::swap(c.setups.instrument.setups[0], c.setups.instrument.setups[1]);
  c.compute();
  CHECK(has(told_last(), "S2"));
}

TEST_CASE("reasons: control with its axes exchanged is one reason, however many setups see it") {
  Case c({{"6001", at(100.5, 210)}});
  Wrong axes;
  axes.kind = WrongKind::axes;
  for (auto& s : c.found.setups) s->result.wrong = {axes}, s->result.verdict = Verdict::outside;
  CHECK(
      texts(c.reasons()) ==
      Lines{"northing and easting of the control are exchanged: the other way round the sights of setups S1 "
            "and S2 agree; look at the header of the control table"});
}

TEST_CASE("reasons: of a setup that is wrong in plan no mark is told; a wrong height moves none") {
  Case c({{"6001", at(100.008, 210)}});
  Wrong named;
  named.kind = WrongKind::height;
  named.length = mm(50);
  c.found.setups[0]->result.wrong = {named};
  CHECK(c.reasons().outside.size() == 2);
  named.kind = WrongKind::target;
  c.found.setups[0]->result.wrong = {named};
  REQUIRE(c.reasons().outside.size() == 1);
  CHECK(texts(c.reasons())[0].starts_with("setup S1: what was sighted as C1"));
}

TEST_CASE("reasons: a numbered point that is off, a setup that nothing checks, a slip that is named") {
  const Case good({{"1001", at(100.005, 210)}});
  CHECK(good.reasons().outside.empty());
  CHECK(good.reasons().unsure.empty());

  Case off({{"6001", at(100.008, 210)}});
  CHECK(texts(off.reasons()) == Lines{"mark 6001 (A) is 8.0 mm off as seen from setup S1, permitted 6.0 mm"});

  off.found.setups[0]->checks[0].verdict = Verdict::unsure;
  CHECK(off.reasons().outside.empty());

  Case unsure;
  unsure.setups.instrument.setups[1] = setup_at("S2", at(110, 190), {{"C1", kC1}, {"C2", kC2, true, false}});
  unsure.compute();
  CHECK(unsure.reasons().unsure == Lines{"S2"});
  CHECK(unsure.reasons().outside.empty());

  Case wrong;
  SetupFound& f = *wrong.found.setups[0];
  f.result.verdict = Verdict::outside;
  f.result.rows[1].standardised = 3.5;
  f.result.rows[4].standardised = -4.25;  // a distance to C3 or C2: the largest without its sign
  Lines lines = texts(wrong.reasons());
  REQUIRE(lines.size() == 1);
  const std::string target =
      wrong.setups.instrument.setups[0].targets[f.reduction.sights[f.result.rows[4].sight].target];
  CHECK(lines[0] == "setup S1: a reading to " + target + " is off by 4.3 times its sd");
  f.result.wrong.emplace_back();
  f.result.wrong[0].kind = WrongKind::all_distances;
  f.result.wrong[0].length = mm(12);
  lines = texts(wrong.reasons());
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].starts_with("setup S1: "));
  CHECK(has(lines[0], "reflector constant"));
}

TEST_CASE("a stake list in words and on sheets: title, numbers, what takes the place of a drop") {
  Case c;
  c.laid.marks.bridged = {0, 1, 0};
  c.laid.overhead.trapezes = {{1, {0, std::nullopt, m(0), m(0), false}, 7U, 8U}};
  const std::string text = c.with_words([](const StakeWords& w) { return stake_part(w, 0); });
  for (const char* part : {"S1", "C1", "1001", "1002", "6001", "6003"}) CHECK_MESSAGE(has(text, part), part);
  CHECK_FALSE(has(text, "6002"));  // it is bridged
  const std::string sheets = c.with_words([](const StakeWords& w) {
    return stake_sheets_of(w, 0, stake_list(w.stake, *w.found.setups[0], w.laid), "DO NOT LAY OUT: why", 3);
  });
  for (const char* part : {"Hall", "B", "DO NOT LAY OUT: why", "trapeze -a -b", "1002"})
    CHECK_MESSAGE(has(sheets, part), part);
  c.only = {"R2"};
  CHECK_FALSE(has(c.with_words([](const StakeWords& w) { return stake_part(w, 1); }), "1001"));
}

TEST_CASE("a stake list tells its way, the other one, and the limits of its notes") {
  Case c;
  c.laid =
      laid_of({{"A1", 10, 0, "A"}, {"A2", 20, 0, "A"}, {"B1", 10, 5, "B"}, {"REF", 5, 0, "", "reference"}});
  c.laid.put_deck(14);
  for (ControlPoint& p : c.setups.control) p.elevation = Elevation::metres(0);
  c.setups.plan_tolerance = mm(4);
  c.setups.instrument.options.steep = Angle::degrees(40);
  c.compute();
  // Floor 5 + 5 + 10 + 11.180, deck 0 + 5 + 10 by run; 5 + 5 + 5 + 11.180 and 0 + 10 + 5 is shorter.
  const auto text = [&] { return c.with_words([](const StakeWords& w) { return stake_part(w, 0); }); };
  CHECK(has(text(), "run by run: 46.180 m\n    the shortest walk found is 41.180 m"));
  CHECK(has(text(), "FLOOR, run A"));
  CHECK(has(text(), "rises or falls more than 40 degrees"));  // 14 m over 10 m
  CHECK(has(text(), "may come out more than 4.0 mm off"));
  c.setups.instrument.order = StakeOrder::walk;
  CHECK(has(text(), "the shortest walk found: 41.180 m\n    run by run it would be 46.180 m"));
  CHECK_FALSE(has(text(), "FLOOR, run A"));
}

TEST_CASE("a stake list tells above the floor marks of a pair where its members hang, not above the deck's") {
  Case c;
  c.laid = laid_of({{"A1", 10, 0, "A"}, {"A2", 20, 0, "A"}, {"B1", 10, 5, "B"}});
  c.laid.put_deck(14);
  const Path path = *Path::line(xy(10, 0), xy(20, 0));
  c.laid.overhead.runs = {
      {path, {path.length(), false, m(10), m(0), {}, {}, {}}, {}, {{0, m(0)}, {1, m(10)}}, false}};
  c.laid.overhead.members.members = {{0, MemberSide::left, m(0.1), m(0), m(10)},
                                     {0, MemberSide::right, m(-0.1), m(0), m(10)}};
  for (ControlPoint& p : c.setups.control) p.elevation = Elevation::metres(0);
  c.compute();
  const std::string text = c.with_words([](const StakeWords& w) { return stake_part(w, 0); });
  CHECK(has(text, "\nFLOOR, run A: two members, 0.100 left and right\n"));
  CHECK(has(text, "\nFLOOR, run B\n"));
  CHECK(has(text, "\nDECK, run A\n"));
}

TEST_CASE(
    "the head of a setup has its own verdict, not that of its checks, and each check says what of it "
    "counts") {
  const std::string text = Case({{"1001", at(100.009, 210)},
                                 {"1002", at(100, 220), true, false},
                                 {"6001", at(100, 210), false, true}})
                               .part();
  CHECK(has(text, "SETUP S1, free station: within"));  // a bad mark is no fault of the setup
  CHECK(has(text, "permitted 6.0 mm in plan"));
  const auto line_of = [&](std::string_view number) {
    const std::size_t from = text.find(number);
    return text.substr(from, text.find('\n', from) - from);
  };
  CHECK_FALSE(has(line_of("1001"), "alone"));
  CHECK(has(line_of("1002"), "across the sight alone"));
  CHECK(has(line_of("6001"), "along the sight alone"));
}

TEST_CASE("a plan in words: the control that it sights, and the marks") {
  Case c;
  StatedSetup p;
  p.name = "P9";
  p.own = ControlMark{kStand, std::nullopt, std::nullopt};
  p.place = SetupPlace::own;
  p.plan = {1, 2};
  p.states_plan = true;
  p.rounds = 3;
  c.setups.instrument.setups.push_back(p);
  c.compute();
  const std::string text = c.with_words([](const StakeWords& w) { return plan_part(w, 2); });
  for (const char* part : {"P9", "C2", "C3", "1001", "6003"}) CHECK_MESSAGE(has(text, part), part);
  CHECK_FALSE(has(text, "C1"));
}
