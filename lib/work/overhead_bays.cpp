// Bays: what they state, their decks, and the bay of every mark.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "measure/decimal.h"
#include "report/words.h"
#include "work/overhead.h"
#include "work/shared_faults.h"

namespace deckmark {

namespace {

constexpr double kMostFlutes = 100000;

/// What is wrong with a corner, in words.
Fault outline_fault(const std::string& name, const OutlineFault& f) {
  using Kind = OutlineFault::Kind;
  const std::size_t c = f.corner + 1, other = f.other + 1;
  switch (f.kind) {
    case Kind::too_few:
      return {fmt::format("outline {} with {} corners", name, c), "three or more", ""};
    case Kind::too_many:
      return {fmt::format("outline {} with more than {} corners", name, kMostCorners),
              fmt::format("{} at most", kMostCorners), ""};
    case Kind::repeated:
      return {fmt::format("corner {} of {} in the place of corner {}", c, name, other),
              "each corner once, the first perhaps again at the end", ""};
    case Kind::folds_back:
      return {fmt::format("edges of {} that fold back on one another at corner {}", name, c),
              "an outline with room inside", ""};
    case Kind::crosses:
      return {fmt::format("the edge from corner {} of {}, which crosses that from corner {}", c, name, other),
              "an outline that does not cross itself; corners in order", ""};
    case Kind::touches:
      return {fmt::format("corner {} of {}, which touches the edge from corner {}", c, name, other),
              "an outline that does not touch itself", ""};
    case Kind::no_area:
      return {fmt::format("outline {} without area", name), "an outline with room inside", ""};
  }
  return {};
}

}  // namespace

std::vector<NamedOutline> gather_outlines(const std::vector<StatedCorner>& corners, const ReadTable& table,
                                          std::string_view field, Messages& messages) {
  std::vector<NamedOutline> out;
  std::map<std::string, std::size_t, std::less<>> by_name;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const auto [at, fresh] = by_name.emplace(corners[i].name, out.size());
    if (fresh) out.push_back({corners[i].name, i, {}, std::nullopt});
    out[at->second].rows.push_back(i);
  }
  for (NamedOutline& n : out) {
    std::vector<Point<Drawing>> places;
    for (const std::size_t row : n.rows) places.push_back(corners[row].at);
    auto made = Outline::make(places);
    if (auto* outline = std::get_if<Outline>(&made))
      n.outline = std::move(*outline);
    else {
      const OutlineFault& fault = std::get<OutlineFault>(made);
      const std::size_t row = n.rows[std::min(fault.corner, n.rows.size() - 1)];
      messages.problem(table.table->where(table.begins[row], 0), field, outline_fault(n.name, fault));
    }
  }
  return out;
}

void read_bays(const Job& job, OverheadFound& out, Messages& messages) {
  const OverheadJob& o = job.overhead;
  const auto where = [&](std::size_t row, std::size_t column) {
    return o.bays_table.table->where(o.bays_table.begins[row], column);
  };
  enum Column : std::size_t { elevation = 3, flutes = 4, pitch = 5 };
  for (const NamedOutline& n : gather_outlines(o.bays, o.bays_table, "bay", messages)) {
    std::optional<Elevation> level;
    std::optional<StatedFlutes> fluted;
    for (const std::size_t row : n.rows) {
      const StatedCorner& c = o.bays[row];
      if (c.elevation && level && *c.elevation != *level)
        messages.problem(where(row, elevation), "elevation",
                         Fault{fmt::format("another elevation of bay {}", n.name),
                               "one elevation for a bay, or shots that name it", ""});
      if (c.flutes && fluted &&
          (c.flutes->along_x != fluted->along_x || c.flutes->pitch != fluted->pitch ||
           c.flutes->first != fluted->first))
        messages.problem(where(row, flutes), "flutes",
                         Fault{fmt::format("other flutes of bay {}", n.name), "one statement for a bay", ""});
      if (c.elevation) level = c.elevation;
      if (c.flutes) fluted = c.flutes;
    }
    if (!n.outline) continue;
    if (fluted) {
      Length reach = Length::metres(0);
      for (const Point<Drawing>& p : n.outline->corners())
        reach = std::max(reach, distance(p, n.outline->corners()[0]));
      if (2.0 * reach / fluted->pitch > kMostFlutes)
        messages.problem(
            where(n.first_row, pitch), "flute_pitch",
            Fault{"a pitch far too small for its bay", "the distance from flute to flute", "200 mm"});
    }
    out.bays.names.push_back(n.name);
    out.bays.outlines.push_back(*n.outline);
    out.bays.first_row.push_back(n.first_row);
    out.bays.levels.push_back(level);
    out.bays.flutes.push_back(fluted);
  }
}

namespace {

/// Decks of the bays from their shots and elevations.
class BayDecks {
 public:
  BayDecks(const Job& job, Found& found, Messages& messages)
      : job_(job), bays_(found.overhead.bays), fit_(*found.placed.fit), messages_(messages) {}

  void fit() {
    std::vector<std::vector<std::size_t>> of_bay(bays_.names.size());
    for (std::size_t s = 0; s < job_.shots.size(); ++s) {
      const std::string& name = job_.shots[s].bay;
      const auto at = std::find_if(bays_.names.begin(), bays_.names.end(),
                                   [&](const std::string& n) { return same_name(n, name); });
      if (at != bays_.names.end())
        of_bay[static_cast<std::size_t>(at - bays_.names.begin())].push_back(s);
      else
        messages_.problem(
            job_.shots_table.table->where(job_.shots_table.begins[s], 6), "bay",
            Fault{name.empty() ? fmt::format("shot {} without a bay", job_.shots[s].name) : in_quotes(name),
                  "the bay on whose deck it stands", bays_.names.empty() ? "" : bays_.names[0]});
    }
    for (std::size_t b = 0; b < bays_.names.size(); ++b) fit_bay(b, of_bay[b]);
  }

 private:
  void fit_bay(std::size_t b, const std::vector<std::size_t>& shots) {
    const Where where =
        job_.overhead.bays_table.table->where(job_.overhead.bays_table.begins[bays_.first_row[b]], 0);
    const std::string& name = bays_.names[b];
    if (bays_.levels[b]) {
      if (!shots.empty())
        messages_.problem(
            where, "bay",
            Fault{fmt::format("bay {} with both an elevation and shots", name), "one of them", ""});
      bays_.decks.push_back(Deck::level(*bays_.levels[b]));
      bays_.fits.emplace_back();
      return;
    }
    std::vector<DeckShot> on_deck;
    for (const std::size_t s : shots) {
      const auto* on_site = std::get_if<Point<Site>>(&job_.shots[s].at);
      on_deck.push_back(
          {on_site ? *on_site : fit_.site_from_drawing(std::get<Point<Drawing>>(job_.shots[s].at)),
           job_.shots[s].elevation});
    }
    DeckResult result = fit_deck(on_deck, job_.deck);
    if (result.status != DeckStatus::fitted) {
      messages_.problem(where, "bay",
                        Fault{shots.empty() ? fmt::format("bay {} without elevation and without shots", name)
                                            : fmt::format("bay {} with {} shots, too few or on one line",
                                                          name, shots.size()),
                              "an elevation, or three or more shots that are not on one line", ""});
      return;
    }
    tell_deck(job_, result, shots, messages_);
    bays_.decks.push_back(*result.deck);
    bays_.fits.emplace_back(std::move(result));
  }

  const Job& job_;
  BaysFound& bays_;
  const FittedTransform& fit_;
  Messages& messages_;
};

void place_in_bays(const Job& job, Found& found, Messages& messages) {
  BaysFound& bays = found.overhead.bays;
  bays.of_mark.assign(job.marks.size(), 0);
  SharedFaults none, two;
  std::size_t asked = 0, outside = 0;
  for (std::size_t m = 0; m < job.marks.size(); ++m) {
    if (job.marks.is_reference(m)) continue;
    ++asked;
    const BayOf in = bay_of(job.marks.places[m], bays.outlines);
    if (in.bay && !in.another) {
      bays.of_mark[m] = static_cast<std::uint32_t>(*in.bay);
      continue;
    }
    if (in.bay) {
      two.take(place_statement(job, found.overhead, m), m);
      continue;
    }
    none.take(place_statement(job, found.overhead, m), m);
    ++outside;
  }
  const auto refuse = [&](const Where& where, std::string_view field, std::string what,
                          std::string_view cure) {
    messages.problem(where, field, Fault{std::move(what), "a place in one bay", std::string(cure)});
  };
  for (const SharedFaults::Fellows& f : two.all()) {
    const BayOf in = bay_of(job.marks.places[f.first], bays.outlines);
    refuse(f.at.where(job), f.at.field(),
           fmt::format("{} in two bays, {} and {}{}{}", job.marks.names[f.first], bays.names[*in.bay],
                       bays.names[*in.another],
                       bays.outlines[*in.bay].side_of(job.marks.places[f.first]) == Outline::Side::edge
                           ? ", on their edge"
                           : "",
                       f.count == 1 ? "" : fmt::format("; {} points of this row in all", f.count)),
           "corners that leave it to one of them");
  }
  // Where no bay reaches any point, the bays are elsewhere: one fault, of the unit or the axes of their
  // table.
  if (outside > 1 && outside == asked) {
    refuse(job.keys.find("deck")->second, "deck.bays",
           fmt::format("{} points, all of them in no bay, {} the first", outside,
                       job.marks.names[none.all()[0].first]),
           "the unit of the bays table, and its x and y");
    return;
  }
  for (const SharedFaults::Fellows& f : none.all())
    refuse(f.at.where(job), f.at.field(), fellows_words(job, f, "points") + " in no bay",
           "corners that reach round it");
}

/// Over flutes what is fastened has to meet a fastening line. Points of the drawing and supports of trapezes
/// are held against the lines here; hangers along runs were when they were placed, or their run was told.
class OnLines {
 public:
  OnLines(const Job& job, const Found& found, Messages& messages)
      : job_(job), found_(found), o_(found.overhead), messages_(messages) {}

  void hold() {
    if (std::none_of(o_.bays.flutes.begin(), o_.bays.flutes.end(),
                     [](const auto& f) { return f.has_value(); }))
      return;
    for (std::size_t m = 0; m < job_.marks.size(); ++m)
      if (const auto& flutes = o_.bays.flutes[o_.bays.of_mark[m]];
          flutes && has_deck_point(job_, found_, m) && !is_told(m))
        hold(m, *flutes);
  }

 private:
  /// Whether its run is told already: it breaks a rule, or goes along the flutes.
  bool is_told(std::size_t m) const {
    if (m < o_.drawn || m >= o_.supports) return false;
    const RunFound& run = o_.runs[o_.from_run[m - o_.drawn]];
    return !run.spacing.solved || run.along_flutes;
  }
  void hold(std::size_t m, const StatedFlutes& f) {
    constexpr Length kOnLine = Length::millimetres(5);  // within the flute (common practice, no source)
    const Point<Drawing>& p = job_.marks.places[m];
    const Length at = f.along_x ? p.at.y : p.at.x;
    const Length line = f.first + std::round((at - f.first) / f.pitch) * f.pitch;
    if (abs(at - line) <= kOnLine + kHair) return;
    messages_.doubt(
        m >= o_.supports ? "supports between flutes" : "points between flutes", mark_where(job_, o_, m, 0),
        mark_field(job_, o_, m, 0),
        fmt::format("{} is {} from the nearest fastening line of bay {}, {} {}", job_.marks.names[m],
                    length_words(abs(at - line), job_.drawing_unit), o_.bays.names[o_.bays.of_mark[m]],
                    f.along_x ? "y" : "x", length_words(line, job_.drawing_unit)));
  }

  const Job& job_;
  const Found& found_;
  const OverheadFound& o_;
  Messages& messages_;
};

}  // namespace

void lift_bays(const Job& job, Found& found, Messages& messages) {
  BaysFound& bays = found.overhead.bays;
  BayDecks(job, found, messages).fit();
  if (messages.has_problems() || bays.decks.empty()) return;
  found.deck = bays.decks.front();
  place_in_bays(job, found, messages);
  if (!messages.has_problems()) OnLines(job, found, messages).hold();
  for (const BayJoint& j : neighbours(bays.outlines)) {
    const Point<Site> at = found.placed.fit->site_from_drawing(j.edge.middle);
    bays.steps.push_back(
        {j.first, j.second, bays.decks[j.second].elevation_at(at) - bays.decks[j.first].elevation_at(at)});
  }
}

}  // namespace deckmark
