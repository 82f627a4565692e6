#include "report/issue_text.h"

#include <doctest/doctest.h>

#include <string>

using namespace deckmark;

namespace {

const IssueStamp kStamp{12, "0123456789abcdef", "fedcba9876543210", "../level 3/job: new.toml", 6480};

/// A summary in which the part stands among others.
std::string summary(const std::string& part) {
  return "READY TO LAY OUT\n  job file other.toml\n\n" + part +
         "\nFILES WRITTEN\n  a.csv: 1 row\n    sha256 x\n";
}
std::string put(std::string text, const std::string& what, const std::string& in_place_of) {
  const std::size_t at = text.find(in_place_of);
  REQUIRE(at != std::string::npos);
  return text.replace(at, in_place_of.size(), what);
}

}  // namespace

TEST_CASE("the stamp says issue, live numbers, digests and job file") {
  CHECK(issue_text(kStamp, 480) ==
        "ISSUE 12: 480 live numbers\n  digest 0123456789abcdef\n  of the ledger that began with "
        "fedcba9876543210\n  job file ../level 3/job: new.toml\n  highest number ever given 6480\n");
  CHECK(issue_text(kStamp, 1).starts_with("ISSUE 12: 1 live number\n"));
}

TEST_CASE("a stamp that stands in a summary reads back the same, the last line too") {
  for (const std::size_t live : {0U, 1U, 480U}) {
    const std::string text = issue_text(kStamp, live);
    CHECK(read_issue_text(summary(text)) == kStamp);
    CHECK(read_issue_text("READY\n\n" + text.substr(0, text.size() - 1)) == kStamp);
  }
}

TEST_CASE("what is not as it was written is no stamp") {
  const std::string text = summary(issue_text(kStamp, 480));
  REQUIRE(read_issue_text(text).has_value());
  for (const std::string& other :
       {std::string(), std::string("READY\n"), put(text, "Issue 12", "ISSUE 12"),
        put(text, " ISSUE 12", "ISSUE 12"), put(text, "ISSUE 0:", "ISSUE 12:"),
        put(text, "ISSUE -1:", "ISSUE 12:"), put(text, "ISSUE 1x:", "ISSUE 12:"),
        put(text, "ISSUE :", "ISSUE 12:"), put(text, "ISSUE 99999999999:", "ISSUE 12:"),
        put(text, "", "  digest 0123456789abcdef\n"),
        put(text, "  began with", "  of the ledger that began with"),
        put(text, "  Job file", "  job file ../level 3"), put(text, "given x", "given 6480")}) {
    CAPTURE(other);
    CHECK_FALSE(read_issue_text(other).has_value());
  }
}
