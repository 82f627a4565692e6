#include "station/net_build.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <utility>

#include "station/net_maker.h"

namespace deckmark::net {

namespace {

constexpr double kTwoPoints = 0.3;  // m: one name seen so far apart is two points
constexpr int kMostSteps = 40;
constexpr double kSettled = 1e-8;  // sds by which a step changes a computed reading

double square(double v) { return v * v; }

}  // namespace

Builder::Builder(const NetInput& input, const NetOptions& options, const Point<Site>& centre)
    : input_(input), options_(options), centre_(centre), datum_(Elevation::metres(0)) {
  for (const NetPoint& p : input.points)
    if (p.control && p.control->elevation) {
      datum_ = *p.control->elevation;
      return;
    }
  for (const NetSetup& s : input.setups)
    if (s.own && s.own->elevation) datum_ = *s.own->elevation;
}

std::optional<ControlMark> Builder::control(std::size_t point) const {
  return point < input_.points.size() ? input_.points[point].control : std::nullopt;
}
double Builder::control_sd(std::size_t point) const {
  const auto c = control(point);
  if (!c) return 0;
  if (c->sd) return c->sd->metres();
  return options_.control_sd ? options_.control_sd->metres() : 0;
}
double Builder::height_of(const ControlMark& mark) const { return (*mark.elevation - datum_).metres(); }

namespace {

/// Where a sight falls, seen from its setup.
struct Seen {
  std::size_t setup, sight;
  Flat at;
};
bool is_near(const Flat& a, const Flat& b) { return std::hypot(a.n - b.n, a.e - b.e) <= kTwoPoints; }
std::ptrdiff_t agreeing(const std::vector<Seen>& of, const Seen& a) {
  return std::count_if(of.begin(), of.end(), [&](const Seen& b) { return is_near(a.at, b.at); });
}

/// The place on which most agree; of one against one, that of the setup that is contradicted less.
Flat agreed_place(const std::vector<Seen>& of, const std::vector<std::size_t>& contradicted) {
  return std::max_element(of.begin(), of.end(),
                          [&](const Seen& a, const Seen& b) {
                            const auto one = agreeing(of, a), two = agreeing(of, b);
                            return one != two ? one < two : contradicted[a.setup] > contradicted[b.setup];
                          })
      ->at;
}

/// What falls elsewhere is a point of its own; what falls together there is one.
void split_off(const std::vector<Seen>& of, const Flat& from, Part& part) {
  std::vector<Seen> rest;
  for (const Seen& s : of)
    if (!is_near(from, s.at)) rest.push_back(s);
  while (!rest.empty()) {
    const Flat first = rest.front().at;
    const std::size_t fresh = part.points++;
    std::erase_if(rest, [&](const Seen& s) {
      if (!is_near(first, s.at)) return false;
      part.point[s.setup][s.sight] = fresh;
      return true;
    });
  }
}

}  // namespace

Part Builder::part_of(const Start& start, const std::vector<std::vector<bool>>& left_out,
                      bool doubts_control) const {
  Part part;
  part.doubts_control = doubts_control;
  part.points = input_.points.size();
  part.point.resize(input_.setups.size());
  std::vector<std::vector<Seen>> seen(input_.points.size());
  for (std::size_t s = 0; s < input_.setups.size(); ++s) {
    const NetSetup& setup = input_.setups[s];
    part.point[s].resize(setup.sights.size());
    if (!start.setups[s]) continue;
    const Pose& pose = *start.setups[s];
    for (std::size_t k = 0; k < setup.sights.size(); ++k) {
      const Sight& sight = setup.sights[k];
      const std::size_t p = setup.points[sight.target];
      if (left_out[s][k] || !start.points[p]) continue;
      part.point[s][k] = p;
      if (!pose.turn || !sight.circle || !sight.horizontal) continue;
      const double way = sight.circle->radians() + *pose.turn, reach = sight.horizontal->metres();
      seen[p].push_back({s, k, {pose.at.n + reach * std::cos(way), pose.at.e + reach * std::sin(way)}});
    }
  }
  std::vector<std::size_t> contradicted(input_.setups.size(), 0);
  for (std::size_t p = 0; p < seen.size(); ++p)
    for (const Seen& s : seen[p])
      if (!control(p) && 2 * agreeing(seen[p], s) <= static_cast<std::ptrdiff_t>(seen[p].size()))
        ++contradicted[s.setup];
  for (std::size_t p = 0; p < seen.size(); ++p) {
    if (seen[p].empty()) continue;
    const auto stated = control(p);
    if (!stated)
      split_off(seen[p], agreed_place(seen[p], contradicted), part);
    else if (doubts_control)
      split_off(seen[p], flat(stated->at, centre_), part);
  }
  return part;
}

void Builder::Maker::step(const BlockSolution& by, double share) {
  const auto move = [&](std::optional<std::size_t> u, double& value) {
    if (u) value += share * by.unknowns()[*u];
  };
  for (std::size_t s = 0; s < out.values.setups.size(); ++s) {
    auto& v = out.values.setups[s];
    const auto& u = out.unknowns.setups[s];
    move(u[0], v.n), move(u[1], v.e), move(u[kTurn], v.turn), move(u[kAxis], v.axis);
  }
  for (std::size_t p = 0; p < out.values.points.size(); ++p) {
    auto& v = out.values.points[p];
    const auto& u = out.unknowns.points[p];
    move(u[0], v.n), move(u[1], v.e), move(u[kHeight], v.h);
  }
  move(out.unknowns.collimation, out.values.collimation);
  move(out.unknowns.index, out.values.index);
  for (std::size_t k = 0; k < out.errors.size(); ++k) move(out.first_error + k, out.errors[k]);
}

void Builder::Maker::mark_open(const BlockSolution& by) {
  std::vector<bool> open(out.unknowns.count, false);
  for (const std::size_t u : by.open()) open[u] = true;
  for (std::size_t s = 0; s < out.open_setups.size(); ++s)
    for (const auto& u : out.unknowns.setups[s])
      if (u && open[*u]) out.open_setups[s] = true;
  for (std::size_t p = 0; p < out.open_points.size(); ++p)
    for (const auto& u : out.unknowns.points[p])
      if (u && open[*u]) out.open_points[p] = true;
}

namespace {
double square_sum(const BlockProblem& p) {
  double out = 0;
  for (const BlockEquation& e : p.equations) out += square(e.right);
  return out;
}
/// Largest change of a computed reading that a step brings, in sds.
double change(const BlockProblem& p, const BlockSolution& by) {
  double most = 0;
  for (const BlockEquation& e : p.equations) {
    double moved = 0;
    for (const Term& t : e.form) moved += t.factor * by.unknowns()[t.unknown];
    most = std::max(most, std::fabs(moved));
  }
  return most;
}
}  // namespace

Start Builder::start_from(const Solved& solved, const Start& first) const {
  Start out = first;
  for (std::size_t s = 0; s < out.setups.size(); ++s) {
    const auto& v = solved.values.setups[s];
    out.setups[s].reset();
    if (solved.in_net[s])
      out.setups[s] = Pose{{v.n, v.e}, solved.has_turn[s] ? std::optional(v.turn) : std::nullopt};
  }
  for (std::size_t p = 0; p < out.points.size(); ++p)
    if (out.points[p]) out.points[p] = Flat{solved.values.points[p].n, solved.values.points[p].e};
  return out;
}

Solved Builder::solve(const Start& start, const Part& part, const Extra& extra) const {
  Maker m(*this, part, extra);
  m.out.extra = extra;
  m.own_frame = std::find(start.own_frame.begin(), start.own_frame.end(), true) != start.own_frame.end();
  m.begin(start);
  m.find_heights();
  m.number_unknowns();
  m.make();
  for (int steps = 0; steps < kMostSteps; ++steps) {
    auto by = std::make_shared<const BlockSolution>(m.problem);
    if (!by->full_rank()) {
      m.mark_open(*by);
      return std::move(m.out);
    }
    const double before = square_sum(m.problem), most = change(m.problem, *by);
    m.out.solution = by;
    if (most <= kSettled) {
      m.out.converged = true;
      break;
    }
    const Values from = m.out.values;
    const std::vector<double> errors = m.out.errors;
    for (double share = 1; share > 1e-6; share /= 2) {
      m.out.values = from;
      m.out.errors = errors;
      m.step(*by, share);
      m.make();
      if (square_sum(m.problem) <= before * (1 + 1e-9) + 1e-12) break;
    }
    // As near as rounding lets it come.
    if (most < 1e-5 && square_sum(m.problem) >= before * (1 - 1e-12)) {
      m.out.solution = std::make_shared<const BlockSolution>(m.problem);
      m.out.converged = true;
      break;
    }
  }
  return std::move(m.out);
}

}  // namespace deckmark::net
