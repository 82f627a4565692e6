#include "hanger/site_cuts.h"

#include <algorithm>
#include <limits>
#include <tuple>
#include <utility>

#include "measure/verdict.h"

namespace deckmark {

namespace {

constexpr double kHairM = kHair.metres();
constexpr double kLeastCutM = kLeastSiteCut.metres();

/// Closed intervals in order, apart from one another; single places are the shortest.
using Parts = std::vector<std::pair<double, double>>;

Parts united(Parts parts) {
  std::sort(parts.begin(), parts.end());
  Parts out;
  for (const auto& [from, to] : parts)
    if (!out.empty() && from <= out.back().second + kHairM)
      out.back().second = std::max(out.back().second, to);
    else
      out.push_back({from, to});
  return out;
}

/// What the others do not hold; where they end the parts begin.
Parts without(const Parts& parts, const Parts& others) {
  Parts out;
  for (const auto& [from, to] : parts) {
    double at = from;
    bool held = false;
    for (const auto& [a, b] : others) {
      if (b < at - kHairM || a > to + kHairM) continue;
      held = true;
      if (a > at + kHairM) out.push_back({at, a});
      at = std::max(at, b);
    }
    if (!held || to > at + kHairM) out.push_back({at, std::max(at, to)});
  }
  return out;
}

/// Where joints may stand: all but the stretches, whose ends may.
Parts allowed_joints(const SiteCutTask& task) {
  std::vector<Stretch> stretches;
  for (const Stretch& s : task.no_joint) {
    if (s.to - s.from <= kHair) continue;
    stretches.push_back(s);
    if (!task.closed) continue;
    for (const Length turn : {-task.member, task.member}) stretches.push_back({s.from + turn, s.to + turn});
  }
  constexpr double kEndless = std::numeric_limits<double>::infinity();
  Parts out;
  double at = -kEndless;
  for (const Stretch& s : joined(std::move(stretches))) {
    out.push_back({at, std::max(at, s.from.metres())});
    at = s.to.metres();
  }
  out.push_back({at, kEndless});
  return out;
}

/// By the number of cuts: the sums taken off so far that are reached with it and not with fewer.
using Reached = std::vector<Parts>;

/// The pieces that are laid, and the rules for cutting them.
class Search {
 public:
  Search(const SiteCutTask& task, std::size_t laid, double excess, const BrokenCutRules& given_up)
      : task_(task), laid_(laid), excess_(excess) {
    if (!given_up.joint_clear) allowed_ = allowed_joints(task);
    if (!given_up.piece_least && task.piece_least)
      least_piece_ = std::max(least_piece_, task.piece_least->metres());
  }

  /// The fewest cuts; nothing where no cuts keep the rules.
  std::optional<std::vector<SiteCut>> best() {
    std::optional<std::vector<SiteCut>> best = fewest(false);
    if (!best || laid_ == 1) return best;
    if (auto of_first = fewest(true); of_first && rank(*of_first) < rank(*best)) best = std::move(of_first);
    return best;
  }

 private:
  std::tuple<std::size_t, bool, bool> rank(const std::vector<SiteCut>& cuts) const {
    return {cuts.size(), cuts.back().piece + 1 != laid_, cuts.front().piece != 0};
  }

  double most_cut(std::size_t i) const {
    const SitePiece& p = task_.pieces[i];
    return p.may_cut == MayCut::no ? 0 : p.length.metres() - least_piece_;
  }

  /// Sums in reach after a piece whose finish lies at `uncut` where nothing is cut.
  Reached after_piece(const Reached& before, std::size_t i, double uncut, bool must_cut) const {
    const double most = most_cut(i);
    const bool may = most >= kLeastCutM - kHairM;
    Reached out;
    Parts fewer;  // reached with fewer cuts
    for (std::size_t q = 0; q <= std::min(before.size(), kMostSiteCuts); ++q) {
      Parts parts;
      if (q < before.size() && !must_cut) parts = before[q];
      if (q > 0 && may)
        for (const auto& [from, to] : before[q - 1])
          if (from + kLeastCutM <= excess_ + kHairM)
            parts.push_back({from + kLeastCutM, std::min(to + most, excess_)});
      parts = united(std::move(parts));
      if (i + 1 < laid_) parts = with_joint(parts, uncut);
      out.push_back(without(parts, fewer));
      fewer.insert(fewer.end(), parts.begin(), parts.end());
      fewer = united(std::move(fewer));
    }
    while (!out.empty() && out.back().empty()) out.pop_back();
    return out;
  }

  /// The sums with which a joint at `uncut` comes to stand where it may.
  Parts with_joint(const Parts& sums, double uncut) const {
    if (allowed_.empty()) return sums;
    Parts out;
    for (const auto& [from, to] : sums) {
      auto at = std::lower_bound(allowed_.begin(), allowed_.end(), uncut - to - kHairM,
                                 [](const auto& p, double v) { return p.second < v; });
      for (; at != allowed_.end() && at->first <= uncut - from + kHairM; ++at) {
        const double low = std::max(from, uncut - at->second), high = std::min(to, uncut - at->first);
        out.push_back({low, std::max(low, high)});
      }
    }
    std::sort(out.begin(), out.end());
    return out;
  }

  std::optional<std::vector<SiteCut>> fewest(bool cut_first) {
    reached_.clear();
    double uncut = 0;
    for (std::size_t i = 0; i < laid_; ++i) {
      uncut += task_.pieces[i].length.metres();
      reached_.push_back(after_piece(before(i), i, uncut, cut_first && i == 0));
      if (reached_.back().empty()) return std::nullopt;
    }
    const Reached& all = reached_.back();
    for (std::size_t q = 0; q < all.size(); ++q)
      for (const auto& [from, to] : all[q])
        if (to >= excess_ - kHairM) return cuts_of(q);
    return std::nullopt;
  }

  const Reached& before(std::size_t i) const { return i > 0 ? reached_[i - 1] : nothing_cut_; }

  /// From the finish back: a piece is cut where it can be, by as much as it can be.
  std::vector<SiteCut> cuts_of(std::size_t count) const {
    std::vector<SiteCut> out;
    double sum = excess_;
    for (std::size_t i = laid_; i-- > 0 && count > 0;) {
      if (const auto left = least_before(i, count - 1, sum)) {
        out.push_back({i, Length::metres(sum - *left), end_of(i)});
        sum = *left;
        --count;
      }
    }
    std::reverse(out.begin(), out.end());
    return out;
  }

  /// The least that may have been taken off before a piece by whose cut it becomes `sum`.
  std::optional<double> least_before(std::size_t i, std::size_t count, double sum) const {
    const double most = most_cut(i);
    if (most < kLeastCutM - kHairM || count >= before(i).size()) return std::nullopt;
    for (const auto& [from, to] : before(i)[count]) {
      const double low = std::max(from, sum - most), high = std::min(to, sum - kLeastCutM);
      if (low <= high + kHairM) return low;
    }
    return std::nullopt;
  }

  AtEnd end_of(std::size_t i) const {
    const MayCut may = task_.pieces[i].may_cut;
    if (may == MayCut::start || may == MayCut::finish)
      return may == MayCut::start ? AtEnd::start : AtEnd::finish;
    return i == 0 && laid_ > 1 ? AtEnd::start : AtEnd::finish;
  }

  const SiteCutTask& task_;
  std::size_t laid_;
  double excess_;
  double least_piece_ = kLeastCutM;
  Parts allowed_;  ///< empty: anywhere
  const Reached nothing_cut_{Parts{{0, 0}}};
  std::vector<Reached> reached_;  ///< after each piece
};

/// The piece that reaches the finish is cut, whatever it breaks.
void cut_last(const SiteCutTask& task, std::size_t laid, Length excess, SiteCutResult& out) {
  const SitePiece& last = task.pieces[laid - 1];
  out.cuts = {{laid - 1, excess, last.may_cut == MayCut::start ? AtEnd::start : AtEnd::finish}};
  out.broken.may_cut = last.may_cut == MayCut::no;
  out.broken.piece_least = task.piece_least && last.length - excess < *task.piece_least - kHair;
  const Parts allowed = allowed_joints(task);
  Length at = Length::metres(0);
  for (std::size_t i = 0; i + 1 < laid; ++i) {
    at += task.pieces[i].length;
    out.broken.joint_clear =
        out.broken.joint_clear || std::none_of(allowed.begin(), allowed.end(), [&](const auto& p) {
          return p.first <= at.metres() + kHairM && at.metres() <= p.second + kHairM;
        });
  }
}

}  // namespace

SiteCutResult site_cuts(const SiteCutTask& task) {
  constexpr Length kAddUp = kPiecesAddUp + kHair;
  SiteCutResult out;
  Length reach = Length::metres(0);
  std::size_t laid = 0;
  do reach += task.pieces[laid++].length;
  while (laid < task.pieces.size() && reach < task.member - kAddUp);
  out.unused = task.pieces.size() - laid;
  const Length excess = reach - task.member;
  if (abs(excess) <= kAddUp) return out;
  if (excess < Length::metres(0)) {
    out.too_short = -excess;
    return out;
  }
  constexpr BrokenCutRules kGivenUp[] = {
      {}, {.joint_clear = true}, {.piece_least = true}, {.joint_clear = true, .piece_least = true}};
  for (const BrokenCutRules& given_up : kGivenUp) {
    if ((given_up.joint_clear && task.no_joint.empty()) || (given_up.piece_least && !task.piece_least))
      continue;
    if (auto best = Search(task, laid, excess.metres(), given_up).best()) {
      out.cuts = std::move(*best);
      out.broken = given_up;
      return out;
    }
  }
  cut_last(task, laid, excess, out);
  return out;
}

}  // namespace deckmark
