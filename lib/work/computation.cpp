#include "work/computation.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <utility>

#include "lists/instrument_lists.h"
#include "measure/letters.h"
#include "report/text.h"
#include "report/words.h"
#include "stages/measured_decks.h"
#include "table/reader.h"
#include "work/doing.h"
#include "work/outputs.h"
#include "work/read_books.h"

namespace deckmark {

namespace {

/// Which parts of the job a stage reads beside the file, and of which part its own problems are.
struct StageParts {
  Stage stage;
  Part own;
  std::initializer_list<Part> read = {};
};
constexpr StageParts kStageParts[] = {
    {Stage::site, Part::ties},
    {Stage::hang, Part::overhead, {Part::drawing, Part::overhead}},
    {Stage::place, Part::ties, {Part::ties}},
    {Stage::lengths, Part::lengths, {Part::lengths}},
    {Stage::heights, Part::heights, {Part::heights}},
    {Stage::deck, Part::deck, {Part::deck}},
    {Stage::lift, Part::deck, {Part::deck}},
    {Stage::numbers, Part::numbers, {Part::numbers}},
    {Stage::plumb, Part::plumb, {Part::plumb}},
    {Stage::cuts, Part::cuts, {Part::drawing, Part::overhead, Part::cuts}},
    {Stage::bill, Part::bill, {Part::drawing, Part::overhead, Part::bill}},
    {Stage::brackets, Part::brackets, {Part::brackets}},
    {Stage::issue, Part::numbers},
    {Stage::setups, Part::setups, {Part::control, Part::instrument, Part::setups}},
    {Stage::plans, Part::setups, {Part::control, Part::instrument, Part::setups}},
    {Stage::stakes, Part::stake, {Part::stake}},
    {Stage::asbuilt, Part::asbuilt, {Part::asbuilt}},
    {Stage::ground, Part::control, {Part::control}},
    {Stage::moved_control, Part::control},
    {Stage::drawing, Part::drawing},
    {Stage::offsets, Part::offsets, {Part::control, Part::offsets}},
    {Stage::lists, Part::list, {Part::list}},
    {Stage::crews, Part::crews, {Part::crews}}};
static_assert([] {
  for (std::size_t s = 0; s < std::size(kStageParts); ++s)
    if (kStageParts[s].stage != static_cast<Stage>(s)) return false;
  return std::size(kStageParts) == kStages;
}());

std::initializer_list<Part> parts_of(Stage stage) {
  return kStageParts[static_cast<std::size_t>(stage)].read;
}
Part part_of(Stage stage) { return kStageParts[static_cast<std::size_t>(stage)].own; }

bool shows(const Shown& shown, Stage stage) { return std::ranges::count(shown.stages, stage) > 0; }

/// A part of the job as a foreman calls it.
std::string_view part_words(Part part) {
  switch (part) {
    case Part::file:
      return "the job file";
    case Part::units:
      return "the units";
    case Part::control:
      return "the control";
    case Part::drawing:
      return "the drawing";
    case Part::overhead:
      return "runs and hangers";
    case Part::brackets:
      return "the bracket height";
    case Part::cuts:
      return "the cuts";
    case Part::bill:
      return "the bill";
    case Part::ties:
      return "the baselines";
    case Part::lengths:
      return "lengths and dimensions";
    case Part::deck:
      return "the deck";
    case Part::heights:
      return "the heights";
    case Part::plumb:
      return "the deck marks";
    case Part::instrument:
      return "the instrument";
    case Part::stake:
      return "[stake]";
    case Part::setups:
      return "the setups";
    case Part::numbers:
      return "the numbers";
    case Part::list:
      return "the lists";
    case Part::asbuilt:
      return "the as-built shots";
    case Part::offsets:
      return "the offset sheet";
    case Part::crews:
      return "the crews";
    case Part::book:
      return "[book]";
  }
  return "";
}

}  // namespace

Shown whole_job() {
  Shown out;
  for (std::size_t s = 0; s < kStages; ++s) out.stages.push_back(static_cast<Stage>(s));
  out.parts = {Part::book};
  return out;
}

Computation::Computation(Job read, PartMessages told, Need n, std::string asked)
    : drawn_(std::move(read.marks)),
      told_(std::move(told)),
      records_{{},
               {},
               {},
               {read.asbuilt.options, read.asbuilt.table, std::move(read.asbuilt.shots)},
               {},
               {},
               read.offsets.strings ? floor_marks_in_books(read) : 0},
      job(std::move(read)),
      views(job, records_),
      need(n),
      since(std::move(asked)) {
  if (told_.is_spoiled(Part::file)) {
    // Nothing of it is known: every stage is spoiled without a word.
    site.came = hung.came = placed.came = laid.came = Came::spoiled;
    setup_told_ = std::move(told_.setups());
    return;
  }
  site = look_at_site_place(views.site, need);
  keep(Stage::site, site);
  now_doing("mapping and lifting the marks");
  lay_out();
  now_doing("looking at lengths, deck marks and setups");
  measure();
  now_doing("judging cuts and as-built shots");
  judge();
  now_doing("looking for doubts in the drawing");
  look();
}

bool Computation::is_spoiled(std::initializer_list<Part> parts) const {
  return std::ranges::any_of(parts, [this](Part p) { return told_.is_spoiled(p); });
}

bool Computation::has_place() const { return has_site_place(site_place(views.site.facts)); }

bool Computation::reads_control(Stage stage) const {
  const auto in_grid = [](const auto& key) { return key && key->frame == TableKey::Frame::grid; };
  return (stage == Stage::place && in_grid(job.named.ties)) ||
         (stage == Stage::deck && in_grid(job.named.deck_shots)) ||
         (stage == Stage::plumb && in_grid(job.named.deck_marks)) ||
         (stage == Stage::asbuilt && in_grid(job.named.asbuilt));
}

/// Puts a stage's messages where they are told from.
template <class T>
void Computation::keep(Stage stage, Staged<T>& result) {
  stage_problems_[static_cast<std::size_t>(stage)] |= result.told.has_problems();
  told(stage).merge(std::exchange(result.told, {}));
}

const Sighted* Computation::sighted() const { return sighted_ ? &*sighted_ : nullptr; }

PointsSighted Computation::points_sighted() const {
  return {job.instrument.setups, sighted(), hung.get() ? &hung.value->marks : nullptr, numbers.get(),
          job.site_unit};
}

/// Of rows of that part, which may have been sighted.
template <class T>
void Computation::keep_read(Stage stage, Part part, Staged<T>& result) {
  if (result.value && result.value->by_setups) spoiled_by_setups_[static_cast<std::size_t>(stage)] = true;
  if (is_spoiled({part})) result = std::move(result).looked_over();
  keep(stage, result);
}

void Computation::place_ties() {
  ties = deckmark::place_ties(job.ties, job.ties_table, points_sighted());
  if (ties.value) {
    records_.ties = ties.value->ties;
    if (ties.value->any_read) records_.tie_places = ties.value->covariance;
  }
  keep_read(Stage::place, Part::ties, ties);
}

/// The drawing's place on site. Ties are fitted without it too: then no mark is mapped.
void Computation::place_drawing() {
  const SitePlace by = site_place(views.site.facts);
  place_ties();
  if (is_spoiled({Part::ties}) || lacks_control(Stage::place) || ties.is_spoiled())
    placed = Staged<Placed>::spoiled();
  else if (hung.is_spoiled() && by == SitePlace::by_fit)
    placed = place(views.baselines, by, drawn_marks({}, nullptr));
  else
    placed = after(hung)([&](const Hung& h) { return place(views.baselines, by, h.marks); });
  if (placed.get() && ties.get() && net.value)
    placed.value->in_net = BaselinesInNet(placed.value->gain, ties.value->forms, net.value->net.covariance,
                                          net.value->place_in_net);
  keep(Stage::place, placed);
}

/// The deck over every mark.
void Computation::fit_deck() {
  Staged<ShotsPlaced> shots = deckmark::place_shots(job.shots, job.shots_table, points_sighted(),
                                                    placed.get() ? &placed.value->fit : nullptr);
  if (shots.value) records_.shots = std::move(shots.value->shots);
  keep_read(Stage::deck, Part::deck, shots);
  if (!heights.is_spoiled()) take_measured_decks();
  if (is_spoiled({Part::deck, Part::overhead}) || lacks_control(Stage::deck) || shots.is_spoiled() ||
      (heights.is_spoiled() && job.heights.measures_deck))
    fitted = Staged<DecksFitted>::spoiled(
        look_over_bays(views.deck, hung.value->overhead.bays, !is_spoiled({Part::overhead})));
  else
    fitted = after(hung)([&](const Hung& h) {
      return fit_decks(views.deck, h.overhead.bays, placed.get() ? &placed.value->fit : nullptr);
    });
  keep(Stage::deck, fitted);
  decks = after(hung, placed, fitted)(
      [&](const Hung& h, const Placed& p, const DecksFitted& d) { return lift(views.deck, h, p, d); });
  if (hung.is_spoiled() && !is_spoiled({Part::drawing, Part::overhead}))
    decks = Staged<Decks>::spoiled(look_into_bays(views.deck, *hung.value));
  keep(Stage::lift, decks);
}

/// The marks, their place on site, their heights and their numbers.
void Computation::lay_out() {
  if (job.has_drawing) {
    const bool is_whole = !is_spoiled({Part::drawing, Part::overhead});
    hung = hang({std::move(drawn_), job.mark_index, job.points_table.table, job.overhead, job.drawing_unit,
                 job.max_spacing.at, job.overhead.joint_every_key.at, job.attach_height.value, job.mirrored,
                 is_whole});
    if (!is_whole) hung = std::move(hung).looked_over();
    keep(Stage::hang, hung);
    find_crews();
    look_at_bill();
  }
  if (has_place()) find_numbers();
  measure_heights();
  adjust_setups();
  if (!has_place()) return;
  if (hung.is_there()) {
    near_ = begin_near_pairs(hung.value->marks.table);
    shape_ = begin_shape(hung.value->marks.table, hung.value->marks.drawn,
                         {job.overhead.runs, hung.value->overhead.obstructions}, job.drawing_unit);
  }
  place_drawing();
  if (job.has_deck) fit_deck();
  struct Nothing {};
  const auto all = after(hung, placed, numbers, may(decks))(
      [](const Hung&, const Placed&, const Numbers&, const Decks*) { return Staged<Nothing>::found({}); });
  laid.came = all.came;
  if (all.is_there())
    laid.value.emplace(LaidOut{hung.value->marks, hung.value->overhead, *placed.value, *numbers.value,
                               Heights(hung.value->marks, *placed.value, decks.get(),
                                       views.deck.floor_or_zero(), job.attach_height.value)});
}

void Computation::find_numbers() {
  if (is_spoiled({Part::numbers}))
    numbers = Staged<Numbers>::spoiled(hung.value ? look_over_ledger(views.numbers, hung.value->marks)
                                                  : Messages{});
  else
    numbers = after(hung)([&](const Hung& h) { return number_marks(views.numbers, h.marks); });
  keep(Stage::numbers, numbers);
}

/// Before the deck is looked at, which may be measured.
void Computation::measure_heights() {
  if (is_spoiled({Part::heights}))
    heights = Staged<HeightsFound>::spoiled();
  else if (job.has_drawing && (!hung.get() || (has_place() && !numbers.get())))
    heights = Staged<HeightsFound>::spoiled();  // targets may be marks that are not known
  else
    heights = find_heights(views.heights, {hung.get() ? &hung.value->marks : nullptr, numbers.get()});
  keep(Stage::heights, heights);
}

/// Soffits as shots on the deck, and as the deck of the marks that they were read at.
void Computation::take_measured_decks() {
  if (!heights.get() || !hung.get()) return;
  records_.measured_decks = measured_decks(*heights.get(), hung.value->marks);
  for (StatedShot& shot :
       measured_shots(records_.measured_decks, hung.value->marks, hung.value->overhead.bays))
    records_.shots.push_back(std::move(shot));
}

/// What was sighted: before ties, deck shots and marks are looked at, which may be found in it.
void Computation::adjust_setups() {
  if (!job.instrument.states_setups) return;
  setup_told_ = std::move(told_.setups());
  const NamedMarks marks{hung.get() ? &hung.value->marks : nullptr, numbers.get()};
  if (is_spoiled({Part::setups, Part::instrument, Part::control}))
    net = Staged<NetFound>::spoiled();
  else
    net = find_net(views.setups, marks);
  keep(Stage::setups, net);
  if (!net.value) return;
  keep_setups(net.value->told);
  sighted_.emplace(views.setups, *net.value, marks);
}

/// Which crews have which marks.
void Computation::find_crews() {
  if (!job.states_crews) return;
  crews = after(hung)([&](const Hung& h) { return deckmark::find_crews(views.crews, h.marks); });
  if (is_spoiled({Part::crews})) crews = std::move(crews).looked_over();
  keep(Stage::crews, crews);
}

/// What is short, and which runs can be begun.
void Computation::look_at_bill() {
  bill = after(hung)([&](const Hung& h) { return hold_bill(views.bill, h.marks, h.overhead); });
  if (is_spoiled({Part::bill})) bill = std::move(bill).looked_over();
  keep(Stage::bill, bill);
}

void Computation::place_deck_marks() {
  deck_marks = deckmark::place_deck_marks(job.deck_marks, job.deck_marks_table, points_sighted(), job.plumb,
                                          laid.get());
  if (deck_marks.value) records_.deck_marks = deck_marks.value->marks;
  keep_read(Stage::plumb, Part::plumb, deck_marks);
}

void Computation::place_asbuilt() {
  asbuilt_placed = deckmark::place_asbuilt(records_.asbuilt, points_sighted(), laid.get());
  if (asbuilt_placed.value) put_places(*asbuilt_placed.value, job.instrument.setups, records_.asbuilt.shots);
  keep_read(Stage::asbuilt, Part::asbuilt, asbuilt_placed);
}

/// What was measured: lengths, deck marks, setups, control.
void Computation::measure() {
  if (job.has_drawing) {
    checked = after(hung)([&](const Hung& h) {
      return check_lengths(views.baselines, h.marks, placed.get(), !is_spoiled({Part::ties}));
    });
    if (is_spoiled({Part::lengths, Part::ties})) checked = std::move(checked).looked_over();
    keep(Stage::lengths, checked);
  }
  if (has_place() && job.deck_marks_table.table) {
    place_deck_marks();
    named = after(hung)([&](const Hung& h) {
      return name_deck_marks(views.plumb, h.marks, numbers.value ? &*numbers.value : nullptr,
                             !is_spoiled({Part::plumb}) && !deck_marks.is_spoiled());
    });
    if (is_spoiled({Part::plumb, Part::brackets}) || deck_marks.is_spoiled())
      named = std::move(named).looked_over();
    keep(Stage::plumb, named);
    plumb = after(named, laid)([&](const DeckMarksNamed& marks, const LaidOut& on_site) {
      return check_plumb(views.plumb, marks, on_site);
    });
    keep(Stage::plumb, plumb);
  }
  find_setups();
  if (is_spoiled({Part::control}))
    ground = Staged<GroundFound>::spoiled();
  else
    ground = look_at_ground(views.ground, hung.get() ? &hung.value->marks : nullptr,
                            hung.get() ? placed.get() : nullptr);
  keep(Stage::ground, ground);
}

void Computation::keep_setups(std::vector<SetupMessages>& told) {
  setup_told_.resize(std::max(setup_told_.size(), job.instrument.setups.size()));
  for (std::size_t i = 0; i < told.size(); ++i) {
    setup_told_[i].place.merge(std::move(told[i].place));
    setup_told_[i].readings.merge(std::move(told[i].readings));
    setup_told_[i].plan.merge(std::move(told[i].plan));
  }
}

/// Setups and plans, each spoiled by itself.
void Computation::find_setups() {
  if (!job.instrument.states_setups) return;
  setups = after(net)([&](const NetFound& found) {
    return set_up(
        views.setups, found,
        {laid.get(), hung.get() ? &hung.value->marks : nullptr, !laid.is_spoiled() && !hung.is_spoiled()});
  });
  keep(Stage::setups, setups);
  if (setups.value) keep_setups(setups.value->told);
  setup_told_.resize(std::max(setup_told_.size(), job.instrument.setups.size()));
  for (const SetupMessages& told : setup_told_) {
    setup_spoiled_.push_back(told.spoils_setup());
    plan_spoiled_.push_back(told.spoils_plan());
  }
}

bool Computation::lacks_stations() const {
  return is_spoiled({Part::control}) || setups.is_spoiled() || std::ranges::count(setup_spoiled_, true) > 0;
}

/// Rods to cut and shots against the design.
void Computation::judge() {
  if (job.overhead.cut.wanted() && !is_spoiled({Part::cuts, Part::brackets})) {
    cuts = after(laid, may(plumb))([&](const LaidOut& on_site, const Plumbed* p) {
      const JobMarks& marks = on_site.marks;
      return cut_hangers({hanger_drops(on_site, p), job.overhead.cut, job.site_unit, Where::whole(job.file),
                          job.overhead.stock_key.at, [&marks](std::uint32_t m) {
                            return ToldMark{marks->names[m], marks.where(m), marks.field(m)};
                          }});
    });
    keep(Stage::cuts, cuts);
  }
  brackets = after(heights, laid)([&](const HeightsFound& found, const LaidOut& on_site) {
    return judge_brackets(found, job.asbuilt.options, on_site);
  });
  keep(Stage::heights, brackets);
  hand_out();
  if (!is_spoiled({Part::control}))
    told(Stage::moved_control)
        .merge(look_at_moved_control(views.moved_control, issue.get(), laid.get(), setups.get()));
  if (!job.asbuilt.table && !is_spoiled({Part::asbuilt})) return;
  place_asbuilt();
  asbuilt = after(laid)([&](const LaidOut& on_site) {
    return check_asbuilt(views.asbuilt, on_site, {setups.get(), !lacks_stations()});
  });
  if (is_spoiled({Part::asbuilt}) || lacks_control(Stage::asbuilt) || asbuilt_placed.is_spoiled())
    asbuilt = std::move(asbuilt).looked_over();
  keep(Stage::asbuilt, asbuilt);
}

/// The issue. Cuts that are spoiled are not handed out as none.
void Computation::hand_out() {
  if (job.overhead.cut.wanted() && !cuts.is_there()) {
    issue = Staged<IssueFound>::spoiled();
    return;
  }
  issue = after(laid, may(cuts))([&](const LaidOut& on_site, const CutsFound* c) {
    return find_issue(views.issue, on_site, c, crews.get(), since);
  });
  keep(Stage::issue, issue);
}

/// What a careful person would look at.
void Computation::look() {
  const LaidOut* on_site = laid.get();
  if (!on_site) return;
  ShapeFound found = shape_.get();
  if (found.any_runs) shape = Staged<ShapeFound>::found(std::move(found));
  told(Stage::drawing)
      .merge(look_at_drawing(views.drawing, on_site->marks, &on_site->placed, std::move(near_), shape.get()));
  // A mark that it is measured from may be control; strings hang where lengths have their marks.
  if (is_spoiled({Part::control}) || (job.offsets.strings && checked.is_spoiled()))
    offsets = Staged<OffsetsFound>::spoiled();
  else
    offsets = look_at_offsets(views.offsets, *on_site, checked.get());
  if (is_spoiled({Part::offsets})) offsets = std::move(offsets).looked_over();
  keep(Stage::offsets, offsets);
  if (is_spoiled({Part::list, Part::control})) return;
  Messages& lists_told = told(Stage::lists);
  tell_names_that_meet(*this, lists_told);
  stage_problems_[static_cast<std::size_t>(Stage::lists)] = lists_told.has_problems();
  if (!is_from_strings()) lists_told.merge(look_at_lists(lists()));
}

const LaidOut& Computation::laid_or_none() const {
  struct None {
    Hung hung{drawn_marks({}, nullptr), {}};
    Placed placed{SitePlace::no_drawing, {}, {}, {drawing_is_site(false), {}}, {}, {}, {}};
    Numbers numbers;
    LaidOut laid{hung.marks, hung.overhead, placed, numbers,
                 Heights(hung.marks, placed, nullptr, Elevation::metres(0), std::nullopt)};
  };
  static const None none;
  return laid.get() ? *laid.get() : none.laid;
}

ListsInput Computation::lists() const {
  return {job.list,   job.ground, job.control, *laid.get(), job.list_split_key.at, job.list_decimals_key.at,
          crews.get()};
}

Messages Computation::take_told(const Shown& shown) {
  std::array<bool, kParts> wanted{};
  for (const Part always : {Part::file, Part::units}) wanted[static_cast<std::size_t>(always)] = true;
  for (const Part part : shown.parts) wanted[static_cast<std::size_t>(part)] = true;
  for (const Stage s : shown.stages)
    for (const Part p : parts_of(s)) wanted[static_cast<std::size_t>(p)] = true;
  const bool by_setups = shows_setups(shown) && !shows(shown, Stage::setups);
  if (by_setups)
    for (const Part p : parts_of(Stage::setups)) wanted[static_cast<std::size_t>(p)] = true;
  for (const Stage s : shown.stages)
    if (reads_control(s)) wanted[static_cast<std::size_t>(Part::control)] = true;
  Messages out;
  for (std::size_t p = 0; p < kParts; ++p)
    if (wanted[p]) out.merge(std::move(told_.of(static_cast<Part>(p))));
  for (std::size_t s = 0; s < kStages; ++s)
    if (shows(shown, static_cast<Stage>(s)) || (by_setups && static_cast<Stage>(s) == Stage::setups))
      out.merge(std::move(stage_told_[s]));
  for (const Stage s : shown.beside) {
    if (!has_problems(s) && !is_spoiled(parts_of(s))) {
      for (const Part p : parts_of(s)) out.merge(std::move(told_.of(p)));
      out.merge(std::move(told(s)));
    }
  }
  for (std::size_t i = 0; i < setup_told_.size(); ++i) {
    if (!shows_setup(shown, i)) continue;
    const bool as_setup = shows_setups(shown), as_plan = shows(shown, Stage::plans);
    if (as_setup || as_plan) out.merge(std::move(setup_told_[i].place));
    if (as_setup) out.merge(std::move(setup_told_[i].readings));
    if (as_plan) out.merge(std::move(setup_told_[i].plan));
  }
  return out;
}

/// The setups, or what has no place since one of them has none.
bool Computation::shows_setups(const Shown& shown) const {
  return shows(shown, Stage::setups) || std::ranges::any_of(shown.stages, [this](Stage s) {
           return spoiled_by_setups_[static_cast<std::size_t>(s)];
         });
}

/// A setup without a name may be the one that is meant; what is read may be any one's.
bool Computation::shows_setup(const Shown& shown, std::size_t setup) const {
  if (std::ranges::any_of(shown.stages,
                          [this](Stage s) { return spoiled_by_setups_[static_cast<std::size_t>(s)]; }))
    return true;
  const auto& setups_stated = job.instrument.setups;
  return shown.setup.empty() || setup >= setups_stated.size() || setups_stated[setup].name.empty() ||
         same_name(setups_stated[setup].name, shown.setup);
}

/// Parts, and single setups, that have problems and are not shown.
std::vector<std::string> Computation::spoiled_beside(const Shown& shown) const {
  std::array<bool, kParts> spoiled{};
  for (std::size_t s = 0; s < kStages; ++s) {
    const auto stage = static_cast<Stage>(s);
    if (shows(shown, stage) || (stage == Stage::setups && shows_setups(shown))) continue;
    if (has_problems(stage)) spoiled[static_cast<std::size_t>(part_of(stage))] = true;
    for (const Part p : parts_of(stage))
      if (told_.is_spoiled(p)) spoiled[static_cast<std::size_t>(p)] = true;
  }
  std::vector<std::string> out;
  for (std::size_t p = 0; p < kParts; ++p)
    if (spoiled[p]) out.emplace_back(part_words(static_cast<Part>(p)));
  for (std::size_t i = 0; i < setup_spoiled_.size(); ++i) {
    const std::string name = i < job.instrument.setups.size() ? job.instrument.setups[i].name : "";
    const std::string setup = name.empty() ? "a setup" : "setup " + name;
    if (setup_spoiled_[i] && !(shows_setups(shown) && shows_setup(shown, i)))
      out.push_back(setup);
    else if (plan_spoiled_[i] && !setup_spoiled_[i] && !(shows(shown, Stage::plans) && shows_setup(shown, i)))
      out.push_back("the plan of " + setup);
  }
  return out;
}

std::string Computation::not_judged(const Shown& shown) const {
  const std::vector<std::string> beside = spoiled_beside(shown);
  if (beside.empty()) return "";
  std::string left_out;
  for (const DoneWithout& w : shown.without)
    if (w.is_spoiled(*this)) left_out += fmt::format("; {}", w.left_out);
  const bool one = beside.size() == 1 && !beside.front().ends_with('s');
  return fmt::format("{} {} problems, so the job as a whole is not judged here{}: deckmark check tells them",
                     fmt::join(beside, ", "), one ? "has" : "have", left_out);
}

bool Computation::is_from_strings() const {
  return from_strings_alone(job.offsets, site_place(views.site.facts));
}

Standing Computation::standing() const {
  return deckmark::standing(
      {.baselines = views.baselines,
       .by = site_place(views.site.facts),
       .placed = placed.get(),
       .checked = checked.get(),
       .laid = laid.get(),
       .strings = offsets.get() && offsets.value->strings ? &*offsets.value->strings : nullptr,
       .plumb_options = job.plumb,
       .deck_marks = &job.deck_marks_table,
       .plumb = plumb.get(),
       .heights_stated = views.heights,
       .heights = heights.get(),
       .brackets = brackets.get(),
       .setups_stated = views.setups,
       .setups = setups.get(),
       .asbuilt_stated = views.asbuilt,
       .asbuilt = asbuilt.get()});
}

}  // namespace deckmark
