#pragma once
/// What the drawing needs against the bill and what arrived: a function of what hangs, not of a job.

#include <vector>

#include "bill/delivery.h"
#include "job/bill_job.h"
#include "measure/length.h"
#include "report/overhead_text.h"
#include "stages/cuts.h"
#include "stages/overhead.h"
#include "stages/staged.h"

namespace deckmark {

struct BillStated {
  const BillJob& bill;
  const OverheadJob& overhead;
  LengthUnit drawing_unit = LengthUnit::metre;
};

struct BillFound {
  DeliveryResult held;
  std::size_t runs = 0;  ///< of the runs table; `held.lacks` has one more, for hangers of no run
  std::size_t stuck_runs() const;
  bool lacks_any(std::size_t run) const { return held.is_judged && !held.lacks[run].empty(); }
};

/// Absent where the job states neither needs nor bill nor arrived. Problem: lengths of the bill read in a
/// unit in which they are not those of the drawing's pieces, while they are in another one. Doubts: runs that
/// cannot begin; parts of the bill or of what arrived that nothing needs; a length that differs from the
/// drawing's by over 1 mm.
[[nodiscard]] Staged<BillFound> hold_bill(const BillStated& stated, const JobMarks& marks,
                                          const Overhead& overhead);

/// `3 CLIP-1, 1 R2-P1`: what a run, by its index, lacks, at most so many parts by name.
std::string lacks_words(const BillFound& bill, std::size_t run, std::size_t most);

/// What is hung, where the job has data from which it is counted, and the parts of needs behind it. `cuts`,
/// `bill`: null where the job has none.
std::vector<PartLine> all_parts(const OverheadJob& stated, const JobMarks& marks, const Overhead& overhead,
                                const CutsFound* cuts, const BillFound* bill);

}  // namespace deckmark
