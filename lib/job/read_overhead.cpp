#include "job/read_overhead.h"

#include <fmt/format.h>

#include "job/columns.h"
#include "job/keys/deck_keys.h"
#include "job/keys/hangers_keys.h"
#include "job/plain_date.h"
#include "measure/decimal.h"
#include "measure/verdict.h"

namespace deckmark {

namespace {

constexpr Length kLongest = Length::metres(1000);  // of a stock piece; a hanger is no longer

/// `x` or `y` with a pitch and a first line; nothing where the row states no flutes, or badly (told).
std::optional<StatedFlutes> read_flutes(const WordsColumn& way, const Row& row, std::optional<Length> pitch,
                                        std::optional<Length> first, Messages& told) {
  const std::string_view word = way.text(row);
  const auto refuse = [&](std::string found, std::string expected,
                          std::string_view suggestion) -> std::optional<StatedFlutes> {
    way.problem(row, Fault{std::move(found), std::move(expected), std::string(suggestion)}, told);
    return std::nullopt;
  };
  if (word.empty()) {
    if (pitch || first)
      return refuse("flute_pitch or flute_first without flutes",
                    "x or y, the axis along which the flutes run", "");
    return std::nullopt;
  }
  if (word != "x" && word != "y")
    return refuse(in_quotes(word), "x or y, the axis along which the flutes run", "");
  if (!pitch || !first) return refuse("flutes without flute_pitch and flute_first", "both", "");
  return StatedFlutes{word == "x", *pitch, *first};
}

void read_bay_table(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  namespace c = deckmark::bays;
  const auto table = tables.open<c::Terms>(key);
  if (!table) return;
  const DrawingColumns place(table.at<c::x>(), table.at<c::y>(), job.drawing_unit, kDrawingUnit, messages);
  const LengthColumn read_elevation =
      lengths_of(table.at<c::elevation>(), job.site_unit, kSiteUnit, messages);
  const auto pitch = table.at<c::flute_pitch>();
  const LengthColumn read_pitch = lengths_of(pitch, job.drawing_unit, kDrawingUnit, messages, is_above_zero),
                     read_first =
                         lengths_of(table.at<c::flute_first>(), job.drawing_unit, kDrawingUnit, messages);
  auto rows =
      read_records<Rows<StatedCorner>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
        const auto name = read_name(table.at<c::bay>(), row, told);
        const auto at = place.require(row, told);
        const auto high = read_elevation.read(row, told);
        const auto apart = above_zero(pitch, row, read_pitch.read(row, told), told);
        const auto fluted = read_flutes(table.at<c::flutes>(), row, apart, read_first.read(row, told), told);
        if (name && at)
          out.add({std::string(*name), *at, elevation_of(high), fluted, std::nullopt}, *name, row.begin());
        else
          out.refuse(name, row.begin());
      });
  job.overhead.refused_bays = refused_of(rows);
  job.overhead.bays_table = {table.shared(), std::move(rows.begins)};
  job.overhead.bays = std::move(rows.records);
}

/// Corners of outlines, by the columns of an obstruction or of a no-drill zone.
template <class Terms, const auto& Name, const auto& X, const auto& Y, const auto& Clearance>
Rows<StatedCorner> read_corners(const OpenTable<Terms>& table, const Job& job, Messages& messages) {
  const DrawingColumns place(table.template at<X>(), table.template at<Y>(), job.drawing_unit, kDrawingUnit,
                             messages);
  const auto clearance = table.template at<Clearance>();
  const LengthColumn read_clearance =
      lengths_of(clearance, job.drawing_unit, kDrawingUnit, messages, is_not_negative);
  return read_records<Rows<StatedCorner>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
    const auto of = read_name(table.template at<Name>(), row, told);
    const auto at = place.require(row, told);
    const auto clear = not_negative(clearance, row, read_clearance.read(row, told), told);
    std::string reference;
    if constexpr (Terms::template holds<no_drill::reference>())
      reference = read_text(table.template at<no_drill::reference>(), row, told).value_or("");
    if (of && at)
      out.add({std::string(*of), *at, std::nullopt, std::nullopt, clear, std::move(reference)}, *of,
              row.begin());
    else
      out.refuse(of, row.begin());
  });
}

void read_outline_table(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  namespace c = deckmark::obstructions;
  const auto table = tables.open<c::Terms>(key);
  if (!table) return;
  auto rows = read_corners<c::Terms, c::name, c::x, c::y, c::clearance>(table, job, messages);
  job.overhead.refused_outlines = refused_of(rows);
  job.overhead.outlines_table = {table.shared(), std::move(rows.begins)};
  job.overhead.outlines = std::move(rows.records);
}

void read_zone_table(const TableKey& key, Job& job, TableLoader& tables, Messages& messages) {
  namespace c = deckmark::no_drill;
  const auto table = tables.open<c::Terms>(key);
  if (!table) return;
  auto rows = read_corners<c::Terms, c::zone, c::x, c::y, c::clearance>(table, job, messages);
  job.overhead.refused_zones = refused_of(rows);
  job.overhead.zones_table = {table.shared(), std::move(rows.begins)};
  job.overhead.zones = std::move(rows.records);
}

}  // namespace

void read_bays(const JobReading& in) {
  Job& job = in.job;
  auto deck = in.section<kDeck>(Part::overhead);
  deck.read<kBayKeys>(job);
  if (!job.named.bays) return;
  if (deck.has("elevation"))
    deck.problem("elevation",
                 Fault{"elevation beside bays", "each bay's own elevation, or shots that name their bay",
                       "a column elevation in the bays table"});
  TableLoader tables = in.tables(Part::overhead);
  read_bay_table(*job.named.bays, job, tables, in.told.of(Part::overhead));
}

namespace {

void look_at_cuts(SectionReader<kHangers>& hangers, const CutOptions& cut) {
  constexpr Length kWidest =
      Length::millimetres(10);  // of a saw or a cutting disc (common practice, no source)
  if (cut.kerf > kWidest + kHair)
    hangers.doubt(
        "a kerf that is hard to believe", "kerf",
        "wider than 10 mm (common practice, no source), more than a saw takes: a slip of the unit?");
  const auto within_stock = [&](KeyName<kHangers> key, std::optional<Length> value,
                                std::string_view expected) {
    if (value && cut.stock && *cut.stock <= kLongest && *value > *cut.stock)
      hangers.problem(key, Fault{fmt::format("{} m beside a stock of {} m", fixed(value->metres(), 3),
                                             fixed(cut.stock->metres(), 3)),
                                 std::string(expected), ""});
  };
  within_stock("cut_top", cut.top, "what is added at the top, less than a stock length; look at the unit");
  within_stock("cut_bottom", cut.bottom,
               "what is added at the bottom, less than a stock length; look at the unit");
  within_stock("cut_round", cut.round, "a step to round up to, less than a stock length; look at the unit");
  if (cut.stock && *cut.stock > kLongest)
    hangers.problem("stock", Fault{"a stock length over 1000 m",
                                   "the length of a rod or wire as it is delivered, such as 3.66 m", ""});
}

}  // namespace

void read_hangers(const JobReading& in) {
  Job& job = in.job;
  in.section<kHangers>(Part::brackets).read<kBracketKeys>(job, in.bare());
  auto cuts = in.section<kHangers>(Part::cuts);
  cuts.read<kCutKeys>(job, in.bare());
  look_at_cuts(cuts, job.overhead.cut);
  auto hangers = in.section<kHangers>(Part::overhead);
  hangers.read<kSpacingKeys>(job, in.bare());
  HangerOptions& o = job.overhead.hangers;
  o.max_spacing = job.max_spacing.value;
  if (!job.overhead.runs.empty() && hangers.lacks("max_spacing"))
    hangers.problem(
        "max_spacing",
        Fault{"runs without max_spacing",
              "the widest space between hangers along a run, such as max_spacing = \"1.2 m\"", ""});
  // Under 25 mm one chalk cross covers two hangers (common practice, no source): the unit has slipped. Under
  // a tenth of a millimetre the runs themselves are refused for their hangers.
  const bool is_slip =
      o.max_spacing && *o.max_spacing < Length::millimetres(25) && *o.max_spacing >= Length::millimetres(0.1);
  if (is_slip)
    hangers.problem("max_spacing", Fault{fmt::format("a widest space of {} mm between hangers",
                                                     fixed(o.max_spacing->millimetres(), 1)),
                                         "25 mm or more: look at its unit", ""});
  if (o.end_distance && o.max_spacing && !is_slip && *o.end_distance > *o.max_spacing)
    hangers.doubt("an end distance over max_spacing", "end_distance",
                  "ends further from a hanger than hangers from one another: a slip of the unit?");
  if (o.joint_support && *o.joint_support < o.joint_clear)
    hangers.problem("joint_support", Fault{"joint_support under joint_clear",
                                           "a hanger that may stand near enough to support a joint", ""});
}

void read_obstructions(const JobReading& in) {
  Job& job = in.job;
  in.section<kObstructions>(Part::overhead).read(job, in.bare());
  TableLoader tables = in.tables(Part::overhead);
  Messages& told = in.told.of(Part::overhead);
  if (job.named.outlines) read_outline_table(*job.named.outlines, job, tables, told);
  in.section<kDeck>(Part::overhead).read<kZoneKeys>(job);
  if (job.named.no_drill) read_zone_table(*job.named.no_drill, job, tables, told);
}

namespace {

/// What a cell names of what can be released; nothing, and told, where it is none of it, or two.
class Releasable {
 public:
  Releasable(const Job& job, bool is_known) : job_(job), is_known_(is_known) {}

  std::optional<StatedRelease::Kind> find(const NameColumn& column, std::string_view name, const Row& row,
                                          Messages& told) const {
    using Kind = StatedRelease::Kind;
    const bool run = is_run(name), bay = is_bay(name);
    if (run && bay) {
      column.problem(row, Fault{fmt::format("{}, a run and a bay", in_quotes(name)), "names that differ", ""},
                     told);
      return std::nullopt;
    }
    if (run) return Kind::run;
    if (bay) return Kind::bay;
    if (same_name(name, kAllReleased)) return Kind::all;
    // What is not known since its own table is spoiled is not told here.
    if (is_known_)
      column.problem(row, Fault{in_quotes(name), "a run of the drawing, a bay of the deck, or all", ""},
                     told);
    return std::nullopt;
  }

 private:
  bool is_run(std::string_view name) const {
    const auto& words = job_.marks->runs.words();
    for (std::uint32_t w = 0; w < words.size(); ++w)
      if (!words[w].empty() && same_name(words[w], name)) return true;
    return std::ranges::any_of(job_.overhead.runs,
                               [&](const StatedRun& r) { return same_name(r.name, name); });
  }
  bool is_bay(std::string_view name) const {
    return std::ranges::any_of(job_.overhead.bays,
                               [&](const StatedCorner& c) { return same_name(c.name, name); });
  }
  const Job& job_;
  bool is_known_;
};

}  // namespace

void read_released(const JobReading& in) {
  namespace c = deckmark::released;
  Job& job = in.job;
  in.section<kDeck>(Part::book).read<kReleaseKeys>(job);
  if (!job.named.released) return;
  TableLoader tables = in.tables(Part::book);
  const auto table = tables.open<c::Terms>(*job.named.released);
  if (!table) return;
  const Releasable known(job, !in.told.is_spoiled(Part::drawing) && !in.told.is_spoiled(Part::overhead));
  const auto what = table.at<c::what>();
  const auto on = table.at<c::on>();
  auto rows = read_records<Rows<StatedRelease>>(
      *table, in.told.of(Part::book), [&](auto& out, const Row& row, Messages& told) {
        const auto name = read_name(what, row, told);
        const auto kind = name ? known.find(what, *name, row, told) : std::nullopt;
        const auto by = read_name(table.at<c::by>(), row, told);
        const std::string_view date = on.text(row);
        const bool is_date = is_plain_date(date);
        if (date.empty())
          tell_empty(on, row, std::string(kPlainDate), "", told);
        else if (!is_date)
          on.problem(row, Fault{in_quotes(date), std::string(kPlainDate), ""}, told);
        const auto reference = read_text(table.at<c::reference>(), row, told);
        if (kind && by && is_date && reference)
          out.add({std::string(*name), *kind, std::string(*by), std::string(date), std::string(*reference)},
                  *name, row.begin());
      });
  job.released.table = {table.shared(), std::move(rows.begins)};
  job.released.rows = std::move(rows.records);
}

}  // namespace deckmark
