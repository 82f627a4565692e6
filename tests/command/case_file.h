#pragma once
/// A command test in one text file: what is typed, the files it finds, and all that must come out.
///
///   # what this case shows
///   args: baseline . --csv          words as in a shell, with '' and "" around a word that holds blanks
///   exit: 2                         0 where it is not stated
///   env: NO_COLOR=1                 any number of lines
///   wrote: any                      files that are not stated below may appear (else they fail the case)
///   --- file job.toml               a file that is there before the program runs
///   --- file bad.csv (escaped)      the same with \xNN \r \n \t \\, and a \ at the end of a line that joins
///   it
///   --- stdout                      what is not stated must be empty
///   --- stderr
///   --- out/points.csv              a file that must be there afterwards, with this content
///   --- absent out/deck-list.csv    a file that must not be there afterwards
///   --- same numbers.csv            a file that must be there as it was before the run
///   --- then                        a second run in the same folder: head lines and sections follow
///
/// Text matches line by line: {*} stands for any characters of a line, a line of three dots alone for any
/// lines.

#include <filesystem>
#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace deckmark_test {

/// One run of a case.
struct CaseStep {
  std::vector<std::string> args;
  int exit_code = 0;
  std::vector<std::pair<std::string, std::string>> env;
  bool any_files = false;
  std::map<std::string, std::string> files, expected;  ///< by path
  std::vector<std::string> absent, same;
  std::string out, err;
};

/// Throws std::runtime_error that names the line where the text is not a case.
std::vector<CaseStep> parse_case(const std::string& text);

/// Empty where the text matches, else what differs, for a person.
std::string difference(std::string_view expected, std::string_view found);

/// Runs the steps one after another in the folder; what went otherwise than stated, empty when all is well.
std::string run_case(const std::vector<CaseStep>& steps, const std::filesystem::path& program,
                     const std::filesystem::path& folder);

}  // namespace deckmark_test
