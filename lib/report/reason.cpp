#include "report/reason.h"

namespace deckmark {

std::string_view job_verdict_word(JobVerdict verdict) {
  switch (verdict) {
    case JobVerdict::ready:
      return "ready";
    case JobVerdict::not_checked:
      return "not-checked";
    case JobVerdict::stop:
      return "do-not-lay-out";
  }
  return "";
}

std::string_view scope_word(ReasonScope scope) {
  switch (scope) {
    case ReasonScope::job:
      return "job";
    case ReasonScope::setup:
      return "setup";
    case ReasonScope::run:
      return "run";
    case ReasonScope::mark:
      return "mark";
  }
  return "";
}

}  // namespace deckmark
