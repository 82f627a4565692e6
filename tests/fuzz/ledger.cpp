// Issue after issue of one drawing that changes: a number is kept for life and never given to anything else,
// and whoever follows what is told stands where it is handed out.
#include <algorithm>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "fuzz.h"
#include "issues/changes.h"
#include "issues/numbering.h"

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

/// Up to 16 points; the bits say which, and each has a byte for its place, its kind and the case of its name;
/// some say that they had the name of another.
MarkTable draw_marks(Draws& draws) {
  MarkTable out;
  const std::uint32_t which = draws.byte() << 8 | draws.byte(), how_all = draws.byte();
  for (std::uint32_t i = 0; i < 16; ++i) {
    if ((which >> i & 1) == 0) continue;
    const std::uint32_t how = draws.byte();
    const double at = (how & 15) * 0.0004;  // some are moves, some are not
    const std::size_t row = out.size();
    out.names.push_back((how >> 6 & 1 ? "p" : "P") + std::to_string(i));
    out.places.push_back({{.x = Length::metres(at), .y = Length::metres((how >> 4 & 3) == 0 ? 0 : i)}});
    out.begins.push_back(0);
    if (how >> 7 & 1) out.kinds.put(row, kReferenceKind);
    if (how_all & 4) {
      const std::uint32_t was = draws.byte();
      if (was & 16) out.was.put(row, "P" + std::to_string(was & 15));
    }
  }
  return out;
}

/// The row of a mark; heights creep as its place does.
LedgerRow row_of(const MarkTable& marks, std::uint32_t m, std::uint32_t number, std::int64_t offset,
                 bool deck) {
  LedgerRow row;
  row.point = marks.names[m];
  row.number = number;
  row.deck_offset = offset;
  row.drawing = KeptDrawing::of(marks.places[m]);
  row.site = {row.drawing.y, row.drawing.x};
  row.floor = Kept::micrometres(0);
  row.attach = row.drawing.x;
  if (deck && !marks.is_reference(m)) row.deck = row.cut = row.drawing.x;
  row.kind = marks.kind(m);
  return row;
}

Ledger with_issue(const Ledger& before, const std::vector<LedgerRow>& rows) {
  std::vector<IssuedRow> issues = before.issues();
  issues.emplace_back();
  issues.back().issue = before.last_issue() + 1;
  issues.back().rows = static_cast<std::uint32_t>(rows.size());
  LedgerRows all;
  for (std::uint32_t r = 0; r < before.rows(); ++r) all.add(before.row(r));
  for (const LedgerRow& r : rows) all.add(r);
  return Ledger(std::move(issues), std::move(all));
}

/// A ledger that hands may have been at, an earlier version's or not: any numbers, each once, and any offset.
Ledger draw_ledger(Draws& draws) {
  struct Drawn {
    std::string name;
    LedgerRow row;
  };
  std::vector<Drawn> drawn;
  std::set<std::uint32_t> taken;
  const std::uint32_t count = draws.byte() % 8;
  for (std::uint32_t i = 0; i < count; ++i) {
    const std::uint32_t how = draws.byte(), number = draws.number();
    if (!taken.insert(number).second) continue;
    LedgerRow row;
    row.number = number;
    row.live = how >> 7 & 1;
    const Kept at = Kept::micrometres((how & 15) * 400);
    row.drawing = {at, at}, row.site = {at, at};
    row.told.fill(1);
    drawn.push_back({"P" + std::to_string(i * 2), row});
  }
  const std::uint32_t kind = draws.byte();
  const std::int64_t offset = kind % 2 ? draws.number() : 5000;
  std::vector<LedgerRow> rows;
  for (Drawn& d : drawn) {
    d.row.point = d.name;
    d.row.deck_offset = offset;
    if (kind & 2) d.row.kind = kHangerKind, d.row.floor = d.row.attach = d.row.drawing.x;
    if ((kind & 3) == 3) d.row.deck = d.row.drawing.y;
    rows.push_back(d.row);
  }
  return rows.empty() ? Ledger() : with_issue(Ledger(), rows);
}

void look_at_numbers(const MarkTable& marks, const IssueResult& issue, const Ledger& ledger,
                     const LedgerJoin& join, const NumberOptions& options, bool has_deck) {
  must(issue.numbers.size() == marks.size(), "every point has a number");
  std::set<std::int64_t> floor;
  for (std::size_t m = 0; m < marks.size(); ++m) {
    const std::int64_t n = issue.numbers[m];
    must(n >= kLeastNumber && n <= kMostNumber, "a number lies in the range", std::to_string(n));
    must(floor.insert(n).second, "no two points have one number", std::to_string(n));
    const std::uint32_t entry = join.entries[m];
    if (entry != kNone32) {
      must(n == ledger.row(entry).number, "a number is kept for life", std::to_string(n));
      continue;
    }
    must(n > ledger.highest(), "a new number is above every old one", std::to_string(n));
    must(n >= options.start && (n - options.start) % options.step == 0, "new numbers run by step from start",
         std::to_string(n));
  }
  for (const std::uint32_t e : join.unmatched)
    must(floor.insert(ledger.row(e).number).second, "a number that a point has is not left over");
  for (std::size_t i = 0; i < ledger.numbers(); ++i)
    must(floor.contains(ledger.row(ledger.latest(i)).number), "no number is lost");
  for (std::size_t m = 0; has_deck && m < marks.size(); ++m) {
    if (marks.is_reference(m)) continue;
    const std::int64_t deck = issue.numbers[m] + options.deck_offset;
    must(deck <= kMostNumber && !floor.contains(deck), "a deck number is no floor number",
         std::to_string(deck));
  }
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

/// What is handed out now, by number, with what changed since the last issue.
struct Handed {
  std::vector<LedgerRow> rows;
  std::vector<Candidate> candidates;
  std::vector<ChangeRow> changes;
};
Handed hand_out(const MarkTable& marks, const IssueResult& issue, const Ledger& ledger,
                const LedgerJoin& join, std::int64_t offset, bool has_deck) {
  Handed out;
  for (std::uint32_t m = 0; m < marks.size(); ++m)
    out.rows.push_back(row_of(marks, m, issue.numbers[m], offset, has_deck));
  for (const std::uint32_t e : join.unmatched) {
    if (!ledger.columns().is_live(e)) continue;
    out.rows.push_back(ledger.row(e));
    out.rows.back().live = false;
  }
  std::ranges::sort(out.rows, {}, &LedgerRow::number);
  for (std::uint32_t i = 0; i < out.rows.size(); ++i)
    out.candidates.push_back({out.rows[i].number, ledger.find(out.rows[i].number), i});
  const RowNow now = [&out](std::uint32_t i) { return out.rows[i]; };
  out.changes = changes_of(ledger, ledger.last_issue(), out.candidates, now);
  for (const ChangeRow& c : out.changes) {
    must((c.told == kNone32) == (c.change == Change::fresh && c.what == What::floor),
         "what is not new was told");
    (void)change_by(ledger, c, now);
  }
  must(
      std::ranges::is_sorted(out.changes, {}, [](const ChangeRow& c) { return std::pair(c.number, c.what); }),
      "changes come in the order of numbers, then of what");
  const std::vector<ToldIn> told = told_by(ledger, ledger.last_issue() + 1, out.candidates, out.changes);
  for (std::size_t i = 0; i < out.rows.size(); ++i) out.rows[i].told = told[i];
  return out;
}

/// The place of every live number lies within 1 mm of where it was last told.
void look_at_told(const Ledger& ledger) {
  for (std::size_t i = 0; i < ledger.numbers(); ++i) {
    const LedgerRow row = ledger.row(ledger.latest(i));
    if (!row.live) continue;
    const auto told = [&](What what) { return ledger.row(told_row(ledger, ledger.latest(i), what)); };
    must(!is_told(row.drawing, told(What::floor).drawing), "a floor mark lies where it was told");
    const LedgerRow deck = told(What::deck);
    must(row.deck.is_none() == deck.deck.is_none() && (row.deck.is_none() || !is_told(row.deck, deck.deck)),
         "a deck point lies where it was told");
  }
}

}  // namespace

void deckmark_test::fuzz_one(std::string_view bytes) {
  Draws draws(bytes);
  NumberOptions options;
  options.start = draws.number();
  options.step = draws.byte() + 1;
  options.deck_offset = draws.number();
  const bool has_deck = draws.byte() % 4 != 0;
  Ledger ledger = draw_ledger(draws);
  for (int round = 0; round < 6 && draws.more(); ++round) {
    const MarkTable marks = draw_marks(draws);
    const NameIndex index(marks.names);
    const LedgerJoin join = join_ledger(marks, index, ledger);
    must(join.same_names.empty() && ledger.same_numbers().empty(), "a ledger of ours names nothing twice");
    const IssueResult issue = issue_numbers(marks, ledger, join, options, has_deck);
    if (issue.status == IssueStatus::numbers_meet && !issue.bound_offset) {
      look_at_offsets(issue, [&](std::int64_t offset) {
        NumberOptions other = options;
        other.deck_offset = offset;
        return issue_numbers(marks, ledger, join, other, has_deck).status;
      });
      options.deck_offset = issue.smallest_offset;
    }
    if (issue.status != IssueStatus::issued) continue;
    look_at_numbers(marks, issue, ledger, join, options, has_deck);

    const bool follows_taken = std::ranges::any_of(
        join.former, [](const FormerName& f) { return f.fault == FormerName::Fault::taken; });
    if (follows_taken) continue;  // refused
    ledger = with_issue(ledger, hand_out(marks, issue, ledger, join, options.deck_offset, has_deck).rows);
    look_at_told(ledger);

    const LedgerJoin next = join_ledger(marks, index, ledger);
    const IssueResult again = issue_numbers(marks, ledger, next, options, has_deck);
    must(again.status == IssueStatus::issued, "what was issued can be issued again");
    must(std::equal(again.numbers.begin(), again.numbers.end(), issue.numbers.begin(), issue.numbers.end()),
         "a second issue of one drawing gives the same numbers");
    must(hand_out(marks, again, ledger, next, options.deck_offset, has_deck).changes.empty(),
         "a second issue of one drawing changes nothing");
  }
}
