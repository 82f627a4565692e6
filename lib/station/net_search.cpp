#include "station/net_search.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>
#include <utility>

#include "adjust/solve.h"
#include "station/plan_fit.h"

namespace deckmark::net {

namespace {

constexpr double kNear = 0.02;             // share of the reach within which start values agree
constexpr double kSame = 0.01;             // share of the reach within which two candidates are one
constexpr std::size_t kMostLoci = 10;      // of one point that are cut with one another
constexpr std::size_t kMostBranches = 24;  // places that are left in two ways, gone through
constexpr std::size_t kMostSeeds = 8;
constexpr double kOfPlace = 1e6;  // what one more place may cost in square sums

double away(const Flat& a, const Flat& b) { return std::hypot(a.n - b.n, a.e - b.e); }
double azimuth(const Flat& from, const Flat& to) { return std::atan2(to.e - from.e, to.n - from.n); }
double wrap(double radians) { return std::remainder(radians, 2 * std::numbers::pi); }

/// What one sight says of two places: `from` is where the setup stands.
struct Line {
  std::size_t setup = 0, from = 0, to = 0;
  std::optional<double> circle, distance;
  double circle_sd = 0, distance_sd = 0;
};

/// Where something may lie: on a ray, or on a circle about a known point or through two of them.
struct Locus {
  bool is_ray = false;
  Flat at;  // where the ray begins, the middle of the circle
  double azimuth = 0, radius = 0;
  std::optional<Flat> not_here[2];  // known points on the circle, which are cut by every other one
};

std::vector<Flat> cut(const Locus& a, const Locus& b) {
  if (!a.is_ray && b.is_ray) return cut(b, a);
  const double n = b.at.n - a.at.n, e = b.at.e - a.at.e, base = std::hypot(n, e);
  if (a.is_ray) {
    const double un = std::cos(a.azimuth), ue = std::sin(a.azimuth);
    const auto along = [&](double t) { return Flat{a.at.n + t * un, a.at.e + t * ue}; };
    if (b.is_ray) {
      const double sine = std::sin(b.azimuth - a.azimuth);
      if (std::fabs(sine) < 0.02) return {};
      const double t = (n * std::sin(b.azimuth) - e * std::cos(b.azimuth)) / sine;
      const double u = (n * ue - e * un) / sine;
      return t > 0 && u > 0 ? std::vector<Flat>{along(t)} : std::vector<Flat>{};
    }
    const double foot = n * un + e * ue, off = n * ue - e * un;
    const double square = b.radius * b.radius - off * off;
    if (square < -0.05 * b.radius * b.radius) return {};
    const double half = std::sqrt(std::max(square, 0.0));
    std::vector<Flat> out;
    for (const double t : {foot - half, foot + half})
      if (t > 0) out.push_back(along(t));
    return out;
  }
  if (base < 1e-6) return {};
  const double foot = (base * base + a.radius * a.radius - b.radius * b.radius) / (2 * base);
  const double square = a.radius * a.radius - foot * foot;
  if (square < -0.05 * a.radius * a.radius) return {};
  const double half = std::sqrt(std::max(square, 0.0)), un = n / base, ue = e / base;
  return {{a.at.n + foot * un - half * ue, a.at.e + foot * ue + half * un},
          {a.at.n + foot * un + half * ue, a.at.e + foot * ue - half * un}};
}

/// Places and turns in one frame.
struct Frame {
  std::vector<std::optional<Flat>> at;      // by node
  std::vector<std::optional<double>> turn;  // by setup
  bool has_scale = true;
  std::size_t placed() const {
    return static_cast<std::size_t>(
        std::count_if(at.begin(), at.end(), [](const auto& a) { return a.has_value(); }));
  }
};

struct Candidate {
  Flat at;
  double misfit = 0;  // readings that do not agree, each 0 to 1
  std::size_t readings = 0;
};

class Search {
 public:
  Search(const NetInput& input, Start& start)
      : input_(input), start_(start), nodes_(input.points.size() + input.setups.size()) {
    read_lines();
  }

  void run() {
    Frame site = known();
    if (site.placed() == 0) return;
    if (!is_whole(site)) {
      site = grown(std::move(site));
      for (std::size_t round = 0; round < input_.points.size() && !is_whole(site); ++round) {
        const auto more = from_seed(site);
        if (!more) break;
        site = *more;
      }
    }
    orient(site);
    take(site);
  }

 private:
  // ---- the readings
  std::size_t node_of(std::size_t setup) const {
    return input_.setups[setup].over.value_or(input_.points.size() + setup);
  }
  void read_lines() {
    of_node_.resize(nodes_);
    of_setup_.resize(input_.setups.size());
    for (std::size_t s = 0; s < input_.setups.size(); ++s)
      for (const Sight& sight : input_.setups[s].sights) {
        Line l;
        l.setup = s, l.from = node_of(s), l.to = input_.setups[s].points[sight.target];
        if (l.from == l.to) continue;
        if (sight.circle) l.circle = sight.circle->degrees() * std::numbers::pi / 180;
        if (sight.horizontal) l.distance = sight.horizontal->metres();
        if (!l.circle && !l.distance) continue;
        l.circle_sd = std::max(sight.circle_sd.radians(), 1e-6);
        l.distance_sd = std::max(sight.distance_sd.metres(), 1e-4);
        of_node_[l.from].push_back(lines_.size()), of_node_[l.to].push_back(lines_.size());
        of_setup_[s].push_back(lines_.size());
        lines_.push_back(l);
      }
  }
  Frame known() const {
    Frame out{std::vector<std::optional<Flat>>(nodes_),
              std::vector<std::optional<double>>(input_.setups.size())};
    for (std::size_t p = 0; p < input_.points.size(); ++p) out.at[p] = start_.points[p];
    for (std::size_t s = 0; s < input_.setups.size(); ++s)
      if (const auto& pose = start_.setups[s]) out.at[node_of(s)] = pose->at, out.turn[s] = pose->turn;
    return out;
  }
  bool is_whole(const Frame& f) const {
    for (std::size_t node = 0; node < nodes_; ++node)
      if (!f.at[node] && of_node_[node].size() > 1) return false;
    for (std::size_t s = 0; s < input_.setups.size(); ++s)
      if (!of_setup_[s].empty() && !start_.setups[s] && !f.at[node_of(s)]) return false;
    return true;
  }
  /// What the search found becomes part of the start.
  void take(const Frame& site) {
    for (std::size_t p = 0; p < input_.points.size(); ++p)
      if (!start_.points[p]) start_.points[p] = site.at[p];
    for (std::size_t s = 0; s < input_.setups.size(); ++s) {
      if (of_setup_[s].empty() || !site.at[node_of(s)]) continue;
      if (!start_.setups[s]) start_.setups[s] = Pose{*site.at[node_of(s)], site.turn[s]};
      if (!start_.setups[s]->turn) start_.setups[s]->turn = site.turn[s];
    }
  }

  // ---- growing a frame
  bool orient(Frame& f) const {
    bool changed = false;
    for (std::size_t s = 0; s < input_.setups.size(); ++s) {
      if (f.turn[s] || !f.at[node_of(s)]) continue;
      f.turn[s] = turn_at(f, s, *f.at[node_of(s)]);
      changed = changed || f.turn[s];
    }
    return changed;
  }
  /// The turn on which most circles to known places agree.
  std::optional<double> turn_at(const Frame& f, std::size_t s, const Flat& at) const {
    std::vector<double> turns;
    for (const std::size_t l : of_setup_[s])
      if (lines_[l].circle && f.at[lines_[l].to] && away(at, *f.at[lines_[l].to]) > 1e-3)
        turns.push_back(azimuth(at, *f.at[lines_[l].to]) - *lines_[l].circle);
    std::optional<double> best;
    std::ptrdiff_t most = 0;
    for (const double t : turns) {
      const auto agree =
          std::count_if(turns.begin(), turns.end(), [&](double u) { return std::fabs(wrap(t - u)) < kNear; });
      if (agree > most) most = agree, best = t;
    }
    return best;
  }
  /// A frame without a scale gets it from the first distance between two places.
  void scale(Frame& f) const {
    if (f.has_scale) return;
    for (const Line& l : lines_) {
      if (!l.distance || !f.at[l.from] || !f.at[l.to]) continue;
      const double by = *l.distance / away(*f.at[l.from], *f.at[l.to]);
      for (auto& at : f.at)
        if (at) at = Flat{at->n * by, at->e * by};
      f.has_scale = true;
      return;
    }
  }

  std::vector<Locus> loci_of(const Frame& f, std::size_t node) const {
    std::vector<Locus> out;
    for (const std::size_t i : of_node_[node]) {
      const Line& l = lines_[i];
      const std::size_t other = l.from == node ? l.to : l.from;
      if (!f.at[other]) continue;
      if (l.distance && f.has_scale) out.push_back({false, *f.at[other], 0, *l.distance, {}});
      if (l.circle && l.to == node && f.turn[l.setup])
        out.push_back({true, *f.at[other], *l.circle + *f.turn[l.setup], 0, {}});
    }
    for (std::size_t s = 0; s < input_.setups.size(); ++s)
      if (node_of(s) == node && !f.turn[s]) add_arcs(f, s, out);
    if (out.size() > kMostLoci) out.resize(kMostLoci);
    return out;
  }
  /// Two circles to known places: the setup stands where these are seen under that angle.
  void add_arcs(const Frame& f, std::size_t s, std::vector<Locus>& out) const {
    std::vector<const Line*> seen;
    for (const std::size_t l : of_setup_[s])
      if (lines_[l].circle && f.at[lines_[l].to]) seen.push_back(&lines_[l]);
    for (std::size_t k = 1; k < seen.size(); ++k) {
      const Flat &a = *f.at[seen[k - 1]->to], &b = *f.at[seen[k]->to];
      const double angle = *seen[k]->circle - *seen[k - 1]->circle, chord = away(a, b);
      if (chord < 1e-6 || std::fabs(std::sin(angle)) < 1e-3) continue;
      // Seen from the arc b lies clockwise of a by the angle: the arc's middle is off the chord on that side.
      const double off = chord / 2 / std::tan(angle), un = (b.n - a.n) / chord, ue = (b.e - a.e) / chord;
      const Flat middle{(a.n + b.n) / 2 - off * ue, (a.e + b.e) / 2 + off * un};
      out.push_back({false, middle, 0, away(middle, a), {a, b}});
    }
  }

  /// How far a place disagrees with every reading to what is known.
  Candidate weighed(const Frame& f, std::size_t node, const Flat& at) const {
    Candidate out{at};
    const auto add = [&out](double off, double reach) {
      out.misfit += std::min(std::fabs(off) / std::max(kNear * reach, 1e-9), 1.0);
      ++out.readings;
    };
    for (const std::size_t i : of_node_[node]) {
      const Line& l = lines_[i];
      const std::size_t other = l.from == node ? l.to : l.from;
      if (!f.at[other]) continue;
      const double reach = away(at, *f.at[other]);
      if (l.distance && f.has_scale) add(reach - *l.distance, std::max(reach, *l.distance));
      if (l.circle && l.to == node && f.turn[l.setup])
        add(wrap(azimuth(*f.at[other], at) - *l.circle - *f.turn[l.setup]), 1);
    }
    for (std::size_t s = 0; s < input_.setups.size(); ++s) {
      if (node_of(s) != node) continue;
      const auto turn = turn_at(f, s, at);
      if (!turn) continue;
      std::size_t circles = 0;
      for (const std::size_t l : of_setup_[s])
        if (lines_[l].circle && f.at[lines_[l].to] && ++circles > 0)
          add(wrap(azimuth(at, *f.at[lines_[l].to]) - *lines_[l].circle - *turn), 1);
      --out.readings;  // one of them gave the turn
    }
    return out;
  }

  /// Places that the readings leave to a node, the best first.
  std::vector<Candidate> candidates(const Frame& f, std::size_t node) const {
    const std::vector<Locus> loci = loci_of(f, node);
    std::vector<Candidate> out;
    for (std::size_t i = 0; i < loci.size(); ++i)
      for (std::size_t j = i + 1; j < loci.size(); ++j)
        for (const Flat& at : cut(loci[i], loci[j])) {
          const auto is_at = [&](const std::optional<Flat>& p) {
            return p && away(at, *p) < kSame * std::max(loci[i].radius, loci[j].radius);
          };
          if (is_at(loci[i].not_here[0]) || is_at(loci[i].not_here[1]) || is_at(loci[j].not_here[0]) ||
              is_at(loci[j].not_here[1]))
            continue;
          out.push_back(weighed(f, node, at));
        }
    std::sort(out.begin(), out.end(),
              [](const Candidate& a, const Candidate& b) { return a.misfit < b.misfit; });
    double reach = 0;
    for (const std::size_t i : of_node_[node])
      for (const std::size_t other : {lines_[i].from, lines_[i].to})
        if (!out.empty() && other != node && f.at[other])
          reach = std::max(reach, away(out.front().at, *f.at[other]));
    std::vector<Candidate> apart;
    for (const Candidate& c : out)
      if (std::all_of(apart.begin(), apart.end(),
                      [&](const Candidate& a) { return away(a.at, c.at) > kSame * reach; }))
        apart.push_back(c);
    return apart;
  }

  /// Places all that lies in one way; the best node that lies in two, or none.
  std::optional<std::size_t> settle(Frame& f, const std::vector<bool>& passed_over) const {
    while (true) {
      scale(f);
      bool changed = orient(f);
      std::optional<std::size_t> best, doubtful;
      Candidate where;
      std::size_t most = 0, most_doubtful = 0;
      for (std::size_t node = 0; node < nodes_; ++node) {
        if (f.at[node] || of_node_[node].empty()) continue;
        const auto found = candidates(f, node);
        if (found.empty() || found.front().misfit > 0.7 * static_cast<double>(found.front().readings))
          continue;
        const Candidate& c = found.front();
        const bool single = found.size() == 1 || found[1].misfit > c.misfit + 0.6;
        if (single && c.readings > most) most = c.readings, best = node, where = c;
        if (!single && !passed_over[node] && c.readings > most_doubtful)
          most_doubtful = c.readings, doubtful = node;
      }
      if (best) f.at[*best] = where.at, changed = true;
      if (!changed) return doubtful;
    }
  }

  /// Goes on from a frame as far as it leads. Where a place is left in two ways both are gone on from, and
  /// the better end counts; with two that fit alike nothing hangs on the place.
  Frame grown(Frame f) const {
    std::size_t left = kMostBranches;
    return branch(std::move(f), left);
  }
  Frame branch(Frame f, std::size_t& left) const {
    std::vector<bool> passed_over(nodes_, false);
    while (const auto doubtful = settle(f, passed_over)) {
      if (left == 0) return f;
      --left;
      const auto found = candidates(f, *doubtful);
      std::pair<double, Frame> ends[2];
      for (std::size_t k = 0; k < 2; ++k) {
        ends[k].second = f;
        ends[k].second.at[*doubtful] = found[k].at;
        ends[k].second = branch(std::move(ends[k].second), left);
        ends[k].first = end_of(ends[k].second);
      }
      const std::size_t best = ends[0].first <= ends[1].first ? 0 : 1;
      const bool alike = ends[1 - best].first < ends[best].first + kTellApart &&
                         away(*ends[0].second.at[*doubtful], *ends[1].second.at[*doubtful]) > 1e-3;
      if (!alike) return std::move(ends[best].second);
      passed_over[*doubtful] = true;
    }
    return f;
  }
  /// Less is better: more that is placed, then the square sum.
  double end_of(Frame& f) const { return misfit_of(f) - kOfPlace * static_cast<double>(f.placed()); }

  // ---- how well a frame fits
  struct Fit {
    std::vector<std::optional<std::size_t>> node, turn;  // first unknown of each
    std::vector<std::size_t> lines;
    std::size_t unknowns = 0;
  };
  bool is_held(std::size_t node) const { return node < input_.points.size() && input_.points[node].control; }

  /// Adjusts the places of a frame and gives the square sum.
  double misfit_of(Frame& f) const {
    Fit fit;
    fit.node.resize(nodes_), fit.turn.resize(input_.setups.size());
    std::vector<double> start, observed, sds;
    for (std::size_t node = 0; node < nodes_; ++node)
      if (f.at[node] && !is_held(node)) {
        fit.node[node] = start.size();
        start.push_back(f.at[node]->n), start.push_back(f.at[node]->e);
      }
    for (std::size_t s = 0; s < f.turn.size(); ++s)
      if (f.turn[s]) fit.turn[s] = start.size(), start.push_back(*f.turn[s]);
    for (std::size_t i = 0; i < lines_.size(); ++i) {
      const Line& l = lines_[i];
      if (!f.at[l.from] || !f.at[l.to]) continue;
      if (l.circle && f.turn[l.setup])
        fit.lines.push_back(2 * i), observed.push_back(0), sds.push_back(l.circle_sd);
      if (l.distance && f.has_scale)
        fit.lines.push_back(2 * i + 1), observed.push_back(*l.distance), sds.push_back(l.distance_sd);
    }
    return adjusted(f, fit, start, observed, sds);
  }
  double adjusted(Frame& f, const Fit& fit, std::vector<double> x, const std::vector<double>& observed,
                  const std::vector<double>& sds) const {
    if (x.empty() || observed.size() < x.size()) return 0;
    const auto place = [&](std::span<const double> at, std::size_t node) {
      return fit.node[node] ? Flat{at[*fit.node[node]], at[*fit.node[node] + 1]} : *f.at[node];
    };
    const Model model = [&](std::span<const double> at, std::span<double> computed, Matrix& design) {
      design = Matrix(observed.size(), x.size());
      for (std::size_t row = 0; row < fit.lines.size(); ++row) {
        const Line& l = lines_[fit.lines[row] / 2];
        const Flat a = place(at, l.from), b = place(at, l.to);
        const double reach = std::max(away(a, b), 1e-3), un = (b.n - a.n) / reach, ue = (b.e - a.e) / reach;
        const bool is_distance = fit.lines[row] % 2 == 1;
        computed[row] = is_distance ? reach : wrap(azimuth(a, b) - *l.circle - at[*fit.turn[l.setup]]);
        const double n = is_distance ? un : -ue / reach, e = is_distance ? ue : un / reach;
        for (const auto& [node, sign] : {std::pair{l.to, 1.0}, {l.from, -1.0}})
          if (fit.node[node])
            design(row, *fit.node[node]) += sign * n, design(row, *fit.node[node] + 1) += sign * e;
        if (!is_distance) design(row, *fit.turn[l.setup]) -= 1;
      }
    };
    const NonlinearSolution s = solve_nonlinear(observed, sds, x, model);
    if (!s.converged) return std::numeric_limits<double>::max() / 1e10;
    for (std::size_t node = 0; node < nodes_; ++node)
      if (fit.node[node]) f.at[node] = place(s.parameters, node);
    for (std::size_t k = 0; k < f.turn.size(); ++k)
      if (fit.turn[k]) f.turn[k] = s.parameters[*fit.turn[k]];
    return s.square_sum;
  }

  // ---- frames of their own
  /// The site with one more frame laid on it, begun from a line that is not yet part of it.
  std::optional<Frame> from_seed(const Frame& site) {
    std::vector<std::pair<std::size_t, std::size_t>> seeds;  // readings at both ends, line
    for (std::size_t i = 0; i < lines_.size(); ++i) {
      const Line& l = lines_[i];
      if (site.at[l.from] && site.at[l.to] && (site.turn[l.setup] || !l.circle)) continue;
      seeds.emplace_back(of_node_[l.from].size() + of_node_[l.to].size(), i);
    }
    std::sort(seeds.begin(), seeds.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    if (seeds.size() > kMostSeeds) seeds.resize(kMostSeeds);
    std::optional<std::pair<double, Frame>> best;
    for (const auto& [readings, line] : seeds) {
      const Frame own = grown(seeded(line));
      if (auto joined = laid_on(site, own); joined && (!best || joined->first < best->first))
        best = std::move(joined);
    }
    if (!best) return std::nullopt;
    return best->second;
  }
  Frame seeded(std::size_t line) const {
    const Line& l = lines_[line];
    Frame f{std::vector<std::optional<Flat>>(nodes_),
            std::vector<std::optional<double>>(input_.setups.size())};
    f.has_scale = l.distance.has_value();
    f.at[l.from] = Flat{};
    f.at[l.to] = Flat{l.distance.value_or(100), 0};
    return f;
  }
  /// By a similarity through what both hold: with the scale and the hand that the frame lacks.
  std::optional<std::pair<double, Frame>> laid_on(const Frame& site, const Frame& own) {
    std::vector<std::size_t> both;
    for (std::size_t node = 0; node < nodes_; ++node)
      if (site.at[node] && own.at[node]) both.push_back(node);
    if (both.size() < 2 || own.placed() == both.size()) return std::nullopt;
    const bool has_hand =
        std::any_of(own.turn.begin(), own.turn.end(), [](const auto& t) { return t.has_value(); });
    std::optional<std::pair<double, Frame>> best;
    for (const double hand : {1.0, -1.0}) {
      if (has_hand && hand < 0) continue;
      Frame all = site;
      if (!lay(all, own, both, hand)) continue;
      all = grown(std::move(all));
      const double sum = end_of(all);
      if (!best || sum < best->first) best = {sum, std::move(all)};
    }
    return best;
  }
  static bool lay(Frame& site, const Frame& own, const std::vector<std::size_t>& both, double hand) {
    Flat a, b;
    const auto from = [&](std::size_t node) { return Flat{own.at[node]->n, hand * own.at[node]->e}; };
    const double count = static_cast<double>(both.size());
    for (const std::size_t k : both)
      a.n += from(k).n / count, a.e += from(k).e / count, b.n += site.at[k]->n / count,
          b.e += site.at[k]->e / count;
    double cosine = 0, sine = 0, square = 0;
    for (const std::size_t k : both) {
      const double n = from(k).n - a.n, e = from(k).e - a.e, tn = site.at[k]->n - b.n,
                   te = site.at[k]->e - b.e;
      cosine += n * tn + e * te, sine += n * te - e * tn, square += n * n + e * e;
    }
    if (square <= 0 || std::hypot(cosine, sine) <= 0) return false;
    const double by = own.has_scale ? 1 : std::hypot(cosine, sine) / square;
    const double turn = std::atan2(sine, cosine), c = by * std::cos(turn), s = by * std::sin(turn);
    for (std::size_t node = 0; node < own.at.size(); ++node) {
      if (!own.at[node] || site.at[node]) continue;
      const double n = from(node).n - a.n, e = from(node).e - a.e;
      site.at[node] = Flat{b.n + c * n - s * e, b.e + s * n + c * e};
    }
    for (std::size_t k = 0; k < own.turn.size(); ++k)
      if (own.turn[k] && !site.turn[k]) site.turn[k] = *own.turn[k] + turn;
    return true;
  }

  const NetInput& input_;
  Start& start_;
  std::size_t nodes_;  // points, then setups that stand over none
  std::vector<Line> lines_;
  std::vector<std::vector<std::size_t>> of_node_, of_setup_;
};

}  // namespace

void complete_start(const NetInput& input, Start& start) { Search(input, start).run(); }

}  // namespace deckmark::net
