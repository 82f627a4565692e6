#pragma once
/// Gathers what the page of a job shows.

#include <string>
#include <string_view>
#include <vector>

#include "pages/asbuilt.h"
#include "pages/baselines.h"
#include "report/heights_text.h"
#include "report/text.h"
#include "stages/bill.h"
#include "stages/plumb.h"

namespace deckmark {

struct PageInput {
  const JobHead& head;
  const BaselinesStated& baselines;
  const std::vector<ControlPoint>& control;
  const OverheadJob& overhead;
  const std::vector<std::string>& only;  ///< runs that are listed; empty: all
  const LaidOut& laid;
  const Checked* checked = nullptr;
  const OffsetsFound* offsets = nullptr;
  const PlumbOptions& plumb_options;
  const Plumbed* plumb = nullptr;
  const AsbuiltStated& asbuilt_stated;
  const AsbuiltFound* asbuilt = nullptr;
  const BillFound* bill = nullptr;
  std::optional<HeightsPage> heights{};
  std::vector<InputLine> inputs;  ///< what was read, but the ledger, which every run replaces
};
/// The page of the job. `line`: the first line of the summary; `points_sha256`: of points.csv, by which the
/// page can be told to belong to a list.
std::string page_of(const PageInput& input, std::string_view line, std::string_view program,
                    std::string_view points_sha256);

}  // namespace deckmark
