#pragma once
/// The weighted square sum of ties over the azimuth, by which minima are found where misfits are of the size
/// of the site and Gauss-Newton alone wanders. Private to the room.

#include <span>

#include "baseline/tie_fit.h"

namespace deckmark::tie_fit {

/// At scale 1 over the azimuth A with s = sin A, c = cos A:
/// constant - 2 (p s + q c) + u s^2 + 2 v s c + w c^2.
struct Wave {
  double constant = 0, p = 0, q = 0, u = 0, v = 0, w = 0;
};
/// By the sds, the shifts of both families 0.
Wave wave_of(const Ties& ties, double hand);
/// By the covariance of some of the stated coordinates, the shifts of their families always the best.
Wave wave_of(const Ties& ties, std::span<const std::size_t> rows, double hand, const Whitening& whitening);

/// Sine and cosine of an azimuth.
struct Turn {
  double sine, cosine;
};
inline double square_sum_at(const Wave& f, const Turn& t) {
  return f.constant + t.sine * (f.u * t.sine + 2 * (f.v * t.cosine - f.p)) +
         t.cosine * (f.w * t.cosine - 2 * f.q);
}

/// The minimum between two azimuths around it.
double minimum_between(const Wave& f, double low, double high);
/// The minimum that lies downhill.
double minimum_near(const Wave& f, double azimuth);
/// Sine and cosine over the scale where this is free: they enter linearly.
Turn free_minimum(const Wave& f);

}  // namespace deckmark::tie_fit
