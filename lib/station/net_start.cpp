#include "station/net_start.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <set>
#include <tuple>
#include <utility>

#include "station/net_search.h"

namespace deckmark::net {

namespace {

constexpr double kSpread = 0.1;         // m: shared points nearer to one another turn a sheet anyhow
constexpr double kAgree = 0.05;         // m: within which shared points agree on how two sheets lie
constexpr std::size_t kMostPairs = 14;  // shared points that are tried in pairs

double away(const Flat& a, const Flat& b) { return std::hypot(a.n - b.n, a.e - b.e); }
double azimuth(const Flat& from, const Flat& to) { return std::atan2(to.e - from.e, to.n - from.n); }
double radians(CircleReading c) { return c.degrees() * std::numbers::pi / 180; }
Flat polar(const Pose& pose, double circle, double distance) {
  return {pose.at.n + distance * std::cos(circle + *pose.turn),
          pose.at.e + distance * std::sin(circle + *pose.turn)};
}

/// Turned by `turn`, then shifted.
struct Motion {
  double turn = 0, n = 0, e = 0;
  Flat operator()(const Flat& p) const {
    const double c = std::cos(turn), s = std::sin(turn);
    return {n + c * p.n - s * p.e, e + s * p.n + c * p.e};
  }
  Pose operator()(const Pose& p) const {
    return {(*this)(p.at), p.turn ? std::optional(*p.turn + turn) : std::nullopt};
  }
};

struct Pair {
  Flat from, to;
};

/// The rigid motion that carries `from` to `to` best.
std::optional<Motion> motion_of(const std::vector<Pair>& pairs) {
  Flat a, b;
  for (const Pair& p : pairs) a.n += p.from.n, a.e += p.from.e, b.n += p.to.n, b.e += p.to.e;
  const double count = static_cast<double>(pairs.size());
  a = {a.n / count, a.e / count}, b = {b.n / count, b.e / count};
  double cosine = 0, sine = 0, spread = 0;
  for (const Pair& p : pairs) {
    const double n = p.from.n - a.n, e = p.from.e - a.e, tn = p.to.n - b.n, te = p.to.e - b.e;
    cosine += n * tn + e * te;
    sine += n * te - e * tn;
    spread = std::max(spread, std::hypot(n, e));
  }
  if (spread < kSpread / 2 || (cosine == 0 && sine == 0)) return std::nullopt;
  Motion out;
  out.turn = std::atan2(sine, cosine);
  const Flat turned = Motion{out.turn, 0, 0}(a);
  out.n = b.n - turned.n, out.e = b.e - turned.e;
  return out;
}

/// The motion with which most pairs agree; least squares over those.
std::optional<Motion> agreed_motion(const std::vector<Pair>& pairs) {
  const auto agreeing = [&](const Motion& m) {
    std::vector<Pair> out;
    for (const Pair& p : pairs)
      if (away(m(p.from), p.to) <= kAgree) out.push_back(p);
    return out;
  };
  const auto all = motion_of(pairs);
  if (all && agreeing(*all).size() == pairs.size()) return all;
  std::vector<Pair> most;
  const std::size_t tried = std::min(pairs.size(), kMostPairs);
  for (std::size_t i = 0; i < tried; ++i)
    for (std::size_t j = i + 1; j < tried; ++j) {
      const auto m = motion_of({pairs[i], pairs[j]});
      if (!m) continue;
      std::vector<Pair> agree = agreeing(*m);
      if (agree.size() > most.size()) most = std::move(agree);
    }
  if (most.size() < 2) return all;
  return motion_of(most);
}

/// Places and setups in one frame.
struct Sheet {
  std::size_t id = 0;
  std::map<std::size_t, Flat> points;
  std::map<std::size_t, Pose> setups;
};

class Starter {
 public:
  Starter(const NetInput& input, const NetOptions& options, const Point<Site>& centre,
          const std::vector<SetupResult>& alone, bool by_majority)
      : input_(input),
        options_(options),
        centre_(centre),
        alone_(alone),
        by_majority_(by_majority),
        sheets_(1),
        other_(input.setups.size()) {}

  Start run() {
    begin_site();
    for (std::size_t s = 0; s < input_.setups.size(); ++s) begin_setup(s);
    settle();
    if (!has_site()) begin_own_frame();
    settle();
    Start out{std::vector<std::optional<Pose>>(input_.setups.size()),
              std::vector<std::optional<Flat>>(input_.points.size()), std::move(other_),
              std::vector<bool>(input_.setups.size(), own_frame_)};
    for (const auto& [s, pose] : sheets_[0].setups) out.setups[s] = pose;
    for (const auto& [p, at] : sheets_[0].points) out.points[p] = at;
    return out;
  }

 private:
  bool has_site() const { return !sheets_[0].points.empty() || !sheets_[0].setups.empty(); }

  void begin_site() {
    for (std::size_t p = 0; p < input_.points.size(); ++p)
      if (const auto& c = input_.points[p].control) sheets_[0].points[p] = flat(c->at, centre_);
  }

  void begin_setup(std::size_t s) {
    const NetSetup& setup = input_.setups[s];
    const SetupResult& r = alone_[s];
    if (by_majority_ && setup.place != SetupPlace::own && polar_sights(s) >= 3) return begin_sheet(s, 0);
    if (r.status == SetupStatus::solved || r.status == SetupStatus::place_only) {
      sheets_[0].setups[s] = {flat(r.at, centre_),
                              r.orientation ? std::optional(r.orientation->radians()) : std::nullopt};
      return;
    }
    for (const Point<Site>& p : r.places) other_[s].push_back(flat(p, centre_));
    if (setup.place == SetupPlace::own) {
      sheets_[0].setups[s] = {flat(setup.own->at, centre_), std::nullopt};
      return;
    }
    begin_sheet(s, setup.orientation ? setup.orientation->radians() : 0.0);
  }

  std::ptrdiff_t polar_sights(std::size_t s) const {
    const auto& sights = input_.setups[s].sights;
    return std::count_if(sights.begin(), sights.end(),
                         [](const Sight& sight) { return sight.circle && sight.horizontal; });
  }

  void begin_sheet(std::size_t s, double turn) {
    if (polar_sights(s) == 0) return;
    Sheet sheet;
    sheet.id = s + 1;
    sheet.setups[s] = {{}, turn};
    sheets_.push_back(std::move(sheet));
  }

  /// No coordinate is known: the first setup that has a sheet is the frame.
  void begin_own_frame() {
    own_frame_ = true;
    if (sheets_.size() < 2) return;
    std::size_t first = 1;
    for (std::size_t k = 2; k < sheets_.size(); ++k)
      if (sheets_[k].setups.begin()->first < sheets_[first].setups.begin()->first) first = k;
    std::swap(sheets_[0], sheets_[first]);
    sheets_.erase(sheets_.begin() + static_cast<std::ptrdiff_t>(first));
  }

  void settle() {
    bool changed = true;
    while (changed) {
      changed = false;
      for (std::size_t k = 0; k < sheets_.size(); ++k)
        while (k < sheets_.size() && grow(k)) changed = true;
      changed = join() || changed;
    }
  }

  std::optional<Flat> known(const Sheet& sheet, std::size_t point) const {
    const auto at = sheet.points.find(point);
    return at == sheet.points.end() ? std::nullopt : std::optional(at->second);
  }
  std::size_t point_of(std::size_t s, const Sight& sight) const {
    return input_.setups[s].points[sight.target];
  }

  bool grow(std::size_t k) {
    bool changed = false;
    for (auto& [s, pose] : sheets_[k].setups) {
      if (!pose.turn) changed = orient(sheets_[k], s, pose) || changed;
      changed = add_points(sheets_[k], s, pose) || changed;
    }
    for (std::size_t s = 0; s < input_.setups.size(); ++s)
      if (take_in(k, s)) return true;
    return intersect_points(sheets_[k]) || changed;
  }

  /// The turn of a circle from any known point that is sighted.
  bool orient(const Sheet& sheet, std::size_t s, Pose& pose) const {
    for (const Sight& sight : input_.setups[s].sights) {
      const auto at = known(sheet, point_of(s, sight));
      if (!at || !sight.circle || away(*at, pose.at) < kSpread) continue;
      pose.turn = azimuth(pose.at, *at) - radians(*sight.circle);
      return true;
    }
    return false;
  }

  bool add_points(Sheet& sheet, std::size_t s, const Pose& pose) const {
    bool changed = false;
    if (const auto over = input_.setups[s].over) changed = sheet.points.emplace(*over, pose.at).second;
    if (!pose.turn) return changed;
    for (const Sight& sight : input_.setups[s].sights)
      if (sight.circle && sight.horizontal)
        changed =
            sheet.points
                .emplace(point_of(s, sight), polar(pose, radians(*sight.circle), sight.horizontal->metres()))
                .second ||
            changed;
    return changed;
  }

  std::optional<std::size_t> sheet_of(std::size_t s) const {
    for (std::size_t k = 0; k < sheets_.size(); ++k)
      if (sheets_[k].setups.contains(s)) return k;
    return std::nullopt;
  }

  /// Takes a setup that is in no sheet, or alone in its own, into a sheet that places it.
  bool take_in(std::size_t k, std::size_t s) {
    const auto now = sheet_of(s);
    if (now && (*now == k || *now == 0 || sheets_[*now].setups.size() > 1)) return false;
    const auto pose = pose_in(sheets_[k], s, !now);
    if (!pose) return false;
    sheets_[k].setups[s] = *pose;
    if (now) sheets_.erase(sheets_.begin() + static_cast<std::ptrdiff_t>(*now));
    return true;
  }

  std::optional<Pose> pose_in(const Sheet& sheet, std::size_t s, bool resects) {
    if (const auto over = input_.setups[s].over) {
      const auto at = known(sheet, *over);
      if (!at) return std::nullopt;
      Pose pose{*at, std::nullopt};
      if (orient(sheet, s, pose)) return pose;
    }
    return resects ? resected(sheet, s) : std::nullopt;
  }

  /// By what it sights of the sheet, each reading of whatever kind.
  std::optional<Pose> resected(const Sheet& sheet, std::size_t s) {
    const NetSetup& setup = input_.setups[s];
    std::vector<std::optional<ControlMark>> targets(setup.points.size());
    std::size_t seen = 0;
    for (const Sight& sight : setup.sights)
      if (const auto at = known(sheet, point_of(s, sight)); at && !targets[sight.target]) {
        targets[sight.target] = ControlMark{place(*at, centre_), std::nullopt, std::nullopt};
        ++seen;
      }
    if (seen < 2 || !tried_.emplace(s, sheet.id, seen).second) return std::nullopt;
    SetupInput input;
    input.instrument_height = setup.instrument_height;
    input.sights = setup.sights;
    input.targets = targets;
    const SetupResult r = adjust_setup(input, options_.setup);
    if (r.status == SetupStatus::two_places && sheet.id == sheets_[0].id) {
      other_[s].clear();
      for (const Point<Site>& p : r.places) other_[s].push_back(flat(p, centre_));
      Pose pose{other_[s].front(), std::nullopt};
      orient(sheet, s, pose);
      return pose;
    }
    if (r.status != SetupStatus::solved) return std::nullopt;
    return Pose{flat(r.at, centre_), r.orientation ? std::optional(r.orientation->radians()) : std::nullopt};
  }

  /// Points sighted by circle alone from two setups, or by distance alone from three.
  bool intersect_points(Sheet& sheet) const {
    struct Ray {
      Pose pose;
      double azimuth;
    };
    std::map<std::size_t, std::vector<Ray>> rays;
    for (const auto& [s, pose] : sheet.setups) {
      if (!pose.turn) continue;
      for (const Sight& sight : input_.setups[s].sights)
        if (sight.circle && !sheet.points.contains(point_of(s, sight)))
          rays[point_of(s, sight)].push_back({pose, radians(*sight.circle) + *pose.turn});
    }
    bool changed = false;
    for (const auto& [p, of] : rays)
      for (std::size_t i = 0; i < of.size() && !sheet.points.contains(p); ++i)
        for (std::size_t j = i + 1; j < of.size() && !sheet.points.contains(p); ++j)
          if (const auto at = meeting(of[i].pose.at, of[i].azimuth, of[j].pose.at, of[j].azimuth))
            changed = sheet.points.emplace(p, *at).second || changed;
    return changed;
  }

  static std::optional<Flat> meeting(const Flat& a, double from_a, const Flat& b, double from_b) {
    const double cut = std::sin(from_b - from_a), n = b.n - a.n, e = b.e - a.e;
    if (std::fabs(cut) < std::sin(std::numbers::pi / 180) || std::hypot(n, e) < kSpread) return std::nullopt;
    const double along_a = (n * std::sin(from_b) - e * std::cos(from_b)) / cut;
    const double along_b = (n * std::sin(from_a) - e * std::cos(from_a)) / cut;
    if (along_a <= 0 || along_b <= 0) return std::nullopt;
    return Flat{a.n + along_a * std::cos(from_a), a.e + along_a * std::sin(from_a)};
  }

  static std::vector<Pair> shared(const Sheet& to, const Sheet& from) {
    std::vector<Pair> out;
    for (const auto& [p, at] : from.points)
      if (const auto there = to.points.find(p); there != to.points.end()) out.push_back({at, there->second});
    return out;
  }

  /// Joins the two sheets that share most points; the site's first.
  bool join() {
    for (std::size_t into = 0; into < sheets_.size(); ++into) {
      std::size_t best = 0;
      std::vector<Pair> most;
      for (std::size_t k = into + 1; k < sheets_.size(); ++k)
        if (auto pairs = shared(sheets_[into], sheets_[k]); pairs.size() > most.size())
          most = std::move(pairs), best = k;
      if (most.size() < 2) continue;
      const auto motion = agreed_motion(most);
      if (!motion) continue;
      for (const auto& [p, at] : sheets_[best].points) sheets_[into].points.emplace(p, (*motion)(at));
      for (const auto& [s, pose] : sheets_[best].setups) sheets_[into].setups.emplace(s, (*motion)(pose));
      sheets_.erase(sheets_.begin() + static_cast<std::ptrdiff_t>(best));
      return true;
    }
    return false;
  }

  const NetInput& input_;
  const NetOptions& options_;
  const Point<Site> centre_;
  const std::vector<SetupResult>& alone_;
  bool by_majority_;
  std::vector<Sheet> sheets_;  // the first is the site's
  std::vector<std::vector<Flat>> other_;
  std::set<std::tuple<std::size_t, std::size_t, std::size_t>> tried_;  // setup, sheet, known points
  bool own_frame_ = false;
};

}  // namespace

Point<Site> centre_of(const NetInput& input) {
  const Point<Site>* first = nullptr;
  for (const NetPoint& p : input.points)
    if (p.control && !first) first = &p.control->at;
  for (const NetSetup& s : input.setups)
    if (s.own && !first) first = &s.own->at;
  return first ? *first : Point<Site>{{.northing = Length::metres(0), .easting = Length::metres(0)}};
}

Flat flat(const Point<Site>& p, const Point<Site>& centre) {
  const Vec<Site> d = p - centre;
  return {d.by.northing.metres(), d.by.easting.metres()};
}
Point<Site> place(const Flat& f, const Point<Site>& centre) {
  return centre + Vec<Site>{{.northing = Length::metres(f.n), .easting = Length::metres(f.e)}};
}

Start find_start(const NetInput& input, const NetOptions& options, const Point<Site>& centre,
                 const std::vector<SetupResult>& alone, bool by_majority) {
  Start out = Starter(input, options, centre, alone, by_majority).run();
  complete_start(input, out);
  return out;
}

}  // namespace deckmark::net
