#include "work/book.h"

#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <optional>

#include "command.h"
#include "exporter/batch.h"
#include "report/book_text.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"by", "TEXT", "who writes", &Arguments::by},
    {"crew", "NAME", "a crew of the job: its own book, its numbers alone", &Arguments::crew},
    {"setup", "NAME", "where the instrument stands", &Arguments::setup},
    {"tape", "", "readings are two distances from the strings", &Arguments::tape},
    {"at", "TIME", "the time in place of the clock, 2026-11-28T14:40+01:00", &Arguments::at},
    {"read", "FILE", "points that the instrument stored, in place of a dialogue", &Arguments::read},
    {"ticks", "TEXT", "what was ticked on a sheet, in place of a dialogue", &Arguments::ticks},
    {"sheet", "ID", "the number at the head of that sheet", &Arguments::sheet},
};
constexpr std::string_view kExamples[] = {
    "deckmark book arcade-m --by Ada --setup S1",
    "deckmark book arcade-m --by Ada --read arcade-m/day-1.csv",
};

/// What is typed, line by line. A last line without an end was not typed.
class Lines {
 public:
  std::optional<std::string> next() {
    for (;;) {
      if (const std::size_t end = held_.find('\n'); end != std::string::npos) {
        std::string line = held_.substr(0, end);
        held_.erase(0, end + 1);
        return line;
      }
      char buffer[4096];
      const ssize_t got = ::read(STDIN_FILENO, buffer, sizeof buffer);
      if (got < 0 && errno == EINTR) continue;
      if (got < 0) throw SystemFailure(std::string("standard input: ") + std::strerror(errno));
      if (got == 0) return std::nullopt;
      held_.append(buffer, static_cast<std::size_t>(got));
    }
  }

 private:
  std::string held_;
};

/// Tells answers: sentences on a terminal, else a line each.
class Teller {
 public:
  Teller(const CrewBook& book, const Arguments& arguments, const Streams& streams)
      : streams_(streams), is_terminal_(isatty(STDIN_FILENO) == 1 && isatty(STDOUT_FILENO) == 1) {
    words_.form = {book.drawing_unit(), book.denominator()};
    words_.width = arguments.narrow;
  }
  void tell(const BookAnswer& answer) const {
    if (is_terminal_) return streams_.text(book_text(answer.said, words_));
    std::string out;
    for (const Said& s : answer.said) out += s.line + "\n";
    streams_.text(out);
  }

 private:
  const Streams& streams_;
  BookWords words_;
  bool is_terminal_;
};

Exit exit_of(const BookAnswer& answer) {
  if (answer.is_refused) return Exit::bad_input;
  return answer.is_out ? Exit::outside : Exit::done;
}

Exit converse(CrewBook& book, const Teller& teller) {
  BookAnswer answer = book.open();
  teller.tell(answer);
  Lines lines;
  while (!answer.is_over) {
    const auto line = lines.next();
    answer = line ? book.take(*line) : book.finish();
    teller.tell(answer);
  }
  return exit_of(answer);
}

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  if (arguments.ticks.empty() != arguments.sheet.empty())
    messages.problem(Where{}, arguments.ticks.empty() ? "--ticks" : "--sheet",
                     Fault{"nothing", "both, what was ticked and the number of the sheet",
                           "--ticks \"marked 1041-1052\" --sheet 3101-42"});
  if (!arguments.read.empty() && !arguments.ticks.empty())
    messages.problem(Where{}, "--read", Fault{"--ticks too", "one of the two", ""});
  const auto book = CrewBook::begin({.job = job_of(arguments),
                                     .by = arguments.by,
                                     .crew = arguments.crew,
                                     .at = arguments.at,
                                     .setup = arguments.setup,
                                     .tape = arguments.tape,
                                     .reads_file = !arguments.read.empty()},
                                    messages);
  tell(messages, arguments, streams);
  if (!book || messages.has_problems()) return refuse(messages, arguments, streams, "nothing is written");
  const Teller teller(*book, arguments, streams);
  if (!arguments.read.empty()) {
    Messages told;
    const BookAnswer answer = book->read(arguments.read, told);
    tell(told, arguments, streams);
    if (told.has_problems()) return refuse(told, arguments, streams, "nothing is written");
    teller.tell(answer);
    return exit_of(answer);
  }
  if (arguments.ticks.empty()) return converse(*book, teller);
  const BookAnswer answer = book->ticks(arguments.ticks, arguments.sheet);
  teller.tell(answer);
  return exit_of(answer);
}

}  // namespace

const CommandSpec kBookCommand{
    "book",
    CommandGroup::instrument,
    kJobOperand,
    "what was done: marks read, kept, drilled, undone, row by row",
    "A dialogue over what the last issue handed out. It offers the next mark; a reading says how far it has "
    "to move; y keeps it. Nothing is written but on y, keep, a dot, or a word as in drilled 1041-1052, and "
    "every row is on the disk before it is acknowledged.\n"
    "--read takes a file that the instrument stored: numbers are marks, known targets checks, other names "
    "notes; all of it or nothing, and what the book holds is not written twice.\n"
    "With --setup a check of a known target comes first, then after so many marks or minutes; while one is "
    "out no mark is taken. Typed help tells the words. What is piped in is answered a line each, for "
    "programs.",
    kExamples,
    "0 done, 1 ended with a check out, 2 refused, 3 the system failed, or another dialogue holds the book.",
    kOptions,
    run};

}  // namespace deckmark
