// The entry that libFuzzer calls.
#include <cstddef>
#include <cstdint>

#include "fuzz.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  deckmark_test::fuzz_one({reinterpret_cast<const char*>(data), size});
  return 0;
}
