#pragma once
/// What a batch does at the end of a file that keeps what it has: adds to it, moves a tail away, and takes
/// both back. Everything is flushed, read back and compared, and throws SystemFailure. Private to the room.

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>

#include "exporter/batch.h"

namespace deckmark {

/// Adds what is in the file `part`, whose SHA-256 is `sha256`, at the end of `target`, behind a line feed
/// where its last line is not ended. `before` becomes the length before as soon as a byte may be added. False
/// where there is no such target.
[[nodiscard]] bool add_to_end(const FileCalls& calls, const std::string& part, const std::string& sha256,
                              const std::filesystem::path& target, std::optional<std::int64_t>& before);

/// Shortens a file to `size` bytes; one that is as short, or gone, stays as it is.
void cut_back(const FileCalls& calls, const std::filesystem::path& target, std::int64_t size);

/// Bytes at the end of a file that go to the end of another one.
struct Tail {
  std::filesystem::path target;
  std::int64_t keep = 0;  ///< bytes that stay
  std::filesystem::path torn;
  /// Length of `torn` before, as soon as a byte of it may have been written.
  std::optional<std::int64_t> torn_before{};
  bool torn_is_new = false;
  std::int64_t moved_at = 0;  ///< where in `torn` the bytes begin
};
void move_tail(const FileCalls& calls, Tail& tail);
/// Puts it back, however far `move_tail` came.
void put_tail_back(const FileCalls& calls, Tail& tail);

}  // namespace deckmark
