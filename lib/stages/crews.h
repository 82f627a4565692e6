#pragma once
/// Which crews have which marks.

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "job/crew_job.h"
#include "job/overhead_job.h"
#include "stages/job_marks.h"
#include "stages/staged.h"

namespace deckmark {

/// The crews of every mark. A mark keeps a number for the crews that it has: there are few such sets, and may
/// be a million marks.
class Crews {
 public:
  std::size_t size() const { return stated_->size(); }
  const StatedCrew& operator[](std::size_t crew) const { return (*stated_)[crew]; }
  /// The names of the crews that have a mark, in the order of the job file, joined by one blank; empty: none.
  std::string_view text(std::size_t mark) const { return sets_[set_of_[mark]].text; }
  bool has(std::size_t crew, std::size_t mark) const { return sets_[set_of_[mark]].has[crew]; }
  /// Marks that a crew has, ascending.
  BigVector<std::uint32_t> marks(std::size_t crew) const;
  bool is_empty(std::size_t crew) const;

 private:
  friend class CrewsMaker;
  struct Set {
    std::string text;
    std::vector<bool> has;  ///< by crew
  };
  explicit Crews(const std::vector<StatedCrew>& stated) : stated_(&stated) {}
  const std::vector<StatedCrew>* stated_;
  std::vector<Set> sets_;
  BigVector<std::uint32_t> set_of_;  ///< of every mark
};

struct CrewsStated {
  const std::vector<StatedCrew>& crews;  ///< outlives what is found
  const std::vector<StatedRun>& runs;    ///< of the runs table
};
/// A support belongs to the crews of its hanger. Problems: runs and points that are not there. Doubts: points
/// that two crews do the same work at, points in no crew (supports are their hanger's in both), a crew
/// without points.
[[nodiscard]] Staged<Crews> find_crews(const CrewsStated& stated, const JobMarks& marks);

/// What of a job is laid out: all of it, or one crew's marks as far as the crew does the work. A view.
class CrewShare {
 public:
  CrewShare() = default;  ///< the whole job
  CrewShare(const Crews& crews, std::size_t crew) : crews_(&crews), crew_(crew) {}

  bool is_whole() const { return crews_ == nullptr; }
  /// REQUIRES a share that is not the whole.
  const StatedCrew& crew() const { return (*crews_)[crew_]; }
  std::string_view name() const { return crews_ ? std::string_view(crew().name) : std::string_view(); }
  bool is_empty() const { return crews_ && crews_->is_empty(crew_); }
  bool does(CrewWork work) const;
  /// The crew puts marks down, on the floor or on the deck.
  bool does_marks() const { return does(CrewWork::floor) || does(CrewWork::deck); }
  bool works_from(std::size_t setup) const;
  bool has(std::size_t mark) const { return !crews_ || crews_->has(crew_, mark); }
  bool has(std::size_t mark, CrewWork work) const { return has(mark) && does(work); }

 private:
  const Crews* crews_ = nullptr;
  std::size_t crew_ = 0;
};
/// The whole job, then the share of every crew. `crews` may be null.
std::vector<CrewShare> crew_shares(const Crews* crews);

}  // namespace deckmark
