#pragma once
/// How a job stands, and why: the verdict line is put together from these, and so is what a program reads.

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "table/message.h"

namespace deckmark {

enum class JobVerdict : std::uint8_t { ready, not_checked, stop };
/// `ready`, `not-checked`, `do-not-lay-out`.
std::string_view job_verdict_word(JobVerdict verdict);

/// How much of the job a reason is about.
enum class ReasonScope : std::uint8_t {
  job,    ///< every mark may be wrong
  setup,  ///< what was, or would be, marked or shot from one setup
  run,    ///< the marks of a run
  mark    ///< the marks that it names, and no other
};
/// `job`, `setup`, `run`, `mark`.
std::string_view scope_word(ReasonScope scope);

/// What was measured otherwise than it should be, where that decides what to do about it.
enum class ReasonOf : std::uint8_t { plan, heights, bracket };

/// Why a job is not READY.
struct Reason {
  std::string text;
  ReasonScope scope = ReasonScope::job;
  std::vector<std::uint32_t> numbers{};  ///< floor numbers of the marks that it names, the worst first
  std::string point{};                   ///< the first one's name on the drawing
  std::string setup{};                   ///< the setup that it is about
  Where where{};                         ///< the row that was judged; no file where it is not of one row
  ReasonOf of = ReasonOf::plan;
};

}  // namespace deckmark
