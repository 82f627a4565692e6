#include <fmt/format.h>

#include <map>

#include "job/columns.h"
#include "job/tables.h"
#include "measure/letters.h"
#include "table/meant_word.h"
#include "table/names.h"

namespace deckmark {

namespace {

namespace c = deckmark::ties;

/// One stated coordinate: plain, or a building line with an offset along the axis.
class StatedColumn {
 public:
  /// `states_x`: the axis of the building lines that it may name.
  StatedColumn(const Job& job, const LengthCells& plain, const WordsColumn& line, const LengthCells& off,
               bool states_x, Messages& messages)
      : job_(job),
        plain_(plain),
        line_(line),
        off_(off),
        states_x_(states_x),
        read_plain_(lengths_of(plain, job.drawing_unit, kDrawingUnit, messages)),
        read_off_(lengths_of(off, job.drawing_unit, kDrawingUnit, messages)) {}

  bool is_stated(const Row& row) const { return plain_.has(row) || line_.has(row) || off_.has(row); }

  std::optional<Length> read(const Row& row, Messages& told) const {
    const auto value = read_plain_.read(row, told), off = read_off_.read(row, told);
    if (line_.has(row) && plain_.has(row))
      return refuse(line_, row, {fmt::format("{} beside {}", line_.name(), plain_.name()), "one of them", ""},
                    told);
    if (off_.has(row) && !line_.has(row))
      return refuse(off_, row,
                    {fmt::format("{} without {}", off_.name(), line_.name()),
                     "the building line that it is measured from", ""},
                    told);
    if (!line_.has(row)) return value;
    if (off_.has(row) && !off) return std::nullopt;
    const BuildingLine* line = line_of(row, told);
    if (!line) return std::nullopt;
    return line->at + off.value_or(Length::metres(0));
  }

 private:
  std::optional<Length> refuse(const AnyColumn& column, const Row& row, const Fault& fault,
                               Messages& told) const {
    column.problem(row, fault, told);
    return std::nullopt;
  }
  const BuildingLine* line_of(const Row& row, Messages& told) const {
    const auto word = read_name_or_empty(line_, row, told);
    if (!word) return nullptr;
    std::vector<std::string> known;
    for (const BuildingLine& l : job_.checks.lines) {
      if (l.states_x != states_x_) continue;
      if (same_name(l.name, *word)) return &l;
      known.push_back(l.name);
    }
    const auto near = meant_word(*word, known);
    const bool no_table = !job_.checks.lines_table.table;
    refuse(line_, row,
           {in_quotes(*word),
            no_table ? "a line of the table that drawing.lines names (the job names none)"
                     : fmt::format("a building line whose axis is {}", states_x_ ? "x" : "y"),
            near.value_or("")},
           told);
    return nullptr;
  }
  const Job& job_;
  LengthCells plain_;
  WordsColumn line_;
  LengthCells off_;
  bool states_x_;
  LengthColumn read_plain_, read_off_;
};

/// A tie, and the column of the building whose face it is.
struct ReadTie {
  KeyedTie tie;
  std::string face_of;
};

Length mean(Length a, Length b) { return (a + b) / 2; }
std::optional<Length> mean(const std::optional<Length>& a, const std::optional<Length>& b) {
  return a ? std::optional(mean(*a, *b)) : std::nullopt;
}
/// The column's own place is in both: the mean of two faces is no better placed than one.
Length together(Length a, Length b) { return hypot(a, b) / std::sqrt(2.0); }

KeyedTie middle_of(const ReadTie& a, const ReadTie& b) {
  const KeyedTie &p = a.tie, &q = b.tie;
  return {a.face_of,
          mean(p.x, q.x),
          mean(p.y, q.y),
          together(p.sd_x, q.sd_x),
          together(p.sd_y, q.sd_y),
          std::min(p.tolerance, q.tolerance),
          p.own_tolerance || q.own_tolerance,
          {p.found.front(), q.found.front()}};
}

/// Two faces of one column become one tie, named after the column and standing where the first of them
/// stands.
class Faces {
 public:
  Faces(const WordsColumn& face_of, Messages& messages) : face_of_(face_of), messages_(messages) {}

  void join(const std::vector<ReadTie>& rows, const std::vector<std::uint32_t>& begins, Rows<KeyedTie>& out) {
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
      messages_.notice("faces of a column averaged", face_of_.where(begins[i]), face_of_.name(),
                       fmt::format("{} and {} averaged: tie {}", r.tie.name, rows[same[1]].tie.name,
                                   in_quotes(r.face_of)));
    }
  }

 private:
  bool is_pair(const std::vector<ReadTie>& rows, const std::vector<std::uint32_t>& begins,
               const std::vector<std::size_t>& same) {
    const auto refuse = [&](std::size_t row, const Fault& fault) {
      messages_.problem(face_of_.where(begins[row]), face_of_.name(), fault);
      return false;
    };
    const std::string& column = rows[same[0]].face_of;
    if (same.size() == 1)
      return refuse(same[0], {in_quotes(column) + " once", "two opposite faces of one column, a row each",
                              "leaving the cell empty for one face alone"});
    if (same.size() > 2)
      return refuse(same[2], {in_quotes(column) + " a third time", "two opposite faces of one column", ""});
    const KeyedTie &a = rows[same[0]].tie, &b = rows[same[1]].tie;
    if (a.x.has_value() != b.x.has_value() || a.y.has_value() != b.y.has_value())
      return refuse(same[1], {fmt::format("{}, which states other coordinates than {}",
                                          rows[same[1]].tie.name, rows[same[0]].tie.name),
                              "two faces that state the same coordinates", ""});
    return true;
  }
  WordsColumn face_of_;
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

void TableLoader::ties(const TableKey& key, Length tie_sd, Length permitted) {
  const auto table = may_be_sighted() ? open<c::Terms, c::Places>(key)
                                      : open_measured<c::Terms, PlacePairs<>, c::northing, c::easting>(key);
  if (!table) return;
  const auto x = table.at<c::x>(), y = table.at<c::y>();
  const auto x_line = table.at<c::x_line>(), y_line = table.at<c::y_line>();
  if (!x.stands() && !y.stands() && !x_line.stands() && !y_line.stands()) {
    messages_.problem(x.header(), "header", Fault{columns_found(*table), "ties column x, or y, or both", ""});
    return;
  }
  const StatedColumn read_x(job_, x, x_line, table.at<c::x_off>(), true, messages_),
      read_y(job_, y, y_line, table.at<c::y_off>(), false, messages_);
  refuse_two_feet(x, y, job_.drawing_unit, messages_);
  const PlaceCells place({{PlaceColumns::site, table.at<c::northing>(), table.at<c::easting>()}},
                         may_be_sighted(), messages_);
  if (!place.is_usable()) return;
  const SiteColumns site(table.at<c::northing>(), table.at<c::easting>(), job_.site_unit, messages_,
                         grid_of(key));
  const auto on_site = [&](const LengthCells& column, LengthColumn::Takes takes) {
    return lengths_of(column, job_.site_unit, kSiteUnit, messages_, takes);
  };
  const auto sd = table.at<c::sd>(), sd_x = table.at<c::sd_x>(), sd_y = table.at<c::sd_y>();
  const auto shot_sd_n = table.at<c::sd_northing>(), shot_sd_e = table.at<c::sd_easting>();
  const auto tolerance = table.at<c::tolerance>();
  const LengthColumn read_sd = on_site(sd, is_sd_above_zero), read_sd_x = on_site(sd_x, is_sd_above_zero),
                     read_sd_y = on_site(sd_y, is_sd_above_zero);
  const LengthColumn read_shot_n = on_site(shot_sd_n, is_not_negative),
                     read_shot_e = on_site(shot_sd_e, is_not_negative);
  const LengthColumn read_tolerance = on_site(tolerance, is_above_zero);
  const ReadTies read =
      read_records<ReadTies>(*table, messages_, [&](ReadTies& out, const Row& row, Messages& told) {
        const auto name = read_name(table.at<c::mark>(), row, told);
        const auto at_x = read_x.read(row, told), at_y = read_y.read(row, told);
        const bool is_left = place.is_left(row);
        const auto at = is_left ? std::nullopt : site.require(row, told);
        const bool has_place = is_left ? place.may_be_left(row, name.value_or(""), told) : at.has_value();
        const auto of_setup = read_name_or_empty(table.at<c::setup>(), row, told);
        const auto spread_of = [&](const LengthCells& column, const LengthColumn& reader) {
          return believed_sd(column, row, above_zero(column, row, reader.read(row, told), told), told);
        };
        const auto both = spread_of(sd, read_sd), along_x = spread_of(sd_x, read_sd_x),
                   along_y = spread_of(sd_y, read_sd_y);
        // Zero where a setup stood fixed: then the tie's own sd is all there is.
        const auto shot = [&](const LengthCells& column, const LengthColumn& reader) {
          return not_negative(column, row, reader.read(row, told), told).value_or(Length::metres(0));
        };
        const Length shot_n = shot(shot_sd_n, read_shot_n), shot_e = shot(shot_sd_e, read_shot_e);
        const auto limit = believed_tolerance(
            tolerance, row, above_zero(tolerance, row, read_tolerance.read(row, told), told), told);
        const auto column = read_name_or_empty(table.at<c::face_of>(), row, told);
        if (!read_x.is_stated(row) && !read_y.is_stated(row)) {
          told.problem(Where::in(table->source(), row.begin()), "row",
                       Fault{"neither x nor y", "a tie's drawing x, or y, or both", ""});
          return;
        }
        if (!name || !has_place || !of_setup || (read_x.is_stated(row) && !at_x) ||
            (read_y.is_stated(row) && !at_y))
          return;
        const Length spread = both.value_or(tie_sd);
        out.ties.push_back({{std::string(*name),
                             at_x,
                             at_y,
                             along_x.value_or(spread),
                             along_y.value_or(spread),
                             limit.value_or(permitted),
                             limit.has_value(),
                             {{std::string(*name), at, shot_n, shot_e, std::string(*of_setup), row.begin()}}},
                            std::string(column.value_or(""))});
        out.begins.push_back(row.begin());
      });
  TextColumn marks;
  for (const ReadTie& t : read.ties) marks.push_back(t.tie.name);
  unique_names(table.at<c::mark>(), read.begins, NameIndex(marks), marks);
  Rows<KeyedTie> rows;
  Faces(table.at<c::face_of>(), messages_).join(read.ties, read.begins, rows);
  if (rows.records.size() != read.ties.size())
    unique_names(table.at<c::face_of>(), rows.begins, NameIndex(rows.names), rows.names);
  job_.ties_table = {table.shared(), std::move(rows.begins)};
  job_.ties = std::move(rows.records);
}

}  // namespace deckmark
