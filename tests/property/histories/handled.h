#pragma once
/// What is done to the files of a job between two runs, by a slip or in all honesty.

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "past.h"

namespace deckmark_test {

/// A site of its own for one case: the job lies in `job`, other folders beside it.
struct Handled {
  const std::filesystem::path& site;
  const Past& past;
  RandomHistory& random;
  std::string what;                          ///< what was done
  std::filesystem::path job = site / "job";  ///< where the job stands now
  std::vector<std::string> args = {"run", ".", "--quiet"};
  bool goes_on = true;  ///< once the way out was taken the same line must run
};

/// One way to handle the files; false where this past does not allow it.
using Handling = bool (*)(Handled&);

/// Each must be refused.
const std::vector<Handling>& restored();
const std::vector<Handling>& forked();
const std::vector<Handling>& foreign();
const std::vector<Handling>& lost();
const std::vector<Handling>& edited();
/// None may be refused.
const std::vector<Handling>& honest();

/// The case of this index: what is wrong with what the program does, empty where nothing is.
std::string refused_case(const Past& past, std::uint32_t index, const std::vector<Handling>& kind);
std::string honest_case(const Past& past, std::uint32_t index);

}  // namespace deckmark_test
