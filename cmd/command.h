#pragma once
/// The commands as data, and what they share.

#include <ostream>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "progress.h"
#include "table/message.h"
#include "work/run.h"

namespace deckmark {

/// Where a command writes. What comes from outside (a job, a table, a path, an argument, an error of the
/// system) shows on the screen and never acts on it: whatever is written passes through `visible_lines`, and
/// there is no way round it but `table`.
class Streams {
 public:
  /// `progress` ends before anything is written.
  Streams(std::ostream& out, std::ostream& err, Progress& progress)
      : out_(out), err_(err), progress_(progress) {}

  /// One line on standard error; line feeds within it are shown too. `style`: its codes on a terminal (`31`,
  /// `1;7;31`); empty: none.
  void line(std::string_view text, std::string_view style = "") const;
  /// Text of several lines on standard error.
  void lines(std::string_view text) const;
  /// Text of several lines on standard output. Writes all, or throws SystemFailure when standard output
  /// cannot be written. A reader that stopped early is no failure.
  void text(std::string_view text) const;
  /// The same for a table as CSV, byte for byte. REQUIRES cells without control characters, as all tables are
  /// written.
  void table(std::string_view csv) const;

 private:
  std::ostream& out_;
  std::ostream& err_;
  Progress& progress_;
};

/// Columns of a line where nothing is known of the terminal, and in files and pipes.
inline constexpr std::size_t kPaperWidth = 80;

/// Arguments of one command, as typed.
struct Arguments {
  std::vector<std::string> operands;  ///< what stands behind the command's name
  std::string out, units;
  std::string setup;                         ///< of stake and plan
  std::string since, take_over, above;       ///< of run and check
  std::string crew;                          ///< of stake and book
  std::string sd, with;                      ///< of fieldtest
  std::string sign, by, on, accept_outside;  ///< of baseline; on of give too
  std::string to, issue;                     ///< of give
  std::string list;                          ///< of issued
  std::string at, read, ticks, sheet;        ///< of book
  bool tape = false;                         ///< likewise
  std::string from;                          ///< of restore
  std::string as_issued, done;               ///< of today
  bool csv = false, json = false, quiet = false;
  bool again = false;           ///< of baseline
  bool details = false;         ///< of run, baseline and setup
  bool shots = false;           ///< of setup
  std::string man, completion;  ///< of help
  std::string color_when;
  bool color = false;                ///< decided from --color, NO_COLOR, TERM and the terminal
  std::size_t width = kPaperWidth;   ///< columns of the terminal
  std::size_t narrow = kPaperWidth;  ///< the same, where they may be as few as 40
  bool help = false, version = false;
};

/// An option of a command, declared once: what is typed, and where it goes.
struct OptionSpec {
  std::string_view name;
  std::string_view value;  ///< what stands for its value in the help; empty: a switch
  std::string_view help;
  std::variant<bool Arguments::*, std::string Arguments::*> into;
  std::span<const std::string_view> words = {};  ///< all that the value may be, where that is known
  char letter = 0;  ///< what may be typed in its place behind one dash; 0: nothing
};

/// Of every command that computes.
inline constexpr OptionSpec kJsonOption{
    "json", "", "one JSON object: verdict, reasons, doubts, rows as of --csv", &Arguments::json};

/// Of those that judge an adjustment.
inline constexpr OptionSpec kFiguresOption{
    "details", "", "figures of statistics too: variance factor, limits, alpha", &Arguments::details};

/// What stands behind a command's name.
struct OperandSpec {
  std::string_view usage;      ///< as the help says it
  std::size_t least = 0;       ///< one fewer is refused ...
  std::size_t most = 1;        ///< ... and one more
  std::string_view what = {};  ///< in words, where one is missing
};
/// The job of a command that reads one.
inline constexpr OperandSpec kJobOperand{"[JOB]", 0, 1};

/// When a command is for, by which the overview tells them.
enum class CommandGroup { every_job, tape, instrument, afterwards, rarely };

/// A command as data: its help, its manual and its completion are printed from this.
struct CommandSpec {
  std::string_view name;
  CommandGroup group;
  OperandSpec operand;
  std::string_view summary;
  std::string_view
      help;  ///< paragraphs, a line each, laid out to the width; `WORD\tmeaning` is a row of a table
  std::span<const std::string_view> examples;  ///< command lines that run beside the jobs of `data`
  std::string_view exit_status;
  std::span<const OptionSpec> options;  ///< those that it uses, beside `shared_options`
  Exit (*run)(const Arguments&, const Streams&);
};

/// The options that every command has.
std::span<const OptionSpec> shared_options();
std::span<const CommandSpec> commands();
extern const CommandSpec kNewCommand, kCheckCommand, kBaselineCommand, kSetupCommand, kStakeCommand,
    kPlanCommand, kAsbuiltCommand, kGroundCommand, kFieldtestCommand, kRunCommand, kHelpCommand, kGiveCommand,
    kIssuedCommand, kCompareCommand, kHistoryCommand, kOffsetsCommand, kHeightsCommand, kBookCommand,
    kRestoreCommand, kTodayCommand;

/// `deckmark 0.3.0`: what files say that made them.
std::string_view program_name();
/// The same with the commit that it was built from, where the build knew one.
std::string program_and_commit();

/// Problems, doubts and notices to standard error; notices only where not quiet.
void tell(const Messages& messages, const Arguments& arguments, const Streams& streams);
/// The end of a command that had problems; with --json they stand on standard output too.
Exit refuse(const Messages& messages, const Arguments& arguments, const Streams& streams,
            std::string_view what_was_not_done);
/// The line that says so: `2 problems; nothing was signed`.
void tell_refused(const Messages& messages, const Streams& streams, std::string_view what_was_not_done);
/// What a command found, on standard output: its text, its table, or all as JSON.
void show(const JobOutcome& outcome, const Messages& messages, const Arguments& arguments,
          const Streams& streams);
/// The line by which the job stands, the last on standard error. On a terminal its look says it too: a stop
/// is a bold bar.
void tell_standing(const JobOutcome& outcome, const Arguments& arguments, const Streams& streams);
/// The end of a command that computed: what was told, then its text (or its table with --csv), then the line
/// by which the job stands.
Exit answer(const JobOutcome& outcome, const Messages& messages, const Arguments& arguments,
            const Streams& streams, std::string_view what_was_not_done);
/// Tells that --out was given to no purpose, and why.
void tell_unused_out(std::string_view why, const Arguments& arguments, const Streams& streams);
/// The command's main table is wanted, for --csv or --json.
bool wants_table(const Arguments& arguments);
/// The job that was typed, or the current folder.
std::string job_of(const Arguments& arguments);

}  // namespace deckmark
