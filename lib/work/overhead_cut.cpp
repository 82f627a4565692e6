// Cuts of all hangers, packed into stock pieces.
#include "work/overhead.h"

#include "report/words.h"

#include <fmt/format.h>
#include <unordered_map>

namespace deckmark {

void cut_hangers(const Job& job, Found& found, Messages& messages) {
  const CutOptions& options = job.overhead.cut;
  if (!options.wanted()) return;
  OverheadFound& out = found.overhead;
  std::unordered_map<std::uint32_t, Length> lean;  // of deck marks as measured
  for (std::size_t i = 0; i < found.plumb.size(); ++i) lean.emplace(found.plumb_marks[i], found.plumb[i].offset);
  std::vector<Length> known;
  std::vector<std::size_t> row_of;
  for (std::uint32_t m = 0; m < job.marks.size(); ++m) {
    if (!has_deck_point(job, found, m)) continue;
    const auto drop = heights_at(job, found, m).drop;
    const auto leans = lean.find(m);
    const auto cut = drop ? std::optional(cut_length(*drop, leans == lean.end() ? Length::metres(0) : leans->second, options)) : std::nullopt;
    if (cut && options.stock && *cut > *options.stock + kHair)
      messages.problem(mark_where(job, out, m, 0), mark_field(job, out, m, 0),
                       Fault{fmt::format("{}: a cut of {}, drop {} and allowances", job.marks.names[m], length_words(*cut, job.site_unit), length_words(*drop, job.site_unit)),
                             fmt::format("a cut within the stock length {}", length_words(*options.stock, job.site_unit)), "a longer stock"});
    if (cut) known.push_back(*cut), row_of.push_back(out.cut_marks.size());
    out.cut_marks.push_back(m);
    out.drops.push_back(drop);
    out.cuts.push_back(cut);
  }
  out.stock_piece.assign(out.cut_marks.size(), std::nullopt);
  if (known.size() < out.cut_marks.size())
    messages.doubt("hangers that cannot be cut", Where::whole(job.file), "hangers", fmt::format("{} hanger{} without a drop: no deck elevation or no bracket height is known, so no length to cut", out.cut_marks.size() - known.size(), out.cut_marks.size() - known.size() == 1 ? "" : "s"));
  if (messages.has_problems() || !options.stock || known.empty()) return;
  out.cut_list = cut_list(known, *options.stock, options.kerf);
  for (std::size_t i = 0; i < known.size(); ++i) out.stock_piece[row_of[i]] = out.cut_list.piece_of[i] + 1;
}

}  // namespace deckmark
