#pragma once
/// The stages of a job in their order. The only place that knows the job and all stages.

#include <cstdint>
#include <filesystem>
#include <future>
#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "job/job.h"
#include "job/parts.h"
#include "lists/instrument_lists.h"
#include "pages/setups.h"
#include "pages/standing.h"
#include "stages/asbuilt.h"
#include "stages/bill.h"
#include "stages/brackets.h"
#include "stages/crews.h"
#include "stages/cuts.h"
#include "stages/doubts.h"
#include "stages/ground.h"
#include "stages/heights.h"
#include "stages/issue.h"
#include "stages/laid_out.h"
#include "stages/lengths.h"
#include "stages/moved_control.h"
#include "stages/net.h"
#include "stages/offsets.h"
#include "stages/plumb.h"
#include "stages/read_points.h"
#include "stages/setups.h"
#include "stages/shape.h"
#include "stages/site_place.h"
#include "stages/stake.h"

namespace deckmark {

/// In the order in which their messages are told.
enum class Stage : std::uint8_t {
  site,
  hang,
  place,
  lengths,
  heights,
  deck,
  lift,
  numbers,
  plumb,
  cuts,
  bill,
  brackets,
  issue,
  setups,
  plans,
  stakes,
  asbuilt,
  ground,
  moved_control,
  drawing,
  offsets,
  lists,
  crews
};
inline constexpr std::size_t kStages = 23;
using Stages = std::vector<Stage>;
class Computation;
/// What a command does without where it is spoiled, and what it then leaves out, told in one line.
struct DoneWithout {
  bool (*is_spoiled)(const Computation&);
  std::string_view left_out;  ///< `causes are not looked for`
};
/// What a command shows of a job.
struct Shown {
  Stages stages;  ///< whose faults stop it
  std::vector<DoneWithout> without{};
  std::string setup{};        ///< the one setup that is shown; empty: all
  Stages beside{};            ///< whose doubts are told too, where they are not spoiled
  std::vector<Part> parts{};  ///< of the job whose faults stop it too, which no stage reads
};
/// Every stage, and what no stage reads.
Shown whole_job();

/// Records of the job with their places, those that its setups sighted too. Of a stage that is spoiled they
/// have their names alone.
struct JobRecords {
  std::vector<NamedTie> ties;
  std::vector<StatedShot> shots;
  std::vector<StatedDeckMark> deck_marks;
  AsbuiltJob asbuilt;
  MeasuredDecks measured_decks{};
  Matrix tie_places{};  ///< joint covariance of the ties' found places; empty where each stands alone
  std::uint32_t marks_made = 0;  ///< that stand on the floor by the books, of a job with strings
};

/// What each stage is given of a job: views of its records.
struct JobViews {
  JobViews(const Job& job, const JobRecords& records);
  JobViews(const JobViews&) = delete;
  JobViews& operator=(const JobViews&) = delete;

  const std::string heading;               ///< the title with the storey behind it
  const std::vector<std::string> release;  ///< of `head`
  SitePlaceInput site;
  JobHead head;
  BaselinesStated baselines;
  HeightsStated heights;
  DeckStated deck;
  NumbersStated numbers;
  IssueStated issue;
  PlumbStated plumb;
  SetupsStated setups;
  StakeInput stake;
  AsbuiltStated asbuilt;
  GroundStated ground;
  OffsetsStated offsets;
  DrawingDoubts drawing;
  CrewsStated crews;
  MovedControlStated moved_control;
  BillStated bill;
};

/// A job as it was read, and what every stage found in it. It stays where it is: results view one another.
class Computation {
 public:
  /// Computes every stage that the job has data for. A fault stops the stages that need what it spoils, no
  /// others. `told`: of the reading.
  Computation(Job read, PartMessages told, Need need, std::string since = {});
  Computation(const Computation&) = delete;
  Computation& operator=(const Computation&) = delete;

 private:
  std::shared_ptr<MarkTable> drawn_;  // of the job, until the marks take it
  PartMessages told_;
  JobRecords records_;

 public:
  const Job job;
  const JobViews views;
  const Need need;
  const std::string since;  ///< the issue that changes are told against, as it was typed
  Staged<SitePlace> site;
  Staged<Hung> hung;
  Staged<Crews> crews;
  Staged<TiesPlaced> ties;
  Staged<Placed> placed;
  Staged<Checked> checked;
  Staged<DecksFitted> fitted;
  Staged<Decks> decks;
  Staged<Numbers> numbers;
  Staged<HeightsFound> heights;
  Staged<LaidOut> laid;
  Staged<DeckMarksPlaced> deck_marks;
  Staged<DeckMarksNamed> named;
  Staged<Plumbed> plumb;
  Staged<CutsFound> cuts;
  Staged<BillFound> bill;
  Staged<IssueFound> issue;
  Staged<NetFound> net;
  Staged<Setups> setups;
  Staged<AsbuiltPlaced> asbuilt_placed;
  Staged<AsbuiltFound> asbuilt;
  Staged<BracketsJudged> brackets;
  Staged<GroundFound> ground;
  Staged<OffsetsFound> offsets;
  Staged<ShapeFound> shape;

  /// What the setups sighted, all together; null where the job has none, or they are spoiled as a whole.
  const Sighted* sighted() const;
  /// What is told of what is shown and of the parts of the job that it reads; each message is given once.
  Messages take_told(const Shown& shown);
  /// Where parts of the job that are not shown have problems, a sentence that says so, and what is left out:
  /// there is no verdict on the whole job then. Empty where there is one.
  std::string not_judged(const Shown& shown) const;
  bool is_spoiled(Part part) const { return told_.is_spoiled(part); }
  /// The job is laid out from strings alone: it has no list for an instrument.
  bool is_from_strings() const;
  /// The places of setups, or control, are not all known.
  bool lacks_stations() const;
  /// The verdict on the job. REQUIRES a job in which nothing is spoiled.
  Standing standing() const;

  /// Marks laid out, or none where nothing says where they lie on site.
  const LaidOut& laid_or_none() const;
  StakeWords stake_words() const {
    return {views.head, views.setups, *setups.get(), views.stake, laid_or_none()};
  }
  /// Of the lists. REQUIRES marks that are laid out.
  ListsInput lists() const;

 private:
  bool is_spoiled(std::initializer_list<Part> parts) const;
  bool has_place() const;
  /// The stage's table is in the projection: without control it cannot be brought to ground scale.
  bool reads_control(Stage stage) const;
  bool lacks_control(Stage stage) const { return reads_control(stage) && told_.is_spoiled(Part::control); }
  PointsSighted points_sighted() const;
  template <class T>
  void keep_read(Stage stage, Part part, Staged<T>& result);
  void place_ties();
  void place_drawing();
  void fit_deck();
  void place_deck_marks();
  void place_asbuilt();
  void lay_out();
  void find_crews();
  void look_at_bill();
  void find_numbers();
  void measure_heights();
  void take_measured_decks();
  void adjust_setups();
  void keep_setups(std::vector<SetupMessages>& told);
  void measure();
  void find_setups();
  void judge();
  void hand_out();
  void look();
  bool shows_setups(const Shown& shown) const;
  bool shows_setup(const Shown& shown, std::size_t setup) const;
  std::vector<std::string> spoiled_beside(const Shown& shown) const;
  Messages& told(Stage stage) { return stage_told_[static_cast<std::size_t>(stage)]; }
  bool has_problems(Stage stage) const { return stage_problems_[static_cast<std::size_t>(stage)]; }
  template <class T>
  void keep(Stage stage, Staged<T>& result);

  std::array<Messages, kStages> stage_told_;
  std::array<bool, kStages> stage_problems_{};
  std::array<bool, kStages> spoiled_by_setups_{};  // what they read has no place since a setup has none
  std::optional<Sighted> sighted_;                 // where there is a net
  std::vector<SetupMessages> setup_told_;          // of the reading and of the stages
  std::vector<bool> setup_spoiled_, plan_spoiled_;
  std::future<std::vector<NearPair>> near_;
  std::future<ShapeFound> shape_;
};

}  // namespace deckmark
