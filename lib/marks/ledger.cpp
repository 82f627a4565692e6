#include "marks/ledger.h"

#include <algorithm>

#include "marks/near_pairs.h"

namespace deckmark {

std::string_view change_word(Change c) {
  switch (c) {
    case Change::fresh:
      return "new";
    case Change::moved:
      return "moved";
    case Change::dropped:
      return "dropped";
    case Change::returned:
      return "returned";
    case Change::renamed:
      return "renamed";
    case Change::refit:
      return "refit";
  }
  return "";
}

void LedgerTable::reserve(std::size_t rows) {
  names.reserve(rows);
  numbers.reserve(rows);
  live.reserve(rows);
  places.reserve(rows);
  site_places.reserve(rows);
  begins.reserve(rows);
}

void LedgerTable::append(LedgerTable&& other) {
  const std::size_t at = size();
  names.append(std::move(other.names));
  numbers.insert(numbers.end(), other.numbers.begin(), other.numbers.end());
  live.insert(live.end(), other.live.begin(), other.live.end());
  places.insert(places.end(), other.places.begin(), other.places.end());
  site_places.insert(site_places.end(), other.site_places.begin(), other.site_places.end());
  revisions.append(at, std::move(other.revisions));
  begins.insert(begins.end(), other.begins.begin(), other.begins.end());
  for (const OffsetUse& use : other.offsets) take_offset(use);
  if (!deck_offset) deck_offset = other.deck_offset;
  other = LedgerTable{};
}

void LedgerTable::take_offset(const OffsetUse& use) {
  constexpr std::size_t kKept = 100;  // of more than that nothing could be said
  const auto same = std::ranges::find(offsets, use.offset, &OffsetUse::offset);
  if (same != offsets.end())
    same->rows += use.rows;
  else if (offsets.size() < kKept)
    offsets.push_back(use);
}

LedgerJoin join_ledger(const MarkTable& marks, const NameIndex& mark_index, const LedgerTable& ledger) {
  LedgerJoin join;
  join.entries.assign(marks.size(), kNone32);
  TextColumn rest;
  std::uint32_t hint = 0;  // a ledger mostly stands in the drawing's order
  for (std::uint32_t e = 0; e < ledger.size(); ++e) {
    const std::string_view name = ledger.names[e];
    std::optional<std::uint32_t> mark;
    if (hint < marks.size() && same_name(marks.names[hint], name))
      mark = hint;
    else
      mark = mark_index.find(name);
    if (!mark) {
      join.unmatched.push_back(e);
      rest.push_back(name);
      continue;
    }
    hint = *mark + 1;
    if (join.entries[*mark] == kNone32)
      join.entries[*mark] = e;
    else
      join.same_names.emplace_back(join.entries[*mark], e);
  }
  const NameIndex rest_index(rest);
  for (const auto& [a, b] : rest_index.duplicates())
    join.same_names.emplace_back(join.unmatched[a], join.unmatched[b]);

  const auto rising = [](std::uint32_t a, std::uint32_t b) { return a >= b; };
  if (std::adjacent_find(ledger.numbers.begin(), ledger.numbers.end(), rising) != ledger.numbers.end()) {
    std::vector<std::uint32_t> order(ledger.size());
    for (std::uint32_t e = 0; e < order.size(); ++e) order[e] = e;
    std::stable_sort(order.begin(), order.end(),
                     [&](std::uint32_t a, std::uint32_t b) { return ledger.numbers[a] < ledger.numbers[b]; });
    for (std::size_t i = 1; i < order.size(); ++i)
      if (ledger.numbers[order[i]] == ledger.numbers[order[i - 1]])
        join.same_numbers.emplace_back(order[i - 1], order[i]);
  }
  return join;
}

namespace {

/// The ledger keeps places rounded to its last decimal; that rounding alone is no move.
constexpr Length kHairOfPlace = Length::metres(1e-6);

/// Floor numbers and the numbers that own deck numbers; answers whether an offset makes them meet.
class NumberSets {
 public:
  NumberSets(BigVector<std::uint32_t> floor, BigVector<std::uint32_t> owners)
      : floor_(std::move(floor)), owners_(std::move(owners)) {
    for (auto* set : {&floor_, &owners_})
      if (!std::is_sorted(set->begin(), set->end())) std::sort(set->begin(), set->end());
  }
  /// The owner whose deck number is taken under this offset.
  std::optional<std::uint32_t> meets(std::int64_t offset) const {
    if (owners_.empty() || floor_.empty() || owners_.front() + offset > floor_.back()) return std::nullopt;
    auto f = floor_.begin();
    for (const std::uint32_t n : owners_) {
      const std::int64_t deck = n + offset;
      if (deck > floor_.back()) break;
      f = std::lower_bound(f, floor_.end(), static_cast<std::uint32_t>(deck));
      if (*f == deck) return n;
    }
    return std::nullopt;
  }
  std::int64_t smallest_offset() const {
    std::int64_t offset = 1;
    while (meets(offset)) ++offset;
    return offset;
  }
  /// The default where that works, else a round offset that puts every deck number above every floor number.
  std::int64_t roomy_offset() const {
    const std::int64_t usual = NumberOptions{}.deck_offset;
    if (!meets(usual)) return usual;
    const std::int64_t span = static_cast<std::int64_t>(floor_.back()) - owners_.front() + 1;
    std::int64_t round = 1;
    while (round * 10 <= span) round *= 10;
    return (span + round - 1) / round * round;
  }
  std::uint32_t largest_owner() const { return owners_.empty() ? 0 : owners_.back(); }

 private:
  BigVector<std::uint32_t> floor_, owners_;
};

/// True where deck numbers can have been issued under the ledger's offset.
bool was_issued(const LedgerTable& ledger) {
  return ledger.deck_offset && ledger.size() > 0 &&
         !NumberSets(ledger.numbers, ledger.numbers).meets(*ledger.deck_offset);
}

bool offset_binds(const LedgerTable& ledger, std::int64_t offset) {
  return ledger.deck_offset && *ledger.deck_offset != offset && was_issued(ledger);
}

/// New points at the places of points that are gone: pairs (mark, ledger row), nearest first, then in the
/// order of `gone`.
std::vector<std::pair<std::uint32_t, std::uint32_t>> renamed_points(const MarkTable& marks,
                                                                    const LedgerTable& ledger,
                                                                    const std::vector<std::uint32_t>& fresh,
                                                                    const std::vector<std::uint32_t>& gone) {
  const auto places_of = [](const auto& places, const std::vector<std::uint32_t>& which) {
    std::vector<Point<Drawing>> out;
    out.reserve(which.size());
    for (const std::uint32_t i : which) out.push_back(places[i]);
    return out;
  };
  std::vector<std::pair<std::uint32_t, std::uint32_t>> out;
  std::vector<bool> is_named(fresh.size(), false), is_taken(gone.size(), false);
  for (const PairWithin& p :
       pairs_within(places_of(marks.places, fresh), places_of(ledger.places, gone), kMoveTold)) {
    if (is_named[p.of] || is_taken[p.among]) continue;
    is_named[p.of] = is_taken[p.among] = true;
    out.emplace_back(fresh[p.of], gone[p.among]);
  }
  return out;
}

/// A move that is told; squares, since a million marks are asked.
bool is_longer(Length a, Length b) {
  const double limit = (kMoveTold + kHairOfPlace).metres();
  return a.metres() * a.metres() + b.metres() * b.metres() > limit * limit;
}

void tell_changes(const MarkTable& marks, std::span<const Point<Site>> site, const LedgerTable& ledger,
                  const LedgerJoin& join, IssueResult& result) {
  std::vector<std::uint32_t> fresh, gone;
  for (std::uint32_t m = 0; m < marks.size(); ++m) {
    const std::uint32_t e = join.entries[m];
    ChangeRow row{result.numbers[m], Change::fresh, m, e, std::nullopt, std::nullopt};
    if (e == kNone32) {
      fresh.push_back(m);
      continue;
    }
    if (ledger.live[e] == 0) {
      row.change = Change::returned;
    } else if (const auto by = marks.places[m] - ledger.places[e]; is_longer(by.by.x, by.by.y)) {
      row.change = Change::moved;
      row.moved = by;
    } else if (const auto on_site = site[m] - ledger.site_places[e];
               is_longer(on_site.by.northing, on_site.by.easting)) {
      row.change = Change::refit;
      row.refit = on_site;
    } else {
      continue;
    }
    result.changes.push_back(row);
  }
  for (const std::uint32_t e : join.unmatched)
    if (ledger.live[e] != 0) gone.push_back(e);
  // A new point may also stand where one was dropped long ago: its mark is still on the floor.
  std::vector<std::uint32_t> left = gone;
  if (!fresh.empty())
    for (const std::uint32_t e : join.unmatched)
      if (ledger.live[e] == 0) left.push_back(e);
  std::vector<std::uint32_t> replaced(marks.size() && !left.empty() ? marks.size() : 0, kNone32);
  std::vector<bool> entry_replaced(left.empty() ? 0 : ledger.size(), false);
  for (const auto& [m, e] : left.empty() ? std::vector<std::pair<std::uint32_t, std::uint32_t>>{}
                                         : renamed_points(marks, ledger, fresh, left)) {
    replaced[m] = e;
    entry_replaced[e] = true;
  }
  for (const std::uint32_t m : fresh) {
    const std::uint32_t e = replaced.empty() ? kNone32 : replaced[m];
    result.changes.push_back({result.numbers[m], e == kNone32 ? Change::fresh : Change::renamed, m, e,
                              std::nullopt, std::nullopt});
  }
  for (const std::uint32_t e : gone)
    if (!entry_replaced[e])
      result.changes.push_back({ledger.numbers[e], Change::dropped, kNone32, e, std::nullopt, std::nullopt});
  const auto by_number = [](const ChangeRow& a, const ChangeRow& b) { return a.number < b.number; };
  if (!std::is_sorted(result.changes.begin(), result.changes.end(), by_number))
    std::stable_sort(result.changes.begin(), result.changes.end(), by_number);
}

}  // namespace

IssueResult issue_numbers(const MarkTable& marks, std::span<const Point<Site>> site,
                          const LedgerTable& ledger, const LedgerJoin& join, const NumberOptions& options,
                          bool has_deck) {
  IssueResult result;
  if (offset_binds(ledger, options.deck_offset)) {
    result.status = IssueStatus::offset_changed;
    return result;
  }
  const std::int64_t highest =
      ledger.size() ? *std::max_element(ledger.numbers.begin(), ledger.numbers.end()) : 0;
  std::int64_t next = options.start;
  if (next <= highest) next += ((highest - next) / options.step + 1) * options.step;
  result.numbers.resize(marks.size());
  for (std::size_t m = 0; m < marks.size(); ++m) {
    if (const std::uint32_t e = join.entries[m]; e != kNone32) {
      result.numbers[m] = ledger.numbers[e];
      continue;
    }
    if (next > kMostNumber) {
      result.status = IssueStatus::out_of_numbers;
      return result;
    }
    result.numbers[m] = static_cast<std::uint32_t>(next);
    next += options.step;
  }
  if (options.last) {
    for (const std::int64_t number : result.numbers) {
      if (number > *options.last) ++result.beyond_last;
      result.highest = std::max(result.highest, number);
    }
    if (result.beyond_last > 0) {
      result.status = IssueStatus::beyond_last;
      return result;
    }
  }
  if (has_deck) {
    BigVector<std::uint32_t> floor = result.numbers, owners;
    owners.reserve(marks.size());
    for (std::size_t m = 0; m < marks.size(); ++m)
      if (!marks.is_reference(m)) owners.push_back(result.numbers[m]);
    // A dropped point's deck number may stand on a deck somewhere: it is not given to anything else.
    for (const std::uint32_t e : join.unmatched) {
      floor.push_back(ledger.numbers[e]);
      owners.push_back(ledger.numbers[e]);
    }
    const NumberSets sets(std::move(floor), std::move(owners));
    if (const auto owner = sets.meets(options.deck_offset)) {
      result.status = IssueStatus::numbers_meet;
      result.met_floor = *owner;
      result.met_number = static_cast<std::uint32_t>(*owner + options.deck_offset);
      result.smallest_offset = sets.smallest_offset();
      result.roomy_offset = sets.roomy_offset();
      result.offset_bound = ledger.deck_offset == options.deck_offset && was_issued(ledger);
      return result;
    }
    if (sets.largest_owner() + options.deck_offset > kMostNumber) {
      result.status = IssueStatus::out_of_numbers;
      return result;
    }
  }
  tell_changes(marks, site, ledger, join, result);
  return result;
}

}  // namespace deckmark
