#pragma once
/// Random jobs of many groups of runs, as files for the real program, with what is true of them.

#include <random>
#include <string>
#include <vector>

#include "command/findings.h"
#include "command/job_folder.h"
#include "members_truth.h"

namespace deckmark_test {

struct MemberJob {
  RunsWorld world;
  std::vector<GroupTruth> truth;  ///< of each group
  double max_spacing = 1;
  double end_distance = -1;    ///< below zero: not stated
  double joint_every = 0;      ///< 0: not stated
  std::size_t drawn_anew = 0;  ///< groups that were not clear
  std::string unit;            ///< of the tables that are written
  double unit_metres = 1;
};

/// `groups` of them, shapes by turns, each clear of what a hair would change. `first`: the number of the
/// first shape.
MemberJob random_member_job(std::size_t groups, std::size_t first, std::mt19937_64& random);

/// What a test adds to the job file.
struct MoreOfJob {
  std::string drawing, sections;
};
void write_member_job(JobFolder& folder, const MemberJob& job, const MoreOfJob& more = {});

using MemberRow = std::map<std::string, std::string>;

/// The length of a cell, in metres; tells, and nan, where there is none.
double metres_of(const MemberRow& row, const std::string& column, const MemberJob& job, Findings& findings);

/// Of the world, from the drawing's x and y.
Spot spot_of(const MemberRow& row, const MemberJob& job, Findings& findings);

/// Lengths, places and words of the files against the truth.
void compare_members(const MemberJob& job, const std::string& members_csv, Findings& findings);
void compare_crossings(const MemberJob& job, const std::string& crossings_csv, Findings& findings);
/// Every mark that must be there, none else; then every piece hung in space with its marks beside the
/// hangers.
void compare_marks(const MemberJob& job, const std::string& marks_csv, const std::string& points_csv,
                   Findings& findings);

}  // namespace deckmark_test
