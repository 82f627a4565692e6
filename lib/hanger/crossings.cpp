#include "hanger/crossings.h"

#include <algorithm>
#include <cmath>

#include "measure/verdict.h"
#include "plane/plane_vector.h"

namespace deckmark {

namespace {

std::optional<AtEnd> end_at(const Path& run, Length along) {
  if (run.is_closed()) return std::nullopt;
  if (along <= kRunJoin) return AtEnd::start;
  if (run.length() - along <= kRunJoin) return AtEnd::finish;
  return std::nullopt;
}

const std::optional<RunEnd>& stated(const RunCourse& run, AtEnd end) {
  return end == AtEnd::start ? run.start : run.finish;
}
bool joins_nothing(const RunCourse& run, const std::optional<AtEnd>& end) {
  return end && stated(run, *end).value_or(RunEnd::joined) != RunEnd::joined;
}
RunEnd& end_of(RunEnds& ends, AtEnd end) { return end == AtEnd::start ? ends.start : ends.finish; }

std::size_t through_of(std::span<const RunCourse> runs, const Crossing& c) {
  if (c.first_end) return c.second;
  if (c.second_end) return c.first;
  const auto& by = runs[c.first].cut_by;
  return std::find(by.begin(), by.end(), c.second) != by.end() ? c.second : c.first;
}

class Finder {
 public:
  explicit Finder(std::span<const RunCourse> runs) : runs_(runs) { out_.ends.resize(runs.size()); }
  CrossingsResult find() && {
    std::vector<PlanBox> boxes;
    for (const RunCourse& r : runs_) boxes.push_back(box_of(r.path));
    for (std::size_t i = 0; i < runs_.size(); ++i)
      for (std::size_t j = i + 1; j < runs_.size(); ++j)
        if (!are_apart(boxes[i], boxes[j], kRunJoin) && are_level(runs_[i], runs_[j])) meet(i, j);
    drop_corners_on_others();
    find_crowded();
    join_ends();
    return std::move(out_);
  }

 private:
  void meet(std::size_t i, std::size_t j) {
    const Path &a = runs_[i].path, &b = runs_[j].path;
    const Meetings met = meetings(a, b, kRunJoin);
    if (met.overlap) out_.overlaps.emplace_back(i, j);
    for (const Meeting& m : met.places) {
      Crossing c{i, j, m.at, m.along_first, m.along_second, Angle::degrees(0), {}, {}, {}, {}};
      c.first_end = end_at(a, m.along_first), c.second_end = end_at(b, m.along_second);
      if (joins_nothing(runs_[i], c.first_end) || joins_nothing(runs_[j], c.second_end)) continue;
      if (c.is_corner()) {
        c.angle = angle_between(leaving(a, *c.first_end), leaving(b, *c.second_end));
        c.mitre = 0.5 * c.angle;
      } else {
        const Angle angle = angle_between(a.direction_at(m.along_first), b.direction_at(m.along_second));
        c.angle = std::min(angle, Angle::degrees(180) - angle);
        c.through = through_of(runs_, c);
      }
      out_.places.push_back(c);
    }
  }

  /// Ends that lie in a place of their own: run and end of every meeting.
  template <class F>
  static void each_end(const Crossing& c, F f) {
    if (c.first_end) f(std::pair(c.first, *c.first_end));
    if (c.second_end) f(std::pair(c.second, *c.second_end));
  }

  void drop_corners_on_others() {
    std::vector<std::pair<std::size_t, AtEnd>> on_others;
    for (const Crossing& c : out_.places)
      if (c.is_tee()) each_end(c, [&](const auto& e) { on_others.push_back(e); });
    std::sort(on_others.begin(), on_others.end());
    std::erase_if(out_.places, [&](const Crossing& c) {
      bool is_on_other = false;
      each_end(c, [&](const auto& e) {
        is_on_other = is_on_other || std::binary_search(on_others.begin(), on_others.end(), e);
      });
      return c.is_corner() && is_on_other;
    });
  }

  /// An end that stands in two corners meets two others.
  void find_crowded() {
    std::vector<std::pair<std::size_t, AtEnd>> ends;
    for (const Crossing& c : out_.places)
      if (c.is_corner()) each_end(c, [&](const auto& e) { ends.push_back(e); });
    std::sort(ends.begin(), ends.end());
    for (std::size_t i = 0; i < out_.places.size(); ++i) {
      Crossing& c = out_.places[i];
      if (!c.is_corner()) continue;
      each_end(c, [&](const auto& e) {
        const auto [from, to] = std::equal_range(ends.begin(), ends.end(), e);
        c.is_crowded = c.is_crowded || to - from > 1;
      });
      const bool is_told = std::any_of(out_.crowded.begin(), out_.crowded.end(), [&](std::size_t k) {
        return distance(out_.places[k].at, c.at) <= 4.0 * kRunJoin;
      });
      if (c.is_crowded && !is_told) out_.crowded.push_back(i);
    }
  }

  void join_ends() {
    for (const Crossing& c : out_.places)
      each_end(c, [&](const auto& e) { end_of(out_.ends[e.first], e.second) = RunEnd::joined; });
    for (std::size_t r = 0; r < runs_.size(); ++r)
      for (const AtEnd end : {AtEnd::start, AtEnd::finish}) {
        RunEnd& is = end_of(out_.ends[r], end);
        if (is == RunEnd::joined || runs_[r].path.is_closed()) continue;
        const RunEnd says = stated(runs_[r], end).value_or(RunEnd::free);
        if (says == RunEnd::joined) out_.unmet.emplace_back(r, end);
        is = says == RunEnd::wall ? RunEnd::wall : RunEnd::free;
      }
  }

  std::span<const RunCourse> runs_;
  CrossingsResult out_;
};

}  // namespace

bool are_level(const RunCourse& a, const RunCourse& b) {
  return !a.height || !b.height || abs(*a.height - *b.height) <= kRunJoin + kHair;
}

Angle angle_between(const Vec<Drawing>& a, const Vec<Drawing>& b) {
  using namespace plane_detail;
  return Angle::radians(std::atan2(std::abs(cross(of(a), of(b))), dot(of(a), of(b))));
}

Vec<Drawing> leaving(const Path& run, AtEnd end) {
  if (end == AtEnd::start) return run.direction_at(Length::metres(0));
  const Vec<Drawing> way = run.direction_at(run.length());
  return {{.x = -way.by.x, .y = -way.by.y}};
}

CrossingsResult find_crossings(std::span<const RunCourse> runs) { return Finder(runs).find(); }

}  // namespace deckmark
