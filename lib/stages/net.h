#pragma once
/// The net of a job: what its setups sighted, adjusted together before ties, deck shots and marks are looked
/// at, and found by name by those that leave their coordinates empty.

#include <cstddef>
#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "job/instrument_job.h"
#include "job/parts.h"
#include "job/stated.h"
#include "marks/mark_finder.h"
#include "stages/job_marks.h"
#include "stages/numbers.h"
#include "stages/staged.h"
#include "station/net.h"

namespace deckmark {

/// What a target's name means.
enum class TargetRole : std::uint8_t {
  control,
  floor,  ///< a numbered point: a check against the list
  deck,
  side  ///< neither: a side shot
};
struct TargetMeaning {
  TargetRole role = TargetRole::side;
  std::uint32_t index = 0;  ///< row of control, or mark
};

struct SetupsStated {
  const InstrumentJob& instrument;
  const std::vector<ControlPoint>& control;
  std::set<std::string> used;  ///< names of ties and deck shots, in small letters: side shots that were meant
  Length plan_tolerance = Length::metres(0);  ///< of as-built marks
  std::optional<Elevation> floor;             ///< as stated
  LengthUnit site_unit = LengthUnit::metre;
  const std::vector<SiblingStorey>* storeys = nullptr;  ///< whose marks are refused; null: none
};
[[nodiscard]] SetupOptions setup_options(const SetupsStated& stated);
[[nodiscard]] inline ControlMark control_mark(const ControlPoint& c) { return {c.at, c.elevation, c.sd}; }

/// The marks that names may mean; nothing in a job without a drawing, or one whose marks are spoiled.
struct NamedMarks {
  const JobMarks* marks = nullptr;
  const Numbers* numbers = nullptr;  ///< null: no numbers are known, names alone are found
};

/// One setup of the job in the net.
struct NetSetupFound {
  std::vector<TargetMeaning> targets;  ///< of each name
  std::vector<std::size_t> points;     ///< net point of each name
  Reduction reduction;
  SetupResult alone;  ///< by its own sights to control
  SetupResult result;
};

struct NetFound {
  /// In the order of the setups; nothing where a setup was not read, or is spoiled or refused (told).
  std::vector<std::optional<NetSetupFound>> setups;
  std::vector<std::optional<std::size_t>> place_in_net;  ///< of each setup among those of `net`
  std::vector<std::string> names;                        ///< of the net's points; the control first
  std::vector<bool> sighted;                             ///< by point
  NetResult net;
  std::vector<SetupMessages> told;  ///< of each setup
};

/// Reduces what was read, names the targets, and adjusts all setups that are not spoiled. What is wrong with
/// one setup spoils it alone. Absent without setups.
[[nodiscard]] Staged<NetFound> find_net(const SetupsStated& stated, const NamedMarks& marks);

/// A name as the setups see it.
struct SeenPlace {
  NetPlace place;
  std::optional<std::size_t> point;  ///< of the net; absent where one setup alone is asked
  std::vector<std::size_t> setups;   ///< that sighted it
};

/// What was sighted, by name. A view, valid while what it was made of is.
class Sighted {
 public:
  Sighted(const SetupsStated& stated, const NetFound& net, const NamedMarks& marks);
  /// Whether any setup sighted the name, with a place or not; setups that are spoiled too.
  bool has(std::string_view name) const { return !seen_from(name).empty(); }
  /// Setups whose readings hold the name.
  std::vector<std::size_t> seen_from(std::string_view name) const;
  /// The place that the whole net gives it; nothing where it has none (a direction alone).
  std::optional<SeenPlace> find(std::string_view name) const;
  /// The place as one setup sees it: no other setup's readings of it count.
  std::optional<SeenPlace> find(std::string_view name, std::size_t setup) const;
  /// A setup by its name, without regard to the case of A-Z.
  std::optional<std::size_t> setup_named(std::string_view name) const;
  /// Whether a setup has a fault, so that what it sighted is not known.
  bool is_spoiled(std::size_t setup) const { return !net_.setups[setup]; }
  const NetCovariance& covariance() const { return net_.net.covariance; }
  /// Names that were sighted, each point once, in the order first sighted.
  std::vector<std::string> names() const;

 private:
  std::string key(std::string_view name) const;

  const SetupsStated& stated_;
  const NetFound& net_;
  std::optional<MarkFinder> finder_;
  std::vector<std::string> names_;
  std::map<std::string, std::size_t> control_;                 // by small letters
  std::map<std::string, std::vector<std::size_t>> seen_from_;  // by key
  std::map<std::string, std::size_t> points_;                  // by key
};

}  // namespace deckmark
