#pragma once
/// Every mark of a job, the drawing's first, and where each is stated.

#include <algorithm>
#include <cstdint>
#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "job/read_table.h"
#include "marks/marks.h"
#include "table/message.h"

namespace deckmark {

/// In `JobMarks::from_run`: the mark supports a hanger, whose mark the other bits give.
inline constexpr std::uint32_t kOfHanger = 0x80000000U;

/// A cell in which a row states something of a mark.
enum class MarkCell : std::uint8_t { point, kind, height, was };

/// Marks by index: the drawing's, then those generated along runs, then supports of trapezes. The table and
/// its index stay where they are.
struct JobMarks {
  std::shared_ptr<const MarkTable> table;  ///< never null; empty in a job without a drawing
  std::shared_ptr<const NameIndex> index;
  std::size_t drawn = 0;     ///< marks below this are the drawing's
  std::size_t supports = 0;  ///< marks from here on are supports
  std::vector<std::uint32_t>
      from_run;  ///< of every further mark: its run, or `kOfHanger` and the hanger that it supports
  std::vector<std::uint8_t> bridged;          ///< of every mark; empty without trapezes
  std::shared_ptr<const Table> points_table;  ///< null where no table states points
  ReadTable runs_table;
  std::optional<Where>
      trapeze_height_key;  ///< where the level of all supports is stated; absent: by their hanger

  const MarkTable* operator->() const { return table.get(); }
  const MarkTable& operator*() const { return *table; }
  std::size_t size() const { return table->size(); }
  bool is_support(std::size_t mark) const { return mark >= supports; }
  /// Whether a mark is fastened to the deck: no reference point, and not bridged by a trapeze.
  bool has_deck_point(std::size_t mark) const {
    return !table->is_reference(mark) && (bridged.empty() || !bridged[mark]);
  }
  /// Where a mark is stated: that cell of its row in the drawing's points, or the row of the run that it was
  /// generated for (with its height, where that is asked for).
  Where where(std::size_t mark, MarkCell cell = MarkCell::point) const;
  /// Name of that cell's column.
  std::string_view field(std::size_t mark, MarkCell cell = MarkCell::point) const;
};

/// The drawing's marks alone. `points_table` may be null.
JobMarks drawn_marks(MarkTable marks, std::shared_ptr<const Table> points_table);
/// The same of marks that stay where they are; `index`: of their names, made here where it is null.
JobMarks drawn_marks(std::shared_ptr<const MarkTable> marks, std::shared_ptr<const NameIndex> index,
                     std::shared_ptr<const Table> points_table);

/// The cell of a row under a column, by the column's word; for messages. REQUIRES a table that was read.
Where cell_of(const ReadTable& table, std::size_t row, std::string_view column);

}  // namespace deckmark
