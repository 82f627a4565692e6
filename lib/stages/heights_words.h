#pragma once
/// What lines, planes and readings of heights show, in a foreman's words.

#include <cstddef>
#include <string>
#include <string_view>

#include "stages/heights.h"

namespace deckmark {

/// `the line from BM1 over L1, L2 to BM1`
std::string line_words(const HeightsFound& found, const HeightLine& line);
/// Of an open line: `nothing checks it`, or how far other readings do.
std::string_view open_line_words(const HeightsFound& found, const HeightLine& line);
/// An open line that is one set-up's sights beside the way, from a benchmark, with a back that others check:
/// no line of its own.
bool is_sight_beside(const HeightsFound& found, const HeightLine& line);
/// `the line from BM1 over L1, L2 to BM1 closes 12.1 mm too high`; of an open line that it is.
std::string line_closure_words(const HeightsFound& found, const HeightLine& line, LengthUnit unit);
/// `laser A, BM1 read again`, `laser A, BM1 and BM2`
std::string plane_words(const HeightsFound& found, const PlaneClosure& plane);
/// `laser A: by the second reading of BM1 its plane is 10.0 mm higher than by the first`, `laser A: its plane
/// is 10.0 mm higher by BM2 than by BM1`.
std::string plane_closure_words(const HeightsFound& found, const PlaneClosure& plane, LengthUnit unit);
/// `permitted 3.0 mm`, with as many decimals as it takes to read otherwise than a closure beyond it.
std::string permitted_words(Length closure, Length limit, LengthUnit unit);
/// `laser A at COL1: the two housings differ by 15/16", more than the 3/16" that ...`
std::string housing_words(const HeightsFound& found, const HousingTilt& tilt, LengthUnit unit);
/// `BM2 read from L3 as 1.432 m is 100.0 mm too much; or ...`
std::string wrong_height_words(const HeightsStated& stated, const HeightsFound& found,
                               const WrongHeight& wrong);
/// What would explain a closure: `100 mm in one reading`, `back and fore exchanged at L2`. Empty where
/// nothing was found. One of the two is given.
std::string slip_words(const HeightsFound& found, std::optional<std::size_t> line,
                       std::optional<std::size_t> plane);

/// A small length with its unit, fractions of an inch without the feet: `15/16"`, `10.0 mm`.
std::string small_words(Length value, LengthUnit unit);

/// The column that a reading, or a benchmark, is stated in: back, fore, reading, elevation.
std::string_view height_field(const HeightsFound& found, WrongHeight::What what, std::size_t index);
/// Where it stands.
Where height_place(const HeightsStated& stated, const HeightsFound& found, WrongHeight::What what,
                   std::size_t index);

}  // namespace deckmark
