#include "work/tape_sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "lists/offset_changes.h"
#include "lists/offsets.h"
#include "lists/overhead.h"
#include "lists/points.h"
#include "table/digest.h"
#include "work/outputs.h"

namespace deckmark {

namespace {

std::string offsets_csv(const Computation& c) {
  return csv_of(*offsets_table(c.job.offsets, c.job.overhead.runs, *c.laid.get(), *c.offsets.get()));
}

/// Numbers that are no row of the sheet, or that the issue tells as changed.
std::set<std::int64_t> not_compared(const Computation& c) {
  std::set<std::int64_t> out;
  if (const auto& strings = c.offsets.get()->strings)
    for (const std::uint32_t m : strings->stand) out.insert(c.laid.get()->numbers.of(m));
  if (const IssueFound* issue = c.issue.get(); issue && issue->is_new)
    for (const Candidate& row : issue->rows) out.insert(row.number);
  return out;
}

}  // namespace

SheetDigests digests_of_sheet(const Computation& c) {
  const LaidOut& laid = *c.laid.get();
  const LengthUnit unit = c.views.head.list_unit;
  SheetDigests out{sha256_hex(csv_of(*points_table(laid, unit, c.views.heights.datum_line()))),
                   sha256_hex(offsets_csv(c))};
  if (const CutsFound* cuts = c.cuts.get())
    out.hangers = sha256_hex(csv_of(*hangers_table(laid, *cuts, unit)));
  return out;
}

SheetInput sheet_of(const Computation& c, const SheetDigests& digests, std::string_view verdict,
                    const CrewShare& share) {
  return {
      c.views.head, c.views.offsets, c.job.overhead.runs,          *c.laid.get(), *c.offsets.get(), verdict,
      digests,      share,           c.views.heights.datum_line(), c.cuts.get()};
}

void tell_changed_sheet(const Computation& c, const std::shared_ptr<const Source>& before,
                        const std::string& target, Messages& messages) {
  const std::string now = offsets_csv(c);
  if (now == before->text()) return;
  const OffsetChanges changes =
      offset_changes(before, Source::from_bytes(std::string(kOffsetsOutput.name), now),
                     c.offsets.get()->strings.has_value(), not_compared(c));
  if (changes.count == 0) return;
  const std::string largest =
      changes.number == 0
          ? ""
          : fmt::format(", the largest by {} at {}", tape_words(changes.largest, c.job.offsets.options.form),
                        changes.number);
  messages.doubt(
      "a sheet that changed", Where::whole(target), "file",
      fmt::format("the offset sheet changed: {} distance{}{}: take back the sheets that were printed before",
                  changes.count, changes.count == 1 ? "" : "s", largest));
}

}  // namespace deckmark
