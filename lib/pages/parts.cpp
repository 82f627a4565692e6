#include "pages/parts.h"

#include <fmt/format.h>

#include <cmath>

#include "marks/check_pair.h"
#include "report/words.h"
#include "stages/stake.h"

namespace deckmark {

std::string deck_part(const JobHead& head, const LaidOut& laid) {
  if (!laid.heights.has_deck()) return "";
  const Decks& decks = *laid.heights.decks();
  const DecksFitted& fitted = decks.fitted;
  if (fitted.by_bay) return "";
  const std::optional<DeckResult>& fit = fitted.fits.front();
  return deck_text(fitted.decks.front(), fit ? &*fit : nullptr,
                   {decks.measured.size(), fitted.at_marks_alone}, laid.heights.floor(), head.site_unit,
                   head.north);
}

std::vector<PlumbLine> plumb_lines(const LaidOut& laid, const Plumbed& plumb) {
  std::vector<PlumbLine> lines;
  for (std::size_t i = 0; i < plumb.rows.size(); ++i) {
    const std::uint32_t m = plumb.marks[i];
    lines.push_back({laid.numbers.of(m), laid.marks->names[m], &plumb.rows[i], plumb.turns_of(i)});
  }
  return lines;
}

std::string plumb_part(const JobHead& head, const PlumbOptions& options, const LaidOut& laid,
                       const Plumbed& plumb) {
  const std::vector<PlumbLine> lines = plumb_lines(laid, plumb);
  return lines.empty() ? "" : plumb_text(lines, options, small_unit(head.site_unit, head.drawing_unit));
}

namespace {

std::string since_words(const IssueStated& stated, const IssueFound& found) {
  if (found.shown_since == 0) return "";
  const IssuedRow& issue = stated.ledger.issues()[found.shown_since - 1];
  switch (found.why) {
    case SinceWhy::asked:
      return "";
    case SinceWhy::given:
      for (auto g = stated.given.rbegin(); g != stated.given.rend(); ++g)
        if (g->issue == found.shown_since) return fmt::format("given to {} on {}", g->to, g->on);
      return "";
    case SinceWhy::revision:
      return issue.revision.empty() ? std::string("the last without a revision")
                                    : fmt::format("the last of revision {}", issue.revision);
    case SinceWhy::before:
      return "the one before";
  }
  return "";
}

}  // namespace

std::string changes_part(const JobHead& head, const IssueStated& stated, const IssueFound& found,
                         const LaidOut& laid, std::size_t most) {
  const Ledger& ledger = stated.ledger;
  std::vector<ChangeLine> lines;
  if (found.shown_since > 0)
    for (const ChangeRow& c : found.shown) {
      const ChangeBy by = change_by(ledger, c, found.row);
      ChangeLine line{c.number, found.row(c.now).point, c.change, c.what, by.moved, by.up};
      if (by.refit) line.by = laid.placed.fit.site_from_drawing.inverse().turn(*by.refit);
      // The file has a move of moved marks alone; the crew is told of any.
      if ((c.change == Change::renamed || c.change == Change::returned) &&
          ledger.columns().number(c.told) == c.number) {
        const KeptDrawing then = ledger.row(c.told).drawing, now = found.row(c.now).drawing;
        if (is_told(now, then)) line.by = now.point() - then.point();
      }
      if (c.change == Change::renamed) {
        line.old_name = ledger.columns().points()[c.told];
        line.old_number = ledger.columns().number(c.told);
      }
      lines.push_back(line);
    }
  return changes_text(lines, {found.number, found.shown_since, since_words(stated, found), laid.marks.size()},
                      head.drawing_unit, most);
}

std::string check_lines(const JobHead& head, const LaidOut& laid, const std::vector<std::string>& only,
                        const GroundFromGrid* grid, const Ledger& ledger, const IssueFound* found) {
  const auto& places = laid.placed.marks;
  std::vector<std::uint8_t> listed;
  if (!only.empty())
    for (std::size_t m = 0; m < laid.marks.size(); ++m)
      listed.push_back(is_listed(*laid.marks, only, m) ? 1 : 0);
  CheckPair pair = check_pair(places, laid.numbers.issue.numbers, listed);
  std::optional<std::pair<std::uint32_t, Length>> before;
  if (found && found->shown_since > 0) {
    std::vector<MarkThen> then;
    for (std::size_t m = 0; m < laid.marks.size(); ++m) {
      const std::uint32_t entry = laid.numbers.join.entries[m];
      const std::uint32_t row = entry == kNone32 ? kNone32 : ledger.as_of(entry, found->shown_since);
      if (row == kNone32 || !ledger.columns().is_live(row) || (!listed.empty() && !listed[m])) continue;
      then.push_back({m, ledger.row(row).site.point()});
    }
    if (const auto changed = changed_pair(places, laid.numbers.issue.numbers, then)) {
      const Vec<Site> by = places[changed->to] - places[changed->from];
      const double exchange = (by.by.northing - by.by.easting).metres();
      pair = {changed->from, changed->to, std::abs(exchange) > 0.01};
      before.emplace(found->shown_since, changed->before);
    }
  }
  const Point<Site>&from = places[pair.from], &to = places[pair.to];
  const auto text = [&](Length apart, const auto& v, std::string_view north,
                        const std::optional<std::pair<std::uint32_t, Length>>& then) {
    return check_text(laid.numbers.of(pair.from), laid.numbers.of(pair.to), apart,
                      apart > kHair ? std::optional(azimuth_of(v)) : std::nullopt, pair.shows_exchange,
                      head.list_unit, north, then);
  };
  if (!grid) return text(distance(from, to), to - from, head.north, before);
  const Point<Grid> a = grid->to_grid(from), b = grid->to_grid(to);
  const Length scale = distance(a, b);
  if (before) before->second = before->second * (scale / distance(from, to));
  return text(scale, b - a, "grid north; a GRID distance, as the lists are", before);
}

std::string shape_part(const JobHead& head, const OverheadJob& stated, const LaidOut& laid,
                       const ShapeFound& found) {
  return shape_text(shape_lines(found, *laid.marks, stated.runs), head.drawing_unit);
}

}  // namespace deckmark
