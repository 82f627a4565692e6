#include "lists/ledger_lists.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <utility>
#include <vector>

#include "lists/columns.h"

namespace deckmark {

namespace {

/// Rows of the ledger that are live in an issue, in the order of today's drawing, then by number.
std::vector<std::uint32_t> live_rows(const Ledger& ledger, std::uint32_t issue, const LaidOut* today) {
  std::vector<std::uint32_t> rows;
  for (std::size_t i = 0; i < ledger.numbers(); ++i) {
    const std::uint32_t row = ledger.as_of(ledger.latest(i), issue);
    if (row != kNone32 && ledger.columns().is_live(row)) rows.push_back(row);
  }
  if (!today) return rows;
  std::map<std::uint32_t, std::uint32_t> place;
  for (std::uint32_t m = 0; m < today->marks.size(); ++m) place.emplace(today->numbers.of(m), m);
  const auto at = [&](std::uint32_t row) {
    const auto found = place.find(ledger.columns().number(row));
    return found == place.end() ? kNone32 : found->second;
  };
  std::stable_sort(rows.begin(), rows.end(), [&](std::uint32_t a, std::uint32_t b) { return at(a) < at(b); });
  return rows;
}

}  // namespace

IssueMarks::IssueMarks(const Ledger& ledger, std::uint32_t issue, const LaidOut* today)
    : hung_{drawn_marks({}, nullptr), {}},
      placed_{SitePlace::as_stated,
              {},
              {},
              today ? today->placed.fit : FittedTransform{drawing_is_site(false), {}},
              {},
              {},
              {}} {
  MarkTable marks;
  std::vector<std::uint8_t> bridged;
  Decks decks;
  std::map<std::int64_t, std::uint32_t> levels;
  bool has_deck = false;
  for (const std::uint32_t r : live_rows(ledger, issue, today)) {
    const LedgerRow row = ledger.row(r);
    const std::size_t i = marks.size();
    if (i == 0 && !row.floor.is_none()) floor_ = Elevation::at(row.floor.length());
    knows_heights_ = knows_heights_ && row.knows_heights();
    marks.names.push_back(row.point);
    marks.places.push_back(row.drawing.point());
    marks.begins.push_back(0);
    if (!row.attach.is_none() && !row.floor.is_none())
      marks.heights.put(i, row.attach.length() - row.floor.length());
    if (!row.kind.empty() && row.kind != kHangerKind) marks.kinds.put(i, row.kind);
    if (!row.run.empty()) marks.runs.put(i, row.run);
    placed_.marks.push_back(row.site.point());
    numbers_.issue.numbers.push_back(row.number);
    bridged.push_back(row.deck.is_none() ? 1 : 0);
    const std::int64_t height = row.deck.is_none() ? 0 : row.deck.micrometres();
    const auto [level, fresh] = levels.emplace(height, static_cast<std::uint32_t>(decks.fitted.decks.size()));
    if (fresh) {
      decks.fitted.decks.push_back(Deck::level(Elevation::at(Kept::micrometres(height).length())));
      decks.fitted.fits.emplace_back();
    }
    decks.of_mark.push_back(level->second);
    if (row.deck.is_none()) continue;
    has_deck = true;
    numbers_.deck_offset = row.deck_offset;
  }
  hung_.marks = drawn_marks(std::move(marks), nullptr);
  hung_.marks.bridged = std::move(bridged);
  if (has_deck) decks_ = std::move(decks);
}

LaidOut IssueMarks::laid() const {
  return {hung_.marks, hung_.overhead, placed_, numbers_,
          Heights(hung_.marks, placed_, decks_ ? &*decks_ : nullptr, floor_, std::nullopt)};
}

std::string list_name(const ListOptions& options, const ListFile& list) {
  using Level = ListFile::Level;
  const bool grid = options.frame == ListFrame::grid, split = options.split == ListSplit::run;
  const OutputSpec* spec = nullptr;
  if (list.level == Level::together)
    spec = grid ? &kListGridOutput : &kListOutput;
  else if (list.level == Level::floor)
    spec = split ? (grid ? &kFloorListsGridOutput : &kFloorListsOutput)
                 : (grid ? &kFloorListGridOutput : &kFloorListOutput);
  else
    spec = split ? (grid ? &kDeckListsGridOutput : &kDeckListsOutput)
                 : (grid ? &kDeckListGridOutput : &kDeckListOutput);
  std::string name(spec->name);
  constexpr std::string_view kVaries = "NAME";
  if (const std::size_t at = name.find(kVaries); at != std::string::npos)
    name.replace(at, kVaries.size(), list.part);
  return name;
}

namespace {

constexpr OutColumn kIssueTable[] = {{"issue", OutKind::number, "1, 2, ..."},
                                     {"revision", OutKind::text, "of the job"},
                                     {"job", OutKind::text, "the job file, from the ledger's folder"},
                                     {"storey", OutKind::text, "of the job"},
                                     {"live", OutKind::number, "numbers that were live then"},
                                     {"rows", OutKind::number, "numbers that it changed"},
                                     {"folder", OutKind::text, "where its lists were first written"},
                                     {"before", OutKind::text, "digest of the issue before"},
                                     {"digest", OutKind::text, "of the issue"},
                                     {"given", OutKind::text, "who has it, and since when"}};

}  // namespace

const std::span<const OutColumn> kIssueColumns = kIssueTable;

std::string given_words(std::span<const GivenRow> given, std::uint32_t issue) {
  std::string out;
  for (const GivenRow& g : given)
    if (g.issue == issue) out += fmt::format("{}{} {}", out.empty() ? "" : "; ", g.to, g.on);
  return out;
}

std::unique_ptr<WrittenTable> issues_table(const std::vector<IssuedRow>& issues,
                                           const std::vector<GivenRow>& given) {
  const auto row = [&](auto& sink, std::size_t i) {
    const IssuedRow& r = issues[i];
    sink.integer(r.issue);
    for (const std::string* text : {&r.revision, &r.job, &r.storey}) sink.text(*text);
    sink.integer(r.live);
    sink.integer(r.rows);
    for (const std::string* text : {&r.folder, &r.before, &r.digest}) sink.text(*text);
    sink.text(given_words(given, r.issue));
  };
  return declared_table(kIssueTable, LengthUnit::metre, issues.size(), row);
}

}  // namespace deckmark
