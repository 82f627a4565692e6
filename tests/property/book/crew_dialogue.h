#pragma once
/// A person with an instrument who types into the dialogue, reads, moves the mark as told and keeps it; what
/// truly stands is known, so that what the dialogue states can be held against it.

#include <array>
#include <map>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "command/findings.h"
#include "crew_world.h"
#include "piped_dialogue.h"

namespace deckmark_test {

/// What happens to the instrument between two marks.
enum class Mishap { none, turned, moved };

struct CrewTally {
  std::size_t dialogues = 0, refused = 0;
  std::size_t marks = 0, moved_in = 0, kept_in = 0;  ///< within the stated 95 % region
  std::size_t far = 0;  ///< truly over 6 mm from their place, though the reading was within
  std::size_t checks = 0, false_stops = 0;          ///< of an instrument that stands as it stood
  std::array<std::size_t, 3> mishaps{}, stopped{};  ///< by Mishap, target left standing
  std::size_t bad = 0, bad_unnamed = 0;             ///< marks made after a mishap that was stopped
  /// Read against coordinates: what the dialogue says that it would see 95 times in 100, and was seen.
  std::size_t unsaid = 0;
  std::array<std::size_t, 3> stated{}, seen{};  ///< by Mishap
  std::string told() const;
};

struct CrewPlan {
  Mishap mishap = Mishap::none;
  double turn = 40 / 206264.80624709636, move = 0.005;  ///< rad, m
  bool target_left = true;                              ///< else set up again for the second check
  std::size_t before = 2, after = 2;                    ///< marks
};

class CrewDialogue {
 public:
  CrewDialogue(CrewWorld& world, PipedDialogue& dialogue, CrewTally& tally, Findings& findings)
      : world_(world), dialogue_(dialogue), tally_(tally), findings_(findings) {}
  /// A standing from its set-up to the check that ends it.
  void stand(std::size_t setup, const CrewPlan& plan, const Answer& opened);

  /// Two standings of one setup, each with a check against coordinates: the first tells what it could miss,
  /// in the second just that has happened.
  void could_miss(std::size_t setup, Mishap mishap);

  /// By number: where each mark truly is, and whether the instrument stood as it was set up.
  struct Made {
    Place truth, instrument;
    bool good = false;
  };
  const std::map<std::int64_t, Made>& made() const { return made_; }
  /// All numbers that the dialogue called doubtful.
  const std::set<std::int64_t>& doubted() const { return doubted_; }
  void next_mark(std::int64_t number) { next_ = number; }

 private:
  /// Reads a target; true where it was found outside.
  bool check(const std::string& name, const Place& target, double up, Answer& answer);
  bool mark(std::int64_t number);
  Answer read_mark(const Place& mark);
  void tell(const std::string& what, const Answer& answer);

  CrewWorld& world_;
  PipedDialogue& dialogue_;
  CrewTally& tally_;
  Findings& findings_;
  /// Against the target's first reading of this standing, by the test's own rule.
  void judge(const std::string& name, const CrewReading& reading, bool outside, const Answer& answer);

  CrewInstrument now_;
  std::map<std::string, CrewReading> first_;  ///< of this standing, within
  std::set<std::int64_t> doubted_;
  std::map<std::int64_t, Made> made_;
  std::int64_t next_ = 1001;
};

/// Numbers of `1041-1044 1047`.
std::set<std::int64_t> numbers_of_list(const AnswerLine& words, std::size_t from);

}  // namespace deckmark_test
