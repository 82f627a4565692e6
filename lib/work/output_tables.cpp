#include "work/output_tables.h"

#include <fmt/format.h>

#include <algorithm>

#include "work/in_unit.h"

namespace deckmark {

namespace {

constexpr int kRatioDecimals = 3;    // of n in 1:n
constexpr int kQualityDecimals = 4;  // of standardised residuals and redundancies
constexpr int kLedgerDecimals = 6;   // metres: a micrometre, so that rounding is never taken for a move

}  // namespace

std::unique_ptr<WrittenTable> points_table(const Job& job, const Found& found) {
  const InUnit u(*job.list.unit);
  return written_table(TableStyle{},
                       {"number", "point", "kind", "run", u.head("x"), u.head("y"), u.head("northing"),
                        u.head("easting"), u.head("floor_elevation"), u.head("attach_elevation"),
                        u.head("deck_elevation"), u.head("rise"), u.head("drop"), u.head("sd")},
                       job.marks.size(), [&job, &found, u, floor = floor_of(job)](auto& sink, std::size_t i) {
                         const MarkTable& marks = job.marks;
                         const MarkHeights h = heights_at(job, found, i);
                         sink.integer(found.issue.numbers[i]);
                         sink.text(marks.names[i]);
                         sink.text(marks.kind(i));
                         sink.text(marks.runs[i]);
                         u.put(sink, marks.places[i].at.x);
                         u.put(sink, marks.places[i].at.y);
                         u.put(sink, found.placed.marks[i].at.northing);
                         u.put(sink, found.placed.marks[i].at.easting);
                         u.put(sink, floor);
                         u.put(sink, h.attach);
                         u.put(sink, h.deck);
                         u.put(sink, h.rise);
                         u.put(sink, h.drop);
                         u.put(sink, semi_major(found.placed.fit->covariance_at(marks.places[i])));
                       });
}

std::unique_ptr<WrittenTable> plumb_table(const Job& job, const Found& found) {
  const InUnit u(*job.list.unit);
  return written_table(TableStyle{},
                       {"number", "point", u.head("dx"), u.head("dy"), u.head("offset"), u.head("rise"),
                        u.head("drop"), "ratio", u.head("sd"), "verdict"},
                       found.plumb.size(), [&job, &found, u](auto& sink, std::size_t i) {
                         const PlumbRow& r = found.plumb[i];
                         const std::uint32_t m = found.plumb_marks[i];
                         sink.integer(found.issue.numbers[m]);
                         sink.text(job.marks.names[m]);
                         u.put(sink, r.off.by.x);
                         u.put(sink, r.off.by.y);
                         u.put(sink, r.offset);
                         u.put(sink, r.rise);
                         u.put(sink, r.drop);
                         put_number(sink, r.ratio, kRatioDecimals);
                         u.put(sink, r.sd);
                         sink.text(verdict_word(r.verdict));
                       });
}

std::unique_ptr<WrittenTable> baseline_table(const Job& job, const Found& found) {
  const InUnit u(*job.list.unit);
  return written_table(TableStyle{},
                       {"mark", "axis", u.head("stated"), u.head("computed"), u.head("residual"),
                        "standardised", "redundancy", "verdict"},
                       found.placed.baseline->rows.size(), [&job, &found, u](auto& sink, std::size_t i) {
                         const TieRow& r = found.placed.baseline->rows[i];
                         sink.text(job.ties[r.tie].name);
                         sink.text(r.axis == TieAxis::x ? "x" : "y");
                         u.put(sink, r.stated);
                         u.put(sink, r.computed);
                         u.put(sink, r.residual);
                         put_number(sink, r.standardised, kQualityDecimals);
                         sink.fixed(r.redundancy, kQualityDecimals);
                         sink.text(verdict_word(r.verdict));
                       });
}

std::unique_ptr<WrittenTable> changes_table(const Job& job, const Found& found) {
  const InUnit u(*job.list.unit);
  return written_table(TableStyle{},
                       {"number", "point", "change", u.head("dx"), u.head("dy"), u.head("distance")},
                       found.issue.changes.size(), [&job, &found, u](auto& sink, std::size_t i) {
                         const ChangeRow& c = found.issue.changes[i];
                         sink.integer(c.number);
                         sink.text(c.mark == kNone32 ? job.ledger.names[c.entry] : job.marks.names[c.mark]);
                         sink.text(change_word(c.change));
                         if (const auto by = change_by(found, c)) {
                           u.put(sink, by->by.x);
                           u.put(sink, by->by.y);
                           u.put(sink, norm(*by));
                         } else {
                           sink.empty();
                           sink.empty();
                           sink.empty();
                         }
                       });
}

std::unique_ptr<WrittenTable> ledger_table(const Job& job, const Found& found) {
  // Rows stand by number. Marks mostly do already; old entries that no mark has now are merged in.
  constexpr std::uint32_t kEntry = 0x80000000U;
  const BigVector<std::uint32_t>& numbers = found.issue.numbers;
  std::vector<std::uint32_t> order;
  if (!found.join.unmatched.empty() || !std::is_sorted(numbers.begin(), numbers.end())) {
    const auto number = [&](std::uint32_t row) {
      return row & kEntry ? job.ledger.numbers[row & ~kEntry] : numbers[row];
    };
    for (std::uint32_t m = 0; m < numbers.size(); ++m) order.push_back(m);
    for (const std::uint32_t e : found.join.unmatched) order.push_back(e | kEntry);
    std::sort(order.begin(), order.end(),
              [&](std::uint32_t a, std::uint32_t b) { return number(a) < number(b); });
  }
  const std::size_t rows = order.empty() ? numbers.size() : order.size();
  return written_table(TableStyle{},
                       {"point", "number", "status", "x (m)", "y (m)", "deck_offset", "revision",
                        "northing (m)", "easting (m)"},
                       rows, [&job, &found, order = std::move(order)](auto& sink, std::size_t i) {
                         const std::uint32_t row = order.empty() ? static_cast<std::uint32_t>(i) : order[i];
                         const bool old = (row & kEntry) != 0;
                         const std::uint32_t k = row & ~kEntry;
                         const Point<Drawing>& p = old ? job.ledger.places[k] : job.marks.places[k];
                         const Point<Site>& s = old ? job.ledger.site_places[k] : found.placed.marks[k];
                         sink.text(old ? job.ledger.names[k] : job.marks.names[k]);
                         sink.integer(old ? job.ledger.numbers[k] : found.issue.numbers[k]);
                         sink.text(old ? "dropped" : "live");
                         sink.fixed(p.at.x.metres(), kLedgerDecimals);
                         sink.fixed(p.at.y.metres(), kLedgerDecimals);
                         sink.integer(job.numbers.deck_offset);
                         sink.text(old ? job.ledger.revisions[k] : std::string_view(job.revision));
                         sink.fixed(s.at.northing.metres(), kLedgerDecimals);
                         sink.fixed(s.at.easting.metres(), kLedgerDecimals);
                       });
}

}  // namespace deckmark
