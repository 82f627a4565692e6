#include "table/digest.h"

#include <openssl/err.h>
#include <openssl/evp.h>

#include <array>
#include <memory>
#include <new>
#include <stdexcept>

namespace deckmark {

namespace {

/// Whether the library failed for want of memory: it says so first of all, or has no memory to say anything.
bool lacked_memory() {
  unsigned long error = ERR_get_error();
  if (error == 0) return true;
  for (; error != 0; error = ERR_get_error())
    if (ERR_GET_REASON(error) == ERR_R_MALLOC_FAILURE) return true;
  return false;
}

}  // namespace

struct Sha256::State {
  EVP_MD_CTX* context = EVP_MD_CTX_new();
  State() {
    if (context == nullptr || EVP_DigestInit_ex(context, EVP_sha256(), nullptr) != 1) {
      EVP_MD_CTX_free(context);
      // A provider that found no memory says that it is not supported: what it needs is tried.
      constexpr std::size_t kProvider = 4U << 20U;
      if (lacked_memory() || !std::unique_ptr<char[]>(new (std::nothrow) char[kProvider]))
        throw std::bad_alloc();
      throw std::runtime_error("SHA-256 is not available in this OpenSSL");
    }
  }
  ~State() { EVP_MD_CTX_free(context); }
  State(const State&) = delete;
  State& operator=(const State&) = delete;
};

Sha256::Sha256() : state_(std::make_unique<State>()) {}
Sha256::~Sha256() = default;
Sha256::Sha256(Sha256&&) noexcept = default;
Sha256& Sha256::operator=(Sha256&&) noexcept = default;

void Sha256::update(const char* data, std::size_t size) {
  if (EVP_DigestUpdate(state_->context, data, size) != 1) throw std::runtime_error("SHA-256 failed");
}

std::string Sha256::hex() {
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned size = 0;
  if (EVP_DigestFinal_ex(state_->context, digest.data(), &size) != 1)
    throw std::runtime_error("SHA-256 failed");
  static constexpr std::string_view kDigits = "0123456789abcdef";
  std::string out;
  out.reserve(2 * std::size_t{size});
  for (unsigned i = 0; i < size; ++i) {
    out += kDigits[digest[i] >> 4];
    out += kDigits[digest[i] & 0xF];
  }
  return out;
}

std::string Sha256::hex_and_begin() {
  std::string out = hex();
  if (EVP_DigestInit_ex(state_->context, nullptr, nullptr) != 1) throw std::runtime_error("SHA-256 failed");
  return out;
}

std::string sha256_hex(std::string_view bytes) {
  Sha256 digest;
  digest.update(bytes.data(), bytes.size());
  return digest.hex();
}

}  // namespace deckmark
