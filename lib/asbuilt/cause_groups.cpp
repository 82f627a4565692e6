#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <set>

#include "asbuilt/cause_search.h"

namespace deckmark::causes {

namespace {

constexpr std::size_t kLeastShots = 2;  // of a group
constexpr std::size_t kShortest = 3;    // stretch
constexpr AsbuiltLevel kLevels[] = {AsbuiltLevel::floor, AsbuiltLevel::deck, AsbuiltLevel::bracket};
constexpr std::size_t kGrid =
    150;  // places at which a stretch may begin or end, before it is looked at closely

}  // namespace

std::vector<std::size_t> order_of(const CausesInput& input, bool& by_time) {
  std::vector<std::size_t> order(input.shots.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  by_time = !order.empty() &&
            std::ranges::all_of(input.shots, [](const CauseShot& s) { return s.time.has_value(); });
  if (by_time) std::ranges::stable_sort(order, {}, [&](std::size_t i) { return *input.shots[i].time; });
  return order;
}

std::vector<Group> groups_of(const CausesInput& input, std::span<const std::size_t> order) {
  std::vector<Group> out;
  out.push_back({{}, {}, {order.begin(), order.end()}});
  std::map<std::pair<std::size_t, std::size_t>, std::vector<std::size_t>> alike;  // by first shot and count
  if (!order.empty()) alike[{order.front(), order.size()}].push_back(0);
  const auto add = [&](const GroupRef& ref, std::vector<std::size_t> shots) {
    if (shots.size() < kLeastShots) return;
    std::vector<std::size_t>& near = alike[{shots.front(), shots.size()}];
    const auto same = std::ranges::find_if(near, [&](std::size_t g) { return out[g].shots == shots; });
    if (same == near.end()) {
      near.push_back(out.size());
      out.push_back({ref, {}, std::move(shots)});
      return;
    }
    Group& g = out[*same];
    const auto whole = [&](const GroupRef& r) { return r.kind == ref.kind && r.word == ref.word; };
    if (!whole(g.ref) && std::ranges::none_of(g.also, whole)) g.also.push_back(ref);
  };
  const bool one_level = std::ranges::all_of(
      order, [&](std::size_t i) { return input.shots[i].level == input.shots[order.front()].level; });
  const auto by_word = [&](GroupKind kind, auto word) {
    std::map<std::uint32_t, std::vector<std::size_t>> parts;
    for (const std::size_t i : order)
      if (const std::uint32_t w = word(input.shots[i]); w != 0) parts[w].push_back(i);
    for (const auto& [w, shots] : parts) add({kind, w}, shots);
    if (kind == GroupKind::level || one_level) return;
    for (const auto& [w, shots] : parts)
      for (const AsbuiltLevel level : kLevels) {
        std::vector<std::size_t> on_level;
        for (const std::size_t i : shots)
          if (input.shots[i].level == level) on_level.push_back(i);
        add({kind, w, GroupKind::all, 0, 0, level}, std::move(on_level));
      }
  };
  by_word(GroupKind::level, [](const CauseShot& s) { return static_cast<std::uint32_t>(s.level) + 1; });
  by_word(GroupKind::setup, [](const CauseShot& s) { return s.setup; });
  by_word(GroupKind::marked_from, [](const CauseShot& s) { return s.marked_from; });
  by_word(GroupKind::reflector, [](const CauseShot& s) { return s.reflector; });
  by_word(GroupKind::crew, [](const CauseShot& s) { return s.crew; });
  by_word(GroupKind::run, [](const CauseShot& s) { return s.run; });
  return out;
}

bool is_one_mark(const CausesInput& input, std::span<const std::size_t> shots) {
  return std::ranges::all_of(
      shots, [&](std::size_t i) { return input.shots[i].mark == input.shots[shots.front()].mark; });
}

void count_touched(const CausesInput& input, Cause& cause) {
  std::set<std::uint32_t> marks;
  for (const std::size_t i : cause.shots) marks.insert(input.shots[i].mark);
  cause.points = marks.size();
  if (cause.shots.empty()) return;
  const AsbuiltLevel level = input.shots[cause.shots.front()].level;
  if (std::ranges::all_of(cause.shots, [&](std::size_t i) { return input.shots[i].level == level; }))
    cause.level = level;
}

Stretch best_stretch(std::span<const Complex> off, std::span<const std::vector<Complex>> ways, bool to_end) {
  const std::size_t n = off.size();
  Stretch best;
  if (n < kShortest + 1) return best;
  std::vector<std::vector<double>> top(ways.size(), std::vector<double>(n + 1, 0)), bottom = top;
  for (std::size_t k = 0; k < ways.size(); ++k)
    for (std::size_t i = 0; i < n; ++i) {
      top[k][i + 1] = top[k][i] + (std::conj(ways[k][i]) * off[i]).real();
      bottom[k][i + 1] = bottom[k][i] + std::norm(ways[k][i]);
    }
  double gain = -1;
  const auto weigh_stretch = [&](std::size_t from, std::size_t to) {
    if (to < from + kShortest || (from == 0 && to == n)) return;
    double sum = 0;
    for (std::size_t k = 0; k < ways.size(); ++k) {
      const double t = top[k][to] - top[k][from], b = bottom[k][to] - bottom[k][from];
      if (b > 0) sum += t * t / b;
    }
    ++best.tried;
    if (sum > gain) {
      gain = sum;
      best.from = from;
      best.to = to;
    }
  };
  const std::size_t step = to_end ? 1 : std::max<std::size_t>(1, n / kGrid);
  for (std::size_t from = 0; from < n; from += step) {
    if (!to_end)
      for (std::size_t to = from + kShortest; to < n; to += step) weigh_stretch(from, to);
    weigh_stretch(from, n);
  }
  if (step > 1) {
    const std::size_t at_from = best.from, at_to = best.to;
    for (std::size_t from = at_from - std::min(at_from, step); from <= at_from + step && from < n; ++from)
      for (std::size_t to = at_to - std::min(at_to, step); to <= std::min(n, at_to + step); ++to)
        weigh_stretch(from, to);
  }
  return best;
}

}  // namespace deckmark::causes
