#pragma once
/// `[numbers]` and `[list]`.

#include "job/job.h"
#include "terms/key.h"

namespace deckmark {

inline constexpr auto kNumbers = section<Job>(
    "numbers",
    key<&Job::numbers, &NumberOptions::start>(
        "start", CountKind{kLeastNumber, kMostNumber, NumberOptions{}.start}, "first number", "1001")
        .defaults_to("1001")
        .placed<&Job::start_key>(),
    key<&Job::numbers, &NumberOptions::step>("step", CountKind{1, kMostNumber},
                                             "from one new number to the next", "1")
        .defaults_to("1"),
    key<&Job::numbers, &NumberOptions::deck_offset>("deck_offset",
                                                    CountKind{1, kMostNumber, NumberOptions{}.deck_offset},
                                                    "deck number minus floor number", "5000")
        .defaults_to("5000")
        .placed<&Job::deck_offset_key>(),
    key<&Job::numbers, &NumberOptions::last>("last", CountKind{kLeastNumber, kMostNumber},
                                             "no floor number is above it", "3999")
        .placed<&Job::last_key>(),
    key<&Job::ledger_file>("ledger", TextKind{}, "the ledger of numbers, in the job's folder or below",
                           R"("numbers.csv")")
        .defaults_to(R"("numbers.csv")")
        .placed<&Job::ledger_key>());

inline constexpr auto kList = shared(section<Job>(
    "list",
    key<&Job::list, &ListOptions::columns>(
        "columns",
        WordsKind<ListColumn>{list_column_word, ListColumn::description, "at least one column",
                              R"(["number", "northing", "easting"])"},
        "columns of the lists: number, point, kind, run, x, y, northing, easting, elevation, description",
        R"(["number", "northing", "easting", "elevation", "description"])")
        .defaults_to(R"(["number", "northing", "easting", "elevation", "description"])"),
    key<&Job::list, &ListOptions::unit>("unit", UnitKind{.feet_for_feet_inches = true},
                                        "unit of the lists and of every table written", R"("ft")")
        .otherwise("the site unit"),
    key<&Job::list, &ListOptions::decimals>("decimals", CountKind{0, 9}, "decimals in the lists", "4")
        .defaults_to("4")
        .placed<&Job::list_decimals_key>(),
    key<&Job::list, &ListOptions::header>("header", FlagKind{}, "a line of column names first", "true")
        .defaults_to("false"),
    key<&Job::list, &ListOptions::separator>("separator",
                                             MarkKind{",;\t| ", "one of , ; tab | or a blank", R"(",")"},
                                             ", ; tab | or a blank between the columns", R"(";")")
        .defaults_to(R"(",")"),
    key<&Job::list, &ListOptions::decimal_mark>("decimal_mark", MarkKind{".,", ". or ,", R"(".")"},
                                                ". or , in numbers; another than the separator", R"(".")")
        .defaults_to(R"(".")"),
    key<&Job::list, &ListOptions::crlf>("line_end", choice<bool>({{"crlf", true}, {"lf", false}}),
                                        "crlf or lf at the end of a line", R"("lf")")
        .defaults_to(R"("crlf")"),
    key<&Job::list, &ListOptions::description>(
        "description", WordsKind<DescriptionPart>{description_part_word, DescriptionPart::drop},
        "what a description is made of: point, kind, run, drop; joined by one blank", R"(["point", "kind"])")
        .defaults_to(R"(["point", "kind"])"),
    key<&Job::list, &ListOptions::description_length>(
        "description_length", CountKind{1, 1000},
        "characters of a description; longer is cut, and two that become equal are a doubt", "24")
        .defaults_to("24"),
    key<&Job::list, &ListOptions::ascii>("ascii", FlagKind{},
                                         "letters beyond ASCII are replaced by plain ones", "false")
        .defaults_to("true"),
    key<&Job::list, &ListOptions::order>(
        "order", choice<ListOrder>({{"number", ListOrder::number}, {"run", ListOrder::run}}),
        "number, or run: the points of one run together", R"("run")")
        .defaults_to(R"("number")"),
    key<&Job::list, &ListOptions::only>("only", TextsKind{"at least one run", "no only key for all points"},
                                        "runs to list; points.csv always has all points", R"(["R1"])")
        .otherwise("all"),
    key<&Job::list, &ListOptions::together>(
        "together", FlagKind{}, "true: one list.csv, control first, then floor, then deck", "true")
        .defaults_to("false"),
    key<&Job::list, &ListOptions::split>(
        "split", choice<ListSplit>({{"none", ListSplit::none}, {"run", ListSplit::run}}),
        "none, or run: a floor list and a deck list for every run", R"("run")")
        .defaults_to(R"("none")")
        .placed<&Job::list_split_key>(),
    key<&Job::list, &ListOptions::frame>(
        "frame", choice<ListFrame>({{"ground", ListFrame::ground}, {"grid", ListFrame::grid}}),
        "ground, or grid: lists in the coordinates of the projection", R"("ground")")
        .defaults_to(R"("ground")")));

}  // namespace deckmark
