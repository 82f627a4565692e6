#include "job/ledger_in.h"

#include "job/read_ledger.h"

namespace deckmark {

LedgerFiles ledger_files_in(const Job& job, const std::filesystem::path& folder) {
  return {{}, (folder / job.ledger_path.filename()).string()};
}

std::optional<LedgerFound> read_ledger_in(const Job& job, const std::filesystem::path& folder,
                                          Messages& messages) {
  const LedgerFiles files = ledger_files_in(job, folder);
  return LedgerReader(files, job.name_for_ledger(), job.path, job.numbers)
      .read(Where::whole(files.file), messages);
}

}  // namespace deckmark
