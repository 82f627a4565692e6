#include "work/issue_files.h"

#include <system_error>
#include <utility>
#include <vector>

#include "issues/chain.h"
#include "lists/points.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

fs::path whole(const fs::path& path) {
  std::error_code bad;
  return fs::weakly_canonical(fs::absolute(path, bad), bad);
}

/// One path as seen from a folder, on one line whatever it holds.
std::string from_folder(const fs::path& path, const fs::path& folder) {
  return visible(whole(path).lexically_relative(whole(folder.empty() ? fs::path(".") : folder)).string());
}

/// Where what is added to the ledger goes: to the disk, and to what is kept of it.
struct Stages {
  Batch& batch;
  KeptFiles& kept;
};

/// `make` gives the table, once for each of the two.
template <class Make>
std::vector<StagedFile> stage(const Stages& to, fs::path target, const Make& make, How how,
                              std::string digest_after = {}) {
  to.kept.add(target, make(), how);
  std::vector<OutputFile> files;
  files.push_back({std::move(target), make(), how, std::move(digest_after)});
  return to.batch.stage(std::move(files));
}

/// What a run was writing when it was stopped was never handed out.
void cut_torn(const Job& job, Batch& batch) {
  const LedgerFound& stands = job.ledger;
  const LedgerFiles files = job.ledger_files();
  if (stands.numbers.stands && !stands.is_from_before && stands.numbers.size > stands.numbers.covered)
    batch.cut(files.path(), stands.numbers.covered, files.torn());
  const auto cut = [&](const Journal& journal, std::string_view word) {
    if (journal.stands && journal.size > journal.covered)
      batch.cut(files.path_beside(word), journal.covered, files.torn());
  };
  cut(stands.control_journal, kControlWord);
  cut(stands.issued, kIssuedWord);
}

/// Adds the control that is new or lies elsewhere, before the issue that is made with it.
void stage_control(const Job& job, std::uint32_t issue, const Stages& to) {
  const Journal& journal = job.ledger.control_journal;
  const std::vector<IssuedControl> rows =
      control_to_add(job.ledger.control, kept_control(job.control), issue);
  if (rows.empty()) return;
  const bool has_header = journal.stands && journal.covered > 0;
  stage(
      to, job.ledger_files().path_beside(kControlWord),
      [&] { return issued_control_rows(rows, !has_header); }, has_header ? How::append : How::replace);
}

/// Adds what is new to both files; gives the digest.
std::string stage_new(const Computation& c, const fs::path& folder, const Stages& to) {
  const Job& job = c.job;
  const LedgerFound& stands = job.ledger;
  const Ledger& ledger = stands.ledger;
  const IssueFound& found = *c.issue.get();
  const LedgerFiles files = job.ledger_files();
  const fs::path numbers = files.path(), issued = files.path_beside(kIssuedWord);

  stage_control(job, found.number, to);
  // The issues stand first: what they do not name was never handed out.
  if (stands.is_from_before)
    stage(
        to, issued,
        [&] {
          return issued_rows({ledger.issues().begin(), ledger.issues().begin() + (ledger.last_issue() > 0)},
                             true);
        },
        How::replace);
  else if (!stands.issued.stands || stands.issued.covered == 0)
    stage(
        to, issued, [] { return issued_rows({}, true); }, How::replace);
  bool has_header = stands.numbers.stands && stands.numbers.covered > 0 && !stands.is_from_before;
  if (stands.is_from_before && ledger.last_issue() > 0) {
    stage(
        to, numbers, [&] { return first_issue_rows(ledger); }, How::replace);
    has_header = true;
  }
  IssuedRow row;
  row.issue = found.number;
  row.revision = job.revision;
  row.job = c.views.issue.job;
  row.storey = job.storey;
  row.live = found.live;
  row.rows = static_cast<std::uint32_t>(found.rows.size());
  row.folder = from_folder(folder, job.folder);
  if (ledger.last_issue() > 0) row.before = ledger.issues().back().digest;
  const std::string prefix = chain_prefix(row.before, issued_head(row));
  row.digest = stage(
                   to, numbers, [&] { return issue_rows(found, !has_header); },
                   has_header ? How::append : How::replace, prefix)
                   .front()
                   .chained.substr(0, kDigestDigits);
  stage(
      to, issued, [&] { return issued_rows({row}, false); }, How::append);
  return row.digest;
}

}  // namespace

std::optional<IssueStamp> stage_issue(const Computation& c, const fs::path& folder, Batch& batch,
                                      KeptFiles& kept) {
  const IssueFound* found = c.issue.get();
  if (!found) return std::nullopt;
  cut_torn(c.job, batch);
  const auto& issues = c.job.ledger.ledger.issues();
  IssueStamp stamp;
  stamp.issue = found->number;
  stamp.job = from_folder(c.job.path, folder);
  stamp.digest = found->is_new ? stage_new(c, folder, {batch, kept}) : issues.back().digest;
  stamp.highest = found->highest;
  stamp.began = issues.empty() ? stamp.digest : issues.front().digest;
  return stamp;
}

}  // namespace deckmark
