#include "station/net_alone.h"

#include <algorithm>

namespace deckmark::net {

SetupResult alone_of(const NetInput& input, std::size_t s, const NetOptions& options, bool names_all) {
  const NetSetup& setup = input.setups[s];
  if (setup.alone) return *setup.alone;
  SetupInput one;
  one.place = setup.place;
  one.mark = setup.own;
  if (setup.over && input.points[*setup.over].control) one.mark = input.points[*setup.over].control;
  if (setup.over && !one.mark) one.place = SetupPlace::free;
  one.instrument_height = setup.instrument_height;
  one.orientation = setup.orientation;
  one.sights = setup.sights;
  std::vector<std::optional<ControlMark>> targets;
  for (const std::size_t p : setup.points) targets.push_back(input.points[p].control);
  one.targets = targets;
  return names_all ? adjust_setup(one, options.setup) : adjust_setup_of_net(one, options.setup);
}

std::vector<SetupResult> alone_of(const NetInput& input, const NetOptions& options) {
  const auto reading = std::count_if(input.setups.begin(), input.setups.end(),
                                     [](const NetSetup& s) { return !s.sights.empty(); });
  std::vector<SetupResult> out;
  for (std::size_t s = 0; s < input.setups.size(); ++s)
    out.push_back(alone_of(input, s, options, reading < 2));
  return out;
}

}  // namespace deckmark::net
