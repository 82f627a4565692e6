#pragma once
/// The commands as data, and what they share.

#include <optional>
#include <ostream>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "table/message.h"
#include "work/run.h"

namespace deckmark {

/// Where a command writes. What comes from outside (a job, a table, a path, an argument, an error of the
/// system) shows on the screen and never acts on it: whatever is written passes through `visible_lines`, and
/// there is no way round it but `table`.
class Streams {
 public:
  Streams(std::ostream& out, std::ostream& err) : out_(out), err_(err) {}

  /// One line on standard error; line feeds within it are shown too. `color`: its code on a terminal.
  void line(std::string_view text, std::optional<int> color = std::nullopt) const;
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
};

/// An option of a command, beside those that all commands share.
struct OptionSpec {
  std::string_view name, value, help;            ///< `value` empty: a switch
  std::span<const std::string_view> words = {};  ///< all that the value may be, where that is known
};

/// Arguments of one command, as typed.
struct Arguments {
  std::string positional;  ///< JOB or FOLDER; empty where not given
  std::string out, units;
  std::string setup;                         ///< of stake and plan
  std::string sd, with;                      ///< of fieldtest
  std::string sign, by, on, accept_outside;  ///< of baseline
  bool csv = false, quiet = false;
  bool shots = false;                                ///< of setup
  bool color = false;                                ///< decided from --color, NO_COLOR and the terminal
  std::string name = {}, man = {}, completion = {};  ///< of help; `name` is its second operand
};

struct CommandSpec {
  std::string_view name, operand, summary, help;
  std::span<const OptionSpec> options;
  Exit (*run)(const Arguments&, const Streams&);
  std::size_t operands = 1;  ///< how many may stand
};

std::span<const CommandSpec> commands();
extern const CommandSpec kNewCommand, kCheckCommand, kBaselineCommand, kSetupCommand, kStakeCommand,
    kPlanCommand, kAsbuiltCommand, kGroundCommand, kFieldtestCommand, kRunCommand, kHelpCommand;

/// `deckmark 0.1.0`.
std::string_view program_name();

/// Problems, doubts and notices to standard error; notices only where not quiet.
void tell(const Messages& messages, const Arguments& arguments, const Streams& streams);
/// The end of a command that had problems.
Exit refuse(const Messages& messages, const Streams& streams, std::string_view what_was_not_done);
/// The end of a command that computed: what was told, then its text (or its table with --csv), then the line
/// by which the job stands.
Exit answer(const JobOutcome& outcome, const Messages& messages, const Arguments& arguments,
            const Streams& streams, std::string_view what_was_not_done);
/// The job that was typed, or the current folder.
std::string job_of(const Arguments& arguments);

}  // namespace deckmark
