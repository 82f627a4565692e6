#include "hanger/cut_list.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <optional>

#include "hanger/cut_list_parts.h"
#include "measure/verdict.h"

namespace deckmark {

namespace cut_detail {

namespace {

constexpr std::size_t kMostExact = 24, kMostLeastSlack = 2000, kMostClasses = 400;

Units units_of(Length l) { return std::llround(l.metres() * 1e8); }

/// First-fit decreasing with a tree of the largest room below each node.
Packing first_fit(const PackTask& task) {
  const std::size_t n = task.lengths.size();
  std::size_t leaves = 1;
  while (leaves < n) leaves *= 2;
  std::vector<Units> room(2 * leaves, task.room);
  Packing bins;
  for (std::uint32_t i = 0; i < n; ++i) {
    std::size_t at = 1;
    while (at < leaves) at = room[2 * at] >= task.lengths[i] ? 2 * at : 2 * at + 1;
    const std::size_t bin = at - leaves;
    if (bin >= bins.size()) bins.resize(bin + 1);
    bins[bin].push_back(i);
    room[at] -= task.lengths[i];
    while (at /= 2) room[at] = std::max(room[2 * at], room[2 * at + 1]);
  }
  return bins;
}

Packing best_fit(const PackTask& task) {
  std::multimap<Units, std::size_t> by_room;
  Packing bins;
  for (std::uint32_t i = 0; i < task.lengths.size(); ++i) {
    auto at = by_room.lower_bound(task.lengths[i]);
    Units room = task.room;
    std::size_t bin = bins.size();
    if (at == by_room.end()) {
      bins.emplace_back();
    } else {
      room = at->first, bin = at->second;
      by_room.erase(at);
    }
    bins[bin].push_back(i);
    by_room.emplace(room - task.lengths[i], bin);
  }
  return bins;
}

/// Every way to pack a short list, given up after a number of steps.
class ExactSearch {
 public:
  ExactSearch(const PackTask& task, std::size_t bound, Packing& best)
      : task_(task), bound_(bound), best_(best) {
    left_.assign(task.lengths.size() + 1, 0);
    for (std::size_t i = task.lengths.size(); i-- > 0;) left_[i] = left_[i + 1] + task.lengths[i];
    go(0);
  }

 private:
  void go(std::uint32_t i) {
    if (best_.size() <= bound_ || steps_-- <= 0) return;
    if (i == task_.lengths.size()) {
      best_ = bins_;
      return;
    }
    Units free = 0;
    for (const Units r : rooms_) free += r;
    const Units beyond = std::max<Units>(0, left_[i] - free);
    if (bins_.size() + static_cast<std::size_t>((beyond + task_.room - 1) / task_.room) >= best_.size())
      return;
    for (std::size_t b = 0; b < bins_.size(); ++b) {
      if (rooms_[b] < task_.lengths[i]) continue;
      if (std::find(rooms_.begin(), rooms_.begin() + static_cast<std::ptrdiff_t>(b), rooms_[b]) !=
          rooms_.begin() + static_cast<std::ptrdiff_t>(b))
        continue;
      bins_[b].push_back(i), rooms_[b] -= task_.lengths[i];
      go(i + 1);
      bins_[b].pop_back(), rooms_[b] += task_.lengths[i];
    }
    if (bins_.size() + 1 >= best_.size()) return;
    bins_.push_back({i}), rooms_.push_back(task_.room - task_.lengths[i]);
    go(i + 1);
    bins_.pop_back(), rooms_.pop_back();
  }
  const PackTask& task_;
  std::size_t bound_;
  Packing& best_;
  Packing bins_;
  std::vector<Units> rooms_, left_;
  std::int64_t steps_ = 2'000'000;
};

/// Fills one bin round an item as full as can be.
class SlackSearch {
 public:
  SlackSearch(const std::vector<Units>& lengths, const std::vector<std::uint8_t>& used, Units slack,
              std::int64_t effort)
      : lengths_(lengths), used_(used), steps_(effort) {
    best_slack_ = slack;
    go(0, slack);
  }
  const std::vector<std::size_t>& best() const { return best_; }

 private:
  void go(std::size_t from, Units slack) {
    if (slack < best_slack_) best_slack_ = slack, best_ = now_;
    for (std::size_t j = from; j < lengths_.size(); ++j) {
      if (best_slack_ == 0 || steps_-- <= 0) return;
      if (used_[j] || lengths_[j] > slack) continue;
      now_.push_back(j);
      go(j + 1, slack - lengths_[j]);
      now_.pop_back();
      while (j + 1 < lengths_.size() && lengths_[j + 1] == lengths_[j]) ++j;  // its likes bring nothing new
    }
  }
  const std::vector<Units>& lengths_;
  const std::vector<std::uint8_t>& used_;
  std::int64_t steps_;
  Units best_slack_ = 0;
  std::vector<std::size_t> now_, best_;
};

}  // namespace

Packing least_slack(const PackTask& task, const std::vector<std::uint32_t>& items, std::int64_t effort) {
  std::vector<Units> lengths;
  lengths.reserve(items.size());
  for (const std::uint32_t i : items) lengths.push_back(task.lengths[i]);
  std::vector<std::uint8_t> used(items.size(), 0);
  Packing bins;
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (used[i]) continue;
    used[i] = 1;
    bins.push_back({items[i]});
    const SlackSearch search(lengths, used, task.room - lengths[i], effort);
    for (const std::size_t j : search.best()) {
      used[j] = 1;
      bins.back().push_back(items[j]);
    }
  }
  return bins;
}

namespace {

Packing pack(const PackTask& task, std::size_t& bound) {
  const std::size_t n = task.lengths.size();
  bound = quick_bound(task);
  Packing best = first_fit(task);
  if (best.size() <= bound) return best;
  if (Packing other = best_fit(task); other.size() < best.size()) best = std::move(other);
  if (best.size() > bound && n <= kMostLeastSlack) {
    std::vector<std::uint32_t> all(n);
    std::iota(all.begin(), all.end(), 0U);
    if (Packing other = least_slack(task, all, 4000); other.size() < best.size()) best = std::move(other);
  }
  if (best.size() > bound && n <= kMostExact) ExactSearch(task, bound, best);
  std::size_t classes = 1;
  for (std::size_t i = 1; i < n; ++i) classes += task.lengths[i] != task.lengths[i - 1];
  if (best.size() > bound && classes <= kMostClasses) generate_patterns(task, best, bound);
  return best;
}

}  // namespace

}  // namespace cut_detail

Length cut_length(Length drop, Length lean, const CutOptions& options) {
  const Length zero = Length::metres(0);
  const Length cut = hypot(drop, lean) + options.top.value_or(zero) + options.bottom.value_or(zero);
  if (!options.round) return cut;
  return std::ceil((cut - kHair) / *options.round) * *options.round;
}

CutListResult cut_list(std::span<const Length> cuts, Length stock, Length kerf) {
  using namespace cut_detail;
  CutListResult out;
  if (cuts.empty()) return out;
  std::vector<std::uint32_t> order(cuts.size());
  std::iota(order.begin(), order.end(), 0U);
  std::stable_sort(order.begin(), order.end(),
                   [&](std::uint32_t a, std::uint32_t b) { return cuts[a] > cuts[b]; });
  PackTask task{{}, units_of(stock + kerf)};
  for (const std::uint32_t i : order) task.lengths.push_back(std::min(units_of(cuts[i] + kerf), task.room));
  Packing bins = pack(task, out.lower_bound);
  for (auto& bin : bins) {
    std::sort(bin.begin(), bin.end());
    for (std::uint32_t& i : bin) i = order[i];
  }
  const auto first = [](const std::vector<std::uint32_t>& bin) {
    return *std::min_element(bin.begin(), bin.end());
  };
  std::sort(bins.begin(), bins.end(), [&](const auto& a, const auto& b) { return first(a) < first(b); });
  out.piece_of.resize(cuts.size());
  for (std::size_t b = 0; b < bins.size(); ++b) {
    Length used = Length::metres(0);
    for (const std::uint32_t i : bins[b]) {
      used += cuts[i];
      out.piece_of[i] = static_cast<std::uint32_t>(b);
    }
    out.waste += stock - used;
    // The saw takes its kerf behind every cut, unless less than that is left.
    out.pieces.push_back(
        {{bins[b].begin(), bins[b].end()},
         std::max(Length::metres(0), stock - used - kerf * static_cast<double>(bins[b].size()))});
  }
  return out;
}

}  // namespace deckmark
