#include "pages/baselines.h"

#include <doctest/doctest.h>

#include "pages/parts.h"
#include "unit/stages/plain.h"

using namespace plain;

namespace {

/// A page of marks P1 and P2, P2 farther from the crossing, with what the tests put beside.
struct Sheet {
  PlainHead head{};
  PlainBaselines baselines{};
  JobMarks marks = marks_of({{"P1", 1, 2}, {"P2", -3, 4}, {"P3", 4, -2.9}, {"P4", 3, -4}});
  SitePlace by = SitePlace::by_fit;
  std::optional<Placed> placed{};
  std::optional<Checked> checked{};

  void place() { placed = Placed{by, {}, {}, shifted_fit(), {}, {}, {}}; }
  BaselinePage page() const {
    return baseline_page(head.view(), baselines.view(), by, marks, placed ? &*placed : nullptr,
                         checked ? &*checked : nullptr);
  }
};

TieRow row_of(std::size_t t, TieAxis axis, Verdict verdict = Verdict::within) {
  return {t, axis, m(4), m(3.998), mm(2), 2, 0.5, mm(2), mm(6), mm(1), verdict};
}

/// Two ties, three rows; y of T2 is checked by nothing.
void put_fit(Sheet& s) {
  s.baselines.ties = {tie("T1", 0, 0, at(100, 200)), tie("T2", 4, 0, at(100, 204))};
  s.place();
  BaselineResult fit;
  fit.status = FitStatus::solved;
  fit.options.hold = Hold::y;
  fit.options.scale_free = true;
  fit.fit = shifted_fit();
  fit.rows = {row_of(0, TieAxis::x), row_of(1, TieAxis::x, Verdict::outside),
              row_of(1, TieAxis::y, Verdict::unsure)};
  fit.degrees_of_freedom = 3;
  fit.variance_factor = 1.5;
  s.placed->baseline = fit;
}

SquarenessResult square() {
  SquarenessResult s;
  s.included = Angle::degrees(90.01);
  s.deviation_over = mm(2.5);
  s.sd_over = mm(2);
  s.limit.permitted = mm(4);
  s.limit.iso = mm(9);
  s.limit.job = mm(4);
  s.limit.source = LimitSource::job_tolerance;
  s.verdict = Verdict::outside;
  s.worst = 2;
  return s;
}

}  // namespace

TEST_CASE("without ties the page says how the drawing is placed, and has no fit") {
  Sheet s;
  for (const auto& [by, want] : {std::pair{SitePlace::as_stated, WithoutTies::as_stated},
                                 {SitePlace::unknown, WithoutTies::unknown},
                                 {SitePlace::as_drawn, WithoutTies::as_drawn}}) {
    s.by = by;
    s.place();
    const BaselinePage page = s.page();
    CHECK(page.without_ties == want);
    CHECK(page.fit == nullptr);
    CHECK_FALSE(page.assurance.has_value());
    CHECK(page.lines.empty());
    CHECK(page.square == nullptr);
  }
  s.placed.reset();
  const BaselinePage page = s.page();
  CHECK(page.title == "Hall");
  CHECK(page.revision == "B");
  CHECK(page.north == "site north");
  CHECK(page.farthest == "P2");  // 5 m off, before P4; P3 is 4.94 m off
}

TEST_CASE("rows of the ties: what was stated, found, permitted, and by what") {
  Sheet s;
  put_fit(s);
  const BaselinePage page = s.page();
  CHECK(page.fit == &s.placed->fit);
  CHECK(page.hold == Hold::y);
  CHECK(page.scale_free);
  REQUIRE(page.lines.size() == 3);
  CHECK(page.lines[0].what == "T1 x");
  CHECK(page.lines[2].what == "T2 y");
  CHECK(page.lines[1].stated == m(4));
  CHECK(page.lines[1].found == m(3.998));
  CHECK(page.lines[1].off == mm(2));
  CHECK(page.lines[1].permitted == mm(6));
  CHECK(page.lines[1].by_job == mm(6));
  CHECK(page.lines[1].verdict == Verdict::outside);
  // Its error has sd 1 mm / 0.5; 95 % of it is 1.96 times that.
  CHECK(page.lines[1].good_to->millimetres() == doctest::Approx(3.92).epsilon(1e-3));
  CHECK(page.unchecked == std::vector<std::string>{"T2 y"});
  CHECK(page.left_over == 3);
  REQUIRE(page.assurance);
  CHECK_FALSE(page.least_seen.empty());

  CHECK(page.lines[0].by == PermittedBy::default_tolerance);
  s.baselines.square.tolerance = mm(6);
  CHECK(s.page().lines[0].by == PermittedBy::job_tolerance);
  s.baselines.ties[0].own_tolerance = true;
  CHECK(s.page().lines[0].by == PermittedBy::own_tolerance);
  CHECK(s.page().lines[1].by == PermittedBy::job_tolerance);
}

TEST_CASE("coordinates that the others contradict, with those that would explain it as well") {
  Sheet s;
  put_fit(s);
  s.placed->wrong = {{1, TieAxis::x, 9, 0.5, mm(50), mm(3), {{0, TieAxis::y}}}};
  const BaselinePage page = s.page();
  REQUIRE(page.wrong.size() == 1);
  CHECK(page.wrong[0].what == "T2 x");
  CHECK(page.wrong[0].error == mm(50));
  CHECK(page.wrong[0].alike == std::vector<std::string>{"T1 y"});
}

TEST_CASE("the squareness stands behind the ties, then lengths, then dimensions") {
  Sheet s;
  put_fit(s);
  s.placed->square = square();
  s.baselines.checks.lengths = {{"T1", "T2", {m(4), {}, {}, {}}}, {"P1", "P2", {m(4), {}, {}, {}}}};
  s.baselines.checks.dimensions = {{"P1", "P3", m(3)}};
  const Limit limit{mm(8), {}, mm(8), LimitSource::iso_secondary};
  const LengthCheck length{m(4), m(4.01), mm(10), mm(1.5), m(0), m(0), limit, Verdict::outside};
  s.checked = Checked{};
  s.checked->lengths = {length, length};
  s.checked->dimensions = {{m(3), m(3.02), mm(20), mm(1), Verdict::outside}};
  s.checked->corner_marks = {"P1", "P2"};
  s.checked->together.wrong = {{{{1, mm(9)}}}};

  const BaselinePage page = s.page();
  REQUIRE(page.lines.size() == 7);
  const PageLine& right = page.lines[3];
  CHECK(right.what == "square, X to Y");
  CHECK(right.is_square);
  CHECK(right.angle->degrees() == doctest::Approx(90.01));
  CHECK(right.off == mm(2.5));
  CHECK(right.permitted == mm(4));
  CHECK(right.by_setout == mm(9));
  CHECK(right.by == PermittedBy::job_tolerance);
  CHECK(right.good_to->millimetres() == doctest::Approx(3.92).epsilon(1e-3));  // 1.96 * 2 mm
  CHECK(right.verdict == Verdict::outside);
  CHECK(page.square == &*s.placed->square);
  CHECK(page.square_worst == "P3");
  CHECK(page.lines[4].what == "T1 to T2");
  CHECK(page.lines[4].off == mm(10));
  CHECK(page.lines[4].by == PermittedBy::iso_secondary);
  CHECK(page.lines[4].good_to->millimetres() == doctest::Approx(2.94).epsilon(1e-3));  // 1.96 * 1.5 mm
  CHECK_FALSE(page.lines[4].is_dimension);
  CHECK(page.lines[5].what == "P1 to P2");
  CHECK(page.lines[6].what == "P1 to P3");
  CHECK(page.lines[6].is_dimension);
  CHECK(page.lines[6].stated == m(3));
  CHECK(page.lines[6].found == m(3.02));
  CHECK(page.lines[6].by == PermittedBy::default_dimension);
  CHECK_FALSE(page.lines[6].good_to.has_value());
  CHECK(page.corner == std::vector<std::string>{"P1", "P2"});
  CHECK(page.measure_first == "P1 to P2");
  s.baselines.checks.own_dimension_tolerance = true;
  CHECK(s.page().lines[6].by == PermittedBy::job_dimension);
}

TEST_CASE("what decided a limit") {
  Sheet s;
  s.place();
  for (const auto& [source, want] : {std::pair{LimitSource::iso_primary, PermittedBy::iso_primary},
                                     {LimitSource::iso_secondary, PermittedBy::iso_secondary},
                                     {LimitSource::job_figures, PermittedBy::job_figures},
                                     {LimitSource::job_tolerance, PermittedBy::job_tolerance}}) {
    s.placed->square = square();
    s.placed->square->limit.source = source;
    CHECK(s.page().lines[0].by == want);
  }
}

TEST_CASE("a squareness by lengths alone is shown where the ties give none") {
  Sheet s;
  s.place();
  s.checked = Checked{};
  s.checked->square = square();
  s.checked->square->sd_over.reset();
  const BaselinePage page = s.page();
  REQUIRE(page.lines.size() == 1);
  CHECK(page.square == &*s.checked->square);
  CHECK_FALSE(page.lines[0].good_to.has_value());
}

TEST_CASE("a signed fit: its words, what it held, and whether today's ties are new") {
  Sheet s;
  s.place();
  SignedBaselines is_signed;
  is_signed.by = "A. Foreman", is_signed.on = "2026-05-04", is_signed.revision = "A";
  is_signed.accepted_outside = "seen", is_signed.standing = "DO NOT LAY OUT";
  is_signed.held = "x";
  is_signed.scale_free = true;
  s.baselines.checks.signed_fit = is_signed;
  const BaselinePage alone = s.page();
  CHECK(alone.fit == &s.placed->fit);
  CHECK(alone.hold == Hold::x);
  CHECK(alone.scale_free);
  CHECK(alone.today == nullptr);
  CHECK_FALSE(alone.same_ties);
  REQUIRE(alone.signature);
  CHECK(alone.signature->by == "A. Foreman");
  CHECK(alone.signature->on == "2026-05-04");
  CHECK(alone.signature->revision == "A");
  CHECK(alone.signature->accepted_outside == "seen");
  CHECK(alone.signature->standing == "DO NOT LAY OUT");

  put_fit(s);  // held y
  s.placed->today = SignedCheck{};
  CHECK(s.page().today == &*s.placed->today);
  CHECK(s.page().same_ties);
  CHECK(s.page().hold == Hold::y);  // of the result, into which the signed one was put
  s.placed->today->new_stated = 1;
  CHECK_FALSE(s.page().same_ties);
}

TEST_CASE("small lengths of a job in feet and inches are told as a tape reads them") {
  BaselinePage page;
  page.site_unit = LengthUnit::foot, page.drawing_unit = LengthUnit::feet_inches;
  const auto inches = [](double n) { return Length::inches(n); };
  struct Row {
    double off;
    Verdict verdict;
    std::string told;
  };
  for (const Row& r : {Row{0.06, Verdict::within, "1/16"}, Row{-0.13, Verdict::within, "-1/8"},
                       Row{1.5, Verdict::outside, "1 1/2"}, Row{0.002, Verdict::within, "0"},
                       // What is outside never reads as its limit.
                       Row{0.199, Verdict::outside, "13/64"}, Row{-0.1885, Verdict::outside, "-0.188"},
                       Row{0.1875, Verdict::within, "3/16"}}) {
    CAPTURE(r.off);
    PageLine line;
    line.off = inches(r.off), line.permitted = inches(0.1875), line.verdict = r.verdict;
    CHECK(off_text(page, line) == r.told);
  }
  PageLine line;
  line.off = inches(0.06);
  page.site_unit = LengthUnit::metre;  // then tapes on site are metric
  CHECK(off_text(page, line) == "1.5");
  page.site_unit = LengthUnit::foot, page.drawing_unit = LengthUnit::foot;
  CHECK(off_text(page, line) == "0.06");
}

TEST_CASE("ground in words: empty without a projection") {
  const GroundJob none;
  const std::vector<ControlPoint> control;
  const PlainHead head;
  CHECK(ground_part(head.view(), {none, control, {}, {}}, {}, nullptr, false).empty());
}

TEST_CASE("ground in words: azimuths and the farthest mark only where marks have a place") {
  auto system =
      GridSystem::open("+proj=tmerc +lat_0=0 +lon_0=9 +k_0=0.9996 +x_0=500000 +y_0=0 +ellps=WGS84 +units=m");
  REQUIRE(system);
  GroundJob job;
  job.system = *system;
  job.control = {{{.northing = m(5300000), .easting = m(500000)}}};
  job.ground = claim_ground(job.control[0], 0.9996);
  const std::vector<ControlPoint> control = {{"C1", job.ground->to_ground(job.control[0]), {}, {}}};
  GroundFound found;
  found.rows = {*ground_row(*job.system, *job.ground, job.control[0], m(0))};
  const PlainHead head;
  const GroundStated stated{job, control, {}, {}};
  const std::string without = ground_part(head.view(), stated, found, nullptr, false);
  CHECK(without.find("C1") != std::string::npos);
  CHECK(without.find("P2") == std::string::npos);

  PlainLaid laid = laid_of({{"P1", 0, 0}, {"P2", 1, 0}});
  laid.placed.marks.clear();
  for (const double north : {0.0, 100.0})
    laid.placed.marks.push_back(control[0].at + Vec<Site>{{.northing = m(north), .easting = m(0)}});
  found.farthest = 1;
  const LaidOut view = laid.view();
  const auto part = [&](bool in_grid) { return ground_part(head.view(), stated, found, &view, in_grid); };
  CHECK(part(false).find("P2") == std::string::npos);  // not near the control
  found.placed = true;
  CHECK(part(false).find("1002") != std::string::npos);
  CHECK(part(false).find("P2") != std::string::npos);
  CHECK(part(true) != part(false));
  // +X runs east; 100 m by a factor of 0.9996 are 40 mm less.
  CHECK(part(false).find("drawing north (+Y) lies at azimuth 0-00-00.0 from grid north") !=
        std::string::npos);
  CHECK(part(false).find("40.0 mm too near C1.") != std::string::npos);
}
