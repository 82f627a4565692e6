// Runs and the pieces that lie along them.
#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "job/keys/drawing_keys.h"
#include "job/read_overhead.h"
#include "measure/length_text.h"

namespace deckmark {

namespace {

/// A place that is given by two cells or by neither; nothing, and told, where one is alone or bad.
struct OptionalPlace {
  bool good = true;
  std::optional<Point<Drawing>> at;
};
OptionalPlace read_place(const Row& row, const DrawingColumns& columns, const LengthCells& x,
                         const LengthCells& y, Messages& told) {
  if (!x.has(row) && !y.has(row)) return {};
  const auto at = columns.require(row, told);
  return {at.has_value(), at};
}

/// What stands between the semicolons of a cell, without blanks around.
std::vector<std::string_view> listed(std::string_view text) {
  std::vector<std::string_view> out;
  while (!text.empty()) {
    const std::size_t at = std::min(text.find(';'), text.size());
    std::string_view one = text.substr(0, at);
    while (!one.empty() && one.front() == ' ') one.remove_prefix(1);
    while (!one.empty() && one.back() == ' ') one.remove_suffix(1);
    if (!one.empty()) out.push_back(one);
    text.remove_prefix(std::min(at + 1, text.size()));
  }
  return out;
}

/// The columns of a run that say how its members end and meet others.
class MeetingColumns {
 public:
  MeetingColumns(const OpenTable<runs::Terms>& table, LengthUnit unit, Messages& messages)
      : table_(table),
        separation_(lengths_of(table.at<runs::separation>(), unit, kDrawingUnit, messages, is_not_negative)),
        start_left_(lengths_of(table.at<runs::start_left>(), unit, kDrawingUnit, messages)),
        start_right_(lengths_of(table.at<runs::start_right>(), unit, kDrawingUnit, messages)),
        finish_left_(lengths_of(table.at<runs::finish_left>(), unit, kDrawingUnit, messages)),
        finish_right_(lengths_of(table.at<runs::finish_right>(), unit, kDrawingUnit, messages)) {}

  /// False where a cell is bad (told).
  bool read(const Row& row, StatedRun& run, Messages& told) const {
    const std::size_t before = told.problems();
    run.separation = not_negative(table_.at<runs::separation>(), row, separation_.read(row, told), told);
    read_word(table_.at<runs::start>(), row, kRunEndWords, run.start, told);
    read_word(table_.at<runs::finish>(), row, kRunEndWords, run.finish, told);
    run.reach = {start_left_.read(row, told), start_right_.read(row, told), finish_left_.read(row, told),
                 finish_right_.read(row, told)};
    if (const auto by = read_text(table_.at<runs::cut_by>(), row, told))
      for (const std::string_view name : listed(*by)) run.cut_by.emplace_back(name);
    if (run.kind == StatedRun::Kind::ring && (run.start || run.finish || run.reach.any()))
      ring_ends(row, run, told);
    return told.problems() == before;
  }

 private:
  void ring_ends(const Row& row, const StatedRun& run, Messages& told) const {
    const auto tell = [&](const AnyColumn& column) {
      column.problem(row, Fault{"an end of a ring", "nothing here: a ring has no ends", ""}, told);
    };
    if (run.start) return tell(table_.at<runs::start>());
    if (run.finish) return tell(table_.at<runs::finish>());
    if (run.reach.start_left) return tell(table_.at<runs::start_left>());
    if (run.reach.start_right) return tell(table_.at<runs::start_right>());
    tell(run.reach.finish_left ? table_.at<runs::finish_left>() : table_.at<runs::finish_right>());
  }

  const OpenTable<runs::Terms>& table_;
  LengthColumn separation_, start_left_, start_right_, finish_left_, finish_right_;
};

void read_run_table(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  namespace c = deckmark::runs;
  const auto table = tables.open<c::Terms>(key);
  if (!table) return;
  const DrawingColumns first(table.at<c::x1>(), table.at<c::y1>(), job.drawing_unit, kDrawingUnit, messages),
      second(table.at<c::x2>(), table.at<c::y2>(), job.drawing_unit, kDrawingUnit, messages);
  const auto xm = table.at<c::xm>(), ym = table.at<c::ym>();
  const DrawingColumns middle(xm, ym, job.drawing_unit, kDrawingUnit, messages);
  const LengthColumn read_height =
      lengths_of(table.at<c::height>(), job.drawing_unit, kDrawingUnit, messages);
  const MeetingColumns meeting(table, job.drawing_unit, messages);
  auto rows = read_records<Rows<StatedRun>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
    const auto name = read_name(table.at<c::run>(), row, told);
    std::optional<StatedRun::Kind> what;
    const bool is_kind = read_word(table.at<c::kind>(), row, kRunKindWords, what, told);
    const auto from = first.require(row, told), to = second.require(row, told);
    const OptionalPlace between = read_place(row, middle, xm, ym, told);
    const auto high = read_height.read(row, told);
    const Point<Drawing> none{{.x = Length::metres(0), .y = Length::metres(0)}};
    StatedRun run{std::string(name.value_or("")),
                  what.value_or(StatedRun::Kind::line),
                  from.value_or(none),
                  to.value_or(none),
                  between.at,
                  high};
    const bool meets = meeting.read(row, run, told);
    if (!name || !is_kind || !from || !to || !between.good || !meets) return out.refuse(name, row.begin());
    if (run.kind == StatedRun::Kind::arc && !between.at) {
      xm.problem(row, Fault{"an arc without xm and ym", "a point on the arc between its ends", ""}, told);
      return out.refuse(name, row.begin());
    }
    if (run.kind != StatedRun::Kind::arc && between.at) {
      xm.problem(row,
                 Fault{fmt::format("xm and ym of a {}", kRunKindWords[static_cast<std::size_t>(run.kind)]),
                       "them for an arc alone", "arc as kind"},
                 told);
      return out.refuse(name, row.begin());
    }
    out.add(std::move(run), *name, row.begin());
  });
  const std::size_t before = messages.problems();
  refuse_name_twice(tables, table.at<c::run>(), rows);
  job.overhead.refused_runs = refused_of(rows);
  // A name that stands twice is another run's name in one of its rows.
  if (messages.problems() > before) job.overhead.refused_runs.any_unnamed = true;
  job.overhead.runs_table = {table.shared(), std::move(rows.begins)};
  job.overhead.runs = std::move(rows.records);
}

/// Distances with `;` between; nothing where one is none (told).
std::optional<std::vector<Length>> read_notches(const WordsColumn& column, const Row& row,
                                                const LengthForm& form, Messages& told) {
  std::vector<Length> out;
  for (const std::string_view text : listed(column.text(row))) {
    const auto read = read_length(text, form);
    if (!read) {
      column.problem(row, read.fault(), told);
      return std::nullopt;
    }
    if (read->value < Length::metres(0)) {
      column.problem(row, Fault{in_quotes(text), "a distance from the start of the piece, 0 or more", ""},
                     told);
      return std::nullopt;
    }
    out.push_back(read->value);
  }
  std::sort(out.begin(), out.end());
  return out;
}

void read_piece_table(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  namespace c = deckmark::pieces;
  const auto table = tables.open<c::Terms>(key);
  if (!table) return;
  const auto length = table.at<c::length>();
  const LengthColumn read_length =
      lengths_of(length, job.drawing_unit, kDrawingUnit, messages, is_above_zero);
  const LengthForm form{table.at<c::notches>().header_unit().value_or(job.drawing_unit),
                        table->decimal_comma()};
  auto rows =
      read_records<Rows<StatedPiece>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
        const auto name = read_name(table.at<c::piece>(), row, told),
                   of_run = read_name(table.at<c::run>(), row, told);
        const auto long_ = above_zero(length, row, read_length.require(row, told), told);
        std::optional<MemberSide> member;
        std::optional<MayCut> may_cut;
        const bool is_member = read_word(table.at<c::member>(), row, kMemberWords, member, told, 1),
                   is_may_cut = read_word(table.at<c::may_cut>(), row, kMayCutWords, may_cut, told);
        auto notches = read_notches(table.at<c::notches>(), row, form, told);
        if (name && of_run && long_ && is_member && is_may_cut && notches)
          out.add({std::string(*name), std::string(*of_run), *long_, member, std::move(*notches),
                   may_cut.value_or(MayCut::both)},
                  *name, row.begin());
        else
          out.refuse(name, row.begin());
      });
  refuse_name_twice(tables, table.at<c::piece>(), rows);
  job.overhead.pieces_table = {table.shared(), std::move(rows.begins)};
  job.overhead.pieces = std::move(rows.records);
}

}  // namespace

void read_runs(const JobReading& in) {
  Job& job = in.job;
  Messages& told = in.told.of(Part::overhead);
  TableLoader tables = in.tables(Part::overhead);
  auto drawing = in.section<kDrawing>(Part::overhead);
  drawing.read<kRunKeys>(job);
  if (job.named.runs) read_run_table(*job.named.runs, job, tables, told);
  if (!job.named.pieces) return;
  if (drawing.lacks("runs"))
    drawing.problem("pieces",
                    Fault{"pieces without runs", "the runs along which they lie", "runs = \"runs.csv\""});
  read_piece_table(*job.named.pieces, job, tables, told);
}

}  // namespace deckmark
