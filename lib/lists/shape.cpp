#include "lists/shape.h"

#include <utility>

#include "lists/in_unit.h"

namespace deckmark {

namespace {

constexpr OutColumn kShapeColumns[] = {
    {"run", OutKind::text, "run whose pattern is broken, or that stands aside"},
    {"point", OutKind::text, "point that breaks it; empty: the whole run"},
    {"expected_x", OutKind::length, "where the pattern has the point, or the run's first point"},
    {"expected_y", OutKind::length, "where the pattern has the point, or the run's first point"},
    {"off", OutKind::length, "from the place as keyed to the expected one; of a height keyed minus expected"},
    {"why", OutKind::text,
     "spacing, line, pitch, circle or height, then the slip of the pen that explains it, as the drawing is "
     "keyed, turned, or the run that the point fits"}};

}  // namespace

constinit const OutputSpec kShapeOutput{"shape.csv", "where points name runs, or with runs",
                                        "points and runs that break the drawing's own pattern",
                                        kShapeColumns};

std::unique_ptr<WrittenTable> shape_table(const ShapeFound& found, const MarkTable& marks,
                                          const std::vector<StatedRun>& runs, LengthUnit unit,
                                          LengthUnit drawing_unit) {
  std::vector<ShapeLineTold> lines = shape_lines(found, marks, runs);
  const std::size_t n = lines.size();
  return declared_table(
      kShapeColumns, unit, n,
      [u = InUnit(unit), drawing_unit, lines = std::move(lines)](auto& sink, std::size_t i) {
        const ShapeLineTold& l = lines[i];
        sink.text(l.run);
        if (l.found.point)
          sink.text(l.point);
        else
          sink.empty();
        u.put(sink, l.found.expected.at.x);
        u.put(sink, l.found.expected.at.y);
        u.put(sink, l.found.off);
        sink.text(shape_why(l, drawing_unit));
      });
}

}  // namespace deckmark
