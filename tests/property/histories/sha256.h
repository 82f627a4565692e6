#pragma once
/// SHA-256 of the tests, so that digests are not held against themselves.

#include <string>
#include <string_view>

namespace deckmark_test {

/// 64 lower-case hex digits. Source: FIPS 180-4, sections 4.1.2, 4.2.2, 5.1.1, 5.3.3 and 6.2.2.
std::string sha256_hex(std::string_view bytes);

}  // namespace deckmark_test
