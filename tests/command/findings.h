#pragma once
/// What is wrong with the files of a job, gathered so that a test tells all of it and not the first alone.

#include <string>
#include <utility>
#include <vector>

namespace deckmark_test {

class JobFolder;

/// Lines that name the job and what of it is wrong.
class Findings {
 public:
  explicit Findings(std::string job) : job_(std::move(job)) {}
  void tell(const std::string& what) { lines_.push_back(job_ + ": " + what); }
  /// In metres; tells by how many millimetres they differ.
  bool length(const std::string& what, double got, double want, double allowed);
  void word(const std::string& what, const std::string& got, const std::string& want);
  const std::vector<std::string>& lines() const { return lines_; }

 private:
  std::string job_;
  std::vector<std::string> lines_;
};

/// A file of the output folder; tells, and empty, where there is none.
std::string output_of(const JobFolder& folder, const std::string& name, Findings& findings);
/// Fails the running test with the first of them and how many there are.
void tell_findings(const std::vector<std::string>& lines);

}  // namespace deckmark_test
