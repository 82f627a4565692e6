#pragma once
/// Private to the room: what readers of a job's tables share. Rows into records, and columns that belong
/// together.

#include <algorithm>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "job/grid_rows.h"
#include "job/job.h"
#include "job/open_table.h"
#include "job/tables.h"
#include "measure/angle_text.h"

namespace deckmark {

inline constexpr std::string_view kDrawingUnit = "drawing.unit", kSiteUnit = "site.unit";

/// Rows of one stretch, taken by a function `(records, row, messages)`; a row counts where it returns true.
template <class Records, class Take>
Records read_records(const Table& table, Messages& messages, Take take) {
  struct Stretch final : Table::Handler {
    explicit Stretch(Take t) : take(std::move(t)) {}
    void row(const Row& row, Messages& told) override {
      ++seen;
      take(records, row, told);
    }
    void expect(std::size_t n) override { records.reserve(n); }
    Take take;
    Records records;
    std::size_t seen = 0;
  };
  Messages told;
  auto handlers = table.read([&] { return std::make_unique<Stretch>(take); }, told);
  std::size_t rows = 0;
  for (const auto& h : handlers) rows += static_cast<Stretch&>(*h).seen;
  told.fold_alike(rows, [&](std::string_view field) {
    const auto& columns = table.spec().columns;
    const auto at = std::ranges::find(columns, field, &ColumnSpec::name);
    return table.header_where(at == columns.end() ? 0 : static_cast<std::size_t>(at - columns.begin()));
  });
  messages.merge(std::move(told));
  Records all = std::move(static_cast<Stretch&>(*handlers.front()).records);
  for (std::size_t i = 1; i < handlers.size(); ++i)
    all.append(std::move(static_cast<Stretch&>(*handlers[i]).records));
  return all;
}

/// Rows of a small table with their names and places.
template <class Record>
struct Rows {
  std::vector<Record> records;
  TextColumn names;
  std::vector<std::uint32_t> begins;
  std::vector<std::pair<std::uint32_t, std::string>> refused;  ///< names of rows that hold a fault
  bool any_unnamed = false;                                    ///< and rows of which not even that is known
  void reserve(std::size_t rows) { records.reserve(rows); }
  void append(Rows&& other) {
    for (Record& r : other.records) records.push_back(std::move(r));
    names.append(std::move(other.names));
    begins.insert(begins.end(), other.begins.begin(), other.begins.end());
    refused.insert(refused.end(), other.refused.begin(), other.refused.end());
    any_unnamed = any_unnamed || other.any_unnamed;
  }
  /// A row that cannot be used: its name stands in the table all the same.
  void refuse(std::optional<std::string_view> name, std::uint32_t begin) {
    if (name)
      refused.emplace_back(begin, *name);
    else
      any_unnamed = true;
  }
  void add(Record record, std::string_view name, std::uint32_t begin) {
    records.push_back(std::move(record));
    names.push_back(name);
    begins.push_back(begin);
  }
};

/// Tells every name that stands twice, in rows that hold another fault too.
template <class Record>
void refuse_name_twice(TableLoader& tables, const AnyColumn& column, const Rows<Record>& rows) {
  std::vector<std::pair<std::uint32_t, std::string>> all = rows.refused;
  if (all.empty()) return tables.unique_names(column, rows.begins, NameIndex(rows.names), rows.names);
  for (std::size_t i = 0; i < rows.begins.size(); ++i) all.emplace_back(rows.begins[i], rows.names[i]);
  std::sort(all.begin(), all.end());
  TextColumn names;
  std::vector<std::uint32_t> begins;
  for (const auto& [begin, name] : all) begins.push_back(begin), names.push_back(name);
  tables.unique_names(column, begins, NameIndex(names), names);
}

/// False where a drawing coordinate has no column, or too many (told).
bool has_plan_columns(const LengthCells& one, const NumberColumn& feet, const NumberColumn& inches,
                      Messages& messages);
/// Whole feet in one cell and inches in the next; the sign stands on the first that is not zero.
std::optional<Length> read_feet_and_inches(const NumberColumn& feet, const NumberColumn& inches,
                                           const Row& row, bool survey, Messages& messages);
std::optional<Elevation> elevation_of(std::optional<Length> above_datum);
std::optional<std::int64_t> read_whole(const NumberColumn& column, const Row& row, std::int64_t least,
                                       std::int64_t most, Messages& messages);
/// The value where it is above zero; nothing otherwise (told).
std::optional<Length> above_zero(const LengthCells& column, const Row& row, std::optional<Length> value,
                                 Messages& messages);
/// The same for zero or more.
std::optional<Length> not_negative(const LengthCells& column, const Row& row, std::optional<Length> value,
                                   Messages& messages);
/// The value where it is no further from zero than that; nothing otherwise (told).
std::optional<Length> not_beyond(const LengthCells& column, const Row& row, std::optional<Length> value,
                                 Length most, Messages& messages);
/// Doubts a standard deviation, or a tolerance, that practitioners would not believe; the value as it came.
std::optional<Length> believed_sd(const LengthCells& column, const Row& row, std::optional<Length> value,
                                  Messages& messages);
std::optional<Length> believed_tolerance(const LengthCells& column, const Row& row,
                                         std::optional<Length> value, Messages& messages);
/// The sd of a control point: not negative, and believed where it is not 0, which holds the point fixed.
std::optional<Length> control_sd(const LengthCells& column, const Row& row, std::optional<Length> value,
                                 Messages& told);
/// What the readers above take, for columns that suggest nothing else.
bool is_above_zero(Length length);
bool is_not_negative(Length length);
/// The same for a standard deviation above zero.
bool is_sd_above_zero(Length sd);
/// The line of the job file that gives a table one of its ways to state a place, by renames, and other
/// renames that could be meant; both empty where there is none.
struct PlaceOffer {
  std::string line, others;
};
PlaceOffer place_offer(const Table& table);
/// The columns that a table has, in words.
std::string columns_found(const Table& table);

/// Reads the angles of one column. The header's word (`deg`, `gon`, `packed`) wins over what the job says of
/// bare ones.
class AngleColumn {
 public:
  /// `bare_key`: what else may say how bare numbers are read, for messages.
  AngleColumn(const AngleCells& column, std::optional<AngleNotation> bare, Messages& messages,
              std::string_view bare_key = "the key angles under [instrument]");
  /// A reading of a circle, 0 to under 360 degrees; nothing where the cell is empty or bad (bad: told).
  std::optional<Angle> read_circle(const Row& row, Messages& messages) const {
    return take(row, true, messages);
  }
  /// Any angle.
  std::optional<Angle> read(const Row& row, Messages& messages) const { return take(row, false, messages); }
  /// A latitude or a longitude: a letter may stand before or behind it in place of a sign, `positive` (N, E)
  /// or `negative`.
  std::optional<Angle> read_hemisphere(const Row& row, char positive, char negative,
                                       Messages& messages) const;

 private:
  std::optional<Angle> take(const Row& row, bool circle, Messages& messages) const;
  void tell(const Row& row, Fault fault, Messages& messages) const;
  AngleCells column_;
  AngleForm form_;
  std::string bare_key_;
};
/// Tells an empty cell.
void tell_empty(const AnyColumn& column, const Row& row, std::string expected, std::string example,
                Messages& messages);

/// The word of a cell that has to be one of some, as its place among them. An empty cell is none of them, and
/// no fault; false where the cell holds another word (told).
bool read_word(const WordsColumn& column, const Row& row, WordList words, std::optional<std::size_t>& at,
               Messages& told);
/// The same of words that stand for the values of an enumeration from `first` on; empty words are none.
template <class E>
bool read_word(const WordsColumn& column, const Row& row, WordList words, std::optional<E>& out,
               Messages& told, std::size_t first = 0) {
  std::optional<std::size_t> at;
  const bool good = read_word(column, row, words.subspan(first), at, told);
  if (at) out = static_cast<E>(*at + first);
  return good;
}

/// A pair of columns that give a place in the site frame.
class SiteColumns {
 public:
  /// `grid`: the numbers are in that projection and come out at ground scale.
  SiteColumns(const LengthCells& northing, const LengthCells& easting, LengthUnit unit, Messages& messages,
              const GroundJob* grid = nullptr)
      : northing_(lengths_of(northing, unit, kSiteUnit, messages)),
        easting_(lengths_of(easting, unit, kSiteUnit, messages)) {
    refuse_two_feet(northing, easting, unit, messages);
    if (grid) grid_.emplace(*grid, northing, easting, unit, messages);
  }
  std::optional<Point<Site>> require(const Row& row, Messages& messages) const {
    const auto n = northing_.require(row, messages), e = easting_.require(row, messages);
    if (!n || !e) return std::nullopt;
    if (grid_) return grid_->to_ground(row, *n, *e, messages);
    return Point<Site>{{.northing = *n, .easting = *e}};
  }

 private:
  LengthColumn northing_, easting_;
  std::optional<GridRows> grid_;
};

/// A pair of columns that give a place along the baselines.
class DrawingColumns {
 public:
  DrawingColumns(const LengthCells& x, const LengthCells& y, LengthUnit unit, std::string_view key,
                 Messages& messages)
      : x_(lengths_of(x, unit, key, messages)), y_(lengths_of(y, unit, key, messages)) {
    refuse_two_feet(x, y, unit, messages);
  }
  std::optional<Point<Drawing>> require(const Row& row, Messages& messages) const {
    const auto x = x_.require(row, messages), y = y_.require(row, messages);
    if (!x || !y) return std::nullopt;
    return Point<Drawing>{{.x = *x, .y = *y}};
  }

 private:
  LengthColumn x_, y_;
};

/// Which of the ways to give a plan place a table has; told where it has none or two. `sighted`: none, and
/// its rows leave their places to the setups.
enum class PlaceColumns : std::uint8_t { none, site, drawing, offset, sighted };

struct PlaceWay {
  PlaceColumns way;
  LengthCells first, second;
};

/// `may_be_sighted`: the job has setups that may have sighted what the rows name.
PlaceColumns place_columns(const std::vector<PlaceWay>& ways, bool may_be_sighted, Messages& messages);

/// The columns that give a row's place, where the row may leave it to the setups.
class PlaceCells {
 public:
  PlaceCells(std::vector<PlaceWay> ways, bool may_be_sighted, Messages& messages)
      : ways_(std::move(ways)),
        may_be_sighted_(may_be_sighted),
        way_(place_columns(ways_, may_be_sighted, messages)) {}
  PlaceColumns way() const { return way_; }
  bool is_usable() const { return way_ != PlaceColumns::none; }
  /// Neither cell of the place is filled.
  bool is_left(const Row& row) const {
    const PlaceWay* used = this->used();
    return !used || (!used->first.has(row) && !used->second.has(row));
  }
  /// Of a row that leaves its place to the setups: false where there are none (told).
  bool may_be_left(const Row& row, std::string_view name, Messages& messages) const;

 private:
  const PlaceWay* used() const {
    for (const PlaceWay& w : ways_)
      if (w.way == way_) return &w;
    return nullptr;
  }
  std::vector<PlaceWay> ways_;
  bool may_be_sighted_;
  PlaceColumns way_;
};

}  // namespace deckmark
