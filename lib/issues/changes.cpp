#include "issues/changes.h"

#include <algorithm>
#include <unordered_map>

#include "marks/near_pairs.h"

namespace deckmark {

namespace {

Kept height_of(const LedgerRow& row, What what) {
  switch (what) {
    case What::floor:
      return row.floor;
    case What::deck:
      return row.deck;
    case What::bracket:
      return row.attach;
    case What::cut:
      return row.cut;
  }
  return Kept::none();
}

/// How a deck, a bracket or a cut differs from what was told; nothing where it does not.
std::optional<Change> height_change(const LedgerRow& now, const LedgerRow& told, What what) {
  if (!told.knows_heights()) return std::nullopt;
  const Kept a = height_of(told, what), b = height_of(now, what);
  if (a.is_none() && b.is_none()) return std::nullopt;
  if (a.is_none()) return Change::fresh;
  if (b.is_none()) return Change::gone;
  if (!is_told(b, a)) return std::nullopt;
  const bool up = b.micrometres() > a.micrometres();
  if (what == What::cut) return up ? Change::longer : Change::shorter;
  return up ? Change::raised : Change::lowered;
}

/// How far two places lie apart that count as one.
constexpr Length kOnePlace = Length::millimetres(1);

class Comparison {
 public:
  Comparison(const Ledger& ledger, std::uint32_t since, const RowNow& now)
      : ledger_(ledger), since_(since), now_(now) {}

  std::vector<ChangeRow> of(std::span<const Candidate> candidates) {
    for (const Candidate& c : candidates) add(c);
    if (!fresh_.empty()) rename(candidates);
    std::erase_if(changes_, [](const ChangeRow& c) { return c.number == 0; });
    return std::move(changes_);
  }

 private:
  void add(const Candidate& c) {
    const LedgerRow row = now_(c.now);
    const bool was_live = c.before != kNone32 && ledger_.columns().is_live(c.before);
    if (!row.live) {
      if (!was_live) return;
      gone_.push_back(changes_.size());
      return put(c, Change::dropped, What::floor, told_row(ledger_, c.before, What::floor));
    }
    if (c.before == kNone32) {
      fresh_.push_back(changes_.size());
      return put(c, Change::fresh, What::floor, kNone32);
    }
    const std::uint32_t told = told_row(ledger_, c.before, What::floor);
    if (const auto change = floor_change(row, c.before, told, was_live)) put(c, *change, What::floor, told);
    for (const What what : {What::deck, What::bracket, What::cut}) {
      const std::uint32_t from = told_row(ledger_, c.before, what);
      if (const auto change = height_change(row, ledger_.row(from), what)) put(c, *change, what, from);
    }
  }

  std::optional<Change> floor_change(const LedgerRow& row, std::uint32_t before, std::uint32_t told,
                                     bool was_live) const {
    const LedgerRow then = ledger_.row(told);
    if (!same_name(row.point, ledger_.columns().points()[before])) return Change::renamed;
    if (!was_live) return Change::returned;
    if (is_told(row.drawing, then.drawing)) return Change::moved;
    if (is_told(row.site, then.site)) return Change::refit;
    return std::nullopt;
  }

  void put(const Candidate& c, Change change, What what, std::uint32_t told) {
    changes_.push_back({c.number, change, what, c.now, told});
  }

  /// A new point at the place of one that is gone: its mark is on the floor. Nearest first, then those that
  /// were live before those that were dropped long ago, then by number.
  void rename(std::span<const Candidate> candidates) {
    struct Left {
      std::uint32_t row;   // by which its place was told
      std::size_t change;  // its `dropped` row; the end: dropped long ago
    };
    std::vector<Left> left;
    for (const std::size_t i : gone_) left.push_back({changes_[i].told, i});
    for (std::size_t i = 0; i < ledger_.numbers(); ++i) {
      const std::uint32_t row = ledger_.as_of(ledger_.latest(i), since_);
      if (row == kNone32 || ledger_.columns().is_live(row)) continue;
      const auto at =
          std::ranges::lower_bound(candidates, ledger_.columns().number(row), {}, &Candidate::number);
      if (at != candidates.end() && at->number == ledger_.columns().number(row) && now_(at->now).live)
        continue;  // it is back
      left.push_back({told_row(ledger_, row, What::floor), changes_.size()});
    }
    if (left.empty()) return;
    std::vector<Point<Drawing>> new_places, old_places;
    for (const std::size_t i : fresh_) new_places.push_back(now_(changes_[i].now).drawing.point());
    for (const Left& l : left) old_places.push_back(ledger_.row(l.row).drawing.point());
    std::vector<bool> is_named(fresh_.size(), false), is_taken(left.size(), false);
    for (const PairWithin& p : pairs_within(new_places, old_places, kOnePlace + Length::metres(1e-7))) {
      if (is_named[p.of] || is_taken[p.among]) continue;
      ChangeRow& change = changes_[fresh_[p.of]];
      const Left& of = left[p.among];
      if (is_told(now_(change.now).drawing, ledger_.row(of.row).drawing)) continue;
      is_named[p.of] = is_taken[p.among] = true;
      change.change = Change::renamed;
      change.told = of.row;
      if (of.change < changes_.size()) changes_[of.change].number = 0;  // told by the new name
    }
  }

  const Ledger& ledger_;
  std::uint32_t since_;
  const RowNow& now_;
  std::vector<ChangeRow> changes_;
  std::vector<std::size_t> fresh_, gone_;
};

}  // namespace

std::string_view change_word(Change c) {
  constexpr std::string_view kWords[] = {"new",  "moved",  "dropped", "returned", "renamed", "refit",
                                         "gone", "raised", "lowered", "longer",   "shorter", "passed"};
  return kWords[static_cast<std::size_t>(c)];
}

std::uint32_t told_row(const Ledger& ledger, std::uint32_t row, What what) {
  const std::uint32_t told = ledger.row(row).told[static_cast<std::size_t>(what)];
  const std::uint32_t at = ledger.in_issue(row, told);
  return at == kNone32 ? row : at;
}

std::vector<ChangeRow> changes_of(const Ledger& ledger, std::uint32_t since,
                                  std::span<const Candidate> candidates, const RowNow& now) {
  return Comparison(ledger, since, now).of(candidates);
}

std::vector<Candidate> candidates_since(const Ledger& ledger, std::uint32_t since) {
  std::vector<Candidate> out;
  for (std::size_t i = 0; i < ledger.numbers(); ++i) {
    const std::uint32_t row = ledger.latest(i);
    if (since < ledger.last_issue() && row >= ledger.first_row(since + 1))
      out.push_back({ledger.columns().number(row), ledger.as_of(row, since), row});
  }
  return out;
}

bool has_crew(std::string_view crews, std::string_view crew) {
  for (std::size_t at = 0; at < crews.size();) {
    const std::size_t end = std::min(crews.find(' ', at), crews.size());
    if (same_name(crews.substr(at, end - at), crew)) return true;
    at = end + 1;
  }
  return false;
}

std::vector<ChangeRow> crew_changes(const Ledger& ledger, std::span<const Candidate> candidates,
                                    std::span<const ChangeRow> changes, const RowNow& now,
                                    std::string_view crew) {
  // Numbers whose places new ones of the crew took need no row of their own.
  std::unordered_map<std::uint32_t, std::uint32_t> taken;  // number, the ledger row of its place
  for (const ChangeRow& c : changes)
    if (c.change == Change::renamed && ledger.columns().number(c.told) != c.number) {
      const bool is_own = has_crew(now(c.now).crew, crew);
      if (!is_own) taken.emplace(ledger.columns().number(c.told), c.told);
    }
  std::vector<ChangeRow> out;
  auto change = changes.begin();
  for (const Candidate& c : candidates) {
    const auto from = change;
    while (change != changes.end() && change->number == c.number) ++change;
    const LedgerRow row = now(c.now);
    const bool was_live = c.before != kNone32 && ledger.columns().is_live(c.before);
    const bool had = c.before != kNone32 && has_crew(ledger.row(c.before).crew, crew);
    const bool has = has_crew(row.crew, crew);
    if (!had && !has) continue;
    if (!row.live) {
      out.insert(out.end(), from, change);
      const auto by_other = taken.find(c.number);
      if (from == change && was_live && by_other != taken.end())
        out.push_back({c.number, Change::dropped, What::floor, c.now, by_other->second});
      continue;
    }
    const bool passed = was_live && had != has;
    if (passed)
      out.push_back({c.number, Change::passed, What::floor, c.now, told_row(ledger, c.before, What::floor)});
    for (auto r = from; r != change; ++r)
      if (!passed || r->what != What::floor) out.push_back(*r);
  }
  return out;
}

ChangeBy change_by(const Ledger& ledger, const ChangeRow& change, const RowNow& now) {
  ChangeBy out;
  if (change.told == kNone32 || change.change == Change::fresh) return out;
  const LedgerRow told = ledger.row(change.told), row = now(change.now);
  // Of whole micrometres: a difference of doubles would be off in its last digit.
  const auto minus = [](Kept a, Kept b) {
    return Kept::micrometres(a.micrometres() - b.micrometres()).length();
  };
  if (change.change == Change::moved)
    out.moved =
        Vec<Drawing>{{.x = minus(row.drawing.x, told.drawing.x), .y = minus(row.drawing.y, told.drawing.y)}};
  if (change.change == Change::refit)
    out.refit = Vec<Site>{{.northing = minus(row.site.northing, told.site.northing),
                           .easting = minus(row.site.easting, told.site.easting)}};
  const Kept then = height_of(told, change.what), height = height_of(row, change.what);
  if (change.what != What::floor && !then.is_none() && !height.is_none()) out.up = minus(height, then);
  if (change.what == What::cut) return out;
  out.old_place = told.site;
  out.old_elevation = then;
  return out;
}

std::vector<ToldIn> told_by(const Ledger& ledger, std::uint32_t issue, std::span<const Candidate> candidates,
                            std::span<const ChangeRow> changes) {
  std::vector<ToldIn> out;
  out.reserve(candidates.size());
  auto change = changes.begin();
  for (const Candidate& c : candidates) {
    ToldIn told;
    told.fill(issue);
    if (c.before != kNone32) {
      const LedgerRow before = ledger.row(c.before);
      for (std::size_t w = 0; w < kWhats; ++w)
        // What an earlier version did not know counts as told when it is known.
        if (w == 0 || ledger.row(told_row(ledger, c.before, static_cast<What>(w))).knows_heights())
          told[w] = before.told[w];
    }
    for (; change != changes.end() && change->number == c.number; ++change)
      told[static_cast<std::size_t>(change->what)] = issue;
    out.push_back(told);
  }
  return out;
}

}  // namespace deckmark
