// Bays, runs, crossings, trapezes, pieces, cuts and parts in words.
#include <fmt/format.h>

#include "pages/overhead_lines.h"
#include "pages/parts.h"
#include "report/overhead_text.h"
#include "stages/parts.h"

namespace deckmark {

namespace {

std::string bays_words(const BaysStated& stated, const LaidOut& laid, LengthUnit unit) {
  const Decks* decks = laid.heights.decks();
  if (!decks || !decks->fitted.by_bay) return "";
  std::vector<BayLine> bays;
  for (std::size_t b = 0; b < stated.names.size(); ++b) {
    const auto& fit = decks->fitted.fits[b];
    const Point<Site> corner = laid.placed.fit.site_from_drawing(stated.outlines[b].corners()[0]);
    bays.push_back({stated.names[b], fit ? fit->residuals.size() : 0,
                    decks->fitted.decks[b].elevation_at(corner).above_datum()});
  }
  std::vector<StepLine> steps;
  for (const BayStep& s : decks->steps)
    steps.push_back({stated.names[s.first], stated.names[s.second], s.up});
  return bays_text(bays, steps, unit);
}

std::string trapezes_words(const LaidOut& laid, LengthUnit unit) {
  std::vector<TrapezeLine> lines;
  for (const TrapezeFound& t : laid.overhead.trapezes)
    lines.push_back({laid.numbers.of(t.hanger), laid.marks->names[t.hanger],
                     laid.overhead.obstruction_names[t.trapeze.obstruction],
                     t.trapeze.supports ? std::optional(t.trapeze.span) : std::nullopt});
  return trapezes_text(lines, unit);
}

std::string cuts_words(const CutOptions& options, const MarkTable& marks, const CutsFound* found,
                       LengthUnit unit) {
  if (!found) return "";
  std::vector<CutLine> cuts;
  for (std::size_t i = 0; i < found->marks.size(); ++i)
    if (found->cuts[i]) cuts.push_back({marks.runs[found->marks[i]], *found->cuts[i]});
  const CutListResult& list = found->list;
  return cut_text(
      cuts,
      {list.pieces.size(), list.lower_bound, list.pieces.empty() ? std::nullopt : options.stock, list.waste},
      unit);
}

}  // namespace

std::string overhead_part(const JobHead& head, const OverheadJob& stated, const LaidOut& laid,
                          const CutsFound* cuts, const BillFound* bill) {
  std::string text;
  const auto add = [&](const std::string& part) {
    if (!part.empty()) text += (text.empty() ? "" : "\n") + part;
  };
  add(bays_words(laid.overhead.bays, laid, head.site_unit));
  add(runs_text(run_lines(stated, laid), head.drawing_unit));
  add(crossings_text(crossing_lines(stated, laid.overhead), head.drawing_unit));
  add(trapezes_words(laid, head.drawing_unit));
  add(pieces_text(piece_lines(stated, laid), head.drawing_unit));
  add(cuts_words(stated.cut, *laid.marks, cuts, head.site_unit));
  add(parts_text(all_parts(stated, laid.marks, laid.overhead, cuts, bill), head.site_unit));
  return text;
}

}  // namespace deckmark
