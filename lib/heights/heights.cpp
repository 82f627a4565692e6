#include "heights/heights.h"

#include "heights/height_net.h"

namespace deckmark {

using levelling::Adjustment;
using levelling::Net;

namespace {

void fill_heights(const Net& net, const Adjustment& adjustment, HeightsResult& out) {
  const auto elevation = [](std::optional<double> metres) {
    return metres ? std::optional(Elevation::metres(*metres)) : std::nullopt;
  };
  for (std::size_t t = 0; t < net.targets; ++t)
    out.targets.push_back({elevation(adjustment.target(t)), Length::metres(adjustment.target_sd(t))});
  for (std::size_t s = 0; s < net.stations; ++s)
    (s < net.setups ? out.setups : out.beams).push_back(elevation(adjustment.station(s)));
}

void fill_readings(const HeightReadings& readings, const Net& net, const Adjustment& adjustment,
                   HeightsResult& out) {
  for (const std::size_t o : net.of_level) {
    out.level_residuals.push_back(Length::metres(adjustment.residual(o)));
    out.level_redundancy.push_back(adjustment.redundancy(o));
  }
  for (std::size_t i = 0; i < readings.laser.size(); ++i) {
    const std::size_t o = net.of_laser[i];
    out.laser_residuals.push_back(
        Length::metres(levelling::side_of(readings.laser[i]) * adjustment.residual(o)));
    out.laser_redundancy.push_back(adjustment.redundancy(o));
  }
}

}  // namespace

HeightsResult adjust_heights(const HeightReadings& readings, const HeightOptions& options) {
  const Net net = levelling::net_of(readings, options);
  const Adjustment adjustment(net, std::vector<bool>(net.items(), false));
  HeightsResult out;
  fill_heights(net, adjustment, out);
  fill_readings(readings, net, adjustment, out);
  out.spare = adjustment.degrees_of_freedom();
  if (out.spare > 0) out.variance_factor = adjustment.square_sum() / static_cast<double>(out.spare);
  out.lines = levelling::find_lines(readings, options);
  out.planes = levelling::find_planes(readings, options, net);
  out.tilts = levelling::find_tilts(readings, net);
  out.wrong = levelling::find_wrong_heights(readings, net, adjustment);
  out.slips = levelling::find_slips(readings, options, net, adjustment, out);
  levelling::mark_contradicted(net, adjustment, out);
  return out;
}

}  // namespace deckmark
