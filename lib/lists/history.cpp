#include "lists/history.h"

#include <utility>

#include "lists/columns.h"
#include "lists/in_unit.h"

namespace deckmark {

namespace {

constexpr OutColumn kColumns[] = {{"step", OutKind::text, "drawing, issue, given, book, mark, shot or sight"},
                                  {"issue", OutKind::number, "of issue, given and book"},
                                  {"revision", OutKind::text, "of the job then"},
                                  {"point", OutKind::text, "name on the drawing then"},
                                  {"status", OutKind::text, "live or dropped"},
                                  {"northing", OutKind::length, "place that was handed out"},
                                  {"easting", OutKind::length, "place that was handed out"},
                                  {"floor_elevation", OutKind::length, "of the design floor"},
                                  {"attach_elevation", OutKind::length, "of the bracket"},
                                  {"deck_elevation", OutKind::length, "of the deck point"},
                                  {"cut", OutKind::length, "length of its rod"},
                                  {"run", OutKind::text, "run that the point belongs to"},
                                  {"crew", OutKind::text, "crews that have it"},
                                  {"to", OutKind::text, "who was given the issue; of book who did it"},
                                  {"on", OutKind::text, "when"},
                                  {"where", OutKind::text, "file and line, or setup"},
                                  {"level", OutKind::text, "floor, deck or bracket: of mark, shot and sight"},
                                  {"dx", OutKind::length, "off along +X"},
                                  {"dy", OutKind::length, "off along +Y"},
                                  {"dz", OutKind::length, "off in elevation, + too high"},
                                  {"offset", OutKind::length, "off in plan"},
                                  {"verdict", OutKind::text, "within, outside or unsure"},
                                  {"act", OutKind::text, "of book"}};

}  // namespace

const std::span<const OutColumn> kHistoryColumns = kColumns;

std::unique_ptr<WrittenTable> history_table(std::vector<HistoryStep> steps, LengthUnit unit) {
  const std::size_t count = steps.size();
  const auto row = [steps = std::move(steps), u = InUnit(unit)](auto& sink, std::size_t i) {
    const HistoryStep& s = steps[i];
    const LedgerRow none;
    const LedgerRow& r = s.row ? *s.row : none;
    sink.text(history_word(s.kind));
    if (s.issue)
      sink.integer(s.issue);
    else
      sink.empty();
    sink.text(r.revision);
    sink.text(r.point);
    sink.text(!s.row ? "" : r.live ? "live" : "dropped");
    for (const Kept k : {r.site.northing, r.site.easting, r.floor, r.attach, r.deck, r.cut})
      u.put(sink, k.is_none() ? std::nullopt : std::optional(k.length()));
    for (const std::string_view text : {r.run, r.crew}) sink.text(text);
    for (const std::string* text : {&s.who, &s.on, &s.where, &s.level}) sink.text(*text);
    u.put(sink, s.off ? std::optional(s.off->by.x) : std::nullopt);
    u.put(sink, s.off ? std::optional(s.off->by.y) : std::nullopt);
    u.put(sink, s.up);
    u.put(sink, s.offset);
    sink.text(s.verdict ? verdict_word(*s.verdict) : "");
    sink.text(s.act);
  };
  return declared_table(kColumns, unit, count, row);
}

}  // namespace deckmark
