#include "lists/asbuilt.h"

#include <utility>

#include "lists/in_unit.h"

namespace deckmark {

namespace {

constexpr OutColumn kAsbuiltColumns[] = {
    {"number", OutKind::number, "floor number; the deck number of a shot on the deck"},
    {"point", OutKind::text, "name in the drawing"},
    {"level", OutKind::text, "floor, deck or bracket"},
    {"dx", OutKind::length, "as built minus design along +X"},
    {"dy", OutKind::length, "as built minus design along +Y"},
    {"dz", OutKind::length, "as built minus design in elevation, + too high"},
    {"offset", OutKind::length, "distance in plan from the design"},
    {"sd", OutKind::length,
     "standard deviation of the offset; of a bracket that has a height alone, of that"},
    {"plan_verdict", OutKind::text,
     "within, outside, unsure, or own: who made it read it, which is no check"},
    {"level_verdict", OutKind::text, "the same in elevation; empty where that is not judged"},
};
constexpr OutColumn kCauseColumns[] = {
    {"cause", OutKind::text, "what kind of slip it is"},
    {"group", OutKind::text, "which shots it touches"},
    {"level", OutKind::text, "floor, deck or bracket, or all"},
    {"value", OutKind::decimal, "how much, in the unit of the next column"},
    {"unit", OutKind::text, "unit of the value"},
    {"sd", OutKind::decimal, "standard deviation of the value, in its unit"},
    {"points", OutKind::number, "marks that it touches"},
    {"before_rms", OutKind::length, "what those shots are off, rms of one coordinate"},
    {"after_rms", OutKind::length, "the same once the cause is taken off"},
};

}  // namespace

constinit const OutputSpec kAsbuiltOutput{
    "asbuilt.csv", "with as-built shots, or brackets that level or laser read",
    "as built minus design, every shot; then brackets that have a height alone", kAsbuiltColumns};
constinit const OutputSpec kCausesOutput{"causes.csv", "with as-built shots",
                                         "likely causes, strongest first", kCauseColumns};

std::unique_ptr<WrittenTable> asbuilt_table(const LaidOut& laid, const AsbuiltFound* found,
                                            const BracketsJudged* brackets, LengthUnit unit) {
  const InUnit u(unit);
  const std::size_t shots = found ? found->rows.size() : 0;
  return declared_table(
      kAsbuiltColumns, unit, shots + (brackets ? brackets->rows.size() : 0),
      [&marks = *laid.marks, &numbers = laid.numbers, found, brackets, shots, u](auto& sink, std::size_t i) {
        if (i >= shots) {
          const BracketRow& b = brackets->rows[i - shots];
          sink.integer(numbers.of(b.mark));
          sink.text(marks.names[b.mark]);
          sink.text(level_word(AsbuiltLevel::bracket));
          sink.empty();
          sink.empty();
          u.put(sink, b.up);
          sink.empty();
          u.put(sink, b.sd);
          sink.empty();
          sink.text(verdict_word(b.verdict));
          return;
        }
        const AsbuiltRow& r = found->rows[i];
        sink.integer(asbuilt_number(numbers, r));
        sink.text(marks.names[r.mark]);
        sink.text(level_word(r.level));
        u.put(sink, r.off.by.x);
        u.put(sink, r.off.by.y);
        u.put(sink, r.up);
        u.put(sink, r.offset);
        u.put(sink, r.sd);
        sink.text(verdict_word(r.plan));
        if (r.height)
          sink.text(verdict_word(*r.height));
        else
          sink.empty();
      });
}

std::unique_ptr<WrittenTable> causes_table(std::vector<CauseLine> lines, LengthUnit unit) {
  const InUnit u(unit);
  const std::size_t rows = lines.size();
  return declared_table(kCauseColumns, unit, rows,
                        [u, unit, lines = std::move(lines)](auto& sink, std::size_t i) {
                          const CauseLine& l = lines[i];
                          const Cause& c = *l.cause;
                          const CauseValue v = cause_value(c, unit);
                          sink.text(cause_word(c.kind));
                          sink.text(cause_group_text(l));
                          sink.text(c.level ? level_word(*c.level) : "all");
                          sink.fixed(v.value, v.decimals);
                          sink.text(v.unit);
                          sink.fixed(v.sd, v.decimals);
                          sink.integer(static_cast<std::int64_t>(c.points));
                          u.put(sink, c.before);
                          u.put(sink, c.after);
                        });
}

}  // namespace deckmark
