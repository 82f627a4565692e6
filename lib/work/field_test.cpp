#include "work/field_test.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <system_error>
#include <utility>
#include <vector>

#include "job/field_table.h"
#include "lists/columns.h"
#include "lists/in_unit.h"
#include "measure/decimal.h"
#include "report/field_text.h"
#include "work/job_texts.h"

namespace deckmark {

namespace {

constexpr int kDecimals = 5;

FieldResult result_of(FieldTest test, const FieldTable& t, const FieldTestOptions& sd) {
  switch (test) {
    case FieldTest::directions:
      return test_directions(t.directions, sd.angle_sd);
    case FieldTest::zeniths:
      return test_zeniths(t.zeniths, sd.angle_sd);
    case FieldTest::line:
      return test_line(t.line, sd.length_sd);
    case FieldTest::levelling:
      return test_levelling(t.levels, sd.length_sd);
    case FieldTest::rotating_laser:
      return test_rotating_laser(t.beam, t.target_heights, sd.length_sd);
    case FieldTest::plumbing:
      return test_plumbing(t.plumb, sd.length_sd);
    case FieldTest::turned_marks:
      return test_turned_marks(t.turned, sd.length_sd);
    case FieldTest::cross_line:
      return test_cross_line(t.cross, sd.length_sd);
  }
  return {};
}

/// One test, done.
struct Done {
  FieldTest test;
  FieldResult result;
  std::optional<FieldResult> second;
  std::optional<FieldQuestion> same;
};

void tell_too_few(const std::string& file, FieldTest test, const FieldResult& r, Messages& messages) {
  messages.problem(Where::whole(file), "file",
                   Fault{fmt::format("{} of {}, which {}",
                                     r.readings == 1 ? "1 reading" : fmt::format("{} readings", r.readings),
                                     field_test_word(test),
                                     r.alike ? "all say the same" : "leave nothing over to tell the scatter"),
                         r.alike ? "readings that scatter: read finer, repeat the set"
                                 : "more readings than unknowns: repeat the set",
                         ""});
}

/// The reading farthest from the others; none where nothing was adjusted.
struct Farthest {
  std::string name;
  double by = 0;  // in the unit of the result
};
Farthest farthest_of(const Done& d, const FieldTable& table) {
  const auto& residuals = d.result.residuals;
  const auto names = table.names.find(d.test);
  const auto far = std::ranges::max_element(residuals, {}, [](double v) { return std::fabs(v); });
  if (far == residuals.end() || names == table.names.end()) return {};
  return {names->second[static_cast<std::size_t>(far - residuals.begin())], std::fabs(*far)};
}

/// No instrument errs by a minute of arc or by 50 mm: such a reading was keyed or named wrong.
void tell_slip(const Done& d, const FieldTable& table, Messages& messages) {
  constexpr double kSlipSeconds = 60, kSlipMillimetres = 50;
  constexpr double kLargestConstant = 200;  // mm
  for (const FieldValue& v : d.result.values)
    if (v.parameter == FieldParameter::zero_point && std::fabs(v.value) > kLargestConstant)
      messages.doubt(
          "a slip", Where::whole(table.file), "distance",
          fmt::format(
              "a constant of {} m is no reflector's: look for a slip in keying, or points not on one line",
              fixed(v.value / 1000, 3)));
  constexpr double kWidestError = 1000;  // seconds: 5 mm a metre (common practice, no source)
  for (const FieldValue& v : d.result.values)
    if (v.parameter == FieldParameter::right_angle && std::fabs(v.value) > kWidestError)
      messages.doubt(
          "a slip", Where::whole(table.file), "cd",
          fmt::format("a right angle {} degrees off, over 5 mm a metre (common practice, no source), is "
                      "no laser's: look for a slip in keying, or in which line went where",
                      fixed(std::fabs(v.value) / 3600, 2)));
  const Farthest far = farthest_of(d, table);
  if (far.by <= (d.result.unit == FieldUnit::seconds ? kSlipSeconds : kSlipMillimetres)) return;
  messages.doubt("a slip", Where::whole(table.file), "row",
                 fmt::format("{} is {} {} off the others: look for a slip in keying or naming", far.name,
                             fixed(far.by, 1), d.result.unit == FieldUnit::seconds ? "seconds" : "mm"));
}

std::string text_of(const Done& d, const FieldTable& table, const FieldTestRequest& request) {
  FieldSheet sheet;
  sheet.test = d.test;
  sheet.file = table.file;
  sheet.result = &d.result;
  sheet.stated = request.sd;
  const Farthest far = farthest_of(d, table);
  sheet.farthest = far.name, sheet.farthest_by = far.by;
  if (d.test == FieldTest::plumbing && table.plumb_height)
    sheet.a_metre = d.result.s / table.plumb_height->metres();
  const std::string with = request.with.string();
  if (d.second) sheet.second_file = with, sheet.second = &*d.second;
  sheet.same = d.same;
  return field_text(sheet);
}

/// A row of the table: a value with its sd, or a question with its limits.
struct Line {
  FieldTest test;
  std::string item, unit;
  double value = 0;
  std::optional<double> sd, lower, upper;
  std::size_t freedom = 0;
  std::string_view answer = "";
};

void add_lines(const Done& d, std::vector<Line>& lines) {
  const FieldResult& r = d.result;
  const auto unit = [&](FieldParameter p) { return std::string(field_unit_word(field_unit_of(p, r.unit))); };
  const auto freedom = [](const FieldResult& of) { return of.degrees_of_freedom; };
  if (r.solved)
    lines.push_back({d.test, "scatter", std::string(field_unit_word(r.unit)), r.s, {}, {}, {}, freedom(r)});
  if (d.second)
    lines.push_back({d.test,
                     "scatter of the second table",
                     std::string(field_unit_word(r.unit)),
                     d.second->s,
                     {},
                     {},
                     {},
                     freedom(*d.second)});
  for (const FieldValue& v : r.values)
    lines.push_back({d.test,
                     std::string(field_parameter_word(v.parameter)),
                     unit(v.parameter),
                     v.value,
                     v.sd,
                     {},
                     {},
                     v.degrees_of_freedom});
  const auto ask = [&](const FieldQuestion& q) {
    // A perfect second sample makes the ratio of variances infinite: a text cell cannot be that, a large
    // number can.
    lines.push_back({d.test,
                     field_question_word(q),
                     q.is_ratio ? "ratio" : std::string(field_unit_word(q.unit)),
                     std::min(q.statistic, 1e9),
                     {},
                     q.lower,
                     q.upper,
                     q.degrees_of_freedom,
                     q.yes ? "yes" : "no"});
  };
  for (const FieldQuestion& q : r.questions) ask(q);
  if (d.same) ask(*d.same);
}

constexpr OutColumn kColumns[] = {{"test", OutKind::text, "what was tested"},
                                  {"item", OutKind::text, "a value, or a question"},
                                  {"value", OutKind::decimal, "in the unit of the row"},
                                  {"unit", OutKind::text, "of the row"},
                                  {"sd", OutKind::decimal, "of the value"},
                                  {"degrees_of_freedom", OutKind::number, "readings that were left over"},
                                  {"lower", OutKind::decimal, "limit of a question"},
                                  {"upper", OutKind::decimal, "limit of a question"},
                                  {"answer", OutKind::text, "yes or no, of a question"}};

void put_table(const std::vector<Done>& done, MainTable& table) {
  std::vector<Line> lines;
  for (const Done& d : done) add_lines(d, lines);
  const auto row = [&lines](auto& sink, std::size_t i) {
    const Line& l = lines[i];
    sink.text(field_test_word(l.test));
    sink.text(l.item);
    sink.fixed(l.value, kDecimals);
    sink.text(l.unit);
    put_number(sink, l.sd, kDecimals);
    sink.integer(static_cast<std::int64_t>(l.freedom));
    put_number(sink, l.lower, kDecimals);
    put_number(sink, l.upper, kDecimals);
    sink.text(l.answer);
  };
  table.put(*declared_table(kColumns, LengthUnit::metre, lines.size(), row), kColumns);
}

bool tells_something(const Done& d) { return d.result.solved || !d.result.values.empty(); }

/// The last line, where no scatter is worse than stated.
std::string ending(const std::vector<Done>& done, bool is_stated) {
  std::vector<std::string_view> untold;
  for (const Done& d : done)
    if (!d.result.solved) untold.push_back(field_test_word(d.test));
  if (untold.size() == done.size())
    return done.front().result.alike ? "SCATTER NOT TOLD: all readings say the same"
                                     : "SCATTER NOT TOLD: no reading is left over to tell it";
  std::string line =
      is_stated ? "SCATTER NO WORSE THAN STATED" : "SCATTER TOLD: no sd was stated to hold it against";
  if (!untold.empty()) line += fmt::format("; not told: {}", fmt::join(untold, ", "));
  return line;
}

}  // namespace

JobOutcome judge_field_test(const FieldTestRequest& request, Messages& messages) {
  const auto table = read_field_table(request.table, messages);
  std::optional<FieldTable> with;
  std::error_code none;
  if (!request.with.empty() && std::filesystem::equivalent(request.with, request.table, none))
    messages.problem(Where{}, "--with",
                     Fault{fmt::format("{}, the table itself", in_quotes(request.with.string())),
                           "another table of the same test", ""});
  if (!request.with.empty()) with = read_field_table(request.with, messages);
  FieldTestOptions sd;
  if (table && !request.sd.empty()) {
    const bool angles =
        table->tests.front() == FieldTest::directions || table->tests.front() == FieldTest::zeniths;
    if (const auto read = read_stated_sd(request.sd, angles, messages)) sd = *read;
  }
  if (!table || messages.has_problems()) return ended_with_problems();
  if (with && with->tests != table->tests)
    messages.problem(Where::whole(with->file), "file",
                     Fault{fmt::format("a table for {}", field_test_word(with->tests.front())),
                           fmt::format("a second table for {}", field_test_word(table->tests.front())), ""});
  std::vector<Done> done;
  for (const FieldTest test : table->tests) {
    Done d{test, result_of(test, *table, sd), std::nullopt, std::nullopt};
    if (with && !messages.has_problems()) {
      d.second = result_of(test, *with, sd);
      if (!d.second->solved || !d.result.solved)
        tell_too_few(d.second->solved ? table->file : with->file, test,
                     d.second->solved ? d.result : *d.second, messages);
      else
        d.same = same_scatter(d.result, *d.second);
    }
    tell_slip(d, *table, messages);
    done.push_back(std::move(d));
  }
  if (!messages.has_problems() && std::ranges::none_of(done, tells_something))
    for (const Done& d : done) tell_too_few(table->file, d.test, d.result, messages);
  if (messages.has_problems()) return ended_with_problems();
  JobOutcome out;
  out.line = ending(done, !request.sd.empty());
  for (const Done& d : done) {
    out.text += text_of(d, *table, request) + "\n";
    for (const FieldQuestion& q : d.result.questions)
      if (q.kind == FieldQuestionKind::precision && !q.yes) {
        out.exit = Exit::outside;
        out.line = fmt::format("SCATTER WORSE THAN STATED: {}", field_test_word(d.test));
      }
  }
  out.text += field_caution_text();
  out.no_verdict = "a field test judges an instrument, not a job";
  if (request.with_rows) put_table(done, out.table);
  return out;
}

}  // namespace deckmark
