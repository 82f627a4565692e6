#pragma once
/// The columns of a book as it is written, and the function of a row. Private to the room but for the list
/// of files.

#include "terms/output.h"

namespace deckmark {

inline constexpr OutColumn kBookColumns[] = {
    {"entry", OutKind::number, "1, 2, ... in this book"},
    {"time", OutKind::text, "ISO 8601 with its offset"},
    {"by", OutKind::text, "who did it"},
    {"act", OutKind::text,
     "set-up, check, marked, drilled, filled, cut, hung, taken-down, voided, doubtful, cleared, undone, "
     "note"},
    {"number", OutKind::text, "floor number; of a check the target"},
    {"level", OutKind::text, "floor or deck; a hole is of the deck; empty for a rod"},
    {"northing", OutKind::metres, "that was read; of a set-up the instrument's"},
    {"easting", OutKind::metres, "that was read; of a set-up the instrument's"},
    {"elevation", OutKind::metres, "that was read; of a set-up the instrument's axis"},
    {"sd_along", OutKind::metres, "of what was read, along the sight"},
    {"sd_across", OutKind::metres, "of what was read, across the sight"},
    {"setup", OutKind::text, "from which it was done"},
    {"issue", OutKind::number, "from which it was done"},
    {"source", OutKind::text, "live, file or sheet"},
    {"of", OutKind::text, "the entry that it is about: of this book, or NAME:ENTRY"},
    {"verdict", OutKind::text, "of a check: within or outside"},
    {"reading", OutKind::text, "as it was typed or stored; of a set-up the zero of its circle, degrees"},
    {"note", OutKind::text, "why, in words"},
    {"chain", OutKind::text, "first 16 digits of the SHA-256 of the chain before, a line feed and this row"}};

}  // namespace deckmark
