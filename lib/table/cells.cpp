#include "table/cells.h"

#include <utility>

#include "table/reader.h"
#include "table/scan.h"

namespace deckmark {

std::vector<PlainRow> plain_rows(const std::shared_ptr<const Source>& source, char separator,
                                 Messages& messages) {
  const RecordScanner scanner(source->text(), separator);
  Row row;
  RecordScanner::bind(row, source->text().data(), nullptr);
  std::vector<PlainRow> out;
  for (std::uint32_t at = 0;;) {
    const Scanned scanned = scanner.next(at, row);
    if (scanned == Scanned::end) return out;
    if (scanned == Scanned::blank || scanned == Scanned::comment) continue;
    const std::size_t cells = RecordScanner::count(row);
    if (scanned != Scanned::record) {
      messages.problem(Where::in(source, RecordScanner::cell_begin(row, cells - 1)), "row",
                       Fault{"a quoted cell that is not closed properly",
                             "a closing quote before the next separator or line end", ""});
      continue;
    }
    PlainRow plain;
    bool is_text = true;
    for (std::size_t f = 0; f < cells; ++f) {
      const std::string_view cell = trimmed(RecordScanner::cell(row, f));
      plain.begins.push_back(RecordScanner::cell_begin(row, f));
      plain.cells.emplace_back(cell);
      if (!is_text) continue;
      const auto bad = bad_text(cell);
      if (!bad) continue;
      messages.problem(Where::in(source, plain.begins.back()), "row", Fault{*bad, "text in UTF-8", ""});
      is_text = false;
    }
    if (is_text) out.push_back(std::move(plain));
  }
}

}  // namespace deckmark
