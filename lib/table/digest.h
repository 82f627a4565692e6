#pragma once
/// SHA-256 of bytes, as lower-case hexadecimal.

#include <cstddef>
#include <memory>
#include <string>
#include <string_view>

namespace deckmark {

class Sha256 {
 public:
  Sha256();
  ~Sha256();
  Sha256(Sha256&&) noexcept;
  Sha256& operator=(Sha256&&) noexcept;
  void update(const char* data, std::size_t size);
  /// Ends the digest; call once.
  std::string hex();
  /// Gives the digest and begins another one: quicker than a new object for each of many short texts.
  std::string hex_and_begin();

 private:
  struct State;
  std::unique_ptr<State> state_;
};

std::string sha256_hex(std::string_view bytes);

}  // namespace deckmark
