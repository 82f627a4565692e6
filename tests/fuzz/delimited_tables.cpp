// One table: rows, places and messages lie within its text, and what was read well is written and read back
// to the same.
#include <cmath>
#include <limits>
#include <vector>

#include "fuzz.h"
#include "measure/decimal.h"
#include "table/names.h"
#include "table/reader.h"
#include "table/written.h"

using namespace deckmark;
using deckmark_test::must;

namespace {

enum Column : std::size_t { mark, x, note, number, angle, columns };

TableSpec spec_of(bool fixed_columns) {
  TableSpec spec{"marks",
                 {{"mark", ColumnKind::name, true, "name"},
                  {"x", ColumnKind::length, true},
                  {"note", ColumnKind::text},
                  {"number", ColumnKind::number},
                  {"angle", ColumnKind::angle}},
                 {}};
  if (fixed_columns) spec.fixed_columns = {"mark", "x", "note"};
  spec.ignored = {"remark"};
  return spec;
}

struct Cells {
  std::string mark, note;
  double x = 0;
};

/// What all handlers of a table share; each keeps its own rows.
struct Reading : Table::Handler {
  const Table* table;
  const LengthColumn* lengths;
  std::size_t rows = 0;
  std::uint32_t last = 0;
  std::vector<Cells> good;

  void row(const Row& row, Messages& messages) override {
    const std::size_t size = table->source()->text().size();
    must(row.begin() < size, "a row begins within the text");
    must(rows == 0 || row.begin() > last, "rows come in the order of the file");
    last = row.begin();
    ++rows;
    for (std::size_t c = 0; c < columns; ++c) {
      must(row.offset(c) >= row.begin() && row.offset(c) <= size, "a cell lies in its row");
      must(row.offset(c) == table->cell_offset(row.begin(), c), "a cell is found again by its row");
      must(!bad_text(row.text(c)), "a cell holds valid text", std::string(row.text(c)));
      must(trimmed(row.text(c)) == row.text(c), "a cell has no blanks at its ends", std::string(row.text(c)));
    }
    const auto name = read_name(*table, row, mark, messages);
    const auto issued = read_issued_name(*table, row, mark, messages);
    must(!name || (issued && *issued == *name && !name->empty()), "a name is an issued name");
    const auto length = lengths->require(row, messages);
    const auto words = read_text(*table, row, note, messages);
    if (name && length && words) good.push_back({std::string(*name), std::string(*words), length->metres()});
  }
};

void look_at_messages(const Messages& messages, const Source& source) {
  for (const Grade grade : {Grade::problem, Grade::doubt, Grade::notice}) {
    for (const Message& m : messages.sorted(grade)) {
      const std::string line = message_line(m);
      must(visible(line) == line, "a message can be seen", line);
      must(m.place.line <= source.text().size() + 1 && m.place.column <= source.text().size() + 1,
           "a message has its place in the file", line);
    }
  }
}

std::size_t lines_of(std::string_view text) {
  std::size_t lines = 1;
  for (const char c : text) lines += c == '\n' || c == '\r';
  return lines;
}

/// The good rows of a table; nothing where its header is bad.
std::optional<std::vector<Cells>> read(const std::shared_ptr<const Source>& source, bool fixed_columns,
                                       Messages& messages) {
  const auto table = Table::open(source, spec_of(fixed_columns), messages);
  must(table || messages.has_problems(), "a table that does not open has a problem");
  if (!table) return std::nullopt;
  const LengthColumn lengths(*table, x, LengthUnit::metre, "[site] unit", messages);
  const auto parts = table->read(
      [&] {
        auto reading = std::make_unique<Reading>();
        reading->table = &*table;
        reading->lengths = &lengths;
        return reading;
      },
      messages);
  std::vector<Cells> good;
  std::size_t rows = 0;
  for (const auto& part : parts) {
    auto& reading = static_cast<Reading&>(*part);
    rows += reading.rows;
    good.insert(good.end(), reading.good.begin(), reading.good.end());
  }
  must(rows <= lines_of(source->text()), "a table has no more rows than lines");
  must(rows > 0 || messages.has_problems(), "a table without a row has a problem");
  must(good.size() == rows || messages.has_problems(), "a row that is left out has a problem");
  return good;
}

TableChecker::Read reading_of(const std::string& bytes, std::size_t& at) {
  return [&](char* out, std::size_t most) {
    const std::size_t n = bytes.copy(out, most, at);
    at += n;
    return n;
  };
}

bool agrees(const WrittenTable& table, const std::string& bytes) {
  std::size_t at = 0;
  CheckFailure failure;
  return table.agrees(reading_of(bytes, at), &failure);
}

void write_and_read(const std::vector<Cells>& rows, const TableStyle& style) {
  const auto table = written_table(style, {"mark", "x", "note"}, rows.size(), [&](auto& sink, std::size_t i) {
    sink.text(rows[i].mark);
    sink.fixed(rows[i].x, 6);
    sink.text(rows[i].note);
  });
  std::string bytes;
  table->write([&](const char* from, std::size_t n) { bytes.append(from, n); });
  must(agrees(*table, bytes), "a table agrees with what was written", bytes);
  must(!agrees(*table, bytes + "\n"), "a table that goes on does not agree", bytes);
  std::string changed = bytes;
  changed[bytes.size() * 2 / 3] ^= 1;
  must(!agrees(*table, changed), "a table with one bit changed does not agree", changed);

  Messages messages;
  const auto again = read(Source::from_bytes("written.csv", bytes), false, messages);
  std::string told;
  for (const Message& m : messages.sorted(Grade::problem)) told += message_line(m) + "\n";
  must(again && !messages.has_problems(), "a written table is read", bytes + told);
  must(again->size() == rows.size(), "every row that was written is read", bytes);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    must((*again)[i].mark == rows[i].mark, "a name is read as it was written", bytes);
    must((*again)[i].note == rows[i].note, "a note is read as it was written", bytes);
    must(fixed((*again)[i].x, 6) == fixed(rows[i].x, 6), "a length is read as it was written", bytes);
  }
}

}  // namespace

void deckmark_test::fuzz_one(std::string_view bytes) {
  const auto source = Source::from_bytes("marks.csv", bytes);
  for (const bool fixed_columns : {false, true}) {
    Messages messages;
    const auto rows = read(source, fixed_columns, messages);
    look_at_messages(messages, *source);
    if (!rows || rows->empty()) continue;
    write_and_read(*rows, {});
    write_and_read(*rows, {';', ',', true});
    write_and_read(*rows, {'\t', '.'});
  }
}
