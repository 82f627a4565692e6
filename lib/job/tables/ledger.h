#pragma once
/// The ledger of numbers, the issues and who was given them, which the program writes and reads again.

#include "terms/columns.h"

namespace deckmark::ledger {

inline constexpr TableWord table{"ledger", "the numbers that were given out", {}, true};
inline constexpr Column<NameCell> point{"point", "its name", Stands::required};
inline constexpr Column<NumberCell> number{"number", "its floor number", Stands::required};
inline constexpr Column<TextCell> status{"status", "live or dropped", Stands::required};
inline constexpr Column<LengthCell> x{"x", "in the drawing when it was last listed", Stands::required},
    y{"y", "in the drawing when it was last listed", Stands::required};
inline constexpr Column<NumberCell> deck_offset{"deck_offset", "deck number minus floor number",
                                                Stands::required};
inline constexpr Column<TextCell> revision{"revision", "of the drawing when it was last listed",
                                           Stands::required};
inline constexpr Column<LengthCell> northing{"northing", "on site when it was last listed", Stands::required},
    easting{"easting", "on site when it was last listed", Stands::required};
inline constexpr Column<NumberCell> issue{"issue", "to which the row belongs"};
inline constexpr Column<LengthCell> floor_elevation{"floor_elevation", "of the design floor"},
    attach_elevation{"attach_elevation", "of the bracket"},
    deck_elevation{"deck_elevation", "as in the deck list"}, cut{"cut", "length of the rod"};
inline constexpr Column<TextCell> kind{"kind", "of the point"}, run{"run", "of the point"},
    crew{"crew", "crews that have the number"};
inline constexpr Column<NumberCell> told_in{"told_in", "issue whose changes last told the floor mark"},
    told_in_deck{"told_in_deck", "and the deck point"}, told_in_bracket{"told_in_bracket", "and the bracket"},
    told_in_cut{"told_in_cut", "and the cut"};
using Terms = TableTerms<table, point, number, status, x, y, deck_offset, revision, northing, easting, issue,
                         floor_elevation, attach_elevation, deck_elevation, cut, kind, run, crew, told_in,
                         told_in_deck, told_in_bracket, told_in_cut>;

}  // namespace deckmark::ledger

namespace deckmark::issued {

inline constexpr TableWord table{"issued", "the issues, one a row", {}, true};
inline constexpr Column<NumberCell> issue{"issue", "1, 2, ...", Stands::required};
inline constexpr Column<TextCell> revision{"revision", "of the job", Stands::required},
    job{"job", "the job file, from the ledger's folder", Stands::required},
    storey{"storey", "of the job", Stands::required};
inline constexpr Column<NumberCell> live{"live", "numbers that were live", Stands::required},
    rows{"rows", "of the ledger that belong to it", Stands::required};
inline constexpr Column<TextCell> folder{"folder", "of the first run's lists", Stands::required},
    before{"before", "digest of the issue before", Stands::required},
    digest{"digest", "of the issue", Stands::required};
using Terms = TableTerms<table, issue, revision, job, storey, live, rows, folder, before, digest>;

}  // namespace deckmark::issued

namespace deckmark::issued_control {

inline constexpr TableWord table{"issued control", "the control that issues were made with", {}, true};
inline constexpr Column<NumberCell> issue{"issue", "the first that was made with this place",
                                          Stands::required};
inline constexpr Column<NameCell> point{"point", "its name", Stands::required};
inline constexpr Column<LengthCell> northing{"northing", "at ground scale", Stands::required},
    easting{"easting", "at ground scale", Stands::required};
inline constexpr Column<LengthCell> elevation{"elevation", "where it has one"};
using Terms = TableTerms<table, issue, point, northing, easting, elevation>;

}  // namespace deckmark::issued_control

namespace deckmark::given {

inline constexpr TableWord table{"given", "who was given which issue, one a row", {}, true};
inline constexpr Column<NumberCell> issue{"issue", "that was given", Stands::required};
inline constexpr Column<TextCell> to{"to", "who has it", Stands::required},
    on{"on", "the date, as it was typed", Stands::required},
    digest{"digest", "of the issue", Stands::required};
using Terms = TableTerms<table, issue, to, on, digest>;

}  // namespace deckmark::given
