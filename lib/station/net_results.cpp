#include "station/net_results.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "adjust/solve.h"
#include "adjust/statistics.h"
#include "station/conclude.h"
#include "station/net_alone.h"
#include "station/net_names.h"
#include "station/net_wrong.h"
#include "station/setup_facts.h"

namespace deckmark {

using net::is_sight;
using net::Row;
using net::RowKind;
using net::Solved;

struct NetCovariance::State {
  net::Unknowns unknowns;
  std::shared_ptr<const BlockSolution> solution;
};

Matrix NetCovariance::of(std::span<const NetForm> forms) const {
  if (!state_) return Matrix(forms.size(), forms.size());
  const net::Unknowns& u = state_->unknowns;
  std::vector<LinearForm> linear(forms.size());
  for (std::size_t i = 0; i < forms.size(); ++i)
    for (const NetPart& p : forms[i]) {
      std::optional<std::size_t> at;
      if (p.of == NetPart::Of::point)
        at = p.index < u.points.size() && p.part < 3 ? u.points[p.index][p.part] : std::nullopt;
      else
        at = p.index < u.setups.size() && p.part < 4 ? u.setups[p.index][p.part] : std::nullopt;
      if (at) linear[i].push_back({*at, p.factor});
    }
  return state_->solution->covariance(linear);
}

/// Puts a solved net into the words of its setups and points.
class NetResults {
 public:
  NetResults(const net::Builder& builder, const Solved& solved, const net::Start& start,
             std::vector<SetupResult> alone)
      : builder_(builder),
        input_(builder.input()),
        solved_(solved),
        start_(start),
        alone_(std::move(alone)) {}

  NetResult run() {
    NetResult out;
    auto state = std::make_shared<NetCovariance::State>();
    state->unknowns = solved_.unknowns;
    state->solution = solved_.solution;
    out.covariance.state_ = std::move(state);
    covariance_ = out.covariance;
    weigh_rows();
    out.faces_known = solved_.unknowns.collimation.has_value() || solved_.unknowns.index.has_value();
    out.limit = wrong_limit(checked_);
    name_wrong(out);
    for (std::size_t s = 0; s < input_.setups.size(); ++s)
      out.setups.push_back(solved_.in_net[s] ? setup(s, out) : alone_[s]);
    for (std::size_t p = 0; p < input_.points.size(); ++p) out.points.push_back(point(p));
    return out;
  }

 private:
  struct Weighed {
    std::array<double, 2> redundancy{}, residual{}, sd{};
    std::array<std::optional<double>, 2> standardised{};
  };

  void weigh_rows();
  /// What is wrong over the net, or what each setup alone says, where only one can say anything.
  void name_wrong(NetResult& out);
  SetupResult setup(std::size_t s, const NetResult& net);
  void add_rows(std::size_t s, double limit, SetupResult& out) const;
  void add_heights(std::size_t s, SetupResult& out) const;
  void add_apart(std::size_t s, SetupResult& out) const;
  void add_setup_facts(std::size_t s, SetupResult& out) const;
  /// Whether the elevation of a point is stated, or hangs on one that is.
  bool says_height(std::size_t p) const {
    const auto c = builder_.control(p);
    return c ? c->elevation.has_value() : solved_.point_height[p];
  }
  std::optional<NetPlace> point(std::size_t p) const;
  static bool is_named_elsewhere(const NetResult& net);
  static void clear(SetupResult& out);
  /// Whether something else than this setup's own reading holds the point.
  bool is_shared(std::size_t p, std::size_t s) const;

  const net::Builder& builder_;
  const NetInput& input_;
  const Solved& solved_;
  const net::Start& start_;
  std::vector<SetupResult> alone_;
  NetCovariance covariance_;
  std::vector<Weighed> weighed_;           // of the rows
  std::vector<std::vector<Wrong>> wrong_;  // of the setups
  std::size_t checked_ = 0;
};

void NetResults::weigh_rows() {
  for (const Row& row : solved_.rows) {
    Weighed w;
    const auto& v = solved_.solution->residuals();
    if (row.count == 1) {
      const double r = solved_.solution->redundancy(row.first), sd = row.root[0];
      w.redundancy[0] = r, w.residual[0] = v[row.first] * sd, w.sd[0] = sd;
      if (r > 0) w.standardised[0] = v[row.first] / std::sqrt(r);
      if (r > 0 && row.kind != RowKind::face) ++checked_;
    } else {
      const std::size_t both[2] = {row.first, row.first + 1};
      const Matrix q = solved_.solution->residual_covariance(both);
      const auto [a, b, d] = row.root;
      w.residual = {a * v[row.first], b * v[row.first] + d * v[row.first + 1]};
      w.sd = {a, std::hypot(b, d)};
      // Shares by the symmetric root of the weights, root = symmetric root x this turn: each from 0 to 1, and
      // their sum is kept.
      const double turn = std::hypot(a + d, b), cosine = (a + d) / turn, sine = b / turn;
      const double both_ways = 2 * sine * cosine * q(0, 1);
      w.redundancy = {cosine * cosine * q(0, 0) - both_ways + sine * sine * q(1, 1),
                      sine * sine * q(0, 0) + both_ways + cosine * cosine * q(1, 1)};
      const double variance[2] = {a * a * q(0, 0), b * b * q(0, 0) + 2 * b * d * q(0, 1) + d * d * q(1, 1)};
      for (std::size_t k = 0; k < 2; ++k) {
        if (std::fabs(w.redundancy[k]) < kNoRedundancy) w.redundancy[k] = 0;
        if (!(variance[k] > kNoRedundancy * w.sd[k] * w.sd[k])) continue;
        w.standardised[k] = w.residual[k] / std::sqrt(variance[k]);
        ++checked_;
      }
    }
    weighed_.push_back(w);
  }
}

void NetResults::name_wrong(NetResult& out) {
  std::size_t seeing = 0;
  bool is_named_alone = false;  // names and axes exchanged are told from a setup's own control
  for (std::size_t s = 0; s < input_.setups.size(); ++s) {
    if (!solved_.in_net[s]) continue;
    const auto& sights = solved_.part.point[s];
    if (std::any_of(sights.begin(), sights.end(), [](const auto& p) { return p.has_value(); })) ++seeing;
    for (const Wrong& w : alone_[s].wrong)
      if (w.kind == WrongKind::exchanged || w.kind == WrongKind::axes) is_named_alone = true;
    if (alone_[s].left_out) is_named_alone = true;
  }
  wrong_.resize(input_.setups.size());
  if (seeing < 2 || (is_named_alone && !solved_.part.doubts_control)) {
    for (std::size_t s = 0; s < wrong_.size(); ++s)
      wrong_[s] = net::alone_of(input_, s, builder_.options(), true).wrong;
    return;
  }
  std::vector<net::SeenApart> apart = net::find_apart(input_, solved_);
  out.wrong = net::find_exchanged_names(input_, solved_, apart);
  for (Wrong& w : net::accounts_of_apart(input_, solved_, apart)) out.wrong.push_back(std::move(w));
  for (Wrong& w : net::find_wrong(builder_, solved_, start_, out.limit)) out.wrong.push_back(std::move(w));
  for (const Wrong& w : out.wrong) {
    if (w.seen_by.empty()) {
      wrong_[*w.setup].push_back(w);
      continue;
    }
    for (const std::size_t s : w.seen_by)
      for (std::size_t k = 0; k < solved_.part.point[s].size(); ++k)
        if (solved_.part.point[s][k] == w.point) {
          Wrong mine = w;
          mine.setup = s;
          mine.sight = k;
          wrong_[s].push_back(std::move(mine));
          break;
        }
  }
}

bool NetResults::is_shared(std::size_t p, std::size_t s) const {
  if (builder_.control(p)) return true;
  std::size_t mine = 0;
  for (std::size_t t = 0; t < input_.setups.size(); ++t) {
    if (!solved_.in_net[t]) continue;
    if (input_.setups[t].over == p) return true;
    for (const auto& q : solved_.part.point[t])
      if (q == p && (t != s || ++mine > 1)) return true;
  }
  return false;
}

void NetResults::add_rows(std::size_t s, double limit, SetupResult& out) const {
  NetShare share;
  double square_sum = 0, own = 0;
  for (std::size_t i = 0; i < solved_.rows.size(); ++i) {
    const Row& row = solved_.rows[i];
    if (!is_sight(row.kind) || row.setup != s) continue;
    const Weighed& w = weighed_[i];
    const Sight& sight = input_.setups[s].sights[row.sight];
    const auto& at = solved_.values.setups[s];
    const auto& to = solved_.values.points[row.point];
    SightRow r;
    r.sight = row.sight;
    r.reach = Length::metres(std::hypot(to.n - at.n, to.e - at.e));
    const bool has_height = row.kind == RowKind::reach || row.kind == RowKind::zenith;
    share.plan += row.kind == RowKind::zenith ? 0 : w.redundancy[0];
    share.height += row.kind == RowKind::reach ? w.redundancy[1] : has_height ? w.redundancy[0] : 0;
    for (std::size_t k = 0; k < row.count; ++k) {
      if (w.standardised[k] && !(has_height && k + 1 == row.count)) {
        square_sum += *w.standardised[k] * *w.standardised[k] * std::max(w.redundancy[k], 0.0);
        own += std::max(w.redundancy[k], 0.0);
      }
    }
    if (!is_shared(row.point, s)) continue;
    switch (row.kind) {
      case RowKind::circle:
        r.quantity = Quantity::circle;
        r.circle = Angle::degrees(sight.circle->degrees());
        r.circle_residual = Angle::radians(w.residual[0]);
        set_quality(r, w.sd[0], w.redundancy[0], w.standardised[0], limit);
        out.rows.push_back(r);
        break;
      case RowKind::reach:
      case RowKind::distance:
        r.quantity = Quantity::distance;
        r.length = *sight.horizontal;
        r.length_residual = Length::metres(w.residual[0]);
        set_quality(r, w.sd[0], std::max(w.redundancy[0], 0.0), w.standardised[0], limit);
        out.rows.push_back(r);
        if (row.kind == RowKind::distance || (!says_height(row.point) && w.redundancy[1] <= 0)) break;
        r.quantity = Quantity::height;
        r.length = *sight.rise + input_.setups[s].instrument_height - sight.target_height;
        r.length_residual = Length::metres(w.residual[1]);
        r.least_found.reset();
        set_quality(r, w.sd[1], std::max(w.redundancy[1], 0.0), w.standardised[1], limit);
        out.rows.push_back(r);
        break;
      default:
        break;
    }
  }
  share.variance_factor = solved_.solution->degrees_of_freedom() > 0
                              ? std::optional(solved_.solution->square_sum() /
                                              static_cast<double>(solved_.solution->degrees_of_freedom()))
                              : std::nullopt;
  out.share = share;
  out.degrees_of_freedom = static_cast<std::size_t>(std::lround(std::max(share.plan, 0.0)));
  // A share of one spare reading is one all the same: control that has an sd holds the rest of it.
  if (alone_[s].degrees_of_freedom > 0)
    out.degrees_of_freedom = std::max<std::size_t>(out.degrees_of_freedom, 1);
  out.height_degrees_of_freedom = static_cast<std::size_t>(std::lround(std::max(share.height, 0.0)));
  out.variance_factor = own > 0.1 ? std::optional(square_sum / own) : std::nullopt;
}

void NetResults::add_heights(std::size_t s, SetupResult& out) const {
  const NetSetup& setup = input_.setups[s];
  const auto& u = solved_.unknowns.setups[s];
  if (!solved_.has_height[s]) {
    // Nothing was sighted for height: the mark's own elevation is all there is.
    out.elevation = alone_[s].elevation;
    out.elevation_sd = alone_[s].elevation_sd;
    return;
  }
  const double height_sd = builder_.options().setup.instrument.height_sd.metres();
  const auto variance = [&](const NetPart& part) {
    const NetForm form{part};
    return covariance_.of({&form, 1})(0, 0);
  };
  const double axis_variance = variance({NetPart::Of::setup, s, 3, 1});
  if (!u[3] && setup.place == SetupPlace::known && setup.over) {
    // A mark with an elevation, and no zenith angle read.
    out.elevation = builder_.datum() + Length::metres(solved_.values.points[*setup.over].h);
    out.elevation_sd = Length::metres(height_sd);
    return;
  }
  const double axis = solved_.values.setups[s].axis;
  out.adjusted_axis = builder_.datum() + Length::metres(axis);
  out.axis_sd = Length::metres(std::sqrt(axis_variance));
  if (setup.over) {
    out.elevation = builder_.datum() + Length::metres(solved_.values.points[*setup.over].h);
    out.elevation_sd = Length::metres(std::sqrt(variance({NetPart::Of::point, *setup.over, 2, 1})));
    return;
  }
  const double own = setup.place == SetupPlace::own ? 0.0 : height_sd;
  out.elevation = builder_.datum() + Length::metres(axis) - setup.instrument_height;
  out.elevation_sd = Length::metres(std::hypot(std::sqrt(axis_variance), own));
}

/// Sights that fall elsewhere than their name, against the place that it has.
void NetResults::add_apart(std::size_t s, SetupResult& out) const {
  const NetSetup& setup = input_.setups[s];
  const SetupOptions& options = builder_.options().setup;
  for (std::size_t k = 0; k < setup.sights.size(); ++k) {
    const auto p = solved_.part.point[s][k];
    if (!p || *p < input_.points.size()) continue;
    const std::size_t named = setup.points[setup.sights[k].target];
    const auto& v = solved_.values.points[named];
    const ControlMark there{net::place({v.n, v.e}, builder_.centre()), std::nullopt, std::nullopt};
    for (SightRow row :
         check_sight(out, setup.sights[k], k, there, options.position_tolerance, options.instrument)) {
      row.verdict = Verdict::outside;
      out.rows.push_back(row);
    }
  }
}

/// What is said of the geometry: of all that holds the setup.
void NetResults::add_setup_facts(std::size_t s, SetupResult& out) const {
  const NetSetup& setup = input_.setups[s];
  SetupInput one;
  one.place = setup.place;
  one.orientation = setup.orientation;
  one.sights = setup.sights;
  std::vector<std::optional<ControlMark>> targets(setup.points.size());
  for (std::size_t k = 0; k < setup.sights.size(); ++k)
    if (const auto p = solved_.part.point[s][k]; p && is_shared(*p, s))
      targets[setup.sights[k].target] = ControlMark{
          net::place({solved_.values.points[*p].n, solved_.values.points[*p].e}, builder_.centre()), {}, {}};
  one.targets = targets;
  out.facts.clear();
  add_facts(out, one, builder_.options().setup);
}

/// All that is wrong is named, beyond doubt.
bool NetResults::is_named_elsewhere(const NetResult& net) {
  return !net.wrong.empty() &&
         std::all_of(net.wrong.begin(), net.wrong.end(), [](const Wrong& w) { return w.certain; });
}

/// A setup of which nothing is named: what is wrong elsewhere has bent its readings.
void NetResults::clear(SetupResult& out) {
  for (SightRow& row : out.rows)
    if (row.verdict == Verdict::outside) row.verdict = Verdict::unsure;
  out.verdict = out.degrees_of_freedom == 0 ? Verdict::unsure : Verdict::within;
}

SetupResult NetResults::setup(std::size_t s, const NetResult& net) {
  SetupResult out;
  const SetupResult& alone = alone_[s];
  out.instrument_height = input_.setups[s].instrument_height;
  const auto& v = solved_.values.setups[s];
  out.at = net::place({v.n, v.e}, builder_.centre());
  const bool reads_circle = std::any_of(input_.setups[s].sights.begin(), input_.setups[s].sights.end(),
                                        [](const Sight& k) { return k.circle.has_value(); });
  if (solved_.has_turn[s] && (reads_circle || input_.setups[s].orientation))
    out.orientation = Angle::degrees(Azimuth::degrees(v.turn * 180 / std::numbers::pi).degrees());
  out.status = out.orientation || solved_.unknowns.setups[s][0] ? SetupStatus::solved : alone.status;
  if (!out.orientation &&
      (alone.status == SetupStatus::place_only || alone.status == SetupStatus::no_orientation))
    out.status = alone.status;
  std::vector<NetForm> forms;
  for (std::size_t part = 0; part < 3; ++part) forms.push_back({{NetPart::Of::setup, s, part, 1}});
  const Matrix q = covariance_.of(forms);
  for (std::size_t i = 0; i < 3; ++i)
    for (std::size_t j = 0; j < 3; ++j) out.covariance[i][j] = q(i, j);
  add_rows(s, net.limit, out);
  add_heights(s, out);
  if (!builder_.options().control_sd) out.held = alone.held;
  out.left_out = alone.left_out;
  if (alone.left_out)
    for (const SightRow& row : alone.rows)
      if (row.verdict == Verdict::outside && !solved_.part.point[s][row.sight]) out.rows.push_back(row);
  add_apart(s, out);
  out.wrong = wrong_[s];
  conclude(out);
  if (is_named_elsewhere(net) && out.wrong.empty() && out.verdict == Verdict::outside) clear(out);
  if (out.status == SetupStatus::solved) add_setup_facts(s, out);
  return out;
}

std::optional<NetPlace> NetResults::point(std::size_t p) const {
  const auto& u = solved_.unknowns.points[p];
  NetPlace out;
  const auto c = builder_.control(p);
  for (std::size_t s = 0; s < input_.setups.size(); ++s)
    for (const auto& q : solved_.part.point[s])
      if (q == p) ++out.sights;
  if (!u[0] && !c) return std::nullopt;
  const auto& v = solved_.values.points[p];
  std::vector<NetForm> forms;
  for (std::size_t part = 0; part < 3; ++part) forms.push_back({{NetPart::Of::point, p, part, 1}});
  const Matrix q = covariance_.of(forms);
  out.at = u[0] ? net::place({v.n, v.e}, builder_.centre()) : c->at;
  out.covariance = {q(0, 0), q(0, 1), q(1, 1)};
  if (solved_.point_height[p] && (u[2] || (c && c->elevation))) {
    out.elevation = u[2] ? builder_.datum() + Length::metres(v.h) : *c->elevation;
    out.elevation_sd = Length::metres(std::sqrt(q(2, 2)));
  }
  for (std::size_t i = 0; i < solved_.rows.size(); ++i) {
    const Row& row = solved_.rows[i];
    if (!is_sight(row.kind) || row.point != p) continue;
    for (std::size_t k = 0; k < row.count; ++k) out.redundancy += weighed_[i].redundancy[k];
  }
  return out;
}

NetResult net::results_of(const Builder& builder, const Solved& solved, const Start& start,
                          std::vector<SetupResult> alone) {
  return NetResults(builder, solved, start, std::move(alone)).run();
}

}  // namespace deckmark
