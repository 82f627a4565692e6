#include "lists/overhead.h"

#include <utility>

#include "lists/in_unit.h"

namespace deckmark {

namespace {

constexpr int kAngleDecimals = 5;

constexpr OutColumn kHangersColumns[] = {
    {"number", OutKind::number, "floor number"},
    {"point", OutKind::text, "name of the hanger or support"},
    {"drop", OutKind::length, "deck minus bracket"},
    {"cut", OutKind::length, "rod to cut: drop and lean, cut_top and cut_bottom added, rounded up"},
    {"stock_piece", OutKind::number, "piece of stock from which to cut it, from 1"}};
constexpr OutColumn kTrapezeColumns[] = {
    {"point", OutKind::text, "hanger that is bridged"},
    {"obstruction", OutKind::text, "what stands in its way"},
    {"support1_x", OutKind::length, "first support (-a); empty where there is none within reach"},
    {"support1_y", OutKind::length, "first support (-a)"},
    {"support2_x", OutKind::length, "second support (-b)"},
    {"support2_y", OutKind::length, "second support (-b)"},
    {"span", OutKind::length, "from support to support"}};
constexpr OutColumn kPieceMarksColumns[] = {
    {"piece", OutKind::text, "piece to mark"},
    {"run", OutKind::text, "run along which it lies"},
    {"mark", OutKind::text, "a hanger's floor number, joint, crossing or end"},
    {"along_piece", OutKind::length, "from the beginning of the piece"},
    {"along_run", OutKind::length, "from the beginning of the run"}};
constexpr OutColumn kCrossingsColumns[] = {
    {"run1", OutKind::text, "first run"},
    {"run2", OutKind::text, "second run"},
    {"x", OutKind::length, "where they meet, in the drawing"},
    {"y", OutKind::length, "where they meet, in the drawing"},
    {"along1", OutKind::length, "along the first run"},
    {"along2", OutKind::length, "along the second run"},
    {"angle", OutKind::decimal,
     "at a corner between the runs, else the acute angle at which they cross; degrees"},
    {"mitre", OutKind::decimal, "at a corner half of it, to cut both at; degrees"}};
constexpr OutColumn kPartsColumns[] = {
    {"part", OutKind::text,
     "hanger (without those on a trapeze), support, trapeze, joint, end, crossing, corner, piece, stock"},
    {"count", OutKind::number, "how many"},
    {"length", OutKind::length, "of all of them, where it is known"}};

/// One mark of one piece, with its run.
struct PieceRow {
  const RunFound* run;
  std::size_t of_run;
  const PieceMark* mark;
};

std::vector<PieceRow> piece_rows(const std::vector<RunFound>& runs) {
  std::vector<PieceRow> rows;
  for (std::size_t r = 0; r < runs.size(); ++r)
    for (const PieceMark& m : runs[r].marks) rows.push_back({&runs[r], r, &m});
  return rows;
}

}  // namespace

constinit const OutputSpec kHangersOutput{"hangers.csv", "with cut_top, cut_bottom or stock",
                                          "rods to cut, and from which piece of stock", kHangersColumns};
constinit const OutputSpec kTrapezeOutput{"trapeze.csv", "with obstructions",
                                          "hangers that are bridged, and their supports", kTrapezeColumns};
constinit const OutputSpec kPieceMarksOutput{"piece-marks.csv", "with pieces or joint_every",
                                             "what to mark on every piece", kPieceMarksColumns};
constinit const OutputSpec kCrossingsOutput{"crossings.csv", "with runs", "where runs meet",
                                            kCrossingsColumns};
constinit const OutputSpec kPartsOutput{"parts.csv", "with runs, obstructions or cuts",
                                        "parts to hold against the bill of materials", kPartsColumns};

std::unique_ptr<WrittenTable> hangers_table(const LaidOut& laid, const CutsFound& cuts, LengthUnit unit) {
  return declared_table(kHangersColumns, unit, cuts.marks.size(),
                        [&laid, &cuts, u = InUnit(unit)](auto& sink, std::size_t i) {
                          const std::uint32_t m = cuts.marks[i];
                          sink.integer(laid.numbers.of(m));
                          sink.text(laid.marks->names[m]);
                          u.put(sink, cuts.drops[i]);
                          u.put(sink, cuts.cuts[i]);
                          if (cuts.stock_piece[i])
                            sink.integer(*cuts.stock_piece[i]);
                          else
                            sink.empty();
                        });
}

std::unique_ptr<WrittenTable> trapeze_table(const LaidOut& laid, LengthUnit unit) {
  return declared_table(kTrapezeColumns, unit, laid.overhead.trapezes.size(),
                        [&laid, u = InUnit(unit)](auto& sink, std::size_t i) {
                          const TrapezeFound& t = laid.overhead.trapezes[i];
                          sink.text(laid.marks->names[t.hanger]);
                          sink.text(laid.overhead.obstruction_names[t.trapeze.obstruction]);
                          const auto& s = t.trapeze.supports;
                          u.put(sink, s ? std::optional(s->first.at.x) : std::nullopt);
                          u.put(sink, s ? std::optional(s->first.at.y) : std::nullopt);
                          u.put(sink, s ? std::optional(s->second.at.x) : std::nullopt);
                          u.put(sink, s ? std::optional(s->second.at.y) : std::nullopt);
                          u.put(sink, s ? std::optional(t.trapeze.span) : std::nullopt);
                        });
}

std::unique_ptr<WrittenTable> piece_table(const LaidOut& laid, const OverheadJob& stated, LengthUnit unit) {
  std::vector<PieceRow> rows = piece_rows(laid.overhead.runs);
  const std::size_t n = rows.size();
  return declared_table(
      kPieceMarksColumns, unit, n,
      [&laid, &stated, u = InUnit(unit), rows = std::move(rows)](auto& sink, std::size_t i) {
        const PieceRow& r = rows[i];
        sink.text(r.run->piece_names[r.mark->piece]);
        sink.text(stated.runs[r.of_run].name);
        switch (r.mark->what) {
          case PieceMark::What::hanger:
            sink.integer(laid.numbers.of(r.run->hangers[r.mark->index].mark));
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

std::unique_ptr<WrittenTable> crossings_table(const Overhead& overhead, const OverheadJob& stated,
                                              LengthUnit unit) {
  return declared_table(kCrossingsColumns, unit, overhead.crossings.size(),
                        [&overhead, &stated, u = InUnit(unit)](auto& sink, std::size_t i) {
                          const Crossing& c = overhead.crossings[i];
                          sink.text(stated.runs[c.first].name);
                          sink.text(stated.runs[c.second].name);
                          u.put(sink, c.at.at.x);
                          u.put(sink, c.at.at.y);
                          u.put(sink, c.along_first);
                          u.put(sink, c.along_second);
                          sink.fixed(c.angle.degrees(), kAngleDecimals);
                          put_number(sink, c.mitre ? std::optional(c.mitre->degrees()) : std::nullopt,
                                     kAngleDecimals);
                        });
}

std::unique_ptr<WrittenTable> parts_table(std::vector<PartLine> parts, LengthUnit unit) {
  const std::size_t n = parts.size();
  return declared_table(kPartsColumns, unit, n,
                        [u = InUnit(unit), parts = std::move(parts)](auto& sink, std::size_t i) {
                          sink.text(parts[i].part);
                          sink.integer(static_cast<std::int64_t>(parts[i].count));
                          u.put(sink, parts[i].length);
                        });
}

}  // namespace deckmark
