// Parts that are short and runs that cannot begin, in words.
#include "pages/overhead_lines.h"
#include "pages/parts.h"
#include "report/bill_text.h"

namespace deckmark {

namespace {

constexpr std::size_t kAll = 1000;

}  // namespace

std::optional<BillWords> bill_words(const OverheadJob& stated, const BillFound* bill, std::size_t most) {
  if (!bill || !bill->held.is_judged) return std::nullopt;
  const BillFound& found = *bill;
  BillWords out;
  out.runs = found.runs;
  for (std::size_t r = 0; r < found.runs; ++r)
    if (found.lacks_any(r))
      out.stuck.push_back({stated.runs[r].name, lacks_words(found, r, most)});
    else
      out.ready.push_back(stated.runs[r].name);
  if (found.lacks_any(found.runs)) out.loose_lacks = lacks_words(found, found.runs, most);
  for (const PartHeld& p : found.held.parts) {
    out.says_what_arrived = p.arrived.has_value();
    out.parts.push_back({p.part, p.drawing, p.bill, p.arrived, p.damaged, p.short_by, p.beyond()});
  }
  return out;
}

std::string bill_part(const OverheadJob& stated, const BillFound* bill) {
  const auto words = bill_words(stated, bill, kAll);
  return words ? bill_text(*words) : "";
}

std::string bill_part(const OverheadJob& stated, const BillFound* bill, std::size_t lines) {
  const auto words = bill_words(stated, bill, 5);
  return words ? bill_short_text(*words, lines) : "";
}

}  // namespace deckmark
