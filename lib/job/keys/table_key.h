#pragma once
/// A key that names a table: the path of its file, and what the job file says of it. Data only.

#include <cstdint>
#include <string>
#include <vector>

#include "job/keys/stated.h"
#include "table/renaming.h"
#include "table/source.h"
#include "terms/key.h"

namespace deckmark {

/// A table key: a path, and the columns of a file without a header, or the words of one with a header.
struct TableKey {
  std::string path;
  std::vector<std::string> columns;
  std::string key;  ///< `drawing.points`
  Where place;      ///< of the value; it names the file from which `path` counts
  enum class Frame : std::uint8_t { unstated, ground, grid };
  Frame frame = Frame::unstated;  ///< of its northings and eastings
  std::vector<StatedRename> renames = {};
};

/// A file's words for columns, each with the program's.
struct RenamesKind {
  using Value = std::vector<StatedRename>;
};

/// What a table key may say in braces.
inline constexpr auto kTable = section<TableKey>(
    "table", key<&TableKey::path>("file", TextKind{}, "path of the file", R"("deck.csv")"),
    key<&TableKey::columns>(
        "columns", TextsKind{"the table's columns in order", "no columns key where the file has a header"},
        "the columns in their order, where the file has no header",
        R"(["shot", "northing", "easting", "elevation"])"),
    key<&TableKey::renames>("rename", RenamesKind{},
                            "words of the file's header, each with the column that it means",
                            R"({ pt_number = "point", elev = "elevation" })"));
/// The same where northings and eastings may be ground or grid ones.
inline constexpr auto kFramedTable = joined(
    kTable,
    section<TableKey>("table", key<&TableKey::frame>(
                                   "frame",
                                   choice<TableKey::Frame>({{"ground", TableKey::Frame::ground},
                                                            {"grid", TableKey::Frame::grid}}),
                                   "grid: northings and eastings are those of the projection", R"("grid")")));

/// `framed`: the table may say that its northings and eastings are ground or grid ones. `what`: the file, in
/// a word.
struct TableKind {
  using Value = TableKey;
  bool framed = false;
  std::string_view what = "table";
};

/// The tables and files that a job names.
struct NamedTables {
  Stated<TableKey> points, runs, pieces, lines, dimensions;
  Stated<TableKey> needs, bill, arrived;
  Stated<TableKey> control;
  Stated<TableKey> ties, lengths, signed_fit;
  Stated<TableKey> deck_shots, bays, deck_marks, outlines, asbuilt;
  Stated<TableKey> no_drill, released;
  Stated<TableKey> benchmarks, level_readings, laser_readings;
};

}  // namespace deckmark
