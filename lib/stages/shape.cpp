#include "stages/shape.h"

#include <algorithm>
#include <utility>

#include "job/tables/runs.h"
#include "measure/side_by_side.h"

namespace deckmark {

namespace {

constexpr std::size_t kPointsForThread = 20000;

/// The drawing's points of each run, run by run in the order of their first points.
struct Grouped {
  std::vector<std::uint32_t> points, begins{0}, first_point;
};

Grouped grouped(const MarkTable& marks, std::size_t drawn) {
  const auto counts = [&](std::uint32_t m) { return marks.runs.number(m) != 0 && !marks.is_reference(m); };
  std::vector<std::uint32_t> run_of(marks.runs.words().size(), kNone32), sizes;
  Grouped out;
  for (std::uint32_t m = 0; m < drawn; ++m) {
    if (!counts(m)) continue;
    std::uint32_t& run = run_of[marks.runs.number(m)];
    if (run == kNone32) {
      run = static_cast<std::uint32_t>(sizes.size());
      sizes.push_back(0);
      out.first_point.push_back(m);
    }
    ++sizes[run];
  }
  for (const std::uint32_t s : sizes) out.begins.push_back(out.begins.back() + s);
  out.points.resize(out.begins.back());
  std::vector<std::uint32_t> next(out.begins.begin(), out.begins.end() - 1);
  for (std::uint32_t m = 0; m < drawn; ++m)
    if (counts(m)) out.points[next[run_of[marks.runs.number(m)]]++] = m;
  return out;
}

/// By its spacing the point would stand in an obstruction, and it stands clear.
bool clears(const ShapeBreak& b, const MarkTable& marks, const ShapeAgainst& against) {
  return b.why == ShapeWhy::spacing && b.point &&
         std::ranges::any_of(against.obstructions, [&](const Obstruction& o) {
           return o.outline.blocks(b.expected, o.clearance) &&
                  !o.outline.blocks(marks.places[*b.point], o.clearance);
         });
}

ShapeFound find_shape(const MarkTable& marks, std::size_t drawn, const ShapeAgainst& against,
                      LengthUnit unit) {
  const std::vector<StatedRun>& runs = against.runs;
  Grouped g = grouped(marks, drawn);
  ShapeFound out{{}, {}, std::move(g.first_point), {}, !g.points.empty() || !runs.empty(), {}};
  std::vector<bool> has_points(marks.runs.words().size());
  for (const std::uint32_t m : out.first_point) has_points[marks.runs.number(m)] = true;
  std::vector<ShapeLine> lines;
  for (std::uint32_t r = 0; r < runs.size(); ++r) {
    if (runs[r].kind != StatedRun::Kind::line) continue;
    const auto word = marks.runs.words().find(runs[r].name);
    if (word && has_points[*word]) continue;
    lines.push_back({runs[r].from, runs[r].to});
    out.lines.push_back(r);
  }
  const std::span<const Point<Drawing>> places(marks.places.data(), drawn);
  ShapeLook look = look_at_shape({places, g.points, g.begins, marks.heights, lines, unit});
  out.breaks = std::move(look.breaks), out.unsure = std::move(look.unsure);
  std::erase_if(out.breaks, [&](const ShapeBreak& b) { return clears(b, marks, against); });
  // Beside obstructions hangers are moved on purpose.
  if (!against.obstructions.empty())
    std::erase_if(out.unsure, [](const ShapeUnsure& u) { return u.kind == ShapeUnsure::Kind::spacing; });
  for (const ShapeBreak& b : out.breaks)
    if (b.point) out.told.push_back(*b.point);
  std::ranges::sort(out.told);
  return out;
}

}  // namespace

bool ShapeFound::tells(std::uint32_t mark) const { return std::ranges::binary_search(told, mark); }

std::future<ShapeFound> begin_shape(std::shared_ptr<const MarkTable> marks, std::size_t drawn,
                                    ShapeAgainst against, LengthUnit drawing_unit) {
  const auto search = [marks = std::move(marks), drawn, against = std::move(against), drawing_unit] {
    return find_shape(*marks, drawn, against, drawing_unit);
  };
  return drawn >= kPointsForThread ? begin_beside(search) : std::async(std::launch::deferred, search);
}

std::vector<ShapeLineTold> shape_lines(const ShapeFound& found, const MarkTable& marks,
                                       const std::vector<StatedRun>& runs) {
  std::vector<ShapeLineTold> out;
  for (const ShapeBreak& b : found.breaks) {
    if (b.run >= found.first_point.size()) {
      const StatedRun& run = runs[found.lines[b.run - found.first_point.size()]];
      out.push_back({b, "", run.name, run.from, std::nullopt});
      continue;
    }
    const std::uint32_t m = b.point.value_or(found.first_point[b.run]);
    out.push_back({b, marks.names[m], marks.runs[m], marks.places[m], marks.heights[m]});
    if (b.fits_run) out.back().fits_run = marks.runs[found.first_point[*b.fits_run]];
  }
  return out;
}

Messages tell_shape(const ShapeFound& found, const JobMarks& marks, const std::vector<StatedRun>& runs,
                    LengthUnit drawing_unit) {
  Messages messages;
  std::size_t points_told = 0, more = 0;
  constexpr std::string_view kPoints = "points that break the drawing's own pattern",
                             kRuns = "runs that stand aside";
  for (const ShapeLineTold& line : shape_lines(found, *marks, runs)) {
    const ShapeBreak& b = line.found;
    if (b.point && points_told++ >= Messages::kDoubtsKept) {
      ++more;
      continue;
    }
    const std::string text = shape_doubt(line, drawing_unit);
    const std::string_view kind = b.point ? kPoints : kRuns;
    if (b.run >= found.first_point.size()) {
      const std::uint32_t row = found.lines[b.run - found.first_point.size()];
      messages.doubt(kind, cell_of(marks.runs_table, row, runs::run.name), runs::run.name, text);
      continue;
    }
    const std::uint32_t m = b.point.value_or(found.first_point[b.run]);
    const MarkCell cell = b.why == ShapeWhy::height ? MarkCell::height : MarkCell::point;
    messages.doubt(kind, marks.where(m, cell), marks.field(m, cell), text);
  }
  constexpr std::string_view kUnsure = "runs not judged whole";
  const MarkTable& table = *marks;
  const std::size_t unsure = std::min(found.unsure.size(), std::size_t{Messages::kDoubtsKept});
  for (std::size_t i = 0; i < unsure; ++i) {
    const ShapeUnsure& u = found.unsure[i];
    messages.doubt(
        kUnsure, marks.where(u.first, MarkCell::point), marks.field(u.first, MarkCell::point),
        unsure_doubt(u, table.runs[u.first], table.names[u.first], table.names[u.last], drawing_unit));
  }
  if (found.unsure.size() > unsure) messages.more_doubts(kUnsure, found.unsure.size() - unsure);
  if (more > 0) messages.more_doubts(kPoints, more);
  return messages;
}

}  // namespace deckmark
