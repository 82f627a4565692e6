#include <algorithm>
#include <array>
#include <numeric>
#include <utility>

#include "adjust/statistics.h"
#include "lift/lift.h"
#include "lift/shot_plane.h"

namespace deckmark {

namespace {

using namespace shot_plane;

// Reach across over reach along: under the first the deck can tilt about the line, under the second it nearly
// can.
constexpr double kLineShare = 1e-3;
constexpr double kNarrowShare = 0.05;
constexpr double kStrayAlpha = 0.01;
constexpr double kLevelAlpha = 0.001;
// Empty band between two levels, in standard deviations of the scatter within them.
constexpr double kGapScatters = 4.0;
constexpr std::size_t kMostTriples = 200;

using Indices = std::vector<std::size_t>;

double bare(const Local& p, Gradient g) { return p.h - g.n * p.n - g.e * p.e; }

// The shots parted in two by height, and how well two parallel planes then fit.
struct Parting {
  std::vector<bool> upper;  // one a shot of the subset
  Gradient gradient;
  double low = 0, high = 0;  // heights of the two planes at the centroid
  double square_sum = 0;
  double gap = 0;  // between the highest of the lower and the lowest of the upper shots
};

std::size_t least_group(std::size_t shots) {
  const std::size_t fifth = (shots + 4) / 5;
  return std::max<std::size_t>(2, std::min<std::size_t>(3, fifth));
}

// Best parting of the heights that remain once a gradient is taken off: least square sum about two means.
// Groups of one are not levels.
std::optional<Parting> part(std::span<const Local> shots, Gradient g) {
  const std::size_t n = shots.size();
  if (n < 4) return std::nullopt;
  std::vector<std::pair<double, std::size_t>> heights(n);
  for (std::size_t i = 0; i < n; ++i) heights[i] = {bare(shots[i], g), i};
  std::sort(heights.begin(), heights.end());
  double total = 0, squares = 0;
  for (const auto& h : heights) total += h.first, squares += h.first * h.first;
  double below = 0, best = -1;
  std::size_t best_count = 0;
  for (std::size_t k = 1; k + 2 <= n; ++k) {
    below += heights[k - 1].first;
    if (k < 2) continue;
    const double a = static_cast<double>(k), b = static_cast<double>(n - k);
    const double explained = below * below / a + (total - below) * (total - below) / b;
    if (explained > best || best_count == 0) best = explained, best_count = k;
  }
  Parting out;
  out.gradient = g;
  out.upper.assign(n, false);
  for (std::size_t k = best_count; k < n; ++k) out.upper[heights[k].second] = true;
  for (std::size_t k = 0; k < n; ++k) (k < best_count ? out.low : out.high) += heights[k].first;
  out.low /= static_cast<double>(best_count);
  out.high /= static_cast<double>(n - best_count);
  for (std::size_t k = 0; k < n; ++k) {
    const double v = heights[k].first - (k < best_count ? out.low : out.high);
    out.square_sum += v * v;
  }
  out.gap = heights[best_count].first - heights[best_count - 1].first;
  return out;
}

// Gradient common to both groups, least squares about each group's own mean; empty where they leave it open.
std::optional<Gradient> common_gradient(std::span<const Local> shots, const std::vector<bool>& upper) {
  Local mean[2] = {{0, 0, 0}, {0, 0, 0}};
  double count[2] = {0, 0};
  for (std::size_t i = 0; i < shots.size(); ++i) {
    Local& m = mean[upper[i] ? 1 : 0];
    m.n += shots[i].n, m.e += shots[i].e, m.h += shots[i].h;
    count[upper[i] ? 1 : 0] += 1;
  }
  for (int k = 0; k < 2; ++k) mean[k].n /= count[k], mean[k].e /= count[k], mean[k].h /= count[k];
  double nn = 0, ne = 0, ee = 0, nh = 0, eh = 0;
  for (std::size_t i = 0; i < shots.size(); ++i) {
    const Local& m = mean[upper[i] ? 1 : 0];
    const double dn = shots[i].n - m.n, de = shots[i].e - m.e, dh = shots[i].h - m.h;
    nn += dn * dn, ne += dn * de, ee += de * de, nh += dn * dh, eh += de * dh;
  }
  const double determinant = nn * ee - ne * ne;
  if (determinant <= 1e-9 * (nn + ee) * (nn + ee)) return std::nullopt;
  return Gradient{(nh * ee - eh * ne) / determinant, (eh * nn - nh * ne) / determinant};
}

// Parts, fits the common gradient, parts again, until the parting stays.
std::optional<Parting> settle(std::span<const Local> shots, Gradient start) {
  std::optional<Parting> found = part(shots, start);
  for (int step = 0; found && step < 20; ++step) {
    const auto gradient = common_gradient(shots, found->upper);
    if (!gradient) return std::nullopt;
    std::optional<Parting> next = part(shots, *gradient);
    const bool same = next && next->upper == found->upper;
    found = std::move(next);
    if (same) return found;
  }
  return found;
}

// Gradients from which the search for two sloping levels starts: level, the plane of all, and planes through
// three shots, some of which lie on one level. The triples come from a fixed sequence: same input, same
// answer.
std::vector<Gradient> starts(std::span<const Local> shots, Gradient plane) {
  std::vector<Gradient> out{{}, plane};
  const std::size_t n = shots.size();
  const std::size_t most = std::min<std::size_t>(kMostTriples, 2 + 200000 / n);
  std::uint32_t state = 1;
  const auto next = [&] {
    state = state * 1664525u + 1013904223u;  // Numerical Recipes' quick generator; from memory
    return static_cast<std::size_t>((state >> 8) % n);
  };
  for (std::size_t k = 0; k < most; ++k) {
    const Local &a = shots[next()], &b = shots[next()], &c = shots[next()];
    const double bn = b.n - a.n, be = b.e - a.e, cn = c.n - a.n, ce = c.e - a.e;
    const double area = bn * ce - be * cn;
    if (std::fabs(area) < 0.02 * (bn * bn + be * be + cn * cn + ce * ce)) continue;
    const double bh = b.h - a.h, ch = c.h - a.h;
    out.push_back({(bh * ce - ch * be) / area, (bn * ch - cn * bh) / area});
  }
  return out;
}

// Ways to part the shots in two. The parting is chosen after the heights are seen, so that every one of them
// counts.
double ways_to_part(double shots) { return std::exp2(shots - 1); }

struct Claim {
  Parting parting;
  double scatter = 0;
};

// Whether a parting is two levels and not one scattered plane.
std::optional<Claim> weigh(std::optional<Parting> parting, std::size_t shots, double plane_squares,
                           bool sloped, double flatness) {
  const double n = static_cast<double>(shots);
  const double freedom = n - (sloped ? 4 : 2);
  if (!parting || freedom < 1 || shots < 4) return std::nullopt;
  // Two steep planes through five or six shots fit nearly anything.
  if (std::hypot(parting->gradient.n, parting->gradient.e) > kSteepestDeck) return std::nullopt;
  const double variance = std::max(parting->square_sum / freedom, kFinestScatter * kFinestScatter);
  const double scatter = std::sqrt(variance);
  if (parting->gap < kGapScatters * scatter || parting->gap < flatness / 2) return std::nullopt;
  double chance = 0;
  if (sloped) {
    const double ratio = (plane_squares - parting->square_sum) / variance;
    chance = ratio > 0 ? fisher_upper_tail(ratio, 1, freedom) * ways_to_part(n) : 1;
  } else {
    chance = fisher_upper_tail(plane_squares / (n - 3) / variance, n - 3, freedom) * ways_to_part(n);
  }
  if (chance >= kLevelAlpha) return std::nullopt;
  return Claim{std::move(*parting), scatter};
}

std::optional<Claim> two_levels(std::span<const Local> shots, const Plane& plane, double flatness) {
  std::optional<Claim> best = weigh(part(shots, {}), shots.size(), plane.square_sum, false, flatness);
  std::optional<Parting> sloped;
  for (const Gradient& g : starts(shots, plane.gradient)) {
    std::optional<Parting> p = settle(shots, g);
    if (p && (!sloped || p->square_sum < sloped->square_sum)) sloped = std::move(p);
  }
  std::optional<Claim> other = weigh(std::move(sloped), shots.size(), plane.square_sum, true, flatness);
  if (other && (!best || other->scatter < best->scatter)) best = std::move(other);
  return best;
}

// Two principal reaches (root sums of squares) of the shots in plan: along their line and across it.
struct Reach {
  double along, across;
};
Reach reach_of(std::span<const Local> shots) {
  double nn = 0, ne = 0, ee = 0;
  for (const Local& p : shots) nn += p.n * p.n, ne += p.n * p.e, ee += p.e * p.e;
  const double half = 0.5 * std::atan2(2 * ne, nn - ee);
  const double c = std::cos(half), s = std::sin(half);
  double along = 0, across = 0;
  for (const Local& p :
       shots) {  // summed again along the axes: the difference of two large sums loses the small one
    const double a = c * p.n + s * p.e, b = c * p.e - s * p.n;
    along += a * a, across += b * b;
  }
  return {std::sqrt(along), std::sqrt(across)};
}

// The shot whose removal explains most, with its deviation from the plane through the others. Where several
// explain as much, that one without which the deck is flattest.
struct Candidate {
  std::size_t index = 0;
  double off = 0;
  bool significant = false;
};
std::optional<Candidate> worst(std::span<const Local> shots, const Plane& plane, double flatness) {
  const std::size_t n = plane.residuals.size();
  if (n < 5) return std::nullopt;
  const std::vector<WithoutOne> accounts = without_one(shots, plane);
  if (accounts.empty()) return std::nullopt;
  const WithoutOne& best = accounts.front();
  const double freedom = static_cast<double>(n) - 4;
  const double v = plane.residuals[best.shot], r = plane.redundancy[best.shot];
  const double variance = std::max(best.square_sum / freedom, kFinestScatter * kFinestScatter);
  const double t = std::fabs(v) / std::sqrt(r * variance);
  const double chance = 2 * static_cast<double>(n) * (1 - student_cdf(t, freedom));
  return Candidate{best.shot, best.off, std::fabs(best.off) > flatness && chance < kStrayAlpha};
}

std::vector<Local> taken(std::span<const Local> shots, const Indices& kept) {
  std::vector<Local> out;
  for (const std::size_t i : kept) out.push_back(shots[i]);
  return out;
}

Indices without(const Indices& kept, std::size_t place) {
  Indices out = kept;
  out.erase(out.begin() + static_cast<std::ptrdiff_t>(place));
  return out;
}

// What the search for strays and levels found, in indices of all shots.
struct Search {
  std::vector<std::pair<std::size_t, double>> strays;
  std::optional<Claim> levels;
  Indices kept;
};

// A claim whose smaller group is too small to be a level is a pair of strays.
void take_claim(Search& search, Claim claim) {
  const auto high =
      static_cast<std::size_t>(std::count(claim.parting.upper.begin(), claim.parting.upper.end(), true));
  const std::size_t low = claim.parting.upper.size() - high;
  if (std::min(high, low) >= least_group(search.kept.size())) {
    search.levels = std::move(claim);
    return;
  }
  const bool upper_is_few = high < low;
  const double step = claim.parting.high - claim.parting.low;
  Indices rest;
  for (std::size_t k = 0; k < search.kept.size(); ++k) {
    if (claim.parting.upper[k] == upper_is_few)
      search.strays.emplace_back(search.kept[k], upper_is_few ? step : -step);
    else
      rest.push_back(search.kept[k]);
  }
  search.kept = std::move(rest);
}

// Distance of a shot from the nearer of two levels.
double off_levels(const Local& p, const Parting& levels) {
  const double h = bare(p, levels.gradient);
  const double a = h - levels.low, b = h - levels.high;
  return std::fabs(a) < std::fabs(b) ? a : b;
}

double variance_of(const Plane& plane) {
  const double freedom = static_cast<double>(plane.residuals.size()) - 3;
  return std::max(plane.square_sum / std::max(freedom, 1.0), kFinestScatter * kFinestScatter);
}

Search search_shots(std::span<const Local> shots, double flatness) {
  Search out;
  out.kept.resize(shots.size());
  std::iota(out.kept.begin(), out.kept.end(), std::size_t{0});
  const std::size_t most = shots.size() / 4;
  for (std::size_t round = 0; round <= most; ++round) {
    const std::vector<Local> rest = taken(shots, out.kept);
    const Plane plane = fit_plane(rest);
    if (plane.residuals.empty()) return out;
    auto claim = two_levels(rest, plane, flatness);
    const auto candidate = round < most ? worst(rest, plane, flatness) : std::nullopt;
    if (!candidate) {
      if (claim) take_claim(out, std::move(*claim));
      return out;
    }
    const std::size_t shot = out.kept[candidate->index];
    Indices fewer = without(out.kept, candidate->index);
    const std::vector<Local> others = taken(shots, fewer);
    const Plane again = fit_plane(others);
    if (again.residuals.empty()) return out;
    // One wrong shot is a simpler account than a second level, wherever it serves as well: on two rows of
    // shots a tilt and a step can imitate it.
    const bool simpler =
        candidate->significant && claim && variance_of(again) <= 4 * claim->scatter * claim->scatter;
    if (claim && !simpler) {
      take_claim(out, std::move(*claim));
      return out;
    }
    double off = candidate->off;
    if (!candidate->significant) {
      // One bad shot can hide two levels: see whether the others show them, and it stands clear of both.
      claim = two_levels(others, again, flatness);
      if (claim) off = off_levels(shots[shot], claim->parting);
      if (!claim || std::fabs(off) <= flatness || std::fabs(off) <= 10 * claim->scatter) return out;
    }
    out.strays.emplace_back(shot, off);
    out.kept = std::move(fewer);
  }
  return out;
}

}  // namespace

/// Makes decks from fits; the only friend, so that no other code sets their parts.
class PlaneFit {
 public:
  static Deck deck(const Point<Site>& centre, double height, Gradient g) {
    Deck out(Elevation::metres(height));
    out.centre_ = centre;
    out.rise_north_ = g.n;
    out.rise_east_ = g.e;
    return out;
  }
  static void set_covariance(Deck& deck, const Matrix& q, double variance) {
    deck.has_covariance_ = true;
    deck.covariance_ = {q(0, 0) * variance, q(0, 1) * variance, q(0, 2) * variance,
                        q(1, 1) * variance, q(1, 2) * variance, q(2, 2) * variance};
  }
};

Deck::Deck(Elevation elevation)
    : centre_{{.northing = Length::metres(0), .easting = Length::metres(0)}},
      height_(elevation.above_datum()) {}

Deck Deck::level(Elevation elevation) { return Deck(elevation); }

std::optional<Length> Deck::sd_at(const Point<Site>& p) const {
  if (!has_covariance_) return std::nullopt;
  const double n = (p.at.northing - centre_.at.northing).metres(),
               e = (p.at.easting - centre_.at.easting).metres();
  const auto& c = covariance_;
  const double variance = c[0] + 2 * (n * c[1] + e * c[2]) + n * n * c[3] + 2 * n * e * c[4] + e * e * c[5];
  return Length::metres(std::sqrt(std::max(variance, 0.0)));
}

std::optional<Azimuth> Deck::rises_towards() const {
  if (is_level()) return std::nullopt;
  return azimuth_of(
      Vec<Site>{{.northing = Length::metres(rise_north_), .easting = Length::metres(rise_east_)}});
}

namespace {

// Shots about their centroid.
struct Centred {
  std::vector<Local> shots;
  Point<Site> centre;
  double datum;  // elevation of the centroid
};

Centred centre(std::span<const DeckShot> shots) {
  // About the first shot, then the centroid: coordinates in the millions lose nothing.
  const DeckShot& first = shots[0];
  const double count = static_cast<double>(shots.size());
  Local mean{0, 0, 0};
  std::vector<Local> local;
  local.reserve(shots.size());
  for (const DeckShot& s : shots) {
    const Vec<Site> d = s.at - first.at;
    local.push_back(
        {d.by.northing.metres(), d.by.easting.metres(), (s.elevation - first.elevation).metres()});
    mean.n += local.back().n / count, mean.e += local.back().e / count, mean.h += local.back().h / count;
  }
  for (Local& p : local) p.n -= mean.n, p.e -= mean.e, p.h -= mean.h;
  return {std::move(local),
          first.at + Vec<Site>{{.northing = Length::metres(mean.n), .easting = Length::metres(mean.e)}},
          first.elevation.above_datum().metres() + mean.h};
}

// Plane, residuals and what is far off it; nothing of which shots are wrong.
DeckResult plane_through(std::span<const DeckShot> shots, const Centred& centred,
                         const DeckOptions& options) {
  DeckResult out;
  const Reach reach = reach_of(centred.shots);
  if (!(reach.across > kLineShare * reach.along)) {
    out.status = DeckStatus::on_one_line;
    return out;
  }
  out.narrow = reach.across < kNarrowShare * reach.along;
  const Plane plane = fit_plane(centred.shots);
  const double count = static_cast<double>(shots.size());
  out.status = DeckStatus::fitted;
  out.deck = PlaneFit::deck(centred.centre, centred.datum + plane.height, plane.gradient);
  if (shots.size() > 3) PlaneFit::set_covariance(*out.deck, plane.cofactors, plane.square_sum / (count - 3));
  out.rms = Length::metres(std::sqrt(plane.square_sum / count));
  for (std::size_t i = 0; i < shots.size(); ++i) {
    const Length off = Length::metres(plane.residuals[i]);
    out.residuals.push_back(off);
    if (judge(off, options.flatness) == Verdict::outside) out.far.push_back({i, off});
  }
  return out;
}

TwoLevels levels_of(const Search& search, const Centred& centred) {
  const Parting& p = search.levels->parting;
  TwoLevels levels{PlaneFit::deck(centred.centre, centred.datum + p.low, p.gradient),
                   PlaneFit::deck(centred.centre, centred.datum + p.high, p.gradient),
                   Length::metres(p.high - p.low),
                   {},
                   {}};
  for (std::size_t k = 0; k < search.kept.size(); ++k)
    (p.upper[k] ? levels.upper_shots : levels.lower_shots).push_back(search.kept[k]);
  return levels;
}

// The deck as it is without the shots that are wrong, and what stands off that.
void set_aside(std::span<const DeckShot> shots, const DeckOptions& options, DeckResult& out) {
  std::vector<bool> wrong(shots.size(), false);
  if (!out.one_wrong.empty())
    wrong[out.one_wrong.front().shot] = true;
  else
    for (const DeckResidual& s : out.strays) wrong[s.shot] = true;
  Indices kept;
  std::vector<DeckShot> rest;
  for (std::size_t i = 0; i < shots.size(); ++i)
    if (!wrong[i]) kept.push_back(i), rest.push_back(shots[i]);
  if (rest.size() == shots.size() || rest.size() < 3) return;
  const DeckResult others = plane_through(rest, centre(rest), options);
  if (!others.deck) return;
  out.deck_of_rest = others.deck;
  for (const DeckResidual& far : others.far) out.far_of_rest.push_back({kept[far.shot], far.off});
}

}  // namespace

DeckResult fit_deck(std::span<const DeckShot> shots, const DeckOptions& options) {
  DeckResult out;
  out.lone = lone_shot(shots);
  if (shots.size() < 3) return out;
  const Centred centred = centre(shots);
  std::optional<LoneShot> lone = out.lone;
  out = plane_through(shots, centred, options);
  out.lone = lone;
  if (!out.deck) return out;
  const double flatness = options.flatness.metres();
  const Search search = search_shots(centred.shots, flatness);
  for (const auto& [shot, off] : search.strays) out.strays.push_back({shot, Length::metres(off)});
  if (search.levels)
    out.two_levels = levels_of(search, centred);
  else if (!out.far.empty() && out.strays.size() <= 1)
    out.one_wrong = single_out(centred.shots, flatness);
  set_aside(shots, options, out);
  return out;
}

}  // namespace deckmark
