#include "lists/offsets.h"

#include <utility>

#include "lists/in_unit.h"
#include "stages/along_runs.h"

namespace deckmark {

namespace {

constexpr int kAngleDecimals = 2;  // of degrees

constexpr std::string_view kX = "x", kY = "y", kFromXString = "from_x_string", kFromYString = "from_y_string";

constexpr OutColumn kColumns[] = {
    {"number", OutKind::number, "floor number"},
    {"point", OutKind::text, "name on the drawing"},
    {"run", OutKind::text, "run that the point belongs to"},
    {"along_run", OutKind::length,
     "along the run from its first hanger; of a support at its foot on the run"},
    {kX, OutKind::length, "along +X from the crossing of the baselines"},
    {kY, OutKind::length, "along +Y from the crossing of the baselines"},
    {"tie1", OutKind::length, "swing tie: distance on site from the first mark"},
    {"tie2", OutKind::length, "swing tie: distance on site from the second mark"},
    {"side", OutKind::text, "left, right or on line, looking from the first mark to the second"},
    {"angle", OutKind::decimal, "at which the arcs cross: the acute one, in degrees to 0.01"},
    {"drop", OutKind::length, "deck minus bracket; empty on a trapeze"},
    {kFromXString, OutKind::length,
     "on site, square from the string from the first mark to the third, positive towards growing X; without "
     "strings from the baseline along Y"},
    {kFromYString, OutKind::length,
     "on site, square from the string from the first mark to the second, positive towards growing Y; without "
     "strings from the baseline along X"}};

constexpr OutColumn kCornerColumns[] = {
    {"mark", OutKind::text, "corner mark to move"},
    {"toward", OutKind::text, "the mark toward which it moves, along the line between the two"},
    {"move", OutKind::length, "positive toward it, negative away from it"}};

}  // namespace

constinit const OutputSpec kCornersOutput{
    "corners.csv", "with strings in [offsets]",
    "the fewest corner marks to move so that what was taped agrees with the drawing", kCornerColumns};
constinit const OutputSpec kOffsetsOutput{
    "offsets.csv", "with [offsets]", "distances along the baselines, from strings and swing ties", kColumns};
constinit const OutputSpec kOffsetSheetOutput{"offset-sheet.txt", "with [offsets]",
                                              "the same for laser and tape, for the crew"};
constinit const OutputSpec kCrewOffsetsOutput{"offsets-NAME.csv", "with [offsets] and crews",
                                              "offsets.csv of one crew", kColumns};
constinit const OutputSpec kCrewOffsetSheetOutput{"offset-sheet-NAME.txt", "with [offsets] and crews",
                                                  "the sheet for laser and tape of one crew"};

std::vector<std::string> sheet_distances(bool strings) {
  std::vector<std::string> out;
  for (const OutColumn& c : kColumns) {
    const bool of_strings = c.name == kFromXString || c.name == kFromYString,
               of_axes = c.name == kX || c.name == kY;
    if (c.kind == OutKind::length && !(strings ? of_axes : of_strings)) out.emplace_back(c.name);
  }
  return out;
}

std::unique_ptr<WrittenTable> offsets_table(const OffsetJob& stated, const std::vector<StatedRun>& runs,
                                            const LaidOut& laid, const OffsetsFound& found,
                                            const CrewShare& share) {
  const OffsetForm form = stated.options.form;
  TableStyle style;
  style.neutralise = false;       // a length may begin with a minus
  BigVector<std::uint32_t> rows;  // of a crew
  for (std::uint32_t m = 0; !share.is_whole() && m < laid.marks.size(); ++m)
    if (share.has(m)) rows.push_back(m);
  const std::size_t count = share.is_whole() ? laid.marks.size() : rows.size();
  const auto row = [&laid, &found, form, is_whole = share.is_whole(), rows = std::move(rows),
                    along = along_runs(laid.marks, laid.overhead, runs)](auto& sink, std::size_t i) {
    const std::size_t m = is_whole ? i : rows[i];
    const auto put = [&](const std::optional<Length>& value) {
      if (value)
        sink.text(offset_text(*value, form));
      else
        sink.empty();
    };
    const MarkTable& marks = *laid.marks;
    sink.integer(laid.numbers.of(m));
    sink.text(with_formula_mark(marks.names[m]));
    sink.text(with_formula_mark(marks.runs[m]));
    put(along[m]);
    put(marks.places[m].at.x);
    put(marks.places[m].at.y);
    if (const auto tie = swing_tie_of(found, laid.placed, m)) {
      put(tie->first);
      put(tie->second);
      sink.text(side_word(tie->side));
      sink.fixed(tie->crossing.degrees(), kAngleDecimals);
    } else {
      for (int cell = 0; cell < 4; ++cell) sink.empty();
    }
    put(straight_drop(laid, m));
    const StringDistances from = from_strings_or_baselines(found, laid, m);
    put(from.from_x_string);
    put(from.from_y_string);
  };
  return declared_table(kColumns, form.unit, count, row, style);
}

std::unique_ptr<WrittenTable> corners_table(const CornersFound& corners, LengthUnit unit) {
  const auto row = [&moves = corners.moves, in = InUnit(unit)](auto& sink, std::size_t i) {
    sink.text(moves[i].mark);
    sink.text(moves[i].toward);
    in.put(sink, moves[i].move);
  };
  return declared_table(kCornerColumns, unit, corners.moves.size(), row);
}

}  // namespace deckmark
