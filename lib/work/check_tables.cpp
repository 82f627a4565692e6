#include <fmt/format.h>

#include "work/output_tables.h"

namespace deckmark {

namespace {

constexpr int kAngleDecimals = 5;  // of degrees

std::string head(std::string_view name, LengthUnit unit) {
  return fmt::format("{} ({})", name, unit_word(unit));
}

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

/// The squareness first, then lengths, then dimensions.
class Checks {
 public:
  Checks(const Job& job, const Found& found)
      : job_(job), found_(found), square_(found.placed.square ? 1 : 0) {}
  std::size_t rows() const {
    return square_ + found_.checks.lengths.size() + found_.checks.dimensions.size();
  }
  bool is_square(std::size_t i) const { return i < square_; }
  Check row(std::size_t i) const {
    if (is_square(i)) return square();
    i -= square_;
    if (i < found_.checks.lengths.size()) {
      const LengthCheck& c = found_.checks.lengths[i];
      const TapedLength& t = job_.checks.lengths[i];
      return {"length",          t.from, t.to,      c.stated,      c.measured, std::nullopt, c.deviation,
              c.limit.permitted, c.sd,   c.verdict, c.limit.source};
    }
    i -= found_.checks.lengths.size();
    const DimensionCheck& c = found_.checks.dimensions[i];
    const PrintedDimension& d = job_.checks.dimensions[i];
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

 private:
  Check square() const {
    const SquarenessResult& s = *found_.placed.square;
    return {
        "square",          "",        "",        std::nullopt,  std::nullopt, s.included, s.deviation_over,
        s.limit.permitted, s.sd_over, s.verdict, s.limit.source};
  }
  const Job& job_;
  const Found& found_;
  std::size_t square_;
};

}  // namespace

bool has_checks(const Found& found) {
  return found.placed.square || !found.checks.lengths.empty() || !found.checks.dimensions.empty();
}

std::unique_ptr<WrittenTable> checks_table(const Job& job, const Found& found) {
  const Checks checks(job, found);
  const LengthUnit unit = *job.list.unit;
  return written_table(
      TableStyle{},
      {"check", "from", "to", head("stated", unit), head("measured", unit), head("deviation", unit),
       head("permitted", unit), head("sd", unit), "verdict", "source"},
      checks.rows(),
      [checks, per_metre = 1 / metres_in(unit), decimals = table_decimals(unit)](auto& sink, std::size_t i) {
        const Check c = checks.row(i);
        const auto put = [&](const std::optional<Length>& value) {
          if (value)
            sink.fixed(value->metres() * per_metre, decimals);
          else
            sink.empty();
        };
        sink.text(c.check);
        sink.text(c.from);
        sink.text(c.to);
        if (checks.is_square(i)) {
          sink.integer(90);  // degrees, as is the measured angle, whatever the header's unit
          if (c.angle)
            sink.fixed(c.angle->degrees(), kAngleDecimals);
          else
            sink.empty();
        } else {
          put(c.stated);
          put(c.measured);
        }
        put(c.deviation);
        put(c.permitted);
        put(c.sd);
        sink.text(verdict_word(c.verdict));
        sink.text(limit_source_text(c.source));
      });
}

}  // namespace deckmark
