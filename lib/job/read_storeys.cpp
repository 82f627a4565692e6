#include "job/read_storeys.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>
#include <variant>

#include "job/keys/deck_keys.h"
#include "job/keys/drawing_keys.h"
#include "job/keys/list_keys.h"
#include "job/keys/site_keys.h"
#include "job/keys/top_keys.h"
#include "job/read_ledger.h"
#include "job/site_file.h"
#include "table/reader.h"

namespace deckmark {

namespace {

namespace fs = std::filesystem;

constexpr std::string_view kField = "site.storeys";

/// The same file, whether it is there or not.
bool is_one_file(const fs::path& a, const fs::path& b) {
  std::error_code bad;
  if (fs::equivalent(a, b, bad)) return true;
  return fs::weakly_canonical(fs::absolute(a, bad), bad) == fs::weakly_canonical(fs::absolute(b, bad), bad);
}

template <class T>
std::vector<T> rising(std::vector<T> all) {
  std::ranges::sort(all);
  all.erase(std::unique(all.begin(), all.end()), all.end());
  return all;
}

/// Floor and deck numbers of a ledger; a dropped one may still stand on a floor.
std::vector<std::uint32_t> numbers_in(const Ledger& ledger) {
  std::vector<std::uint32_t> out;
  out.reserve(2 * ledger.numbers());
  const LedgerRows& rows = ledger.columns();
  for (std::size_t i = 0; i < ledger.numbers(); ++i) {
    const std::uint32_t row = ledger.latest(i);
    out.push_back(rows.number(row));
    out.push_back(rows.number(row) + static_cast<std::uint32_t>(rows.deck_offset(row)));
  }
  return rising(std::move(out));
}

/// Heights of its floor and its deck: as its job file states them, and those of its deck list.
std::vector<Elevation> heights_in(const Job& storey, const Ledger& ledger) {
  std::vector<Elevation> out;
  for (const Stated<Elevation>* height : {&storey.floor, &storey.deck_level})
    if (*height) out.push_back(**height);
  for (std::size_t i = 0; i < ledger.numbers(); ++i)
    if (const std::uint32_t row = ledger.latest(i); ledger.columns().has_deck(row))
      out.push_back(Elevation::at(ledger.row(row).deck.length()));
  return rising(std::move(out));
}

class StoreysReader {
 public:
  StoreysReader(const JobReading& in, const BeforeLedger& before_ledger)
      : in_(in), job_(in.job), told_(in.told.of(Part::numbers)), before_ledger_(before_ledger) {}

  void read() {
    auto s = in_.section<kSite>(Part::numbers);
    s.read<kStoreysKeys>(job_);
    if (!job_.storeys_key) return;
    for (const auto& [text, where] : s.listed("storeys")) one(text, where);
  }

 private:
  void problem(const Where& where, Fault fault) { told_.problem(where, kField, fault); }

  void one(const std::string& text, const Where& where) {
    const fs::path path = job_.folder / path_from_job(where, text);
    const auto file = text.empty() ? std::nullopt : job_file_of(path);
    if (!file)
      return problem(where, {fmt::format("{}: no job there (tried {})", in_quotes(text),
                                         path.lexically_normal().string()),
                             fmt::format("the job file of another storey, relative to {}", where.file), ""});
    std::error_code none;
    const auto is_it = [&](const fs::path& known) { return fs::equivalent(known, *file, none); };
    if (is_it(job_.path) || std::ranges::any_of(read_, is_it)) return;
    read_.push_back(*file);
    Job other;
    other.folder = file->parent_path();
    other.path = *file;
    other.file = name_of(*file, path, path_from_job(where, text));
    SiblingStorey storey;
    storey.job_file = other.file;
    storey.where = where;
    if (keys_of(other, storey)) ledger_of(other, std::move(storey));
  }

  /// The job file as this one would name it.
  static std::string name_of(const fs::path& file, const fs::path& path, const std::string& named) {
    return file == path ? named : (fs::path(named) / file.filename()).string();
  }

  /// What its job file says; false where that cannot be used (told).
  bool keys_of(Job& other, SiblingStorey& storey) {
    PartMessages unheard;  // its faults are its own
    auto read = read_source(other.path, other.file);
    const auto* source = std::get_if<std::shared_ptr<const Source>>(&read);
    auto root = source ? parse_job_file(*source, unheard.of(Part::file)) : std::nullopt;
    if (root) {
      take_site_file(*root, other, unheard);
      const JobReading theirs{*root, other, unheard};
      theirs.section<kNumbers>(Part::numbers).read(other);
      theirs.section<kStorey>(Part::deck).read(other);
      theirs.section<kDrawing>(Part::deck).read<kDrawingUnitKeys>(other);
      theirs.section<kSite>(Part::deck).read<kSiteUnitKeys>(other);
      theirs.section<kFloor>(Part::deck).read(other, theirs.bare());
      theirs.section<kDeck>(Part::deck).read<kDeckKeys>(other, theirs.bare());
    }
    if (!root || unheard.of(Part::numbers).has_problems()) {
      problem(storey.where, {other.file + ", whose numbers cannot be known: it has problems",
                             "the job file of another storey that can be read",
                             "deckmark check on that job, which tells them"});
      return false;
    }
    storey.name = other.storey.empty() ? other.file : other.storey;
    return true;
  }

  void ledger_of(Job& other, SiblingStorey storey) {
    const fs::path named(other.ledger_file);
    other.ledger_path = other.folder / named;
    storey.ledger_file = (fs::path(other.file).parent_path() / named).lexically_normal().string();
    if (is_one_file(other.ledger_path, job_.ledger_path))
      return told_.problem(
          job_.ledger_key.written ? job_.ledger_key.at : storey.where, "numbers.ledger",
          Fault{fmt::format("{}, the ledger of {} too", in_quotes(job_.ledger_file), storey.name),
                "a ledger for each storey",
                fmt::format("ledger = \"numbers-{}.csv\" under [numbers]", job_.path.stem().string())});
    std::error_code none;
    if (before_ledger_ && fs::is_directory(other.ledger_path.parent_path(), none))
      before_ledger_(other.ledger_path);
    Messages unheard;  // what is wrong with it is told there
    LedgerReader reader(other.ledger_files(), other.name_for_ledger(), other.path, other.numbers);
    reader.fetch();
    const auto found = reader.read(other.ledger_key.at, unheard);
    if (!found)
      return problem(storey.where, {storey.ledger_file + ", which cannot be read or has problems",
                                    fmt::format("the ledger of {} as its last run left it", storey.name),
                                    "deckmark check on that job, which tells them"});
    if (found->ledger.numbers() == 0)
      told_.notice("a storey that never ran", storey.where, kField,
                   fmt::format("{} has given out no numbers yet (no {}): none of them is known", storey.name,
                               storey.ledger_file));
    storey.numbers = numbers_in(found->ledger);
    storey.heights = heights_in(other, found->ledger);
    job_.storeys.push_back(std::move(storey));
  }

  const JobReading& in_;
  Job& job_;
  Messages& told_;
  const BeforeLedger& before_ledger_;
  std::vector<fs::path> read_;
};

}  // namespace

void read_storeys(const JobReading& in, const BeforeLedger& before_ledger) {
  StoreysReader(in, before_ledger).read();
}

}  // namespace deckmark
