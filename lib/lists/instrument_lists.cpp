#include "lists/instrument_lists.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <unordered_map>

#include "exporter/list_layout.h"
#include "lists/list_row.h"
#include "measure/letters.h"
#include "report/words.h"
#include "stages/stake.h"

namespace deckmark {

namespace {

using Level = ListFile::Level;

constexpr CrewWork work_of(Level level) { return level == Level::deck ? CrewWork::deck : CrewWork::floor; }

/// Marks that a level lists, in the list's order, before it is split; none of the deck in a job without.
BigVector<std::uint32_t> listed_marks(const ListOptions& options, const LaidOut& laid, Level level,
                                      const CrewShare& share) {
  const JobMarks& marks = laid.marks;
  BigVector<std::uint32_t> rows;
  if (!share.does(work_of(level)) || (level == Level::deck && !laid.heights.has_deck())) return rows;
  if (share.is_whole()) rows.reserve(marks.size());
  for (std::uint32_t m = 0; m < marks.size(); ++m)
    if (share.has(m) && is_listed(*marks, options.only, m) &&
        !(level == Level::deck && !laid.heights.is_lifted(m)))
      rows.push_back(m);
  const auto number = [&](std::uint32_t m) { return laid.numbers.of(m); };
  if (options.order == ListOrder::number) {
    const auto less = [&](std::uint32_t a, std::uint32_t b) { return number(a) < number(b); };
    if (!std::is_sorted(rows.begin(), rows.end(), less)) std::sort(rows.begin(), rows.end(), less);
    return rows;
  }
  // Runs in the order of their first point in the drawing; numbers of words are not in that order after a
  // merge.
  std::vector<std::uint32_t> rank(marks->runs.words().size(), kNone32);
  std::uint32_t next = 0;
  for (std::uint32_t m = 0; m < marks.size(); ++m)
    if (std::uint32_t& r = rank[marks->runs.number(m)]; r == kNone32) r = next++;
  std::sort(rows.begin(), rows.end(), [&](std::uint32_t a, std::uint32_t b) {
    const std::uint32_t ra = rank[marks->runs.number(a)], rb = rank[marks->runs.number(b)];
    return ra != rb ? ra < rb : number(a) < number(b);
  });
  return rows;
}

/// Gives rows and cells of one list.
class ListRows {
 public:
  ListRows(const ListsInput& input, ListFile list)
      : control_(input.control),
        laid_(input.laid),
        list_(std::move(list)),
        cells_(input.options, input.ground) {
    if (list_.level == Level::together) deck_ = listed_marks(input.options, laid_, Level::deck, list_.share);
  }

  std::size_t rows() const {
    return list_.level == Level::together ? control_.size() + list_.rows.size() + deck_.size()
                                          : list_.rows.size();
  }

  ListRow row(std::size_t i) const {
    if (list_.level != Level::together) return mark(list_.rows[i], list_.level == Level::deck);
    if (i < control_.size()) return control(control_[i]);
    i -= control_.size();
    if (i < list_.rows.size()) return mark(list_.rows[i], false);
    return mark(deck_[i - list_.rows.size()], true);
  }

  Description description(const ListRow& r) const { return cells_.description(r); }

  template <class Sink>
  void describe(Sink& sink, std::size_t i) const {
    cells_.put(sink, row(i));
  }

 private:
  ListRow mark(std::uint32_t m, bool deck) const {
    const MarkTable& marks = *laid_.marks;
    const MarkHeights h = deck || cells_.describes_drop() ? laid_.heights.at(m) : MarkHeights{};
    return {"", laid_.numbers.at(m, deck), marks.names[m], marks.kind(m), marks.runs[m], marks.places[m],
            laid_.placed.marks[m], deck ? h.deck : laid_.heights.floor(),
            // A hanger on a trapeze has no straight drop.
            laid_.marks.has_deck_point(m) ? h.drop : std::nullopt};
  }

  ListRow control(const ControlPoint& c) const {
    return {c.name,    0,           c.name,
            "control", "",          laid_.placed.fit.site_from_drawing.inverse()(c.at),
            c.at,      c.elevation, std::nullopt};
  }

  const std::vector<ControlPoint>& control_;
  const LaidOut& laid_;
  ListFile list_;
  BigVector<std::uint32_t> deck_;
  ListCells cells_;
};

/// True where some text can come out of a description otherwise than it went in, or words with blanks run
/// together.
bool is_any_text_odd(const MarkTable& marks, char separator) {
  const auto odd = [separator](std::string_view text) {
    return std::ranges::any_of(
        text, [separator](char c) { return static_cast<unsigned char>(c) >= 0x80 || c == separator; });
  };
  for (const WordColumn* column : {&marks.kinds, &marks.runs})
    for (std::uint32_t w = 0; w < column->words().size(); ++w)
      if (odd(column->words()[w]) || column->words()[w].find(' ') != std::string_view::npos) return true;
  for (std::size_t m = 0; m < marks.size(); ++m)
    if (odd(marks.names[m])) return true;
  return false;
}

/// Two descriptions can be equal only where the name is left out, changed or cut.
bool may_collide(const MarkTable& marks, const ListOptions& options) {
  if (std::ranges::count(options.description, DescriptionPart::point) == 0)
    return false;  // meant to be alike
  std::size_t longest = 0;
  for (std::size_t m = 0; m < marks.size(); ++m) longest = std::max(longest, marks.names[m].size());
  return longest > options.description_length || options.description.front() != DescriptionPart::point;
}

/// Decimals with which a list rounds more than a layout bears.
void look_at_decimals(const ListOptions& options, const Where& key, Messages& messages) {
  constexpr Length kCoarse =
      Length::millimetres(2);  // half a step; finer does not show on a floor (common practice, no source)
  const auto half_step = [&](int decimals) {
    return from_unit(0.5 * std::pow(10.0, -decimals), *options.unit);
  };
  if (half_step(options.decimals) <= kCoarse) return;
  int enough = options.decimals;
  while (half_step(enough) > kCoarse) ++enough;
  messages.doubt(
      "coarse lists", key, "list.decimals",
      fmt::format("{} decimals of {} move marks by up to {} in the lists, over 2 mm (common practice, no "
                  "source): {} or more are fine",
                  options.decimals, unit_word(*options.unit),
                  length_words(half_step(options.decimals), *options.unit), enough));
}

/// One file a run, in the order of the runs' first marks.
void split_by_run(const MarkTable& marks, Level level, const BigVector<std::uint32_t>& rows,
                  std::vector<ListFile>& files) {
  std::map<std::uint32_t, std::size_t> file_of_run;
  for (const std::uint32_t m : rows) {
    const std::uint32_t run = marks.runs.number(m);
    const auto [at, fresh] = file_of_run.emplace(run, files.size());
    if (fresh) files.push_back({run == 0 ? "none" : safe_file_part(marks.runs[m]), {}, level});
    files[at->second].rows.push_back(m);
  }
}

/// Crews that do work for which the lists have none of their marks.
void look_at_empty_lists(const ListsInput& input, Messages& messages) {
  for (const CrewShare& share : crew_shares(input.crews)) {
    if (share.is_whole() || share.is_empty()) continue;  // an empty one is told as such
    for (const Level level : {Level::floor, Level::deck}) {
      const bool is_wanted =
          share.does(work_of(level)) && (level == Level::floor || input.laid.heights.has_deck());
      if (is_wanted && listed_marks(input.options, input.laid, level, share).empty())
        messages.doubt("lists of a crew that would be empty", share.crew().where, "crew",
                       fmt::format("crew {} has no point for a {} list{}: none is written for it",
                                   in_quotes(share.name()), crew_work_word(work_of(level)),
                                   input.options.only.empty() ? "" : " among the runs of [list] only"));
    }
  }
}

}  // namespace

constinit const OutputSpec kListOutput{"list.csv", "with together",
                                       "control, then the floor list, then the deck list"};
constinit const OutputSpec kListsOutput{"list-NAME.csv", "with together and crews",
                                        "control, then the floor and the deck list of one crew"};
constinit const OutputSpec kListGridOutput{"list-grid.csv", "with together, in grid coordinates",
                                           "list.csv in the map projection"};
constinit const OutputSpec kListsGridOutput{"list-grid-NAME.csv",
                                            "with together and crews, in grid coordinates",
                                            "list-NAME.csv in the map projection"};
constinit const OutputSpec kFloorListOutput{"floor-list.csv", "without together and split",
                                            "the numbered floor list"};
constinit const OutputSpec kFloorListsOutput{"floor-list-NAME.csv", "with split or crews",
                                             "the floor list of one run or crew"};
constinit const OutputSpec kFloorListGridOutput{"floor-list-grid.csv", "in grid coordinates",
                                                "the floor list in the map projection"};
constinit const OutputSpec kFloorListsGridOutput{"floor-list-grid-NAME.csv",
                                                 "with split or crews, in grid coordinates",
                                                 "the floor list of one run or crew in the map projection"};
constinit const OutputSpec kDeckListOutput{"deck-list.csv", "with a deck, without together and split",
                                           "the numbered deck list"};
constinit const OutputSpec kDeckListsOutput{"deck-list-NAME.csv", "with a deck, and split or crews",
                                            "the deck list of one run or crew"};
constinit const OutputSpec kDeckListGridOutput{"deck-list-grid.csv", "with a deck, in grid coordinates",
                                               "the deck list in the map projection"};
constinit const OutputSpec kDeckListsGridOutput{"deck-list-grid-NAME.csv",
                                                "with a deck, and split or crews, in grid coordinates",
                                                "the deck list of one run or crew in the map projection"};

std::vector<ListFile> list_files(const ListsInput& input) {
  const ListOptions& options = input.options;
  const LaidOut& laid = input.laid;
  std::vector<ListFile> files;
  for (const CrewShare& share : crew_shares(input.crews)) {
    const std::string crew(share.name());
    const auto rows = [&](Level level) { return listed_marks(options, laid, level, share); };
    if (options.together) {
      ListFile one{crew, rows(Level::floor), Level::together, share};
      if (share.is_whole() || !one.rows.empty() || !rows(Level::deck).empty())
        files.push_back(std::move(one));
      continue;
    }
    for (const Level level : {Level::floor, Level::deck}) {
      if (level == Level::deck && !laid.heights.has_deck()) continue;
      if (share.is_whole() && options.split == ListSplit::run)
        split_by_run(*laid.marks, level, rows(level), files);
      else if (ListFile one{crew, rows(level), level, share}; share.is_whole() || !one.rows.empty())
        files.push_back(std::move(one));
    }
  }
  return files;
}

std::unique_ptr<WrittenTable> list_table(const ListsInput& input, ListFile list) {
  ListRows rows(input, std::move(list));
  const std::size_t n = rows.rows();
  return written_table(list_style(input.options), list_header(input.options, *input.options.unit), n,
                       [rows = std::move(rows)](auto& sink, std::size_t i) { rows.describe(sink, i); });
}

Messages look_at_lists(const ListsInput& input) {
  Messages messages;
  const ListOptions& options = input.options;
  const JobMarks& marks = input.laid.marks;
  look_at_decimals(options, input.decimals, messages);
  look_at_empty_lists(input, messages);
  const bool described = std::ranges::count(options.columns, ListColumn::description) > 0;
  ListFile all{"", {}, Level::floor};
  all.rows.resize(marks.size());
  std::iota(all.rows.begin(), all.rows.end(), 0U);
  const ListRows rows(input, std::move(all));
  const bool all_described =
      described && (may_collide(*marks, options) || is_any_text_odd(*marks, options.separator));
  std::unordered_map<std::string, std::uint32_t> seen;
  for (std::uint32_t m = 0; m < marks.size(); ++m) {
    const std::string_view name = marks->names[m];
    if (is_formula_like(name))
      messages.doubt(
          "names like formulas", marks.where(m), marks.field(m),
          fmt::format(
              "{} begins like a formula: a spreadsheet that opens an instrument list would compute it",
              in_quotes(name)));
    if (!all_described) continue;
    const Description d = rows.description(rows.row(m));
    if (d.separator_replaced)
      messages.notice("a separator in a description", marks.where(m), marks.field(m),
                      fmt::format("{} in the lists: the list's separator became a blank", in_quotes(d.text)));
    const auto [at, fresh] = seen.emplace(d.text, m);
    if (!fresh)
      messages.doubt("descriptions that are equal", marks.where(m), marks.field(m),
                     fmt::format("{} and {} have one description in the lists: {}",
                                 in_quotes(marks->names[at->second]), in_quotes(name), in_quotes(d.text)));
  }
  return messages;
}

}  // namespace deckmark
