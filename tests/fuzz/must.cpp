#include <cstdlib>
#include <iostream>

#include "fuzz.h"

namespace deckmark_test {

void must(bool holds, std::string_view what, const std::string& with) {
  if (holds) return;
  std::cerr << "this must hold: " << what << "\n" << with << std::endl;
  std::abort();
}

}  // namespace deckmark_test
