#include "lists/bill.h"

#include <fmt/format.h>

#include <optional>
#include <string>

namespace deckmark {

namespace {

constexpr OutColumn kShortColumns[] = {
    {"part", OutKind::text, "parts of needs; pieces, where bill or arrived name one; what nothing needs"},
    {"drawing", OutKind::number, "how many the drawing needs, the sum rounded up once"},
    {"bill", OutKind::number, "how many the bill orders; empty without a bill"},
    {"arrived", OutKind::number, "how many came, damaged ones too; empty where nothing says what arrived"},
    {"damaged", OutKind::number, "how many of these cannot be hung"},
    {"short", OutKind::number,
     "drawing less what arrived sound, or less the bill where nothing says what arrived; at least 0"},
    {"runs", OutKind::text,
     "runs that cannot begin for want of it, parted by ;: they take in their order, all that they need or "
     "nothing"}};

template <class Sink>
void put_count(Sink& sink, const std::optional<std::int64_t>& count) {
  if (count)
    sink.integer(*count);
  else
    sink.empty();
}

/// Names of runs; hangers of no run have none.
std::string runs_lacking(const PartHeld& part, const OverheadJob& stated) {
  std::string out;
  for (const std::size_t r : part.lacked_by)
    if (r < stated.runs.size()) out += (out.empty() ? "" : "; ") + stated.runs[r].name;
  return out;
}

}  // namespace

constinit const OutputSpec kShortOutput{"short.csv", "with a bill or what arrived",
                                        "parts that are short, and the runs that cannot begin without them",
                                        kShortColumns};

std::unique_ptr<WrittenTable> short_table(const BillFound& bill, const OverheadJob& stated, LengthUnit unit) {
  return declared_table(kShortColumns, unit, bill.held.parts.size(),
                        [&bill, &stated](auto& sink, std::size_t i) {
                          const PartHeld& p = bill.held.parts[i];
                          sink.text(p.part);
                          sink.integer(p.drawing);
                          put_count(sink, p.bill);
                          put_count(sink, p.arrived);
                          put_count(sink, p.damaged);
                          sink.integer(p.short_by);
                          sink.text(runs_lacking(p, stated));
                        });
}

}  // namespace deckmark
