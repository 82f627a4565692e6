#include "job/read_baseline.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "job/columns.h"
#include "measure/length_text.h"
#include "measure/temperature.h"

namespace deckmark {

namespace {

constexpr int kFinest = 64;  // parts of an inch on a tape

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
  enum Column : std::size_t { line, axis, at };
  const auto table =
      tables.open(key, {"building lines",
                        {name_column("line"), {"axis", ColumnKind::text, true}, length_column("at", true)},
                        {},
                        false});
  if (!table) return;
  const LengthColumn read_at(*table, at, job.drawing_unit, kDrawingUnit, messages);
  auto rows =
      read_records<Rows<BuildingLine>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
        const auto name = read_name(*table, row, line, told);
        const auto place = read_at.require(row, told);
        const std::string_view word = row.text(axis);
        const bool is_x = word == "x" || word == "X", is_y = word == "y" || word == "Y";
        if (!is_x && !is_y)
          told.problem(Where::in(table->source(), row.offset(axis)), "axis",
                       Fault{word.empty() ? "an empty cell" : in_quotes(word),
                             "x for a line whose x is known, y for one whose y is", ""});
        else if (name && place)
          out.add({std::string(*name), is_x, *place}, *name, row.begin());
      });
  tables.unique_names(*table, rows.begins, NameIndex(rows.names), rows.names, line);
  job.checks.lines_table = {table, std::move(rows.begins)};
  job.checks.lines = std::move(rows.records);
}

void read_dimensions(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  enum Column : std::size_t { from, to, span };
  const auto table = tables.open(
      key,
      {"dimensions", {name_column("from"), name_column("to"), length_column("distance", true)}, {}, false});
  if (!table) return;
  const LengthColumn read_span(*table, span, job.drawing_unit, kDrawingUnit, messages, is_above_zero);
  auto rows = read_records<PlainRows<PrintedDimension>>(
      *table, messages, [&](auto& out, const Row& row, Messages& told) {
        const auto a = read_name(*table, row, from, told), b = read_name(*table, row, to, told);
        const auto length = above_zero(*table, row, span, read_span.require(row, told), told);
        if (a && b && length) out.add({std::string(*a), std::string(*b), *length}, row.begin());
      });
  job.checks.dimensions_table = {table, std::move(rows.begins)};
  job.checks.dimensions = std::move(rows.records);
}

/// The unit that a table's header gives for its temperatures; degrees C where it gives none.
std::optional<TemperatureUnit> temperature_unit_of(const Table& table, std::size_t column,
                                                   Messages& messages) {
  const std::string& word = table.header_unit_text(column);
  if (word.empty()) return TemperatureUnit::celsius;
  const auto unit = temperature_unit(word);
  if (!unit)
    messages.problem(Where::in(table.source(), table.header_offset(column)), "header",
                     Fault{"temperature in " + in_quotes(word), "C or F, such as temperature (C)", ""});
  return unit;
}

void read_lengths(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  enum Column : std::size_t { from, to, measured, sd, temperature, slope_rise };
  const auto table =
      tables.open(key, {"lengths",
                        {name_column("from"), name_column("to"), length_column("measured", true),
                         length_column("sd"), text_column("temperature"), length_column("slope_rise")},
                        {},
                        false});
  if (!table) return;
  const auto warm_unit = temperature_unit_of(*table, temperature, messages);
  if (!warm_unit) return;
  const LengthColumn read_measured(*table, measured, job.site_unit, kSiteUnit, messages, is_above_zero);
  const LengthColumn read_sd(*table, sd, job.site_unit, kSiteUnit, messages, is_sd_above_zero);
  const LengthColumn read_rise(*table, slope_rise, job.site_unit, kSiteUnit, messages);
  auto rows =
      read_records<PlainRows<TapedLength>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
        const auto a = read_name(*table, row, from, told), b = read_name(*table, row, to, told);
        const auto tape = above_zero(*table, row, measured, read_measured.require(row, told), told);
        const auto spread =
            believed_sd(*table, row, sd, above_zero(*table, row, sd, read_sd.read(row, told), told), told);
        const auto rise = read_rise.read(row, told);
        std::optional<double> warm;
        if (row.has(temperature)) {
          const auto reading = read_temperature(row.text(temperature), *warm_unit, table->decimal_comma());
          if (!reading)
            return told.problem(Where::in(table->source(), row.offset(temperature)), "temperature",
                                reading.fault());
          warm = *reading;
        }
        if (!a || !b || !tape) return;
        const TapedLength taped{std::string(*a), std::string(*b), {*tape, warm, rise, spread}};
        if (!horizontal(taped.measured, job.checks.tape_standard))
          return told.problem(
              Where::in(table->source(), row.offset(slope_rise)), "slope_rise",
              Fault{in_quotes(row.text(slope_rise)), "a rise smaller than the measured length", ""});
        out.add(taped, row.begin());
      });
  job.checks.lengths_table = {table, std::move(rows.begins)};
  job.checks.lengths = std::move(rows.records);
}

void read_figures(SectionReader& s, SetOutFigures& figures) {
  if (s.choice("setout", {"secondary", "primary"}).value_or(0) == 1) figures.tier = SetOut::primary;
  const auto is_angle = [](Angle a) { return a > Angle::degrees(0) && a < Angle::degrees(45); };
  figures.angle = s.angle("setout_angle", std::nullopt, "0.09°", is_angle);
  if (figures.angle && !is_angle(*figures.angle)) {
    s.problem("setout_angle",
              Fault{"an angle out of range",
                    "an angle above 0 and under 45 degrees, over the root of the shorter baseline in metres, "
                    "such as \"0.09°\"",
                    ""});
    figures.angle.reset();
  }
  figures.length = s.tolerance("setout_length", false);
  figures.least = s.tolerance("setout_least", false);
}

/// n of a fraction 1/n inch that tapes have.
std::optional<int> denominator_of(Length fraction) {
  for (int n = 1; n <= kFinest; n *= 2)
    if (std::abs(fraction.metres() * n - Length::inches(1).metres()) < 1e-12) return n;
  return std::nullopt;
}

}  // namespace

void read_drawing_checks(SectionReader& s, Job& job, TableLoader& tables, Messages& messages) {
  if (const auto limit = s.permitted("dimension_tolerance")) job.checks.dimension_tolerance = *limit;
  job.checks.own_dimension_tolerance = s.has("dimension_tolerance");
  if (const auto lines = s.table("lines")) read_lines(*lines, job, tables, messages);
  if (const auto dimensions = s.table("dimensions")) read_dimensions(*dimensions, job, tables, messages);
}

void read_baseline_checks(SectionReader& s, Job& job, TableLoader& tables, Messages& messages) {
  read_figures(s, job.square.setout);
  if (const auto standard = s.text("tape_standard")) {
    const auto reading = read_temperature(*standard, TemperatureUnit::celsius, false);
    if (reading)
      job.checks.tape_standard = *reading;
    else
      s.problem("tape_standard", reading.fault());
  }
  if (const auto lengths = s.table("lengths")) read_lengths(*lengths, job, tables, messages);
  if (const auto file = s.table("signed")) {
    job.keys["baselines.signed"] = s.where("signed");
    read_signed(*file, job, tables, messages);
  }
}

void read_offsets(SectionReader& s, bool wanted, Job& job) {
  OffsetJob& o = job.offsets;
  o.wanted = wanted;
  o.options.form.unit = s.unit("unit", true).value_or(job.drawing_unit);
  if (const auto fraction = s.tolerance("fraction", false)) {
    const auto n = denominator_of(*fraction);
    if (n)
      o.options.form.denominator = *n;
    else
      s.problem("fraction", Fault{"a fraction that tapes do not have", "1\", 1/2\" and so on to 1/64\"", ""});
  }
  if (const auto from = s.texts("from", {})) {
    o.from = *from;
    if (from->size() != 2)
      s.problem("from", Fault{fmt::format("{} mark{}", from->size(), from->size() == 1 ? "" : "s"),
                              "two marks", "[\"B1\", \"B2\"]"});
    job.keys["offsets.from"] = s.where("from");
  }
  s.finish();
}

}  // namespace deckmark
