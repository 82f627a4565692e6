#pragma once
/// The members of which runs are made: one on the run's line, or a pair beside it. Where they end, how long
/// they are, and where they meet those of other runs.

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "hanger/crossings.h"

namespace deckmark {

struct MemberTask {
  std::span<const RunCourse> runs;
  std::span<const Length> separations;  ///< of every run, centre to centre; 0: one member
  std::span<const StatedReach> reaches;
  const CrossingsResult& met;
  Length member_width = Length::metres(0);
  bool mirrored = false;  ///< the hand on site is the other hand on paper
};

/// A member lies beside a stretch of its run's line, at one distance from it. Places on it are given by the
/// place on that line beside which they lie, square to it.
struct Member {
  std::size_t run;
  MemberSide side;
  Length left;           ///< of the line's way, on paper; below zero to the right
  Length from, to;       ///< beside the run's line, beyond its ends where the member is longer
  bool is_left = false;  ///< on site, as one walks from the run's start
  double stretch = 1;    ///< its length over that of the line beside it; under 1 inside a curve
  RunEnd start = RunEnd::free, finish = RunEnd::free;
  HangFirst order = HangFirst::first;
  std::size_t from_run = 0;  ///< with `HangFirst::from`

  Length length() const { return (to - from) * stretch; }
  /// From its own start to the place beside a place of the line.
  Length along(Length along_run) const { return (along_run - from) * stretch; }
  /// The place of the line beside a place of its own.
  Length beside(Length along_member) const { return from + along_member / stretch; }
  /// Whether it is there beside a place of the line.
  bool reaches(Length along_run) const;
};

/// Where a through member and a cut one meet.
struct MemberMeeting {
  std::size_t crossing;                         ///< of the runs
  std::size_t through, cut;                     ///< members
  Length on_through, on_cut;                    ///< beside the runs' lines
  bool through_ends = false, cut_ends = false;  ///< that member ends there
};

struct MembersResult {
  std::vector<Member> members;      ///< by run; left before right, inside before outside
  std::vector<std::size_t> begins;  ///< of every run, the first of its members; one more behind the last run
  std::vector<MemberMeeting> meetings;    ///< by crossing, through member, along it
  std::vector<std::size_t> no_room;       ///< runs whose curve is too tight for their separation; no members
  std::vector<std::size_t> no_length;     ///< members that their ends take up
  std::vector<std::size_t> open_corners;  ///< crossings at which a member meets none of the other run: square
  /// Runs whose members meet where the runs themselves do not, with one such place.
  std::vector<std::pair<std::pair<std::size_t, std::size_t>, Point<Drawing>>> strays;

  std::span<const Member> of(std::size_t run) const {
    if (begins.empty()) return {};
    return std::span(members).subspan(begins[run], begins[run + 1] - begins[run]);
  }
};

/// Members of all runs.
///
/// Method    a member is the parallel of its run, half the separation beside it; free and wall ends are
/// square
///           to the run. At a corner it ends where it meets, nearest to the corner, the member of the other
///           run that lies on the same hand as one walks through the corner: of lines the outside is longer
///           and the inside shorter by half the separation times the tangent of half the deflection. A run
///           that ends on another is cut by that one's nearer member, half of `member_width` over the sine of
///           the angle before it. At a corner of a pair and a single member each of the pair ends on the
///           single's line.
/// Accuracy  a micrometre for radii up to 10 km.
[[nodiscard]] MembersResult find_members(const MemberTask& task);

}  // namespace deckmark
