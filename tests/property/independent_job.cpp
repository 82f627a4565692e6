#include "independent_job.h"

#include <cmath>
#include <stdexcept>

namespace deckmark_test {

namespace {

using Row = std::vector<Real>;
using Matrix = std::vector<Row>;

Matrix product(const Matrix& a, const Matrix& b) {
  Matrix out(a.size(), Row(b[0].size(), 0));
  for (std::size_t i = 0; i < a.size(); ++i)
    for (std::size_t k = 0; k < b.size(); ++k)
      for (std::size_t j = 0; j < b[0].size(); ++j) out[i][j] += a[i][k] * b[k][j];
  return out;
}

Matrix transposed(const Matrix& a) {
  Matrix out(a[0].size(), Row(a.size()));
  for (std::size_t i = 0; i < a.size(); ++i)
    for (std::size_t j = 0; j < a[0].size(); ++j) out[j][i] = a[i][j];
  return out;
}

/// a^-1 b by elimination with row exchange.
Matrix solved(Matrix a, Matrix b) {
  const std::size_t n = a.size();
  for (std::size_t c = 0; c < n; ++c) {
    std::size_t best = c;
    for (std::size_t r = c + 1; r < n; ++r)
      if (std::abs(a[r][c]) > std::abs(a[best][c])) best = r;
    if (a[best][c] == 0) throw std::runtime_error("a singular job was made");
    std::swap(a[c], a[best]);
    std::swap(b[c], b[best]);
    for (std::size_t r = 0; r < n; ++r) {
      if (r == c) continue;
      const Real f = a[r][c] / a[c][c];
      for (std::size_t k = c; k < n; ++k) a[r][k] -= f * a[c][k];
      for (Real* into = b[r].data(); const Real from : b[c]) *into++ -= f * from;
    }
  }
  for (std::size_t r = 0; r < n; ++r)
    for (Real& value : b[r]) value /= a[r][r];
  return b;
}

/// One stated coordinate about the centroids: value = t + q (u) + p (v) with (u, v) = (dE, dN) for x, (dN,
/// -dE) for y.
struct Stated {
  std::size_t tie;
  bool is_x;
  Real value, u, v, sd;
};

/// The map from site to drawing.
struct Map {
  Real p = 1, q = 0, tx = 0, ty = 0;           // fitted
  Real north0 = 0, east0 = 0, x0 = 0, y0 = 0;  // centroids
  Real hand = 1;                               // -1: y is reversed
  std::array<Real, 2> drawing(Real north, Real east) const {
    const Real dn = north - north0, de = east - east0;
    return {x0 + tx + q * de + p * dn, hand * (y0 + ty - p * de + q * dn)};
  }
  /// Northing, easting.
  std::array<Real, 2> site(Real x, Real y) const {
    const Real a = x - x0 - tx, b = hand * y - y0 - ty, s2 = p * p + q * q;
    return {north0 + (p * a + q * b) / s2, east0 + (q * a - p * b) / s2};
  }
  /// Site difference turned into the drawing's axes, its length kept.
  std::array<Real, 2> turned(Real dn, Real de) const {
    const Real s = std::sqrt(p * p + q * q);
    return {(q * de + p * dn) / s, hand * (-p * de + q * dn) / s};
  }
};

class Oracle {
 public:
  explicit Oracle(const RandomJob& job) : job_(job) {
    map_.hand = job.mirrored ? -1 : 1;
    centre();
    state();
    if (job.free_scale)
      fit_free();
    else
      fit_fixed();
    estimator();
  }

  Expected expected() const {
    Expected out;
    out.ties = ties();
    const Row plane = deck_plane();
    for (const JobPoint& p : job_.points) {
      const auto at = map_.site(p.x.metres, p.y.metres);
      const Real deck = deck_at(plane, p.x.metres, p.y.metres);
      const Real attach = job_.floor + (p.height ? p.height->metres : job_.attach);
      const auto c = site_covariance(p);
      out.points.push_back({at[0], at[1], deck, deck - job_.floor, deck - attach, semi_major(c)});
    }
    for (const JobDeckMark& m : job_.marks) out.plumb.push_back(plumb(m, plane));
    return out;
  }

 private:
  void centre() {
    Real n = 0, nx = 0, ny = 0;
    for (const JobTie& t : job_.ties) {
      map_.north0 += t.northing.metres;
      map_.east0 += t.easting.metres;
      ++n;
      if (t.x) {
        map_.x0 += t.x->metres;
        ++nx;
      }
      if (t.y) {
        map_.y0 += map_.hand * t.y->metres;
        ++ny;
      }
    }
    map_.north0 /= n;
    map_.east0 /= n;
    map_.x0 /= nx;
    map_.y0 /= ny;
  }

  void state() {
    for (std::size_t i = 0; i < job_.ties.size(); ++i) {
      const JobTie& t = job_.ties[i];
      const Real dn = t.northing.metres - map_.north0, de = t.easting.metres - map_.east0;
      if (t.x) stated_.push_back({i, true, t.x->metres - map_.x0, de, dn, t.sd_x});
      if (t.y) stated_.push_back({i, false, map_.hand * t.y->metres - map_.y0, dn, -de, t.sd_y});
    }
  }

  /// Weighted mean of what is left of one family for a direction: its origin.
  Real origin(bool is_x, Real p, Real q) const {
    Real sum = 0, weight = 0;
    for (const Stated& s : stated_)
      if (s.is_x == is_x) {
        sum += (s.value - q * s.u - p * s.v) / (s.sd * s.sd);
        weight += 1 / (s.sd * s.sd);
      }
    return sum / weight;
  }

  bool tells_direction(const Stated& s) const {
    return job_.held == Held::both || s.is_x == (job_.held == Held::y);
  }

  /// Slope of the square sum by the azimuth, origins eliminated.
  Real slope(Real azimuth) const {
    const Real p = std::cos(azimuth), q = std::sin(azimuth);
    const Real tx = origin(true, p, q), ty = origin(false, p, q);
    Real sum = 0;
    for (const Stated& s : stated_)
      if (tells_direction(s)) {
        const Real v = s.value - (s.is_x ? tx : ty) - q * s.u - p * s.v;
        sum -= 2 * v * (p * s.u - q * s.v) / (s.sd * s.sd);
      }
    return sum;
  }

  void fit_fixed() {
    Real low = job_.true_azimuth - 0.05L, high = job_.true_azimuth + 0.05L;
    if (slope(low) >= 0 || slope(high) <= 0)
      throw std::runtime_error("the least square sum is not near the truth");
    for (int i = 0; i < 90; ++i) {
      const Real middle = (low + high) / 2;
      (slope(middle) < 0 ? low : high) = middle;
    }
    azimuth_ = (low + high) / 2;
    set_direction(azimuth_);
    map_.tx = origin(true, map_.p, map_.q);
    map_.ty = origin(false, map_.p, map_.q);
  }
  void set_direction(Real azimuth) {
    map_.p = std::cos(azimuth);
    map_.q = std::sin(azimuth);
  }

  void fit_free() {
    Matrix normal(4, Row(4, 0)), right(4, Row(1, 0));
    for (const Stated& s : stated_) {
      const Row a = {s.v, s.u, s.is_x ? 1.0L : 0.0L, s.is_x ? 0.0L : 1.0L};
      for (std::size_t i = 0; i < 4; ++i) {
        for (std::size_t k = 0; k < 4; ++k) normal[i][k] += a[i] * a[k] / (s.sd * s.sd);
        right[i][0] += a[i] * s.value / (s.sd * s.sd);
      }
    }
    const Matrix u = solved(normal, right);
    map_.p = u[0][0];
    map_.q = u[1][0];
    map_.tx = u[2][0];
    map_.ty = u[3][0];
  }

  /// Design A (stated by parameters) and estimator G (parameters by stated), parameters azimuth or p, q; then
  /// tx, ty.
  void estimator() {
    const std::size_t n = stated_.size(), u = job_.free_scale ? 4 : 3;
    design_.assign(n, Row(u, 0));
    for (std::size_t i = 0; i < n; ++i) {
      const Stated& s = stated_[i];
      if (job_.free_scale)
        design_[i] = {s.v, s.u, 0, 0};
      else
        design_[i][0] = map_.p * s.u - map_.q * s.v;
      design_[i][u - (s.is_x ? 2 : 1)] = 1;
    }
    if (job_.held == Held::both)
      estimator_ = weighted_inverse(design_, std::vector<bool>(n, true));
    else
      held_estimator();
    Matrix residual_of(n, Row(n, 0));
    const Matrix ag = product(design_, estimator_);
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t k = 0; k < n; ++k) residual_of[i][k] = (i == k ? 1 : 0) - ag[i][k];
    redundancy_.resize(n);
    residual_sd_.assign(n, 0);
    for (std::size_t i = 0; i < n; ++i) {
      redundancy_[i] = residual_of[i][i];
      for (std::size_t k = 0; k < n; ++k)
        residual_sd_[i] += residual_of[i][k] * residual_of[i][k] * stated_[k].sd * stated_[k].sd;
      residual_sd_[i] = std::sqrt(residual_sd_[i]);
    }
    Matrix spread = estimator_;
    for (Row& row : spread)
      for (std::size_t k = 0; k < n; ++k) row[k] *= stated_[k].sd * stated_[k].sd;
    covariance_ = product(spread, transposed(estimator_));
  }

  /// (A'WA)^-1 A'W over the rows that count; columns of rows that do not count are zero.
  Matrix weighted_inverse(const Matrix& a, const std::vector<bool>& counts) const {
    Matrix weighted = transposed(a);
    for (Row& row : weighted)
      for (std::size_t k = 0; k < row.size(); ++k)
        row[k] *= counts[k] ? 1 / (stated_[k].sd * stated_[k].sd) : 0;
    return solved(product(weighted, a), weighted);
  }

  void held_estimator() {
    const std::size_t n = stated_.size();
    const bool by_x = job_.held == Held::y;  // the Y baseline's direction comes from ties that state x
    const std::size_t own = by_x ? 1 : 2, other = by_x ? 2 : 1;
    Matrix a(n, Row(2, 0));
    std::vector<bool> counts(n);
    Real weight = 0;
    for (std::size_t i = 0; i < n; ++i) {
      a[i] = {design_[i][0], design_[i][own]};
      counts[i] = stated_[i].is_x == by_x;
      if (!counts[i]) weight += 1 / (stated_[i].sd * stated_[i].sd);
    }
    const Matrix g = weighted_inverse(a, counts);
    estimator_.assign(3, Row(n, 0));
    estimator_[0] = g[0];
    estimator_[own] = g[1];
    for (std::size_t i = 0; i < n; ++i) {
      if (counts[i]) continue;
      const Real w = 1 / (stated_[i].sd * stated_[i].sd) / weight;
      estimator_[other][i] += w;
      for (std::size_t k = 0; k < n; ++k) estimator_[other][k] -= w * design_[i][0] * g[0][k];
    }
  }

  std::vector<ExpectedTie> ties() const {
    std::vector<ExpectedTie> out;
    for (std::size_t i = 0; i < stated_.size(); ++i) {
      const Stated& s = stated_[i];
      const JobTie& t = job_.ties[s.tie];
      const auto found = map_.drawing(t.northing.metres, t.easting.metres);
      const Real stated = s.is_x ? t.x->metres : t.y->metres, computed = found[s.is_x ? 0 : 1],
                 residual = stated - computed;
      ExpectedTie e{t.name,         s.is_x ? 'x' : 'y', stated,
                    computed,       residual,           residual / residual_sd_[i],
                    redundancy_[i], "within",           false};
      if (std::abs(residual) > job_.tolerance) e.verdict = "outside";
      if (e.redundancy < 0.1L) e.verdict = "unsure";
      e.near_limit =
          std::abs(std::abs(residual) - job_.tolerance) < 1e-7L || std::abs(e.redundancy - 0.1L) < 1e-6L;
      out.push_back(e);
    }
    return out;
  }

  /// Covariance of a mapped place, northing first; derivatives by differences.
  std::array<Real, 3> site_covariance(const JobPoint& point) const {
    const std::size_t u = covariance_.size();
    Matrix derivative(2, Row(u, 0));
    for (std::size_t k = 0; k < u; ++k) {
      const Real step = 1e-6L;
      const auto more = changed(k, step).site(point.x.metres, point.y.metres);
      const auto less = changed(k, -step).site(point.x.metres, point.y.metres);
      for (std::size_t i = 0; i < 2; ++i) derivative[i][k] = (more[i] - less[i]) / (2 * step);
    }
    const Matrix c = product(product(derivative, covariance_), transposed(derivative));
    return {c[0][0], c[0][1], c[1][1]};
  }
  Map changed(std::size_t parameter, Real by) const {
    Map m = map_;
    if (job_.free_scale) {
      (parameter == 0 ? m.p : parameter == 1 ? m.q : parameter == 2 ? m.tx : m.ty) += by;
      return m;
    }
    if (parameter > 0) {
      (parameter == 1 ? m.tx : m.ty) += by;
      return m;
    }
    m.p = std::cos(azimuth_ + by);
    m.q = std::sin(azimuth_ + by);
    return m;
  }
  static Real semi_major(const std::array<Real, 3>& c) {
    const Real half = (c[0] - c[2]) / 2;
    return std::sqrt((c[0] + c[2]) / 2 + std::sqrt(half * half + c[1] * c[1]));
  }

  /// Elevation = h + a x + b y over drawing coordinates about the points' own centre: a plane is one in any
  /// frame.
  Row deck_plane() const {
    if (job_.shots.empty()) return {job_.level, 0, 0};
    Matrix normal(3, Row(3, 0)), right(3, Row(1, 0));
    for (const JobShot& s : job_.shots) {
      const auto at =
          s.on_site ? map_.drawing(s.a.metres, s.b.metres) : std::array<Real, 2>{s.a.metres, s.b.metres};
      const Row a = {1, at[0] - map_.x0, at[1] - map_.hand * map_.y0};
      for (std::size_t i = 0; i < 3; ++i) {
        for (std::size_t k = 0; k < 3; ++k) normal[i][k] += a[i] * a[k];
        right[i][0] += a[i] * s.elevation.metres;
      }
    }
    const Matrix h = solved(normal, right);
    return {h[0][0], h[1][0], h[2][0]};
  }
  Real deck_at(const Row& plane, Real x, Real y) const {
    return plane[0] + plane[1] * (x - map_.x0) + plane[2] * (y - map_.hand * map_.y0);
  }

  ExpectedPlumb plumb(const JobDeckMark& m, const Row& plane) const {
    const JobPoint& p = job_.points[m.point];
    const auto design = map_.site(p.x.metres, p.y.metres);
    std::array<Real, 2> off{m.a.metres, m.b.metres};
    std::array<Real, 2> on_site{};  // northing, easting of the offset
    if (m.on_site) {
      on_site = {m.a.metres - design[0], m.b.metres - design[1]};
      off = map_.turned(on_site[0], on_site[1]);
    } else {
      const Real s = std::sqrt(map_.p * map_.p + map_.q * map_.q), a = off[0], b = map_.hand * off[1];
      on_site = {(map_.p * a + map_.q * b) / s, (map_.q * a - map_.p * b) / s};
    }
    const auto there = map_.drawing(design[0] + on_site[0], design[1] + on_site[1]);
    const Real deck = m.elevation ? m.elevation->metres : deck_at(plane, there[0], there[1]);
    ExpectedPlumb e{off[0], off[1], std::hypot(off[0], off[1]), deck - job_.floor, 0, 0, "within", false};
    e.drop = deck - job_.floor - (p.height ? p.height->metres : job_.attach);
    // Offsets measured from the floor mark itself hold nothing of the fit.
    auto c = m.on_site ? site_covariance(p) : std::array<Real, 3>{};
    const Real fit_sd = semi_major(c);
    c[0] += job_.plumb_sd * job_.plumb_sd;
    c[2] += job_.plumb_sd * job_.plumb_sd;
    const Real n = on_site[0] / e.offset, g = on_site[1] / e.offset;
    e.sd =
        e.offset < semi_major(c) ? semi_major(c) : std::sqrt(n * n * c[0] + 2 * n * g * c[1] + g * g * c[2]);
    const Real steep = e.drop / job_.slope;
    // Where the fit places the design worse than the tolerance, two sds to either side of a limit are unsure.
    const Real band = fit_sd > job_.plumb_tolerance ? 2 * e.sd : 0,
               limit = std::min(job_.plumb_tolerance, steep);
    e.verdict = e.offset > limit + band ? "outside" : e.offset > limit - band ? "unsure" : "within";
    e.near_limit = std::abs(e.offset - limit - band) < 1e-7L || std::abs(e.offset - limit + band) < 1e-7L ||
                   std::abs(fit_sd - job_.plumb_tolerance) < 1e-9L ||
                   std::abs(e.offset - semi_major(c)) < 1e-7L;
    return e;
  }

  const RandomJob& job_;
  Map map_;
  Real azimuth_ = 0;
  std::vector<Stated> stated_;
  Matrix design_, estimator_, covariance_;
  Row redundancy_, residual_sd_;
};

}  // namespace

Expected computed_independently(const RandomJob& job) { return Oracle(job).expected(); }

}  // namespace deckmark_test
