#include "findings.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "job_folder.h"
#include "support/text.h"

namespace deckmark_test {

bool Findings::length(const std::string& what, double got, double want, double allowed) {
  if (std::abs(got - want) <= allowed) return true;
  tell(what + text(": %.5f m, expected %.5f m, %.3f mm off", got, want, (got - want) * 1000));
  return false;
}

void Findings::word(const std::string& what, const std::string& got, const std::string& want) {
  if (got != want) tell(what + ": \"" + got + "\", expected \"" + want + "\"");
}

std::string output_of(const JobFolder& folder, const std::string& name, Findings& findings) {
  if (folder.has("out/" + name)) return folder.read("out/" + name);
  findings.tell(name + " was not written");
  return {};
}

void tell_findings(const std::vector<std::string>& lines) {
  constexpr std::size_t kTold = 40;
  for (std::size_t i = 0; i < std::min(lines.size(), kTold); ++i) FAIL_CHECK(lines[i]);
  if (lines.size() > kTold) FAIL_CHECK(lines.size() << " findings in all");
}

}  // namespace deckmark_test
