#include <execinfo.h>
#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <charconv>
#include <csignal>
#include <cstdlib>
#include <cstring>
#include <exception>
#include <iostream>
#include <new>
#include <string_view>
#include <system_error>

#include "exporter/batch.h"
#include "exporter/stopping.h"
#include "options.h"

using namespace deckmark;

namespace {

constexpr const char* kOutOfMemory =
    "deckmark: out of memory; close other programs or take a machine with more, then run again; what stood "
    "still stands\n";

/// At least `least` columns, for which all is laid out, and at most 100, beyond which lines read badly. What
/// is no terminal gets the same bytes wherever it is.
std::size_t columns(std::size_t least) {
  if (isatty(STDOUT_FILENO) != 1) return kPaperWidth;
  std::size_t wide = 0;
  if (const char* stated = std::getenv("COLUMNS"))
    std::from_chars(stated, stated + std::strlen(stated), wide);
  winsize size{};
  if (wide == 0 && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0) wide = size.ws_col;
  return wide == 0 ? kPaperWidth : std::clamp(wide, least, std::size_t{100});
}

bool is_no_color_wanted() {
  const char* no_color = std::getenv("NO_COLOR");
  return no_color && *no_color;
}

/// Standard error is a terminal that knows codes.
bool can_be_moved_on() {
  const char* kind = std::getenv("TERM");
  return isatty(STDERR_FILENO) == 1 && !(kind && std::string_view(kind) == "dumb");
}

}  // namespace

int main(int argc, char** argv) {
  // The system looks for what unwinds a thread when it first needs it, and ends the program where there is no
  // memory left for that: it looks now.
  void* here = nullptr;
  (void)backtrace(&here, 1);
  // A reader that stops early and a file-size limit are answers of a write, not ends of the program.
  std::signal(SIGPIPE, SIG_IGN);
  std::signal(SIGXFSZ, SIG_IGN);
  end_on_signals(Progress::wipe);
  Progress progress;
  const Streams streams(std::cout, std::cerr, progress);
  try {
    const std::vector<std::string> words(argv + 1, argv + argc);
    const auto what =
        read_command_line(words, {can_be_moved_on() && !is_no_color_wanted(), columns(60), columns(40)});
    if (const auto* reply = std::get_if<Reply>(&what)) {
      if (reply->exit == Exit::done)
        streams.text(reply->text);
      else
        streams.lines(reply->text);
      return static_cast<int>(reply->exit);
    }
    const Call& call = std::get<Call>(what);
    if (call.out_is_unused)
      tell_unused_out(fmt::format("{} has no output folder", call.command->name), call.arguments, streams);
    if (can_be_moved_on() && !call.arguments.quiet && !call.arguments.json) progress.start();
    return static_cast<int>(call.command->run(call.arguments, streams));
  } catch (const SystemFailure& e) {
    streams.line(std::string("deckmark: ") + e.what());
  } catch (const std::bad_alloc&) {
    std::cerr << kOutOfMemory;
  } catch (const std::system_error& e) {
    // A thread that cannot be begun lacks memory for its stack.
    if (e.code() == std::errc::resource_unavailable_try_again || e.code() == std::errc::not_enough_memory)
      std::cerr << kOutOfMemory;
    else
      std::cerr << "deckmark: " << visible(e.what()) << '\n';
  } catch (const std::exception& e) {
    streams.line(std::string("deckmark: ") + e.what());
  }
  return static_cast<int>(Exit::system);
}
