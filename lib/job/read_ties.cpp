#include <fmt/format.h>

#include <map>

#include "job/columns.h"
#include "job/tables.h"
#include "measure/letters.h"
#include "table/meant_word.h"
#include "table/names.h"

namespace deckmark {

namespace {

enum Column : std::size_t {
  mark,
  x,
  y,
  northing,
  easting,
  sd,
  sd_x,
  sd_y,
  permitted,
  x_line,
  x_off,
  y_line,
  y_off,
  face_of,
  shot_sd_northing,
  shot_sd_easting
};

TableSpec ties_spec() {
  return {"ties",
          {name_column("mark", "target"), length_column("x"), length_column("y"),
           length_column("northing", true), length_column("easting", true), length_column("sd"),
           length_column("sd_x"), length_column("sd_y"), length_column("tolerance"), text_column("x_line"),
           length_column("x_off"), text_column("y_line"), length_column("y_off"), text_column("face_of"),
           length_column("sd_northing"), length_column("sd_easting")},
          {},
          false,
          side_shot_columns()};
}

/// One stated coordinate: plain, or a building line with an offset along the axis.
class StatedColumn {
 public:
  StatedColumn(const Job& job, const Table& table, std::size_t plain, std::size_t line, std::size_t off,
               Messages& messages)
      : job_(job),
        table_(table),
        plain_(plain),
        line_(line),
        off_(off),
        read_plain_(table, plain, job.drawing_unit, kDrawingUnit, messages),
        read_off_(table, off, job.drawing_unit, kDrawingUnit, messages) {}

  bool is_stated(const Row& row) const { return row.has(plain_) || row.has(line_) || row.has(off_); }

  std::optional<Length> read(const Row& row, Messages& told) const {
    const auto value = read_plain_.read(row, told), off = read_off_.read(row, told);
    if (row.has(line_) && row.has(plain_))
      return refuse(row, line_, {fmt::format("{} beside {}", name(line_), name(plain_)), "one of them", ""},
                    told);
    if (row.has(off_) && !row.has(line_))
      return refuse(row, off_,
                    {fmt::format("{} without {}", name(off_), name(line_)),
                     "the building line that it is measured from", ""},
                    told);
    if (!row.has(line_)) return value;
    if (row.has(off_) && !off) return std::nullopt;
    const BuildingLine* line = line_of(row, told);
    if (!line) return std::nullopt;
    return line->at + off.value_or(Length::metres(0));
  }

 private:
  const std::string& name(std::size_t column) const { return table_.spec().columns[column].name; }
  std::optional<Length> refuse(const Row& row, std::size_t column, const Fault& fault, Messages& told) const {
    told.problem(Where::in(table_.source(), row.offset(column)), name(column), fault);
    return std::nullopt;
  }
  const BuildingLine* line_of(const Row& row, Messages& told) const {
    const auto word = read_name_or_empty(table_, row, line_, told);
    if (!word) return nullptr;
    const bool wants_x = line_ == x_line;
    std::vector<std::string> known;
    for (const BuildingLine& l : job_.checks.lines) {
      if (l.states_x != wants_x) continue;
      if (same_name(l.name, *word)) return &l;
      known.push_back(l.name);
    }
    const auto near = meant_word(*word, known);
    const bool no_table = !job_.checks.lines_table.table;
    refuse(row, line_,
           {in_quotes(*word),
            no_table ? "a line of the table that drawing.lines names (the job names none)"
                     : fmt::format("a building line whose axis is {}", wants_x ? "x" : "y"),
            near.value_or("")},
           told);
    return nullptr;
  }
  const Job& job_;
  const Table& table_;
  std::size_t plain_, line_, off_;
  LengthColumn read_plain_, read_off_;
};

/// A tie, and the column of the building whose face it is.
struct ReadTie {
  NamedTie tie;
  std::string face_of;
};

Length mean(Length a, Length b) { return (a + b) / 2; }
std::optional<Length> mean(const std::optional<Length>& a, const std::optional<Length>& b) {
  return a ? std::optional(mean(*a, *b)) : std::nullopt;
}
/// The column's own place is in both: the mean of two faces is no better placed than one.
Length together(Length a, Length b) { return hypot(a, b) / std::sqrt(2.0); }

NamedTie middle_of(const ReadTie& a, const ReadTie& b) {
  const Tie &p = a.tie.tie, &q = b.tie.tie;
  return {a.face_of,
          {mean(p.x, q.x),
           mean(p.y, q.y),
           {{.northing = mean(p.at.at.northing, q.at.at.northing),
             .easting = mean(p.at.at.easting, q.at.at.easting)}},
           together(p.sd_x, q.sd_x),
           together(p.sd_y, q.sd_y),
           std::min(p.tolerance, q.tolerance),
           hypot(p.shot_sd_northing, q.shot_sd_northing) / 2,
           hypot(p.shot_sd_easting, q.shot_sd_easting) / 2},
          a.tie.own_tolerance || b.tie.own_tolerance};
}

/// Two faces of one column become one tie, named after the column and standing where the first of them
/// stands.
class Faces {
 public:
  Faces(const Table& table, Messages& messages) : table_(table), messages_(messages) {}

  void join(const std::vector<ReadTie>& rows, const std::vector<std::uint32_t>& begins, Rows<NamedTie>& out) {
    std::map<std::string, std::vector<std::size_t>, std::less<>> faces;
    for (std::size_t i = 0; i < rows.size(); ++i)
      if (!rows[i].face_of.empty()) faces[small_letters(rows[i].face_of)].push_back(i);
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const ReadTie& r = rows[i];
      if (r.face_of.empty()) {
        out.add(r.tie, r.tie.name, begins[i]);
        continue;
      }
      const auto& same = faces.find(small_letters(r.face_of))->second;
      if (same.front() != i || !is_pair(rows, begins, same)) continue;
      out.add(middle_of(r, rows[same[1]]), r.face_of, begins[i]);
      messages_.notice("faces of a column averaged", table_.where(begins[i], face_of), "face_of",
                       fmt::format("{} and {} averaged: tie {}", r.tie.name, rows[same[1]].tie.name,
                                   in_quotes(r.face_of)));
    }
  }

 private:
  bool is_pair(const std::vector<ReadTie>& rows, const std::vector<std::uint32_t>& begins,
               const std::vector<std::size_t>& same) {
    const auto refuse = [&](std::size_t row, Fault fault) {
      messages_.problem(table_.where(begins[row], face_of), "face_of", fault);
      return false;
    };
    const std::string& column = rows[same[0]].face_of;
    if (same.size() == 1)
      return refuse(same[0], {in_quotes(column) + " once", "two opposite faces of one column, a row each",
                              "leaving the cell empty for one face alone"});
    if (same.size() > 2)
      return refuse(same[2], {in_quotes(column) + " a third time", "two opposite faces of one column", ""});
    const Tie &a = rows[same[0]].tie.tie, &b = rows[same[1]].tie.tie;
    if (a.x.has_value() != b.x.has_value() || a.y.has_value() != b.y.has_value())
      return refuse(same[1], {fmt::format("{}, which states other coordinates than {}",
                                          rows[same[1]].tie.name, rows[same[0]].tie.name),
                              "two faces that state the same coordinates", ""});
    return true;
  }
  const Table& table_;
  Messages& messages_;
};

struct ReadTies {
  std::vector<ReadTie> ties;
  std::vector<std::uint32_t> begins;
  void reserve(std::size_t rows) { ties.reserve(rows); }
  void append(ReadTies&& other) {
    for (ReadTie& t : other.ties) ties.push_back(std::move(t));
    begins.insert(begins.end(), other.begins.begin(), other.begins.end());
  }
};

}  // namespace

void TableLoader::ties(const TableKey& key, Length tie_sd, Length tolerance) {
  const auto table = open(key, ties_spec());
  if (!table) return;
  if (!table->has_column(x) && !table->has_column(y) && !table->has_column(x_line) &&
      !table->has_column(y_line)) {
    messages_.problem(Where::in(table->source(), table->header_offset(x)), "header",
                      Fault{columns_found(*table), "ties column x, or y, or both", ""});
    return;
  }
  const StatedColumn read_x(job_, *table, x, x_line, x_off, messages_),
      read_y(job_, *table, y, y_line, y_off, messages_);
  refuse_two_feet(*table, x, y, job_.drawing_unit, messages_);
  const SiteColumns site(*table, northing, easting, job_.site_unit, messages_, grid_of(key));
  const LengthColumn read_sd(*table, sd, job_.site_unit, kSiteUnit, messages_, is_sd_above_zero);
  const LengthColumn read_sd_x(*table, sd_x, job_.site_unit, kSiteUnit, messages_, is_sd_above_zero);
  const LengthColumn read_sd_y(*table, sd_y, job_.site_unit, kSiteUnit, messages_, is_sd_above_zero);
  const LengthColumn read_shot_n(*table, shot_sd_northing, job_.site_unit, kSiteUnit, messages_,
                                 is_not_negative);
  const LengthColumn read_shot_e(*table, shot_sd_easting, job_.site_unit, kSiteUnit, messages_,
                                 is_not_negative);
  const LengthColumn read_tolerance(*table, permitted, job_.site_unit, kSiteUnit, messages_, is_above_zero);
  const ReadTies read =
      read_records<ReadTies>(*table, messages_, [&](ReadTies& out, const Row& row, Messages& told) {
        const auto name = read_name(*table, row, mark, told);
        const auto at_x = read_x.read(row, told), at_y = read_y.read(row, told);
        const auto at = site.require(row, told);
        const auto both =
            believed_sd(*table, row, sd, above_zero(*table, row, sd, read_sd.read(row, told), told), told);
        const auto along_x = believed_sd(
            *table, row, sd_x, above_zero(*table, row, sd_x, read_sd_x.read(row, told), told), told);
        const auto along_y = believed_sd(
            *table, row, sd_y, above_zero(*table, row, sd_y, read_sd_y.read(row, told), told), told);
        // Zero where a setup stood fixed: then the tie's own sd is all there is.
        const auto shot = [&](std::size_t column, const LengthColumn& reader) {
          return not_negative(*table, row, column, reader.read(row, told), told).value_or(Length::metres(0));
        };
        const Length shot_n = shot(shot_sd_northing, read_shot_n),
                     shot_e = shot(shot_sd_easting, read_shot_e);
        const auto limit = believed_tolerance(
            *table, row, permitted, above_zero(*table, row, permitted, read_tolerance.read(row, told), told),
            told);
        const auto column = read_name_or_empty(*table, row, face_of, told);
        if (!read_x.is_stated(row) && !read_y.is_stated(row)) {
          told.problem(Where::in(table->source(), row.begin()), "row",
                       Fault{"neither x nor y", "a tie's drawing x, or y, or both", ""});
          return;
        }
        if (!name || !at || (read_x.is_stated(row) && !at_x) || (read_y.is_stated(row) && !at_y)) return;
        const Length spread = both.value_or(tie_sd);
        out.ties.push_back({{std::string(*name),
                             Tie{at_x, at_y, *at, along_x.value_or(spread), along_y.value_or(spread),
                                 limit.value_or(tolerance), shot_n, shot_e},
                             limit.has_value()},
                            std::string(column.value_or(""))});
        out.begins.push_back(row.begin());
      });
  TextColumn marks;
  for (const ReadTie& t : read.ties) marks.push_back(t.tie.name);
  unique_names(*table, read.begins, NameIndex(marks), marks, mark);
  Rows<NamedTie> rows;
  Faces(*table, messages_).join(read.ties, read.begins, rows);
  if (rows.records.size() != read.ties.size())
    unique_names(*table, rows.begins, NameIndex(rows.names), rows.names, face_of);
  job_.ties_table = {table, std::move(rows.begins)};
  job_.ties = std::move(rows.records);
}

}  // namespace deckmark
