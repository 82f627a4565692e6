#pragma once
/// The bytes of a file that is read, once, and places in them.

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace deckmark {

/// A place in a file for a person: 1-based; the column counts code points (a tab is one, a byte that is not
/// valid UTF-8 is one).
struct LineColumn {
  std::uint32_t line = 0, column = 0;
};

/// The bytes of one input file. Digest, parser and places all use these bytes. UTF-16 with a byte-order mark
/// has been turned into UTF-8; the UTF-8 byte-order mark is not part of `text()`.
class Source {
 public:
  /// The name is the path as the job names it.
  static std::shared_ptr<const Source> from_bytes(std::string name, std::string_view bytes);

  const std::string& name() const { return name_; }
  std::string_view text() const { return {text_, size_}; }
  /// SHA-256 of the file as it lies on disk; computed when first asked for. Safe from several threads.
  const std::string& sha256() const;

  /// The file was UTF-16 and its text has been turned into UTF-8.
  bool was_utf16() const { return utf16_; }

  /// Places of many offsets in one sweep, in the order given.
  std::vector<LineColumn> places(const std::vector<std::uint32_t>& offsets) const;

  ~Source();
  Source(const Source&) = delete;
  Source& operator=(const Source&) = delete;

 private:
  Source() = default;
  friend struct SourceMaker;
  std::string name_;
  char* buffer_ = nullptr;  // the file's bytes, or their UTF-8 form; zero bytes follow
  std::size_t reserved_ = 0, loaded_ = 0;
  const char* text_ = nullptr;
  std::size_t size_ = 0;
  bool utf16_ = false;
  mutable std::once_flag digested_;
  mutable std::string sha256_;
};

inline constexpr std::string_view kNoSuchFile = "no such file",
                                  kBeingWritten = "it is being written by another program";

/// Why a file cannot be read, in words: "no such file", "is a folder", "permission denied", "larger than 4
/// GiB", "it is being written".
struct Unreadable {
  std::string reason;
};

/// Reads a file whole into one buffer. `name` is what messages call it. What is not a plain file is not
/// opened. A file that another program is writing, or that is replaced meanwhile, is read again for about a
/// second, then not at all: half a table is never given out. CAVEAT  a writer that closes the file half-way
/// cannot be told from one that has ended; on a file system that does not tell who writes, nor can one that
/// pauses.
std::variant<std::shared_ptr<const Source>, Unreadable> read_source(const std::filesystem::path& path,
                                                                    const std::string& name);

}  // namespace deckmark
