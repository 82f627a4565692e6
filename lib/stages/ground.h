#pragma once
/// Control in a map projection at ground scale, and what that comes to.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "job/ground_job.h"
#include "job/stated.h"
#include "stages/laid_out.h"
#include "stages/staged.h"
#include "transform/ground.h"

namespace deckmark {

/// Control of a map projection at ground scale.
struct GroundFound {
  std::vector<GroundRow> rows;  ///< of the control, in its order
  std::size_t farthest = 0;     ///< the mark farthest from the point where ground and grid meet
  bool placed = false;          ///< that mark lies near the control
  struct Way {
    std::string from, to;
    GroundCheck check;
  };
  std::vector<Way> ways;  ///< what is shown as a check
};

struct GroundStated {
  const GroundJob& ground;
  const std::vector<ControlPoint>& control;
  Where job, crs;  ///< the job file; the key site.crs
};
/// Absent without a projection. The control's rows, the farthest hanger and the independent check; doubts
/// where one factor is not enough. `marks`, `placed`: null where marks have no place on site.
[[nodiscard]] Staged<GroundFound> look_at_ground(const GroundStated& stated, const JobMarks* marks,
                                                 const Placed* placed);
/// The north from which azimuths on site count.
std::string_view north_word(const GroundJob& ground);

}  // namespace deckmark
