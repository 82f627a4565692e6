#pragma once
/// Where places stand along a run: of hangers on it and of supports on or beside it.

#include <cstddef>
#include <span>

#include "plane/path.h"

namespace deckmark {

/// The foot of a place on a run, along it from its start; below zero before the start and over the run's
/// length behind its end, along the way it has there. On a ring from 0 up to its length.
Length along_of(const Path& run, const Point<Drawing>& p);

/// The same on the straight joins of marks in order. `along`: their running distances, from 0 and growing.
/// The foot is looked for beside the mark `near`, as far along either way as twice the distance from it.
/// REQUIRES two marks or more.
Length along_of(std::span<const Point<Drawing>> marks, std::span<const Length> along, std::size_t near,
                const Point<Drawing>& p);

}  // namespace deckmark
