#include "station/net.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "adjust/blocks.h"
#include "adjust/solve.h"
#include "station/net_alone.h"
#include "station/net_build.h"
#include "station/net_results.h"
#include "station/net_start.h"
#include "station/plan_fit.h"

namespace deckmark {

using net::Solved;

namespace {

constexpr double kTwoNames = 1000;
constexpr std::size_t kMostPlaces = 16;  // combinations of places that are tried

/// Sights that a setup alone had to leave out, since with them it has no place at all.
std::vector<std::vector<bool>> left_out_of(const NetInput& input, const std::vector<SetupResult>& alone) {
  std::vector<std::vector<bool>> out;
  for (std::size_t s = 0; s < alone.size(); ++s) {
    std::vector<bool> mine(input.setups[s].sights.size(), false);
    const auto leave = [&mine](std::optional<std::size_t> k) {
      if (k && *k < mine.size()) mine[*k] = true;
    };
    if (alone[s].left_out) {
      leave(alone[s].left_out);
      for (const Wrong& w : alone[s].wrong)
        if (w.kind == WrongKind::exchanged) leave(w.sight), leave(w.other_sight), leave(w.third_sight);
    }
    out.push_back(std::move(mine));
  }
  return out;
}

/// Solves, without what is left open; the setups and points that were are told.
struct Attempt {
  Solved solved;
  net::Start start;
  std::vector<bool> open_setups;
};
Attempt attempt(const net::Builder& builder, net::Start start, const std::vector<std::vector<bool>>& left_out,
                bool doubts_control) {
  Attempt out;
  out.open_setups.resize(start.setups.size());
  while (true) {
    out.solved = builder.solve(start, builder.part_of(start, left_out, doubts_control));
    bool any = false;
    for (std::size_t p = 0; p < out.solved.open_points.size(); ++p)
      if (out.solved.open_points[p] && p < start.points.size() && start.points[p] && !builder.control(p)) {
        start.points[p].reset();
        any = true;
      }
    for (std::size_t s = 0; !any && s < out.solved.open_setups.size(); ++s)
      if (out.solved.open_setups[s] && start.setups[s]) {
        start.setups[s].reset();
        out.open_setups[s] = any = true;
      }
    if (!any) break;
  }
  // Places to start from are rough over a kilometre: names that fell apart by that are one again.
  if (out.solved.converged && out.solved.part.points > start.points.size()) {
    const net::Start near = builder.start_from(out.solved, start);
    const net::Part again = builder.part_of(near, left_out, doubts_control);
    Solved solved = builder.solve(near, again);
    if (again.points < out.solved.part.points && solved.converged) out.solved = std::move(solved);
  }
  out.start = std::move(start);
  return out;
}

/// Each name that two setups see at two places counts as a misfit that cannot be chance.
double square_sum_of(const Solved& s, std::size_t points) {
  if (!s.converged) return std::numeric_limits<double>::infinity();
  return s.solution->square_sum() + kTwoNames * static_cast<double>(s.part.points - points);
}

/// The best of all places that distances alone leave; setups whose other place does as well are told.
Attempt best_attempt(const net::Builder& builder, const net::Start& start,
                     const std::vector<std::vector<bool>>& left_out, bool doubts_control,
                     std::vector<bool>& two_places) {
  std::vector<std::size_t> doubtful;
  std::size_t combinations = 1;
  for (std::size_t s = 0; s < start.setups.size(); ++s)
    if (start.other_places[s].size() > 1 && combinations * start.other_places[s].size() <= kMostPlaces) {
      doubtful.push_back(s);
      combinations *= start.other_places[s].size();
    }
  std::vector<std::pair<double, std::size_t>> sums;
  std::vector<Attempt> all;
  for (std::size_t c = 0; c < combinations; ++c) {
    net::Start at = start;
    std::size_t rest = c;
    for (const std::size_t s : doubtful) {
      const auto& places = start.other_places[s];
      const net::Flat& place = places[rest % places.size()];
      at.setups[s] = net::Pose{place, std::nullopt};
      rest /= places.size();
      for (const Sight& sight : builder.input().setups[s].sights) {
        const auto& to = at.points[builder.input().setups[s].points[sight.target]];
        if (!sight.circle || !to) continue;
        at.setups[s]->turn = std::atan2(to->e - place.e, to->n - place.n) - sight.circle->radians();
        break;
      }
    }
    all.push_back(attempt(builder, std::move(at), left_out, doubts_control));
    sums.emplace_back(square_sum_of(all.back().solved, builder.input().points.size()), c);
  }
  std::sort(sums.begin(), sums.end());
  for (std::size_t k = 1; k < sums.size(); ++k) {
    if (!(sums[k].first < sums[0].first + kTellApart)) continue;
    const auto &a = all[sums[0].second].solved.values.setups, &b = all[sums[k].second].solved.values.setups;
    for (const std::size_t s : doubtful)
      if (std::hypot(a[s].n - b[s].n, a[s].e - b[s].e) > 1e-3) two_places[s] = true;
  }
  return std::move(all[sums[0].second]);
}

}  // namespace

NetResult adjust_net(const NetInput& input, const NetOptions& options) {
  std::vector<SetupResult> alone = net::alone_of(input, options);
  const net::Builder builder(input, options, net::centre_of(input));
  net::Start start = net::find_start(input, options, builder.centre(), alone);
  std::vector<bool> two_places(input.setups.size(), false);
  Attempt best = best_attempt(builder, start, left_out_of(input, alone), false, two_places);
  // Control with its axes exchanged fits no place; each setup alone names it.
  const bool is_named_alone = std::ranges::any_of(alone, [](const SetupResult& r) {
    return std::ranges::any_of(r.wrong, [](const Wrong& w) { return w.kind == WrongKind::axes; });
  });
  if (!best.solved.converged && !is_named_alone) {
    // A gross error keeps it from settling: what falls far from control and from what most see is set apart.
    std::vector<std::vector<bool>> nothing;
    for (const NetSetup& s : input.setups) nothing.emplace_back(s.sights.size(), false);
    start = net::find_start(input, options, builder.centre(), alone, true);
    two_places.assign(input.setups.size(), false);
    best = best_attempt(builder, start, nothing, true, two_places);
  }
  if (!best.solved.converged) {
    NetResult out;
    out.converged = is_named_alone;
    out.setups = std::move(alone);
    out.points.resize(input.points.size());
    return out;
  }
  for (std::size_t s = 0; s < alone.size(); ++s) {
    if (best.open_setups[s] && alone[s].status != SetupStatus::solved) alone[s].status = SetupStatus::open;
    if (two_places[s]) alone[s].status = SetupStatus::two_places;
  }
  NetResult out = net::results_of(builder, best.solved, best.start, std::move(alone));
  for (std::size_t s = 0; s < out.setups.size(); ++s)
    if (two_places[s]) {
      out.setups[s].status = SetupStatus::two_places;
      out.setups[s].places.clear();
      for (const net::Flat& f : start.other_places[s])
        out.setups[s].places.push_back(net::place(f, builder.centre()));
    }
  out.own_frame =
      std::find(best.start.own_frame.begin(), best.start.own_frame.end(), true) != best.start.own_frame.end();
  return out;
}

}  // namespace deckmark
