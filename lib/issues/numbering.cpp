#include "issues/numbering.h"

#include <algorithm>
#include <map>
#include <string>
#include <unordered_map>

#include "measure/letters.h"

namespace deckmark {

namespace {

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

/// Follows marks to the names that they had.
class FormerNames {
 public:
  FormerNames(const MarkTable& marks, const NameIndex& index, const Ledger& ledger, LedgerJoin& join)
      : marks_(marks), index_(index), ledger_(ledger), join_(join) {}

  /// Gives marks the numbers of their former names; those that nobody has then are in `freed`.
  void follow() {
    find_rows();
    std::vector<std::uint32_t> wants;
    for (std::uint32_t m = 0; m < marks_.size(); ++m) {
      const std::string_view was = marks_.was[m];
      if (was.empty() || same_name(was, marks_.names[m])) continue;
      if (has_had(join_.entries[m], was)) continue;
      if (row_of(was) != kNone32)
        wants.push_back(m);
      else if (const auto other = index_.find(was))  // from this issue on that one has a number by this name
        join_.former.push_back({FormerName::Fault::taken, m, *other});
      else
        join_.former.push_back({FormerName::Fault::unknown, m});
    }
    std::vector<std::uint32_t> freed;
    for (const std::uint32_t m : wants)
      if (join_.entries[m] != kNone32) freed.push_back(std::exchange(join_.entries[m], kNone32));
    std::unordered_map<std::uint32_t, std::uint32_t> taken;  // ledger row, mark
    if (!wants.empty())
      for (std::uint32_t m = 0; m < marks_.size(); ++m)
        if (join_.entries[m] != kNone32) taken.emplace(join_.entries[m], m);
    for (const std::uint32_t m : wants) {
      const std::uint32_t row = row_of(marks_.was[m]);
      const auto [at, is_first] = taken.emplace(row, m);
      if (is_first)
        join_.entries[m] = row;
      else
        join_.former.push_back({FormerName::Fault::taken, m, at->second});
    }
    if (wants.empty()) return;
    for (const std::uint32_t row : freed)
      if (!taken.contains(row)) join_.unmatched.push_back(row);
    std::erase_if(join_.unmatched, [&](std::uint32_t row) { return taken.contains(row); });
    std::sort(join_.unmatched.begin(), join_.unmatched.end());
  }

 private:
  /// The numbers that have now one of the names that marks say they had; live ones first.
  void find_rows() {
    for (std::uint32_t m = 0; m < marks_.size(); ++m)
      if (!marks_.was[m].empty()) rows_.emplace(small_letters(marks_.was[m]), kNone32);
    for (std::size_t i = 0; i < ledger_.numbers(); ++i) {
      const std::uint32_t row = ledger_.latest(i);
      const auto at = rows_.find(small_letters(ledger_.columns().points()[row]));
      if (at != rows_.end() && (at->second == kNone32 || ledger_.columns().is_live(row))) at->second = row;
    }
  }
  std::uint32_t row_of(std::string_view name) const { return rows_.at(small_letters(name)); }
  bool has_had(std::uint32_t row, std::string_view name) const {
    for (; row != kNone32; row = ledger_.before(row))
      if (same_name(ledger_.columns().points()[row], name)) return true;
    return false;
  }

  const MarkTable& marks_;
  const NameIndex& index_;
  const Ledger& ledger_;
  LedgerJoin& join_;
  std::map<std::string, std::uint32_t> rows_;
};

/// Whether two rows with one name cannot stand together: both of one issue. A number that is dropped and the
/// one to which its name is given on may; on the first issue there are none such.
bool is_same_name_twice(const Ledger& ledger, std::uint32_t a, std::uint32_t b) {
  const std::uint32_t issue = ledger.issue_of(a);
  if (issue != ledger.issue_of(b)) return false;
  return issue == 1 || ledger.columns().is_live(a) == ledger.columns().is_live(b);
}

/// Names that no mark has and that stand twice in one issue.
void find_same_names(const Ledger& ledger, LedgerJoin& join) {
  TextColumn rest;
  for (const std::uint32_t row : join.unmatched) rest.push_back(ledger.columns().points()[row]);
  const NameIndex index(rest);
  for (const auto& [a, b] : index.duplicates()) {
    const std::uint32_t first = join.unmatched[a], later = join.unmatched[b];
    if (is_same_name_twice(ledger, first, later)) join.same_names.emplace_back(first, later);
  }
}

}  // namespace

LedgerJoin join_ledger(const MarkTable& marks, const NameIndex& mark_index, const Ledger& ledger) {
  LedgerJoin join;
  join.entries.assign(marks.size(), kNone32);
  std::uint32_t hint = 0;  // a ledger mostly stands in the drawing's order
  const auto take = [&](std::uint32_t row) {
    const std::string_view name = ledger.columns().points()[row];
    std::optional<std::uint32_t> mark;
    if (hint < marks.size() && same_name(marks.names[hint], name))
      mark = hint;
    else
      mark = mark_index.find(name);
    if (!mark) return false;
    hint = *mark + 1;
    std::uint32_t& entry = join.entries[*mark];
    if (entry != kNone32 && is_same_name_twice(ledger, entry, row)) join.same_names.emplace_back(entry, row);
    // Two numbers may have had one name: the live one counts, else the later.
    if (entry != kNone32 && ledger.columns().is_live(entry)) return false;
    if (entry != kNone32) join.unmatched.push_back(entry);
    entry = row;
    return true;
  };
  for (std::size_t i = 0; i < ledger.numbers(); ++i)
    if (const std::uint32_t row = ledger.latest(i); !take(row)) join.unmatched.push_back(row);
  find_same_names(ledger, join);
  if (marks.was.words().size() > 1) FormerNames(marks, mark_index, ledger, join).follow();
  return join;
}

std::optional<std::int64_t> bound_offset(const Ledger& ledger) {
  const LedgerRows& rows = ledger.columns();
  for (std::uint32_t r = 0; r < ledger.rows(); ++r)
    if (rows.has_deck(r)) return rows.deck_offset(r);
  // What an earlier version left stands in issue 1 alone, in one offset.
  if (ledger.rows() == 0 || ledger.row(0).knows_heights()) return std::nullopt;
  const std::int64_t offset = rows.deck_offset(0);
  BigVector<std::uint32_t> numbers;
  for (std::uint32_t r = 0; r < ledger.first_row(2); ++r) numbers.push_back(rows.number(r));
  if (NumberSets(numbers, numbers).meets(offset)) return std::nullopt;
  return offset;
}

IssueResult issue_numbers(const MarkTable& marks, const Ledger& ledger, const LedgerJoin& join,
                          const NumberOptions& options, bool has_deck) {
  IssueResult result;
  result.bound_offset = bound_offset(ledger);
  if (result.bound_offset && *result.bound_offset != options.deck_offset) {
    result.status = IssueStatus::offset_changed;
    return result;
  }
  const LedgerRows& rows = ledger.columns();
  const std::int64_t highest = ledger.highest();
  std::int64_t next = options.start;
  if (next <= highest) next += ((highest - next) / options.step + 1) * options.step;
  result.numbers.resize(marks.size());
  for (std::size_t m = 0; m < marks.size(); ++m) {
    if (const std::uint32_t e = join.entries[m]; e != kNone32) {
      result.numbers[m] = rows.number(e);
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
      floor.push_back(rows.number(e));
      owners.push_back(rows.number(e));
    }
    const NumberSets sets(std::move(floor), std::move(owners));
    if (const auto owner = sets.meets(options.deck_offset)) {
      result.status = IssueStatus::numbers_meet;
      result.met_floor = *owner;
      result.met_number = static_cast<std::uint32_t>(*owner + options.deck_offset);
      result.smallest_offset = sets.smallest_offset();
      result.roomy_offset = sets.roomy_offset();
      return result;
    }
    if (sets.largest_owner() + options.deck_offset > kMostNumber) {
      result.status = IssueStatus::out_of_numbers;
      return result;
    }
  }
  return result;
}

}  // namespace deckmark
