#include "lists/points.h"

#include <algorithm>
#include <utility>
#include <vector>

#include "issues/ledger_columns.h"
#include "lists/in_unit.h"

namespace deckmark {

namespace {

constexpr int kRatioDecimals = 3;  // of n in 1:n

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
     "larger semi-axis of the standard error ellipse that the ties leave, before marking"},
    {"above_datum", OutKind::length, "bracket above the datum line; empty without one"}};

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
    {"verdict", OutKind::text, "within, outside, unsure, or own: who made it read it, which is no check"}};

constexpr OutColumn kChangesColumns[] = {
    {"number", OutKind::number, "floor number, also of a deck point, a bracket, a cut"},
    {"point", OutKind::text, "name on the drawing; of a dropped point the one it had"},
    {"change", OutKind::text,
     "floor: new, moved, dropped, returned, renamed, refit; deck and bracket: new, gone, raised, lowered; "
     "cut: new, gone, longer, shorter; for a crew also passed"},
    {"dx", OutKind::length, "how far a floor mark moved along +X"},
    {"dy", OutKind::length, "how far a floor mark moved along +Y"},
    {"distance", OutKind::length, "how far, in plan or in height"},
    {"what", OutKind::text, "floor, deck, bracket or cut"},
    {"dz", OutKind::length, "how much higher, or longer"},
    {"old_northing", OutKind::length, "where it was told before"},
    {"old_easting", OutKind::length, "where it was told before"},
    {"old_elevation", OutKind::length, "where it was told before"}};

}  // namespace

constinit const OutputSpec kPointsOutput{"points.csv", "", "every point with its places, heights and sd",
                                         kPointsColumns};
constinit const OutputSpec kPlumbOutput{"plumb.csv", "with deck marks", "deck marks against floor marks",
                                        kPlumbColumns};
constinit const OutputSpec kChangesOutput{
    "changes.csv", "", "what changed since the issue before, or since the one that --since names",
    kChangesColumns};
constinit const OutputSpec kChangesCrewOutput{
    "changes-NAME.csv", "with crews",
    "what changed for a crew, since the last issue that it was given, else since the issue before",
    kChangesColumns};
constinit const OutputSpec kLedgerOutput{
    "numbers.csv",
    "",
    "the ledger: every number with every place that it was handed out with; in the job's folder under the "
    "name that the job gives it; it only grows",
    kLedgerColumns,
    false,
    true};
constinit const OutputSpec kIssuedControlOutput{
    "issued-control.csv",
    "with control",
    "the control that issues were made with, beside the ledger (NAME-issued-control.csv beside NAME.csv); a "
    "row where a point is new or moved; it only grows",
    kIssuedControlColumns,
    false,
    true};
constinit const OutputSpec kIssuedOutput{
    "issued.csv",   "",    "the issues, beside the ledger (NAME-issued.csv beside NAME.csv); it only grows",
    kIssuedColumns, false, true};
constinit const OutputSpec kGivenOutput{
    "given.csv",
    "by deckmark give",
    "who has which issue, beside the ledger (NAME-given.csv beside NAME.csv); it only grows",
    kGivenColumns,
    false,
    true};

std::unique_ptr<WrittenTable> points_table(const LaidOut& laid, LengthUnit unit,
                                           std::optional<Elevation> datum) {
  const auto row = [laid, datum, u = InUnit(unit)](auto& sink, std::size_t i) {
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
    u.put(sink, datum && h.attach ? std::optional(*h.attach - *datum) : std::nullopt);
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

namespace {

/// Whole micrometres are a half of the last decimal now and then, and their double may lie just under it:
/// moved by a tenth of a nanometre away from zero they round as the decimals do.
Length as_decimal(Length l) {
  constexpr Length kHairAway = Length::metres(1e-10);
  if (l == Length::metres(0)) return l;
  return l > Length::metres(0) ? l + kHairAway : l - kHairAway;
}

}  // namespace

std::unique_ptr<WrittenTable> changes_table(const LaidOut& laid, const Ledger& ledger,
                                            const std::vector<ChangeRow>& changes, const RowNow& now,
                                            LengthUnit unit) {
  const auto row = [laid, &ledger, &changes, &now, u = InUnit(unit)](auto& sink, std::size_t i) {
    const ChangeRow& c = changes[i];
    const ChangeBy by = change_by(ledger, c, now);
    sink.integer(c.number);
    sink.text(now(c.now).point);
    sink.text(change_word(c.change));
    const auto moved =
        by.refit ? std::optional(laid.placed.fit.site_from_drawing.inverse().turn(*by.refit)) : by.moved;
    const auto put = [&](const std::optional<Length>& l) {
      u.put(sink, l ? std::optional(as_decimal(*l)) : std::nullopt);
    };
    if (moved) {
      put(moved->by.x);
      put(moved->by.y);
      put(norm(*moved));
    } else {
      sink.empty();
      sink.empty();
      put(by.up ? std::optional(abs(*by.up)) : std::nullopt);
    }
    sink.text(what_word(c.what));
    put(by.up);
    put(by.old_place ? std::optional(by.old_place->northing.length()) : std::nullopt);
    put(by.old_place ? std::optional(by.old_place->easting.length()) : std::nullopt);
    put(by.old_elevation.is_none() ? std::nullopt : std::optional(by.old_elevation.length()));
  };
  return declared_table(kChangesColumns, unit, changes.size(), row);
}

std::unique_ptr<WrittenTable> issue_rows(const IssueFound& found, bool header) {
  TableStyle style;
  style.header = header;
  const auto row = [&found](auto& sink, std::size_t i) { put_ledger_row(sink, found.new_row(i)); };
  return declared_table(kLedgerColumns, LengthUnit::metre, found.rows.size(), row, style);
}

std::unique_ptr<WrittenTable> first_issue_rows(const Ledger& ledger) {
  const auto row = [&ledger](auto& sink, std::size_t i) {
    put_ledger_row(sink, ledger.row(static_cast<std::uint32_t>(i)));
  };
  return declared_table(kLedgerColumns, LengthUnit::metre, ledger.first_row(2), row);
}

std::unique_ptr<WrittenTable> issued_control_rows(std::vector<IssuedControl> rows, bool header) {
  TableStyle style;
  style.header = header;
  const std::size_t count = rows.size();
  const auto row = [rows = std::move(rows)](auto& sink, std::size_t i) {
    const KeptControl& c = rows[i].control;
    sink.integer(rows[i].issue);
    sink.text(c.point);
    for (const Kept k : {c.at.northing, c.at.easting, c.elevation}) put_kept(sink, k);
  };
  return declared_table(kIssuedControlColumns, LengthUnit::metre, count, row, style);
}

std::unique_ptr<WrittenTable> given_rows(std::vector<GivenRow> rows, bool header) {
  TableStyle style;
  style.header = header;
  const std::size_t count = rows.size();
  const auto row = [rows = std::move(rows)](auto& sink, std::size_t i) {
    sink.integer(rows[i].issue);
    for (const std::string* text : {&rows[i].to, &rows[i].on, &rows[i].digest}) sink.text(*text);
  };
  return declared_table(kGivenColumns, LengthUnit::metre, count, row, style);
}

std::unique_ptr<WrittenTable> issued_rows(std::vector<IssuedRow> rows, bool header) {
  TableStyle style;
  style.header = header;
  const std::size_t count = rows.size();
  const auto row = [rows = std::move(rows)](auto& sink, std::size_t i) {
    const IssuedRow& r = rows[i];
    sink.integer(r.issue);
    for (const std::string* text : {&r.revision, &r.job, &r.storey}) sink.text(*text);
    sink.integer(r.live);
    sink.integer(r.rows);
    for (const std::string* text : {&r.folder, &r.before, &r.digest}) sink.text(*text);
  };
  return declared_table(kIssuedColumns, LengthUnit::metre, count, row, style);
}

}  // namespace deckmark
