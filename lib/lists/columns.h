#pragma once
/// Columns of a written table, declared once: the header is made from them, and help prints them.

#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "measure/length.h"
#include "table/written.h"
#include "terms/output.h"

namespace deckmark {

/// The header of declared columns: lengths with their unit, `x (m)`.
std::vector<std::string> header_of(std::span<const OutColumn> columns, LengthUnit unit);

/// A table of declared columns; `row` is as of `written_table`.
template <class Row>
std::unique_ptr<WrittenTable> declared_table(std::span<const OutColumn> columns, LengthUnit unit,
                                             std::size_t rows, Row row, TableStyle style = {}) {
  return written_table(style, header_of(columns, unit), rows, std::move(row));
}

}  // namespace deckmark
