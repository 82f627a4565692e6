// Cuts of all hangers, packed into stock pieces.
#include "stages/cuts.h"

#include <fmt/format.h>

#include <cmath>
#include <unordered_map>
#include <utility>

#include "measure/decimal.h"
#include "measure/length_text.h"
#include "report/words.h"

namespace deckmark {

namespace {

/// Cuts that no stock piece gives.
struct LongCuts {
  struct Cut {
    std::uint32_t mark = 0;
    Length cut = Length::metres(0), drop = Length::metres(0);
  };
  std::size_t count = 0;
  Cut first, longest;

  void take(const Cut& cut) {
    if (count++ == 0) first = longest = cut;
    if (cut.cut > longest.cut) longest = cut;
  }
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
void refuse_cuts(const CutInput& in, const LongCuts& cuts, Messages& told) {
  const auto words = [&](Length l) { return length_words(l, in.words); };
  const ToldMark mark = in.mark(cuts.first.mark);
  const std::string cut =
      fmt::format("a cut of {}, drop {} and allowances", words(cuts.first.cut), words(cuts.first.drop));
  const std::string expected = fmt::format("a cut within the stock length {}", words(*in.options.stock)),
                    longer = fmt::format("stock = \"{}\"", no_shorter(cuts.longest.cut, in.words));
  if (cuts.count == 1) {
    told.problem(mark.at, mark.field, Fault{fmt::format("{}: {}", mark.name, cut), expected, longer});
    return;
  }
  const std::string longest =
      cuts.longest.mark == cuts.first.mark
          ? ""
          : fmt::format("; {} the longest: {}", in.mark(cuts.longest.mark).name, words(cuts.longest.cut));
  told.problem(in.stock, "hangers.stock",
               Fault{fmt::format("{} of {} cuts longer, {} the first: {}{}", cuts.count, in.hangers.size(),
                                 mark.name, cut, longest),
                     expected, longer});
}

/// Packs the cuts that are known.
void pack(const CutOptions& options, CutsFound& out) {
  std::vector<Length> known;
  std::vector<std::size_t> row_of;
  for (std::size_t i = 0; i < out.cuts.size(); ++i)
    if (out.cuts[i]) known.push_back(*out.cuts[i]), row_of.push_back(i);
  if (known.empty()) return;
  out.list = cut_list(known, *options.stock, options.kerf);
  for (std::size_t i = 0; i < known.size(); ++i) out.stock_piece[row_of[i]] = out.list.piece_of[i] + 1;
}

}  // namespace

Staged<CutsFound> cut_hangers(const CutInput& in) {
  CutsFound out;
  Messages told;
  LongCuts too_long;
  std::size_t unknown = 0;
  for (const HangerDrop& h : in.hangers) {
    const auto cut = h.drop ? std::optional(cut_length(*h.drop, h.lean, in.options)) : std::nullopt;
    if (!cut) ++unknown;
    if (cut && in.options.stock && *cut > *in.options.stock + kHair) too_long.take({h.mark, *cut, *h.drop});
    out.marks.push_back(h.mark);
    out.drops.push_back(h.drop);
    out.cuts.push_back(cut);
  }
  out.stock_piece.assign(out.marks.size(), std::nullopt);
  if (too_long.count > 0) refuse_cuts(in, too_long, told);
  if (unknown > 0)
    told.doubt("hangers that cannot be cut", in.job, "hangers",
               fmt::format("{} hanger{} without a drop: no deck elevation or no bracket height is known, so "
                           "no length to cut",
                           unknown, unknown == 1 ? "" : "s"));
  if (in.options.stock && too_long.count == 0) pack(in.options, out);
  return Staged<CutsFound>::found(std::move(out), std::move(told));
}

std::vector<HangerDrop> hanger_drops(const LaidOut& laid, const Plumbed* plumb) {
  std::unordered_map<std::uint32_t, Length> lean;
  if (plumb)
    for (std::size_t i = 0; i < plumb->rows.size(); ++i) lean.emplace(plumb->marks[i], plumb->rows[i].offset);
  std::vector<HangerDrop> out;
  for (std::uint32_t m = 0; m < laid.marks.size(); ++m) {
    if (!laid.marks.has_deck_point(m)) continue;
    const auto leans = lean.find(m);
    out.push_back({m, laid.heights.at(m).drop, leans == lean.end() ? Length::metres(0) : leans->second});
  }
  return out;
}

}  // namespace deckmark
