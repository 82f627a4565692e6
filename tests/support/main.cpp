#define DOCTEST_CONFIG_IMPLEMENT
#include <doctest/doctest.h>

#include <iostream>

namespace {

unsigned cases_run = 0;

/// Counts the cases that the filters let pass.
struct CaseCounter : doctest::IReporter {
  explicit CaseCounter(const doctest::ContextOptions&) {}
  void report_query(const doctest::QueryData&) override {}
  void test_run_start() override {}
  void test_run_end(const doctest::TestRunStats& stats) override {
    cases_run = stats.numTestCasesPassingFilters;
  }
  void test_case_start(const doctest::TestCaseData&) override {}
  void test_case_reenter(const doctest::TestCaseData&) override {}
  void test_case_end(const doctest::CurrentTestCaseStats&) override {}
  void test_case_exception(const doctest::TestCaseException&) override {}
  void subcase_start(const doctest::SubcaseSignature&) override {}
  void subcase_end() override {}
  void log_assert(const doctest::AssertData&) override {}
  void log_message(const doctest::MessageData&) override {}
  void test_case_skipped(const doctest::TestCaseData&) override {}
};
REGISTER_LISTENER("case_counter", 1, CaseCounter);

}  // namespace

int main(int argc, char** argv) {
  doctest::Context context(argc, argv);
  const int result = context.run();
  if (context.shouldExit()) return result;  // a query, such as the list of cases
  // A filter that fits no case must not look like a test that passed.
  if (cases_run == 0) {
    std::cerr << "no test case of this name\n";
    return 1;
  }
  return result;
}
