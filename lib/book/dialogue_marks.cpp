#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "book/dialogue.h"
#include "issues/changes.h"

namespace deckmark {

namespace {

std::uint64_t key_of(std::uint32_t floor, EntryLevel level) {
  return std::uint64_t{floor} * 2 + (level == EntryLevel::deck ? 1 : 0);
}

/// Metres with four decimals, nothing below zero that is zero.
std::string metres4(Length l) {
  const double rounded = std::round(l.metres() * 1e4) / 1e4;
  return fmt::format("{:.4f}", rounded == 0 ? 0.0 : rounded);
}

}  // namespace

Point<Site> Dialogue::place_of_number(const KnownNumber& number) const {
  return known_.row(number).site.point();
}

std::optional<Refusal> Dialogue::refused_for_crew(const KnownNumber& number,
                                                  const KnownNumbers& known) const {
  if (facts_.crew.empty()) return std::nullopt;
  const std::string_view crew = known.row(number).crew;
  if (has_crew(crew, facts_.crew)) return std::nullopt;
  return Refusal{NoWord::number,
                 fmt::format("{} is {}, not {}'s", number.typed,
                             crew.empty() ? "no crew's" : std::string(crew) + "'s", facts_.crew)};
}

/// Told why where a mark of it cannot be made now.
bool Dialogue::may_mark(const KnownNumber& number) {
  const LedgerRow row = known_.row(number);
  std::optional<Refusal> no = refused_for_crew(number, known_);
  if (!no && std::binary_search(newer_.numbers.begin(), newer_.numbers.end(), number.floor))
    no = Refusal{NoWord::issue, fmt::format("{}: issue {} has another row of it; end and begin again",
                                            number.typed, newer_.issue)};
  if (!no && !row.live) no = Refusal{NoWord::dropped, fmt::format("{} was dropped", number.typed)};
  if (!no && number.level == EntryLevel::deck && row.deck.is_none())
    no = Refusal{NoWord::number, fmt::format("{} has no deck point", number.typed)};
  if (no) say_no(*no);
  return !no;
}

void Dialogue::offer(std::uint32_t typed) {
  const auto number = known_.find(typed);
  if (!number)
    return say_no({NoWord::number, fmt::format("{} is no number of issue {}", typed, facts_.issue)});
  if (may_mark(*number)) offer(*number);
}

void Dialogue::offer(const KnownNumber& number) {
  offered_ = number;
  is_offer_chosen_ = true;
  held_.erase(key_of(number.floor, number.level));
  if (const auto stop = order_->find(number.floor, number.level)) cursor_ = *stop;
  say_offer();
  if (!waiting_) return;
  const Waiting was = *std::move(waiting_);
  waiting_.reset();
  take_reading(was.reading, was.line);
}

void Dialogue::say_offer() {
  is_offer_told_ = true;
  Said out;
  out.kind = SaidKind::offer;
  out.typed = offered_->typed;
  out.level = offered_->level;
  out.due = due();
  out.line = fmt::format("offer {} {}", offered_->floor, level_word(offered_->level));
  if (const auto stop = order_->find(offered_->floor, offered_->level))
    out.text = order_->run_name(order_->stops()[*stop].run);
  say(std::move(out));
}

/// Nothing stands there, or what stands is beyond: as what has to be marked today.
bool Dialogue::is_wanted(const WalkStop& stop) const {
  if (held_.contains(key_of(stop.floor, stop.level))) return false;
  if (std::binary_search(newer_.numbers.begin(), newer_.numbers.end(), stop.floor)) return false;
  const BookThing* const thing = newest_thing(*state_, stop.floor, stop.level);
  if (!thing) return true;
  const Record& record = thing->record;
  if (record.site.northing.is_none() || state_->is_doubtful(*thing)) return false;
  const Length u = record.sd.is_none() ? facts_.options.sd : record.sd.length();
  const Length away = distance(record.site.point(), facts_.ledger->row(stop.row).site.point());
  return record.issue != facts_.issue && away > facts_.tolerance(stop.level) + 2 * u + kHair;
}

void Dialogue::seek(bool from_next) {
  const std::size_t count = order_->stops().size();
  offered_.reset();
  is_offer_told_ = is_offer_chosen_ = false;
  if (count == 0) return;
  const std::size_t from = cursor_ >= count ? 0 : cursor_ + (from_next ? 1 : 0);
  // Who works on the deck stays there until nothing is left of it.
  const auto level = cursor_ < count ? std::optional(order_->stops()[cursor_].level) : std::nullopt;
  std::optional<std::size_t> found;
  for (std::size_t i = 0; i < count && !(found && order_->stops()[*found].level == level); ++i) {
    const std::size_t at = (from + i) % count;
    const WalkStop& stop = order_->stops()[at];
    if ((found && stop.level != level) || !is_wanted(stop)) continue;
    found = at;
    if (!level) break;
  }
  if (!found) return;
  cursor_ = *found;
  const WalkStop& stop = order_->stops()[*found];
  offered_ = KnownNumber{stop.floor, stop.level, stop.row, known_.typed(stop.floor, stop.level)};
}

/// While a check is due no mark is taken; told again then.
bool Dialogue::holds_mark_back() {
  if (due() == Due::none) return false;
  told_due_ = Due::none;
  return true;
}

void Dialogue::read(const Typed& typed) {
  if (!setup_ && !facts_.typing.tape)
    return say_no({NoWord::setup, "no instrument stands: setup S1, or . for a mark without a reading"});
  if (holds_mark_back()) return;
  if (!offered_) return say_no({NoWord::number, "which mark? Its number first"});
  if (!may_mark(*offered_)) return;
  take_reading(*typed.reading, typed.line);
}

void Dialogue::take_reading(const TypedReading& reading, const std::string& line) {
  const Length target =
      offered_->level == EntryLevel::deck ? facts_.deck_target_height : facts_.target_height;
  const ReadPlace place = facts_.typing.tape ? place_of(reading, *facts_.tape)
                                             : place_of(reading, setup_->result, facts_.instrument, target);
  waiting_ = Waiting{reading, line, place, distance(place.at, place_of_number(*offered_))};
  say_read();
}

/// The live number, another one than is offered, at whose place it lies.
std::optional<std::uint32_t> Dialogue::nearer_than(const KnownNumber& number,
                                                   const Point<Site>& place) const {
  std::optional<std::uint32_t> out;
  Length nearest = std::min(distance(place, place_of_number(number)), kFarthestKept + kHair);
  for (std::size_t i = 0; i < order_->stops().size(); ++i) {
    const WalkStop& stop = order_->stops()[i];
    if (stop.level != number.level || stop.floor == number.floor) continue;
    const Length away = distance(place, order_->place(i));
    if (away < nearest) nearest = away, out = known_.typed(stop.floor, stop.level);
  }
  return out;
}

void Dialogue::say_read() {
  const Vec<Site> to_go = place_of_number(*offered_) - waiting_->place.at;
  const Vec<Drawing> axes = drawing_from_site_.turn(to_go);
  Said out;
  out.kind = SaidKind::read;
  out.typed = offered_->typed;
  out.level = offered_->level;
  ReadTold told;
  told.distance = waiting_->away;
  told.permitted = facts_.tolerance(offered_->level);
  told.radius = radius95(waiting_->place.covariance);
  told.can_keep = told.distance <= told.permitted + kHair;
  told.is_far = told.distance > kFarthestKept + kHair;
  if (const auto stop = order_->find(offered_->floor, offered_->level))
    told.ways = move_ways(*order_, known_, *stop, to_go, axes);
  out.read = std::move(told);
  out.line = fmt::format("read {} {} {} {} {}", offered_->floor, level_word(offered_->level),
                         metres4(axes.by.x), metres4(axes.by.y), metres4(waiting_->away));
  say(std::move(out));
  if (waiting_->place.is_face_two) say_tell("face 2: the circle was turned by half a circle");
  if (const auto other = nearer_than(*offered_, waiting_->place.at)) {
    Said near;
    near.kind = SaidKind::near;
    near.typed = *other;
    near.line = fmt::format("near {}", *other);
    say(std::move(near));
  } else if (const auto target = other_target_at(waiting_->place.at, facts_.targets.size())) {
    say_tell(fmt::format("that is {}: type check {}, then read it", *target, *target));
  } else if (setup_ && out.read && waiting_->away > kFarthestKept) {
    // The circle of the other face points the other way.
    const Point<Site> other_way = setup_->result.at + (setup_->result.at - waiting_->place.at);
    if (distance(other_way, place_of_number(*offered_)) <= kFarthestKept)
      say_tell("half a circle off: was it read in face 2? Then type zenith and slope too");
  }
}

void Dialogue::keep(const std::string& text, bool is_yes) {
  if (!waiting_) return say_no({NoWord::keep, "no reading waits"});
  if (holds_mark_back() || !may_mark(*offered_)) return;
  const Length permitted = facts_.tolerance(offered_->level);
  if (waiting_->away > kFarthestKept + kHair)
    return say_no(
        {NoWord::far,
         fmt::format("{} from {}: no mark is kept over {} off", kLengthHere, offered_->typed, kLengthHere),
         {waiting_->away, kFarthestKept}});
  if (is_yes && waiting_->away > permitted + kHair)
    return say_no({NoWord::keep,
                   fmt::format("{} off, permitted are {}: move it and read again, or keep: and why",
                               kLengthHere, kLengthHere),
                   {waiting_->away, permitted}});
  const BookThing* const thing = newest_thing(*state_, offered_->floor, offered_->level);
  if (!thing) return write_mark({}, text);
  is_asking_ = true;
  kept_text_ = text;
  Said out;
  out.kind = SaidKind::ask;
  out.typed = offered_->typed;
  out.level = offered_->level;
  out.text = entry_words(entry_of(*state_, thing->made, own_));
  out.line = "ask same " + out.text;
  say(std::move(out));
}

void Dialogue::keep_as(bool same) {
  if (!waiting_ || holds_mark_back() || !may_mark(*offered_)) return;
  const BookThing* const thing = newest_thing(*state_, offered_->floor, offered_->level);
  write_mark(same && thing ? entry_of(*state_, thing->made, own_) : EntryOf{}, kept_text_);
}

void Dialogue::write_mark(const EntryOf& of, const std::string& text) {
  Entry row = row_of(Act::marked, waiting_->place, waiting_->line);
  row.number = offered_->floor;
  row.level = offered_->level;
  row.of = of;
  row.note = text;
  append(row);
  waiting_.reset();
  seek(true);
}

void Dialogue::dot() {
  if (holds_mark_back()) return;
  if (!offered_) return say_no({NoWord::number, "which mark? Its number first"});
  if (waiting_) return say_no({NoWord::keep, "a reading waits: y keeps it, undo drops it"});
  if (write_acts(Act::marked, {*offered_}, "", EntrySource::live, known_)) seek(true);
}

void Dialogue::hold(const Typed& typed) {
  if (!offered_) return say_no({NoWord::number, "which mark? Its number first"});
  Entry row = row_of(Act::note);
  row.number = offered_->floor;
  row.level = offered_->level;
  const std::string text =
      typed.text.empty() ? std::string(kHoldNote) : std::string(kHoldNote) + ": " + typed.text;
  row.note = text;
  append(row);
  held_.insert(key_of(offered_->floor, offered_->level));
  waiting_.reset();
  seek(true);
}

std::optional<std::vector<KnownNumber>> Dialogue::numbers_of(const Typed& typed, const KnownNumbers& known) {
  std::vector<KnownNumber> out;
  if (!typed.list) {
    if (!offered_) {
      say_no({NoWord::number, fmt::format("which? {} 1041-1052", act_word(typed.act))});
      return std::nullopt;
    }
    out.push_back(*offered_);
    return out;
  }
  auto numbers = known.of(*typed.list);
  if (const auto* no = std::get_if<std::vector<Refusal>>(&numbers)) {
    for (const Refusal& r : *no) say_no(r);
    return std::nullopt;
  }
  out = std::get<std::vector<KnownNumber>>(std::move(numbers));
  bool is_refused = false;
  for (const KnownNumber& n : out)
    if (const auto no = refused_for_crew(n, known)) {
      is_refused = true;
      say_no(*no);
    }
  if (is_refused) return std::nullopt;
  return out;
}

void Dialogue::act(const Typed& typed) {
  if (typed.act == Act::marked && holds_mark_back()) return;
  const auto numbers = numbers_of(typed, known_);
  if (!numbers) return;
  if (!write_acts(typed.act, *numbers, typed.text, EntrySource::live, known_)) return;
  if (waiting_ || !offered_) {
    if (!waiting_) seek(false);
    return;
  }
  // What was offered may stand now.
  const auto stop = order_->find(offered_->floor, offered_->level);
  const bool is_done = std::find(numbers->begin(), numbers->end(), *offered_) != numbers->end();
  if (is_done && stop && !is_wanted(order_->stops()[*stop])) seek(true);
}

void Dialogue::say_again(Act act, const std::string& what) {
  Said out;
  out.kind = SaidKind::again;
  out.act = act;
  out.text = what;
  out.line = "again " + what;
  say(std::move(out));
}

bool Dialogue::write_acts(Act act, const std::vector<KnownNumber>& numbers, const std::string& text,
                          EntrySource source, const KnownNumbers& known) {
  std::vector<Entry> rows;
  std::vector<std::uint32_t> done;
  std::set<std::pair<std::uint32_t, EntryLevel>> seen;  // by floor and by deck number one thing
  bool is_refused = false;
  for (const KnownNumber& n : numbers) {
    if (act == Act::marked && source == EntrySource::live && !may_mark(n)) {
      is_refused = true;
      continue;
    }
    const auto needs = needs_of(act, n, known, *state_, own_);
    if (const auto* no = std::get_if<Refusal>(&needs)) {
      is_refused = true;
      say_no(*no);
      continue;
    }
    const ActNeeds& fit = std::get<ActNeeds>(needs);
    if (!seen.emplace(n.floor, fit.level).second) continue;
    if (fit.is_done) {
      done.push_back(n.floor);
      continue;
    }
    Entry row = row_of(act);
    row.number = n.floor;
    row.level = fit.level;
    row.of = fit.of;
    row.issue = known.issue();
    row.source = source;
    row.note = text;
    if (act == Act::marked && setup_) row.setup = setup_->name;
    rows.push_back(row);
  }
  if (is_refused) return false;
  std::vector<KnownNumber> unmarked;  // holes that no cross was made for
  for (const Entry& row : rows) {
    const NumberState* const made = state_->find(row.number);
    if (act == Act::drilled && (!made || made->deck.empty()))
      if (const auto number = known.find(row.number, EntryLevel::deck)) unmarked.push_back(*number);
    append(row);
  }
  if (!unmarked.empty())
    say_tell(
        fmt::format("no cross on the deck for {}: the hole counts where issue {} has it; read it if it "
                    "is elsewhere",
                    known.words(unmarked), known.issue()));
  for (const std::uint32_t n : done) say_again(act, std::to_string(n));
  return true;
}

}  // namespace deckmark
