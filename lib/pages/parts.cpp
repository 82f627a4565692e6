#include "pages/parts.h"

#include <fmt/format.h>

#include <cmath>

#include "marks/check_pair.h"
#include "measure/angle_text.h"
#include "report/offset_text.h"
#include "report/words.h"
#include "stages/stake.h"

namespace deckmark {

namespace {

/// `azimuth 90-00-00 from site north`; where nothing says where north is, `+X and -Y`: the axis nearest to
/// it, both between the two.
std::string rise_words(const JobHead& head, const Placed& placed, const Deck& deck) {
  const auto azimuth = deck.rises_towards();
  if (!azimuth) return "";
  if (!head.north.empty()) return fmt::format("azimuth {} from {}", dms_text(*azimuth, 0), head.north);
  const double turn = Angle::degrees(azimuth->degrees()).radians();
  const Vec<Drawing> way = placed.fit.site_from_drawing.inverse().turn(
      Vec<Site>{{.northing = Length::metres(std::cos(turn)), .easting = Length::metres(std::sin(turn))}});
  const double x = way.by.x.metres(), y = way.by.y.metres();
  constexpr double kNear = 0.41;  // tangent of a quarter of a right angle
  std::string out = std::abs(x) >= kNear * std::abs(y) ? (x > 0 ? "+X" : "-X") : "";
  if (std::abs(y) >= kNear * std::abs(x))
    out += (out.empty() ? "" : " and ") + std::string(y > 0 ? "+Y" : "-Y");
  return out;
}

}  // namespace

std::string deck_part(const JobHead& head, const LaidOut& laid) {
  if (!laid.heights.has_deck()) return "";
  const Decks& decks = *laid.heights.decks();
  const DecksFitted& fitted = decks.fitted;
  if (fitted.by_bay) return "";
  const std::optional<DeckResult>& fit = fitted.fits.front();
  return deck_text(fitted.decks.front(), fit ? &*fit : nullptr,
                   {decks.measured.size(), fitted.at_marks_alone}, laid.heights.floor(), head.site_unit,
                   rise_words(head, laid.placed, fitted.decks.front()));
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

namespace {

/// Two marks by which a list, or a sheet, is told from an older one.
struct PairToCheck {
  CheckPair pair;
  std::optional<std::pair<std::uint32_t, Length>> before{};  ///< an issue, and how far apart they were in it
};

/// The listed marks whose distance changed most since the issue compared with; nothing where none did.
std::optional<PairToCheck> pair_that_changed(const LaidOut& laid, const std::vector<std::uint8_t>& listed,
                                             const Ledger& ledger, const IssueFound* found) {
  if (!found || found->shown_since == 0) return std::nullopt;
  const auto& places = laid.placed.marks;
  std::vector<MarkThen> then;
  for (std::size_t m = 0; m < laid.marks.size(); ++m) {
    const std::uint32_t entry = laid.numbers.join.entries[m];
    const std::uint32_t row = entry == kNone32 ? kNone32 : ledger.as_of(entry, found->shown_since);
    if (row == kNone32 || !ledger.columns().is_live(row) || (!listed.empty() && !listed[m])) continue;
    then.push_back({m, ledger.row(row).site.point()});
  }
  const auto changed = changed_pair(places, laid.numbers.issue.numbers, then);
  if (!changed) return std::nullopt;
  const Vec<Site> by = places[changed->to] - places[changed->from];
  const double exchange = (by.by.northing - by.by.easting).metres();
  return PairToCheck{{changed->from, changed->to, std::abs(exchange) > 0.01},
                     std::pair(found->shown_since, changed->before)};
}

}  // namespace

std::string sheet_check_lines(const LaidOut& laid, const OffsetsFound& offsets, const OffsetForm& form,
                              const Ledger& ledger, const IssueFound* found,
                              std::string_view offsets_sha256) {
  const auto& places = laid.placed.marks;
  std::vector<std::uint8_t> listed;
  std::size_t first = laid.marks.size();
  for (std::uint32_t m = 0; m < laid.marks.size(); ++m) {
    listed.push_back(offsets.stands(m) ? 0 : 1);
    if (listed[m] && (first == laid.marks.size() || laid.numbers.of(m) < laid.numbers.of(first))) first = m;
  }
  if (first == laid.marks.size()) return "";
  PairToCheck check{{first, first, false}};
  for (std::size_t m = 0; m < laid.marks.size(); ++m)
    if (listed[m] &&
        distance(places[first], places[m]) > distance(places[first], places[check.pair.to]) + kHair)
      check.pair.to = m;
  if (const auto changed = pair_that_changed(laid, listed, ledger, found)) check = *changed;
  std::optional<std::pair<std::uint32_t, std::string>> before;
  if (check.before) before.emplace(check.before->first, tape_words(check.before->second, form));
  return sheet_check_text(laid.numbers.of(check.pair.from), laid.numbers.of(check.pair.to),
                          tape_words(distance(places[check.pair.from], places[check.pair.to]), form), before,
                          sheet_digest(offsets_sha256));
}

std::string tape_check(const OffsetsFound& offsets, const OffsetForm& form,
                       const std::optional<Length>& permitted) {
  const FromMark *from = nullptr, *to = nullptr;
  if (offsets.strings) {
    const StringsFound& s = *offsets.strings;
    constexpr std::size_t kEnds[][2] = {{0, 1}, {0, 2}, {1, 2}};  // of the spans
    for (std::size_t i = 0; i < s.spans.size() && !from; ++i)
      if (s.spans[i] != SpanFrom::nothing) from = &s.marks[kEnds[i][0]], to = &s.marks[kEnds[i][1]];
  }
  if (!from && offsets.swing_from.size() == 2) from = &offsets.swing_from[0], to = &offsets.swing_from[1];
  if (!from) return "";
  const std::string text =
      fmt::format("{} to {} is {}", from->name, to->name, tape_words(distance(from->at, to->at), form));
  return permitted ? fmt::format("{}; more than {} off: stop and call", text, tape_words(*permitted, form))
                   : text;
}

std::size_t marks_of_sheet(const LaidOut& laid, const OffsetsFound& offsets) {
  return laid.marks.size() - (offsets.strings ? offsets.strings->stand.size() : 0);
}

std::string check_lines(const JobHead& head, const LaidOut& laid, const std::vector<std::string>& only,
                        const GroundFromGrid* grid, const Ledger& ledger, const IssueFound* found) {
  const auto& places = laid.placed.marks;
  std::vector<std::uint8_t> listed;
  if (!only.empty())
    for (std::size_t m = 0; m < laid.marks.size(); ++m)
      listed.push_back(is_listed(*laid.marks, only, m) ? 1 : 0);
  PairToCheck check = pair_that_changed(laid, listed, ledger, found)
                          .value_or(PairToCheck{check_pair(places, laid.numbers.issue.numbers, listed)});
  const auto& pair = check.pair;
  auto& before = check.before;
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
