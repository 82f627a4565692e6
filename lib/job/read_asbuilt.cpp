#include <fmt/format.h>

#include <array>

#include "job/columns.h"
#include "job/job_reading.h"
#include "job/keys/asbuilt_keys.h"
#include "job/plausible.h"
#include "job/tables.h"
#include "table/names.h"

namespace deckmark {

void AsbuiltShots::reserve(std::size_t n) {
  points.reserve(n);
  rows.reserve(n);
  begins.reserve(n);
}

void AsbuiltShots::append(AsbuiltShots&& other) {
  const std::size_t at = size();
  setups.append(at, std::move(other.setups));
  marked_from.append(at, std::move(other.marked_from));
  reflectors.append(at, std::move(other.reflectors));
  crews.append(at, std::move(other.crews));
  times.append(at, std::move(other.times));
  points.append(std::move(other.points));
  rows.insert(rows.end(), other.rows.begin(), other.rows.end());
  begins.insert(begins.end(), other.begins.begin(), other.begins.end());
}

namespace {

/// Reads digits, so many of them at most; nothing where there are none.
std::optional<std::int64_t> take_digits(std::string_view& text, std::size_t least, std::size_t most) {
  std::size_t n = 0;
  std::int64_t value = 0;
  while (n < text.size() && n < most && text[n] >= '0' && text[n] <= '9')
    value = value * 10 + (text[n++] - '0');
  if (n < least) return std::nullopt;
  text.remove_prefix(n);
  return value;
}
bool take_mark(std::string_view& text, std::string_view marks) {
  if (text.empty() || marks.find(text.front()) == std::string_view::npos) return false;
  text.remove_prefix(1);
  return true;
}

/// `2026-03-05 14:05:30`, with a T for the blank, or the time of day alone; seconds may be missing, parts of
/// a second are not looked at. The result orders times; it is no count of seconds since anything.
std::optional<std::int64_t> read_moment(std::string_view text) {
  std::int64_t days = 0;
  std::string_view date = text;
  if (const auto year = take_digits(date, 4, 4); year && take_mark(date, "-")) {
    const auto month = take_digits(date, 1, 2);
    if (!month || *month < 1 || *month > 12 || !take_mark(date, "-")) return std::nullopt;
    const auto day = take_digits(date, 1, 2);
    if (!day || *day < 1 || *day > 31 || !take_mark(date, " T")) return std::nullopt;
    days = (*year * 12 + *month - 1) * 31 + *day - 1;
    text = date;
  }
  const auto hour = take_digits(text, 1, 2);
  if (!hour || *hour > 23 || !take_mark(text, ":")) return std::nullopt;
  const auto minute = take_digits(text, 2, 2);
  if (!minute || *minute > 59) return std::nullopt;
  std::int64_t seconds = 0;
  if (take_mark(text, ":")) {
    const auto second = take_digits(text, 2, 2);
    if (!second || *second > 60) return std::nullopt;
    seconds = *second;
    if (take_mark(text, ".")) (void)take_digits(text, 1, 9);
  }
  (void)take_mark(text, "Z");
  if (!text.empty()) return std::nullopt;
  return ((days * 24 + *hour) * 60 + *minute) * 60 + seconds;
}

namespace c = deckmark::asbuilt_shots;

bool read_time(const WordsColumn& time, const Row& row, std::optional<std::int64_t>& out, Messages& told) {
  const std::string_view text = time.text(row);
  if (text.empty()) return true;
  out = read_moment(text);
  if (!out)
    time.problem(row, Fault{in_quotes(text), "a time of day, or date and time, such as 2026-03-05 14:05", ""},
                 told);
  return out.has_value();
}

/// A list made elsewhere may hold differences beside its coordinates: these count, and it is said.
PlaceCells place_cells(const OpenTable<c::Terms>& table, bool may_be_sighted, Messages& messages) {
  std::vector<PlaceWay> ways = {{PlaceColumns::site, table.at<c::northing>(), table.at<c::easting>()},
                                {PlaceColumns::drawing, table.at<c::x>(), table.at<c::y>()}};
  const auto dx = table.at<c::dx>(), dy = table.at<c::dy>(), dz = table.at<c::dz>();
  const bool has_place = table.at<c::northing>().stands() || table.at<c::easting>().stands() ||
                         table.at<c::x>().stands() || table.at<c::y>().stands();
  if (!has_place) ways.push_back({PlaceColumns::offset, dx, dy});
  for (const LengthCells* off : {&dx, &dy, &dz})
    if (off->stands() && (has_place || (off == &dz && table.at<c::elevation>().stands())))
      messages.notice("an unused column", off->header(), "header",
                      fmt::format("column {} is not used beside {}", off->name(),
                                  off == &dz && !has_place ? "an elevation" : "coordinates"));
  return PlaceCells(std::move(ways), may_be_sighted, messages);
}

}  // namespace

void TableLoader::asbuilt(const TableKey& key) {
  const auto table = open<c::Terms, c::Places>(key);
  if (!table) return;
  const PlaceCells place = place_cells(table, may_be_sighted(), messages_);
  if (!place.is_usable()) return;
  const SiteColumns site(table.at<c::northing>(), table.at<c::easting>(), job_.site_unit, messages_,
                         grid_of(key));
  const DrawingColumns drawing(table.at<c::x>(), table.at<c::y>(), job_.drawing_unit, kDrawingUnit,
                               messages_);
  const DrawingColumns offset(table.at<c::dx>(), table.at<c::dy>(), job_.site_unit, kSiteUnit,
                              messages_);  // lengths on site
  const auto elevation = table.at<c::elevation>(), dz = table.at<c::dz>();
  const LengthColumn read_elevation = lengths_of(elevation, job_.site_unit, kSiteUnit, messages_),
                     read_dz = lengths_of(dz, job_.site_unit, kSiteUnit, messages_);
  using Place = decltype(StatedAsbuilt::at);
  const auto place_of = [&](const Row& row, Messages& told) -> std::optional<Place> {
    if (place.way() == PlaceColumns::site) return site.require(row, told);
    if (place.way() == PlaceColumns::drawing) return drawing.require(row, told);
    const auto by = offset.require(row, told);
    const auto up = read_dz.read(row, told);
    if (!by || (dz.has(row) && !up)) return std::nullopt;
    return OffDesign{{{.x = by->at.x, .y = by->at.y}}, up};
  };
  const auto sd = table.at<c::sd>();
  const LengthColumn read_sd = lengths_of(sd, job_.site_unit, kSiteUnit, messages_, is_possible_sd);
  job_.asbuilt.shots =
      read_records<AsbuiltShots>(*table, messages_, [&](AsbuiltShots& out, const Row& row, Messages& told) {
        if (out.size() == 0) out.points = TextColumn(table->source());
        const auto name = read_name(table.at<c::point>(), row, told);
        std::optional<Place> at;
        if (!place.is_left(row))
          at = place_of(row, told);
        else if (place.may_be_left(row, name.value_or(""), told))
          at = AsSighted{};
        const auto high = read_elevation.read(row, told);
        const auto spread = believed_sd(sd, row, not_negative(sd, row, read_sd.read(row, told), told), told);
        std::optional<AsbuiltLevel> of_level;
        std::optional<std::int64_t> moment;
        bool good = read_word(table.at<c::level>(), row, kAsbuiltLevelWords, of_level, told);
        good = read_time(table.at<c::time>(), row, moment, told) && good;
        const std::array<std::pair<WordsColumn, WordColumn*>, 5> words = {
            {{table.at<c::setup>(), &out.setups},
             {table.at<c::marked_from>(), &out.marked_from},
             {table.at<c::reflector>(), &out.reflectors},
             {table.at<c::crew>(), &out.crews},
             {table.at<c::time>(), &out.times}}};
        const std::size_t i = out.size();
        std::array<std::string_view, 5> texts;
        for (std::size_t k = 0; k < words.size(); ++k) {
          const auto text = read_name_or_empty(words[k].first, row, told);
          good = good && text.has_value();
          texts[k] = text.value_or("");
        }
        if (!good || !name || !at) return;
        const auto by = read_name_or_empty(table.at<c::by>(), row, told),
                   marked_by = read_name_or_empty(table.at<c::marked_by>(), row, told);
        if (!by || !marked_by) return;
        for (std::size_t k = 0; k < words.size(); ++k)
          if (!texts[k].empty()) words[k].second->put(i, texts[k]);
        out.points.push_back(*name);
        out.rows.push_back({*at, elevation_of(high), of_level, spread, moment});
        out.rows.back().is_by_maker = !by->empty() && same_name(*by, *marked_by);
        out.begins.push_back(row.begin());
      });
  job_.asbuilt.table = table.shared();
}

void read_asbuilt(const JobReading& in) {
  in.section<kAsbuilt>(Part::asbuilt).read(in.job);
  if (in.job.named.asbuilt && !is_from_book(*in.job.named.asbuilt))
    in.tables(Part::asbuilt).asbuilt(*in.job.named.asbuilt);
}

bool is_from_book(const TableKey& key) { return key.path == kBookWord; }

void read_from_book(Job& job, PartMessages& told, const BookTables& tables) {
  if (job.named.asbuilt && is_from_book(*job.named.asbuilt) && !tables.shots.empty()) {
    TableLoader loader(job, told.of(Part::asbuilt));
    loader.give(Source::from_bytes(tables.name, tables.shots));
    loader.asbuilt(*job.named.asbuilt);
  }
  if (job.named.deck_marks && is_from_book(*job.named.deck_marks) && !tables.deck_marks.empty()) {
    TableLoader loader(job, told.of(Part::plumb));
    loader.give(Source::from_bytes(tables.name, tables.deck_marks));
    loader.deck_marks(*job.named.deck_marks);
  }
}

}  // namespace deckmark
