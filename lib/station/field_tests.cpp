#include "station/field_tests.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <utility>

#include "adjust/solve.h"
#include "adjust/statistics.h"

namespace deckmark {

namespace {

constexpr double kConfidence = 0.95;
constexpr double kTwoSided = 0.975;

// Small numbers for whatever numbers a table uses.
template <class Key>
class Numbering {
 public:
  std::size_t operator()(const Key& key) { return index_.emplace(key, index_.size()).first->second; }
  std::size_t size() const { return index_.size(); }

 private:
  std::map<Key, std::size_t> index_;
};

// Of turns of the housing: what is zero is not left as rounding, which scaled would pass for a column of its
// own.
double sine(Angle a) {
  const double s = std::sin(a.radians());
  return std::fabs(s) < 1e-9 ? 0 : s;
}
double cosine(Angle a) {
  const double c = std::cos(a.radians());
  return std::fabs(c) < 1e-9 ? 0 : c;
}

// An equation under way: coefficients by column, and what was read.
struct Equation {
  std::vector<std::pair<std::size_t, double>> terms;
  double observed = 0;
};

Solution solve_equations(const std::vector<Equation>& equations, std::size_t columns) {
  if (equations.empty() || columns == 0) return {};
  LinearProblem p;
  p.design = Matrix(equations.size(), columns);
  p.sds.assign(equations.size(), 1.0);
  for (std::size_t i = 0; i < equations.size(); ++i) {
    for (const auto& [column, value] : equations[i].terms) p.design(i, column) += value;
    p.observed.push_back(equations[i].observed);
  }
  return solve(p);
}

// The parameters of interest stand in the first columns. Those that take part in what the readings leave open
// are not told; as many of them go as it takes to close it, whichever, since the others do not feel it.
struct Fit {
  Solution solution;
  std::vector<bool> told;           // by column of interest
  std::vector<std::size_t> column;  // where a told one now stands
};
Fit fit_what_is_fixed(const std::vector<Equation>& equations, std::size_t interest, std::size_t columns) {
  Fit out;
  std::vector<bool> kept(interest, true);
  for (bool first = true;; first = false) {
    out.column.assign(columns, 0);
    std::size_t next = 0;
    for (std::size_t c = 0; c < columns; ++c)
      if (c >= interest || kept[c]) out.column[c] = next++;
    std::vector<Equation> rest = equations;
    for (Equation& e : rest) {
      e.terms.erase(std::remove_if(e.terms.begin(), e.terms.end(),
                                   [&](const auto& t) { return t.first < interest && !kept[t.first]; }),
                    e.terms.end());
      for (auto& t : e.terms) t.first = out.column[t.first];
    }
    out.solution = solve_equations(rest, next);
    const auto is_open = [&](std::size_t c) {
      return !out.solution.full_rank && kept[c] &&
             (out.solution.parameter_open.empty() || out.solution.parameter_open[out.column[c]]);
    };
    if (first)
      for (std::size_t c = 0; c < interest; ++c) out.told.push_back(!is_open(c));
    std::size_t open = 0;
    while (open < interest && !is_open(open)) ++open;
    if (open == interest) return out;
    kept[open] = false;
  }
}

FieldQuestion precision_question(double s, std::size_t freedom, double stated, FieldUnit unit) {
  const double nu = static_cast<double>(freedom);
  FieldQuestion q;
  q.kind = FieldQuestionKind::precision;
  q.statistic = s;
  q.upper = stated * std::sqrt(chi_squared_quantile(kConfidence, nu) / nu);
  q.unit = unit;
  q.degrees_of_freedom = freedom;
  q.yes = s <= q.upper;
  return q;
}

// REQUIRES a value with an sd.
FieldQuestion systematic_question(const FieldValue& v, FieldUnit unit) {
  FieldQuestion q;
  q.kind = FieldQuestionKind::systematic;
  q.parameter = v.parameter;
  q.statistic = std::fabs(v.value);
  q.upper = *v.sd * (v.degrees_of_freedom == 0
                         ? normal_quantile(kTwoSided)
                         : student_quantile(kTwoSided, static_cast<double>(v.degrees_of_freedom)));
  q.degrees_of_freedom = v.degrees_of_freedom;
  q.unit = unit;
  q.yes = q.statistic <= q.upper;
  return q;
}

FieldQuestion ratio_question(FieldQuestionKind kind, double s1, std::size_t nu1, double s2, std::size_t nu2) {
  FieldQuestion q;
  q.kind = kind;
  q.is_ratio = true;
  q.degrees_of_freedom = nu1;
  q.statistic = s2 > 0 ? s1 * s1 / (s2 * s2) : s1 > 0 ? HUGE_VAL : 1;
  q.upper = fisher_quantile(kTwoSided, static_cast<double>(nu1), static_cast<double>(nu2));
  q.lower = 1 / fisher_quantile(kTwoSided, static_cast<double>(nu2), static_cast<double>(nu1));
  q.yes = q.statistic >= *q.lower && q.statistic <= q.upper;
  return q;
}

// s, residuals and the question about the stated sd.
FieldResult from_solution(const Solution& s, FieldUnit unit, std::optional<double> stated) {
  FieldResult out;
  out.unit = unit;
  out.readings = s.redundancy.size();
  if (!s.full_rank || s.degrees_of_freedom == 0) return out;
  out.solved = true;
  out.degrees_of_freedom = s.degrees_of_freedom;
  out.s = std::sqrt(s.square_sum / static_cast<double>(s.degrees_of_freedom));
  out.residuals = s.residuals;
  if (stated) out.questions.push_back(precision_question(out.s, out.degrees_of_freedom, *stated, unit));
  return out;
}

void add_value(FieldResult& out, const FieldValue& value, FieldUnit unit) {
  out.values.push_back(value);
  if (value.sd) out.questions.push_back(systematic_question(value, unit));
}

// A value with its sd by the scatter that the same readings tell; without one where they tell none.
FieldValue value_of(const Fit& fit, std::size_t column, FieldParameter parameter, const FieldResult& of) {
  const std::size_t c = fit.column[column];
  FieldValue v{parameter, fit.solution.parameters[c], std::nullopt};
  if (!of.solved) return v;
  v.sd = of.s * std::sqrt(fit.solution.covariance(c, c));
  v.degrees_of_freedom = of.degrees_of_freedom;
  return v;
}

// Adds a parameter of a fit, or says that it is left out.
void add_told(FieldResult& out, const Fit& fit, std::size_t column, FieldParameter parameter,
              FieldUnit unit) {
  if (!fit.told[column])
    out.left_out.push_back(parameter);
  else if (fit.solution.full_rank)
    add_value(out, value_of(fit, column, parameter, out), unit);
}

std::optional<double> seconds(std::optional<Angle> a) {
  return a ? std::optional(a->arc_seconds()) : std::nullopt;
}
std::optional<double> millimetres(std::optional<Length> l) {
  return l ? std::optional(l->millimetres()) : std::nullopt;
}

// A vector of two components against zero: square over twice its variance, F of 2 and nu.
FieldQuestion pair_question(const Fit& fit, std::size_t first, std::size_t second, const FieldResult& out,
                            FieldParameter parameter) {
  const std::size_t a = fit.column[first], b = fit.column[second];
  const Matrix& q = fit.solution.covariance;
  const double x = fit.solution.parameters[a], y = fit.solution.parameters[b];
  const double determinant = q(a, a) * q(b, b) - q(a, b) * q(a, b);
  const double square = (x * x * q(b, b) - 2 * x * y * q(a, b) + y * y * q(a, a)) / determinant;
  FieldQuestion question;
  question.kind = FieldQuestionKind::systematic;
  question.parameter = parameter;
  question.is_ratio = true;
  question.degrees_of_freedom = out.degrees_of_freedom;
  question.statistic = out.s > 0 ? square / (2 * out.s * out.s) : square > 0 ? HUGE_VAL : 0;
  question.upper = fisher_quantile(kConfidence, 2, static_cast<double>(out.degrees_of_freedom));
  question.yes = question.statistic <= question.upper;
  return question;
}

}  // namespace

FieldResult test_directions(std::span<const FacePair> pairs, std::optional<Angle> stated) {
  // direction = orientation of its set + direction of its target in its series, the first target of a series
  // being 0
  Numbering<std::pair<std::size_t, std::size_t>> sets, targets;
  std::map<std::size_t, std::size_t> first;  // by series
  for (const FacePair& p : pairs) sets({p.series, p.set});
  std::map<std::pair<std::size_t, std::size_t>, double>
      start;  // readings are taken about the first of their set
  std::vector<Equation> equations;
  std::vector<std::pair<std::size_t, std::size_t>> of;
  for (const FacePair& p : pairs) {
    const double mean = p.face1.degrees() +
                        wrapped(Angle::degrees(p.face2.degrees() - 180 - p.face1.degrees())).degrees() / 2;
    const double origin = start.emplace(std::pair(p.series, p.set), mean).first->second;
    Equation e;
    e.observed = wrapped(Angle::degrees(mean - origin)).arc_seconds();
    e.terms.emplace_back(sets({p.series, p.set}), 1.0);
    if (first.emplace(p.series, p.target).first->second != p.target)
      e.terms.emplace_back(sets.size() + targets({p.series, p.target}), 1.0);
    equations.push_back(std::move(e));
  }
  // A target half a turn from the first of its set may wrap to either side: brought beside its first reading.
  std::map<std::pair<std::size_t, std::size_t>, double> seen;
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    const auto key = std::pair(pairs[i].series, pairs[i].target);
    const double at = seen.emplace(key, equations[i].observed).first->second;
    equations[i].observed = at + wrapped(Angle::arc_seconds(equations[i].observed - at)).arc_seconds();
  }
  return from_solution(solve_equations(equations, sets.size() + targets.size()), FieldUnit::seconds,
                       seconds(stated));
}

FieldResult test_zeniths(std::span<const FacePair> pairs, std::optional<Angle> stated) {
  Numbering<std::pair<std::size_t, std::size_t>> targets;
  std::vector<Equation> equations;
  std::vector<double> indices;
  std::map<std::pair<std::size_t, std::size_t>, double> start;
  for (const FacePair& p : pairs) {
    const double zenith = (p.face1.degrees() - p.face2.degrees() + 360) / 2;
    const auto key = std::pair(p.series, p.target);
    const double origin = start.emplace(key, zenith).first->second;
    equations.push_back({{{targets(key), 1.0}}, (zenith - origin) * 3600});
    indices.push_back((p.face1.degrees() + p.face2.degrees() - 360) / 2 * 3600);
  }
  FieldResult out =
      from_solution(solve_equations(equations, targets.size()), FieldUnit::seconds, seconds(stated));
  if (indices.empty()) return out;
  const double n = static_cast<double>(indices.size());
  FieldValue index{FieldParameter::index, std::accumulate(indices.begin(), indices.end(), 0.0) / n,
                   std::nullopt};
  if (out.solved) {
    index.sd = out.s / std::sqrt(n);
    index.degrees_of_freedom = out.degrees_of_freedom;
  } else if (indices.size() > 1) {
    // One set: sum and difference of two faces scatter alike, so that the targets' indices tell their own sd.
    double squares = 0;
    for (const double i : indices) squares += (i - index.value) * (i - index.value);
    index.degrees_of_freedom = indices.size() - 1;
    index.sd = std::sqrt(squares / (n - 1) / n);
  }
  add_value(out, index, FieldUnit::seconds);
  return out;
}

FieldResult test_line(std::span<const LineDistance> distances, std::optional<Length> stated) {
  // measured + zero point = sum of the sections between, numbered between neighbouring points that occur
  std::map<std::size_t, std::size_t> place;
  for (const LineDistance& d : distances) place.emplace(d.from, 0), place.emplace(d.to, 0);
  std::size_t count = 0;
  for (auto& [point, number] : place) number = count++;
  std::vector<Equation> equations;
  for (const LineDistance& d : distances) {
    Equation e;
    e.observed = d.measured.millimetres();
    e.terms.emplace_back(0, -1.0);
    for (std::size_t k = place[std::min(d.from, d.to)]; k < place[std::max(d.from, d.to)]; ++k)
      e.terms.emplace_back(1 + k, 1.0);
    equations.push_back(std::move(e));
  }
  const std::size_t columns = count == 0 ? 1 : count;
  const Fit fit = fit_what_is_fixed(equations, 1, columns);
  FieldResult out = from_solution(fit.solution, FieldUnit::millimetres, millimetres(stated));
  if (!equations.empty()) add_told(out, fit, 0, FieldParameter::zero_point, FieldUnit::millimetres);
  return out;
}

FieldResult test_levelling(std::span<const StaffReading> readings, std::optional<Length> stated) {
  Numbering<std::size_t> setups, staffs;
  for (const StaffReading& r : readings) setups(r.setup);
  std::vector<Equation> equations;
  double farthest = 0;
  for (const StaffReading& r : readings) {
    Equation e;
    e.observed = r.reading.millimetres();
    e.terms = {{0, r.distance.metres()}, {1 + setups(r.setup), 1.0}};
    // The first staff's foot is the datum.
    if (r.staff != readings.front().staff) e.terms.emplace_back(1 + setups.size() + staffs(r.staff), -1.0);
    farthest = std::max(farthest, r.distance.metres());
    equations.push_back(std::move(e));
  }
  const Fit fit = fit_what_is_fixed(equations, 1, 1 + setups.size() + staffs.size());
  FieldResult out = from_solution(fit.solution, FieldUnit::millimetres, millimetres(stated));
  if (equations.empty()) return out;
  add_told(out, fit, 0, FieldParameter::sight_line, FieldUnit::millimetres_per_metre);
  for (FieldValue& v : out.values) v.over = farthest;
  return out;
}

FieldResult test_rotating_laser(std::span<const BeamReading> readings, std::span<const Length> heights,
                                std::optional<Length> stated) {
  Numbering<std::size_t> sets, targets;
  for (const BeamReading& r : readings) sets(r.set);
  std::vector<Equation> equations;
  std::optional<std::size_t> datum;
  for (const BeamReading& r : readings) {
    const double d = r.distance.metres();
    Equation e;
    e.observed = r.reading.millimetres() + (heights.empty() ? 0.0 : heights[r.target].millimetres());
    e.terms = {{0, d}, {1, d * cosine(r.direction)}, {2, d * sine(r.direction)}, {3 + sets(r.set), 1.0}};
    if (!datum) datum = r.target;
    if (heights.empty() && r.target != *datum)
      e.terms.emplace_back(3 + sets.size() + targets(r.target), -1.0);
    equations.push_back(std::move(e));
  }
  const Fit fit = fit_what_is_fixed(equations, 3, 3 + sets.size() + targets.size());
  FieldResult out = from_solution(fit.solution, FieldUnit::millimetres, millimetres(stated));
  if (equations.empty()) return out;
  constexpr FieldUnit kUnit = FieldUnit::millimetres_per_metre;
  add_told(out, fit, 0, FieldParameter::cone, kUnit);
  if (fit.told[1] != fit.told[2]) {
    add_told(out, fit, 1, FieldParameter::tilt_along, kUnit);
    add_told(out, fit, 2, FieldParameter::tilt_across, kUnit);
  } else if (!fit.told[1]) {
    out.left_out.push_back(FieldParameter::tilt);
  } else if (fit.solution.full_rank) {
    const FieldValue a = value_of(fit, 1, FieldParameter::tilt, out),
                     b = value_of(fit, 2, FieldParameter::tilt, out);
    FieldValue tilt{FieldParameter::tilt, std::hypot(a.value, b.value), std::nullopt, a.degrees_of_freedom};
    if (a.sd && b.sd) tilt.sd = std::hypot(*a.sd, *b.sd) / std::sqrt(2.0);
    out.values.push_back(tilt);
    if (out.solved) out.questions.push_back(pair_question(fit, 1, 2, out, FieldParameter::tilt));
  }
  return out;
}

FieldResult test_plumbing(std::span<const PlumbSet> sets, std::optional<Length> stated) {
  FieldResult out;
  out.unit = FieldUnit::millimetres;
  out.readings = 4 * sets.size();
  std::vector<Equation> along[2], lean[2];
  Numbering<std::size_t> series;
  for (const PlumbSet& s : sets) {
    const std::size_t column = series(s.series);
    const double x1 = s.x1.millimetres(), x2 = s.x2.millimetres(), y1 = s.y1.millimetres(),
                 y2 = s.y2.millimetres();
    along[0].push_back({{{column, 1.0}}, (x1 + x2) / 2});
    along[1].push_back({{{column, 1.0}}, (y1 + y2) / 2});
    lean[0].push_back({{{0, 1.0}}, (x1 - x2) / 2});
    lean[1].push_back({{{0, 1.0}}, (y1 - y2) / 2});
  }
  const Solution x = solve_equations(along[0], series.size()), y = solve_equations(along[1], series.size());
  if (!x.full_rank) return out;
  const std::size_t each = x.degrees_of_freedom;
  if (each > 0) {
    out.solved = true;
    out.degrees_of_freedom = 2 * each;
    const double sx = std::sqrt(x.square_sum / static_cast<double>(each)),
                 sy = std::sqrt(y.square_sum / static_cast<double>(each));
    out.s = std::sqrt((sx * sx + sy * sy) / 2);
    for (std::size_t i = 0; i < sets.size(); ++i)
      out.residuals.push_back(x.residuals[i]), out.residuals.push_back(y.residuals[i]);
    if (stated)
      out.questions.push_back(
          precision_question(out.s, out.degrees_of_freedom, stated->millimetres(), out.unit));
    out.questions.push_back(ratio_question(FieldQuestionKind::axes_alike, sx, each, sy, each));
  }
  for (std::size_t k = 0; k < 2; ++k) {
    const Solution l = solve_equations(lean[k], 1);
    FieldValue v{k == 0 ? FieldParameter::line_x : FieldParameter::line_y, l.parameters[0], std::nullopt,
                 l.degrees_of_freedom};
    if (l.degrees_of_freedom > 0)
      v.sd = std::sqrt(l.square_sum / static_cast<double>(l.degrees_of_freedom) * l.covariance(0, 0));
    add_value(out, v, out.unit);
  }
  return out;
}

FieldResult test_turned_marks(std::span<const TurnedMark> marks, std::optional<Length> stated) {
  // mark = point of its set + the lean, turned with the housing
  Numbering<std::size_t> sets;
  std::vector<Equation> equations;
  for (const TurnedMark& t : marks) {
    const std::size_t column = 2 + 2 * sets(t.set);
    const double c = cosine(t.turn), s = sine(t.turn);
    equations.push_back({{{0, c}, {1, -s}, {column, 1.0}}, t.x.millimetres()});
    equations.push_back({{{0, s}, {1, c}, {column + 1, 1.0}}, t.y.millimetres()});
  }
  if (marks.empty()) return {};
  Fit fit = fit_what_is_fixed(equations, 2, 2 + 2 * sets.size());
  // One turn throughout: all sets are the same point, and their scatter is all that can be told.
  if (!fit.told[0]) {
    for (Equation& e : equations)
      for (auto& t : e.terms)
        if (t.first >= 2) t.first = 2 + t.first % 2;
    fit = fit_what_is_fixed(equations, 2, 4);
  }
  FieldResult out = from_solution(fit.solution, FieldUnit::millimetres, millimetres(stated));
  add_told(out, fit, 0, FieldParameter::line_x, FieldUnit::millimetres);
  add_told(out, fit, 1, FieldParameter::line_y, FieldUnit::millimetres);
  return out;
}

FieldResult test_cross_line(std::span<const CrossLineSet> sets, std::optional<Length> stated) {
  // The sine of a small angle: at half a degree it differs from the angle by 1 part in 80,000.
  const double second = Angle::arc_seconds(1).radians();
  std::vector<Equation> equations;
  double farthest = 0;
  for (const CrossLineSet& s : sets) {
    // Two tapings: their difference over the root of 2 scatters as one of them.
    const double apart = (s.cd - s.ab).millimetres() / std::sqrt(2.0);
    equations.push_back({{{0, 2 * s.ac.millimetres() * second / std::sqrt(2.0)}}, apart});
    farthest = std::max(farthest, s.ac.metres());
  }
  const Fit fit = fit_what_is_fixed(equations, 1, 1);
  FieldResult out = from_solution(fit.solution, FieldUnit::millimetres, millimetres(stated));
  constexpr double kAlike = 1e-6;  // mm; no tape is read that fine
  if (out.solved && out.s < kAlike) {
    out.alike = true;
    out.solved = false;
    out.residuals.clear();
    out.questions.clear();
  }
  if (equations.empty() || !fit.solution.full_rank) return out;
  FieldValue angle = value_of(fit, 0, FieldParameter::right_angle, out);
  if (!out.solved && stated) angle.sd = stated->millimetres() * std::sqrt(fit.solution.covariance(0, 0));
  angle.over = farthest;
  add_value(out, angle, FieldUnit::seconds);
  return out;
}

FieldQuestion same_scatter(const FieldResult& first, const FieldResult& second) {
  return ratio_question(FieldQuestionKind::same, first.s, first.degrees_of_freedom, second.s,
                        second.degrees_of_freedom);
}

}  // namespace deckmark
