// Tables of runs, trapezes, pieces, cuts and parts, and the same in words.
#include <fmt/format.h>

#include <algorithm>

#include "measure/decimal.h"
#include "report/overhead_text.h"
#include "work/along_runs.h"
#include "work/in_unit.h"
#include "work/overhead.h"

namespace deckmark {

namespace {

constexpr int kAngleDecimals = 5;

/// One mark of one piece, with its run.
struct PieceRow {
  const RunFound* run;
  std::size_t of_run;
  const PieceMark* mark;
};

std::vector<PieceRow> piece_rows(const Found& found) {
  std::vector<PieceRow> rows;
  for (std::size_t r = 0; r < found.overhead.runs.size(); ++r)
    for (const PieceMark& m : found.overhead.runs[r].marks) rows.push_back({&found.overhead.runs[r], r, &m});
  return rows;
}

bool is_support(const OverheadFound& o, std::size_t mark) { return mark >= o.supports; }

std::unique_ptr<WrittenTable> hangers_table(const Job& job, const Found& found) {
  const InUnit u(*job.list.unit);
  return written_table(TableStyle{}, {"number", "point", u.head("drop"), u.head("cut"), "stock_piece"},
                       found.overhead.cut_marks.size(), [&job, &found, u](auto& sink, std::size_t i) {
                         const OverheadFound& o = found.overhead;
                         sink.integer(found.issue.numbers[o.cut_marks[i]]);
                         sink.text(job.marks.names[o.cut_marks[i]]);
                         u.put(sink, o.drops[i]);
                         u.put(sink, o.cuts[i]);
                         if (o.stock_piece[i])
                           sink.integer(*o.stock_piece[i]);
                         else
                           sink.empty();
                       });
}

std::unique_ptr<WrittenTable> trapeze_table(const Job& job, const Found& found) {
  const InUnit u(*job.list.unit);
  return written_table(TableStyle{},
                       {"point", "obstruction", u.head("support1_x"), u.head("support1_y"),
                        u.head("support2_x"), u.head("support2_y"), u.head("span")},
                       found.overhead.trapezes.size(), [&job, &found, u](auto& sink, std::size_t i) {
                         const TrapezeFound& t = found.overhead.trapezes[i];
                         sink.text(job.marks.names[t.hanger]);
                         sink.text(found.overhead.obstruction_names[t.trapeze.obstruction]);
                         const auto& s = t.trapeze.supports;
                         u.put(sink, s ? std::optional(s->first.at.x) : std::nullopt);
                         u.put(sink, s ? std::optional(s->first.at.y) : std::nullopt);
                         u.put(sink, s ? std::optional(s->second.at.x) : std::nullopt);
                         u.put(sink, s ? std::optional(s->second.at.y) : std::nullopt);
                         u.put(sink, s ? std::optional(t.trapeze.span) : std::nullopt);
                       });
}

std::unique_ptr<WrittenTable> piece_table(const Job& job, const Found& found) {
  const InUnit u(*job.list.unit);
  std::vector<PieceRow> rows = piece_rows(found);
  const std::size_t n = rows.size();
  return written_table(TableStyle{}, {"piece", "run", "mark", u.head("along_piece"), u.head("along_run")}, n,
                       [&job, &found, u, rows = std::move(rows)](auto& sink, std::size_t i) {
                         const PieceRow& r = rows[i];
                         sink.text(r.run->piece_names[r.mark->piece]);
                         sink.text(job.overhead.runs[r.of_run].name);
                         switch (r.mark->what) {
                           case PieceMark::What::hanger:
                             sink.integer(found.issue.numbers[r.run->hangers[r.mark->index].mark]);
                             break;
                           case PieceMark::What::joint:
                             sink.text("joint");
                             break;
                           case PieceMark::What::crossing:
                             sink.text("crossing");
                             break;
                           case PieceMark::What::end:
                             sink.text("end");
                             break;
                         }
                         u.put(sink, r.mark->along_piece);
                         u.put(sink, r.mark->along_run);
                       });
}

std::unique_ptr<WrittenTable> crossings_table(const Job& job, const Found& found) {
  const InUnit u(*job.list.unit);
  return written_table(
      TableStyle{},
      {"run1", "run2", u.head("x"), u.head("y"), u.head("along1"), u.head("along2"), "angle", "mitre"},
      found.overhead.crossings.size(), [&job, &found, u](auto& sink, std::size_t i) {
        const Crossing& c = found.overhead.crossings[i];
        sink.text(job.overhead.runs[c.first].name);
        sink.text(job.overhead.runs[c.second].name);
        u.put(sink, c.at.at.x);
        u.put(sink, c.at.at.y);
        u.put(sink, c.along_first);
        u.put(sink, c.along_second);
        sink.fixed(c.angle.degrees(), kAngleDecimals);
        put_number(sink, c.mitre ? std::optional(c.mitre->degrees()) : std::nullopt, kAngleDecimals);
      });
}

/// Counts to hold against the bill of materials: what is hung. A hanger on a trapeze is none: its trapeze and
/// the two supports are counted. A run's end that is a corner is no end.
std::vector<PartLine> parts_of(const Job& job, const Found& found) {
  const OverheadFound& o = found.overhead;
  PartLine hanger{"hanger", 0, {}}, support{"support", 0, {}}, trapeze{"trapeze", 0, {}};
  for (std::size_t m = 0; m < job.marks.size(); ++m)
    if (has_deck_point(job, found, m)) ++(is_support(o, m) ? support : hanger).count;
  for (const TrapezeFound& t : o.trapezes) trapeze.count += t.trapeze.supports.has_value();
  for (std::size_t i = 0; i < o.cut_marks.size(); ++i) {  // a length only where one is known
    std::optional<Length>& length = (is_support(o, o.cut_marks[i]) ? support : hanger).length;
    if (o.cuts[i]) length = length.value_or(Length::metres(0)) + *o.cuts[i];
  }
  std::vector<PartLine> parts{hanger};
  if (support.count) parts.push_back(support), parts.push_back(trapeze);
  if (!o.runs.empty()) {
    PartLine joint{"joint", 0, {}}, end{"end", 0, {}}, crossing{"crossing", 0, {}}, corner{"corner", 0, {}},
        piece{"piece", 0, Length::metres(0)};
    std::vector<std::pair<std::size_t, bool>> corner_ends;
    for (const Crossing& c : o.crossings) {
      ++(c.mitre ? corner : crossing).count;
      if (!c.mitre) continue;
      corner_ends.emplace_back(c.first, c.along_first > kRunJoin);
      corner_ends.emplace_back(c.second, c.along_second > kRunJoin);
    }
    std::sort(corner_ends.begin(), corner_ends.end());
    corner_ends.erase(std::unique(corner_ends.begin(), corner_ends.end()), corner_ends.end());
    for (const RunFound& r : o.runs) {
      joint.count += r.laid.joints.size();
      if (!r.path.is_closed()) end.count += 2;
      piece.count += r.laid.pieces.size();
      for (const LaidPiece& p : r.laid.pieces) *piece.length += p.to - p.from;
    }
    end.count -= corner_ends.size();
    for (const PartLine& p : {joint, end, crossing, corner, piece}) parts.push_back(p);
  }
  if (const std::size_t n = o.cut_list.pieces.size(); n > 0)
    parts.push_back({"stock", n, static_cast<double>(n) * *job.overhead.cut.stock});
  return parts;
}

std::unique_ptr<WrittenTable> parts_table(const Job& job, const Found& found) {
  const InUnit u(*job.list.unit);
  std::vector<PartLine> parts = parts_of(job, found);
  const std::size_t n = parts.size();
  return written_table(TableStyle{}, {"part", "count", u.head("length")}, n,
                       [u, parts = std::move(parts)](auto& sink, std::size_t i) {
                         sink.text(parts[i].part);
                         sink.integer(static_cast<std::int64_t>(parts[i].count));
                         u.put(sink, parts[i].length);
                       });
}

bool has_pieces(const Job& job) {
  return job.overhead.pieces_table.table ||
         (job.overhead.hangers.joint_every && job.overhead.runs_table.table);
}

std::string runs_part(const Job& job, const Found& found) {
  std::vector<HungRunLine> lines;
  const auto& separation = job.overhead.hangers.separation;
  for (std::size_t r = 0; r < found.overhead.runs.size(); ++r) {
    const RunFound& run = found.overhead.runs[r];
    constexpr std::string_view kKinds[] = {"line", "arc", "ring"};
    HungRunLine line{job.overhead.runs[r].name,
                     kKinds[static_cast<std::size_t>(job.overhead.runs[r].kind)],
                     run.path.length(),
                     run.hangers.size(),
                     0,
                     {},
                     run.path.radius(),
                     {},
                     {},
                     {},
                     {}};
    for (std::size_t i = 1; i < run.hangers.size(); ++i)
      line.space =
          std::max(line.space.value_or(Length::metres(0)), run.hangers[i].along - run.hangers[i - 1].along);
    if (run.path.is_closed() && !run.hangers.empty())
      line.space = std::max(line.space.value_or(Length::metres(0)),
                            run.hangers.front().along + run.path.length() - run.hangers.back().along);
    if (run.path.radius()) line.chord = run.path.chord(), line.rise = run.path.rise();
    for (const HangerOnRun& h : run.hangers) line.bridged += !has_deck_point(job, found, h.mark);
    line.hangers -= line.bridged;
    if (separation && run.path.radius())
      line.inside = run.path.parallel_length(*separation / 2.0),
      line.outside = run.path.parallel_length(-*separation / 2.0);
    lines.push_back(line);
  }
  return lines.empty() ? "" : runs_text(lines, separation.has_value(), job.drawing_unit);
}

std::string crossings_part(const Job& job, const Found& found) {
  std::vector<CrossingLine> lines;
  for (const Crossing& c : found.overhead.crossings)
    lines.push_back({job.overhead.runs[c.first].name, job.overhead.runs[c.second].name, c.along_first,
                     c.along_second, c.angle, c.mitre,
                     c.mitre && job.overhead.hangers.separation
                         ? corner_allowance(c.angle, *job.overhead.hangers.separation)
                         : std::nullopt});
  return crossings_text(lines, job.drawing_unit);
}

std::string trapezes_part(const Job& job, const Found& found) {
  std::vector<TrapezeLine> lines;
  for (const TrapezeFound& t : found.overhead.trapezes)
    lines.push_back({found.issue.numbers[t.hanger], job.marks.names[t.hanger],
                     found.overhead.obstruction_names[t.trapeze.obstruction],
                     t.trapeze.supports ? std::optional(t.trapeze.span) : std::nullopt});
  return trapezes_text(lines, job.drawing_unit);
}

std::string bays_part(const Job& job, const Found& found) {
  const BaysFound& b = found.overhead.bays;
  std::vector<BayLine> bays;
  for (std::size_t i = 0; i < b.decks.size(); ++i)
    bays.push_back({b.names[i], b.fits[i] ? b.fits[i]->residuals.size() : 0,
                    b.decks[i]
                        .elevation_at(found.placed.fit->site_from_drawing(b.outlines[i].corners()[0]))
                        .above_datum()});
  std::vector<StepLine> steps;
  for (const BayStep& s : b.steps) steps.push_back({b.names[s.first], b.names[s.second], s.up});
  return bays.empty() ? "" : bays_text(bays, steps, job.site_unit);
}

/// A hanger's number, and whether it hangs on a trapeze.
std::string hanger_words(const Job& job, const Found& found, std::uint32_t mark) {
  const std::string_view other = in_place_of_drop(job, found, mark);
  return fmt::format("{}{}{}", found.issue.numbers[mark], other.empty() ? "" : " ", other);
}

std::string pieces_part(const Job& job, const Found& found) {
  std::vector<PieceLine> lines;
  for (std::size_t r = 0; r < found.overhead.runs.size(); ++r) {
    const RunFound& run = found.overhead.runs[r];
    const std::size_t first = lines.size();
    for (std::size_t p = 0; p < run.laid.pieces.size(); ++p)
      lines.push_back({run.piece_names[p],
                       job.overhead.runs[r].name,
                       run.laid.pieces[p].to - run.laid.pieces[p].from,
                       {}});
    for (const PieceMark& m : run.marks) {
      std::string what = m.what == PieceMark::What::joint ? "joint" : "end";
      if (m.what == PieceMark::What::hanger) what = hanger_words(job, found, run.hangers[m.index].mark);
      if (m.what == PieceMark::What::crossing) {
        const Crossing& c = found.overhead.crossings[m.index];
        what = "crossing " + job.overhead.runs[c.first == r ? c.second : c.first].name;
      }
      lines[first + m.piece].marks.push_back({std::move(what), m.along_piece});
    }
  }
  return pieces_text(lines, job.drawing_unit);
}

std::string cuts_part(const Job& job, const Found& found) {
  const OverheadFound& o = found.overhead;
  std::vector<CutLine> cuts;
  for (std::size_t i = 0; i < o.cut_marks.size(); ++i)
    if (o.cuts[i]) cuts.push_back({job.marks.runs[o.cut_marks[i]], *o.cuts[i]});
  CutSummary summary{o.cut_list.pieces.size(), o.cut_list.lower_bound,
                     o.cut_list.pieces.empty() ? std::nullopt : job.overhead.cut.stock, o.cut_list.waste};
  return cut_text(cuts, summary, job.site_unit);
}

}  // namespace

std::unique_ptr<WrittenTable> overhead_table(OverheadTable which, const Job& job, const Found& found) {
  const OverheadJob& o = job.overhead;
  switch (which) {
    case OverheadTable::hangers:
      return o.cut.wanted() ? hangers_table(job, found) : nullptr;
    case OverheadTable::trapezes:
      return o.outlines_table.table ? trapeze_table(job, found) : nullptr;
    case OverheadTable::piece_marks:
      return has_pieces(job) ? piece_table(job, found) : nullptr;
    case OverheadTable::crossings:
      return o.runs_table.table ? crossings_table(job, found) : nullptr;
    case OverheadTable::parts:
      break;
  }
  return o.runs_table.table || o.cut.wanted() || o.outlines_table.table ? parts_table(job, found) : nullptr;
}

std::string overhead_part(const Job& job, const Found& found) {
  const OverheadJob& o = job.overhead;
  std::string text;
  for (const std::string& part : {bays_part(job, found), runs_part(job, found), crossings_part(job, found),
                                  trapezes_part(job, found), pieces_part(job, found), cuts_part(job, found)})
    if (!part.empty()) text += (text.empty() ? "" : "\n") + part;
  if (o.runs_table.table || o.cut.wanted() || o.outlines_table.table)
    if (const std::string parts = parts_text(parts_of(job, found), job.site_unit); !parts.empty())
      text += (text.empty() ? "" : "\n") + parts;
  return text;
}

}  // namespace deckmark
