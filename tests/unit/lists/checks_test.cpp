#include "lists/checks.h"

#include <doctest/doctest.h>

#include "unit/stages/plain.h"
#include "written_text.h"

using namespace plain;
using lists_test::written_lines;

namespace {

using Lines = std::vector<std::string>;

/// A baseline of two ties, one length and one dimension.
struct Checks {
  PlainBaselines baselines{};
  Placed placed{SitePlace::by_fit, {}, {}, shifted_fit(), {}, {}, {}};
  Checked checked{};

  Checks() {
    baselines.ties = {tie("T1", 0, 0, at(100, 200)), tie("T2", 4, 0, at(100, 204))};
    baselines.checks.lengths = {{"T1", "T2", {m(4.003), {}, {}, {}}}};
    baselines.checks.dimensions = {{"P1", "P2", m(3)}};
    const Limit limit{m(0), {}, mm(8), LimitSource::iso_secondary};
    checked.lengths = {{m(4), m(4.003), mm(3), mm(1.5), m(0), m(0), limit, Verdict::within}};
    checked.dimensions = {{m(3), m(2.99), mm(-10), mm(1.6), Verdict::outside}};
  }
  SquarenessResult square() const {
    SquarenessResult s;
    s.included = Angle::degrees(90.01);
    s.deviation_over = mm(2.5);
    s.sd_over = mm(1);
    s.limit.permitted = mm(4);
    s.limit.source = LimitSource::job_tolerance;
    s.verdict = Verdict::within;
    return s;
  }
  Lines lines(const Placed* p, const Checked* c) const {
    return written_lines(*checks_table(baselines.view(), p, c, LengthUnit::millimetre));
  }
};

constexpr const char* kHeader =
    "check,from,to,stated (mm),measured (mm),deviation (mm),permitted (mm),sd (mm),verdict,source";

}  // namespace

TEST_CASE("baseline.csv: every stated coordinate against the fit") {
  Checks c;
  BaselineResult fit;
  fit.rows = {{0, TieAxis::x, m(4), m(3.998), mm(2), std::nullopt, 0, mm(2), mm(6), m(0), Verdict::unsure},
              {1, TieAxis::y, m(4), m(3.998), mm(2), 1.25, 0.5, mm(2), mm(6), mm(1.6), Verdict::outside}};
  c.placed.baseline = fit;
  CHECK(written_lines(*baseline_table(c.baselines.view(), c.placed, LengthUnit::metre)) ==
        Lines{"mark,axis,stated (m),computed (m),residual (m),standardised,redundancy,verdict",
              "T1,x,4.00000,3.99800,0.00200,,0.0000,unsure",
              "T2,y,4.00000,3.99800,0.00200,1.2500,0.5000,outside"});
}

TEST_CASE("checks.csv: the squareness in degrees, then lengths, then dimensions") {
  Checks c;
  c.placed.square = c.square();
  CHECK(c.lines(&c.placed, &c.checked) ==
        Lines{kHeader, "square,,,90,90.01000,2.50,4.00,1.00,within,job tolerance",
              "length,T1,T2,4000.00,4003.00,3.00,8.00,1.50,within,ISO 4463-1:1989 secondary (from memory)",
              "dimension,P1,P2,3000.00,2990.00,-10.00,1.60,,outside,job dimension_tolerance"});
  c.placed.square->included.reset(), c.placed.square->deviation_over.reset(),
      c.placed.square->sd_over.reset();
  CHECK(c.lines(&c.placed, nullptr) == Lines{kHeader, "square,,,90,,,4.00,,within,job tolerance"});
}

TEST_CASE("the squareness is that of the ties, else that of the lengths; without either there is no row") {
  Checks c;
  CHECK(c.lines(&c.placed, &c.checked).size() == 3);
  CHECK(c.lines(nullptr, &c.checked)[1].starts_with("length,"));
  c.checked.square = c.square();
  c.checked.square->included = Angle::degrees(89);
  CHECK(c.lines(nullptr, &c.checked)[1].starts_with("square,,,90,89.00000,"));
  c.placed.square = c.square();
  CHECK(c.lines(&c.placed, &c.checked)[1].starts_with("square,,,90,90.01000,"));
}

TEST_CASE("whether there is anything to check") {
  Checks c;
  CHECK_FALSE(has_checks(nullptr, nullptr));
  CHECK_FALSE(has_checks(&c.placed, nullptr));
  const Checked none;
  CHECK_FALSE(has_checks(&c.placed, &none));
  Checked lengths, dimensions, square;
  lengths.lengths = c.checked.lengths;
  dimensions.dimensions = c.checked.dimensions;
  square.square = c.square();
  for (const Checked* one : {&lengths, &dimensions, &square}) CHECK(has_checks(nullptr, one));
  c.placed.square = c.square();
  CHECK(has_checks(&c.placed, nullptr));
}

TEST_CASE("ground.csv: control in the grid, its factors, and at ground scale") {
  GroundJob job;
  const std::vector<ControlPoint> control = {{"C1", at(1, 2), {}, {}}, {"C2", at(3, 4), {}, {}}};
  GroundFound found;
  for (const double k : {0.0, 1.0})
    found.rows.push_back({{{.northing = m(5300000 + k), .easting = m(500000)}},
                          {Angle::degrees(47.5), Angle::degrees(9.25)},
                          Angle::degrees(-0.125),
                          0.9996,
                          0.9999,
                          0.99950004,
                          at(5300000.5 + k, 500000.25)});
  CHECK(
      written_lines(*ground_table({job, control, {}, {}}, found, LengthUnit::metre)) ==
      Lines{
          "point,grid_northing (m),grid_easting "
          "(m),latitude,longitude,convergence,point_scale,elevation_factor,combined_factor,ground_northing "
          "(m),ground_easting (m)",
          "C1,5300000.00000,500000.00000,47.5000000000,9.2500000000,-0.1250000000,0.9996000000,0.9999000000,"
          "0.9995000400,5300000.50000,500000.25000",
          "C2,5300001.00000,500000.00000,47.5000000000,9.2500000000,-0.1250000000,0.9996000000,0.9999000000,"
          "0.9995000400,5300001.50000,500000.25000"});
  CHECK(kGroundOutput.is_of_survey);
  CHECK_FALSE(kChecksOutput.is_of_survey);
  for (const OutputSpec* spec : {&kBaselineOutput, &kChecksOutput, &kGroundOutput})
    for (const OutColumn& c : spec->columns) CHECK_FALSE(c.meaning.empty());
}
