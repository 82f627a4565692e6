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

ReadPlace Dialogue::read_of(const FilePoint& point) const {
  return place_of(reading_of(point), setup_->result, facts_.instrument, facts_.target_height);
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
    if (auto no = out_as_it_was(*setup);
        no && (index > 0 || !resumable(*setup, std::max(point.time.at, *last_at()))))
      return FileFault{index, "setup", *std::move(no)};
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
  const bool resumes = !is_next && resumable(*setup, now_at());
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
  const ReadPlace read = read_of(point);
  const CheckResult result =
      write_check(target, read, point.elevation.has_value(), point.reading, EntrySource::file);
  if (result.verdict == Verdict::outside) tell_causes();
}

/// A cross that was marked without a reading from this setup and issue is completed; one that lies where this
/// one does is the same, read again; else it is another one.
void Dialogue::file_mark(const FilePoint& point, const KnownNumber& number) {
  const Length permitted = facts_.tolerance(number.level);
  Entry row = row_of(Act::marked, read_of(point), point.reading);
  row.source = EntrySource::file;
  row.number = number.floor;
  row.level = number.level;
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

void Dialogue::take_point(const FilePoint& point) {
  if (const auto target = target_of(point.point))
    file_check(point, *target);
  else if (const auto typed = number_of(point.point))
    file_mark(point, *known_.find(*typed));
  else
    file_note(point);
}

/// What the book holds already is told again.
void Dialogue::take_file(const std::vector<FilePoint>& points) {
  bool is_next = false;
  for (const FilePoint& point : points) {
    clock_ = point.time;
    if (is_in_book(point)) {
      const bool is_target = target_of(point.point).has_value();
      const auto typed = is_target ? std::nullopt : number_of(point.point);
      say_again(is_target ? Act::check
                : typed   ? Act::marked
                          : Act::note,
                typed ? std::to_string(known_.find(*typed)->floor) : point.point);
      continue;
    }
    stand_for(point, is_next);
    is_next = true;
    take_point(point);
  }
}

BookAnswer Dialogue::file(const std::vector<FilePoint>& points, const BookClock& clock,
                          std::vector<FileFault>& faults) {
  begin(clock);
  const auto taken = [this] { return std::exchange(answer_.said, {}); };
  std::vector<Said> clock_told = taken();
  open_tells(0);
  std::vector<Said> all = taken();
  const auto add = [&all](std::vector<Said> said) { all.insert(all.end(), said.begin(), said.end()); };
  add(std::move(clock_told));
  std::string last_setup;
  for (std::size_t i = 0; i < points.size(); ++i)
    if (auto fault = fault_of(points[i], i, last_setup)) faults.push_back(std::move(*fault));
  const std::vector<KnownNumber> before = all_doubtful();
  if (faults.empty()) take_file(points);
  std::vector<Said> of_file = taken();
  // What is in doubt stands first, before what was taken.
  say_doubtful(without(all_doubtful(), before));
  bool is_out = false;
  for (const BookSetup& setup : facts_.setups)
    if (const StandingOf* const s = state_->standing_of(own_, setup.name);
        s && s->is_out && std::any_of(points.begin(), points.end(), [&setup](const FilePoint& p) {
          return same_name(p.setup, setup.name);
        })) {
      is_out = true;
      say_stop(setup.name);
    }
  add(taken());
  add(std::move(of_file));
  answer_.said = std::move(all);
  end();
  answer_.is_refused = !faults.empty();
  answer_.is_out = is_out;
  return std::move(answer_);
}

}  // namespace deckmark
