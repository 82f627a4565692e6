#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <utility>

#include "book/dialogue.h"
#include "table/reader.h"

namespace deckmark {

namespace {

/// A text that is digits alone.
std::optional<std::uint32_t> number_of(std::string_view text) {
  std::uint32_t value = 0;
  const auto [end, bad] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (bad != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

TypedReading reading_of(const FilePoint& point) {
  TypedReading out;
  out.kind = TypedReading::Kind::coordinates;
  out.northing = point.at.at.northing;
  out.easting = point.at.at.easting;
  out.elevation = point.elevation;
  return out;
}

}  // namespace

/// A setup that is out stands anew only where its solution has changed.
std::optional<Refusal> Dialogue::not_resumed(const FilePoint& point, const BookSetup& setup,
                                             bool is_first) const {
  const StandingOf* const last = state_->standing_of(own_, setup.name);
  if (!last || !last->is_out || is_changed(*last, setup)) return std::nullopt;
  const auto minutes = std::int64_t{60'000} * facts_.options.check_minutes;
  if (is_first && last_at() && std::max(point.time.at, *last_at()) - *last_at() <= minutes)
    return std::nullopt;
  return Refusal{NoWord::setup,
                 fmt::format("{} is out: key its control anew, then run deckmark setup", setup.name)};
}

std::optional<FileFault> Dialogue::fault_of(const FilePoint& point, std::size_t index,
                                            std::string& last_setup) const {
  const auto fault = [index](std::string_view column, NoWord word, std::string why) {
    return FileFault{index, column, {word, std::move(why)}};
  };
  if (point.setup.empty())
    return fault("setup", NoWord::setup, "no setup: a column setup, or --setup for the whole file");
  const BookSetup* const setup = setup_of(point.setup);
  if (!setup)
    return fault(
        "setup", NoWord::setup,
        fmt::format("{}: no setup of the job that its readings place and turn", in_quotes(point.setup)));
  if (distance(setup->result.at, point.at) < Length::millimetres(1))
    return fault("northing", NoWord::reading, "it lies at the instrument's own place");
  if (index == 0 || !same_name(point.setup, last_setup))
    if (auto no = not_resumed(point, *setup, index == 0)) return FileFault{index, "setup", *std::move(no)};
  last_setup = point.setup;
  if (target_of(point.point)) return std::nullopt;
  const auto typed = number_of(point.point);
  if (!typed) {
    if (const auto other = other_target_at(point.at, facts_.targets.size()))
      return fault("point", NoWord::target, fmt::format("that is {}'s place: is it {}?", *other, *other));
    if (point.point.find_first_not_of("0123456789., ") == std::string::npos)
      return fault("point", NoWord::number,
                   fmt::format("{} is no number: digits alone", in_quotes(point.point)));
    return std::nullopt;
  }
  const auto number = known_.find(*typed);
  if (!number)
    return fault("point", NoWord::number,
                 fmt::format("{} is no number of issue {}: give it its own name if it is no mark", *typed,
                             facts_.issue));
  if (!known_.row(*number).live)
    return fault("point", NoWord::dropped, fmt::format("{} was dropped", *typed));
  if (auto no = refused_for_crew(*number, known_)) return FileFault{index, "point", std::move(*no)};
  const Length off = distance(point.at, place_of_number(*number));
  if (off <= kFarthestKept + kHair) return std::nullopt;
  const auto other = nearer_than(*number, point.at);
  return fault("northing", NoWord::far,
               fmt::format("{:.2f} m from {}: no mark is kept over {:.2f} m off{}", off.metres(), *typed,
                           kFarthestKept.metres(),
                           other ? fmt::format("; that is {}'s place", *other) : std::string()));
}

/// The standing that a point is of: that of the row before where the setup is the same, the one that the book
/// can resume for the first row, else a new one.
void Dialogue::stand_for(const FilePoint& point, bool is_next) {
  const BookSetup* const setup = setup_of(point.setup);
  if (is_next && setup_ == setup) return;
  const StandingOf* const last = state_->standing_of(own_, setup->name);
  const auto minutes = std::int64_t{60'000} * facts_.options.check_minutes;
  const bool resumes =
      !is_next && last && last_at() && now_at() - *last_at() <= minutes && !is_changed(*last, *setup);
  setup_ = setup;
  if (!resumes) write_set_up(EntrySource::file);
}

/// The same point was taken before: of that name, from that setup, at that place, and when it says.
bool Dialogue::is_in_book(const FilePoint& point) const {
  const KeptSite site = KeptSite::of(point.at);
  const auto target = target_of(point.point);
  const auto typed = target ? std::nullopt : number_of(point.point);
  const auto number = typed ? known_.find(*typed) : std::nullopt;
  for (const BookRow& r : state_->rows()) {
    if (r.book != own_ || r.is_undone) continue;
    const Entry& e = book_->entries()[r.row];
    if (!same_name(e.setup, point.setup) || !(e.site == site)) continue;
    if (point.states_time && e.at != point.time.at) continue;
    if (target   ? e.act == Act::check && same_name(e.target, point.point)
        : number ? e.act == Act::marked && e.number == number->floor && e.level == number->level
                 : e.act == Act::note && e.note == point.point)
      return true;
  }
  return false;
}

void Dialogue::file_check(const FilePoint& point, std::size_t target) {
  const ReadPlace read =
      deckmark::place_of(reading_of(point), setup_->result, facts_.instrument, facts_.target_height);
  const auto row_now = static_cast<std::uint32_t>(state_->rows().size());
  const CheckResult result = judged(target, read, point.elevation.has_value(), row_now);
  Entry row = row_of(Act::check);
  row.source = EntrySource::file;
  row.target = facts_.targets[target].name;
  row.site = KeptSite::of(point.at);
  row.elevation = Kept::of(point.elevation);
  row.sd_along = Kept::of(read.sd_along);
  row.sd_across = Kept::of(read.sd_across);
  row.setup = setup_->name;
  row.verdict = result.verdict;
  row.reading = point.reading;
  append(row);
  Said out;
  out.kind = SaidKind::check;
  out.text = facts_.targets[target].name;
  out.verdict = result.verdict;
  out.line = fmt::format("check {} {}", out.text, verdict_word(result.verdict));
  out.missed = result.missed;
  say(std::move(out));
  if (result.verdict == Verdict::outside) tell_causes();
}

/// A cross that was marked without a reading from this setup and issue is completed; one that lies where this
/// one does is the same, read again; else it is another one.
void Dialogue::file_mark(const FilePoint& point, const KnownNumber& number) {
  const ReadPlace read =
      deckmark::place_of(reading_of(point), setup_->result, facts_.instrument, facts_.target_height);
  const Length permitted = facts_.tolerance(number.level);
  Entry row = row_of(Act::marked);
  row.source = EntrySource::file;
  row.number = number.floor;
  row.level = number.level;
  row.site = KeptSite::of(point.at);
  row.elevation = Kept::of(point.elevation);
  row.sd_along = Kept::of(read.sd_along);
  row.sd_across = Kept::of(read.sd_across);
  row.setup = setup_->name;
  row.reading = point.reading;
  if (const BookThing* thing = newest_thing(*state_, number.floor, number.level)) {
    const Record& record = thing->record;
    const bool is_completed =
        !record.is_read && record.issue == facts_.issue && same_name(record.setup, setup_->name);
    const Length apart = distance(record.site.point(), point.at);
    if (is_completed || apart <= permitted + kHair)
      row.of = entry_of(*state_, thing->made, own_);
    else
      say_tell(fmt::format("{} has two crosses now, {} apart: void one", number.typed, kLengthHere), {apart});
  }
  append(row);
  if (const Length off = distance(point.at, place_of_number(number)); off > permitted + kHair)
    say_tell(fmt::format("{} is {} off, permitted are {}", number.typed, kLengthHere, kLengthHere),
             {off, permitted});
}

void Dialogue::file_note(const FilePoint& point) {
  Entry row = row_of(Act::note);
  row.source = EntrySource::file;
  row.site = KeptSite::of(point.at);
  row.elevation = Kept::of(point.elevation);
  row.setup = setup_->name;
  row.reading = point.reading;
  row.note = point.point;
  append(row);
}

std::vector<KnownNumber> Dialogue::all_doubtful() const {
  std::vector<KnownNumber> out;
  for (const std::uint32_t floor : state_->numbers())
    for (const EntryLevel level : {EntryLevel::floor, EntryLevel::deck}) {
      const BookThing* const thing = newest_thing(*state_, floor, level);
      if (!thing || !state_->is_doubtful(*thing)) continue;
      if (const auto known = known_.find(floor, level)) out.push_back(*known);
    }
  return out;
}

BookAnswer Dialogue::file(const std::vector<FilePoint>& points, const BookClock& clock,
                          std::vector<FileFault>& faults) {
  begin(clock);
  std::vector<Said> told = std::move(answer_.said);
  open_tells(0);
  std::vector<Said> head = std::exchange(answer_.said, std::move(told));
  std::string last_setup;
  for (std::size_t i = 0; i < points.size(); ++i)
    if (auto fault = fault_of(points[i], i, last_setup)) faults.push_back(std::move(*fault));
  answer_.is_refused = !faults.empty();
  if (faults.empty()) {
    const std::vector<KnownNumber> before = all_doubtful();
    bool is_next = false;
    for (const FilePoint& point : points) {
      clock_ = point.time;
      const auto target = target_of(point.point);
      const auto typed = number_of(point.point);
      if (is_in_book(point)) {
        Said again;
        again.kind = SaidKind::again;
        again.typed = target || !typed ? 0 : *typed;
        again.text = point.point;
        again.act = target ? Act::check : typed ? Act::marked : Act::note;
        again.line = fmt::format("again {}", typed && !target ? known_.find(*typed)->floor : 0);
        if (target || !typed) again.line = "again " + point.point;
        say(std::move(again));
        continue;
      }
      stand_for(point, is_next);
      is_next = true;
      if (target)
        file_check(point, *target);
      else if (typed)
        file_mark(point, *known_.find(*typed));
      else
        file_note(point);
    }
    std::vector<KnownNumber> fresh;
    for (const KnownNumber& n : all_doubtful())
      if (std::find(before.begin(), before.end(), n) == before.end()) fresh.push_back(n);
    if (!fresh.empty()) {
      Said doubtful;
      doubtful.kind = SaidKind::doubtful;
      doubtful.text = known_.words(fresh);
      doubtful.line = "doubtful " + doubtful.text;
      head.push_back(std::move(doubtful));
    }
    for (const BookSetup& setup : facts_.setups)
      if (const StandingOf* const s = state_->standing_of(own_, setup.name); s && s->is_out) {
        Said stop;
        stop.kind = SaidKind::stop;
        stop.text = setup.name;
        stop.line = "stop " + setup.name;
        head.push_back(std::move(stop));
      }
  }
  answer_.said.insert(answer_.said.begin(), head.begin(), head.end());
  end();
  return std::move(answer_);
}

}  // namespace deckmark
