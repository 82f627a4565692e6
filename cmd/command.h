#pragma once
/// The commands as data, and what they share.

#include <optional>
#include <ostream>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "table/message.h"
#include "work/stages.h"

namespace deckmark {

struct JobOutcome;

struct Streams {
  std::ostream& out;
  std::ostream& err;
  bool err_is_terminal = false;
};

/// An option of a command, beside those that all commands share.
struct OptionSpec {
  std::string_view name, value, help;  ///< `value` empty: a switch
};

/// Arguments of one command, as typed.
struct Arguments {
  std::string positional;  ///< JOB or FOLDER; empty where not given
  std::string out, units;
  std::string setup;                         ///< of stake and plan
  std::string sd, with;                      ///< of fieldtest
  std::string sign, by, on, accept_outside;  ///< of baseline
  bool csv = false, quiet = false;
  bool shots = false;  ///< of setup
  bool color = false;  ///< decided from --color, NO_COLOR and the terminal
};

struct CommandSpec {
  std::string_view name, operand, summary, help;
  std::span<const OptionSpec> options;
  Exit (*run)(const Arguments&, const Streams&);
};

std::span<const CommandSpec> commands();
extern const CommandSpec kNewCommand, kCheckCommand, kBaselineCommand, kSetupCommand, kStakeCommand,
    kPlanCommand, kAsbuiltCommand, kGroundCommand, kFieldtestCommand, kRunCommand;

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
/// Writes all, or throws SystemFailure when standard output cannot be written. A reader that stopped early is
/// no failure.
void print(const Streams& streams, std::string_view text);

}  // namespace deckmark
