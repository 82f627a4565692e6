#include "stages/moved_control.h"

#include <doctest/doctest.h>

#include <string>
#include <utility>
#include <vector>

#include "unit/stages/plain.h"
#include "unit/stages/plain_sights.h"

using namespace plain;

namespace {

using Strings = std::vector<std::string>;

/// Five points on lines 2 to 6 of `control.csv`, an issue made with them, and what else a test puts in.
struct World {
  std::vector<ControlPoint> points;
  ReadTable table;
  std::vector<IssuedControl> issued;
  Ledger ledger;
  BaselineJob checks;
  InstrumentJob instrument;
  std::vector<NamedTie> ties;
  bool states_ties = true;
  std::vector<std::string> only;
  PlainLaid laid = laid_of({{"H1", 1, 1, "R1"}, {"H2", 2, 1, "R1"}, {"H3", 3, 1, "R2"}});
  LengthUnit words = LengthUnit::metre;

  World() {
    instrument.options.angle_sd = Angle::degrees(5.0 / 3600);
    instrument.options.distance_sd = mm(2);
    std::string text = "point\n";
    for (int i = 1; i <= 5; ++i) {
      points.push_back(
          plain::control("CP" + std::to_string(i), at(100 + 10 * i * i, 200 + 7 * i), Elevation::metres(10)));
      text += points.back().name + "\n";
    }
    table = table_of("control.csv", {{"point", ColumnKind::name, true}}, text);
    for (const KeptControl& c : kept_control(points)) issued.push_back({1, c});
    IssuedRow one;
    one.issue = 1;
    ledger = Ledger({one}, {});
    ties.push_back(tie("T1", 0, 0, at(0, 0)));
    ties.push_back(tie("T2", 5, 0, at(0, 5)));
  }
  void move(std::size_t point, double north, double east, double up = 0) {
    ControlPoint& c = points[point];
    c.at = at(c.at.at.northing.metres() + north, c.at.at.easting.metres() + east);
    c.elevation = Elevation::metres(c.elevation->above_datum().metres() + up);
  }
  /// A setup from which targets are sighted, solved where it can be.
  void sight(const std::string& name, const Strings& targets) {
    std::vector<PlainSight> sights;
    for (const std::string& t : targets) {
      Point<Site> where = at(50, 50 + 3.0 * static_cast<double>(sights.size()));
      for (const ControlPoint& c : points)
        if (c.name == t) where = c.at;
      sights.push_back({t, where});
    }
    instrument.setups.push_back(setup_at(name, at(300, 150), sights));
  }
  Messages messages(bool with_setups = true) const {
    const SetupsStated stated{instrument, points, {"t1", "t2"}, mm(6), {}, LengthUnit::metre};
    const LaidOut view = laid.view();
    const Staged<Setups> found = set_up_all(stated, {&view, &laid.marks, true});
    REQUIRE_FALSE(found.is_spoiled());
    return look_at_moved_control(
        {points, table, issued, ledger, checks, instrument, ties, states_ties, only, words}, nullptr,
        with_setups ? &view : nullptr, with_setups ? found.get() : nullptr);
  }
  Strings doubts(bool with_setups = true) const { return told(messages(with_setups), Grade::doubt); }
};

}  // namespace

TEST_CASE("a point that moved is told at its row with all that it touches") {
  World w;
  w.sight("S1", {"CP1", "CP2", "CP3", "T1"});
  w.sight("S2", {"CP3", "CP4", "CP5", "T2"});
  CHECK(w.doubts().empty());
  w.move(1, 0.002, 0.002);  // 2.8 mm
  CHECK(w.doubts().empty());
  w.move(1, 0, -0.007);  // 2 mm north, 5 mm west
  CHECK(w.doubts() ==
        Strings{"control.csv:3:1: point: CP2 moved by N 2.0 mm, W 5.0 mm since issue 1; setup S1 sights it; "
                "3 marks "
                "are staked from there; tie T1 was measured with it: measure the ties again, or put the old "
                "control back"});
  w.move(1, -0.002, 0.005);
  w.move(2, 0, 0, -0.004);
  w.only = {"R1"};
  CHECK(w.doubts() ==
        Strings{"control.csv:4:1: point: CP3 moved by down 4.0 mm since issue 1; setups S1, S2 sight it; "
                "2 marks are staked from them; ties T1, T2 were measured with it: measure the ties "
                "again, or put the old control back"});
  // What is not known is left out.
  CHECK(w.doubts(false) ==
        Strings{"control.csv:4:1: point: CP3 moved by down 4.0 mm since issue 1; setups S1, S2 sight "
                "it; ties T1, T2 were measured with it: measure the ties again, or put the old "
                "control back"});
}

TEST_CASE("a point that an instrument stands on, or that is a tie itself; without ties") {
  World w;
  w.sight("S1", {"CP1", "CP2", "CP4"});
  w.instrument.setups[0].place = SetupPlace::known;
  w.instrument.setups[0].control = 4;
  w.ties.push_back(tie("cp5", 1, 1, at(1, 1)));
  w.move(4, 0.09, 0);
  CHECK(w.doubts(false) ==
        Strings{"control.csv:6:1: point: CP5 moved by N 90.0 mm since issue 1; setup S1 stands on it; tie "
                "cp5 was measured with it: measure the ties again, or put the old control back"});
  w.ties.clear();
  w.states_ties = false;
  w.instrument.setups.clear();
  w.words = LengthUnit::feet_inches;
  CHECK(w.doubts() ==
        Strings{"control.csv:6:1: point: CP5 moved by N 0'-3 9/16\" since issue 1: check a mark that stands "
                "from the control as it is now, or put the old control back"});
}

TEST_CASE("the whole control, or most of it, is one doubt; what moved otherwise is told beside it") {
  World w;
  w.sight("S1", {"CP1", "CP2", "CP3"});
  for (std::size_t p = 0; p < 5; ++p) w.move(p, 0.09, 0.012);
  CHECK(w.doubts() ==
        Strings{"control.csv: file: the whole control moved by N 90.0 mm, E 12.0 mm since issue 1 (CP1, CP2, "
                "CP3, CP4, CP5); setup S1 sights it; 3 marks are staked from there: measure the ties "
                "again, or put the old control back"});
  w.move(3, 0, -0.05);
  const Strings two = w.doubts();
  REQUIRE(two.size() == 2);
  CHECK(two[0].find(
            "file: most of the control moved by N 90.0 mm, E 12.0 mm since issue 1 (CP1, CP2, CP3, CP5);") !=
        std::string::npos);
  CHECK(two[1].find("control.csv:5:1: point: CP4 moved by N 90.0 mm, W 38.0 mm since issue 1: ") !=
        std::string::npos);
}

TEST_CASE("a signed fit keeps its control too, and a point is told once") {
  World w;
  w.checks.signed_fit.emplace();
  w.checks.signed_fit->on = "2026-11-25";
  w.checks.signed_fit->control = kept_control(w.points);
  CHECK(w.doubts().empty());
  w.move(0, 0.09, 0);
  const std::string cure = ": measure the ties again and sign a new fit, or put the old control back";
  const std::string place = "control.csv:2:1: point: CP1 moved by ";
  CHECK(w.doubts() == Strings{place + "N 90.0 mm since issue 1 and the fit signed on 2026-11-25" + cure});
  // The fit was signed with another place than the issue was made with.
  w.checks.signed_fit->control[0].at =
      KeptSite::of(at(w.points[0].at.at.northing.metres(), w.points[0].at.at.easting.metres() - 0.02));
  CHECK(w.doubts() ==
        Strings{place + "N 90.0 mm since issue 1, E 20.0 mm since the fit signed on 2026-11-25" + cure});
  w.issued.clear();
  CHECK(w.doubts() == Strings{place + "E 20.0 mm since the fit signed on 2026-11-25" + cure});
  w.checks.signed_fit->control.clear();  // an earlier version's
  CHECK(w.doubts().empty());
}
