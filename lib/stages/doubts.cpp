// What a careful person would look at in the drawing.
#include "stages/doubts.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "measure/extent.h"
#include "measure/letters.h"
#include "measure/side_by_side.h"
#include "report/words.h"

namespace deckmark {

namespace {

constexpr std::size_t kPointsForThread = 20000;
constexpr Length kTooClose =
    Length::millimetres(25);  // two marks that one chalk cross covers (common practice, no source)
constexpr double kGrowth =
    1.2;  // of the ellipse beyond the ties, from where it is told (common practice, no source)

/// The first and last points of a run, in the order of the drawing.
struct RunEnds {
  std::uint32_t first = kNone32, last = kNone32;  ///< of any kind
  std::uint32_t first_hanger = kNone32, last_hanger = kNone32;
};

/// Spacing, and where reference points stand at the ends of a run, the distance to them.
class AlongRuns {
 public:
  AlongRuns(const DrawingDoubts& stated, const JobMarks& marks, const ShapeFound* shape, Messages& messages)
      : stated_(stated),
        marks_(marks),
        shape_(shape),
        messages_(messages),
        ends_(marks->runs.words().size()),
        drawn_(static_cast<std::uint32_t>(marks.drawn)) {}  // what was generated keeps its rules, or was told

  void look() {
    for (std::uint32_t m = 0; m < drawn_; ++m) {
      const std::uint32_t run = marks_->runs.number(m);
      if (run != 0) take(ends_[run], m);
    }
    if (!stated_.end_distance || drawn_ == 0) return;
    bool has_runs = false, has_ends = false;
    for (const RunEnds& e : ends_) {
      if (e.first_hanger == kNone32) continue;
      has_runs = true;
      if (e.first != e.first_hanger) has_ends = true, end(e.first, e.first_hanger);
      if (e.last != e.last_hanger) has_ends = true, end(e.last, e.last_hanger);
    }
    if (has_runs && !has_ends && stated_.runs.empty())
      messages_.notice("ends of runs", stated_.job, "hangers.end_distance",
                       "not checked: no point shows where a run ends; key the ends as reference points of "
                       "the run, before and behind its hangers");
  }

 private:
  void take(RunEnds& e, std::uint32_t m) {
    if (e.first == kNone32) e.first = m;
    e.last = m;
    if (marks_->is_reference(m)) return;  // it has no spacing rule
    if (e.first_hanger == kNone32)
      e.first_hanger = m;
    else
      space(e.last_hanger, m);
    e.last_hanger = m;
  }
  void space(std::uint32_t before, std::uint32_t m) {
    if (!stated_.max_spacing) return;
    const Length space = distance(marks_->places[before], marks_->places[m]);
    if (space > *stated_.max_spacing + kHair && !is_told(before) && !is_told(m))
      tell("spacing along a run", m,
           fmt::format("{} to {} on run {}: {}, wider than max_spacing {}", name(before), name(m),
                       marks_->runs[m], words(space), words(*stated_.max_spacing)));
  }
  void end(std::uint32_t at, std::uint32_t hanger) {
    const Length space = distance(marks_->places[at], marks_->places[hanger]), most = *stated_.end_distance;
    if (space > most + kHair && !is_told(hanger))
      tell("end distance along a run", hanger,
           fmt::format("{} on run {} stands {} from the end at {}, further than end_distance {}",
                       name(hanger), marks_->runs[hanger], words(space), name(at), words(most)));
  }
  void tell(std::string_view what, std::uint32_t m, const std::string& text) {
    messages_.doubt(what, marks_.where(m), marks_.field(m), text);
  }
  bool is_told(std::uint32_t m) const { return shape_ && shape_->tells(m); }
  std::string_view name(std::uint32_t m) const { return marks_->names[m]; }
  std::string words(Length l) const { return length_words(l, stated_.drawing_unit); }

  const DrawingDoubts& stated_;
  const JobMarks& marks_;
  const ShapeFound* shape_;
  Messages& messages_;
  std::vector<RunEnds> ends_;  // by the number of the run's word
  std::uint32_t drawn_;
};

/// Reference points may stand on hangers: that is what they refer to.
bool is_too_close(const MarkTable& marks, const NearPair& p) {
  return !marks.is_reference(p.first) && !marks.is_reference(p.later);
}

constexpr std::string_view kNear = "points closer than 25 mm";

/// Pairs of near points, told as what they are likely to be: points keyed twice, or what the program placed
/// itself.
class NearPoints {
 public:
  NearPoints(const JobMarks& marks, const std::vector<StatedRun>& runs, LengthUnit unit,
             const ShapeFound* shape, Messages& messages)
      : marks_(marks), runs_(runs), unit_(unit), shape_(shape), messages_(messages) {}

  void look(const std::vector<NearPair>& pairs) {
    for (const NearPair& p : pairs) {
      if (!is_too_close(*marks_, p)) continue;
      if (shape_ && (shape_->tells(p.first) || shape_->tells(p.later))) continue;
      const auto one = run_of(p.first), other = run_of(p.later);
      if (one && other)
        take(p, std::minmax(*one, *other));
      else
        tell(p, is_drawn(p.later) ? "is it keyed twice?"
                : marks_.is_support(p.first) || marks_.is_support(p.later)
                    ? "a support of a trapeze: may one hanger do for both?"
                    : "is the point keyed beside its run?");
    }
    for (const Meeting& m : meetings_) {
      const std::string &one = runs_[m.runs.first].name, &other = runs_[m.runs.second].name;
      const std::string more = m.count == 1 ? "" : fmt::format(" ({} pairs of hangers)", m.count);
      tell(m.first, m.runs.first == m.runs.second
                        ? fmt::format("does run {} meet itself{}?", one, more)
                        : fmt::format("runs {} and {} meet or overlap{}: may one hanger do for both?", one,
                                      other, more));
    }
    if (more_ > 0) messages_.more_doubts(kNear, more_);
  }

 private:
  /// Two runs that come near one another, once, however many of their hangers do.
  struct Meeting {
    std::pair<std::uint32_t, std::uint32_t> runs;
    NearPair first;
    std::size_t count;
  };

  bool is_drawn(std::uint32_t m) const { return m < marks_.drawn; }
  /// The run that a hanger was generated along.
  std::optional<std::uint32_t> run_of(std::uint32_t m) const {
    return is_drawn(m) || marks_.is_support(m) ? std::nullopt
                                               : std::optional(marks_.from_run[m - marks_.drawn]);
  }
  void take(const NearPair& p, std::pair<std::uint32_t, std::uint32_t> runs) {
    const auto [at, fresh] = meeting_of_.emplace(runs, meetings_.size());
    if (fresh) meetings_.push_back({runs, p, 0});
    ++meetings_[at->second].count;
  }
  void tell(const NearPair& p, std::string_view question) {
    if (told_++ >= Messages::kDoubtsKept) {
      ++more_;
      return;
    }
    const Length apart = distance(marks_->places[p.first], marks_->places[p.later]);
    messages_.doubt(
        kNear, marks_.where(p.later), marks_.field(p.later),
        fmt::format(
            "{} {} {}; closer than 25 mm (common practice, no source): {}", marks_->names[p.later],
            apart <= kHair ? std::string("lies on") : fmt::format("lies {} from", length_words(apart, unit_)),
            marks_->names[p.first], question));
  }

  const JobMarks& marks_;
  const std::vector<StatedRun>& runs_;
  LengthUnit unit_;  // of words
  const ShapeFound* shape_;
  Messages& messages_;
  std::map<std::pair<std::uint32_t, std::uint32_t>, std::size_t> meeting_of_;
  std::vector<Meeting> meetings_;
  std::size_t told_ = 0, more_ = 0;
};

void look_beyond_ties(const DrawingDoubts& stated, const MarkTable& marks, const FittedTransform& fit,
                      Messages& messages) {
  const auto drawing_from_site = fit.site_from_drawing.inverse();
  Extent<Drawing> ties;
  for (const NamedTie& t : stated.ties) ties.take(drawing_from_site(t.tie.at));
  std::size_t outside = 0, farthest = 0;
  Length most = Length::metres(0);
  for (std::size_t m = 0; m < marks.size(); ++m) {
    const Length by = ties.beyond(marks.places[m]);
    if (by <= kHair) continue;
    ++outside;
    if (by > most) most = by, farthest = m;
  }
  if (outside == 0) return;
  const auto reach = [&](const Point<Drawing>& p) { return kEllipse95 * semi_major(fit.covariance_at(p)); };
  Length within = Length::metres(0);  // an ellipse within the ties is nowhere larger than at a corner
  for (const Length x : {ties.least().at.x, ties.most().at.x})
    for (const Length y : {ties.least().at.y, ties.most().at.y})
      within = std::max(within, reach({{.x = x, .y = y}}));
  const Length there = reach(marks.places[farthest]);
  if (there < kGrowth * within) return;
  const auto words = [&](Length l) { return length_words(l, stated.site_unit); };
  messages.doubt("points beyond the ties", stated.ties_table.table->whole(), "baselines",
                 fmt::format("{} point{} outside the extent of the ties, {} the farthest, by {}: the 95 % "
                             "ellipse grows to {} there, at most {} among the ties; find a tie out there",
                             outside, outside == 1 ? " lies" : "s lie", marks.names[farthest], words(most),
                             words(there), words(within)));
}

/// A kind that is not known but spelled nearly so: the point is treated as a hanger.
void look_at_kinds(const JobMarks& marks, Messages& messages) {
  const Words& words = marks->kinds.words();
  for (std::uint32_t w = 1; w < words.size(); ++w) {
    const std::string_view stated = words[w];
    if (stated == kHangerKind || stated == kReferenceKind) continue;
    const auto near =
        nearest_word(small_letters(stated), {std::string(kHangerKind), std::string(kReferenceKind)});
    if (!near) continue;
    std::size_t count = 0, first = 0;
    for (std::size_t m = 0; m < marks.size(); ++m)
      if (marks->kinds.number(m) == w && count++ == 0) first = m;
    messages.doubt("a kind spelled nearly like a known one", marks.where(first, MarkCell::kind),
                   marks.field(first, MarkCell::kind),
                   fmt::format("{} of {} point{} is no known kind and counts as a hanger; if {} is meant, "
                               "write it so, in small letters",
                               in_quotes(stated), count, count == 1 ? "" : "s", *near));
  }
}

}  // namespace

std::future<std::vector<NearPair>> begin_near_pairs(std::shared_ptr<const MarkTable> marks) {
  const bool is_long = marks->size() >= kPointsForThread;
  const auto search = [marks = std::move(marks)] { return near_pairs(marks->places, kTooClose); };
  return is_long ? begin_beside(search) : std::async(std::launch::deferred, search);
}

Messages look_at_drawing(const DrawingDoubts& stated, const JobMarks& marks, const Placed* placed,
                         std::future<std::vector<NearPair>> near, const ShapeFound* shape) {
  Messages messages;
  if (shape) messages.merge(tell_shape(*shape, marks, stated.runs, stated.drawing_unit));
  if (stated.max_spacing || stated.end_distance) AlongRuns(stated, marks, shape, messages).look();
  look_at_kinds(marks, messages);
  if (placed && placed->baseline && !placed->is_lost())
    look_beyond_ties(stated, *marks, placed->fit, messages);
  NearPoints(marks, stated.runs, stated.site_unit, shape, messages).look(near.get());
  return messages;
}

}  // namespace deckmark
