#include "job/read_issued_control.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <system_error>
#include <utility>
#include <variant>

#include "issues/chain.h"
#include "job/columns.h"
#include "job/open_table.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

namespace c = deckmark::issued_control;

/// Whether a record is of an issue that was handed out, or holds something that its reader has to tell. What
/// a run was writing when it was stopped is of a later issue, or has not even that.
bool counts(std::string_view record, bool is_whole, std::uint32_t last_issue) {
  std::uint32_t issue = 0;
  const auto [end, bad] = std::from_chars(record.data(), record.data() + record.size(), issue);
  if (end == record.data() + record.size()) return is_whole;
  return bad != std::errc() || *end != ',' || issue <= last_issue;
}

struct Covered {
  std::size_t size = 0, left_out = 0;  ///< bytes that count; records behind them
};
Covered covered(std::string_view text, std::uint32_t last_issue) {
  Covered out;
  RecordLines lines(text);
  if (!lines.next() || !lines.is_whole()) return out;  // not even the header was written to its end
  out.size = lines.end();
  while (const auto record = lines.next()) {
    if (out.left_out == 0 && counts(*record, lines.is_whole(), last_issue))
      out.size = lines.end();
    else
      ++out.left_out;
  }
  return out;
}

struct ControlRows {
  std::vector<IssuedControl> rows;
  void reserve(std::size_t n) { rows.reserve(n); }
  void append(ControlRows&& other) {
    rows.insert(rows.end(), std::make_move_iterator(other.rows.begin()),
                std::make_move_iterator(other.rows.end()));
  }
};

/// False where a row is bad (told).
bool read_rows(const OpenTable<c::Terms>& table, std::vector<IssuedControl>& to, Messages& messages) {
  constexpr std::string_view kMadeBy = "issued control";
  const std::size_t before = messages.problems();
  const LengthColumn northing = lengths_of(table.at<c::northing>(), LengthUnit::metre, kMadeBy, messages);
  const LengthColumn easting = lengths_of(table.at<c::easting>(), LengthUnit::metre, kMadeBy, messages);
  const LengthColumn elevation = lengths_of(table.at<c::elevation>(), LengthUnit::metre, kMadeBy, messages);
  ControlRows all =
      read_records<ControlRows>(*table, messages, [&](ControlRows& out, const Row& row, Messages& told) {
        const auto issue = read_whole(table.at<c::issue>(), row, 1, kMostNumber, told);
        const auto name = read_issued_name(table.at<c::point>(), row, told);
        const auto north = northing.require(row, told), east = easting.require(row, told);
        const auto high = elevation.read(row, told);
        if (issue && name && north && east)
          out.rows.push_back({static_cast<std::uint32_t>(*issue),
                              {std::string(*name), {Kept::of(*north), Kept::of(*east)}, Kept::of(high)}});
      });
  to = std::move(all.rows);
  return messages.problems() == before;
}

}  // namespace

bool read_issued_control(const LedgerFiles& files, LedgerFound& found, Messages& messages) {
  const fs::path path = files.path_beside(kControlWord);
  const std::string name = files.beside(kControlWord);
  std::error_code none;
  if (!fs::exists(fs::symlink_status(path, none))) return true;
  auto bytes = read_source(path, name);
  if (const auto* bad = std::get_if<Unreadable>(&bytes)) {
    messages.problem(Where::whole(name), "file",
                     unreadable_fault(in_quotes(name) + ": " + bad->reason, *bad,
                                      "the control that issues were made with, a file"));
    return false;
  }
  auto source = std::get<0>(std::move(bytes));
  found.sources.push_back(source);
  const std::string_view text = source->text();
  const std::uint64_t size = fs::file_size(path, none);
  found.control_journal = {true, none ? text.size() : size, 0, true};
  const std::uint64_t mark =
      found.control_journal.size - std::min<std::uint64_t>(found.control_journal.size, text.size());
  const Covered part = covered(text, found.ledger.last_issue());
  found.control_journal.covered = part.size == 0 ? 0 : mark + part.size;
  if (part.left_out > 0)
    messages.notice("rows that were never handed out",
                    Where::in(source, static_cast<std::uint32_t>(part.size)), "row",
                    fmt::format("{} of an issue that was never handed out: not read; the next run moves "
                                "{} to {}",
                                part.left_out == 1 ? "a row" : fmt::format("{} rows", part.left_out),
                                part.left_out == 1 ? "it" : "them", files.torn().filename().string()));
  if (part.size == 0) return true;
  if (part.size < text.size()) source = Source::from_bytes(name, text.substr(0, part.size));
  auto opened = Table::open(source, spec_of<c::Terms>(), messages);
  if (!opened) return false;
  return read_rows(OpenTable<c::Terms>(std::make_shared<const Table>(*std::move(opened))), found.control,
                   messages);
}

}  // namespace deckmark
