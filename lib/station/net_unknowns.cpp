#include <algorithm>
#include <cmath>

#include "station/net_maker.h"

namespace deckmark::net {

void Builder::Maker::begin(const Start& start) {
  const std::size_t setups = input().setups.size();
  out.part = part;
  out.values.setups.resize(setups);
  out.values.points.resize(part.points);
  out.in_net.resize(setups);
  out.has_turn.resize(setups);
  out.turn_held.resize(setups);
  out.has_height.resize(setups);
  out.point_height.resize(part.points);
  out.open_setups.resize(setups);
  out.open_points.resize(part.points);
  for (std::size_t s = 0; s < setups; ++s) {
    if (!start.setups[s]) continue;
    out.in_net[s] = true;
    const Pose& pose = *start.setups[s];
    auto& v = out.values.setups[s];
    v.n = pose.at.n, v.e = pose.at.e;
    const auto& stated = input().setups[s].orientation;
    out.has_turn[s] = pose.turn || stated;
    v.turn = pose.turn.value_or(stated ? stated->radians() : 0.0);
    for (std::size_t k = 0; k < part.point[s].size(); ++k) {
      const auto p = part.point[s][k];
      const Sight& sight = input().setups[s].sights[k];
      if (!p || *p < input().points.size() || !sight.circle || !sight.horizontal) continue;
      const double way = sight.circle->radians() + v.turn;  // a point that was split off
      out.values.points[*p].n = v.n + sight.horizontal->metres() * std::cos(way);
      out.values.points[*p].e = v.e + sight.horizontal->metres() * std::sin(way);
    }
  }
  for (std::size_t p = 0; p < start.points.size(); ++p)
    if (start.points[p])
      out.values.points[p].n = start.points[p]->n, out.values.points[p].e = start.points[p]->e;
}

/// Carries elevations from what is known to what hangs on it; true while something was found.
bool Builder::Maker::carry_heights() {
  bool changed = false;
  const auto give_axis = [&](std::size_t s, double axis) {
    if (out.has_height[s]) return;
    out.has_height[s] = changed = true;
    out.values.setups[s].axis = axis;
  };
  const auto give_point = [&](std::size_t p, double h) {
    if (out.point_height[p]) return;
    out.point_height[p] = changed = true;
    out.values.points[p].h = h;
  };
  for (std::size_t s = 0; s < input().setups.size(); ++s) {
    if (!out.in_net[s]) continue;
    const NetSetup& setup = input().setups[s];
    if (setup.over) {
      const double h = setup.instrument_height.metres();
      if (out.point_height[*setup.over]) give_axis(s, out.values.points[*setup.over].h + h);
      if (out.has_height[s]) give_point(*setup.over, out.values.setups[s].axis - h);
    }
    for (std::size_t k = 0; k < part.point[s].size(); ++k) {
      const auto p = part.point[s][k];
      const Sight& sight = setup.sights[k];
      if (!p || !sight.zenith) continue;
      const auto& at = out.values.points[*p];
      const double reach = std::hypot(at.n - out.values.setups[s].n, at.e - out.values.setups[s].e);
      const double rise = sight.rise ? sight.rise->metres() : reach / std::tan(sight.zenith->radians());
      const double up = rise - sight.target_height.metres();
      if (out.has_height[s]) give_point(*p, out.values.setups[s].axis + up);
      if (out.point_height[*p]) give_axis(s, out.values.points[*p].h - up);
    }
  }
  return changed;
}

/// Elevations from control; what hangs on none has a datum of its own, the mark of its first setup.
void Builder::Maker::find_heights() {
  for (std::size_t p = 0; p < input().points.size(); ++p)
    if (const auto c = builder.control(p); c && c->elevation)
      out.point_height[p] = true, out.values.points[p].h = builder.height_of(*c);
  for (std::size_t s = 0; s < input().setups.size(); ++s)
    if (const auto& own = input().setups[s].own; out.in_net[s] && own && own->elevation) {
      out.has_height[s] = true;
      out.values.setups[s].axis = builder.height_of(*own) + input().setups[s].instrument_height.metres();
    }
  while (carry_heights()) {
  }
  const std::vector<bool> told_setups = out.has_height, told_points = out.point_height;
  axis_held.resize(out.has_height.size());
  for (std::size_t s = 0; s < input().setups.size(); ++s) {
    if (!out.in_net[s] || out.has_height[s] || !reads_zenith(s)) continue;
    out.has_height[s] = axis_held[s] = true;
    out.values.setups[s].axis = input().setups[s].instrument_height.metres();
    while (carry_heights()) {
    }
  }
  if (own_frame) return;
  out.has_height = told_setups;
  out.point_height = told_points;
}

bool Builder::Maker::sights_control(std::size_t s) const {
  for (std::size_t k = 0; k < part.point[s].size(); ++k)
    if (const auto p = part.point[s][k]; p && input().setups[s].sights[k].circle && builder.control(*p))
      return true;
  return false;
}

bool Builder::Maker::reads_zenith(std::size_t s) const {
  for (std::size_t k = 0; k < part.point[s].size(); ++k)
    if (part.point[s][k] && input().setups[s].sights[k].zenith) return true;
  return false;
}

/// Whether readings fix the orientation: a circle to control, or to a point that something else holds.
bool Builder::Maker::turn_is_read(std::size_t s) const {
  const NetSetup& setup = input().setups[s];
  for (std::size_t k = 0; k < part.point[s].size(); ++k) {
    const auto p = part.point[s][k];
    if (!p || !setup.sights[k].circle) continue;
    if (builder.control(*p)) return true;
    if (setup.over == p) continue;
    for (std::size_t t = 0; t < input().setups.size(); ++t) {
      if (t == s || !out.in_net[t]) continue;
      if (input().setups[t].over == p) return true;
      if (std::find(part.point[t].begin(), part.point[t].end(), p) != part.point[t].end()) return true;
    }
  }
  return false;
}

void Builder::Maker::number_unknowns() {
  Unknowns& u = out.unknowns;
  u.setups.resize(input().setups.size());
  u.points.resize(part.points);
  const auto one_more = [&u](std::optional<std::size_t> block) {
    u.blocks.push_back(block);
    return u.count++;
  };
  std::vector<bool> seen(part.points, false), seen_height(part.points, false);
  bool is_frame = own_frame;  // of the first setup alone
  for (std::size_t s = 0; s < input().setups.size(); ++s) {
    if (!out.in_net[s]) continue;
    const NetSetup& setup = input().setups[s];
    const bool zenith = reads_zenith(s);
    bool circle = false;
    for (std::size_t k = 0; k < part.point[s].size(); ++k) {
      const auto p = part.point[s][k];
      if (!p) continue;
      seen[*p] = true;
      if (setup.sights[k].zenith) seen_height[*p] = true;
      circle = circle || setup.sights[k].circle;
    }
    if (setup.over) {
      seen[*setup.over] = true;
      seen_height[*setup.over] = seen_height[*setup.over] || zenith;
    }
    // A stated orientation counts where no control is sighted, whatever else is.
    const bool is_stated = setup.orientation && !sights_control(s);
    out.turn_held[s] = is_frame || (circle && (is_stated || !turn_is_read(s)));
    if (!is_frame) u.setups[s][0] = one_more(std::nullopt), u.setups[s][1] = one_more(std::nullopt);
    if (circle && !out.turn_held[s]) u.setups[s][kTurn] = one_more(std::nullopt);
    if (zenith && !axis_held[s]) u.setups[s][kAxis] = one_more(std::nullopt);
    is_frame = false;
  }
  std::size_t block = 0;
  for (std::size_t p = 0; p < part.points; ++p) {
    if (!seen[p]) continue;
    const auto c = builder.control(p);
    const bool fixed = c && builder.control_sd(p) <= 0;
    const bool has_height = seen_height[p] || (c && c->elevation && !fixed);
    if (!fixed || extra.is_freed(p)) u.points[p][0] = one_more(block), u.points[p][1] = one_more(block);
    if (has_height && !(fixed && c->elevation)) u.points[p][kHeight] = one_more(block);
    ++block;
  }
  number_faces();
  out.first_error = u.count;
  for (std::size_t k = 0; k < extra.columns.size(); ++k) one_more(std::nullopt);
}

/// Collimation and index error: unknown where a sight in one face has them and one in two faces shows them.
void Builder::Maker::number_faces() {
  bool circle = false, zenith = false, shows_circle = false, shows_zenith = false;
  for (std::size_t s = 0; s < input().setups.size(); ++s) {
    if (!out.in_net[s]) continue;
    const NetSetup& setup = input().setups[s];
    for (std::size_t k = 0; k < part.point[s].size(); ++k) {
      if (!part.point[s][k]) continue;
      circle = circle || setup.sights[k].circle_face != 0;
      zenith = zenith || setup.sights[k].zenith_face != 0;
    }
    for (const FaceHalf& h : setup.halves) {
      shows_circle = shows_circle || h.circle;
      shows_zenith = shows_zenith || h.zenith;
    }
  }
  const auto one_more = [this] {
    out.unknowns.blocks.push_back(std::nullopt);
    return out.unknowns.count++;
  };
  if (circle && shows_circle) out.unknowns.collimation = one_more();
  if (zenith && shows_zenith) out.unknowns.index = one_more();
}

}  // namespace deckmark::net
