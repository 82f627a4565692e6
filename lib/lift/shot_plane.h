#pragma once
/// The arithmetic under `fit_deck`: shots as bare metres about their centroid. Private to the room.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "adjust/matrix.h"
#include "lift/lift.h"

namespace deckmark::shot_plane {

// Shots on a deck are never better than this: keeps perfect data from making every difference significant.
inline constexpr double kFinestScatter = 1e-4;

// A shot about the centroid of all: north, east, height in metres.
struct Local {
  double n, e, h;
};

struct Gradient {
  double n = 0, e = 0;
};

struct Plane {
  Gradient gradient;
  double height = 0;
  std::vector<double> residuals, redundancy;  // empty where the shots fix no plane
  double square_sum = 0;
  Matrix cofactors;
};
Plane fit_plane(std::span<const Local> shots);

// How the others fit without one shot.
struct WithoutOne {
  std::size_t shot = 0;
  double off = 0;         // of the shot from the plane of the others
  double square_sum = 0;  // of the others
  double largest = 0;     // residual of the others
  double slope = 0;       // of their plane
};
// The shots whose removal explains most, and alike: the first is that without which the others are flattest.
std::vector<WithoutOne> without_one(std::span<const Local> shots, const Plane& plane);

// Those of them without which all others lie within the flatness.
std::vector<OneWrong> single_out(std::span<const Local> shots, double flatness);

std::optional<LoneShot> lone_shot(std::span<const DeckShot> shots);

}  // namespace deckmark::shot_plane
