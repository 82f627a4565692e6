#include "stages/site_place.h"

#include <fmt/format.h>

#include <utility>

namespace deckmark {

namespace {

void refuse_no_drawing(const SitePlaceInput& input, Messages& told) {
  const bool measured = input.has_projection || input.facts.has_setups;
  const bool names_what = measured && !input.needs_a_drawing.empty();
  told.problem(input.job, "drawing.points",
               Fault{names_what ? fmt::format("no table of points beside {}", input.needs_a_drawing)
                                : "no table of points",
                     "the path of the drawing's points", "points = \"drawing.csv\" under [drawing]"});
}

void refuse_no_place(const SitePlaceInput& input, Messages& told) {
  const bool setups = input.facts.has_setups;
  const std::string_view what = !setups                     ? "control"
                                : !input.has_control_points ? "setups"
                                                            : "control and setups";
  told.problem(
      input.job, "baselines.ties",
      Fault{fmt::format("{} but no ties: nothing says where the drawing lies on site", what),
            fmt::format(
                "ties = \"ties.csv\" under [baselines]: points found on site whose drawing X or Y is known{}",
                setups ? " (deckmark setup gives what was sighted)" : ""),
            input.mirrored ? "" : "frame = \"site\" under [drawing] where x is easting and y is northing"});
}

}  // namespace

SitePlace site_place(const SiteFacts& facts) {
  if (!facts.has_drawing) return SitePlace::no_drawing;
  if (facts.states_ties) return SitePlace::by_fit;
  if (facts.frame_is_site) return SitePlace::as_stated;
  return facts.has_control || facts.has_setups ? SitePlace::unknown : SitePlace::as_drawn;
}

Staged<SitePlace> look_at_site_place(const SitePlaceInput& input, Need need) {
  Messages told;
  const SitePlace place = site_place(input.facts);
  if (place == SitePlace::no_drawing && need != Need::measured) {
    const bool measured = input.has_projection || input.facts.has_setups;
    if (!(need == Need::lists && measured && input.needs_a_drawing.empty())) refuse_no_drawing(input, told);
  }
  if (place == SitePlace::unknown && (need == Need::marks || need == Need::lists))
    refuse_no_place(input, told);
  if (place == SitePlace::as_stated)
    told.notice("the drawing is in site coordinates", input.frame, "drawing.frame",
                "x is taken for easting and y for northing, as this key says; no ties check it");
  return Staged<SitePlace>::found(place, std::move(told));
}

}  // namespace deckmark
