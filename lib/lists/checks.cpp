#include "lists/checks.h"

#include <string_view>
#include <utility>

#include "lists/in_unit.h"

namespace deckmark {

namespace {

constexpr int kAngleDecimals = 5;                  // of the squareness
constexpr int kQualityDecimals = 4;                // of standardised residuals and redundancies
constexpr int kGroundDecimals = 10, kFactor = 10;  // of degrees: 0.01 mm on the ellipsoid; factors to 1e-10

constexpr OutColumn kBaselineColumns[] = {
    {"mark", OutKind::text, "name of the tie"},
    {"axis", OutKind::text, "x or y"},
    {"stated", OutKind::length, "the coordinate as the ties table states it"},
    {"computed", OutKind::length, "as the fit has it"},
    {"residual", OutKind::length, "stated minus computed"},
    {"standardised", OutKind::decimal, "the residual over its own sd; empty where nothing checks it"},
    {"redundancy", OutKind::decimal, "how far the others check it, from 0 (not at all) to 1"},
    {"verdict", OutKind::text, "within, outside or unsure"}};

constexpr OutColumn kChecksColumns[] = {
    {"check", OutKind::text, "square, length or dimension"},
    {"from", OutKind::text, "mark from which it was measured; empty of the squareness"},
    {"to", OutKind::text, "mark to which it was measured; empty of the squareness"},
    {"stated", OutKind::length, "by the drawing; of the squareness 90 degrees"},
    {"measured", OutKind::length, "on site, of a dimension as keyed; of the squareness in degrees"},
    {"deviation", OutKind::length, "measured minus stated; of the squareness over the shorter baseline"},
    {"permitted", OutKind::length, "the most that it may deviate"},
    {"sd", OutKind::length, "of the deviation; of a dimension none"},
    {"verdict", OutKind::text, "within, outside or unsure"},
    {"source", OutKind::text, "where the permitted deviation comes from"}};

constexpr OutColumn kGroundColumns[] = {
    {"point", OutKind::text, "name of the control point"},
    {"grid_northing", OutKind::length, "in the map projection"},
    {"grid_easting", OutKind::length, "in the map projection"},
    {"latitude", OutKind::decimal, "degrees, north positive"},
    {"longitude", OutKind::decimal, "degrees, east positive"},
    {"convergence", OutKind::decimal, "degrees: geodetic minus grid azimuth"},
    {"point_scale", OutKind::decimal, "grid distance over distance on the ellipsoid, here"},
    {"elevation_factor", OutKind::decimal, "distance on the ellipsoid over distance at the work's height"},
    {"combined_factor", OutKind::decimal, "the product of the two"},
    {"ground_northing", OutKind::length, "at ground scale"},
    {"ground_easting", OutKind::length, "at ground scale"}};

/// One row of checks.csv.
struct Check {
  std::string_view check, from, to;
  std::optional<Length> stated, measured;
  std::optional<Angle> angle;  ///< measured, in place of the lengths
  std::optional<Length> deviation;
  Length permitted = Length::metres(0);
  std::optional<Length> sd;
  Verdict verdict = Verdict::within;
  LimitSource source = LimitSource::job_tolerance;
};

Check of_square(const SquarenessResult& s) {
  return {"square",          "",        "",        std::nullopt,  std::nullopt, s.included, s.deviation_over,
          s.limit.permitted, s.sd_over, s.verdict, s.limit.source};
}
Check of_length(const TapedLength& t, const LengthCheck& c) {
  return {"length",          t.from, t.to,      c.stated,      c.measured, std::nullopt, c.deviation,
          c.limit.permitted, c.sd,   c.verdict, c.limit.source};
}
Check of_dimension(const PrintedDimension& d, const DimensionCheck& c) {
  return {"dimension",
          d.from,
          d.to,
          c.stated,
          c.measured,
          std::nullopt,
          c.deviation,
          c.permitted,
          std::nullopt,
          c.verdict,
          LimitSource::dimension_tolerance};
}

/// The squareness first, then lengths, then dimensions.
class Checks {
 public:
  Checks(const BaselineJob& stated, const Placed* placed, const Checked* checked)
      : stated_(stated),
        square_(squareness_of(placed, checked)),
        checked_(checked),
        lengths_(checked ? checked->lengths.size() : 0),
        dimensions_(checked ? checked->dimensions.size() : 0) {}
  std::size_t rows() const { return squares() + lengths_ + dimensions_; }
  bool is_square(std::size_t i) const { return i < squares(); }
  Check row(std::size_t i) const {
    if (is_square(i)) return of_square(*square_);
    i -= squares();
    if (i < lengths_) return of_length(stated_.lengths[i], checked_->lengths[i]);
    i -= lengths_;
    return of_dimension(stated_.dimensions[i], checked_->dimensions[i]);
  }

 private:
  std::size_t squares() const { return square_ ? 1 : 0; }
  const BaselineJob& stated_;
  const SquarenessResult* square_;
  const Checked* checked_;
  std::size_t lengths_, dimensions_;
};

}  // namespace

constinit const OutputSpec kBaselineOutput{"baseline.csv", "with ties",
                                           "every stated coordinate against the fit", kBaselineColumns};
constinit const OutputSpec kChecksOutput{"checks.csv", "with ties, lengths or dimensions",
                                         "the squareness, taped lengths, printed dimensions", kChecksColumns};
constinit const OutputSpec kGroundOutput{"ground.csv", "with a map projection",
                                         "control in the grid and at ground scale", kGroundColumns, true};

std::unique_ptr<WrittenTable> baseline_table(const BaselinesStated& stated, const Placed& placed,
                                             LengthUnit unit) {
  const std::vector<TieRow>& rows = placed.baseline->rows;
  const auto row = [&ties = stated.ties, &rows, u = InUnit(unit)](auto& sink, std::size_t i) {
    const TieRow& r = rows[i];
    sink.text(ties[r.tie].name);
    sink.text(r.axis == TieAxis::x ? "x" : "y");
    u.put(sink, r.stated);
    u.put(sink, r.computed);
    u.put(sink, r.residual);
    put_number(sink, r.standardised, kQualityDecimals);
    sink.fixed(r.redundancy, kQualityDecimals);
    sink.text(verdict_word(r.verdict));
  };
  return declared_table(kBaselineColumns, unit, rows.size(), row);
}

bool has_checks(const Placed* placed, const Checked* checked) {
  return squareness_of(placed, checked) ||
         (checked && !(checked->lengths.empty() && checked->dimensions.empty()));
}

std::unique_ptr<WrittenTable> checks_table(const BaselinesStated& stated, const Placed* placed,
                                           const Checked* checked, LengthUnit unit) {
  const Checks checks(stated.checks, placed, checked);
  const auto row = [checks, u = InUnit(unit)](auto& sink, std::size_t i) {
    const Check c = checks.row(i);
    sink.text(c.check);
    sink.text(c.from);
    sink.text(c.to);
    if (checks.is_square(i)) {
      sink.integer(90);  // degrees, as is the measured angle, whatever the header's unit
      put_number(sink, c.angle ? std::optional(c.angle->degrees()) : std::nullopt, kAngleDecimals);
    } else {
      u.put(sink, c.stated);
      u.put(sink, c.measured);
    }
    u.put(sink, c.deviation);
    u.put(sink, c.permitted);
    u.put(sink, c.sd);
    sink.text(verdict_word(c.verdict));
    sink.text(limit_source_text(c.source));
  };
  return declared_table(kChecksColumns, unit, checks.rows(), row);
}

std::unique_ptr<WrittenTable> ground_table(const GroundStated& stated, const GroundFound& found,
                                           LengthUnit unit) {
  const auto row = [&control = stated.control, &rows = found.rows, unit, decimals = table_decimals(unit)](
                       auto& sink, std::size_t i) {
    const GroundRow& r = rows[i];
    // `in_unit` undoes the reading: a coordinate that was keyed with these decimals comes out as it was
    // keyed.
    const auto put = [&](Length v) { sink.fixed(in_unit(v, unit), decimals); };
    sink.text(control[i].name);
    put(r.grid.at.northing);
    put(r.grid.at.easting);
    sink.fixed(r.place.latitude.degrees(), kGroundDecimals);
    sink.fixed(r.place.longitude.degrees(), kGroundDecimals);
    sink.fixed(r.convergence.degrees(), kGroundDecimals);
    sink.fixed(r.point_scale, kFactor);
    sink.fixed(r.elevation_factor, kFactor);
    sink.fixed(r.combined_factor, kFactor);
    put(r.ground.at.northing);
    put(r.ground.at.easting);
  };
  return declared_table(kGroundColumns, unit, found.rows.size(), row);
}

}  // namespace deckmark
