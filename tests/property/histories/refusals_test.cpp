// Ledgers that were put back, forked, mixed up, lost or edited: refused, nothing written, and the way out
// that is told works when it is typed. What is done in all honesty is never refused. Torn rows were never
// handed out.
#include <doctest/doctest.h>

#include "command/job_folder.h"
#include "handled.h"
#include "played.h"
#include "support/noise.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

constexpr std::uint32_t kCases = kSanitized ? 4 : 11;  // eleven meet every way
constexpr int kIssues = 5;

const Past& past() {
  static const Past the_past(7, kIssues);
  return the_past;
}

void refuse_all(const std::vector<Handling>& kind) {
  REQUIRE(past().wrong == "");
  for (std::uint32_t index = 0; index < kCases; ++index) {
    const std::string wrong = refused_case(past(), index, kind);
    CHECK_MESSAGE(wrong.empty(), "case ", index, ": ", wrong);
  }
}

/// A job of which the last issue stands.
struct Standing5 {
  JobFolder job;
  Standing5() {
    REQUIRE(past().wrong == "");
    put_down(job.path(), past().last());
  }
  std::string numbers() const { return job.read("numbers.csv"); }
  std::string issued() const { return job.read("issued.csv"); }
};

}  // namespace

TEST_CASE("an older ledger beside newer lists is refused") { refuse_all(restored()); }
TEST_CASE("a ledger that two copies went on with is refused where they meet") { refuse_all(forked()); }
TEST_CASE("the ledger or the lists of another job are refused") { refuse_all(foreign()); }
TEST_CASE("a lost ledger is refused while its lists stand") { refuse_all(lost()); }
TEST_CASE("a ledger edited by hand is refused") { refuse_all(edited()); }

TEST_CASE("what is done in all honesty is never refused") {
  REQUIRE(past().wrong == "");
  for (std::uint32_t index = 0; index < 2 * kCases; ++index) {
    const std::string wrong = honest_case(past(), index);
    CHECK_MESSAGE(wrong.empty(), "case ", index, ": ", wrong);
  }
}

TEST_CASE("an issued.csv without issues, made first, is none") {
  JobFolder job;
  lay(job, past().history.world());
  job.write("issued.csv", "issue,revision,job,storey,live,rows,folder,before,digest\n");
  const CommandResult result = job.run({"run", ".", "--quiet"});
  CHECK_MESSAGE(result.exit_code == 0, result.err);
  REQUIRE(job.has("numbers.csv"));
  CHECK(rows_of(job.read("issued.csv")).size() == 2);
}

TEST_CASE("rows behind the last issue were never handed out: a look ignores them, a run moves them") {
  struct Row {
    const char *numbers, *issued;
  };
  static constexpr const char* kWhole =
      "Z-1,1999,live,1.000000,1.000000,5000,Z,1.000000,1.000000,6,12.000000,,,,hanger,,,6,6,6,6\n";
  for (const Row& torn : {Row{kWhole, ""}, Row{"Z-1,1999,li", ""}, Row{"", "6,Z,job.to"},
                          Row{kWhole, "6,Z,job.toml,,9,1,out,0123456789abcdef,0123"}}) {
    CAPTURE(torn.numbers);
    CAPTURE(torn.issued);
    Standing5 s;
    const std::string numbers = s.numbers(), issued = s.issued();
    JobFolder& job = s.job;
    job.write("numbers.csv", numbers + torn.numbers);
    job.write("issued.csv", issued + torn.issued);
    const auto before = job.snapshot();
    const CommandResult look = job.run({"check", "."});
    CHECK_MESSAGE(look.exit_code < 2, look.err);
    CHECK(has_doubt_or_notice(look.err));
    CHECK((job.snapshot() == before));
    const CommandResult result = job.run({"run", ".", "--quiet"});
    CHECK_MESSAGE(result.exit_code == 0, result.err);
    CHECK(job.read("numbers.csv") == numbers);
    CHECK(job.read("issued.csv") == issued);
    REQUIRE(job.has("numbers.torn"));
    const std::string moved = job.read("numbers.torn");
    CHECK(says(moved, torn.numbers));
    CHECK(says(moved, torn.issued));
    // The next issue begins where the last one ended.
    RandomHistory next = past().history;
    next.move_one();
    Account account = past().account;
    REQUIRE(account.take(handed_out(next.world())));
    lay(job, next.world());
    CHECK(job.run({"run", ".", "--quiet"}).exit_code == 0);
    CHECK(job.read("numbers.csv") == account.numbers_csv());
    CHECK(job.read("issued.csv") == account.issued_csv());
  }
}
