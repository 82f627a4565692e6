#include <fmt/format.h>

#include <algorithm>
#include <thread>

#include "report/words.h"
#include "work/stages.h"

namespace deckmark {

namespace {

constexpr std::size_t kPointsForThreads = 100000;

/// Maps all points; a long drawing on two threads.
BigVector<Point<Site>> map_all(const Transform<Site, Drawing>& map, const BigVector<Point<Drawing>>& places) {
  BigVector<Point<Site>> out(places.size(),
                             Point<Site>{{.northing = Length::metres(0), .easting = Length::metres(0)}});
  const auto part = [&](std::size_t from, std::size_t to) {
    for (std::size_t i = from; i < to; ++i) out[i] = map(places[i]);
  };
  if (places.size() < kPointsForThreads) {
    part(0, places.size());
  } else {
    std::thread helper([&] { part(places.size() / 2, places.size()); });
    part(0, places.size() / 2);
    helper.join();
  }
  return out;
}

std::int64_t highest_deck(const Job& job) {
  return *std::max_element(job.ledger.numbers.begin(), job.ledger.numbers.end()) + job.numbers.deck_offset;
}

/// The ties with all that their sds hold: those of their shots lie along the site's axes, and are turned by
/// the signed fit, or by one that takes them as round.
std::vector<Tie> ties_of(const Job& job) {
  std::vector<Tie> ties;
  ties.reserve(job.ties.size());
  for (const NamedTie& t : job.ties) ties.push_back(t.tie);
  const bool round = std::ranges::all_of(
      ties, [](const Tie& t) { return abs(t.shot_sd_northing - t.shot_sd_easting) <= kHair; });
  if (round) return with_shot_sds(ties);
  if (job.checks.signed_fit) return with_shot_sds(ties, job.checks.signed_fit->azimuth_x);
  const BaselineResult first = fit_baselines(with_shot_sds(ties), job.baseline, {});
  if (!first.fit) return with_shot_sds(ties);  // refused whatever their sds
  return with_shot_sds(ties, first.fit->site_from_drawing.parts().azimuth_x);
}

void tell_doubts(const Job& job, const BaselineResult& result, Messages& messages) {
  const std::string& file = job.ties_table.table->source()->name();
  for (const Doubt& d : result.doubts) {
    const BaselineNames names{[&](std::size_t tie) { return std::string_view(job.ties[tie].name); },
                              [&](std::size_t mark) { return job.marks.names[mark]; }};
    messages.doubt(fmt::format("baselines {}", static_cast<int>(d.kind)), Where::whole(file), "baselines",
                   doubt_text(d, result, names));
  }
}

/// What a job without a drawing states all the same that cannot be without one; empty where nothing is.
std::string_view needs_a_drawing(const Job& job) {
  if (job.states_ties) return "[baselines]";
  if (job.checks.lengths_table.table || job.checks.dimensions_table.table) return "lengths or dimensions";
  if (job.has_deck) return "[deck]";
  if (job.deck_marks_table.table) return "[plumb]";
  if (job.asbuilt.table) return "[asbuilt]";
  if (job.offsets.wanted) return "[offsets]";
  if (job.ledger.size() > 0) return "a ledger of numbers";
  return "";
}

}  // namespace

SitePlace site_place(const Job& job) {
  if (!job.has_drawing) return SitePlace::no_drawing;
  if (job.states_ties) return SitePlace::by_fit;
  if (job.frame_is_site) return SitePlace::as_stated;
  return job.control_table.table || !job.instrument.setups.empty() ? SitePlace::unknown : SitePlace::as_drawn;
}

void look_at_site_place(const Job& job, Need need, Messages& messages) {
  const SitePlace place = site_place(job);
  if (place == SitePlace::no_drawing && need != Need::measured) {
    const bool measured = job.ground.ground || !job.instrument.setups.empty();
    const std::string_view needs = needs_a_drawing(job);
    if (need == Need::lists && measured && needs.empty()) return;
    messages.problem(Where::whole(job.file), "drawing.points",
                     Fault{needs.empty() || !measured ? "no table of points"
                                                      : fmt::format("no table of points beside {}", needs),
                           "the path of the drawing's points", "points = \"drawing.csv\" under [drawing]"});
  }
  if (place == SitePlace::unknown && (need == Need::marks || need == Need::lists)) {
    const bool setups = !job.instrument.setups.empty();
    const std::string_view what = !setups ? "control" : job.control.empty() ? "setups" : "control and setups";
    messages.problem(
        Where::whole(job.file), "baselines.ties",
        Fault{
            fmt::format("{} but no ties: nothing says where the drawing lies on site", what),
            fmt::format(
                "ties = \"ties.csv\" under [baselines]: points found on site whose drawing X or Y is known{}",
                setups ? " (deckmark setup gives what was sighted)" : ""),
            job.mirrored ? "" : "frame = \"site\" under [drawing] where x is easting and y is northing"});
  }
  if (place == SitePlace::as_stated)
    messages.notice("the drawing is in site coordinates", job.keys.find("drawing.frame")->second,
                    "drawing.frame",
                    "x is taken for easting and y for northing, as this key says; no ties check it");
}

void place(const Job& job, Found& found, Messages& messages) {
  Placed& placed = found.placed;
  const std::vector<Tie> ties = ties_of(job);
  if (job.checks.signed_fit) {
    place_signed(job, ties, found, messages);
  } else if (!job.ties_table.table) {
    placed.fit = FittedTransform{drawing_is_site(job.mirrored), {}};
  } else {
    placed.baseline = fit_baselines(ties, job.baseline, job.marks.places);
    if (placed.baseline->status != FitStatus::solved) {
      messages.problem(job.ties_table.table->whole(), "file", refusal(*placed.baseline));
      return;
    }
    placed.fit = placed.baseline->fit;
    placed.square = squareness(ties, *placed.baseline, job.marks.places, job.square);
    tell_doubts(job, *placed.baseline, messages);
    found.checks.wrong = doubt_ties(job, *placed.baseline, ties, messages);
  }
  check_lengths(job, found, messages);
  placed.marks = map_all(placed.fit->site_from_drawing, job.marks.places);
}

void number_marks(const Job& job, Found& found, Messages& messages) {
  found.join = join_ledger(job.marks, *job.mark_index, job.ledger);
  const auto clash = [&](std::size_t column, std::string_view field, const auto& pairs, const auto& what) {
    for (const auto& [first, later] : pairs) {
      const Table& table = *job.ledger_table.table;
      const auto line = table.source()->places({job.ledger.begins[first]})[0].line;
      messages.problem(table.where(job.ledger.begins[later], column), field,
                       Fault{fmt::format("{} again, first on line {}", what(later), line),
                             "each name and each number once", ""});
      if (messages.problems() > Messages::kProblemsKept) return;
    }
  };
  clash(0, "point", found.join.same_names,
        [&](std::uint32_t e) { return "name " + in_quotes(job.ledger.names[e]); });
  clash(1, "number", found.join.same_numbers,
        [&](std::uint32_t e) { return fmt::format("number {}", job.ledger.numbers[e]); });
  if (messages.has_problems()) return;

  found.issue =
      issue_numbers(job.marks, found.placed.marks, job.ledger, found.join, job.numbers, job.has_deck);
  const IssueResult& issue = found.issue;
  const Where offset = job.keys.find("numbers.deck_offset")->second;
  switch (issue.status) {
    case IssueStatus::issued:
      if (job.has_deck && job.ledger.deck_offset && *job.ledger.deck_offset != job.numbers.deck_offset)
        messages.doubt(
            "another deck_offset", offset, "numbers.deck_offset",
            fmt::format(
                "deck numbers change: {} has {}, under which its numbers meet, so that none can have been "
                "issued; if marks on the deck do carry numbers, that file was changed by hand: put it back",
                job.ledger_file, *job.ledger.deck_offset));
      return;
    case IssueStatus::offset_changed:
      messages.problem(offset, "numbers.deck_offset",
                       Fault{fmt::format("{}", job.numbers.deck_offset),
                             fmt::format("{}, under which the numbers were issued (see {})",
                                         *job.ledger.deck_offset, job.ledger_file),
                             fmt::format("deck_offset = {}", *job.ledger.deck_offset)});
      return;
    case IssueStatus::numbers_meet: {
      messages.problem(
          offset, "numbers.deck_offset",
          Fault{fmt::format("{}, which makes {} the deck number of {} though it is in use",
                            job.numbers.deck_offset, issue.met_number, issue.met_floor),
                job.ledger.deck_offset == job.numbers.deck_offset && !issue.offset_bound
                    ? fmt::format("{} as the last run left it, where marks on the deck carry numbers "
                                  "already; else another offset, at least {}",
                                  job.ledger_file, issue.smallest_offset)
                    : fmt::format(
                          "an offset that keeps floor and deck numbers apart; {} is the smallest that works",
                          issue.smallest_offset),
                issue.offset_bound
                    ? fmt::format("start = {} under [numbers]: new points then begin above every deck number",
                                  highest_deck(job) + 1)
                    : fmt::format("deck_offset = {}", issue.roomy_offset)});
      return;
    }
    case IssueStatus::out_of_numbers:
      messages.problem(offset, "numbers",
                       Fault{fmt::format("a number above {}", kMostNumber),
                             fmt::format("numbers from {} to {}", kLeastNumber, kMostNumber),
                             "a smaller start, step or deck_offset"});
      return;
  }
}

}  // namespace deckmark
