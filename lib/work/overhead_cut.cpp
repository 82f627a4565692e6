// Cuts of all hangers, packed into stock pieces.
#include <fmt/format.h>

#include <cmath>
#include <unordered_map>

#include "measure/decimal.h"
#include "measure/length_text.h"
#include "report/words.h"
#include "work/overhead.h"

namespace deckmark {

namespace {

struct LongCut {
  std::uint32_t mark = 0;
  Length cut = Length::metres(0), drop = Length::metres(0);
};

/// A length as a key takes it, rounded up to a millimetre or a sixteenth of an inch.
std::string no_shorter(Length value, LengthUnit unit) {
  const bool metric =
      unit == LengthUnit::metre || unit == LengthUnit::centimetre || unit == LengthUnit::millimetre;
  const auto up = [](double steps) { return std::ceil(steps - 1e-6); };
  return metric ? fixed(up(value.millimetres()) / 1000.0, 3) + " m"
                : fixed(up(in_unit(value, LengthUnit::inch) * 16.0) / 16.0, 4) + " in";
}

/// One hanger is told at its row, whose height may be the slip; several have the stock in common, and it is
/// one fault.
void refuse_cuts(const Job& job, const OverheadFound& out, std::size_t count, const LongCut& first,
                 const LongCut& longest, Messages& messages) {
  const auto words = [&](Length l) { return length_words(l, job.site_unit); };
  const auto cut = [&](const LongCut& l) {
    return fmt::format("a cut of {}, drop {} and allowances", words(l.cut), words(l.drop));
  };
  const Length stock = *job.overhead.cut.stock;
  const std::string expected = fmt::format("a cut within the stock length {}", words(stock)),
                    longer = fmt::format("stock = \"{}\"", no_shorter(longest.cut, job.site_unit));
  if (count == 1) {
    messages.problem(mark_where(job, out, first.mark, 0), mark_field(job, out, first.mark, 0),
                     Fault{fmt::format("{}: {}", job.marks.names[first.mark], cut(first)), expected, longer});
    return;
  }
  messages.problem(job.keys.find("hangers.stock")->second, "hangers.stock",
                   Fault{fmt::format("{} of {} cuts longer, {} the first: {}{}", count, out.cut_marks.size(),
                                     job.marks.names[first.mark], cut(first),
                                     longest.mark == first.mark
                                         ? ""
                                         : fmt::format("; {} the longest: {}", job.marks.names[longest.mark],
                                                       words(longest.cut))),
                         expected, longer});
}

}  // namespace

void cut_hangers(const Job& job, Found& found, Messages& messages) {
  const CutOptions& options = job.overhead.cut;
  if (!options.wanted()) return;
  OverheadFound& out = found.overhead;
  std::unordered_map<std::uint32_t, Length> lean;  // of deck marks as measured
  for (std::size_t i = 0; i < found.plumb.size(); ++i)
    lean.emplace(found.plumb_marks[i], found.plumb[i].offset);
  std::vector<Length> known;
  std::size_t too_long = 0;
  LongCut first_long{}, longest{};
  std::vector<std::size_t> row_of;
  for (std::uint32_t m = 0; m < job.marks.size(); ++m) {
    if (!has_deck_point(job, found, m)) continue;
    const auto drop = heights_at(job, found, m).drop;
    const auto leans = lean.find(m);
    const auto cut = drop ? std::optional(cut_length(
                                *drop, leans == lean.end() ? Length::metres(0) : leans->second, options))
                          : std::nullopt;
    if (cut && options.stock && *cut > *options.stock + kHair) {
      if (too_long++ == 0) first_long = {m, *cut, *drop};
      if (too_long == 1 || *cut > longest.cut) longest = {m, *cut, *drop};
    }
    if (cut) known.push_back(*cut), row_of.push_back(out.cut_marks.size());
    out.cut_marks.push_back(m);
    out.drops.push_back(drop);
    out.cuts.push_back(cut);
  }
  if (too_long > 0) refuse_cuts(job, out, too_long, first_long, longest, messages);
  out.stock_piece.assign(out.cut_marks.size(), std::nullopt);
  if (known.size() < out.cut_marks.size())
    messages.doubt("hangers that cannot be cut", Where::whole(job.file), "hangers",
                   fmt::format("{} hanger{} without a drop: no deck elevation or no bracket height is known, "
                               "so no length to cut",
                               out.cut_marks.size() - known.size(),
                               out.cut_marks.size() - known.size() == 1 ? "" : "s"));
  if (messages.has_problems() || !options.stock || known.empty()) return;
  out.cut_list = cut_list(known, *options.stock, options.kerf);
  for (std::size_t i = 0; i < known.size(); ++i) out.stock_piece[row_of[i]] = out.cut_list.piece_of[i] + 1;
}

}  // namespace deckmark
