#pragma once
/// The stages of a job in order, and what they find. The only room that joins the others.

#include <future>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "baseline/corners.h"
#include "baseline/fit.h"
#include "baseline/lengths.h"
#include "baseline/signed_fit.h"
#include "baseline/squareness.h"
#include "baseline/wrong_ties.h"
#include "job/job.h"
#include "lift/lift.h"
#include "marks/ledger.h"
#include "marks/near_pairs.h"
#include "table/message.h"
#include "transform/ground.h"
#include "transform/transform.h"
#include "work/asbuilt_found.h"
#include "work/instrument.h"
#include "work/overhead_found.h"

namespace deckmark {

struct BaselinePage;

/// How a stage's work ends: 0, 1, 2 or 3 of the contract.
enum class Exit : int { done = 0, outside = 1, bad_input = 2, system = 3 };

/// What says where the drawing lies on site.
enum class SitePlace : std::uint8_t {
  by_fit,     ///< ties, or a signed fit
  as_stated,  ///< [drawing] frame = "site"
  as_drawn,   ///< nothing, in a job without control and setups: the drawing frame is the site frame
  unknown,    ///< nothing, though control or setups show that the site has coordinates of its own
  no_drawing  ///< there is nothing to place
};
SitePlace site_place(const Job& job);
/// Whether marks have a place on site.
inline bool has_site_place(const Job& job) {
  return site_place(job) != SitePlace::unknown && site_place(job) != SitePlace::no_drawing;
}

/// What a command needs of a job.
enum class Need : std::uint8_t {
  measured,  ///< setups, side shots, control: neither a drawing nor its place on site
  drawing,   ///< the drawing and what was measured on it
  marks,     ///< marks at their place on site
  lists      ///< as `marks`; a job without a drawing is what was measured
};

/// Where the drawing lies on site.
struct Placed {
  std::optional<BaselineResult> baseline;  ///< with ties
  std::optional<SquarenessResult> square;  ///< with ties, or where lengths alone give it
  std::optional<FittedTransform> fit;      ///< covariance zero without ties; absent where refused or unknown
  BigVector<Point<Site>> marks;            ///< every mark, mapped
};

/// What was measured or printed beside the ties. Rows are in the order of the job's tables.
struct BaselineChecks {
  std::vector<LengthCheck> lengths;
  std::vector<DimensionCheck> dimensions;
  LengthsTogether together;           ///< what the lengths say of one another
  std::optional<CornerCheck> corner;  ///< squareness by lengths alone, where there are no ties
  std::vector<std::string_view> corner_marks;
  std::vector<WrongTie> wrong;       ///< coordinates that the other ties contradict, worst first
  std::optional<SignedCheck> today;  ///< what today's ties say of a signed fit
};

/// A mark that swing ties go out from, as it was found on site.
struct FromMark {
  std::string name;
  Point<Site> at;
};

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

/// What all stages found. Rows are named by index.
struct Found {
  Placed placed;
  BaselineChecks checks;
  std::vector<FromMark> swing_from;    ///< two, or none
  std::optional<DeckResult> deck_fit;  ///< with shots
  std::optional<Deck> deck;            ///< where the job has one; in bays that of the first: ask `deck_over`
  LedgerJoin join;
  IssueResult issue;
  std::vector<PlumbRow> plumb;             ///< in the order of the deck marks
  std::vector<std::uint32_t> plumb_marks;  ///< the mark of each
  AsbuiltFound asbuilt;
  OverheadFound overhead;
  InstrumentFound instrument;
  GroundFound ground;  ///< with a map projection
};

/// The floor elevation that the job works with: 0 where it states none.
Elevation floor_of(const Job& job);
/// Heights over a mark; a reference point has none.
MarkHeights heights_at(const Job& job, const Found& found, std::size_t mark);
/// The deck over a mark; null where the job has none.
inline const Deck* deck_over(const Found& found, std::size_t mark) {
  if (!found.overhead.bays.of_mark.empty())
    return &found.overhead.bays.decks[found.overhead.bays.of_mark[mark]];
  return found.deck ? &*found.deck : nullptr;
}
/// Whether a mark is fastened to the deck: no reference point, and not bridged by a trapeze.
inline bool has_deck_point(const Job& job, const Found& found, std::size_t mark) {
  return !job.marks.is_reference(mark) && (found.overhead.bridged.empty() || !found.overhead.bridged[mark]);
}
/// Where a mark is stated: its cell in the drawing's points, or the row of the run that it was generated for.
Where mark_where(const Job& job, const OverheadFound& overhead, std::size_t mark, std::size_t column);
/// Name of that cell's column.
std::string_view mark_field(const Job& job, const OverheadFound& overhead, std::size_t mark,
                            std::size_t column);
/// A change's place in the drawing's axes; absent where it is not a move.
std::optional<Vec<Drawing>> change_by(const Found& found, const ChangeRow& change);

/// Hangers along runs and supports of trapezes join the marks; nothing where the job has no such data.
/// Problems: runs, pieces and outlines that are none, names that are taken.
void plan_overhead(Job& job, Found& found, Messages& messages);
/// Cuts hangers to length. Problem: a cut over the stock length.
void cut_hangers(const Job& job, Found& found, Messages& messages);
/// Problems: no drawing, or none that has a place on site, where the command needs it.
void look_at_site_place(const Job& job, Need need, Messages& messages);
/// Fits the baselines and maps every mark. Problems: see contract, "Ties that leave something open".
void place(const Job& job, Found& found, Messages& messages);
/// Names ties that the others contradict, what is left without each, and the blunders that would explain it.
/// The fit that is used keeps them all. Gives the wrong ones.
std::vector<WrongTie> doubt_ties(const Job& job, const BaselineResult& result, std::span<const Tie> ties,
                                 Messages& messages);
/// Uses a signed fit unchanged; ties check it.
void place_signed(const Job& job, std::span<const Tie> ties, Found& found, Messages& messages);
/// Judges lengths and dimensions, names lengths that others contradict, and finds without ties the squareness
/// that the lengths show. Problems: unknown marks.
void check_lengths(const Job& job, Found& found, Messages& messages);
/// The page on the baselines, without where it is signed.
BaselinePage baseline_page(const Job& job, const Found& found);
/// Every length and dimension that is outside, in words.
std::vector<std::string> outside_checks(const Job& job, const Found& found);
/// Fits the deck; a point whose deck is not above floor and attach elevation is a problem of the row or key
/// that states them.
void lift_marks(const Job& job, Found& found, Messages& messages);
/// Joins the ledger and assigns numbers.
void number_marks(const Job& job, Found& found, Messages& messages);
/// Judges the deck marks.
void check_plumb(const Job& job, Found& found, Messages& messages);
/// Matches as-built shots with the drawing's points and judges them.
void check_asbuilt(const Job& job, Found& found, Messages& messages);
/// Shots that are not judged since they were taken on another floor: a problem where nothing else was asked
/// for, else a doubt.
void tell_other_floors(const Job& job, const Found& found, Messages& messages, Grade grade);
/// The deck number of a deck row, else the floor number.
std::uint32_t asbuilt_number(const Job& job, const Found& found, const AsbuiltRow& row);
/// What it found, for people; empty without shots.
std::string asbuilt_part(const Job& job, const Found& found);
/// Reduces and adjusts every setup, checks numbered points that were sighted, finds side shots, predicts
/// plans.
void set_up(const Job& job, Found& found, Messages& messages);
/// What to stake out from a setup; no lines where it has no orientation. REQUIRES a computed setup.
StakeList stake_list(const Job& job, const Found& found, std::size_t setup);
/// The same from a planned spot.
StakeList planned_list(const Job& job, const Found& found, std::size_t setup);
/// The search for points too close to one another, begun beside other stages where the drawing is long.
std::future<std::vector<NearPair>> begin_near_pairs(const Job& job);
/// What a careful person would look at in the drawing: spacing along runs, points too close to one another
/// (`near`), points beyond the ties, kinds that are spelled nearly like a known one.
void look_at_drawing(const Job& job, const Found& found, std::future<std::vector<NearPair>> near,
                     Messages& messages);

/// Finds the marks of the swing ties and doubts those that cross flat. Problems: unknown marks.
void look_at_offsets(const Job& job, Found& found, Messages& messages);
/// The sheet for laser and tape. `points_sha256`: of points.csv, by which the sheet can be told to belong to
/// a list.
std::string offset_sheet(const Job& job, const Found& found, const std::string& points_sha256);

/// The verdict on the whole job.
struct Standing {
  Exit exit = Exit::done;
  std::string line;  ///< READY TO LAY OUT, BASELINES NOT CHECKED: ..., DO NOT LAY OUT: ...
};
Standing standing(const Job& job, const Found& found);

}  // namespace deckmark
