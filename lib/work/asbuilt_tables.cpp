#include "work/in_unit.h"
#include "work/output_tables.h"

namespace deckmark {

std::unique_ptr<WrittenTable> asbuilt_table(const Job& job, const Found& found) {
  const InUnit u(*job.list.unit);
  return written_table(TableStyle{}, {"number", "point", "level", u.head("dx"), u.head("dy"), u.head("dz"), u.head("offset"), u.head("sd"), "plan_verdict", "level_verdict"},
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
                         if (r.height) sink.text(verdict_word(*r.height));
                         else sink.empty();
                       });
}

}  // namespace deckmark
