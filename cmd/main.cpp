#include <unistd.h>

#include <csignal>
#include <cstdlib>
#include <exception>
#include <iostream>
#include <new>
#include <system_error>

#include "exporter/batch.h"
#include "options.h"

using namespace deckmark;

namespace {

constexpr const char* kOutOfMemory =
    "deckmark: out of memory; close other programs or take a machine with more, then run again; what stood "
    "still stands\n";

}  // namespace

int main(int argc, char** argv) {
  // A reader that stops early and a file-size limit are answers of a write, not ends of the program.
  std::signal(SIGPIPE, SIG_IGN);
  std::signal(SIGXFSZ, SIG_IGN);
  const Streams streams(std::cout, std::cerr);
  try {
    const std::vector<std::string> words(argv + 1, argv + argc);
    const char* no_color = std::getenv("NO_COLOR");
    const auto what = read_command_line(words, isatty(STDERR_FILENO) == 1, no_color && *no_color);
    if (const auto* reply = std::get_if<Reply>(&what)) {
      if (reply->exit == Exit::done)
        streams.text(reply->text);
      else
        streams.lines(reply->text);
      return static_cast<int>(reply->exit);
    }
    const Call& call = std::get<Call>(what);
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
