#pragma once
/// The page on the baselines that a superintendent signs: one sheet of 80 columns.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "baseline/assurance.h"
#include "baseline/signed_fit.h"
#include "baseline/squareness.h"

namespace deckmark {

/// What decided a permitted deviation, with where the figure is from.
enum class PermittedBy : std::uint8_t {
  own_tolerance,
  job_tolerance,
  default_tolerance,
  iso_primary,
  iso_secondary,
  job_figures,
  job_dimension,
  default_dimension
};

/// One row of the table: a stated coordinate, the squareness, a length or a dimension.
struct PageLine {
  std::string what;
  std::optional<Length> stated, found;
  std::optional<Angle> angle;  ///< of the squareness, in place of the lengths
  bool is_square = false, is_dimension = false;
  std::optional<Length> off;
  std::optional<Length> by_job, by_setout;  ///< both limits; the tighter is permitted
  Length permitted = Length::metres(0);
  std::optional<Length> good_to;  ///< 95 %
  Verdict verdict = Verdict::within;
  PermittedBy by = PermittedBy::job_tolerance;
};

/// A stated coordinate that the others contradict, and those that would explain the misfit as well.
struct PageWrong {
  std::string what;
  Length error;
  std::vector<std::string> alike;
};

/// A signature under an earlier fit.
struct SignedWords {
  std::string by, on, revision, accepted_outside;
  std::string standing = {};  ///< the verdict for which the reason was given; empty where none was kept
};

/// Where the drawing lies on site in a job without ties.
enum class WithoutTies : std::uint8_t {
  as_drawn,   ///< the drawing frame is taken for the site frame
  strings,    ///< nowhere: marks are laid out from strings
  as_stated,  ///< the job says that it is
  unknown
};
/// That in words.
std::string without_ties_text(WithoutTies place, bool mirrored);

struct BaselinePage {
  std::string title, revision;
  std::string_view north = "site north";  ///< from which azimuths count
  const FittedTransform* fit = nullptr;   ///< none without ties and signature
  WithoutTies without_ties = WithoutTies::as_drawn;
  bool mirrored = false, scale_free = false;
  Hold hold = Hold::both;
  std::vector<PageLine> lines;
  std::optional<SignedWords> signature;
  const SignedCheck* today = nullptr;  ///< with a signature and ties
  bool same_ties = false;              ///< today's ties are those that were signed: none is new
  const SquarenessResult* square = nullptr;
  std::vector<std::string> corner;     ///< marks of the corner, where lengths alone give the squareness
  std::string moves;                   ///< corner marks to move, in words; empty where none is
  std::string measure_first;           ///< of lengths that contradict one another; empty where none is named
  std::string farthest;                ///< the mapped point farthest from the crossing
  std::string square_worst;            ///< the mapped point that a want of squareness moves most
  std::optional<Assurance> assurance;  ///< with a fit of today's ties
  std::string least_seen;              ///< stated coordinate of `detectable`
  std::vector<PageWrong> wrong;        ///< stated coordinates that the others contradict
  std::vector<std::string> unchecked;  ///< stated coordinates that no other tie checks
  std::size_t left_over = 0;           ///< degrees of freedom
  bool details = false;                ///< figures of statistics too
  LengthUnit site_unit = LengthUnit::metre, drawing_unit = LengthUnit::metre;

  /// Of small lengths: see words.h.
  LengthUnit small_unit() const;
};

/// What was found: table and findings. `rest`: where the rows stand for which a sheet has no room; nothing:
/// all rows stand here, as on a page that can be signed they must.
std::string baseline_page_text(const BaselinePage& page, std::optional<std::string_view> rest);

/// Rows that are shown where there is room for `most`: what is outside, then what is unsure and the
/// squareness, then what uses most of what is permitted; in their order.
std::vector<std::size_t> shown_rows(const std::vector<PageLine>& lines, std::size_t most);
/// What the rows not shown say, and where they stand; empty where all are shown.
std::string left_out_words(const std::vector<PageLine>& lines, const std::vector<std::size_t>& shown,
                           std::string_view rest);
/// Cells of a row.
std::string off_text(const BaselinePage& page, const PageLine& line);
std::string stated_text(const BaselinePage& page, const PageLine& line);
std::string found_text(const BaselinePage& page, const PageLine& line);
std::string_view permitted_words(PermittedBy by);
/// Where the new ties lie against a signed fit, and at which place that holds.
std::string signed_shift_words(const SignedCheck& today, LengthUnit site_unit, LengthUnit drawing_unit);
/// Sentences on what was found.
std::vector<std::string> baseline_findings(const BaselinePage& page);

/// What a person may put a name to.
enum class Acceptance : std::uint8_t {
  plain,
  with_reason,     ///< not all is checked
  stopped,         ///< DO NOT LAY OUT
  signed_already,  ///< the page shows a signed fit
  nothing,         ///< no row was judged
};
/// `verdict`: of the whole job.
Acceptance acceptance_of(const BaselinePage& page, std::string_view verdict);
bool can_be_accepted(Acceptance acceptance);
/// The sentence that is signed, or why there is none.
std::string acceptance_words(Acceptance acceptance, const std::string& revision);
/// What was measured with: whoever signs fills it in.
std::string_view measured_with(const BaselinePage& page);
/// The foot of the page: that sentence, with lines to fill where there is something to sign.
std::string signature_text(const BaselinePage& page, Acceptance acceptance);

}  // namespace deckmark
