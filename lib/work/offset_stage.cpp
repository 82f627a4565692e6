#include <fmt/format.h>

#include <algorithm>

#include "baseline/offsets.h"
#include "report/offset_text.h"
#include "report/words.h"
#include "work/along_runs.h"
#include "work/output_tables.h"

namespace deckmark {

namespace {

constexpr int kAngleDecimals = 2;  // of degrees

/// A tie as found, else a drawing point, else control.
std::optional<FromMark> from_mark(const Job& job, const Found& found, const std::string& name) {
  for (const NamedTie& t : job.ties)
    if (same_name(t.name, name)) return FromMark{t.name, t.tie.at};
  if (const auto m = job.mark_index->find(name))
    return FromMark{std::string(job.marks.names[*m]), found.placed.marks[*m]};
  for (const ControlPoint& c : job.control)
    if (same_name(c.name, name)) return FromMark{c.name, c.at};
  return std::nullopt;
}

std::string_view side_word(Side side) {
  return side == Side::left ? "left" : side == Side::right ? "right" : "on line";
}

std::optional<SwingTie> tie_of(const Found& found, std::size_t mark) {
  if (found.swing_from.empty()) return std::nullopt;
  return swing_tie(found.swing_from[0].at, found.swing_from[1].at, found.placed.marks[mark]);
}

/// Text of the sheet's own making is never marked; names that a spreadsheet would compute are.
std::string guarded(std::string_view name) {
  return is_formula_like(name) ? "'" + std::string(name) : std::string(name);
}

/// The drawing's marks by run, runs in the order of their first point, those without a run last.
std::vector<std::vector<std::uint32_t>> by_run(const Job& job) {
  std::vector<std::vector<std::uint32_t>> out;
  std::vector<std::uint32_t> alone;
  std::vector<std::size_t> place(job.marks.runs.words().size(), SIZE_MAX);
  for (std::uint32_t m = 0; m < job.marks.size(); ++m) {
    const std::uint32_t run = job.marks.runs.number(m);
    if (run == 0) {
      alone.push_back(m);
      continue;
    }
    if (place[run] == SIZE_MAX) {
      place[run] = out.size();
      out.emplace_back();
    }
    out[place[run]].push_back(m);
  }
  if (!alone.empty()) out.push_back(std::move(alone));
  return out;
}

/// The marks of the swing ties, and where each lies from the baselines as found.
std::vector<SheetFrom> places_of(const Found& found) {
  const Transform<Drawing, Site> drawing_from_site = found.placed.fit->site_from_drawing.inverse();
  std::vector<SheetFrom> out;
  for (const FromMark& f : found.swing_from) out.push_back({f.name, drawing_from_site(f.at)});
  return out;
}

/// How far off a baseline a mark may be found and still be a mark of it: what is permitted of its tie.
Length permitted_off(const Job& job, const std::string& name) {
  for (const NamedTie& t : job.ties)
    if (same_name(t.name, name)) return t.tie.tolerance;
  return Length::metres(0);
}

/// Along which axis one looks, and on which hand the other lies.
SheetStand stand_of(const Job& job, const std::vector<SheetFrom>& from) {
  const bool is_left = !job.mirrored;  // +Y is left of +X seen from above, right of it on a mirrored drawing
  const SheetStand nowhere{false, "+X", "+Y", is_left};
  if (from.empty()) return nowhere;
  constexpr Length kMost = Length::millimetres(5);  // whatever is permitted (common practice, no source)
  const auto is_near = [&](const SheetFrom& f, Length off) {
    return as_written(off, job.offsets.options.form) == Length::metres(0) ||
           abs(off) <= std::min(permitted_off(job, f.name), kMost);
  };
  const Vec<Drawing> way = from[1].at - from[0].at;
  if (abs(way.by.x) <= kMost && abs(way.by.y) <= kMost) return nowhere;
  if (is_near(from[0], from[0].at.at.y) && is_near(from[1], from[1].at.at.y)) {
    const bool on = way.by.x > Length::metres(0);
    return {true, on ? "+X" : "-X", "+Y", is_left == on};
  }
  if (is_near(from[0], from[0].at.at.x) && is_near(from[1], from[1].at.at.x)) {
    const bool on = way.by.y > Length::metres(0);
    return {true, on ? "+Y" : "-Y", "+X", is_left != on};
  }
  return nowhere;
}

/// A freed scale that shows on the tape somewhere in the drawing.
bool shows_scale(const Job& job, const Found& found) {
  const double scale = found.placed.fit->site_from_drawing.parts().scale;
  const auto corners = extent_corners(job.marks.places);
  return std::abs(scale - 1) * norm(corners[2] - corners[0]).metres() >
         0.5 * offset_step(job.offsets.options.form).metres();
}

std::string baselines_words(const Job& job) {
  const auto held = [](std::string_view word) {
    return word == "both" ? std::string("neither") : word == "x" ? std::string("X") : std::string("Y");
  };
  if (job.checks.signed_fit)
    return fmt::format("baselines signed (held: {})", held(job.checks.signed_fit->held));
  if (!job.ties_table.table) return "no baselines found";
  const Hold h = job.baseline.hold;
  return fmt::format("baselines not signed (held: {})", held(h == Hold::both ? "both"
                                                             : h == Hold::x  ? "x"
                                                                             : "y"));
}

/// Makes the blocks, and watches what rounding does.
class SheetMaker {
 public:
  SheetMaker(const Job& job, const Found& found)
      : job_(job), found_(found), form_(job.offsets.options.form), along_(along_runs(job, found)) {}

  std::vector<SheetBlock> blocks() {
    auto runs = by_run(job_);
    for (auto& marks : runs) sort_along(marks, along_);
    std::vector<SheetBlock> out;
    for (std::size_t r = 0; r < runs.size(); ++r) {
      out.push_back(block(runs[r]));
      // The diagonal goes to the far end of the run beside it.
      if (runs.size() < 2) continue;
      const auto& other = runs[r + 1 < runs.size() ? r + 1 : r - 1];
      const std::uint32_t from = runs[r].front();
      const auto reach = [&](std::uint32_t m) {
        return distance(found_.placed.marks[from], found_.placed.marks[m]);
      };
      const std::uint32_t far = reach(other.back()) >= reach(other.front()) ? other.back() : other.front();
      out.back().diagonal = check(from, far);
    }
    return out;
  }
  Length largest() const { return largest_; }
  void watch(const std::vector<SheetFrom>& marks) {
    for (const SheetFrom& f : marks) watch(f.at.at.x), watch(f.at.at.y);
  }

 private:
  void watch(Length value) { largest_ = std::max(largest_, abs(as_written(value, form_) - value)); }
  void watch(const std::optional<Length>& value) {
    if (value) watch(*value);
  }
  std::optional<SheetCheck> check(std::uint32_t from, std::uint32_t to) {
    if (from == to) return std::nullopt;
    const Length span = distance(found_.placed.marks[from], found_.placed.marks[to]);
    watch(span);
    return SheetCheck{found_.issue.numbers[from], found_.issue.numbers[to], span};
  }
  SheetBlock block(const std::vector<std::uint32_t>& marks) {
    SheetBlock b;
    b.run = job_.marks.runs[marks.front()];
    for (const std::uint32_t m : marks) {
      const SheetRow row{found_.issue.numbers[m],
                         job_.marks.names[m],
                         job_.marks.kind(m),
                         along_[m],
                         job_.marks.places[m],
                         tie_of(found_, m),
                         straight_drop(job_, found_, m),
                         in_place_of_drop(job_, found_, m)};
      watch(row.along);
      watch(row.at.at.x);
      watch(row.at.at.y);
      watch(row.drop);
      if (row.tie) {
        watch(row.tie->first);
        watch(row.tie->second);
      }
      b.rows.push_back(row);
    }
    if (b.run.empty()) return b;
    b.ends = check(marks.front(), marks.back());
    look_along(b, marks);
    return b;
  }

  /// Whether what is along the run can be taped from the mark at 0 in one line, and supports stand in it.
  void look_along(SheetBlock& b, const std::vector<std::uint32_t>& marks) const {
    const auto zero = std::find_if(marks.begin(), marks.end(), [&](std::uint32_t m) {
      return m < found_.overhead.supports && along_[m] && abs(*along_[m]) <= kHair;
    });
    if (zero == marks.end()) return;
    const Path* line = line_of_run(job_, found_, job_.marks.runs.number(marks.front()));
    const bool curved = line && !line->is_straight();
    bool straight = !curved, beside = false;
    for (const std::uint32_t m : marks) {
      if (!along_[m]) continue;
      const bool in_line = abs(abs(*along_[m]) - distance(job_.marks.places[*zero], job_.marks.places[m])) <
                           0.5 * offset_step(form_);
      if (m < found_.overhead.supports)
        straight = straight && in_line;
      else if (line)
        beside = beside || line->nearest(job_.marks.places[m]).distance >= 0.5 * offset_step(form_);
      else
        beside = beside || !in_line;
    }
    b.way = curved ? SheetBlock::Way::curved : straight ? SheetBlock::Way::straight : SheetBlock::Way::bent;
    b.supports_beside = beside && (line || straight);
  }

  const Job& job_;
  const Found& found_;
  OffsetForm form_;
  std::vector<std::optional<Length>> along_;
  Length largest_ = Length::metres(0);
};

}  // namespace

void look_at_offsets(const Job& job, Found& found, Messages& messages) {
  if (!job.offsets.wanted) return;
  const auto from = [&] { return job.keys.find("offsets.from")->second; };
  for (const std::string& name : job.offsets.from) {
    if (const auto mark = from_mark(job, found, name))
      found.swing_from.push_back(*mark);
    else
      messages.problem(from(), "offsets.from",
                       Fault{in_quotes(name), "a mark of the ties table, a drawing point or control", ""});
  }
  if (messages.has_problems()) return;
  const auto& marks = found.swing_from;
  if (!marks.empty() && distance(marks[0].at, marks[1].at) <= kHair)
    return messages.problem(from(), "offsets.from",
                            Fault{fmt::format("{} and {} at one place", marks[0].name, marks[1].name),
                                  "two marks apart from each other", ""});
  if (shows_scale(job, found))
    messages.doubt("an offset sheet under a freed scale", Where::whole(job.file), "offsets",
                   "the sheet gives X, Y and running distances of the drawing; with the freed scale the tape "
                   "shows others on site: use the swing ties");
  if (marks.empty()) return;
  for (std::size_t m = 0; m < job.marks.size(); ++m)
    if (const SwingTie t = *tie_of(found, m); t.weak)
      messages.doubt(
          "swing ties that cross flat", mark_where(job, found.overhead, m, 0),
          mark_field(job, found.overhead, m, 0),
          fmt::format("{}: the arcs from {} and {} cross at {} degrees, under 30 (common practice, no "
                      "source): use X and Y, or other marks",
                      job.marks.names[m], marks[0].name, marks[1].name, degrees_words(t.crossing)));
}

std::unique_ptr<WrittenTable> offsets_table(const Job& job, const Found& found) {
  const OffsetForm form = job.offsets.options.form;
  const auto head = [&](std::string_view name) { return fmt::format("{} ({})", name, unit_word(form.unit)); };
  TableStyle style;
  style.neutralise = false;
  return written_table(style,
                       {"number", "point", "run", head("along_run"), head("x"), head("y"), head("tie1"),
                        head("tie2"), "side", "angle", head("drop")},
                       job.marks.size(),
                       [&job, &found, form, along = along_runs(job, found)](auto& sink, std::size_t m) {
                         const auto put = [&](const std::optional<Length>& value) {
                           if (value)
                             sink.text(offset_text(*value, form));
                           else
                             sink.empty();
                         };
                         sink.integer(found.issue.numbers[m]);
                         sink.text(guarded(job.marks.names[m]));
                         sink.text(guarded(job.marks.runs[m]));
                         put(along[m]);
                         put(job.marks.places[m].at.x);
                         put(job.marks.places[m].at.y);
                         if (const auto tie = tie_of(found, m)) {
                           put(tie->first);
                           put(tie->second);
                           sink.text(side_word(tie->side));
                           sink.fixed(tie->crossing.degrees(), kAngleDecimals);
                         } else {
                           for (int i = 0; i < 4; ++i) sink.empty();
                         }
                         put(straight_drop(job, found, m));
                       });
}

std::string offset_sheet(const Job& job, const Found& found, const std::string& points_sha256) {
  SheetMaker maker(job, found);
  const std::vector<SheetBlock> blocks = maker.blocks();
  const std::vector<SheetFrom> from = places_of(found);
  maker.watch(from);
  const SheetHead head{job.title,
                       job.revision,
                       points_sha256,
                       baselines_words(job),
                       standing(job, found).line,
                       job.offsets.options.form,
                       from,
                       stand_of(job, from),
                       shows_scale(job, found),
                       found.deck ? std::optional(job.numbers.deck_offset) : std::nullopt,
                       maker.largest()};
  return offset_sheet_text(head, blocks);
}

}  // namespace deckmark
