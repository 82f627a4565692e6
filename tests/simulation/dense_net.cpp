#include "simulation/dense_net.h"

#include <algorithm>
#include <cmath>
#include <Eigen/Dense>
#include <numbers>

namespace dense_net {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

/// A number that is held (`column` below 0) or an unknown; two that share a column move together.
struct Part {
  double value = 0;
  Index column = -1;
};
struct Point {
  Part n, e, h;
};
struct Station {
  Part n, e, axis, turn;
};
using Terms = std::vector<std::pair<Index, double>>;

/// One equation before it is weighted: observed minus computed, and the derivatives of what is computed.
struct Equation {
  double misfit = 0;
  Terms terms;
  void add(const Part& part, double slope) {
    if (part.column >= 0) terms.emplace_back(part.column, slope);
  }
};
/// One or two equations with their covariance.
struct Group {
  std::size_t ray = 0;
  enum class Kind { circle, distance, zenith, other } kind = Kind::other;
  std::vector<Equation> equations;
  Eigen::Matrix2d covariance = Eigen::Matrix2d::Identity();  ///< its first row and column where it is one
};

double turned(double angle) { return std::remainder(angle, 2 * std::numbers::pi); }

class Adjustment {
 public:
  explicit Adjustment(const Net& net) : net_(net), north_(net.marks.front().n), east_(net.marks.front().e) {
    lay_out();
  }

  Adjusted run() {
    Adjusted out;
    for (int step = 0; step < 60 && !out.settled; ++step) out.settled = one_step() < 1e-6;
    collect(out);
    return out;
  }

 private:
  Part free(double value) { return {value, unknowns_++}; }

  bool is_sighted(std::size_t mark, bool in_height) const {
    return std::any_of(net_.rays.begin(), net_.rays.end(),
                       [&](const Ray& r) { return r.mark == mark && (!in_height || r.zenith); });
  }
  bool reads_heights(std::size_t stand) const {
    return std::any_of(net_.rays.begin(), net_.rays.end(),
                       [&](const Ray& r) { return r.stand == stand && r.zenith; });
  }
  bool stood_over(std::size_t mark, bool in_height) const {
    for (std::size_t s = 0; s < net_.stands.size(); ++s)
      if (net_.stands[s].over == mark && (!in_height || reads_heights(s))) return true;
    return false;
  }

  void lay_out() {
    for (std::size_t i = 0; i < net_.marks.size(); ++i) {
      const Mark& m = net_.marks[i];
      const bool open = !m.is_control || m.sd > 0;
      const auto part = [&](double value, bool unknown) { return unknown ? free(value) : Part{value, -1}; };
      const bool plan = open && (is_sighted(i, false) || stood_over(i, false));
      const bool height = (open || !m.has_height) && (is_sighted(i, true) || stood_over(i, true));
      points_.push_back({part(m.n - north_, plan), part(m.e - east_, plan), part(m.h, height)});
    }
    for (std::size_t i = 0; i < net_.stands.size(); ++i) {
      const Stand& s = net_.stands[i];
      Station to;
      const bool exact = s.over && net_.sds.centring == 0;
      to.n = exact ? points_[*s.over].n : free(s.n - north_);
      to.e = exact ? points_[*s.over].e : free(s.e - east_);
      const bool heights = reads_heights(i);
      if (s.over && net_.sds.height == 0) {
        to.axis = points_[*s.over].h;
        to.axis.value += s.height;
      } else {
        to.axis = heights ? free(s.axis) : Part{s.axis, -1};
      }
      const bool circles = std::any_of(net_.rays.begin(), net_.rays.end(),
                                       [&](const Ray& r) { return r.stand == i && r.circle; });
      to.turn = circles ? free(s.turn) : Part{s.turn, -1};
      stations_.push_back(to);
    }
  }

  std::vector<Group> groups() const {
    std::vector<Group> out;
    const auto observe = [&](const Part& part, double stated, double sd) {
      if (part.column < 0) return;
      Group g;
      g.covariance(0, 0) = sd * sd;
      g.equations.resize(1);
      g.equations[0].misfit = stated - part.value;
      g.equations[0].add(part, 1);
      out.push_back(g);
    };
    for (std::size_t i = 0; i < net_.marks.size(); ++i) {
      const Mark& m = net_.marks[i];
      if (!m.is_control || m.sd == 0) continue;
      observe(points_[i].n, m.n - north_, m.sd);
      observe(points_[i].e, m.e - east_, m.sd);
      if (m.has_height) observe(points_[i].h, m.h, m.sd);
    }
    for (std::size_t i = 0; i < net_.stands.size(); ++i)
      if (net_.stands[i].over) add_standing(out, i);
    for (std::size_t i = 0; i < net_.rays.size(); ++i) add_ray(out, i);
    return out;
  }

  void add_standing(std::vector<Group>& out, std::size_t i) const {
    const Stand& s = net_.stands[i];
    const auto over = [&](const Part& above, const Part& below, double difference, double sd) {
      Group g;
      g.covariance(0, 0) = sd * sd;
      g.equations.resize(1);
      g.equations[0].misfit = difference - (above.value - below.value);
      g.equations[0].add(above, 1);
      g.equations[0].add(below, -1);
      out.push_back(g);
    };
    const Point& mark = points_[*s.over];
    if (net_.sds.centring > 0) {
      over(stations_[i].n, mark.n, 0, net_.sds.centring);
      over(stations_[i].e, mark.e, 0, net_.sds.centring);
    }
    const bool known = net_.marks[*s.over].has_height || mark.h.column >= 0;
    if (net_.sds.height > 0 && reads_heights(i) && known)
      over(stations_[i].axis, mark.h, s.height, net_.sds.height);
  }

  void add_ray(std::vector<Group>& out, std::size_t i) const {
    const Ray& r = net_.rays[i];
    const Station& s = stations_[r.stand];
    const Point& t = points_[r.mark];
    const double dn = t.n.value - s.n.value, de = t.e.value - s.e.value, reach = std::hypot(dn, de);
    const std::optional<double> horizontal = r.horizontal ? r.horizontal
                                             : r.slope && r.zenith
                                                 ? std::optional(*r.slope * std::sin(*r.zenith))
                                                 : std::nullopt;
    if (r.circle) {
      Group g;
      g.ray = i, g.kind = Group::Kind::circle;
      const double across = r.target_sd / horizontal.value_or(reach);
      g.covariance(0, 0) = r.circle_sd * r.circle_sd + across * across;
      g.equations.resize(1);
      Equation& q = g.equations[0];
      q.misfit = turned(*r.circle + s.turn.value - std::atan2(de, dn));
      q.add(t.n, -de / (reach * reach)), q.add(t.e, dn / (reach * reach));
      q.add(s.n, de / (reach * reach)), q.add(s.e, -dn / (reach * reach));
      q.add(s.turn, -1);
      out.push_back(g);
    }
    if (horizontal)
      out.push_back(polar(i, *horizontal));
    else if (r.zenith)
      out.push_back(zenith_alone(i));
  }

  /// A horizontal distance, and the rise that goes with it where a zenith was read.
  Group polar(std::size_t i, double horizontal) const {
    const Ray& r = net_.rays[i];
    const Station& s = stations_[r.stand];
    const Point& t = points_[r.mark];
    const double dn = t.n.value - s.n.value, de = t.e.value - s.e.value, reach = std::hypot(dn, de);
    Group g;
    g.ray = i, g.kind = Group::Kind::distance;
    g.equations.resize(r.zenith ? 2 : 1);
    Equation& q = g.equations[0];
    q.misfit = horizontal - reach;
    q.add(t.n, dn / reach), q.add(t.e, de / reach), q.add(s.n, -dn / reach), q.add(s.e, -de / reach);
    g.covariance(0, 0) = r.slope_sd * r.slope_sd + r.target_sd * r.target_sd;
    if (!r.zenith) return g;
    const double z = *r.zenith, line = horizontal / std::sin(z);
    Equation& up = g.equations[1];
    up.misfit = line * std::cos(z) - (t.h.value + r.target_height - s.axis.value);
    up.add(t.h, 1), up.add(s.axis, -1);
    Eigen::Matrix2d by;  // of distance and rise by what was read
    if (r.slope)
      by << std::sin(z), line * std::cos(z), std::cos(z), -line * std::sin(z);
    else
      by << 1, 0, std::cos(z) / std::sin(z), -line / std::sin(z);
    const Eigen::Vector2d sds(r.slope_sd, r.zenith_sd);
    g.covariance = by * sds.cwiseProduct(sds).asDiagonal() * by.transpose();
    g.covariance(0, 0) += r.target_sd * r.target_sd;
    g.covariance(1, 1) += net_.sds.height * net_.sds.height;
    return g;
  }

  /// A zenith angle without a distance.
  Group zenith_alone(std::size_t i) const {
    const Ray& r = net_.rays[i];
    const Station& s = stations_[r.stand];
    const Point& t = points_[r.mark];
    const double dn = t.n.value - s.n.value, de = t.e.value - s.e.value, reach = std::hypot(dn, de);
    const double up = t.h.value + r.target_height - s.axis.value, square = reach * reach + up * up;
    Group g;
    g.ray = i, g.kind = Group::Kind::zenith;
    g.equations.resize(1);
    Equation& q = g.equations[0];
    q.misfit = *r.zenith - std::atan2(reach, up);
    const double by_reach = up / square, by_up = -reach / square;
    q.add(t.n, by_reach * dn / reach), q.add(t.e, by_reach * de / reach);
    q.add(s.n, -by_reach * dn / reach), q.add(s.e, -by_reach * de / reach);
    q.add(t.h, by_up), q.add(s.axis, -by_up);
    g.covariance(0, 0) = r.zenith_sd * r.zenith_sd + std::pow(by_reach * r.target_sd, 2) +
                         std::pow(by_up * net_.sds.height, 2);
    return g;
  }

  /// The square root L of a group's covariance, L L' = covariance.
  static MatrixXd root(const Group& g) {
    const auto size = static_cast<Index>(g.equations.size());
    return g.covariance.topLeftCorner(size, size).llt().matrixL();
  }

  void fill(const std::vector<Group>& all, MatrixXd& design, VectorXd& misfit) const {
    Index rows = 0;
    for (const Group& g : all) rows += static_cast<Index>(g.equations.size());
    design = MatrixXd::Zero(rows, unknowns_);
    misfit = VectorXd::Zero(rows);
    Index row = 0;
    for (const Group& g : all) {
      const auto size = static_cast<Index>(g.equations.size());
      for (Index k = 0; k < size; ++k) {
        const Equation& q = g.equations[static_cast<std::size_t>(k)];
        misfit(row + k) = q.misfit;
        for (const auto& [column, slope] : q.terms) design(row + k, column) += slope;
      }
      const MatrixXd l = root(g);
      l.triangularView<Eigen::Lower>().solveInPlace(design.middleRows(row, size));
      auto part = misfit.segment(row, size);
      l.triangularView<Eigen::Lower>().solveInPlace(part);
      row += size;
    }
  }

  /// The largest change of an observed value, in its sds.
  double one_step() {
    MatrixXd design;
    VectorXd misfit;
    fill(groups(), design, misfit);
    if (unknowns_ == 0) return 0;
    const VectorXd by = design.colwise().norm().cwiseMax(1e-300);
    const VectorXd step =
        (design * by.cwiseInverse().asDiagonal()).householderQr().solve(misfit).cwiseQuotient(by);
    const auto move = [&](Part& part) {
      if (part.column >= 0) part.value += step(part.column);
    };
    for (Point& p : points_) move(p.n), move(p.e), move(p.h);
    for (Station& s : stations_) move(s.n), move(s.e), move(s.axis), move(s.turn);
    return (design * step).lpNorm<Eigen::Infinity>();
  }

  void collect(Adjusted& out) const {
    const std::vector<Group> all = groups();
    MatrixXd design;
    VectorXd misfit;
    fill(all, design, misfit);
    const VectorXd by = design.colwise().norm().cwiseMax(1e-300);
    const MatrixXd scaled = design * by.cwiseInverse().asDiagonal();
    MatrixXd inverse = MatrixXd::Identity(unknowns_, unknowns_);
    const MatrixXd r = scaled.householderQr().matrixQR().topRows(unknowns_);
    r.triangularView<Eigen::Upper>().solveInPlace(inverse);
    const MatrixXd half = by.cwiseInverse().asDiagonal() * inverse;
    const MatrixXd covariance = half * half.transpose();
    const MatrixXd spread = design * half;  // A R^-1: its rows give A Sigma A'
    out.observations = static_cast<std::size_t>(design.rows());
    out.unknowns = static_cast<std::size_t>(unknowns_);
    out.degrees_of_freedom = out.observations - out.unknowns;
    out.square_sum = misfit.squaredNorm();
    const auto at = [&](const Part& a, const Part& b) {
      return a.column < 0 || b.column < 0 ? 0.0 : covariance(a.column, b.column);
    };
    for (const Point& p : points_)
      out.marks.push_back({p.n.value + north_, p.e.value + east_, p.h.value, std::sqrt(at(p.n, p.n)),
                           std::sqrt(at(p.e, p.e)), std::sqrt(at(p.h, p.h)), at(p.n, p.e)});
    for (std::size_t i = 0; i < stations_.size(); ++i) out.stands.push_back(standing(i, at));
    collect_rows(out, all, spread, misfit);
  }

  template <class At>
  Standing standing(std::size_t i, const At& at) const {
    const Station& s = stations_[i];
    const Stand& stated = net_.stands[i];
    Standing p;
    p.n = s.n.value + north_, p.e = s.e.value + east_, p.h = s.axis.value - stated.height;
    p.sd_n = std::sqrt(at(s.n, s.n)), p.sd_e = std::sqrt(at(s.e, s.e)), p.cross = at(s.n, s.e);
    p.turn = s.turn.value, p.sd_turn = std::sqrt(at(s.turn, s.turn));
    p.sd_h = std::hypot(std::sqrt(at(s.axis, s.axis)), net_.sds.height);
    if (stated.over) {  // the ground below is the mark
      const Part& h = points_[*stated.over].h;
      p.h = h.value, p.sd_h = std::sqrt(at(h, h));
    }
    return p;
  }

  void collect_rows(Adjusted& out, const std::vector<Group>& all, const MatrixXd& spread,
                    const VectorXd& misfit) const {
    out.rays.resize(net_.rays.size());
    Index row = 0;
    for (const Group& g : all) {
      const auto size = static_cast<Index>(g.equations.size());
      const MatrixXd part = spread.middleRows(row, size), l = root(g);
      const MatrixXd whitened = MatrixXd::Identity(size, size) - part * part.transpose();
      const MatrixXd residual_covariance = l * whitened * l.transpose();
      const MatrixXd share = residual_covariance * (l * l.transpose()).inverse();
      const VectorXd residual = l * misfit.segment(row, size);
      row += size;
      if (g.kind == Group::Kind::other) continue;
      RayRows& to = out.rays[g.ray];
      const auto put = [&](Row& r, Index k) {
        const double sd = std::sqrt(std::max(residual_covariance(k, k), 0.0));
        r = {true, residual(k), share(k, k), sd > 0 ? residual(k) / sd : 0, sd};
      };
      put(g.kind == Group::Kind::circle   ? to.circle
          : g.kind == Group::Kind::zenith ? to.rise
                                          : to.distance,
          0);
      if (size == 2) put(to.rise, 1);
    }
  }

  const Net& net_;
  double north_, east_;  // what all coordinates are from, so that none is large
  Index unknowns_ = 0;
  std::vector<Point> points_;
  std::vector<Station> stations_;
};

}  // namespace

Adjusted adjust(const Net& net) { return Adjustment(net).run(); }

}  // namespace dense_net
