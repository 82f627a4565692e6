#pragma once
/// Vectors for columns of a million rows: large blocks ask for huge pages, which spares a page fault for
/// every 4 KiB.

#include <cstddef>
#include <vector>

namespace deckmark {

/// Memory for `allocate_big`: ordinary below `kHugeFrom` bytes.
inline constexpr std::size_t kHugeFrom = std::size_t{1} << 20;
void* allocate_big(std::size_t bytes);
void free_big(void* memory, std::size_t bytes) noexcept;

template <class T>
struct BigAllocator {
  using value_type = T;
  BigAllocator() = default;
  template <class U>
  BigAllocator(const BigAllocator<U>&) noexcept {}  // NOLINT: allocators convert
  T* allocate(std::size_t n) { return static_cast<T*>(allocate_big(n * sizeof(T))); }
  void deallocate(T* p, std::size_t n) noexcept { free_big(p, n * sizeof(T)); }
  friend bool operator==(const BigAllocator&, const BigAllocator&) { return true; }
};

template <class T>
using BigVector = std::vector<T, BigAllocator<T>>;

}  // namespace deckmark
