// Issue after issue of one drawing that changes: a number is kept for life and never given to anything else.
#include "marks/ledger.h"

#include <algorithm>
#include <set>
#include <vector>

#include "fuzz.h"

using namespace deckmark;
using deckmark_test::must;

namespace {

/// Numbers out of bytes; zeros when there are no more.
class Draws {
 public:
  explicit Draws(std::string_view bytes) : bytes_(bytes) {}
  bool more() const { return !bytes_.empty(); }
  std::uint32_t byte() {
    if (bytes_.empty()) return 0;
    const auto out = static_cast<unsigned char>(bytes_[0]);
    bytes_.remove_prefix(1);
    return out;
  }
  /// From 1 to a milliard, of any size.
  std::uint32_t number() {
    std::uint32_t out = 0;
    for (std::uint32_t left = byte() % 5; left > 0; --left) out = out << 8 | byte();
    return out % 999999999 + 1;
  }

 private:
  std::string_view bytes_;
};

struct Drawing1 {
  MarkTable marks;
  std::vector<Point<Site>> site;
};

/// Up to 16 points; the bits say which, and each has a byte for its place, its kind and the case of its name.
Drawing1 draw_marks(Draws& draws) {
  Drawing1 out;
  const std::uint32_t which = draws.byte() << 8 | draws.byte();
  const double turn = draws.byte() % 4;
  for (std::uint32_t i = 0; i < 16; ++i) {
    if ((which >> i & 1) == 0) continue;
    const std::uint32_t how = draws.byte();
    const double at = (how & 15) * 0.0004;  // some are moves, some are not
    const Point<Drawing> p{{.x = Length::metres(at), .y = Length::metres((how >> 4 & 3) == 0 ? 0 : i)}};
    const std::size_t row = out.marks.size();
    out.marks.names.push_back((how >> 6 & 1 ? "p" : "P") + std::to_string(i));
    out.marks.places.push_back(p);
    out.marks.begins.push_back(0);
    if (how >> 7 & 1) out.marks.kinds.put(row, kReferenceKind);
    out.site.push_back({{.northing = p.at.y, .easting = p.at.x + Length::metres(turn)}});
  }
  return out;
}

void add(LedgerTable& ledger, std::string_view name, std::uint32_t number, bool live, Point<Drawing> at,
         Point<Site> site) {
  ledger.names.push_back(name);
  ledger.numbers.push_back(number);
  ledger.live.push_back(live ? 1 : 0);
  ledger.places.push_back(at);
  ledger.site_places.push_back(site);
  ledger.begins.push_back(0);
}

/// A ledger that hands may have been at: any numbers, each once, and any offset.
LedgerTable draw_ledger(Draws& draws) {
  LedgerTable out;
  std::set<std::uint32_t> taken;
  const std::uint32_t rows = draws.byte() % 8;
  for (std::uint32_t i = 0; i < rows; ++i) {
    const std::uint32_t how = draws.byte(), number = draws.number();
    if (!taken.insert(number).second) continue;
    const Length at = Length::metres((how & 15) * 0.0004);
    add(out, "P" + std::to_string(i * 2), number, how >> 7 & 1, {{.x = at, .y = at}},
        {{.northing = at, .easting = at}});
  }
  if (draws.byte() % 2) out.deck_offset = draws.number();
  return out;
}

/// The ledger that an issue leaves.
LedgerTable after(const Drawing1& d, const IssueResult& issue, const LedgerTable& before,
                  const LedgerJoin& join, std::int64_t offset) {
  LedgerTable out;
  for (std::size_t m = 0; m < d.marks.size(); ++m)
    add(out, d.marks.names[m], issue.numbers[m], true, d.marks.places[m], d.site[m]);
  for (const std::uint32_t e : join.unmatched)
    add(out, before.names[e], before.numbers[e], false, before.places[e], before.site_places[e]);
  out.deck_offset = offset;
  return out;
}

void look_at_numbers(const Drawing1& d, const IssueResult& issue, const LedgerTable& ledger,
                     const LedgerJoin& join, const NumberOptions& options, bool has_deck) {
  must(issue.numbers.size() == d.marks.size(), "every point has a number");
  std::set<std::int64_t> floor, old;
  for (const std::uint32_t n : ledger.numbers) old.insert(n);
  for (std::size_t m = 0; m < d.marks.size(); ++m) {
    const std::int64_t n = issue.numbers[m];
    must(n >= kLeastNumber && n <= kMostNumber, "a number lies in the range", std::to_string(n));
    must(floor.insert(n).second, "no two points have one number", std::to_string(n));
    const std::uint32_t entry = join.entries[m];
    if (entry != kNone32) {
      must(n == ledger.numbers[entry], "a number is kept for life", std::to_string(n));
      continue;
    }
    must(old.empty() || n > *old.rbegin(), "a new number is above every old one", std::to_string(n));
    must(n >= options.start && (n - options.start) % options.step == 0, "new numbers run by step from start",
         std::to_string(n));
  }
  for (const std::uint32_t e : join.unmatched) floor.insert(ledger.numbers[e]);
  for (std::size_t m = 0; has_deck && m < d.marks.size(); ++m) {
    if (d.marks.is_reference(m)) continue;
    const std::int64_t deck = issue.numbers[m] + options.deck_offset;
    must(deck <= kMostNumber && floor.count(deck) == 0, "a deck number is no floor number",
         std::to_string(deck));
  }
  must(std::is_sorted(issue.changes.begin(), issue.changes.end(),
                      [](const ChangeRow& a, const ChangeRow& b) { return a.number < b.number; }),
       "changes come in the order of numbers");
}

/// An offset that is proposed works, and none below the smallest does.
template <class Issue>
void look_at_offsets(const IssueResult& met, Issue issue_with) {
  for (const std::int64_t offset : {met.smallest_offset, met.roomy_offset}) {
    const IssueStatus status = issue_with(offset);
    must(status == IssueStatus::issued || status == IssueStatus::out_of_numbers, "a proposed offset works",
         std::to_string(offset));
  }
  for (std::int64_t below = std::max<std::int64_t>(1, met.smallest_offset - 3); below < met.smallest_offset;
       ++below)
    must(issue_with(below) == IssueStatus::numbers_meet, "no smaller offset works", std::to_string(below));
}

}  // namespace

void deckmark_test::fuzz_one(std::string_view bytes) {
  Draws draws(bytes);
  NumberOptions options;
  options.start = draws.number();
  options.step = draws.byte() + 1;
  options.deck_offset = draws.number();
  const bool has_deck = draws.byte() % 4 != 0;
  LedgerTable ledger = draw_ledger(draws);
  for (int round = 0; round < 6 && draws.more(); ++round) {
    const Drawing1 d = draw_marks(draws);
    const NameIndex index(d.marks.names);
    const LedgerJoin join = join_ledger(d.marks, index, ledger);
    must(join.same_names.empty() && join.same_numbers.empty(), "a ledger of ours names nothing twice");
    const IssueResult issue = issue_numbers(d.marks, d.site, ledger, join, options, has_deck);
    if (issue.status == IssueStatus::numbers_meet && !issue.offset_bound) {
      look_at_offsets(issue, [&](std::int64_t offset) {
        NumberOptions other = options;
        other.deck_offset = offset;
        return issue_numbers(d.marks, d.site, ledger, join, other, has_deck).status;
      });
      options.deck_offset = issue.smallest_offset;
    }
    if (issue.status != IssueStatus::issued) continue;
    look_at_numbers(d, issue, ledger, join, options, has_deck);

    ledger = after(d, issue, ledger, join, options.deck_offset);
    const LedgerJoin next = join_ledger(d.marks, index, ledger);
    const IssueResult again = issue_numbers(d.marks, d.site, ledger, next, options, has_deck);
    must(again.status == IssueStatus::issued, "what was issued can be issued again");
    must(std::equal(again.numbers.begin(), again.numbers.end(), issue.numbers.begin(), issue.numbers.end()),
         "a second issue of one drawing gives the same numbers");
    must(again.changes.empty(), "a second issue of one drawing changes nothing");
  }
}
