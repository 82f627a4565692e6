#include "issues/chain.h"

#include <algorithm>
#include <charconv>
#include <cstring>

#include "table/digest.h"
#include "table/reader.h"
#include "table/written.h"

namespace deckmark {

std::string issued_head(const IssuedRow& row) {
  std::string out;
  TableWriter cells({}, [&out](const char* data, std::size_t size) { out.append(data, size); });
  cells.integer(row.issue);
  cells.text(row.revision);
  cells.text(row.job);
  cells.text(row.storey);
  cells.integer(row.live);
  cells.integer(row.rows);
  cells.text(row.folder);
  cells.finish();
  return out;
}

std::string chain_prefix(std::string_view before, std::string_view head) {
  std::string out(before);
  out += '\n';
  out += head;
  out += '\n';
  return out;
}

std::optional<std::string_view> RecordLines::next() {
  while (at_ < text_.size()) {
    const char* const from = text_.data() + at_;
    const std::size_t rest = text_.size() - at_;
    const void* const feed = std::memchr(from, '\n', rest);
    std::size_t length = feed ? static_cast<std::size_t>(static_cast<const char*>(feed) - from) : rest;
    at_ += length + (feed ? 1 : 0);
    whole_ = feed != nullptr;
    if (length > 0 && from[length - 1] == '\r') --length;
    const std::string_view line(from, length);
    if (length > 0 && from[0] > '#') return line;  // the usual: no comment, no blank
    if (!trimmed(line).empty() && from[0] != '#') return line;
  }
  return std::nullopt;
}

namespace {

/// Rows as they stand, each ended by a line feed; neighbours that stand so in the text go in one piece.
class RowDigest {
 public:
  explicit RowDigest(std::string_view prefix) { digest_.update(prefix.data(), prefix.size()); }
  void add(std::string_view row, const char* end) {
    const bool is_plain = end == row.data() + row.size() + 1 && end[-1] == '\n';
    if (from_ && row.data() != to_) spill();
    if (!from_) from_ = row.data();
    to_ = row.data() + row.size();
    if (is_plain) {
      to_ = end;
      return;
    }
    spill();
    digest_.update("\n", 1);
  }
  std::string hex() {
    spill();
    return digest_.hex().substr(0, kDigestDigits);
  }

 private:
  void spill() {
    if (from_) digest_.update(from_, static_cast<std::size_t>(to_ - from_));
    from_ = to_ = nullptr;
  }
  Sha256 digest_;
  const char *from_ = nullptr, *to_ = nullptr;
};

}  // namespace

ChainFound follow_chain(std::string_view text, std::span<const IssuedRow> issues,
                        std::span<const std::string> heads) {
  ChainFound out;
  RecordLines lines(text);
  lines.next();  // the header
  out.covered = lines.end();
  std::string_view before;
  for (std::size_t i = 0; i < issues.size(); ++i) {
    RowDigest digest(chain_prefix(before, heads[i]));
    const std::size_t begin = out.covered;
    std::uint32_t rows = 0;
    for (; rows < issues[i].rows; ++rows) {
      const auto row = lines.next();
      if (!row) break;
      digest.add(*row, text.data() + lines.end());
    }
    if (rows < issues[i].rows || digest.hex() != issues[i].digest) {
      out.broken = {issues[i].issue, begin, rows, rows < issues[i].rows};
      return out;
    }
    out.covered = lines.end();
    before = issues[i].digest;
  }
  while (lines.next()) ++out.uncovered;
  return out;
}

std::int64_t highest_number(std::string_view ledger) {
  constexpr std::int64_t kBelievable = kMostNumber / 2;
  std::int64_t highest = 0;
  RecordLines lines(ledger);
  lines.next();
  while (const auto row = lines.next()) {
    std::size_t at = row->starts_with('"') ? row->find("\",") + 1 : row->find(',');
    std::int64_t cells[5] = {};  // number, status, x, y, deck_offset
    for (std::int64_t& cell : cells) {
      if (at >= row->size()) break;
      std::from_chars(row->data() + at + 1, row->data() + row->size(), cell);
      at = row->find(',', at + 1);
    }
    const std::int64_t number = cells[0] + cells[4];
    if (cells[0] > 0 && cells[4] >= 0 && cells[0] < kBelievable && cells[4] < kBelievable &&
        number < kBelievable)
      highest = std::max(highest, number);
  }
  return highest;
}

}  // namespace deckmark
