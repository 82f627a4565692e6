#include "job/read_overhead.h"

#include <fmt/format.h>

#include "job/columns.h"
#include "measure/verdict.h"

namespace deckmark {

namespace {

constexpr Length kLongest = Length::metres(1000);  // of a stock piece; a hanger is no longer

/// A place that is given by two cells or by neither; nothing, and told, where one is alone or bad.
struct OptionalPlace {
  bool good = true;
  std::optional<Point<Drawing>> at;
};
OptionalPlace read_place(const Row& row, const DrawingColumns& columns, std::size_t x, std::size_t y,
                         Messages& told) {
  if (!row.has(x) && !row.has(y)) return {};
  const auto at = columns.require(row, told);
  return {at.has_value(), at};
}

std::optional<StatedRun::Kind> kind_of(const Table& table, const Row& row, std::size_t column,
                                       Messages& told) {
  const std::string_view word = row.text(column);
  if (word.empty() || word == "line") return StatedRun::Kind::line;
  if (word == "arc") return StatedRun::Kind::arc;
  if (word == "ring") return StatedRun::Kind::ring;
  told.problem(Where::in(table.source(), row.offset(column)), "kind",
               Fault{in_quotes(word), "line, arc or ring", ""});
  return std::nullopt;
}

void read_run_table(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  enum Column : std::size_t { run, kind, x1, y1, x2, y2, xm, ym, height };
  const auto table =
      tables.open(key, {"runs",
                        {name_column("run"), text_column("kind"), length_column("x1", true),
                         length_column("y1", true), length_column("x2", true), length_column("y2", true),
                         length_column("xm"), length_column("ym"), length_column("height")},
                        {},
                        false});
  if (!table) return;
  const DrawingColumns first(*table, x1, y1, job.drawing_unit, kDrawingUnit, messages),
      second(*table, x2, y2, job.drawing_unit, kDrawingUnit, messages);
  const DrawingColumns middle(*table, xm, ym, job.drawing_unit, kDrawingUnit, messages);
  const LengthColumn read_height(*table, height, job.drawing_unit, kDrawingUnit, messages);
  auto rows = read_records<Rows<StatedRun>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
    const auto name = read_name(*table, row, run, told);
    const auto what = kind_of(*table, row, kind, told);
    const auto from = first.require(row, told), to = second.require(row, told);
    const OptionalPlace between = read_place(row, middle, xm, ym, told);
    const auto high = read_height.read(row, told);
    if (!name || !what || !from || !to || !between.good) return;
    if (*what == StatedRun::Kind::arc && !between.at) {
      told.problem(Where::in(table->source(), row.offset(xm)), "xm",
                   Fault{"an arc without xm and ym", "a point on the arc between its ends", ""});
      return;
    }
    if (*what != StatedRun::Kind::arc && between.at) {
      told.problem(Where::in(table->source(), row.offset(xm)), "xm",
                   Fault{fmt::format("xm and ym of a {}", *what == StatedRun::Kind::line ? "line" : "ring"),
                         "them for an arc alone", "arc as kind"});
      return;
    }
    out.add({std::string(*name), *what, *from, *to, between.at, high}, *name, row.begin());
  });
  tables.unique_names(*table, rows.begins, NameIndex(rows.names), rows.names, run);
  job.overhead.runs_table = {table, std::move(rows.begins)};
  job.overhead.runs = std::move(rows.records);
}

void read_piece_table(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  enum Column : std::size_t { piece, run, length };
  const auto table = tables.open(
      key, {"pieces", {name_column("piece"), name_column("run"), length_column("length", true)}, {}, false});
  if (!table) return;
  const LengthColumn read_length(*table, length, job.drawing_unit, kDrawingUnit, messages, is_above_zero);
  auto rows =
      read_records<Rows<StatedPiece>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
        const auto name = read_name(*table, row, piece, told), of_run = read_name(*table, row, run, told);
        const auto long_ = above_zero(*table, row, length, read_length.require(row, told), told);
        if (name && of_run && long_)
          out.add({std::string(*name), std::string(*of_run), *long_}, *name, row.begin());
      });
  job.overhead.pieces_table = {table, std::move(rows.begins)};
  job.overhead.pieces = std::move(rows.records);
}

/// `x` or `y` with a pitch and a first line; nothing where the row states no flutes, or badly (told).
std::optional<StatedFlutes> read_flutes(const Table& table, const Row& row, std::size_t way,
                                        std::optional<Length> pitch, std::optional<Length> first,
                                        Messages& told) {
  const std::string_view word = row.text(way);
  const auto refuse = [&](std::string found, std::string expected,
                          std::string_view suggestion) -> std::optional<StatedFlutes> {
    told.problem(Where::in(table.source(), row.offset(way)), "flutes",
                 Fault{std::move(found), std::move(expected), std::string(suggestion)});
    return std::nullopt;
  };
  if (word.empty()) {
    if (pitch || first)
      return refuse("flute_pitch or flute_first without flutes",
                    "x or y, the axis along which the flutes run", "");
    return std::nullopt;
  }
  if (word != "x" && word != "y")
    return refuse(in_quotes(word), "x or y, the axis along which the flutes run", "");
  if (!pitch || !first) return refuse("flutes without flute_pitch and flute_first", "both", "");
  return StatedFlutes{word == "x", *pitch, *first};
}

void read_bay_table(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  enum Column : std::size_t { bay, x, y, elevation, flutes, pitch, first };
  const auto table = tables.open(
      key,
      {"bays",
       {name_column("bay"), length_column("x", true), length_column("y", true), length_column("elevation"),
        text_column("flutes"), length_column("flute_pitch"), length_column("flute_first")},
       {},
       false});
  if (!table) return;
  const DrawingColumns place(*table, x, y, job.drawing_unit, kDrawingUnit, messages);
  const LengthColumn read_elevation(*table, elevation, job.site_unit, kSiteUnit, messages);
  const LengthColumn read_pitch(*table, pitch, job.drawing_unit, kDrawingUnit, messages, is_above_zero),
      read_first(*table, first, job.drawing_unit, kDrawingUnit, messages);
  auto rows =
      read_records<Rows<StatedCorner>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
        const auto name = read_name(*table, row, bay, told);
        const auto at = place.require(row, told);
        const auto high = read_elevation.read(row, told);
        const auto apart = above_zero(*table, row, pitch, read_pitch.read(row, told), told);
        const auto fluted = read_flutes(*table, row, flutes, apart, read_first.read(row, told), told);
        if (name && at)
          out.add({std::string(*name), *at, elevation_of(high), fluted, std::nullopt}, *name, row.begin());
      });
  job.overhead.bays_table = {table, std::move(rows.begins)};
  job.overhead.bays = std::move(rows.records);
}

void read_outline_table(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  enum Column : std::size_t { name, x, y, clearance };
  const auto table = tables.open(key, {"obstructions",
                                       {name_column("name"), length_column("x", true),
                                        length_column("y", true), length_column("clearance")},
                                       {},
                                       false});
  if (!table) return;
  const DrawingColumns place(*table, x, y, job.drawing_unit, kDrawingUnit, messages);
  const LengthColumn read_clearance(*table, clearance, job.drawing_unit, kDrawingUnit, messages,
                                    is_not_negative);
  auto rows =
      read_records<Rows<StatedCorner>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
        const auto of = read_name(*table, row, name, told);
        const auto at = place.require(row, told);
        const auto clear = not_negative(*table, row, clearance, read_clearance.read(row, told), told);
        if (of && at) out.add({std::string(*of), *at, std::nullopt, std::nullopt, clear}, *of, row.begin());
      });
  job.overhead.outlines_table = {table, std::move(rows.begins)};
  job.overhead.outlines = std::move(rows.records);
}

}  // namespace

void read_runs(SectionReader& drawing, Job& job, TableLoader& tables, Messages& messages) {
  job.overhead.hangers.separation = drawing.tolerance("separation", false);
  if (const auto key = drawing.table("runs")) read_run_table(*key, job, tables, messages);
  if (const auto key = drawing.table("pieces")) {
    if (!drawing.has("runs"))
      drawing.problem("pieces",
                      Fault{"pieces without runs", "the runs along which they lie", "runs = \"runs.csv\""});
    read_piece_table(*key, job, tables, messages);
  }
}

void read_bays(SectionReader& deck, Job& job, TableLoader& tables, Messages& messages) {
  job.overhead.flute_move = deck.tolerance("flute_move", true);
  const auto key = deck.table("bays");
  if (!key) return;
  if (deck.has("elevation"))
    deck.problem("elevation",
                 Fault{"elevation beside bays", "each bay's own elevation, or shots that name their bay",
                       "a column elevation in the bays table"});
  read_bay_table(*key, job, tables, messages);
}

void read_hanger_rules(SectionReader& hangers, Job& job) {
  HangerOptions& o = job.overhead.hangers;
  o.max_spacing = job.max_spacing;
  o.end_distance = hangers.tolerance("end_distance", true);
  o.joint_every = hangers.tolerance("joint_every", false);
  if (const auto clear = hangers.tolerance("joint_clear", true)) o.joint_clear = *clear;
  o.joint_support = hangers.tolerance("joint_support", false);
  o.crossing_support = hangers.tolerance("crossing_support", false);
  if (!job.overhead.runs.empty() && !hangers.has("max_spacing"))
    hangers.problem(
        "max_spacing",
        Fault{"runs without max_spacing",
              "the widest space between hangers along a run, such as max_spacing = \"1.2 m\"", ""});
  if (o.end_distance && o.max_spacing && *o.end_distance > *o.max_spacing)
    hangers.doubt("an end distance over max_spacing", "end_distance",
                  "ends further from a hanger than hangers from one another: a slip of the unit?");
  if (o.joint_support && *o.joint_support < o.joint_clear)
    hangers.problem("joint_support", Fault{"joint_support under joint_clear",
                                           "a hanger that may stand near enough to support a joint", ""});
  CutOptions& cut = job.overhead.cut;
  cut.top = hangers.tolerance("cut_top", true);
  cut.bottom = hangers.tolerance("cut_bottom", true);
  cut.stock = hangers.tolerance("stock", false);
  cut.round = hangers.tolerance("cut_round", false);
  if (const auto kerf = hangers.tolerance("kerf", true)) {
    constexpr Length kWidest =
        Length::millimetres(10);  // of a saw or a cutting disc (common practice, no source)
    cut.kerf = *kerf;
    if (*kerf > kWidest + kHair)
      hangers.doubt(
          "a kerf that is hard to believe", "kerf",
          "wider than 10 mm (common practice, no source), more than a saw takes: a slip of the unit?");
  }
  if (cut.stock && *cut.stock > kLongest)
    hangers.problem("stock", Fault{"a stock length over 1000 m",
                                   "the length of a rod or wire as it is delivered, such as 3.66 m", ""});
  for (const std::string_view key : {"stock", "max_spacing", "joint_every"})
    if (hangers.has(key)) job.keys[hangers.full(key)] = hangers.where(key);
}

void read_obstructions(SectionReader& section, Job& job, TableLoader& tables, Messages& messages) {
  job.overhead.trapezes.reach = section.tolerance("reach", false);
  if (const auto clear = section.tolerance("clearance", true)) job.overhead.clearance = *clear;
  if (const auto key = section.table("outlines")) read_outline_table(*key, job, tables, messages);
  section.finish();
}

}  // namespace deckmark
