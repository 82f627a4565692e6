#include <algorithm>
#include <tuple>
#include <utility>

#include "book/today.h"
#include "station/stake.h"

namespace deckmark {

TodayWalk::TodayWalk(const Ledger& ledger) : ledger_(ledger) {
  std::vector<Point<Site>> points;
  std::vector<std::uint32_t> runs, numbers;
  for (std::size_t i = 0; i < ledger.numbers(); ++i) {
    const std::uint32_t last = ledger.latest(i);
    if (!ledger.columns().is_live(last)) continue;
    const LedgerRow row = ledger.row(last);
    if (row.run.empty() || row.site.northing.is_none()) continue;
    const auto next = static_cast<std::uint32_t>(runs_.size() + 1);
    points.push_back(row.site.point());
    runs.push_back(runs_.emplace(row.run, next).first->second);
    numbers.push_back(row.number);
  }
  if (points.empty()) return;
  std::vector<std::uint32_t> came(runs_.size() + 1, 0);  // by run as it came: its place in the walk
  std::uint32_t place = 0, next_run = 0;
  for (const std::size_t i : walk_by_run(points, runs, points.front()).order) {
    place_.emplace(numbers[i], ++place);
    if (came[runs[i]] == 0) came[runs[i]] = ++next_run;
  }
  for (auto& [run, at] : runs_) at = came[at];
}

std::uint32_t TodayWalk::run_place(std::string_view run) const {
  const auto at = runs_.find(run);
  if (at != runs_.end()) return at->second;
  return run.empty() ? kNone32 : kNone32 - 1;
}

void TodayWalk::sort(std::vector<TodayRow>& rows) const {
  using Key = std::tuple<std::uint32_t, std::string_view, std::uint32_t, std::uint32_t, TodayThing>;
  std::vector<std::pair<Key, std::size_t>> keys;
  keys.reserve(rows.size());
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const TodayRow& row = rows[i];
    const std::string_view run =
        row.ledger_row == kNone32 ? std::string_view() : ledger_.row(row.ledger_row).run;
    const auto at = place_.find(row.number);
    keys.emplace_back(
        Key{run_place(run), run, at == place_.end() ? kNone32 : at->second, row.number, row.thing}, i);
  }
  std::sort(keys.begin(), keys.end());
  std::vector<TodayRow> out;
  out.reserve(rows.size());
  for (const auto& [key, i] : keys) out.push_back(std::move(rows[i]));
  rows = std::move(out);
}

void TodayWalk::sort(std::vector<RunProgress>& runs) const {
  std::stable_sort(runs.begin(), runs.end(), [this](const RunProgress& a, const RunProgress& b) {
    return std::pair(run_place(a.run), a.run) < std::pair(run_place(b.run), b.run);
  });
}

std::vector<RunProgress> progress_by_run(const BookState& state) {
  const Ledger& ledger = state.ledger();
  std::vector<RunProgress> out;
  std::unordered_map<std::string_view, std::size_t> at;
  for (std::size_t i = 0; i < ledger.numbers(); ++i) {
    const LedgerRow row = ledger.row(ledger.latest(i));
    if (!row.live) continue;
    const auto [found, is_new] = at.emplace(row.run, out.size());
    if (is_new) out.push_back({row.run});
    RunProgress& run = out[found->second];
    ++run.numbers;
    const NumberState* const made = state.find(row.number);
    if (!made) continue;
    run.marked += made->floor.empty() ? 0U : 1U;
    run.deck += made->deck.empty() && made->holes.empty() ? 0U : 1U;
    run.drilled += made->holes.empty() ? 0U : 1U;
    run.hung += made->rod.kind == RodState::Kind::hung ? 1U : 0U;
  }
  return out;
}

}  // namespace deckmark
