#include "lists/points.h"

#include <algorithm>
#include <utility>
#include <vector>

#include "lists/in_unit.h"

namespace deckmark {

namespace {

constexpr int kRatioDecimals = 3;   // of n in 1:n
constexpr int kLedgerDecimals = 6;  // metres: a micrometre, so that rounding is never taken for a move

constexpr OutColumn kPointsColumns[] = {
    {"number", OutKind::number, "floor number"},
    {"point", OutKind::text, "name on the drawing"},
    {"kind", OutKind::text, "hanger, reference, support, or what the drawing says"},
    {"run", OutKind::text, "run that the point belongs to"},
    {"x", OutKind::length, "along +X from the crossing of the baselines"},
    {"y", OutKind::length, "along +Y from the crossing of the baselines"},
    {"northing", OutKind::length, "place on site, at ground scale"},
    {"easting", OutKind::length, "place on site, at ground scale"},
    {"floor_elevation", OutKind::length, "of the design floor"},
    {"attach_elevation", OutKind::length, "of the bracket"},
    {"deck_elevation", OutKind::length, "of the underside of the deck, straight above"},
    {"rise", OutKind::length, "deck minus floor"},
    {"drop", OutKind::length, "deck minus bracket: the hanger's length"},
    {"sd", OutKind::length,
     "larger semi-axis of the standard error ellipse that the ties leave, before marking"}};

constexpr OutColumn kPlumbColumns[] = {
    {"number", OutKind::number, "floor number"},
    {"point", OutKind::text, "name on the drawing"},
    {"dx", OutKind::length, "deck mark minus floor mark, along +X"},
    {"dy", OutKind::length, "deck mark minus floor mark, along +Y"},
    {"offset", OutKind::length, "how far the deck mark stands off, in plan"},
    {"rise", OutKind::length, "deck minus floor"},
    {"drop", OutKind::length, "deck minus bracket"},
    {"ratio", OutKind::decimal, "the hanger leans 1 in this many"},
    {"sd", OutKind::length, "of the deck mark"},
    {"verdict", OutKind::text, "within, outside or unsure"}};

constexpr OutColumn kChangesColumns[] = {
    {"number", OutKind::number, "floor number"},
    {"point", OutKind::text, "name on the drawing; of a dropped point the one it had"},
    {"change", OutKind::text, "new, moved, dropped, returned, renamed or refit"},
    {"dx", OutKind::length, "how far it moved along +X"},
    {"dy", OutKind::length, "how far it moved along +Y"},
    {"distance", OutKind::length, "how far it moved"}};

constexpr OutColumn kLedgerColumns[] = {
    {"point", OutKind::text, "name on the drawing"},
    {"number", OutKind::number, "floor number, for good"},
    {"status", OutKind::text, "live, or dropped where the drawing has no such point now"},
    {"x", OutKind::metres, "for which the number was last listed"},
    {"y", OutKind::metres, "for which the number was last listed"},
    {"deck_offset", OutKind::number, "what a deck number has more than its floor number"},
    {"revision", OutKind::text, "of the job for which the number was last listed"},
    {"northing", OutKind::metres, "where it was last listed on site"},
    {"easting", OutKind::metres, "where it was last listed on site"}};

/// In `ledger_order`: an entry of the old ledger, else a mark.
constexpr std::uint32_t kEntry = 0x80000000U;

/// Rows stand by number. Marks mostly do already, and then there is no order; old entries that no mark has
/// now are merged in.
std::vector<std::uint32_t> ledger_order(const Numbers& numbers, const LedgerTable& ledger) {
  const BigVector<std::uint32_t>& issued = numbers.issue.numbers;
  std::vector<std::uint32_t> order;
  if (numbers.join.unmatched.empty() && std::is_sorted(issued.begin(), issued.end())) return order;
  for (std::uint32_t m = 0; m < issued.size(); ++m) order.push_back(m);
  for (const std::uint32_t e : numbers.join.unmatched) order.push_back(e | kEntry);
  const auto number = [&](std::uint32_t row) {
    return row & kEntry ? ledger.numbers[row & ~kEntry] : issued[row];
  };
  std::sort(order.begin(), order.end(),
            [&](std::uint32_t a, std::uint32_t b) { return number(a) < number(b); });
  return order;
}

}  // namespace

constinit const OutputSpec kPointsOutput{"points.csv", "", "every point with its places, heights and sd",
                                         kPointsColumns};
constinit const OutputSpec kPlumbOutput{"plumb.csv", "with deck marks", "deck marks against floor marks",
                                        kPlumbColumns};
constinit const OutputSpec kChangesOutput{"changes.csv", "", "what changed since the last issue",
                                          kChangesColumns};
constinit const OutputSpec kLedgerOutput{
    "numbers.csv", "", "the ledger of numbers, in the job's folder under the name that the job gives it",
    kLedgerColumns};

std::unique_ptr<WrittenTable> points_table(const LaidOut& laid, LengthUnit unit) {
  const auto row = [laid, u = InUnit(unit)](auto& sink, std::size_t i) {
    const MarkTable& marks = *laid.marks;
    const MarkHeights h = laid.heights.at(i);
    sink.integer(laid.numbers.of(i));
    sink.text(marks.names[i]);
    sink.text(marks.kind(i));
    sink.text(marks.runs[i]);
    u.put(sink, marks.places[i].at.x);
    u.put(sink, marks.places[i].at.y);
    u.put(sink, laid.placed.marks[i].at.northing);
    u.put(sink, laid.placed.marks[i].at.easting);
    u.put(sink, laid.heights.floor());
    u.put(sink, h.attach);
    u.put(sink, h.deck);
    u.put(sink, h.rise);
    u.put(sink, h.drop);
    u.put(sink, semi_major(laid.placed.fit.covariance_at(marks.places[i])));
  };
  return declared_table(kPointsColumns, unit, laid.marks.size(), row);
}

std::unique_ptr<WrittenTable> plumb_table(const LaidOut& laid, const Plumbed& plumb, LengthUnit unit) {
  const auto row = [laid, &plumb, u = InUnit(unit)](auto& sink, std::size_t i) {
    const PlumbRow& r = plumb.rows[i];
    const std::uint32_t m = plumb.marks[i];
    sink.integer(laid.numbers.of(m));
    sink.text(laid.marks->names[m]);
    u.put(sink, r.off.by.x);
    u.put(sink, r.off.by.y);
    u.put(sink, r.offset);
    u.put(sink, r.rise);
    u.put(sink, r.drop);
    put_number(sink, r.ratio, kRatioDecimals);
    u.put(sink, r.sd);
    sink.text(verdict_word(r.verdict));
  };
  return declared_table(kPlumbColumns, unit, plumb.rows.size(), row);
}

std::unique_ptr<WrittenTable> changes_table(const LaidOut& laid, const LedgerTable& ledger, LengthUnit unit) {
  const std::vector<ChangeRow>& changes = laid.numbers.issue.changes;
  const auto row = [laid, &ledger, &changes, u = InUnit(unit)](auto& sink, std::size_t i) {
    const ChangeRow& c = changes[i];
    sink.integer(c.number);
    sink.text(c.mark == kNone32 ? ledger.names[c.entry] : laid.marks->names[c.mark]);
    sink.text(change_word(c.change));
    if (const auto by = change_by(c, laid.placed.fit)) {
      u.put(sink, by->by.x);
      u.put(sink, by->by.y);
      u.put(sink, norm(*by));
    } else {
      for (int k = 0; k < 3; ++k) sink.empty();
    }
  };
  return declared_table(kChangesColumns, unit, changes.size(), row);
}

std::unique_ptr<WrittenTable> ledger_table(const LaidOut& laid, const LedgerTable& ledger,
                                           const std::string& revision, std::int64_t deck_offset) {
  std::vector<std::uint32_t> order = ledger_order(laid.numbers, ledger);
  const std::size_t rows = order.empty() ? laid.marks.size() : order.size();
  const auto row = [laid, &ledger, &revision, deck_offset, order = std::move(order)](auto& sink,
                                                                                     std::size_t i) {
    const std::uint32_t at = order.empty() ? static_cast<std::uint32_t>(i) : order[i];
    const bool old = (at & kEntry) != 0;
    const std::uint32_t k = at & ~kEntry;
    const Point<Drawing>& p = old ? ledger.places[k] : laid.marks->places[k];
    const Point<Site>& s = old ? ledger.site_places[k] : laid.placed.marks[k];
    sink.text(old ? ledger.names[k] : laid.marks->names[k]);
    sink.integer(old ? ledger.numbers[k] : laid.numbers.of(k));
    sink.text(old ? "dropped" : "live");
    sink.fixed(p.at.x.metres(), kLedgerDecimals);
    sink.fixed(p.at.y.metres(), kLedgerDecimals);
    sink.integer(deck_offset);
    sink.text(old ? ledger.revisions[k] : std::string_view(revision));
    sink.fixed(s.at.northing.metres(), kLedgerDecimals);
    sink.fixed(s.at.easting.metres(), kLedgerDecimals);
  };
  return declared_table(kLedgerColumns, LengthUnit::metre, rows, row);
}

}  // namespace deckmark
