#include "table/source.h"

#include <fcntl.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <cstring>
#include <ctime>
#include <new>
#include <numeric>
#include <optional>
#include <thread>

#include "measure/utf8.h"
#include "table/big_vector.h"
#include "table/digest.h"

namespace deckmark {

namespace {

constexpr std::size_t kHugePage = std::size_t{2} << 20;
std::size_t whole_pages(std::size_t bytes) { return (bytes + kHugePage - 1) / kHugePage * kHugePage; }

}  // namespace

void* allocate_big(std::size_t bytes) {
  if (bytes < kHugeFrom) return ::operator new(bytes);
  // Straight from the system, so that what is freed goes back to it. Whole huge pages, aligned; what is not
  // touched takes no memory.
  const std::size_t whole = whole_pages(bytes);
  void* const raw =
      mmap(nullptr, whole + kHugePage, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
  if (raw == MAP_FAILED) throw std::bad_alloc();
  char* const from = static_cast<char*>(raw);
  const std::size_t before = (kHugePage - reinterpret_cast<std::uintptr_t>(raw) % kHugePage) % kHugePage;
  char* const memory = from + before;
  if (before > 0) munmap(from, before);
  if (const std::size_t rest = kHugePage - before; rest > 0) munmap(memory + whole, rest);
  madvise(memory, whole, MADV_HUGEPAGE);
  return memory;
}

void free_big(void* memory, std::size_t bytes) noexcept {
  if (bytes < kHugeFrom)
    ::operator delete(memory);
  else
    munmap(memory, whole_pages(bytes));
}

namespace {

constexpr std::size_t kLargest = 0xFFFFFF00U;  // offsets are 32 bits
constexpr std::size_t kSlack = 64;             // zero bytes after the text: parsers may look ahead

void append_utf8(std::string& out, std::uint32_t c) {
  const auto put = [&out](std::uint32_t b) { out += static_cast<char>(b); };
  if (c < 0x80) {
    put(c);
  } else if (c < 0x800) {
    put(0xC0 | (c >> 6)), put(0x80 | (c & 0x3F));
  } else if (c < 0x10000) {
    put(0xE0 | (c >> 12)), put(0x80 | ((c >> 6) & 0x3F)), put(0x80 | (c & 0x3F));
  } else {
    put(0xF0 | (c >> 18)), put(0x80 | ((c >> 12) & 0x3F)), put(0x80 | ((c >> 6) & 0x3F)),
        put(0x80 | (c & 0x3F));
  }
}

/// UTF-16 as UTF-8; a lone surrogate or odd byte becomes the byte 0xFF, which every cell check refuses.
std::string from_utf16(std::string_view bytes, bool big_endian) {
  std::string out;
  out.reserve(bytes.size());
  const auto unit = [&](std::size_t i) {
    const auto a = static_cast<unsigned char>(bytes[i]), b = static_cast<unsigned char>(bytes[i + 1]);
    return static_cast<std::uint32_t>(big_endian ? (a << 8) | b : (b << 8) | a);
  };
  std::size_t i = 0;
  for (; i + 1 < bytes.size(); i += 2) {
    std::uint32_t c = unit(i);
    if (c >= 0xD800 && c < 0xDC00 && i + 3 < bytes.size()) {
      const std::uint32_t low = unit(i + 2);
      if (low >= 0xDC00 && low < 0xE000) {
        append_utf8(out, 0x10000 + ((c - 0xD800) << 10) + (low - 0xDC00));
        i += 2;
        continue;
      }
    }
    if (c >= 0xD800 && c < 0xE000)
      out += '\xFF';
    else
      append_utf8(out, c);
  }
  if (i < bytes.size()) out += '\xFF';
  return out;
}

}  // namespace

/// Owns the steps of making a source.
struct SourceMaker {
  static std::shared_ptr<Source> reserve(std::string name, std::size_t size) {
    auto source = std::shared_ptr<Source>(new Source);
    source->name_ = std::move(name);
    source->reserved_ = size + kSlack;
    char* const memory = static_cast<char*>(allocate_big(source->reserved_));
    std::fill_n(memory + size, kSlack, '\0');
    source->buffer_ = memory;
    source->text_ = source->buffer_;
    return source;
  }
  /// Looks at the byte-order mark.
  static std::shared_ptr<const Source> finish(std::shared_ptr<Source> source, std::size_t size) {
    source->loaded_ = size;
    std::fill_n(source->buffer_ + size, kSlack, '\0');
    const std::string_view bytes(source->buffer_, size);
    if (bytes.starts_with("\xEF\xBB\xBF")) {
      source->text_ = source->buffer_ + 3;
      source->size_ = size - 3;
    } else if (bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF")) {
      const std::string digest = sha256_hex(bytes);
      const std::string text = from_utf16(bytes.substr(2), bytes[0] == '\xFE');
      auto turned = reserve(source->name_, text.size());
      std::memcpy(turned->buffer_, text.data(), text.size());
      turned->size_ = turned->loaded_ = text.size();
      turned->utf16_ = true;
      std::call_once(turned->digested_, [&] { turned->sha256_ = digest; });
      return turned;
    } else {
      source->size_ = size;
    }
    return source;
  }
};

Source::~Source() {
  if (buffer_) free_big(buffer_, reserved_);
}

const std::string& Source::sha256() const {
  std::call_once(digested_, [this] { sha256_ = sha256_hex({buffer_, loaded_}); });
  return sha256_;
}

std::shared_ptr<const Source> Source::from_bytes(std::string name, std::string_view bytes) {
  auto source = SourceMaker::reserve(std::move(name), bytes.size());
  std::copy(bytes.begin(), bytes.end(), source->buffer_);
  return SourceMaker::finish(std::move(source), bytes.size());
}

std::vector<LineColumn> Source::places(const std::vector<std::uint32_t>& offsets) const {
  std::vector<std::size_t> order(offsets.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(),
            [&](std::size_t a, std::size_t b) { return offsets[a] < offsets[b]; });
  std::vector<LineColumn> out(offsets.size());
  std::uint32_t line = 1;
  std::size_t line_start = 0, at = 0;
  for (const std::size_t k : order) {
    const std::size_t want = std::min<std::size_t>(offsets[k], size_);
    for (; at < want; ++at) {
      // CR LF is one line end; its CR does not count while the LF follows.
      if (text_[at] == '\n' || (text_[at] == '\r' && (at + 1 >= size_ || text_[at + 1] != '\n'))) {
        ++line;
        line_start = at + 1;
      }
    }
    std::uint32_t column = 1;
    for (std::size_t i = line_start; i < want;) {
      // A valid sequence is one code point; a byte that is not valid text is one as well.
      const auto lead = static_cast<unsigned char>(text_[i]);
      std::size_t length = lead < 0xC2 ? 1 : lead < 0xE0 ? 2 : lead < 0xF0 ? 3 : lead < 0xF5 ? 4 : 1;
      for (std::size_t j = 1; j < length; ++j)
        if (i + j >= size_ || !continues_character(text_[i + j])) length = 1;
      i += length;
      ++column;
    }
    out[k] = {line, column};
  }
  return out;
}

namespace {

struct Closer {
  int fd;
  ~Closer() { close(fd); }
};

/// What tells one state of a file from another.
struct FileState {
  dev_t device = 0;
  ino_t inode = 0;
  off_t size = 0;
  timespec changed{};
  bool operator==(const FileState& o) const {
    return device == o.device && inode == o.inode && size == o.size && changed.tv_sec == o.changed.tv_sec &&
           changed.tv_nsec == o.changed.tv_nsec;
  }
};

FileState state_of(const struct stat& about) {
  return {about.st_dev, about.st_ino, about.st_size, about.st_mtim};
}

/// True where another process has the file open for writing, as far as the system tells, and has written
/// lately: a spreadsheet may hold a table open for hours.
bool is_being_written(int fd, const struct stat& about) {
#ifdef F_SETLEASE
  // A lease for reading is refused while anybody may write. It is given back at once; the signal that a
  // writer of that moment raises is one that does nothing.
  if (fcntl(fd, F_SETSIG, SIGURG) != 0) return false;
  if (fcntl(fd, F_SETLEASE, F_RDLCK) == 0) {
    fcntl(fd, F_SETLEASE, F_UNLCK);
    return false;
  }
  if (errno != EAGAIN) return false;
  constexpr std::time_t kLately = 10;  // s
  const std::time_t age = std::time(nullptr) - about.st_mtim.tv_sec;
  return age < kLately;
#else
  return false;
#endif
}

/// One attempt; nothing where the file changed meanwhile.
std::optional<std::variant<std::shared_ptr<Source>, Unreadable>> read_once(const std::filesystem::path& path,
                                                                           const std::string& name,
                                                                           std::size_t& got) {
  struct stat about {};
  // Opening what is no plain file may have an effect, such as letting a writer of a pipe go on.
  if (stat(path.c_str(), &about) == 0) {
    if (S_ISDIR(about.st_mode)) return Unreadable{"it is a folder"};
    if (!S_ISREG(about.st_mode)) return Unreadable{"it is not an ordinary file"};
  }
  const int fd = open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
  if (fd < 0)
    return Unreadable{errno == ENOENT || errno == ENOTDIR ? std::string(kNoSuchFile) : std::strerror(errno)};
  const Closer closer{fd};
  if (fstat(fd, &about) != 0) return Unreadable{std::strerror(errno)};
  if (!S_ISREG(about.st_mode)) return Unreadable{"it is not an ordinary file"};
  if (static_cast<std::uint64_t>(about.st_size) > kLargest) return Unreadable{"it is larger than 4 GiB"};
  if (is_being_written(fd, about)) return std::nullopt;
  const FileState before = state_of(about);
  const auto size = static_cast<std::size_t>(about.st_size);
  auto source = SourceMaker::reserve(name, size);
  char* const buffer = const_cast<char*>(source->text().data());
  got = 0;
  while (got < size) {
    const ssize_t n = read(fd, buffer + got, size - got);
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) return Unreadable{std::strerror(errno)};
    if (n == 0) return std::nullopt;  // it shrank meanwhile
    got += static_cast<std::size_t>(n);
  }
  if (fstat(fd, &about) != 0) return Unreadable{std::strerror(errno)};
  if (is_being_written(fd, about) || fstat(fd, &about) != 0 || !(state_of(about) == before))
    return std::nullopt;
  // Under its name there may stand another by now.
  if (stat(path.c_str(), &about) != 0 || !(state_of(about) == before)) return std::nullopt;
  return source;
}

}  // namespace

std::variant<std::shared_ptr<const Source>, Unreadable> read_source(const std::filesystem::path& path,
                                                                    const std::string& name) {
  constexpr int kTries = 8;
  std::chrono::milliseconds wait{5};  // doubled each time: 1.3 s in all
  for (int i = 0;; ++i) {
    std::size_t got = 0;
    if (auto read = read_once(path, name, got)) {
      if (auto* bad = std::get_if<Unreadable>(&*read)) return std::move(*bad);
      return SourceMaker::finish(std::get<0>(std::move(*read)), got);
    }
    if (i == kTries) return Unreadable{std::string(kBeingWritten)};
    std::this_thread::sleep_for(wait);
    wait *= 2;
  }
}

}  // namespace deckmark
