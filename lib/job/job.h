#pragma once
/// A job: what its files say, as typed records with their places. Data only.

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "baseline/fit.h"
#include "baseline/squareness.h"
#include "exporter/list_options.h"
#include "issues/numbering.h"
#include "job/asbuilt_job.h"
#include "job/baseline_job.h"
#include "job/bill_job.h"
#include "job/book_job.h"
#include "job/crew_job.h"
#include "job/ground_job.h"
#include "job/heights_job.h"
#include "job/instrument_job.h"
#include "job/keys/stated.h"
#include "job/keys/table_key.h"
#include "job/ledger_job.h"
#include "job/overhead_job.h"
#include "job/parts.h"
#include "job/read_table.h"
#include "job/release_job.h"
#include "job/stated.h"
#include "job/storeys_job.h"
#include "lift/lift.h"
#include "marks/marks.h"
#include "measure/frame.h"
#include "table/message.h"
#include "table/reader.h"

namespace deckmark {

struct Job {
  std::filesystem::path folder;  ///< of the job file
  std::filesystem::path path;    ///< the job file
  std::string file;              ///< the job file as messages name it
  std::string title, revision;
  Stated<std::string> site_file;  ///< what several storeys share, as the job file names it
  std::string storey;             ///< the name of this one
  Stated<std::vector<std::string>> storeys_key;
  std::vector<SiblingStorey> storeys;  ///< the others of the building that are known, in the order stated

  LengthUnit drawing_unit = LengthUnit::metre;
  LengthUnit site_unit = LengthUnit::metre;  ///< for lists and tables; feet where the job says ft-in
  bool mirrored = false;
  Stated<bool> frame_is_site;  ///< [drawing] frame = "site": x is easting, y northing
  bool states_frame = false;   ///< the key, or a slip of it
  bool has_drawing = true;     ///< points or runs; without them only what was measured can be computed

  NamedTables named;  ///< the tables and files below, as the job file names them
  ReadTable points_table;
  std::shared_ptr<MarkTable> marks = std::make_shared<MarkTable>();  ///< of the drawing
  std::shared_ptr<const NameIndex> mark_index;                       ///< of their names
  ReadTable control_table;
  bool states_control = false;        ///< readable or not, or by a slip of the key
  std::vector<ControlPoint> control;  ///< at ground scale
  bool ground_control = false;        ///< stated so, though the site has a projection
  GroundJob ground;
  bool states_ties = false;  ///< ties or a signed fit, readable or not
  ReadTable ties_table;
  std::vector<KeyedTie> ties;
  BaselineOptions baseline;
  SquarenessOptions square;
  BaselineJob checks;  ///< lengths, dimensions, building lines, a signed fit
  OffsetJob offsets;

  Stated<Elevation> floor;
  Stated<Length> datum;  ///< the line that heights are measured from, above the floor
  HeightsJob heights;
  bool has_deck = false;
  Stated<Elevation> deck_level;
  ReadTable shots_table;
  std::vector<KeyedShot> shots;
  DeckOptions deck;

  Stated<Length> attach_height;  ///< of the brackets above the floor, where a point states none
  Stated<Length> max_spacing;

  ReadTable deck_marks_table;
  std::vector<KeyedDeckMark> deck_marks;
  PlumbOptions plumb;

  InstrumentJob instrument;

  NumberOptions numbers;
  Written start_key, last_key, deck_offset_key, ledger_key;
  std::filesystem::path ledger_path;
  std::string ledger_file = "numbers.csv";  ///< DEFAULT; as messages name it
  LedgerFound ledger;

  ListOptions list;
  Written list_split_key, list_decimals_key;

  AsbuiltJob asbuilt;
  OverheadJob overhead;  ///< runs, pieces, bays, obstructions
  BillJob bill;          ///< parts that are needed, the bill, what arrived

  BookJob book;
  ReleaseJob released;  ///< for drilling

  bool states_crews = false;  ///< [[crew]], readable or not
  std::vector<StatedCrew> crews;

  std::vector<std::shared_ptr<const Source>> inputs;  ///< in the order read, the job file first
  std::vector<std::filesystem::path> input_paths;

  /// The job file by its path from the ledger's folder, as issues name it.
  std::string name_for_ledger() const;
  LedgerFiles ledger_files() const { return {folder, ledger_file}; }
  /// The key that says where the deck is: its bays, its shots or its level.
  const Where& deck_key() const {
    const Written &in_bays = named.bays, &shot = named.deck_shots;
    return in_bays.written ? in_bays.at : shot.written ? shot.at : deck_level.at;
  }
};

/// Called with the ledger's path as soon as the job file tells it, before a byte of the ledger is read.
using BeforeLedger = std::function<void(const std::filesystem::path& ledger)>;

/// Reads the job file and every table it names. Problems of all files are told, each under its part of the
/// job; a part is whole only where `told` holds none for it and none for the job file as such. `path` is a
/// job file, or the folder that holds job.toml. `job` stays where it is: its index refers to its marks. A run
/// holds the ledger's folder in `before_ledger`; what only looks leaves it out.
void read_job(const std::filesystem::path& path, Job& job, PartMessages& told,
              const BeforeLedger& before_ledger = {});
/// In place of a table of shots or of deck marks: they come from the book.
inline constexpr std::string_view kBookWord = "book";
bool is_from_book(const TableKey& key);
/// Tables of the crosses that stand in the books, with the rows in the lines of the book `name`; empty where
/// there are none.
struct BookTables {
  std::string name;
  std::string shots, deck_marks;
};
/// Reads those that the job takes from its book. REQUIRES a job that was read.
void read_from_book(Job& job, PartMessages& told, const BookTables& tables);
/// The way from a file to another one, whether they are there or not.
std::string path_from(const std::filesystem::path& file, const std::filesystem::path& to);
/// The job file behind a path that a user typed, where there is one.
std::optional<std::filesystem::path> job_file_of(const std::filesystem::path& path);

}  // namespace deckmark
