#include "pages/parts.h"

#include "marks/check_pair.h"
#include "report/words.h"
#include "stages/stake.h"

namespace deckmark {

std::string deck_part(const JobHead& head, const LaidOut& laid) {
  if (!laid.heights.has_deck()) return "";
  const DecksFitted& fitted = laid.heights.decks()->fitted;
  if (fitted.by_bay) return "";
  const std::optional<DeckResult>& fit = fitted.fits.front();
  return deck_text(fitted.decks.front(), fit ? &*fit : nullptr, laid.heights.floor(), head.site_unit,
                   head.north);
}

std::vector<PlumbLine> plumb_lines(const LaidOut& laid, const Plumbed& plumb) {
  std::vector<PlumbLine> lines;
  for (std::size_t i = 0; i < plumb.rows.size(); ++i) {
    const std::uint32_t m = plumb.marks[i];
    lines.push_back({laid.numbers.of(m), laid.marks->names[m], &plumb.rows[i]});
  }
  return lines;
}

std::string plumb_part(const JobHead& head, const PlumbOptions& options, const LaidOut& laid,
                       const Plumbed& plumb) {
  const std::vector<PlumbLine> lines = plumb_lines(laid, plumb);
  return lines.empty() ? "" : plumb_text(lines, options, small_unit(head.site_unit, head.drawing_unit));
}

std::string changes_part(const JobHead& head, const LedgerTable& ledger, const LaidOut& laid,
                         std::size_t most) {
  std::vector<ChangeLine> lines;
  const bool first = ledger.size() == 0;
  if (!first)
    for (const ChangeRow& c : laid.numbers.issue.changes) {
      ChangeLine line{c.number, c.mark == kNone32 ? ledger.names[c.entry] : laid.marks->names[c.mark],
                      c.change, change_by(c, laid.placed.fit),
                      "",       0};
      if (c.change == Change::renamed) {
        line.old_name = ledger.names[c.entry];
        line.old_number = ledger.numbers[c.entry];
      }
      lines.push_back(line);
    }
  return changes_text(lines, first, laid.marks.size(), head.drawing_unit, most);
}

std::string check_lines(const JobHead& head, const LaidOut& laid, const std::vector<std::string>& only,
                        const GroundFromGrid* grid) {
  const auto& places = laid.placed.marks;
  std::vector<std::uint8_t> listed;
  if (!only.empty())
    for (std::size_t m = 0; m < laid.marks.size(); ++m)
      listed.push_back(is_listed(*laid.marks, only, m) ? 1 : 0);
  const CheckPair pair = check_pair(places, laid.numbers.issue.numbers, listed);
  const Point<Site>&from = places[pair.from], &to = places[pair.to];
  const auto text = [&](Length apart, const auto& v, std::string_view north) {
    return check_text(laid.numbers.of(pair.from), laid.numbers.of(pair.to), apart,
                      apart > kHair ? std::optional(azimuth_of(v)) : std::nullopt, pair.shows_exchange,
                      head.list_unit, north);
  };
  if (!grid) return text(distance(from, to), to - from, head.north);
  const Point<Grid> a = grid->to_grid(from), b = grid->to_grid(to);
  return text(distance(a, b), b - a, "grid north; a GRID distance, as the lists are");
}

}  // namespace deckmark
