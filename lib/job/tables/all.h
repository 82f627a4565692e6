#pragma once
/// Every table that is read.

#include <type_traits>

#include "job/tables/arrived.h"
#include "job/tables/asbuilt_shots.h"
#include "job/tables/bays.h"
#include "job/tables/benchmarks.h"
#include "job/tables/bill.h"
#include "job/tables/building_lines.h"
#include "job/tables/control.h"
#include "job/tables/deck_marks.h"
#include "job/tables/deck_shots.h"
#include "job/tables/dimensions.h"
#include "job/tables/drawing_points.h"
#include "job/tables/field_tests.h"
#include "job/tables/grid_control.h"
#include "job/tables/laser_readings.h"
#include "job/tables/ledger.h"
#include "job/tables/lengths.h"
#include "job/tables/level_readings.h"
#include "job/tables/needs.h"
#include "job/tables/no_drill.h"
#include "job/tables/observations.h"
#include "job/tables/obstructions.h"
#include "job/tables/pieces.h"
#include "job/tables/released.h"
#include "job/tables/runs.h"
#include "job/tables/stored_points.h"
#include "job/tables/ties.h"

namespace deckmark {

namespace terms {
template <class... Tables>
struct TableList {
  template <class Table>
  static constexpr bool holds = (... || std::is_same_v<Table, Tables>);
  template <class F>
  static constexpr void each(F f) {
    (f(Tables{}), ...);
  }
};
}  // namespace terms

/// In the order in which a user meets them.
using AllTables =
    terms::TableList<drawing_points::Terms, runs::Terms, pieces::Terms, needs::Terms, bill::Terms,
                     arrived::Terms, bays::Terms, obstructions::Terms, no_drill::Terms, released::Terms,
                     ties::Terms, building_lines::Terms, dimensions::Terms, lengths::Terms, deck_shots::Terms,
                     deck_marks::Terms, benchmarks::Terms, level_readings::Terms, laser_readings::Terms,
                     asbuilt_shots::Terms, observations::Terms, control::Terms, grid_control::Terms,
                     ledger::Terms, issued::Terms, issued_control::Terms, given::Terms, stored_points::Terms,
                     field_tests::Terms>;

/// Calls `f(terms)` for every table: `terms.word` is the table's, `terms.each(g)` goes through its columns,
/// whose kind is their type's: `KindOf` or `decltype(column)::Kind::word`.
template <class F>
constexpr void for_each_table(F f) {
  AllTables::each(f);
}

}  // namespace deckmark
