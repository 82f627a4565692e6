#pragma once
/// The drawing's axes on site, from the ledger alone.

#include <complex>
#include <vector>

#include "issues/ledger.h"
#include "transform/transform.h"

namespace deckmark {

/// Gathers places of which the ledger has both, and fits the drawing to them.
class LedgerAxes {
 public:
  /// A row without one of its places is left out.
  void add(const LedgerRow& row);
  /// The similarity between the drawing and the site by least squares, mirrored or not as it fits better.
  /// `mirrored`: which of the two where the places lie on one line. Of one place alone +X is taken to be
  /// east.
  Transform<Drawing, Site> fitted(bool mirrored) const;

 private:
  struct Pair {
    std::complex<double> drawing, site;  // x + i y, easting + i northing; metres
  };
  std::vector<Pair> places_;
};

/// Of the live numbers of a ledger.
Transform<Drawing, Site> drawing_from_ledger(const Ledger& ledger, bool mirrored = false);

}  // namespace deckmark
