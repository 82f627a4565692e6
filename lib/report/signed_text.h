#pragma once
/// What a signature leaves: TOML, lengths in metres; `table/seal` seals it.

#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "baseline/fit.h"
#include "issues/control.h"

namespace deckmark {

/// A check as it stood when it was signed.
struct SignedRow {
  std::string check, from, to, verdict, source;
  std::optional<Length> deviation, permitted;
};

struct SignedText {
  std::string program, title, revision, by, on;
  std::string accepted_outside, standing;  ///< the reason, and the verdict on the job that it was given for
  std::string ties_file, ties_sha256;
  std::string for_file, storey;  ///< the file whose fit it is, from the signed one; the storey of the job
  std::string before;            ///< of a fit that was signed before: by whom, when, for which revision
  const BaselineResult* fit = nullptr;  ///< solved
  std::vector<std::string> marks;       ///< names of the ties
  std::vector<Point<Site>> places;      ///< where they were found
  std::vector<KeptControl> control;     ///< of the job
  std::vector<SignedRow> checks;
  std::vector<std::pair<std::string, std::string>> inputs;  ///< name, SHA-256
};

/// All but the seal; numbers so that reading gives the same doubles.
std::string signed_body(const SignedText& text);
/// The same of a fit that was signed before: behind a new head stands what stood behind that of `body`, byte
/// for byte.
std::string signed_again(const SignedText& text, std::string_view body);

}  // namespace deckmark
