// run_case PROGRAM CASE_FILE: runs one case in a fresh folder; 0 when all is as stated.
#include <exception>
#include <iostream>

#include "case_file.h"
#include "support/temp_folder.h"

int main(int argc, char** argv) {
  if (argc != 3) {
    std::cerr << "usage: run_case PROGRAM CASE_FILE\n";
    return 2;
  }
  try {
    const deckmark_test::TempFolder folder;
    const auto steps = deckmark_test::parse_case(deckmark_test::read_bytes(argv[2]));
    const std::string wrong = deckmark_test::run_case(steps, argv[1], folder.path());
    std::cerr << wrong;
    return wrong.empty() ? 0 : 1;
  } catch (const std::exception& error) {
    std::cerr << argv[2] << ": " << error.what() << '\n';
    return 2;
  }
}
