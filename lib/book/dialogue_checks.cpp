#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "book/dialogue.h"
#include "table/reader.h"

namespace deckmark {

namespace {

std::string seconds(Angle a) { return fmt::format("{:.1f}\"", std::fabs(a.arc_seconds())); }

/// What is stated must hold: never more than was computed.
Missed rounded_up(const Missed& m) {
  return {Angle::arc_seconds(std::ceil(m.turn.arc_seconds() * 10) / 10),
          Length::millimetres(std::ceil(m.move.millimetres() * 10) / 10)};
}

std::string whither(const Vec<Site>& v) {
  constexpr std::string_view kWays[] = {"north", "north-east", "east", "south-east",
                                        "south", "south-west", "west", "north-west"};
  const auto octant = static_cast<std::size_t>(std::lround(azimuth_of(v).degrees() / 45)) % 8;
  return std::string(kWays[octant]);
}

/// A circle's zero as a set-up's row has it.
std::string zero_text(const SetupResult& result) {
  return fmt::format("{:.6f}", result.orientation->degrees());
}

Angle zero_of(const Entry& set_up) {
  double degrees = 0;
  const std::string text(set_up.reading);
  degrees = std::strtod(text.c_str(), nullptr);
  return Angle::degrees(degrees);
}

}  // namespace

const BookSetup* Dialogue::setup_of(std::string_view name) const {
  for (const BookSetup& s : facts_.setups)
    if (same_name(s.name, name)) return &s;
  return nullptr;
}

const StandingOf* Dialogue::standing() const {
  return setup_ ? state_->standing_of(own_, setup_->name) : nullptr;
}

bool Dialogue::is_changed(const StandingOf& standing, const BookSetup& setup) const {
  const Entry& row = state_->entry(standing.row);
  return !(row.site == KeptSite::of(setup.result.at)) || row.reading != zero_text(setup.result);
}

std::optional<Refusal> Dialogue::not_a_setup(std::string_view name) const {
  if (facts_.typing.tape) return Refusal{NoWord::setup, "the book was begun with --tape"};
  const BookSetup* const setup = setup_of(name);
  if (!setup)
    return Refusal{NoWord::setup,
                   fmt::format("{}: no setup of the job that its readings place and turn", in_quotes(name))};
  return out_as_it_was(*setup);
}

void Dialogue::set_up(const std::string& name) {
  if (const auto no = not_a_setup(name)) return say_no(*no);
  setup_ = setup_of(name);
  waiting_.reset();
  is_asked_ = false;
  check_target_.clear();
  told_due_ = Due::none;
  write_set_up(EntrySource::live);
}

void Dialogue::write_set_up(EntrySource source) {
  Entry row = row_of(Act::set_up);
  row.source = source;
  row.setup = setup_->name;
  row.site = KeptSite::of(setup_->result.at);
  row.elevation = Kept::of(setup_->result.axis());
  const std::string zero = zero_text(setup_->result);
  row.reading = zero;
  append(row);
}

Due Dialogue::due() const {
  const StandingOf* const s = standing();
  if (!s) return Due::none;
  if (s->checks.empty()) return Due::first;
  if (s->is_out) return Due::out;
  if (s->knocked || is_asked_) return Due::asked;
  if (s->marks_since_check >= facts_.options.check_every) return Due::count;
  const std::int64_t minutes = (now_at() - state_->rows()[*s->last_check].at) / 60'000;
  return minutes >= facts_.options.check_minutes ? Due::time : Due::none;
}

std::optional<std::size_t> Dialogue::target_of(std::string_view name) const {
  for (std::size_t i = 0; i < facts_.targets.size(); ++i)
    if (same_name(facts_.targets[i].name, name)) return i;
  return std::nullopt;
}

/// The one that is out; else the farthest that was read within; else the farthest that the setup was made
/// with.
std::string Dialogue::default_target() const {
  const StandingOf* const s = standing();
  if (!s) return {};
  std::string best;
  Length farthest = Length::metres(0);
  const auto look = [&](std::size_t target) {
    const Length away = distance(facts_.targets[target].mark.at, setup_->result.at);
    if (away > farthest) farthest = away, best = facts_.targets[target].name;
  };
  if (s->is_out)
    for (auto c = s->checks.rbegin(); c != s->checks.rend(); ++c)
      if (state_->entry(*c).verdict == Verdict::outside) return std::string(state_->entry(*c).target);
  for (const std::uint32_t c : s->checks)
    if (const auto target = target_of(state_->entry(c).target);
        target && state_->entry(c).verdict == Verdict::within)
      look(*target);
  if (best.empty())
    for (const std::size_t target : setup_->sighted) look(target);
  return best;
}

void Dialogue::ask_check(const Typed& typed) {
  if (!setup_) return say_no({NoWord::check, "no instrument stands"});
  if (!typed.text.empty()) {
    const auto target = target_of(typed.text);
    if (!target)
      return say_no({NoWord::target, in_quotes(typed.text) + ": no control and no tie of the job"});
    check_target_ = facts_.targets[*target].name;
  }
  // What is due already is due for its own reason.
  if (due() == Due::none) is_asked_ = true;
}

namespace {

/// It says how high its target stood, or how high it is itself; else that is what the job states.
bool states_height_of(const TypedReading& typed) {
  return typed.kind == TypedReading::Kind::polar ? typed.target_height.has_value()
                                                 : typed.elevation.has_value();
}

}  // namespace

bool Dialogue::states_height(const Entry& check) const {
  if (check.source != EntrySource::live) return !check.elevation.is_none();
  const auto reading = typed_reading(check.reading, facts_.typing);
  const auto* const typed = std::get_if<TypedReading>(&reading);
  return typed && states_height_of(*typed);
}

/// Against the first reading within of the target in this standing, before a row; else its coordinates.
/// Heights count where both readings state the target's, or neither does: a pole is no instrument that rose.
CheckResult Dialogue::judged(std::size_t target, ReadPlace read, bool states, std::uint32_t before) const {
  const StandingOf& s = *standing();
  const Entry& set_up = state_->entry(s.row);
  for (const std::uint32_t c : s.checks) {
    const Entry& e = state_->entry(c);
    if (c >= before || e.verdict != Verdict::within || !same_name(e.target, facts_.targets[target].name))
      continue;
    const Vec<Site> way = e.site.point() - set_up.site.point();
    const Angle zero = zero_of(set_up);
    FirstReading first;
    first.horizontal = norm(way);
    first.circle = circle_for(azimuth_of(way), zero);
    if (!e.elevation.is_none() && states_height(e) == states)
      first.elevation = Elevation::at(e.elevation.length());
    return check_against(first, read, zero, facts_.instrument);
  }
  if (!states) read.elevation.reset();
  return check_against(facts_.targets[target].mark, read, setup_->result, facts_.instrument);
}

/// The target, another one than is checked, at whose place a reading lies: then nobody's instrument moved.
std::optional<std::string> Dialogue::other_target_at(const Point<Site>& place, std::size_t meant) const {
  if (meant < facts_.targets.size() && distance(place, facts_.targets[meant].mark.at) <= kFarthestKept)
    return std::nullopt;
  for (const BookTarget& t : facts_.targets)
    if (distance(place, t.mark.at) <= kFarthestKept) return t.name;
  return std::nullopt;
}

std::vector<KnownNumber> Dialogue::doubtful_now() const {
  const StandingOf* const s = standing();
  std::vector<KnownNumber> out;
  if (!s) return out;
  const auto index = static_cast<std::uint32_t>(s - state_->standings().data());
  std::vector<std::pair<std::uint32_t, EntryLevel>> seen;
  for (std::uint32_t r = s->row; r < state_->rows().size(); ++r) {
    const Entry& e = state_->entry(r);
    if (e.act == Act::marked && state_->rows()[r].book == own_) seen.emplace_back(e.number, e.level);
  }
  std::sort(seen.begin(), seen.end());
  seen.erase(std::unique(seen.begin(), seen.end()), seen.end());
  for (const auto& [number, level] : seen) {
    const NumberState* const n = state_->find(number);
    if (!n) continue;
    bool is_doubtful = false;
    for (const std::vector<BookThing>* things :
         level == EntryLevel::deck ? std::vector{&n->deck, &n->holes} : std::vector{&n->floor})
      for (const BookThing& t : *things)
        is_doubtful = is_doubtful || (t.record.standing == index && state_->is_doubtful(t));
    if (!is_doubtful) continue;
    if (const auto known = known_.find(number, level)) out.push_back(*known);
  }
  return out;
}

/// A reading that cannot be of the target: of a mark's place, or far from it.
std::optional<Refusal> Dialogue::not_at_target(const Point<Site>& at, std::size_t target) const {
  constexpr Length kFarFromTarget = Length::metres(1);  // no kick goes so far (common practice, no source)
  const std::string& name = facts_.targets[target].name;
  const Length off = distance(at, facts_.targets[target].mark.at);
  if (off <= kFarthestKept) return std::nullopt;
  for (std::size_t i = 0; i < order_->stops().size(); ++i) {
    const WalkStop& stop = order_->stops()[i];
    if (distance(at, order_->place(i)) <= kFarthestKept)
      return Refusal{NoWord::target, fmt::format("that is {}'s place: read {} first",
                                                 known_.typed(stop.floor, stop.level), name)};
  }
  if (off <= kFarFromTarget) return std::nullopt;
  return Refusal{NoWord::target, fmt::format("{:.2f} m from {}: another target, or the instrument stands "
                                             "elsewhere: read its control anew",
                                             off.metres(), name)};
}

void Dialogue::read_check(const Typed& typed) {
  const std::string name = check_target_.empty() ? default_target() : check_target_;
  const auto target = target_of(name);
  if (!target) return say_no({NoWord::target, "which? check CP1 first"});
  const ReadPlace read = place_of(*typed.reading, setup_->result, facts_.instrument, facts_.target_height);
  if (!(read.horizontal > Length::metres(0)))
    return say_no({NoWord::reading, "at the instrument's own place"});
  if (const auto other = other_target_at(read.at, *target))
    return say_no({NoWord::target, fmt::format("that is {}: read {}, or check {} and read again", *other,
                                               facts_.targets[*target].name, *other)});
  if (const auto no = not_at_target(read.at, *target)) return say_no(*no);
  const std::vector<KnownNumber> before = doubtful_now();
  const CheckResult result =
      write_check(*target, read, states_height_of(*typed.reading), typed.line, EntrySource::live);
  is_asked_ = false;
  check_target_.clear();
  told_due_ = Due::none;
  const std::vector<KnownNumber> after = doubtful_now();
  if (standing()->is_out) {
    waiting_.reset();
    say_stop(setup_->name);
    say_doubtful(without(after, before));
  }
  if (const std::vector<KnownNumber> again = without(before, after); !again.empty())
    say_tell(known_.words(again) + " stand again");
  tell_check(*target, result);
}

CheckResult Dialogue::write_check(std::size_t target, const ReadPlace& read, bool states_height,
                                  const std::string& line, EntrySource source) {
  const auto row_now = static_cast<std::uint32_t>(state_->rows().size());
  const CheckResult result = judged(target, read, states_height, row_now);
  Entry row = row_of(Act::check, read, line);
  row.source = source;
  row.target = facts_.targets[target].name;
  row.verdict = result.verdict;
  append(row);
  Said out;
  out.kind = SaidKind::check;
  out.text = facts_.targets[target].name;
  out.verdict = result.verdict;
  out.line = fmt::format("check {} {}", out.text, verdict_word(result.verdict));
  out.missed = rounded_up(result.missed);
  out.off = hypot(result.along, result.across);
  say(std::move(out));
  return result;
}

std::vector<KnownNumber> Dialogue::without(const std::vector<KnownNumber>& all,
                                           const std::vector<KnownNumber>& these) {
  std::vector<KnownNumber> out;
  for (const KnownNumber& n : all)
    if (std::find(these.begin(), these.end(), n) == these.end()) out.push_back(n);
  return out;
}

void Dialogue::say_stop(const std::string& setup) {
  Said out;
  out.kind = SaidKind::stop;
  out.text = setup;
  out.line = "stop " + setup;
  say(std::move(out));
}

void Dialogue::say_doubtful(const std::vector<KnownNumber>& numbers) {
  if (numbers.empty()) return;
  Said out;
  out.kind = SaidKind::doubtful;
  out.text = known_.words(numbers);
  out.line = "doubtful " + out.text;
  say(std::move(out));
}

/// The last standing of a setup, where a row at that time still is of it; null: none.
const StandingOf* Dialogue::resumable(const BookSetup& setup, std::int64_t at) const {
  const StandingOf* const last = state_->standing_of(own_, setup.name);
  if (!last || is_changed(*last, setup)) return nullptr;
  const auto most = std::int64_t{60'000} * facts_.options.check_minutes;
  return at - *last_at() <= most ? last : nullptr;
}

/// A setup that is out stands anew only where its solution has changed.
std::optional<Refusal> Dialogue::out_as_it_was(const BookSetup& setup) const {
  const StandingOf* const last = state_->standing_of(own_, setup.name);
  if (!last || !last->is_out || is_changed(*last, setup)) return std::nullopt;
  return Refusal{NoWord::setup,
                 fmt::format("{} is out: key its control anew, then run deckmark setup", setup.name)};
}

/// What such a check could miss where its target was set up again, or is so near that a turn which moves the
/// farthest mark out of tolerance could pass; after one outside what the checks say has happened.
void Dialogue::tell_check(std::size_t target, const CheckResult& result) {
  Length farthest = Length::metres(0);
  for (std::size_t i = 0; i < order_->stops().size(); ++i)
    farthest = std::max(farthest, distance(order_->place(i), setup_->result.at));
  const Missed missed = rounded_up(result.missed);
  const bool is_near = missed.turn.radians() * farthest > facts_.floor_tolerance;
  if (result.verdict == Verdict::within && (!result.by_first || is_near))
    say_tell(fmt::format("{} would show a turn of {} or a move of {} 95 times in 100; less may pass{}",
                         facts_.targets[target].name, seconds(missed.turn), kLengthHere,
                         is_near ? ": take a target farther away" : ""),
             {missed.move}, true);
  tell_causes();
}

/// Of the checks since the last mark, the last one of each target.
void Dialogue::tell_causes() {
  const StandingOf& s = *standing();
  std::vector<std::size_t> targets;
  std::vector<CheckResult> results;
  std::uint32_t last_mark = s.row;
  for (std::uint32_t r = s.row; r < state_->rows().size(); ++r)
    if (state_->rows()[r].book == own_ && state_->entry(r).act == Act::marked) last_mark = r;
  for (auto c = s.checks.rbegin(); c != s.checks.rend() && *c > last_mark; ++c) {
    const auto target = target_of(state_->entry(*c).target);
    if (!target || std::find(targets.begin(), targets.end(), *target) != targets.end()) continue;
    const Entry& e = state_->entry(*c);
    TypedReading read;
    read.kind = TypedReading::Kind::coordinates;
    read.northing = e.site.northing.length();
    read.easting = e.site.easting.length();
    if (!e.elevation.is_none()) read.elevation = Elevation::at(e.elevation.length());
    targets.push_back(*target);
    results.push_back(judged(*target, place_of(read, setup_->result, facts_.instrument, Length::metres(0)),
                             states_height(e), *c));
  }
  if (results.empty()) return;
  const std::vector<CheckCause> causes = causes_of(results);
  const bool is_off = std::any_of(results.begin(), results.end(),
                                  [](const CheckResult& r) { return r.verdict == Verdict::outside; });
  if (causes.empty()) {
    if (is_off)
      say_tell(
          "the checks fit neither a turn, nor a move, nor one target alone: level the tripod and read again");
    return;
  }
  std::string text;
  std::vector<Length> lengths;
  for (const CheckCause& c : causes) {
    if (!text.empty()) text += ", or ";
    if (c.kind != CheckCause::Kind::turned) lengths.push_back(c.shift ? norm(*c.shift) : abs(c.up));
    switch (c.kind) {
      case CheckCause::Kind::turned:
        text += fmt::format("the instrument turned by {}", seconds(c.turn));
        break;
      case CheckCause::Kind::moved:
        text += fmt::format("the instrument moved {} {}", kLengthHere, whither(*c.shift));
        break;
      case CheckCause::Kind::sank:
        text += fmt::format("the instrument {} {}", c.up < Length::metres(0) ? "sank" : "rose", kLengthHere);
        break;
      case CheckCause::Kind::target:
        text += fmt::format("{} alone is off by {}", facts_.targets[targets[c.check]].name, kLengthHere);
        break;
    }
  }
  const bool is_instrument = std::all_of(causes.begin(), causes.end(), [](const CheckCause& c) {
    return c.kind == CheckCause::Kind::turned || c.kind == CheckCause::Kind::moved;
  });
  if (is_off && results.size() < 2)
    text += ": type check and the name of another target, then read that";
  else if (is_off && is_instrument && s.is_out)
    text += ": key its control anew, run deckmark setup, end, and begin again";
  else if (is_off && is_instrument)
    text += ": two targets are within, so marks are taken; safer is to set up anew";
  say_tell(std::move(text), std::move(lengths));
}

}  // namespace deckmark
