#pragma once
/// Where the drawing lies on site: the fit of the baselines to ties, a signed fit, or what the job states.

#include <optional>
#include <string>
#include <vector>

#include "baseline/fit.h"
#include "baseline/signed_fit.h"
#include "baseline/squareness.h"
#include "baseline/wrong_ties.h"
#include "job/baseline_job.h"
#include "job/stated.h"
#include "stages/baselines_in_net.h"
#include "stages/job_marks.h"
#include "stages/site_place.h"
#include "stages/staged.h"
#include "transform/transform.h"

namespace deckmark {

/// What a job says of its baselines.
struct BaselinesStated {
  const std::vector<NamedTie>& ties;
  const ReadTable& ties_table;
  const BaselineOptions& options;
  const SquarenessOptions& square;
  const BaselineJob& checks;  ///< lengths, dimensions, building lines, a signed fit
  const std::string& revision;
  bool mirrored = false;
  LengthUnit drawing_unit = LengthUnit::metre, site_unit = LengthUnit::metre;
  /// Covariance of the found places in the order of the ties, as of a `TieView`, where some were taken from
  /// what was sighted; the sds of shots are then not used. Null: each tie stands alone.
  const Matrix* tie_places = nullptr;
  const Matrix* joint_places() const { return tie_places && tie_places->rows > 0 ? tie_places : nullptr; }
};

struct Placed {
  SitePlace by = SitePlace::as_drawn;
  std::optional<BaselineResult> baseline;  ///< with ties
  std::optional<SquarenessResult> square;  ///< with ties
  FittedTransform fit;                     ///< covariance zero without ties
  BigVector<Point<Site>> marks;            ///< every mark, mapped
  std::vector<WrongTie> wrong;             ///< coordinates that the other ties contradict, worst first
  std::optional<SignedCheck> today;        ///< what today's ties say of a signed fit
  /// Of the fit by the found places (`BaselineResult::gain`); empty where ties do not make it.
  Matrix gain{};
  BaselinesInNet in_net{};  ///< what the fit shares with the setups

  /// Whether a tie stands more than 1 m from where the fit puts it: then no distance on site means anything,
  /// and what would be told of one is the tie's fault.
  bool is_lost() const;
};
/// By how much a tie that the others contradict can have moved marks; zero where there is none.
[[nodiscard]] Length moved_by_wrong_ties(const Placed& placed);

/// Fits the baselines and maps every mark. Problems: ties that leave something open. REQUIRES a site place.
[[nodiscard]] Staged<Placed> place(const BaselinesStated& stated, SitePlace by, const JobMarks& marks);

/// Names ties that the others contradict, what is left without each, and the blunders that would explain it.
/// The fit that is used keeps them all. Gives the wrong ones.
std::vector<WrongTie> doubt_ties(const BaselinesStated& stated, const BaselineResult& result, TieView ties,
                                 Messages& messages);

}  // namespace deckmark
