#include <fmt/format.h>

#include <algorithm>

#include "baseline/offsets.h"
#include "report/offset_text.h"
#include "report/words.h"
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

std::vector<std::optional<Length>> running(const Job& job) {
  std::vector<std::uint32_t> runs(job.marks.size());
  for (std::size_t m = 0; m < runs.size(); ++m) runs[m] = job.marks.runs.number(m);
  return running_distances(job.marks.places, runs);
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

/// From which mark one looks where, and on which hand +Y lies there (+X, where the line runs along Y).
SheetStand stand_of(const Job& job, const Found& found) {
  const Transform<Site, Drawing>& map = found.placed.fit->site_from_drawing;
  if (found.swing_from.empty()) return {"the crossing of the baselines", "along +X", true, !job.mirrored};
  const Vec<Drawing> line = map.inverse().turn(found.swing_from[1].at - found.swing_from[0].at);
  const double x = line.by.x.metres(), y = line.by.y.metres();
  const bool is_y = std::abs(x) >= std::abs(y);
  // +Y is left of +X, and +X right of +Y, seen from above; the other way round on a mirrored drawing.
  const bool is_left = (is_y ? x > 0 : y < 0) != job.mirrored;
  return {found.swing_from[0].name, found.swing_from[1].name, is_y, is_left};
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
      : job_(job), found_(found), form_(job.offsets.options.form), along_(running(job)) {}

  std::vector<SheetBlock> blocks() {
    const auto runs = by_run(job_);
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
                         heights_at(job_, found_, m).drop};
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
    for (const std::uint32_t m : marks)
      b.straight = b.straight && abs(*along_[m] - distance(job_.marks.places[marks.front()],
                                                           job_.marks.places[m])) < 0.5 * offset_step(form_);
    return b;
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
  const double scale = found.placed.fit->site_from_drawing.parts().scale;
  const auto corners = extent_corners(job.marks.places);
  if (std::abs(scale - 1) * norm(corners[2] - corners[0]).metres() >
      0.5 * offset_step(job.offsets.options.form).metres())
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
                       [&job, &found, form, along = running(job)](auto& sink, std::size_t m) {
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
                         put(heights_at(job, found, m).drop);
                       });
}

std::string offset_sheet(const Job& job, const Found& found, const std::string& points_sha256) {
  SheetMaker maker(job, found);
  const std::vector<SheetBlock> blocks = maker.blocks();
  std::vector<std::string> from;
  for (const FromMark& f : found.swing_from) from.push_back(f.name);
  const SheetHead head{job.title,
                       job.revision,
                       points_sha256,
                       baselines_words(job),
                       standing(job, found).line,
                       job.offsets.options.form,
                       from,
                       stand_of(job, found),
                       found.deck ? std::optional(job.numbers.deck_offset) : std::nullopt,
                       maker.largest()};
  return offset_sheet_text(head, blocks);
}

}  // namespace deckmark
