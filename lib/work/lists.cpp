#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <unordered_map>

#include "exporter/list_layout.h"
#include "measure/letters.h"
#include "report/words.h"
#include "work/output_tables.h"

namespace deckmark {

namespace {

using Level = ListFile::Level;

/// Marks that a level lists, in the list's order, before it is split.
BigVector<std::uint32_t> listed_marks(const Job& job, const Found& found, Level level) {
  const ListOptions& o = job.list;
  BigVector<std::uint32_t> rows;
  rows.reserve(job.marks.size());
  for (std::uint32_t m = 0; m < job.marks.size(); ++m)
    if (is_listed(job, m) && !(level == Level::deck && !has_deck_point(job, found, m))) rows.push_back(m);
  const auto number = [&](std::uint32_t m) { return found.issue.numbers[m]; };
  if (o.order == ListOrder::number) {
    const auto less = [&](std::uint32_t a, std::uint32_t b) { return number(a) < number(b); };
    if (!std::is_sorted(rows.begin(), rows.end(), less)) std::sort(rows.begin(), rows.end(), less);
    return rows;
  }
  // Runs in the order of their first point in the drawing; numbers of words are not in that order after a
  // merge.
  std::vector<std::uint32_t> rank(job.marks.runs.words().size(), kNone32);
  std::uint32_t next = 0;
  for (std::uint32_t m = 0; m < job.marks.size(); ++m)
    if (std::uint32_t& r = rank[job.marks.runs.number(m)]; r == kNone32) r = next++;
  std::sort(rows.begin(), rows.end(), [&](std::uint32_t a, std::uint32_t b) {
    const std::uint32_t ra = rank[job.marks.runs.number(a)], rb = rank[job.marks.runs.number(b)];
    return ra != rb ? ra < rb : number(a) < number(b);
  });
  return rows;
}

/// One row of a list: what its columns hold.
struct ListRow {
  std::string_view name;  // for the number column, where there is no number
  std::int64_t number = 0;
  std::string_view point, kind, run;
  std::optional<Point<Drawing>> drawing;
  Point<Site> site;
  std::optional<Elevation> elevation;
  std::optional<Length> drop;
};

/// Gives rows and cells of one list.
class ListRows {
 public:
  ListRows(const Job& job, const Found& found, ListFile list)
      : job_(job),
        found_(found),
        list_(std::move(list)),
        unit_(1.0 / metres_in(*job.list.unit)),
        describes_drop_(std::ranges::count(job.list.description, DescriptionPart::drop) > 0),
        grid_(job.list.frame == ListFrame::grid ? &*job.ground.ground : nullptr) {
    if (list_.level == Level::together) deck_ = listed_marks(job, found, Level::deck);
    if (list_.level == Level::together && !found.deck) deck_.clear();
  }

  std::size_t rows() const {
    return list_.level == Level::together ? job_.control.size() + list_.rows.size() + deck_.size()
                                          : list_.rows.size();
  }

  ListRow row(std::size_t i) const {
    if (list_.level != Level::together) return mark(list_.rows[i], list_.level == Level::deck);
    if (i < job_.control.size()) return control(job_.control[i]);
    i -= job_.control.size();
    if (i < list_.rows.size()) return mark(list_.rows[i], false);
    return mark(deck_[i - list_.rows.size()], true);
  }

  Description description(const ListRow& r) const {
    char drop[kFixedMax];
    return list_description({r.point, r.kind, r.run, drop_text(r, drop)}, job_.list);
  }

  template <class Sink>
  void describe(Sink& sink, std::size_t i) const {
    const ListRow r = row(i);
    for (const ListColumn c : job_.list.columns) cell(sink, r, c);
  }

 private:
  template <class Sink>
  void put(Sink& sink, Length value) const {
    sink.fixed(value.metres() * unit_, job_.list.decimals);
  }

  /// The drop as the list writes it; only where a description holds it.
  std::string_view drop_text(const ListRow& r, char* room) const {
    if (!r.drop || !describes_drop_) return {};
    char* const end = write_fixed(room, r.drop->metres() * unit_, job_.list.decimals);
    if (job_.list.decimal_mark != '.') std::replace(room, end, '.', job_.list.decimal_mark);
    return {room, static_cast<std::size_t>(end - room)};
  }

  template <class Sink>
  void put_description(Sink& sink, const ListRow& r) const {
    char drop[kFixedMax], room[256];
    const DescriptionTexts texts{r.point, r.kind, r.run, drop_text(r, drop)};
    if (const auto plain = plain_description(texts, job_.list, room))
      sink.text(*plain);
    else
      sink.text(list_description(texts, job_.list).text);
  }

  template <class Sink>
  void cell(Sink& sink, const ListRow& r, ListColumn c) const {
    switch (c) {
      case ListColumn::number:
        if (r.number)
          sink.integer(r.number);
        else
          sink.text(r.name);
        return;
      case ListColumn::point:
        return sink.text(r.point);
      case ListColumn::kind:
        return sink.text(r.kind);
      case ListColumn::run:
        return sink.text(r.run);
      case ListColumn::x:
        return r.drawing ? put(sink, r.drawing->at.x) : sink.empty();
      case ListColumn::y:
        return r.drawing ? put(sink, r.drawing->at.y) : sink.empty();
      case ListColumn::northing:
        return put(sink, grid_ ? grid_->to_grid(r.site).at.northing : r.site.at.northing);
      case ListColumn::easting:
        return put(sink, grid_ ? grid_->to_grid(r.site).at.easting : r.site.at.easting);
      case ListColumn::elevation:
        return r.elevation ? put(sink, r.elevation->above_datum()) : sink.empty();
      case ListColumn::description:
        return put_description(sink, r);
    }
  }

  ListRow mark(std::uint32_t m, bool deck) const {
    const MarkHeights h = deck || describes_drop_ ? heights_at(job_, found_, m) : MarkHeights{};
    // A hanger on a trapeze has no straight drop.
    const std::optional<Length> drop = has_deck_point(job_, found_, m) ? h.drop : std::nullopt;
    ListRow r{"",
              found_.issue.numbers[m],
              job_.marks.names[m],
              job_.marks.kind(m),
              job_.marks.runs[m],
              job_.marks.places[m],
              found_.placed.marks[m],
              floor_of(job_),
              drop};
    if (deck) {
      r.number += job_.numbers.deck_offset;
      r.elevation = h.deck;
    }
    return r;
  }

  ListRow control(const ControlPoint& c) const {
    return {c.name,    0,           c.name,
            "control", "",          found_.placed.fit->site_from_drawing.inverse()(c.at),
            c.at,      c.elevation, std::nullopt};
  }

  const Job& job_;
  const Found& found_;
  ListFile list_;
  BigVector<std::uint32_t> deck_;
  double unit_;
  bool describes_drop_;
  const GroundFromGrid* grid_;  // for lists in grid coordinates
};

/// True where some text can come out of a description otherwise than it went in, or words with blanks run
/// together.
bool is_any_text_odd(const Job& job) {
  const char separator = job.list.separator;
  const auto odd = [separator](std::string_view text) {
    return std::ranges::any_of(
        text, [separator](char c) { return static_cast<unsigned char>(c) >= 0x80 || c == separator; });
  };
  for (const WordColumn* column : {&job.marks.kinds, &job.marks.runs})
    for (std::uint32_t w = 0; w < column->words().size(); ++w)
      if (odd(column->words()[w]) || column->words()[w].find(' ') != std::string_view::npos) return true;
  for (std::size_t m = 0; m < job.marks.size(); ++m)
    if (odd(job.marks.names[m])) return true;
  return false;
}

/// Two descriptions can be equal only where the name is left out, changed or cut.
bool may_collide(const Job& job) {
  const ListOptions& o = job.list;
  if (std::ranges::count(o.description, DescriptionPart::point) == 0) return false;  // meant to be alike
  std::size_t longest = 0;
  for (std::size_t m = 0; m < job.marks.size(); ++m) longest = std::max(longest, job.marks.names[m].size());
  return longest > o.description_length || o.description.front() != DescriptionPart::point;
}

std::string run_words(const Job& job, std::uint32_t run) {
  return run == 0 ? "points without a run" : "run " + in_quotes(job.marks.runs.words()[run]);
}

/// Decimals with which a list rounds more than a layout bears.
void look_at_decimals(const Job& job, Messages& messages) {
  constexpr Length kCoarse =
      Length::millimetres(2);  // half a step; finer does not show on a floor (common practice, no source)
  const Length half = from_unit(0.5 * std::pow(10.0, -job.list.decimals), *job.list.unit);
  if (half <= kCoarse) return;
  int enough = job.list.decimals;
  while (from_unit(0.5 * std::pow(10.0, -enough), *job.list.unit) > kCoarse) ++enough;
  messages.doubt(
      "coarse lists", job.keys.find("list.decimals")->second, "list.decimals",
      fmt::format("{} decimals of {} move marks by up to {} in the lists, over 2 mm (common practice, no "
                  "source): {} or more are fine",
                  job.list.decimals, unit_word(*job.list.unit), length_words(half, *job.list.unit), enough));
}

}  // namespace

bool is_listed(const Job& job, std::size_t mark) {
  const std::vector<std::string>& only = job.list.only;
  return only.empty() || std::ranges::any_of(only, [run = job.marks.runs[mark]](const std::string& name) {
           return same_name(name, run);
         });
}

std::vector<ListFile> list_files(const Job& job, const Found& found, Messages& messages) {
  std::vector<ListFile> files;
  if (job.list.together) {
    files.push_back({"", listed_marks(job, found, Level::floor), Level::together});
    return files;
  }
  for (const Level level : {Level::floor, Level::deck}) {
    if (level == Level::deck && !found.deck) continue;
    BigVector<std::uint32_t> rows = listed_marks(job, found, level);
    if (job.list.split == ListSplit::none) {
      files.push_back({"", std::move(rows), level});
      continue;
    }
    std::map<std::string, std::uint32_t> run_of_file;
    std::map<std::uint32_t, std::size_t> file_of_run;
    for (const std::uint32_t m : rows) {
      const std::uint32_t run = job.marks.runs.number(m);
      const auto [at, fresh] = file_of_run.emplace(run, files.size());
      if (fresh) {
        const std::string part = run == 0 ? "none" : safe_file_part(job.marks.runs[m]);
        const auto [clash, free_name] =
            run_of_file.emplace(small_letters(part), run);  // a card may not tell A from a
        if (!free_name && level == Level::floor)
          messages.problem(job.keys.find("list.split")->second, "list.split",
                           Fault{fmt::format("{} and {} with one file name", run_words(job, clash->second),
                                             run_words(job, run)),
                                 "runs whose names differ in letters (A and a are one), digits, - or _", ""});
        files.push_back({part, {}, level});
      }
      files[at->second].rows.push_back(m);
    }
  }
  return files;
}

std::unique_ptr<WrittenTable> list_table(const Job& job, const Found& found, ListFile list) {
  ListRows rows(job, found, std::move(list));
  const std::size_t n = rows.rows();
  return written_table(list_style(job.list), list_header(job.list, *job.list.unit), n,
                       [rows = std::move(rows)](auto& sink, std::size_t i) { rows.describe(sink, i); });
}

void look_at_lists(const Job& job, const Found& found, Messages& messages) {
  look_at_decimals(job, messages);
  const bool described = std::ranges::count(job.list.columns, ListColumn::description) > 0;
  const auto where = [&](std::size_t m) { return mark_where(job, found.overhead, m, 0); };
  const auto field = [&](std::size_t m) { return mark_field(job, found.overhead, m, 0); };
  ListFile all{"", {}, Level::floor};
  all.rows.resize(job.marks.size());
  std::iota(all.rows.begin(), all.rows.end(), 0U);
  const ListRows rows(job, found, std::move(all));
  const bool all_described = described && (may_collide(job) || is_any_text_odd(job));
  std::unordered_map<std::string, std::uint32_t> seen;
  for (std::uint32_t m = 0; m < job.marks.size(); ++m) {
    const std::string_view name = job.marks.names[m];
    if (is_formula_like(name))
      messages.doubt(
          "names like formulas", where(m), field(m),
          fmt::format(
              "{} begins like a formula: a spreadsheet that opens an instrument list would compute it",
              in_quotes(name)));
    if (!all_described) continue;
    const Description d = rows.description(rows.row(m));
    if (d.separator_replaced)
      messages.notice("a separator in a description", where(m), field(m),
                      fmt::format("{} in the lists: the list's separator became a blank", in_quotes(d.text)));
    const auto [at, fresh] = seen.emplace(d.text, m);
    if (!fresh)
      messages.doubt("descriptions that are equal", where(m), field(m),
                     fmt::format("{} and {} have one description in the lists: {}",
                                 in_quotes(job.marks.names[at->second]), in_quotes(name), in_quotes(d.text)));
  }
}

}  // namespace deckmark
