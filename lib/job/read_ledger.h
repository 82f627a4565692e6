#pragma once
/// Private to the room: reading a ledger, one's own or another storey's.

#include <future>
#include <optional>
#include <variant>

#include "issues/chain.h"
#include "issues/numbering.h"
#include "job/ledger_job.h"

namespace deckmark {

/// A file's bytes; a name under which nothing stands is `no such file`.
std::variant<std::shared_ptr<const Source>, Unreadable> source_of(const std::filesystem::path& path,
                                                                  const std::string& name);
bool is_missing(const std::variant<std::shared_ptr<const Source>, Unreadable>& bytes);
/// A journal of which a last line that is no whole row, ended by a digest, was never written to its end: it
/// does not count (told), and the source ends before it.
Journal journal_of(const std::filesystem::path& path, std::shared_ptr<const Source>& source,
                   std::string_view told, Messages& messages);

/// What is read of a ledger before its rows: the issues first, since rows that they do not cover were never
/// handed out.
class LedgerReader {
 public:
  /// `job`: the job file by its path from the ledger's folder, for what an earlier version left.
  /// `path`: the job file as it was typed; `options`: by which numbers were given, as far as is known.
  LedgerReader(LedgerFiles files, std::string job, std::filesystem::path path, const NumberOptions& options)
      : files_(std::move(files)), job_(std::move(job)), job_path_(std::move(path)), options_(options) {}
  /// Reads the issues, and begins to read the rows on another thread.
  void fetch();
  /// All of it; `key`: what is wrong with the file as such is told there. Nothing where anything is wrong
  /// (told): rows that do not give their digests, one of the two files without the other, what cannot be
  /// read. Rows that were never handed out are a notice.
  std::optional<LedgerFound> read(const Where& key, Messages& messages);

 private:
  using Bytes = std::variant<std::shared_ptr<const Source>, Unreadable>;
  struct Issues {
    std::vector<IssuedRow> rows;
    std::vector<std::string> heads;
    std::vector<std::uint32_t> begins;
  };
  bool read_numbers(const Where& key, Messages& messages);
  bool read_given(Messages& messages);
  std::optional<Issues> read_issues(Messages& messages);
  bool take_chain(const ChainFound& chain, const Issues& issues, std::uint64_t mark, Messages& messages);
  std::optional<LedgerRows> read_rows(const std::shared_ptr<const Source>& source, Messages& messages);
  std::optional<Ledger> from_before(LedgerRows rows, const Issues& issues, Messages& messages);
  void refuse_two_offsets(const LedgerRows& rows, Messages& messages) const;
  bool has_form(const std::shared_ptr<const Source>& source, Messages& messages) const;
  void refuse_changed(const Messages& told, Messages& messages);
  void refuse_header(const std::shared_ptr<const Source>& source, Messages& messages);
  std::int64_t above();
  const Bytes& rows_bytes();
  void refuse_broken(const ChainFound::Broken& broken, std::size_t issues, Messages& messages);

  LedgerFiles files_;
  std::string job_;
  std::filesystem::path job_path_;
  NumberOptions options_;
  std::vector<IssuedRow> issues_given_;  // as far as they were read
  bool fetched_ = false;
  Bytes issued_bytes_ = Unreadable{};
  std::future<Bytes> reading_;
  Bytes rows_bytes_ = Unreadable{};
  std::shared_ptr<const Source> source_;
  LedgerFound found_;
};

}  // namespace deckmark
