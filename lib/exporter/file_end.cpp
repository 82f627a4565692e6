#include "exporter/file_end.h"

#include <algorithm>
#include <memory>

#include "exporter/staged_file.h"
#include "table/digest.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

/// Hands on what is in the file from `offset` to its end.
template <class Take>
void each_piece(StagingFile& file, std::int64_t offset, const Take& take) {
  const auto buffer = std::make_unique<char[]>(kPieceBytes);
  while (const std::size_t got = file.read(buffer.get(), kPieceBytes, offset)) {
    take(buffer.get(), got);
    offset += static_cast<std::int64_t>(got);
  }
}

std::string digest_from(StagingFile& file, std::int64_t offset) {
  Sha256 digest;
  each_piece(file, offset, [&](const char* data, std::size_t size) { digest.update(data, size); });
  return digest.hex();
}

/// A journal is made of lines: an editor may have taken the end of the last one.
bool ends_within_line(StagingFile& file, std::int64_t size) {
  char last = '\n';
  if (size > 0) (void)file.read(&last, 1, size - 1);
  return last != '\n';
}

enum class Begin : std::uint8_t { anywhere, on_new_line };

/// Adds what is in `from` behind `offset`, of that digest, at the end of `to`; where it begins there.
std::int64_t copy_end(StagingFile& from, std::int64_t offset, const std::string& sha256, StagingFile& to,
                      Begin begin) {
  if (begin == Begin::on_new_line && ends_within_line(to, to.size())) to.write("\n", 1);
  const std::int64_t at = to.size();
  each_piece(from, offset, [&](const char* data, std::size_t size) { to.write(data, size); });
  to.flush();
  const bool is_joined = begin == Begin::on_new_line && ends_within_line(to, at);
  if (!is_joined && digest_from(to, at) == sha256) return at;
  throw SystemFailure(to.target().string() + ": read back after writing, what was added behind byte " +
                      std::to_string(at) + " differs; the disk may be failing");
}

std::unique_ptr<StagingFile> open_torn(const FileCalls& calls, Tail& tail) {
  auto made = std::make_unique<StagingFile>(calls, tail.torn);
  tail.torn_is_new = made->is_open();
  if (!tail.torn_is_new) made = StagingFile::existing(calls, tail.torn);
  if (!made) throw failure("open", tail.torn, ENOENT);
  tail.torn_before = made->size();
  return made;
}

}  // namespace

bool add_to_end(const FileCalls& calls, const std::string& part, const std::string& sha256,
                const fs::path& target, std::optional<std::int64_t>& before) {
  const auto to = StagingFile::existing(calls, target);
  if (!to) return false;
  const auto from = StagingFile::existing(calls, part);
  if (!from) throw failure("open", part, ENOENT);
  if (from->size() == 0) return true;
  before = to->size();
  copy_end(*from, 0, sha256, *to, Begin::on_new_line);
  from->close();
  to->close();
  return true;
}

void cut_back(const FileCalls& calls, const fs::path& target, std::int64_t size) {
  const auto file = StagingFile::existing(calls, target);
  if (!file || file->size() <= size) return;
  file->cut(size);
  file->flush();
  file->close();
}

void move_tail(const FileCalls& calls, Tail& tail) {
  const auto from = StagingFile::existing(calls, tail.target);
  if (!from || from->size() <= tail.keep) return;
  const auto to = open_torn(calls, tail);
  tail.moved_at = copy_end(*from, tail.keep, digest_from(*from, tail.keep), *to, Begin::on_new_line);
  to->close();
  if (tail.torn_is_new) flush_folder(calls, folder_of(tail.torn));
  from->cut(tail.keep);
  from->flush();
  from->close();
}

void put_tail_back(const FileCalls& calls, Tail& tail) {
  if (!tail.torn_before) return;
  const auto from = StagingFile::existing(calls, tail.torn);
  const auto to = StagingFile::existing(calls, tail.target);
  // Longer: it was not cut.
  if (from && to && to->size() == tail.keep)
    copy_end(*from, tail.moved_at, digest_from(*from, tail.moved_at), *to, Begin::anywhere);
  if (!tail.torn_is_new)
    cut_back(calls, tail.torn, *tail.torn_before);
  else if (retried([&] { return calls.unlink(tail.torn.c_str()); }) != 0 && errno != ENOENT)
    throw failure("remove", tail.torn, errno);
  tail.torn_before.reset();
}

}  // namespace deckmark
