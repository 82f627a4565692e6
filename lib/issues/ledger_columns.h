#pragma once
/// The columns of the ledger, `issued.csv` and `given.csv` as they are written, and the function of a row.

#include <span>
#include <string>

#include "issues/ledger.h"
#include "terms/output.h"

namespace deckmark {

inline constexpr OutColumn kLedgerColumns[] = {
    {"point", OutKind::text, "name on the drawing"},
    {"number", OutKind::number, "floor number, for good"},
    {"status", OutKind::text, "live, or dropped where the drawing has no such point now"},
    {"x", OutKind::metres, "for which the number was last listed"},
    {"y", OutKind::metres, "for which the number was last listed"},
    {"deck_offset", OutKind::number, "what a deck number has more than its floor number"},
    {"revision", OutKind::text, "of the job for which the number was last listed"},
    {"northing", OutKind::metres, "where it was last listed on site"},
    {"easting", OutKind::metres, "where it was last listed on site"},
    {"issue", OutKind::number, "the issue that this row belongs to"},
    {"floor_elevation", OutKind::metres, "of the design floor"},
    {"attach_elevation", OutKind::metres, "of the bracket"},
    {"deck_elevation", OutKind::metres, "as in the deck list; empty where the number has no deck point"},
    {"cut", OutKind::metres, "length of its rod"},
    {"kind", OutKind::text, "hanger, reference, support, or what the drawing says"},
    {"run", OutKind::text, "run that the point belongs to"},
    {"crew", OutKind::text, "crews that have the number"},
    {"told_in", OutKind::number, "the last issue whose changes told its floor mark"},
    {"told_in_deck", OutKind::number, "the last issue whose changes told its deck point"},
    {"told_in_bracket", OutKind::number, "the last issue whose changes told its bracket"},
    {"told_in_cut", OutKind::number, "the last issue whose changes told its cut"}};

inline constexpr OutColumn kIssuedColumns[] = {
    {"issue", OutKind::number, "1, 2, ..."},
    {"revision", OutKind::text, "of the job"},
    {"job", OutKind::text, "the job file, from the ledger's folder"},
    {"storey", OutKind::text, "of the job"},
    {"live", OutKind::number, "numbers that were live then"},
    {"rows", OutKind::number, "of the ledger that belong to the issue"},
    {"folder", OutKind::text, "where its lists were first written, from the job's folder"},
    {"before", OutKind::text, "digest of the issue before"},
    {"digest", OutKind::text, "of the issue: what must not change"}};

inline constexpr OutColumn kGivenColumns[] = {{"issue", OutKind::number, "that was given"},
                                              {"to", OutKind::text, "who has it"},
                                              {"on", OutKind::text, "the date, as it was typed"},
                                              {"digest", OutKind::text, "of the issue"}};

/// The header that the program writes over such columns; a digest is of the rows alone.
inline std::string header_line(std::span<const OutColumn> columns) {
  std::string out;
  for (const OutColumn& c : columns) {
    if (!out.empty()) out += ',';
    out += c.name;
    if (c.kind == OutKind::metres) out += " (m)";
  }
  return out;
}

inline constexpr int kLedgerDecimals = 6;  // metres: a micrometre, as they are kept

template <class Sink>
void put_kept(Sink& sink, Kept k) {
  if (k.is_none())
    sink.empty();
  else
    sink.fixed(k.metres(), kLedgerDecimals);
}

/// Puts a row into a written table.
template <class Sink>
void put_ledger_row(Sink& sink, const LedgerRow& r) {
  const auto metres = [&sink](Kept k) { put_kept(sink, k); };
  sink.text(r.point);
  sink.integer(r.number);
  sink.text(r.live ? "live" : "dropped");
  metres(r.drawing.x);
  metres(r.drawing.y);
  sink.integer(r.deck_offset);
  sink.text(r.revision);
  metres(r.site.northing);
  metres(r.site.easting);
  sink.integer(r.issue);
  for (const Kept k : {r.floor, r.attach, r.deck, r.cut}) metres(k);
  for (const std::string_view t : {r.kind, r.run, r.crew}) sink.text(t);
  for (const std::uint32_t issue : r.told) sink.integer(issue);
}

}  // namespace deckmark
