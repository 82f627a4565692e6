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
    {"mark", OutKind::text, "a hanger's floor number, joint, crossing, notch or end"},
    {"along_piece", OutKind::length, "from the beginning of the piece"},
    {"along_run", OutKind::length, "on the run's line beside it, from its beginning; below 0 before it"},
    {"member", OutKind::text, "left, right, inside or outside; empty where the run has one member"}};
constexpr OutColumn kMembersColumns[] = {
    {"run", OutKind::text, "run of which it is a member"},
    {"member", OutKind::text, "left, right, inside or outside; empty where the run has one member"},
    {"length", OutKind::length, "of its middle line, from end to end; of a ring round it"},
    {"start", OutKind::text, "free, wall or joined; empty on a ring"},
    {"finish", OutKind::text, "free, wall or joined; empty on a ring"},
    {"order", OutKind::text, "first, second, from a run or middle: where hanging begins"}};
constexpr OutColumn kSiteCutsColumns[] = {
    {"piece", OutKind::text, "piece to cut"},
    {"member", OutKind::text, "on which it lies; empty where the run has one member"},
    {"cut", OutKind::length, "what is taken off"},
    {"end", OutKind::text, "of the piece, start or finish"}};
constexpr OutColumn kCrossingsColumns[] = {
    {"run1", OutKind::text, "first run"},
    {"run2", OutKind::text, "second run"},
    {"x", OutKind::length, "where they meet, in the drawing"},
    {"y", OutKind::length, "where they meet, in the drawing"},
    {"along1", OutKind::length, "along the first run"},
    {"along2", OutKind::length, "along the second run"},
    {"angle", OutKind::decimal,
     "at a corner between the runs, else the acute angle at which they cross; degrees"},
    {"mitre", OutKind::decimal, "at a corner half of it, to cut both at; degrees"},
    {"through", OutKind::text, "run that goes through; empty at a corner"}};
constexpr OutColumn kPartsColumns[] = {
    {"part", OutKind::text,
     "hanger (without those on a trapeze), support, trapeze, joint, end, crossing, corner, piece, stock; "
     "then end-left, end-right and the parts of needs"},
    {"count", OutKind::number, "how many; of joint, end and piece on every member"},
    {"length", OutKind::length, "of all of them, where it is known"},
    {"member", OutKind::text, "on which they are; empty: on all"}};

/// One mark of one piece, with its member.
struct PieceRow {
  std::size_t member;
  const PieceMark* mark;
};

std::vector<PieceRow> piece_rows(const Overhead& overhead) {
  std::vector<PieceRow> rows;
  for (std::size_t m = 0; m < overhead.pieces.size(); ++m)
    for (const PieceMark& mark : overhead.pieces[m].marks) rows.push_back({m, &mark});
  return rows;
}

std::string_view mark_word(PieceMark::What what) {
  switch (what) {
    case PieceMark::What::joint:
      return "joint";
    case PieceMark::What::crossing:
      return "crossing";
    case PieceMark::What::notch:
      return "notch";
    default:
      return "end";
  }
}

/// `first`, `from R2`.
std::string order_words(const Member& m, const OverheadJob& stated) {
  std::string out(word_of(m.order));
  return m.order == HangFirst::from ? out + " " + stated.runs[m.from_run].name : out;
}

}  // namespace

constinit const OutputSpec kHangersOutput{"hangers.csv", "with cut_top, cut_bottom or stock",
                                          "rods to cut, and from which piece of stock", kHangersColumns};
constinit const OutputSpec kTrapezeOutput{"trapeze.csv", "with obstructions",
                                          "hangers that are bridged, and their supports", kTrapezeColumns};
constinit const OutputSpec kPieceMarksOutput{"piece-marks.csv", "with pieces or joint_every",
                                             "what to mark on every piece", kPieceMarksColumns};
constinit const OutputSpec kMembersOutput{"members.csv", "with runs",
                                          "members of runs, their lengths and ends", kMembersColumns};
constinit const OutputSpec kSiteCutsOutput{"site-cuts.csv", "with pieces or joint_every",
                                           "pieces to cut on site; none where no cut keeps the rules",
                                           kSiteCutsColumns};
constinit const OutputSpec kCrossingsOutput{"crossings.csv", "with runs", "where runs meet",
                                            kCrossingsColumns};
constinit const OutputSpec kPartsOutput{"parts.csv", "with runs, obstructions, cuts or needs",
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
  std::vector<PieceRow> rows = piece_rows(laid.overhead);
  const std::size_t n = rows.size();
  return declared_table(
      kPieceMarksColumns, unit, n,
      [&laid, &stated, u = InUnit(unit), rows = std::move(rows)](auto& sink, std::size_t i) {
        const PieceRow& r = rows[i];
        const Member& member = laid.overhead.members.members[r.member];
        sink.text(laid.overhead.pieces[r.member].names[r.mark->piece]);
        sink.text(stated.runs[member.run].name);
        if (r.mark->what == PieceMark::What::hanger)
          sink.integer(laid.numbers.of(laid.overhead.runs[member.run].hangers[r.mark->index].mark));
        else
          sink.text(mark_word(r.mark->what));
        u.put(sink, r.mark->along_piece);
        u.put(sink, r.mark->along_run);
        sink.text(word_of(member.side));
      });
}

std::unique_ptr<WrittenTable> members_table(const Overhead& overhead, const OverheadJob& stated,
                                            LengthUnit unit) {
  return declared_table(kMembersColumns, unit, overhead.members.members.size(),
                        [&overhead, &stated, u = InUnit(unit)](auto& sink, std::size_t i) {
                          const Member& m = overhead.members.members[i];
                          const bool is_ring = overhead.runs[m.run].path.is_closed();
                          sink.text(stated.runs[m.run].name);
                          sink.text(word_of(m.side));
                          u.put(sink, m.length());
                          sink.text(is_ring ? "" : word_of(m.start));
                          sink.text(is_ring ? "" : word_of(m.finish));
                          sink.text(order_words(m, stated));
                        });
}

std::unique_ptr<WrittenTable> site_cuts_table(const Overhead& overhead, LengthUnit unit) {
  std::vector<const SiteCutFound*> cuts;
  for (const SiteCutFound& c : overhead.site_cuts)
    if (c.is_allowed) cuts.push_back(&c);
  const std::size_t n = cuts.size();
  return declared_table(kSiteCutsColumns, unit, n,
                        [cuts = std::move(cuts), u = InUnit(unit)](auto& sink, std::size_t i) {
                          const SiteCutFound& c = *cuts[i];
                          sink.text(c.piece);
                          sink.text(word_of(c.member));
                          u.put(sink, c.amount);
                          sink.text(word_of(c.end));
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
                          sink.text(c.through ? std::string_view(stated.runs[*c.through].name) : "");
                        });
}

std::unique_ptr<WrittenTable> parts_table(std::vector<PartLine> parts, LengthUnit unit) {
  const std::size_t n = parts.size();
  return declared_table(kPartsColumns, unit, n,
                        [u = InUnit(unit), parts = std::move(parts)](auto& sink, std::size_t i) {
                          sink.text(parts[i].part);
                          sink.integer(static_cast<std::int64_t>(parts[i].count));
                          u.put(sink, parts[i].length);
                          sink.text(parts[i].member);
                        });
}

}  // namespace deckmark
