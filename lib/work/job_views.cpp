#include <algorithm>

#include "measure/letters.h"
#include "report/release_text.h"
#include "report/text.h"
#include "report/words.h"
#include "work/computation.h"
#include "work/job_texts.h"

namespace deckmark {

namespace {

/// What a job without a drawing states all the same that cannot be without one; empty where nothing is.
std::string_view needs_a_drawing(const Job& job) {
  if (job.has_drawing) return "";
  if (job.states_ties) return "[baselines]";
  if (job.checks.lengths_table.table || job.checks.dimensions_table.table) return "lengths or dimensions";
  // Heights alone may be of soffits.
  if (job.deck_level.written || job.named.deck_shots.written || job.named.bays.written) return "[deck]";
  if (job.deck_marks_table.table) return "[plumb]";
  if (job.asbuilt.table) return "[asbuilt]";
  if (job.offsets.wanted) return "[offsets]";
  if (job.bill.any()) return "needs, bill or arrived";
  if (job.states_crews) return "[[crew]]";
  if (job.ledger.ledger.last_issue() > 0) return "a ledger of numbers";
  return "";
}

/// Names of ties and of deck shots, and of deck marks and as-built shots that are read, in small letters.
std::set<std::string> used_names(const Job& job, const JobRecords& records) {
  std::set<std::string> out;
  for (const KeyedTie& tie : job.ties)
    for (const FoundMark& mark : tie.found) out.insert(small_letters(mark.name));
  for (const KeyedShot& shot : job.shots) out.insert(small_letters(shot.name));
  for (const KeyedDeckMark& mark : job.deck_marks)
    if (!mark.at) out.insert(small_letters(mark.point));
  for (const StatedSetup& setup : job.instrument.setups)
    if (setup.over) out.insert(small_letters(*setup.over));
  const AsbuiltShots& asbuilt = records.asbuilt.shots;
  for (std::size_t i = 0; i < asbuilt.size(); ++i)
    if (std::holds_alternative<AsSighted>(asbuilt.rows[i].at)) out.insert(small_letters(asbuilt.points[i]));
  return out;
}

/// Whether ties are found by what the setups sighted.
bool are_read(const std::vector<KeyedTie>& ties) {
  return std::ranges::any_of(ties, [](const KeyedTie& tie) {
    return std::ranges::any_of(tie.found, [](const FoundMark& mark) { return !mark.at; });
  });
}

}  // namespace

JobViews::JobViews(const Job& j, const JobRecords& r)
    : heading(headed(j.title, j.storey)),
      release(j.named.released.written || j.named.no_drill.written ? release_lines(releases_of(j))
                                                                   : std::vector<std::string>()),
      site{{j.has_drawing, j.states_ties, j.states_frame, j.states_control, j.instrument.states_setups},
           !j.control.empty(),
           j.ground.ground.has_value(),
           j.mirrored,
           needs_a_drawing(j),
           Where::whole(j.file),
           j.frame_is_site.at},
      head{heading,
           j.revision,
           j.file,
           j.mirrored,
           j.drawing_unit,
           j.site_unit,
           j.list.unit.value_or(j.site_unit),
           from_strings_alone(j.offsets, site_place(site.facts)) ? std::string_view() : north_word(j.ground),
           release},
      baselines{r.ties,     j.ties_table, j.baseline,     j.square,    j.checks,
                j.revision, j.mirrored,   j.drawing_unit, j.site_unit, &r.tie_places},
      heights{j.heights, j.floor.value, j.datum.value, j.site_unit, j.drawing_unit},
      deck{j.has_deck,       j.deck_level.value, r.shots,
           r.measured_decks, j.shots_table,      j.overhead.bays_table,
           j.deck,           j.floor.value,      j.attach_height.value,
           j.drawing_unit,   j.site_unit,        j.deck_key(),
           j.floor.at,       j.attach_height.at},
      numbers{
          j.ledger.ledger, j.ledger.table,
          j.numbers,       j.ledger_file,
          j.has_deck,      j.deck_offset_key.at,
          j.start_key.at,  j.last_key.at,
          &j.storeys,      [&j](std::int64_t above) { return j.ledger_files().begin_anew(j.path, above); }},
      issue{j.ledger.ledger,
            j.ledger.given,
            j.revision,
            j.storey,
            j.numbers.deck_offset,
            j.name_for_ledger(),
            Where::whole(j.ledger_file),
            Where::whole(j.file),
            j.floor.at,
            j.site_unit},
      plumb{r.deck_marks, j.deck_marks_table,   j.plumb,   j.deck.flatness, head.list_unit,
            j.site_unit,  Where::whole(j.file), &j.storeys},
      setups{j.instrument,  j.control,   used_names(j, r), j.asbuilt.options.plan,
             j.floor.value, j.site_unit, &j.storeys},
      stake{j.instrument, j.control, j.overhead.runs, j.list.only, j.asbuilt.options.plan},
      asbuilt{r.asbuilt,       j.control,      r.ties,      j.instrument, j.floor.value,
              j.deck.flatness, j.drawing_unit, j.site_unit, &j.storeys},
      ground{j.ground, j.control, Where::whole(j.file), j.ground.crs_key.at},
      offsets{j.offsets, baselines, j.control, Where::whole(j.file), r.marks_made},
      drawing{j.max_spacing.value, j.overhead.hangers.end_distance,
              j.overhead.runs,     r.ties,
              j.ties_table,        j.drawing_unit,
              j.site_unit,         Where::whole(j.file)},
      crews{j.crews, j.overhead.runs},
      moved_control{j.control,        j.control_table,
                    j.ledger.control, j.ledger.ledger,
                    j.checks,         j.instrument,
                    r.ties,           j.states_ties,
                    j.list.only,      small_unit(j.site_unit, j.drawing_unit),
                    are_read(j.ties)},
      bill{j.bill, j.overhead, j.drawing_unit} {}

}  // namespace deckmark
