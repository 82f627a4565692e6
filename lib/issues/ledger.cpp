#include "issues/ledger.h"

#include <algorithm>
#include <cassert>
#include <numeric>

namespace deckmark {

std::string_view what_word(What w) {
  constexpr std::array<std::string_view, kWhats> kWords{"floor", "deck", "bracket", "cut"};
  return kWords[static_cast<std::size_t>(w)];
}

bool LedgerRow::hands_out_as(const LedgerRow& o) const {
  return point == o.point && live == o.live && drawing == o.drawing && deck_offset == o.deck_offset &&
         site == o.site && floor == o.floor && attach == o.attach && deck == o.deck && cut == o.cut &&
         kind == o.kind && run == o.run && crew == o.crew;
}

void KeptColumn::append(std::size_t at, KeptColumn&& other) {
  if (other.values_.empty()) return;
  values_.resize(at, Kept::none());
  values_.insert(values_.end(), other.values_.begin(), other.values_.end());
  other = KeptColumn{};
}

void LedgerRows::reserve(std::size_t rows) {
  points_.reserve(rows);
  numbers_.reserve(rows);
  begins_.reserve(rows);
  live_.reserve(rows);
  drawing_.reserve(rows);
  site_.reserve(rows);
}

void LedgerRows::add(const LedgerRow& row, std::uint32_t begin) {
  const std::size_t i = size();
  points_.push_back(row.point);
  numbers_.push_back(row.number);
  begins_.push_back(begin);
  live_.push_back(row.live ? 1 : 0);
  drawing_.push_back(row.drawing);
  site_.push_back(row.site);
  offsets_.put(i, row.deck_offset);
  floors_.put(i, row.floor);
  attaches_.put(i, row.attach);
  decks_.put(i, row.deck);
  cuts_.put(i, row.cut);
  if (!row.revision.empty()) revisions_.put(i, row.revision);
  if (!row.kind.empty()) kinds_.put(i, row.kind);
  if (!row.run.empty()) runs_.put(i, row.run);
  if (!row.crew.empty()) crews_.put(i, row.crew);
  told_.put(i, row.told);
}

void LedgerRows::append(LedgerRows&& other) {
  const std::size_t at = size();
  points_.append(std::move(other.points_));
  const auto take = [](auto& to, auto& from) { to.insert(to.end(), from.begin(), from.end()); };
  take(numbers_, other.numbers_);
  take(begins_, other.begins_);
  take(live_, other.live_);
  take(drawing_, other.drawing_);
  take(site_, other.site_);
  offsets_.append(at, std::move(other.offsets_));
  floors_.append(at, std::move(other.floors_));
  attaches_.append(at, std::move(other.attaches_));
  decks_.append(at, std::move(other.decks_));
  cuts_.append(at, std::move(other.cuts_));
  revisions_.append(at, std::move(other.revisions_));
  kinds_.append(at, std::move(other.kinds_));
  runs_.append(at, std::move(other.runs_));
  crews_.append(at, std::move(other.crews_));
  told_.append(at, std::move(other.told_));
  other = LedgerRows{};
}

LedgerRow LedgerRows::at(std::size_t i) const {
  LedgerRow row;
  row.point = points_[i];
  row.number = numbers_[i];
  row.live = live_[i] != 0;
  row.drawing = drawing_[i];
  row.deck_offset = offsets_[i];
  row.revision = revisions_[i];
  row.site = site_[i];
  row.floor = floors_[i];
  row.attach = attaches_[i];
  row.deck = decks_[i];
  row.cut = cuts_[i];
  row.kind = kinds_[i];
  row.run = runs_[i];
  row.crew = crews_[i];
  row.told = told_[i];
  return row;
}

Ledger::Ledger(std::vector<IssuedRow> issues, LedgerRows rows)
    : issues_(std::move(issues)), rows_(std::move(rows)) {
  std::uint32_t at = 0;
  for (const IssuedRow& issue : issues_) {
    first_.push_back(at);
    at += issue.rows;
  }
  first_.push_back(at);
  assert(at == rows_.size());
  // One issue in the order of numbers needs no index.
  const auto rises = [this](std::uint32_t from, std::uint32_t to) {
    for (std::uint32_t r = from + 1; r < to; ++r)
      if (rows_.number(r - 1) >= rows_.number(r)) return false;
    return true;
  };
  const std::uint32_t ends = issues_.empty() ? 0 : first_[1];
  const bool sorted = rises(0, ends);
  if (sorted && ends == rows_.size()) return;
  latest_.resize(ends);
  std::iota(latest_.begin(), latest_.end(), 0U);
  const auto by_number = [this](std::uint32_t row, std::uint32_t n) { return rows_.number(row) < n; };
  if (!sorted)
    std::stable_sort(latest_.begin(), latest_.end(),
                     [this](std::uint32_t a, std::uint32_t b) { return rows_.number(a) < rows_.number(b); });
  before_.assign(rows_.size(), kNone32);
  for (std::uint32_t r = ends; r < rows_.size(); ++r) {
    const std::uint32_t n = rows_.number(r);
    if (latest_.empty() || rows_.number(latest_.back()) < n) {
      latest_.push_back(r);
      continue;
    }
    const auto place = std::lower_bound(latest_.begin(), latest_.end(), n, by_number);
    if (rows_.number(*place) == n) {
      before_[r] = *place;
      *place = r;
    } else {
      latest_.insert(place, r);
    }
  }
}

LedgerRow Ledger::row(std::uint32_t i) const {
  LedgerRow row = rows_.at(i);
  row.issue = issue_of(i);
  return row;
}

std::uint32_t Ledger::issue_of(std::uint32_t row) const {
  return static_cast<std::uint32_t>(std::upper_bound(first_.begin(), first_.end() - 1, row) - first_.begin());
}

std::uint32_t Ledger::find(std::uint32_t number) const {
  std::size_t low = 0, high = numbers();
  while (low < high) {
    const std::size_t middle = (low + high) / 2;
    if (rows_.number(latest(middle)) < number)
      low = middle + 1;
    else
      high = middle;
  }
  return low < numbers() && rows_.number(latest(low)) == number ? latest(low) : kNone32;
}

std::uint32_t Ledger::as_of(std::uint32_t row, std::uint32_t issue) const {
  if (issue >= last_issue()) return row;
  while (row != kNone32 && row >= first_[issue]) row = before(row);
  return row;
}

std::uint32_t Ledger::in_issue(std::uint32_t row, std::uint32_t issue) const {
  if (issue == 0 || issue > last_issue()) return kNone32;
  row = as_of(row, issue);
  return row != kNone32 && row >= first_row(issue) ? row : kNone32;
}

std::vector<std::pair<std::uint32_t, std::uint32_t>> Ledger::same_numbers() const {
  std::vector<std::pair<std::uint32_t, std::uint32_t>> out;
  for (std::uint32_t issue = 1; issue <= last_issue(); ++issue) {
    const std::uint32_t from = first_row(issue), to = first_row(issue + 1);
    std::vector<std::uint32_t> order;
    for (std::uint32_t r = from + 1; r < to && order.empty(); ++r)
      if (rows_.number(r - 1) >= rows_.number(r)) order.resize(to - from);
    if (order.empty()) continue;
    std::iota(order.begin(), order.end(), from);
    std::stable_sort(order.begin(), order.end(),
                     [this](std::uint32_t a, std::uint32_t b) { return rows_.number(a) < rows_.number(b); });
    for (std::size_t i = 1; i < order.size(); ++i)
      if (rows_.number(order[i]) == rows_.number(order[i - 1])) out.emplace_back(order[i - 1], order[i]);
  }
  return out;
}

std::uint32_t Ledger::highest() const { return numbers() == 0 ? 0 : rows_.number(latest(numbers() - 1)); }

}  // namespace deckmark
