// Replays every file of a folder, in the order of their names: replay_TARGET FOLDER [FILE ...].
#include <algorithm>
#include <filesystem>
#include <iostream>
#include <vector>

#include "fuzz.h"
#include "support/temp_folder.h"

int main(int argc, char** argv) {
  const std::vector<std::string> args(argv + 1, argv + argc);
  std::vector<std::filesystem::path> files;
  for (const std::string& arg : args) {
    if (!std::filesystem::is_directory(arg)) {
      files.emplace_back(arg);
      continue;
    }
    for (const auto& entry : std::filesystem::directory_iterator(arg)) files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  for (const auto& file : files) {
    std::cout << file.filename().string() << std::endl;  // at once: the last one named is the one that failed
    deckmark_test::fuzz_one(deckmark_test::read_bytes(file));
  }
  if (files.empty()) std::cerr << "no inputs\n";
  return files.empty() ? 1 : 0;
}
