// What the page says, and that what users typed is shown and never runs.
#include <doctest/doctest.h>

#include <regex>
#include <set>
#include <stdexcept>

#include "page_support.h"
#include "support/page_reader.h"

using namespace page_test;
using namespace deckmark_test;

namespace {

const std::vector<std::string> kNames = {"\"><script>alert(1)</script>",
                                         "</style><img src=x onerror=alert(1)>",
                                         "O'Neil & \"Sons\" <b>",
                                         "&lt;&#x3c;&amp;",
                                         "]]><!-- -->",
                                         "Tr\xC3\xA4ger \xC3\x98",
                                         "\xD0\xBF\xD1\x80\xD0\xBE\xD0\xBB\xD1\x91\xD1\x82-3",
                                         "\xD7\xA7\xD7\x95 7",
                                         "\xE6\xA2\x81-07",
                                         "\xF0\x9D\x94\xBE"
                                         "1"};

/// Nothing that a browser would run or fetch: elements and attributes that may stand in the page are few.
void check_inert(const PageNode& node) {
  static const std::set<std::string> kElements = {
      "#page", "",        "html", "head",   "meta",       "title",  "style", "body", "header",
      "main",  "section", "h1",   "h2",     "p",          "strong", "b",     "bdi",  "dl",
      "div",   "dt",      "dd",   "table",  "thead",      "tbody",  "tr",    "th",   "td",
      "ul",    "ol",      "li",   "figure", "figcaption", "span",   "svg",   "defs", "pattern",
      "g",     "path",    "rect", "circle", "text"};
  static const std::set<std::string> kAttributes = {"lang",
                                                    "charset",
                                                    "name",
                                                    "content",
                                                    "class",
                                                    "scope",
                                                    "style",
                                                    "role",
                                                    "aria-label",
                                                    "aria-hidden",
                                                    "viewBox",
                                                    "id",
                                                    "width",
                                                    "height",
                                                    "patternUnits",
                                                    "patternTransform",
                                                    "transform",
                                                    "d",
                                                    "x",
                                                    "y",
                                                    "cx",
                                                    "cy",
                                                    "r",
                                                    "fill"};
  CAPTURE(node.name);
  CHECK(kElements.count(node.name) == 1);
  for (const auto& [key, value] : node.attributes) {
    CAPTURE(key);
    CHECK(kAttributes.count(key) == 1);
    CHECK(value.find("url(") == std::string::npos);
  }
  for (const PageNode& child : node.children) check_inert(child);
}

/// A page in which every text of a user is `name`.
std::string page_named(const std::string& name) {
  JobPage page = small_page();
  page.title = page.revision = name;
  const std::string line = "DO NOT LAY OUT: tie " + name + " x is off";
  page.line = line;
  for (PlanMark& m : page.plan.levels[0].marks) m.point = name;
  page.run_names = {"", name, name};
  for (RunNumbers& r : page.runs) r.run = name;
  page.plan.ties = page.plan.control = {{name, at(3, 3)}};
  page.hung = {{.run = name, .kind = "line", .length = Length::metres(1), .space = {}, .radius = {}}};
  page.hung[0].members = {{"left", Length::metres(1), "free", "wall", HangFirst::from, name}};
  page.crossings = {{name, name, Length::metres(1), Length::metres(1), Angle::degrees(90), {}}};
  page.crossings[0].through = page.crossings[0].cut = name;
  page.pieces = {{{name, name, "left", Length::metres(1), {{"notch " + name, Length::metres(1)}}}}, 1};
  page.inputs[0].name = name;
  page.baselines.revision = name;
  page.baselines.lines.resize(2);
  page.baselines.lines[0].what = name + " x";
  page.baselines.lines[1].what = name + " to " + name;
  page.baselines.signature = SignedWords{name, "2026-11-25", name, name};
  page.baselines.unchecked = {name};
  page.baselines.assurance.emplace();
  PlumbRow plumb;
  page.plumb = {{1001, name, &plumb}};
  Shots shots({3, 9}, 6);
  for (AsbuiltLine& l : shots.text.lines) l.point = l.shot_from = l.marked_from = name;
  shots.text.unmatched = shots.text.missing = {name};
  Cause cause;
  cause.shots = {0, 1};
  cause.points = 2;
  CauseLine told;
  told.cause = &cause;
  told.group = {GroupKind::setup, name};
  told.numbers = {1, 2};
  shots.text.causes = {told};
  shots.join(page);
  return page_html(page);
}

std::size_t count_of(const std::string& text, const std::string& word) {
  std::size_t n = 0;
  for (std::size_t i = text.find(word); i != std::string::npos; i = text.find(word, i + word.size())) ++n;
  return n;
}

}  // namespace

TEST_CASE("the reader of pages refuses what is not well-formed") {
  const std::string head = "<!DOCTYPE html>";
  CHECK_NOTHROW((void)read_page(head + "<p class=\"a\">x &amp; y<br/></p>"));
  for (const std::string bad :
       {"<p>", "<p></b>", "</p>", "<p><b></p></b>", "<p class=a></p>", "<p>&nbsp;</p>", "<p>a > b</p>",
        "<p a=\"1\" a=\"2\"></p>", "<p a=\"<\"></p>", "<p>a & b</p>", "<br>"}) {
    CAPTURE(bad);
    CHECK_THROWS_AS((void)read_page(head + bad), std::runtime_error);
  }
}

TEST_CASE("names with quotes, angle brackets and letters of all kinds are shown as text and run nothing") {
  for (const std::string& name : kNames) {
    CAPTURE(name);
    const std::string html = page_named(name);
    const PageNode page = read_page(html);
    check_inert(page);
    const std::string text = text_of(page);
    // Title, revision, first line, numbers, members, where they meet, pieces, plumb, ties, lengths, shots and
    // their setups, cause, unmatched, input.
    CHECK(count_of(text, name) >= 26);
    CHECK(text_of(*elements(page, "h1").at(0)) == name);
    CHECK(text_of(*elements(page, "p", "standing").at(0)) == "DO NOT LAY OUT: tie " + name + " x is off");
    CHECK(html.find("<script") == std::string::npos);
    CHECK(html.find("http") == std::string::npos);
    CHECK(html.find("<img") == std::string::npos);
    const PageNode& style = *elements(page, "style").at(0);
    CHECK(style.children.empty());
    CHECK(std::regex_search(style.words,
                            std::regex("@bottom-left\\{content:\"([A-Za-z0-9. ]|\\\\[0-9a-f]{6} )*\"")));
    CHECK(style.words.find("import") == std::string::npos);
  }
}

TEST_CASE("control characters of a title are made visible, line breaks become blanks") {
  JobPage page = small_page();
  page.title =
      "a\x01"
      "b\nc\x7F";
  CHECK(text_of(*elements(read_page(page_html(page)), "h1").at(0)) == "aU+0001b cU+007F");
}

TEST_CASE("the first line stands on top, whole") {
  for (const std::string line : {"READY TO LAY OUT", "BASELINES NOT CHECKED: no ties, so; this: that",
                                 "DO NOT LAY OUT: a is off by 5 mm; and 3 more"}) {
    CAPTURE(line);
    JobPage page = small_page();
    page.line = line;
    CHECK(text_of(*elements(read_page(page_html(page)), "p", "standing").at(0)) == line);
  }
}

// 2026-11-27: first and last of a run were told as if all between were its own (R1 1001 to 1039, of which
// 1014 to 1037 were another's).
TEST_CASE("numbers of the runs are ranges that hold no other run's numbers") {
  JobPage page = small_page();
  page.runs = {{.run = "R1",
                .floor = {{1001, 1013}, {1038, 1039}},
                .count = 15,
                .deck = {{1002, 1013}, {1039, 1039}},
                .on_deck = 13},
               {.run = "", .floor = {{1045, 1105, 5}}, .count = 13}};
  page.numbers = {{1001, 1013}, {1038, 1039}, {1045, 1105, 5}};
  page.deck_offset = 5000;
  const PageNode html = read_page(page_html(page));
  const auto rows = table_with(section(html, "Numbers of the lists"), "run");
  REQUIRE(rows.size() == 3);
  CHECK((rows[1] == std::vector<std::string>{"R1", "1001-1013, 1038-1039", "15", "6002-6013, 6039", "13"}));
  CHECK((rows[2] == std::vector<std::string>{"(no run)", "1045-1105 by 5", "13", "-", "0"}));
  CHECK(text_of(html).find("28: 1001-1013, 1038-1039, 1045-1105 by 5") != std::string::npos);
}

TEST_CASE("a long list of ranges is cut, and says how many numbers are left out") {
  JobPage page = small_page();
  page.runs = {{.run = "R1", .floor = {}, .count = 45}};
  for (std::uint32_t k = 0; k < 15; ++k) page.runs[0].floor.push_back({1001 + 10 * k, 1003 + 10 * k});
  const auto rows = table_with(section(read_page(page_html(page)), "Numbers of the lists"), "run");
  CHECK(rows.at(1).at(1).ends_with("1111-1113, and 9 more"));
}

TEST_CASE("a row that has two limits says which decides, and names the other") {
  struct Row {
    double job, setout;
    PermittedBy by;
    std::string words;
  };
  for (const Row& r : {Row{3, 5, PermittedBy::job_tolerance, "; the set-out limit is 5.0 mm"},
                       Row{5, 3, PermittedBy::iso_secondary, "; the job's is 5.0 mm"}}) {
    JobPage page = small_page();
    PageLine line;
    line.what = "square, X to Y";
    line.is_square = true;
    line.angle = Angle::degrees(90.01);
    line.off = Length::millimetres(1.7);
    line.by_job = Length::millimetres(r.job);
    line.by_setout = Length::millimetres(r.setout);
    line.permitted = Length::millimetres(std::min(r.job, r.setout));
    line.good_to = Length::millimetres(1.2);
    line.by = r.by;
    page.baselines.lines = {line};
    const auto rows = table_with(section(read_page(page_html(page)), "Baselines"), "what");
    REQUIRE(rows.size() == 2);
    CHECK((rows[1] == std::vector<std::string>{"square, X to Y", "90-00-00", "90-00-36", "+1.7", "3.0", "1.2",
                                               "within", std::string(permitted_words(r.by)) + r.words}));
  }
}

TEST_CASE("rows that find no room are counted by their verdicts, the outside ones go last") {
  std::vector<PageLine> lines(40);
  for (std::size_t i = 0; i < lines.size(); ++i) {
    lines[i].what = "row";
    lines[i].off = Length::millimetres(1);
    lines[i].permitted = Length::millimetres(5);
    lines[i].verdict = i % 2 ? Verdict::outside : i % 4 ? Verdict::unsure : Verdict::within;  // 20, 10, 10
  }
  const auto told = [&](std::size_t most) {
    return left_out_words(lines, shown_rows(lines, most), "see b.csv");
  };
  CHECK(told(40) == "");
  CHECK(told(16) == "and 24 more, 4 of them OUTSIDE, 10 unsure: see b.csv");
  CHECK(told(22) == "and 18 more, 8 unsure: see b.csv");
  CHECK(told(35) == "and 5 more, within: see b.csv");
  for (const std::size_t i : shown_rows(lines, 16)) CHECK(lines[i].verdict == Verdict::outside);
}

TEST_CASE("a signed fit without ties is told as signed, not as no ties") {
  JobPage page = small_page();
  CHECK(text_of(section(read_page(page_html(page)), "Baselines")).find("No ties") != std::string::npos);
  const FittedTransform fit{drawing_is_site(false), {}};
  page.baselines.fit = &fit;
  page.baselines.signature = SignedWords{"A. Name", "2026-11-25", "A", ""};
  const std::string text = text_of(section(read_page(page_html(page)), "Baselines"));
  CHECK(text.find("No ties") == std::string::npos);
  CHECK(text.find("Signed by A. Name on 2026-11-25") != std::string::npos);
  CHECK(text.find("I accept") == std::string::npos);
}
