#pragma once
/// Private to the room: a table that was opened, and its declared columns. A column of another table, or one
/// whose cells hold something else, does not compile.

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>

#include "job/tables/all.h"
#include "table/names.h"
#include "table/reader.h"

namespace deckmark {

/// A column of an opened table, whatever its cells hold; made by `OpenTable` alone.
class AnyColumn {
 public:
  const Table& table() const { return *table_; }
  std::size_t index() const { return index_; }
  /// The program's word for it.
  const std::string& name() const { return table_->spec().columns[index_].name; }
  /// The file has it.
  bool stands() const { return table_->has_column(index_); }
  bool has(const Row& row) const { return row.has(index_); }
  std::string_view text(const Row& row) const { return row.text(index_); }
  /// The length unit that the header states for it.
  std::optional<LengthUnit> header_unit() const { return table_->header_unit(index_); }
  const std::string& header_unit_text() const { return table_->header_unit_text(index_); }

  /// Its cell in the row, in the record that begins there, and its word in the header.
  Where where(const Row& row) const { return table_->where(row, index_); }
  Where where(std::uint32_t begin) const { return table_->where(begin, index_); }
  Where header() const { return table_->header_where(index_); }
  void problem(const Row& row, const Fault& fault, Messages& told) const {
    told.problem(where(row), name(), fault);
  }
  void doubt(std::string_view kind, const Row& row, std::string text, Messages& told) const {
    told.doubt(kind, where(row), name(), std::move(text));
  }

 protected:
  AnyColumn(const Table& table, std::size_t index) : table_(&table), index_(index) {}

 private:
  const Table* table_;
  std::size_t index_;
};

template <class Cell>
class ColumnOf : public AnyColumn {
 private:
  template <class Terms>
  friend class OpenTable;
  ColumnOf(const Table& table, std::size_t index) : AnyColumn(table, index) {}
};
using NameColumn = ColumnOf<NameCell>;
using WordsColumn = ColumnOf<TextCell>;
using LengthCells = ColumnOf<LengthCell>;
using NumberColumn = ColumnOf<NumberCell>;
using DecimalColumn = ColumnOf<DecimalCell>;
using AngleCells = ColumnOf<AngleCell>;

/// A table whose columns are those of `Terms`; none where it could not be opened.
template <class Terms>
class OpenTable {
  static_assert(AllTables::holds<Terms>, "a table that is read stands in job/tables/all.h");

 public:
  explicit OpenTable(std::shared_ptr<const Table> table) : table_(std::move(table)) {}
  explicit operator bool() const { return table_ != nullptr; }
  const Table& operator*() const { return *table_; }
  const Table* operator->() const { return table_.get(); }
  const std::shared_ptr<const Table>& shared() const { return table_; }

  template <const auto& C, class = std::enable_if_t<Terms::template holds<C>()>>
  ColumnOf<KindOf<C>> at() const {
    return {*table_, Terms::template index<C>()};
  }

 private:
  std::shared_ptr<const Table> table_;
};

template <class Cell>
inline constexpr ColumnKind kColumnKind = ColumnKind::text;
template <>
inline constexpr ColumnKind kColumnKind<NameCell> = ColumnKind::name;
template <>
inline constexpr ColumnKind kColumnKind<LengthCell> = ColumnKind::length;
template <>
inline constexpr ColumnKind kColumnKind<NumberCell> = ColumnKind::number;
template <>
inline constexpr ColumnKind kColumnKind<DecimalCell> = ColumnKind::number;
template <>
inline constexpr ColumnKind kColumnKind<AngleCell> = ColumnKind::angle;

/// The declared columns as the room `table` takes them. `Places`: the ways to give a place, of which one has
/// to stand.
template <class Terms, class Places = PlacePairs<>>
TableSpec spec_of() {
  TableSpec spec;
  spec.what = Terms::word.name;
  spec.may_be_empty = Terms::word.may_be_empty;
  spec.ignored.assign(Terms::word.passed_over.begin(), Terms::word.passed_over.end());
  Terms::each([&]<class Cell>(const Column<Cell>& c) {
    spec.columns.push_back({std::string(c.name), kColumnKind<Cell>, c.stands == Stands::required,
                            std::string(c.also), c.found_as});
  });
  spec.ways = Places::template in<Terms>();
  spec.one_of = Places::template one_of<Terms>();
  return spec;
}

/// As in `table/reader.h` and `table/names.h`, of columns whose cells are names or texts.
inline std::optional<std::string_view> read_name(const NameColumn& column, const Row& row, Messages& told) {
  return read_name(column.table(), row, column.index(), told);
}
inline std::optional<std::string_view> read_issued_name(const NameColumn& column, const Row& row,
                                                        Messages& told) {
  return read_issued_name(column.table(), row, column.index(), told);
}
inline std::optional<std::string_view> read_text(const WordsColumn& column, const Row& row, Messages& told) {
  return read_text(column.table(), row, column.index(), told);
}
inline std::optional<std::string_view> read_name_or_empty(const WordsColumn& column, const Row& row,
                                                          Messages& told) {
  return read_name_or_empty(column.table(), row, column.index(), told);
}
/// A reader of lengths; see `LengthColumn`.
inline LengthColumn lengths_of(const LengthCells& column, LengthUnit unit, std::string_view job_key,
                               Messages& messages, LengthColumn::Takes takes = nullptr) {
  return LengthColumn(column.table(), column.index(), unit, job_key, messages, takes);
}

}  // namespace deckmark
