#pragma once
/// What a job says of its baselines beside the ties: building lines, taped lengths, printed dimensions, a
/// signed fit, and the offset sheet. Data only.

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "baseline/lengths.h"
#include "baseline/offsets.h"
#include "issues/control.h"
#include "job/keys/stated.h"
#include "job/read_table.h"
#include "measure/angle.h"
#include "measure/frame.h"

namespace deckmark {

/// A line of the building whose drawing x, or y, is known.
struct BuildingLine {
  std::string name;
  bool states_x = true;  ///< `at` is an x (the line runs along Y), else a y
  Length at;
};

/// A distance measured between two marks, named as the row names them: ties, or drawing points.
struct TapedLength {
  std::string from, to;
  MeasuredLength measured;
};

/// A printed dimension between two drawing points.
struct PrintedDimension {
  std::string from, to;
  Length distance;
};

/// A stated coordinate that a signed fit was made from, as its file states it.
struct SignedTie {
  std::string mark;
  bool is_x = true;
  Length found = Length::metres(0);
  double redundancy = 0;
  std::optional<Point<Site>> at;      ///< files of earlier versions do not state it
  std::optional<Length> residual_sd;  ///< likewise
};

/// A fit that was signed, as its file states it.
struct SignedBaselines {
  std::string title, revision, by, on, accepted_outside;
  std::string standing;  ///< the verdict on the job for which a reason was given; empty: none was needed
  std::string ties_file, ties_sha256;
  std::string for_file;  ///< that it was signed for, from the signed file; earlier versions do not state it
  std::string storey;    ///< with which it was signed; empty: none
  std::string held;      ///< both, x or y
  bool scale_free = false;
  Point<Drawing> drawing_centre{{.x = Length::metres(0), .y = Length::metres(0)}};
  Point<Site> site_centre{{.northing = Length::metres(0), .easting = Length::metres(0)}};
  Azimuth azimuth_x = Azimuth::degrees(0);
  double scale = 1;
  bool mirrored = false;
  std::array<std::array<double, 4>, 4> covariance{};  ///< as of FittedTransform
  std::vector<SignedTie> ties;
  std::vector<KeptControl> control;  ///< of the job when it was signed; earlier versions do not state it
  bool of_this_storey = true;        ///< signed with the drawing of this job, whose revision then counts
};

struct BaselineJob {
  ReadTable lines_table, lengths_table, dimensions_table;
  std::vector<BuildingLine> lines;
  std::vector<TapedLength> lengths;
  std::vector<PrintedDimension> dimensions;
  Length dimension_tolerance = Length::inches(1.0 / 16);  ///< DEFAULT
  bool own_dimension_tolerance = false;                   ///< stated in the job
  double tape_standard = 20;                              ///< DEFAULT degrees C
  Length tie_sd = Length::millimetres(1.5);               ///< DEFAULT
  std::optional<SignedBaselines> signed_fit;
  std::string signed_file;  ///< as the job names it
};

/// The sheet for laser and tape.
struct OffsetJob {
  bool wanted = false;
  OffsetOptions options;
  Stated<std::vector<std::string>> from;     ///< two marks for swing ties, or none
  Stated<std::vector<std::string>> strings;  ///< three marks between which two strings run, or none
};

}  // namespace deckmark
