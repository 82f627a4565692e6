#pragma once
/// What says where the drawing lies on site, and whether that is enough for what is asked.

#include <cstdint>
#include <string_view>

#include "stages/staged.h"

namespace deckmark {

/// What says where the drawing lies on site.
enum class SitePlace : std::uint8_t {
  by_fit,     ///< ties, or a signed fit
  as_stated,  ///< [drawing] frame = "site"
  as_drawn,   ///< nothing, in a job without control and setups: the drawing frame is the site frame
  unknown,    ///< nothing, though control or setups show that the site has coordinates of its own
  no_drawing  ///< there is nothing to place
};

/// What a job states of it.
struct SiteFacts {
  bool has_drawing = false;
  bool states_ties = false;  ///< ties or a signed fit, readable or not
  bool frame_is_site = false;
  bool has_control = false;
  bool has_setups = false;
};
SitePlace site_place(const SiteFacts& facts);
/// Whether marks have a place on site.
inline bool has_site_place(SitePlace place) {
  return place != SitePlace::unknown && place != SitePlace::no_drawing;
}

/// What a command needs of a job.
enum class Need : std::uint8_t {
  measured,  ///< setups, side shots, control: neither a drawing nor its place on site
  drawing,   ///< the drawing and what was measured on it
  marks,     ///< marks at their place on site
  lists      ///< as `marks`; a job without a drawing is what was measured
};

struct SitePlaceInput {
  SiteFacts facts;
  bool has_control_points = false;  ///< the control was read
  bool has_projection = false;
  bool mirrored = false;
  std::string_view needs_a_drawing;  ///< what is stated that cannot be without one; empty: nothing
  Where job;                         ///< the job file
  Where frame;                       ///< the key drawing.frame
};
/// Problems: no drawing, or none that has a place on site, where the command needs it. Notice: a frame that
/// is taken as stated.
[[nodiscard]] Staged<SitePlace> look_at_site_place(const SitePlaceInput& input, Need need);

}  // namespace deckmark
