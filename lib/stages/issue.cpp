#include "stages/issue.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "issues/numbering.h"
#include "measure/decimal.h"
#include "measure/side_by_side.h"
#include "report/words.h"

namespace deckmark {

RowsNow::RowsNow(const LaidOut& laid, const CutsFound* cuts, const Crews* crews, const IssueStated& stated)
    : laid_(laid), stated_(stated), crews_(crews) {
  if (!cuts) return;
  cuts_.assign(laid.marks.size(), Kept::none());
  for (std::size_t i = 0; i < cuts->marks.size(); ++i) cuts_[cuts->marks[i]] = Kept::of(cuts->cuts[i]);
}

LedgerRow RowsNow::operator()(std::uint32_t handle) const {
  if ((handle & kOfLedger) == 0) return of_mark(handle);
  LedgerRow row = stated_.ledger.row(handle & ~(kOfLedger | kDropped));
  if (handle & kDropped) row.live = false;
  return row;
}

LedgerRow RowsNow::of_mark(std::uint32_t m) const {
  const MarkTable& marks = *laid_.marks;
  LedgerRow row;
  row.point = marks.names[m];
  row.number = laid_.numbers.of(m);
  row.drawing = KeptDrawing::of(marks.places[m]);
  row.deck_offset = stated_.deck_offset;
  row.revision = stated_.revision;
  row.site = KeptSite::of(laid_.placed.marks[m]);
  const MarkHeights heights = laid_.heights.at(m);
  row.floor = Kept::of(laid_.heights.floor());
  row.attach = Kept::of(heights.attach);
  if (laid_.marks.has_deck_point(m)) row.deck = Kept::of(heights.deck);
  if (!cuts_.empty()) row.cut = cuts_[m];
  row.kind = marks.kind(m);
  row.run = marks.runs[m];
  if (crews_) row.crew = crews_->text(m);
  return row;
}

LedgerRow IssueFound::new_row(std::size_t i) const {
  LedgerRow out = row(rows[i].now);
  out.issue = number;
  if (told.empty())
    out.told.fill(number);
  else
    out.told = told[i];
  return out;
}

namespace {

/// Rows in which the job differs from the last issue, by number.
std::vector<Candidate> differing(const IssueStated& stated, const LaidOut& laid, const RowNow& now) {
  const Ledger& ledger = stated.ledger;
  const Numbers& numbers = laid.numbers;
  const std::size_t marks = laid.marks.size();
  const auto differ = [&](std::uint32_t from, std::uint32_t to, std::vector<Candidate>& out) {
    for (std::uint32_t m = from; m < to; ++m) {
      const std::uint32_t entry = numbers.join.entries[m];
      if (entry == kNone32 || !now(m).hands_out_as(ledger.row(entry)))
        out.push_back({numbers.of(m), entry, m});
    }
  };
  std::vector<Candidate> out, later;
  const auto half = static_cast<std::uint32_t>(marks / 2);
  if (ledger.rows() == 0) out.reserve(marks);
  constexpr std::size_t kWorthTwo = 20000;
  if (marks < kWorthTwo || ledger.rows() == 0)
    differ(0, static_cast<std::uint32_t>(marks), out);
  else
    side_by_side([&] { differ(0, half, out); },
                 [&] { differ(half, static_cast<std::uint32_t>(marks), later); });
  out.insert(out.end(), later.begin(), later.end());
  for (const std::uint32_t row : numbers.join.unmatched)
    if (ledger.columns().is_live(row))
      out.push_back({ledger.columns().number(row), row, row | RowsNow::kOfLedger | RowsNow::kDropped});
  const auto by_number = [](const Candidate& a, const Candidate& b) { return a.number < b.number; };
  if (!std::is_sorted(out.begin(), out.end(), by_number)) std::sort(out.begin(), out.end(), by_number);
  return out;
}

/// Numbers that may have changed since an issue, with their rows now: those of the ledger, and of a new
/// issue.
std::vector<Candidate> candidates(const Ledger& ledger, std::uint32_t since,
                                  const std::vector<Candidate>& fresh) {
  if (since >= ledger.last_issue()) return fresh;
  std::vector<Candidate> old = candidates_since(ledger, since), out;
  for (Candidate& c : old) c.now |= RowsNow::kOfLedger;
  auto next = old.begin();
  for (Candidate c : fresh) {
    for (; next != old.end() && next->number < c.number; ++next) out.push_back(*next);
    if (next != old.end() && next->number == c.number) ++next;
    if (c.before != kNone32) c.before = ledger.as_of(c.before, since);
    out.push_back(c);
  }
  out.insert(out.end(), next, old.end());
  return out;
}

std::pair<std::uint32_t, SinceWhy> told_since(const IssueStated& stated, std::uint32_t number) {
  std::uint32_t given = 0;
  for (const GivenRow& g : stated.given)
    if (g.issue < number) given = std::max(given, g.issue);
  if (given > 0) return {given, SinceWhy::given};
  for (std::uint32_t i = number - 1; i > 0; --i)
    if (stated.ledger.issues()[i - 1].revision != stated.revision) return {i, SinceWhy::revision};
  return {number - 1, SinceWhy::before};
}

/// The last issue that a crew was given before this one, else the one before.
std::uint32_t crew_told(const IssueStated& stated, const std::string& crew, std::uint32_t number) {
  std::uint32_t given = 0;
  for (const GivenRow& g : stated.given)
    if (g.issue < number && same_name(g.to, crew)) given = std::max(given, g.issue);
  return given > 0 ? given : number - 1;
}

void tell_odd(const IssueStated& stated, const IssueFound& found, const LaidOut& laid, Messages& told) {
  if (found.number < 2) return;
  const Ledger& ledger = stated.ledger;
  const IssuedRow& before = ledger.issues()[found.number - 2];
  if (!stated.revision.empty() && before.revision == stated.revision && !found.changes.empty())
    told.doubt(
        "a revision twice", stated.revision_key, "revision",
        fmt::format(
            "{} as in issue {}, with {} change{} since: whoever holds that issue cannot tell them apart; "
            "give the drawing a revision of its own",
            in_quotes(stated.revision), before.issue, found.changes.size(),
            found.changes.size() == 1 ? "" : "s"));
  // One floor for all marks: the first number that was live then tells it.
  const Kept now = Kept::of(laid.heights.floor());
  for (std::size_t i = 0; i < ledger.numbers(); ++i) {
    const std::uint32_t row = ledger.as_of(ledger.latest(i), found.number - 1);
    if (row == kNone32 || !ledger.columns().is_live(row)) continue;
    const Kept then = ledger.row(row).floor;
    if (!then.is_none() && is_told(now, then))
      told.doubt("another floor", stated.floor_key, "floor.elevation",
                 fmt::format("{} where issue {} had {}: no mark moves in plan, rise and drop do change",
                             length_words(now.length(), stated.words), found.number - 1,
                             length_words(then.length(), stated.words)));
    return;
  }
}

}  // namespace

Staged<IssueFound> find_issue(const IssueStated& stated, const LaidOut& laid, const CutsFound* cuts,
                              const Crews* crews, const std::string& typed) {
  Messages told;
  const Ledger& ledger = stated.ledger;
  std::optional<std::uint32_t> since;
  if (!typed.empty()) {
    const auto issue = read_count(typed, 1, ledger.last_issue());
    if (!issue) {
      told.problem(Where::whole("--since"), "",
                   Fault{in_quotes(typed),
                         ledger.last_issue() == 0 ? std::string("an issue, and none was made yet")
                                                  : fmt::format("an issue from 1 to {}", ledger.last_issue()),
                         ""});
      return Staged<IssueFound>::spoiled(std::move(told));
    }
    since = static_cast<std::uint32_t>(*issue);
  }
  IssueFound out;
  out.row = RowsNow(laid, cuts, crews, stated);
  out.rows = differing(stated, laid, out.row);
  const IssuedRow* last = ledger.last_issue() > 0 ? &ledger.issues().back() : nullptr;
  out.is_new = !out.rows.empty() || !last || last->revision != stated.revision ||
               last->storey != stated.storey || last->job != stated.job;
  out.number = ledger.last_issue() + (out.is_new ? 1 : 0);
  out.live = static_cast<std::uint32_t>(laid.marks.size());
  out.highest = ledger.highest();
  for (const std::uint32_t n : laid.numbers.issue.numbers)
    out.highest = std::max(out.highest, static_cast<std::int64_t>(n));
  if (laid.numbers.deck_offset || bound_offset(ledger)) out.highest += stated.deck_offset;

  const auto changes_since = [&](std::uint32_t issue) {
    return changes_of(ledger, issue, candidates(ledger, issue, out.rows), out.row);
  };
  const std::uint32_t before = out.number - 1;
  out.changes = changes_since(before);
  if (out.is_new && ledger.last_issue() > 0) out.told = told_by(ledger, out.number, out.rows, out.changes);
  tell_odd(stated, out, laid, told);
  std::tie(out.shown_since, out.why) =
      since ? std::pair(*since, SinceWhy::asked) : told_since(stated, out.number);
  out.since = since.value_or(before);
  if (out.since != before) out.changes = changes_since(out.since);
  for (std::size_t i = 0; crews && i < crews->size(); ++i) {
    const std::string& name = (*crews)[i].name;
    const std::uint32_t issue = since.value_or(crew_told(stated, name, out.number));
    const std::vector<Candidate> all = candidates(ledger, issue, out.rows);
    out.crews.push_back(
        {name, crew_changes(ledger, all, changes_of(ledger, issue, all, out.row), out.row, name)});
  }
  out.shown = out.shown_since == out.since ? out.changes : changes_since(out.shown_since);
  return Staged<IssueFound>::found(std::move(out), std::move(told));
}

}  // namespace deckmark
