#include "work/asbuilt_causes.h"
#include "work/in_unit.h"
#include "work/output_tables.h"

namespace deckmark {

std::unique_ptr<WrittenTable> asbuilt_table(const Job& job, const Found& found) {
  const InUnit u(*job.list.unit);
  return written_table(TableStyle{},
                       {"number", "point", "level", u.head("dx"), u.head("dy"), u.head("dz"),
                        u.head("offset"), u.head("sd"), "plan_verdict", "level_verdict"},
                       found.asbuilt.rows.size(), [&job, &found, u](auto& sink, std::size_t i) {
                         const AsbuiltRow& r = found.asbuilt.rows[i];
                         sink.integer(asbuilt_number(job, found, r));
                         sink.text(job.marks.names[r.mark]);
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

std::unique_ptr<WrittenTable> causes_table(const Job& job, const Found& found) {
  const LengthUnit unit = *job.list.unit;
  const InUnit u(unit);
  std::vector<CauseLine> lines = cause_lines(job, found);
  const std::size_t rows = lines.size();
  return written_table(
      TableStyle{},
      {"cause", "group", "level", "value", "unit", "sd", "points", u.head("before_rms"), u.head("after_rms")},
      rows, [u, unit, lines = std::move(lines)](auto& sink, std::size_t i) {
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
