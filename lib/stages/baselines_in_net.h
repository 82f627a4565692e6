#pragma once
/// What the fit of the baselines shares with the net that its ties were sighted in.

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include "adjust/matrix.h"
#include "station/net.h"
#include "transform/transform.h"

namespace deckmark {

/// Empty where no tie was sighted: then the fit shares nothing with any setup.
class BaselinesInNet {
 public:
  BaselinesInNet() = default;
  /// `gain`: four parameters of the fit by northing and easting of every tie; `ties`: those by parts of the
  /// net, empty where a tie is typed; `place_in_net`: of every setup of the job.
  BaselinesInNet(const Matrix& gain, const std::vector<std::array<NetForm, 2>>& ties,
                 NetCovariance covariance, std::vector<std::optional<std::size_t>> place_in_net);
  bool empty() const { return parameters_.empty(); }
  /// Covariance with a setup of the job. REQUIRES that it is in the net.
  std::optional<BaselinesWithSetup> with_setup(std::size_t setup) const;
  /// What the design of a mark adds to a sighted point of the net when the two are compared: the covariance
  /// of the mapped mark less twice what it shares with the point.
  PlanCovariance<Site> beside_point(const FittedTransform& fit, const Point<Drawing>& mark,
                                    std::size_t point) const;

 private:
  std::vector<NetForm> parameters_;
  NetCovariance covariance_;
  std::vector<std::optional<std::size_t>> place_in_net_;
};

}  // namespace deckmark
