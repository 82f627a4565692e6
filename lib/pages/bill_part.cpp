// Parts that are short and runs that cannot begin, in words.
#include "pages/parts.h"
#include "report/bill_text.h"

namespace deckmark {

namespace {

BillWords words_of(const OverheadJob& stated, const BillFound& found) {
  BillWords out;
  out.runs = found.runs;
  for (std::size_t r = 0; r < found.runs; ++r)
    if (found.lacks_any(r))
      out.stuck.push_back({stated.runs[r].name, lacks_words(found, r)});
    else
      out.ready.push_back(stated.runs[r].name);
  if (found.lacks_any(found.runs)) out.loose_lacks = lacks_words(found, found.runs);
  for (const PartHeld& p : found.held.parts) {
    out.says_what_arrived = p.arrived.has_value();
    out.parts.push_back({p.part, p.drawing, p.bill, p.arrived, p.damaged, p.short_by, p.beyond()});
  }
  return out;
}

}  // namespace

std::string bill_part(const OverheadJob& stated, const BillFound* found, BillShown shown) {
  if (!found || !found->held.is_judged) return "";
  const BillWords words = words_of(stated, *found);
  return shown == BillShown::all ? bill_text(words) : bill_short_text(words);
}

}  // namespace deckmark
