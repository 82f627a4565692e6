#include "job/read_baseline.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "job/columns.h"
#include "job/keys/baselines_keys.h"
#include "job/keys/drawing_keys.h"
#include "job/keys/offsets_keys.h"
#include "measure/length_text.h"
#include "measure/temperature.h"

namespace deckmark {

namespace {

/// Rows without a name of their own.
template <class Record>
struct PlainRows {
  std::vector<Record> records;
  std::vector<std::uint32_t> begins;
  void reserve(std::size_t rows) { records.reserve(rows); }
  void append(PlainRows&& other) {
    for (Record& r : other.records) records.push_back(std::move(r));
    begins.insert(begins.end(), other.begins.begin(), other.begins.end());
  }
  void add(Record record, std::uint32_t begin) {
    records.push_back(std::move(record));
    begins.push_back(begin);
  }
};

void read_lines(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  namespace c = deckmark::building_lines;
  const auto table = tables.open<c::Terms>(key);
  if (!table) return;
  const LengthColumn read_at = lengths_of(table.at<c::at>(), job.drawing_unit, kDrawingUnit, messages);
  const auto axis = table.at<c::axis>();
  auto rows =
      read_records<Rows<BuildingLine>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
        const auto name = read_name(table.at<c::line>(), row, told);
        const auto place = read_at.require(row, told);
        const std::string_view word = axis.text(row);
        const bool is_x = word == "x" || word == "X", is_y = word == "y" || word == "Y";
        if (!is_x && !is_y)
          axis.problem(row,
                       Fault{word.empty() ? "an empty cell" : in_quotes(word),
                             "x for a line whose x is known, y for one whose y is", ""},
                       told);
        if (name && place && (is_x || is_y))
          out.add({std::string(*name), is_x, *place}, *name, row.begin());
        else
          out.refuse(name, row.begin());
      });
  refuse_name_twice(tables, table.at<c::line>(), rows);
  job.checks.lines_table = {table.shared(), std::move(rows.begins)};
  job.checks.lines = std::move(rows.records);
}

void read_dimensions(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  namespace c = deckmark::dimensions;
  const auto table = tables.open<c::Terms>(key);
  if (!table) return;
  const auto span = table.at<c::distance>();
  const LengthColumn read_span = lengths_of(span, job.drawing_unit, kDrawingUnit, messages, is_above_zero);
  auto rows = read_records<PlainRows<PrintedDimension>>(
      *table, messages, [&](auto& out, const Row& row, Messages& told) {
        const auto a = read_name(table.at<c::from>(), row, told), b = read_name(table.at<c::to>(), row, told);
        const auto length = above_zero(span, row, read_span.require(row, told), told);
        if (a && b && length) out.add({std::string(*a), std::string(*b), *length}, row.begin());
      });
  job.checks.dimensions_table = {table.shared(), std::move(rows.begins)};
  job.checks.dimensions = std::move(rows.records);
}

/// The unit that a table's header gives for its temperatures; degrees C where it gives none.
std::optional<TemperatureUnit> temperature_unit_of(const WordsColumn& column, Messages& messages) {
  const std::string& word = column.header_unit_text();
  if (word.empty()) return TemperatureUnit::celsius;
  const auto unit = temperature_unit(word);
  if (!unit)
    messages.problem(column.header(), "header",
                     Fault{"temperature in " + in_quotes(word), "C or F, such as temperature (C)", ""});
  return unit;
}

void read_lengths(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  namespace c = deckmark::lengths;
  const auto table = tables.open<c::Terms>(key);
  if (!table) return;
  const auto measured = table.at<c::measured>(), sd = table.at<c::sd>(),
             slope_rise = table.at<c::slope_rise>();
  const auto temperature = table.at<c::temperature>();
  const auto warm_unit = temperature_unit_of(temperature, messages);
  if (!warm_unit) return;
  const LengthColumn read_measured = lengths_of(measured, job.site_unit, kSiteUnit, messages, is_above_zero);
  const LengthColumn read_sd = lengths_of(sd, job.site_unit, kSiteUnit, messages, is_sd_above_zero);
  const LengthColumn read_rise = lengths_of(slope_rise, job.site_unit, kSiteUnit, messages);
  auto rows =
      read_records<PlainRows<TapedLength>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
        const auto a = read_name(table.at<c::from>(), row, told), b = read_name(table.at<c::to>(), row, told);
        const auto tape = above_zero(measured, row, read_measured.require(row, told), told);
        const auto spread = believed_sd(sd, row, above_zero(sd, row, read_sd.read(row, told), told), told);
        const auto rise = read_rise.read(row, told);
        std::optional<double> warm;
        if (temperature.has(row)) {
          const auto reading = read_temperature(temperature.text(row), *warm_unit, table->decimal_comma());
          if (!reading) return temperature.problem(row, reading.fault(), told);
          warm = *reading;
        }
        if (!a || !b || !tape) return;
        const TapedLength taped{std::string(*a), std::string(*b), {*tape, warm, rise, spread}};
        if (!horizontal(taped.measured, job.checks.tape_standard))
          return slope_rise.problem(
              row, Fault{in_quotes(slope_rise.text(row)), "a rise smaller than the measured length", ""},
              told);
        out.add(taped, row.begin());
      });
  job.checks.lengths_table = {table.shared(), std::move(rows.begins)};
  job.checks.lengths = std::move(rows.records);
}

}  // namespace

void read_building_lines(const JobReading& in) {
  Job& job = in.job;
  in.section<kDrawing>(Part::ties).read<kBuildingLineKeys>(job);
  TableLoader tables = in.tables(Part::ties);
  if (job.named.lines) read_lines(*job.named.lines, job, tables, in.told.of(Part::ties));
}

void read_printed_dimensions(const JobReading& in) {
  Job& job = in.job;
  auto drawing = in.section<kDrawing>(Part::lengths);
  drawing.read<kDimensionKeys>(job);
  job.checks.own_dimension_tolerance = drawing.has("dimension_tolerance");
  TableLoader tables = in.tables(Part::lengths);
  if (job.named.dimensions) read_dimensions(*job.named.dimensions, job, tables, in.told.of(Part::lengths));
}

void read_taped_lengths(const JobReading& in) {
  Job& job = in.job;
  in.section<kBaselines>(Part::lengths).read<kTapedKeys>(job);
  TableLoader tables = in.tables(Part::lengths);
  if (job.named.lengths) read_lengths(*job.named.lengths, job, tables, in.told.of(Part::lengths));
}

void read_offsets(const JobReading& in) {
  OffsetJob& o = in.job.offsets;
  o.wanted = in.root.member(kOffsets.name) != nullptr;
  o.options.form.unit = in.job.drawing_unit;
  auto s = in.section<kOffsets>(Part::offsets);
  s.read(in.job);
  if (o.from && o.from->size() != 2)
    s.problem("from", Fault{fmt::format("{} mark{}", o.from->size(), o.from->size() == 1 ? "" : "s"),
                            "two marks", "[\"B1\", \"B2\"]"});
  if (o.strings && o.strings->size() != 3)
    s.problem("strings", Fault{fmt::format("{} mark{}", o.strings->size(), o.strings->size() == 1 ? "" : "s"),
                               "three marks: where the strings cross, the end of the one along X, the end of "
                               "the one along Y",
                               "[\"B1\", \"B2\", \"B3\"]"});
}

}  // namespace deckmark
