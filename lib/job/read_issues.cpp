#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <system_error>

#include "issues/chain.h"
#include "issues/ledger_columns.h"
#include "job/columns.h"
#include "job/open_table.h"
#include "job/read_ledger.h"

namespace deckmark {

namespace fs = std::filesystem;

std::variant<std::shared_ptr<const Source>, Unreadable> source_of(const fs::path& path,
                                                                  const std::string& name) {
  std::error_code none;
  if (!fs::exists(fs::symlink_status(path, none))) return Unreadable{std::string(kNoSuchFile)};
  return read_source(path, name);
}

bool is_missing(const std::variant<std::shared_ptr<const Source>, Unreadable>& bytes) {
  const auto* bad = std::get_if<Unreadable>(&bytes);
  return bad && bad->reason == kNoSuchFile;
}

namespace {

/// Cells of a row, commas within quotes aside.
std::size_t cells_in(std::string_view row) {
  std::size_t cells = 1;
  bool quoted = false;
  for (const char c : row) {
    if (c == '"') quoted = !quoted;
    if (c == ',' && !quoted) ++cells;
  }
  return cells;
}

}  // namespace

/// A journal of which a last line that is no whole row, ended by a digest, was never written to its end: it
/// does not count (told), and the source ends before it.
Journal journal_of(const fs::path& path, std::shared_ptr<const Source>& source, std::string_view told,
                   Messages& messages) {
  std::error_code none;
  const std::uint64_t size = fs::file_size(path, none);
  std::string_view text = source->text();
  Journal out{true, none ? text.size() : size, 0, true};
  const std::uint64_t mark = out.size - std::min<std::uint64_t>(out.size, text.size());
  if (!text.empty() && text.back() != '\n') {
    const std::size_t begin = text.rfind('\n') + 1;  // npos + 1 is 0
    const std::string_view last = text.substr(begin);
    const std::size_t comma = last.rfind(',');
    if (comma == std::string_view::npos || last.size() - comma - 1 != kDigestDigits ||
        cells_in(last) < cells_in(text.substr(0, text.find('\n')))) {
      messages.notice("a row that was never handed out", Where::in(source, static_cast<std::uint32_t>(begin)),
                      "row", std::string(told));
      source = Source::from_bytes(source->name(), text.substr(0, begin));
      text = source->text();
    }
  }
  out.covered = mark + text.size();
  out.ends_in_line = text.empty() || text.back() == '\n';
  return out;
}

/// Who was given what. False where a row names an issue that is not there, or another of its number (told).
bool LedgerReader::read_given(Messages& messages) {
  namespace c = deckmark::given;
  const std::string name = files_.beside(kGivenWord);
  auto bytes = source_of(files_.path_beside(kGivenWord), name);
  if (is_missing(bytes)) return true;
  if (const auto* bad = std::get_if<Unreadable>(&bytes)) {
    messages.problem(
        Where::whole(name), "file",
        unreadable_fault(in_quotes(name) + ": " + bad->reason, *bad, "who has the issues, a file"));
    return false;
  }
  auto source = std::get<0>(std::move(bytes));
  found_.sources.push_back(source);
  if (!has_form(source, messages)) return false;
  found_.given_file = journal_of(files_.path_beside(kGivenWord), source,
                                 "it was not written to its end: this issue was not given", messages);
  if (trimmed(source->text()).empty()) return true;
  auto opened = Table::open(source, spec_of<c::Terms>(), messages);
  if (!opened) return false;
  const OpenTable<c::Terms> table(std::make_shared<const Table>(*std::move(opened)));
  struct Rows {
    std::vector<GivenRow> rows;
    void reserve(std::size_t) {}
    void append(Rows&& other) { std::ranges::move(other.rows, std::back_inserter(rows)); }
  };
  const std::size_t before = messages.problems();
  const std::vector<IssuedRow>& issues = found_.ledger.issues();
  found_.given =
      read_records<Rows>(*table, messages, [&](Rows& to, const Row& row, Messages& told) {
        const auto issue = read_whole(table.at<c::issue>(), row, 1, kMostNumber, told);
        const auto text_of = [&](const WordsColumn& column) {
          return std::string(read_text(column, row, told).value_or(std::string_view()));
        };
        GivenRow r;
        r.to = text_of(table.at<c::to>());
        r.on = text_of(table.at<c::on>());
        r.digest = text_of(table.at<c::digest>());
        if (!issue) return;
        r.issue = static_cast<std::uint32_t>(*issue);
        if (r.issue > issues.size()) {
          table.at<c::issue>().problem(
              row,
              Fault{fmt::format("issue {}", r.issue),
                    issues.empty()
                        ? std::string("the ledger whose issues were given: it holds none; take back what "
                                      "a run kept (deckmark restore)")
                        : fmt::format("an issue of the ledger, from 1 to {}; is the ledger behind, "
                                      "take back what a run kept (deckmark restore)",
                                      issues.size()),
                    issues.empty() ? files_.begin_anew(job_path_, above()) : std::string()},
              told);
        } else if (r.digest != issues[r.issue - 1].digest) {
          table.at<c::digest>().problem(
              row,
              Fault{in_quotes(r.digest),
                    fmt::format("{}, the digest of issue {}: another issue was given under this number",
                                issues[r.issue - 1].digest, r.issue),
                    ""},
              told);
        }
        to.rows.push_back(std::move(r));
      }).rows;
  return messages.problems() == before;
}

/// The issues are the program's own: what cannot be read in them was changed, and there is one way out.
void LedgerReader::refuse_changed(const Messages& told, Messages& messages) {
  const Message first = told.sorted(Grade::problem).front();
  constexpr std::string_view kFound = "found ", kExpected = ", expected ";
  std::string found = first.text.substr(0, first.text.find(kExpected));
  if (found.starts_with(kFound)) found.erase(0, kFound.size());
  messages.problem(
      Where::at(first.file, first.place), first.field,
      Fault{found,
            "the issues as the runs left them, none changed by hand, added or taken out; put back a "
            "copy, if there is one",
            files_.begin_anew(job_path_, above())});
}

namespace {

/// Rows of `issued.csv` and where they begin.
struct IssueRows {
  std::vector<IssuedRow> rows;
  std::vector<std::uint32_t> begins;
  void reserve(std::size_t) {}
  void append(IssueRows&& other) {
    rows.insert(rows.end(), other.rows.begin(), other.rows.end());
    begins.insert(begins.end(), other.begins.begin(), other.begins.end());
  }
};

IssueRows read_issue_rows(const std::shared_ptr<const Source>& source, Messages& told) {
  namespace c = deckmark::issued;
  auto opened = Table::open(source, spec_of<c::Terms>(), told);
  if (!opened) return {};
  const OpenTable<c::Terms> table(std::make_shared<const Table>(*std::move(opened)));
  return read_records<IssueRows>(*table, told, [&](IssueRows& to, const Row& row, Messages& told_of_row) {
    const auto issue = read_whole(table.at<c::issue>(), row, 1, kMostNumber, told_of_row);
    const auto live = read_whole(table.at<c::live>(), row, 0, kMostNumber, told_of_row);
    const auto count = read_whole(table.at<c::rows>(), row, 0, kMostNumber, told_of_row);
    const auto text_of = [&](const WordsColumn& column) {
      return std::string(read_text(column, row, told_of_row).value_or(std::string_view()));
    };
    IssuedRow r;
    r.revision = text_of(table.at<c::revision>());
    r.job = text_of(table.at<c::job>());
    r.storey = text_of(table.at<c::storey>());
    r.folder = text_of(table.at<c::folder>());
    r.before = text_of(table.at<c::before>());
    r.digest = text_of(table.at<c::digest>());
    if (!issue || !live || !count) return;
    r.issue = static_cast<std::uint32_t>(*issue);
    r.live = static_cast<std::uint32_t>(*live);
    r.rows = static_cast<std::uint32_t>(*count);
    to.rows.push_back(std::move(r));
    to.begins.push_back(row.begin());
  });
}

}  // namespace

std::optional<LedgerReader::Issues> LedgerReader::read_issues(Messages& messages) {
  Issues out;
  if (is_missing(issued_bytes_)) return out;
  const std::string name = files_.beside(kIssuedWord);
  if (const auto* bad = std::get_if<Unreadable>(&issued_bytes_)) {
    messages.problem(Where::whole(name), "file",
                     unreadable_fault(in_quotes(name) + ": " + bad->reason, *bad, "the issues, a file"));
    return std::nullopt;
  }
  auto source = std::get<0>(std::move(issued_bytes_));
  found_.sources.push_back(source);
  if (!has_form(source, messages)) return std::nullopt;
  found_.issued = journal_of(files_.path_beside(kIssuedWord), source,
                             "a run was stopped while it wrote this row: it was never handed out", messages);
  if (RecordLines(source->text()).next() != header_line(kIssuedColumns)) {
    refuse_header(source, messages);
    return std::nullopt;
  }
  Messages told;
  const IssueRows rows = read_issue_rows(source, told);
  if (told.has_problems()) return refuse_changed(told, messages), std::nullopt;
  messages.merge(std::move(told));
  issues_given_ = rows.rows;
  for (std::size_t i = 0; i < rows.rows.size(); ++i) {
    const IssuedRow& r = rows.rows[i];
    const std::string digest = i == 0 ? std::string() : rows.rows[i - 1].digest;
    if (r.issue == i + 1 && r.before == digest) continue;
    messages.problem(
        Where::in(source, rows.begins[i]), "issue",
        Fault{fmt::format("issue {} where issue {} stood{}", r.issue, i + 1,
                          r.issue == i + 1 ? ", after another issue than this one before it" : ""),
              "the issues as the runs left them, none changed by hand, added or taken out; take back what a "
              "run kept (deckmark restore)",
              files_.begin_anew(job_path_, above())});
    return std::nullopt;
  }
  for (const std::uint32_t begin : rows.begins) {
    const std::string_view row = *RecordLines(source->text().substr(begin)).next();
    const std::size_t digest = row.rfind(','), cut = digest == row.npos ? digest : row.rfind(',', digest - 1);
    out.heads.emplace_back(row.substr(0, cut));
  }
  out.rows = rows.rows;
  out.begins = rows.begins;
  return out;
}

}  // namespace deckmark
