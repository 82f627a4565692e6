#include "job/read_ledger.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <system_error>

#include "issues/chain.h"
#include "issues/ledger_columns.h"
#include "job/columns.h"
#include "job/open_table.h"
#include "job/read_issued_control.h"
#include "measure/shell_word.h"
#include "measure/side_by_side.h"
#include "table/digest.h"
#include "table/written.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

/// What the program itself writes: digits, a point and six digits. Anything else is read as any length.
std::optional<Kept> plain_length(std::string_view text) {
  constexpr std::size_t kDecimals = 6, kMost = 17;
  const bool minus = text.starts_with('-');
  const std::string_view digits = text.substr(minus ? 1 : 0);
  if (digits.size() < kDecimals + 2 || digits.size() > kMost || digits[digits.size() - kDecimals - 1] != '.')
    return std::nullopt;
  std::int64_t value = 0;
  for (const char c : digits) {
    if (c == '.') continue;
    if (c < '0' || c > '9') return std::nullopt;
    value = value * 10 + (c - '0');
  }
  return Kept::micrometres(minus ? -value : value);
}

class KeptCells {
 public:
  KeptCells(const LengthCells& column, Messages& messages)
      : column_(column), any_(lengths_of(column, LengthUnit::metre, "the ledger", messages)) {}
  /// None where it is empty; nothing where it is bad (told).
  std::optional<Kept> read(const Row& row, bool required, Messages& told) const {
    const std::string_view text = column_.text(row);
    if (const auto plain = plain_length(text)) return plain;
    if (text.empty() && !required) return Kept::none();
    const auto length = any_.require(row, told);
    return length ? std::optional(Kept::of(*length)) : std::nullopt;
  }

 private:
  LengthCells column_;
  LengthColumn any_;
};

std::optional<std::uint32_t> issue_cell(const NumberColumn& column, const Row& row, Messages& told) {
  const std::string_view text = column.text(row);
  std::uint32_t value = 0;
  const auto [end, bad] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (bad == std::errc() && end == text.data() + text.size()) return value;
  if (text.empty()) return 0;
  const auto n = read_whole(column, row, 0, kMostNumber, told);
  return n ? std::optional(static_cast<std::uint32_t>(*n)) : std::nullopt;
}

/// The first issue of these rows that is another than `next`; rows that are torn do not count.
std::optional<std::uint32_t> later_issue(std::string_view rows, std::size_t next) {
  const auto source = Source::from_bytes("", header_line(kLedgerColumns) + "\n" + std::string(rows));
  Messages none;
  const auto opened = Table::open(source, spec_of<ledger::Terms>(), none);
  if (!opened) return std::nullopt;
  const OpenTable<ledger::Terms> table(std::make_shared<const Table>(*opened));
  struct Rows {
    std::optional<std::uint32_t> later;
    void reserve(std::size_t) {}
    void append(Rows&& other) {
      if (!later) later = other.later;
    }
  };
  return read_records<Rows>(*table, none,
                            [&](Rows& to, const Row& row, Messages& told) {
                              const auto issue =
                                  read_whole(table.at<ledger::issue>(), row, 1, kMostNumber, told);
                              if (issue && static_cast<std::size_t>(*issue) != next && !to.later)
                                to.later = static_cast<std::uint32_t>(*issue);
                            })
      .later;
}

/// Whether the header is of a ledger that has issues; an earlier version's has none.
bool has_issue_column(std::string_view header) {
  for (std::size_t at = 0; at <= header.size();) {
    const std::size_t end = std::min(header.find(',', at), header.size());
    if (same_name(trimmed(header.substr(at, end - at)), "issue")) return true;
    at = end + 1;
  }
  return false;
}

}  // namespace

void LedgerReader::fetch() {
  fetched_ = true;
  issued_bytes_ = source_of(files_.path_beside(kIssuedWord), files_.beside(kIssuedWord));
  reading_ = begin_beside([files = files_] { return source_of(files.path(), files.file); });
}

/// What is above every number that can have been given: those that stand in the ledger, floor and deck,
/// whatever is wrong with its rows; and each issue gave at most as many new ones as it has rows.
std::int64_t LedgerReader::above() {
  std::int64_t rows = 0;
  for (const IssuedRow& issue : issues_given_) rows = std::min(rows + issue.rows, kMostNumber);
  std::int64_t highest =
      rows == 0 ? 0 : std::min(options_.start + options_.step * rows + options_.deck_offset, kMostNumber / 2);
  const auto* source = std::get_if<std::shared_ptr<const Source>>(&rows_bytes());
  if (!source) return highest;
  return std::max(highest, highest_number((*source)->text()));
}

const LedgerReader::Bytes& LedgerReader::rows_bytes() {
  if (reading_.valid()) rows_bytes_ = reading_.get();
  return rows_bytes_;
}

void LedgerReader::refuse_broken(const ChainFound::Broken& broken, std::size_t issues, Messages& messages) {
  const std::string what = broken.ends_early
                               ? fmt::format("{} row{} of issue {} of {}, fewer than were handed out",
                                             broken.rows, broken.rows == 1 ? "" : "s", broken.issue, issues)
                               : fmt::format("rows of issue {} of {} that are not those that were handed out",
                                             broken.issue, issues);
  messages.problem(Where::in(source_, static_cast<std::uint32_t>(broken.begin)), "row",
                   Fault{what,
                         "the ledger and its issues as the last run left them: no row changed by hand, "
                         "added, taken out or put elsewhere; take back what a run kept (deckmark restore)",
                         files_.begin_anew(job_path_, above())});
}

std::optional<LedgerRows> LedgerReader::read_rows(const std::shared_ptr<const Source>& source,
                                                  Messages& messages) {
  namespace c = deckmark::ledger;
  auto opened = Table::open(source, spec_of<c::Terms>(), messages);
  if (!opened) return std::nullopt;
  const OpenTable<c::Terms> table(std::make_shared<const Table>(*std::move(opened)));
  found_.table = table.shared();
  found_.is_from_before = !table.at<c::issue>().stands();
  const KeptCells x(table.at<c::x>(), messages), y(table.at<c::y>(), messages),
      northing(table.at<c::northing>(), messages), easting(table.at<c::easting>(), messages),
      floor(table.at<c::floor_elevation>(), messages), attach(table.at<c::attach_elevation>(), messages),
      deck(table.at<c::deck_elevation>(), messages), cut(table.at<c::cut>(), messages);
  const auto status = table.at<c::status>();
  const std::size_t before = messages.problems();
  LedgerRows rows =
      read_records<LedgerRows>(*table, messages, [&](LedgerRows& out, const Row& row, Messages& told) {
        if (out.size() == 0) out = LedgerRows(table->source());
        LedgerRow r;
        bool whole = true;
        const auto take = [&whole](auto& to, const auto& from) {
          if (from)
            to = static_cast<std::remove_cvref_t<decltype(to)>>(*from);
          else
            whole = false;
        };
        take(r.point, read_issued_name(table.at<c::point>(), row, told));
        take(r.drawing.x, x.read(row, true, told));
        take(r.drawing.y, y.read(row, true, told));
        take(r.site.northing, northing.read(row, true, told));
        take(r.site.easting, easting.read(row, true, told));
        take(r.revision, read_text(table.at<c::revision>(), row, told));
        take(r.number, read_whole(table.at<c::number>(), row, kLeastNumber, kMostNumber, told));
        take(r.deck_offset, read_whole(table.at<c::deck_offset>(), row, 1, kMostNumber, told));
        take(r.floor, floor.read(row, false, told));
        take(r.attach, attach.read(row, false, told));
        take(r.deck, deck.read(row, false, told));
        take(r.cut, cut.read(row, false, told));
        take(r.kind, read_text(table.at<c::kind>(), row, told));
        take(r.run, read_text(table.at<c::run>(), row, told));
        take(r.crew, read_text(table.at<c::crew>(), row, told));
        take(r.issue, issue_cell(table.at<c::issue>(), row, told));
        take(r.told[0], issue_cell(table.at<c::told_in>(), row, told));
        take(r.told[1], issue_cell(table.at<c::told_in_deck>(), row, told));
        take(r.told[2], issue_cell(table.at<c::told_in_bracket>(), row, told));
        take(r.told[3], issue_cell(table.at<c::told_in_cut>(), row, told));
        const std::string_view state = status.text(row);
        r.live = state == "live";
        if (!r.live && state != "dropped") {
          status.problem(row, Fault{in_quotes(state), "live or dropped", ""}, told);
          whole = false;
        }
        if (found_.is_from_before) r.told.fill(1);
        if (whole) out.add(r, row.begin());
      });
  if (messages.problems() > before) return std::nullopt;
  return rows;
}

/// What an earlier version left becomes issue 1. A run that was stopped after it had written that issue, and
/// before it wrote the ledger anew, is gone on with.
std::optional<Ledger> LedgerReader::from_before(LedgerRows rows, const Issues& issues, Messages& messages) {
  if (rows.size() == 0 && issues.rows.empty()) return Ledger();
  IssuedRow one;
  one.issue = 1;
  one.job = job_;
  one.rows = static_cast<std::uint32_t>(rows.size());
  for (std::size_t r = 0; r < rows.size(); ++r)
    if (rows.is_live(r)) {
      ++one.live;
      one.revision = std::string(rows.at(r).revision);
    }
  Sha256 digest;
  const auto take = [&digest](const char* data, std::size_t size) { digest.update(data, size); };
  const std::string prefix = chain_prefix("", issued_head(one));
  take(prefix.data(), prefix.size());
  TableWriter writer({}, take);
  for (std::size_t r = 0; r < rows.size(); ++r) {
    LedgerRow row = rows.at(r);
    row.issue = 1;
    put_ledger_row(writer, row);
    writer.end_row();
  }
  writer.finish();
  one.digest = digest.hex().substr(0, kDigestDigits);
  if (!issues.rows.empty() && (issues.rows.size() > 1 || issues.rows[0].digest != one.digest)) {
    messages.problem(
        Where::whole(files_.file), "file",
        Fault{fmt::format("the ledger of an earlier version beside {}, which names {} issue{} of "
                          "another",
                          files_.beside(kIssuedWord), issues.rows.size(), issues.rows.size() == 1 ? "" : "s"),
              "the two files that the last run left", files_.begin_anew(job_path_, above())});
    return std::nullopt;
  }
  std::vector<IssuedRow> all;
  all.push_back(std::move(one));
  return Ledger(std::move(all), std::move(rows));
}

/// The program goes on writing where the file ends, in its own form.
bool LedgerReader::has_form(const std::shared_ptr<const Source>& source, Messages& messages) const {
  const std::string path = shell_word((files_.folder / source->name()).string());
  const auto refuse = [&](std::string_view found, std::string_view command) {
    messages.problem(Where::whole(source->name()), "file",
                     Fault{std::string(found), "the form in which the last run left it",
                           fmt::format("{} {} > {}.new && mv {}.new {}", command, path, path, path, path)});
    return false;
  };
  if (source->was_utf16())
    return refuse("a file in UTF-16, saved by another program", "iconv -f UTF-16 -t UTF-8");
  const std::string_view text = source->text();
  for (std::size_t at = text.find('\r'); at != text.npos; at = text.find('\r', at + 1))
    if (at + 1 == text.size() || text[at + 1] != '\n')
      return refuse("lines that end with CR alone, saved by another program", "tr '\\r' '\\n' <");
  return true;
}

/// Rows give their digests whatever their header calls them: it has to be the program's own.
void LedgerReader::refuse_header(const std::shared_ptr<const Source>& source, Messages& messages) {
  messages.problem(Where::in(source, 0), "header",
                   Fault{"another header than the program wrote",
                         "the file as the last run left it; take back what a run kept (deckmark restore)",
                         files_.begin_anew(job_path_, above())});
}

/// What the chain says of the rows; false where they cannot be used (told).
bool LedgerReader::take_chain(const ChainFound& chain, const Issues& issues, std::uint64_t mark,
                              Messages& messages) {
  if (chain.broken) {
    refuse_broken(*chain.broken, issues.rows.size(), messages);
    return false;
  }
  found_.numbers.covered = mark + chain.covered;
  found_.numbers.ends_in_line = chain.covered == 0 || source_->text()[chain.covered - 1] == '\n';
  if (chain.uncovered == 0) {  // blank lines at the end are nobody's rows
    found_.numbers.covered = found_.numbers.size;
    found_.numbers.ends_in_line = source_->text().empty() || source_->text().back() == '\n';
    return true;
  }
  // A run that was stopped leaves rows of one issue, the next.
  const auto later = found_.issued.stands
                         ? later_issue(source_->text().substr(chain.covered), issues.rows.size() + 1)
                         : std::nullopt;
  if (later) {
    messages.problem(
        Where::in(source_, static_cast<std::uint32_t>(chain.covered)), "issue",
        Fault{fmt::format("rows of issue {}, while {} ends with issue {}", *later, files_.beside(kIssuedWord),
                          issues.rows.size()),
              fmt::format("{} as the last run left it; take back what a run kept (deckmark restore)",
                          files_.beside(kIssuedWord)),
              files_.begin_anew(job_path_, above())});
    return false;
  }
  const std::string rows = fmt::format("{} row{}", chain.uncovered, chain.uncovered == 1 ? "" : "s");
  if (!found_.issued.stands) {
    messages.problem(Where::whole(files_.file), "file",
                     Fault{fmt::format("{} and no {} beside it, which names their issues", rows,
                                       files_.beside(kIssuedWord)),
                           "both files; take back what a run kept (deckmark restore)",
                           files_.begin_anew(job_path_, above())});
    return false;
  }
  messages.notice(
      "rows that were never handed out", Where::in(source_, static_cast<std::uint32_t>(chain.covered)), "row",
      fmt::format("{} that a run was writing when it was stopped: never handed out, and not read; "
                  "the next run moves them to {}",
                  rows, files_.torn().filename().string()));
  return true;
}

/// Rows of an earlier version state one offset. Where a hand was at it, most rows are right, whichever stand
/// first.
void LedgerReader::refuse_two_offsets(const LedgerRows& rows, Messages& messages) const {
  struct Use {
    std::int64_t offset;
    std::size_t rows, first;
  };
  std::vector<Use> uses;
  for (std::size_t r = 0; r < rows.size(); ++r) {
    const auto same = std::ranges::find(uses, rows.deck_offset(r), &Use::offset);
    if (same != uses.end())
      ++same->rows;
    else if (uses.size() < Messages::kProblemsKept)
      uses.push_back({rows.deck_offset(r), 1, r});
  }
  const auto usual = std::ranges::max_element(uses, {}, &Use::rows);
  const OpenTable<ledger::Terms> table(found_.table);
  const auto column = table.at<ledger::deck_offset>();
  for (const Use& use : uses)
    if (use.offset != usual->offset)
      messages.problem(
          column.where(rows.begin(use.first)), column.name(),
          Fault{fmt::format("{}{}", use.offset,
                            use.rows > 1 ? fmt::format(" in {} rows, this the first", use.rows) : ""),
                fmt::format("{}, as {} other row{}", usual->offset, usual->rows,
                            usual->rows == 1 ? " has" : "s have"),
                fmt::format("{}", usual->offset)});
}

std::optional<LedgerFound> LedgerReader::read(const Where& key, Messages& messages) {
  if (!read_numbers(key, messages) || !read_given(messages) || !read_issued_control(files_, found_, messages))
    return std::nullopt;
  return std::move(found_);
}

/// The ledger with its issues.
bool LedgerReader::read_numbers(const Where& key, Messages& messages) {
  if (!fetched_) fetch();
  auto issues = read_issues(messages);
  const Bytes& bytes = rows_bytes();
  const bool missing = is_missing(bytes);
  if (const auto* bad = std::get_if<Unreadable>(&bytes); bad && !missing) {
    messages.problem(key, "numbers.ledger",
                     unreadable_fault(fmt::format("{}: {}", in_quotes(files_.file), bad->reason), *bad,
                                      "the ledger of numbers, a file"));
    return false;
  }
  if (!issues) return false;
  if (missing) {
    if (issues->rows.empty()) return true;
    messages.problem(Where::whole(files_.beside(kIssuedWord)), "file",
                     Fault{fmt::format("{} issue{} and no {} beside it, which holds their numbers",
                                       issues->rows.size(), issues->rows.size() == 1 ? "" : "s", files_.file),
                           "both files; take back what a run kept (deckmark restore)",
                           files_.begin_anew(job_path_, above())});
    return false;
  }
  source_ = std::get<0>(bytes);
  found_.sources.push_back(source_);
  const std::string_view text = source_->text();
  std::error_code none;
  const std::uint64_t size = fs::file_size(files_.path(), none);
  found_.numbers = {true, none ? text.size() : size, 0, true};
  const std::uint64_t mark = found_.numbers.size - std::min<std::uint64_t>(found_.numbers.size, text.size());
  if (!has_form(source_, messages)) return false;
  const std::string header(RecordLines(text).next().value_or(std::string_view()));
  const bool is_new_form = has_issue_column(header);
  if (is_new_form && !issues->rows.empty() && header != header_line(kLedgerColumns)) {
    refuse_header(source_, messages);
    return false;
  }
  // The chain is followed on another thread while the rows are read; mostly all of them count.
  auto following = begin_beside(
      [&] { return is_new_form ? follow_chain(text, issues->rows, issues->heads) : ChainFound{}; });
  Messages told;
  auto rows = read_rows(source_, told);
  const ChainFound chain = following.get();
  if (is_new_form && !take_chain(chain, *issues, mark, messages)) return false;
  if (chain.uncovered > 0) {
    told = Messages();
    rows = read_rows(Source::from_bytes(files_.file, text.substr(0, chain.covered)), told);
  }
  messages.merge(std::move(told));
  if (!rows) return false;
  if (!is_new_form) {
    found_.numbers.covered = found_.numbers.size;
    const std::size_t before = messages.problems();
    refuse_two_offsets(*rows, messages);
    if (messages.problems() > before) return false;
    auto ledger = from_before(std::move(*rows), *issues, messages);
    if (!ledger) return false;
    found_.ledger = std::move(*ledger);
  } else {
    found_.ledger = Ledger(std::move(issues->rows), std::move(*rows));
  }
  return true;
}

}  // namespace deckmark
