#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string>
#include <vector>

#include "manual/manual.h"
#include "manual/prose.h"
#include "manual/reference.h"
#include "manual/topics.h"
#include "measure/letters.h"
#include "measure/utf8.h"

namespace deckmark {

namespace {

constexpr std::size_t kSourceWidth = 78;  // of a line of a page's source

/// A text as it is shown, in the signs of man(7): ASCII alone.
std::string escaped(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const Character c = first_character(text);
    const char sign = text.front();
    text.remove_prefix(std::max<std::size_t>(1, c.size));
    switch (sign) {
      case '\\':
        out += "\\e";
        break;
      case '-':
        out += "\\-";
        break;
      case '\'':
        out += "\\(aq";
        break;
      case '`':
        out += "\\(ga";
        break;
      case '^':
        out += "\\(ha";
        break;
      case '~':
        out += "\\(ti";
        break;
      default:
        if (c.code > 0x7E)
          out += fmt::format("\\[u{:04X}]", static_cast<unsigned>(c.code));
        else
          out += sign;
    }
  }
  return out;
}

/// A line that is no macro, whatever it begins with; a long one goes on behind a backslash, at a blank.
std::string text_line(std::string_view line) {
  std::string out = line.starts_with('.') ? "\\&" : "";
  std::size_t used = 0;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const std::size_t word =
        line.find(' ', i + 1) == std::string_view::npos ? line.size() - i : line.find(' ', i + 1) - i;
    if (line[i] == ' ' && used + word > kSourceWidth - 2) {
      out += "\\\n";
      used = 0;
    }
    out += line[i];
    ++used;
  }
  return out + "\n";
}

/// Every line of a text by itself.
std::string text_lines(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    out += text_line(text.substr(0, end));
    text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
  }
  return out;
}

/// A page, line by line.
class Page {
 public:
  Page(const Manual& manual, std::string_view name, std::string_view number, std::string_view what) {
    std::string title(name);
    for (char& c : title)
      if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
    macro(fmt::format(".TH {} {} \"{}\" \"deckmark {}\"", escaped(title), number, manual.date,
                      escaped(manual.version)));
    section("NAME");
    macro(fmt::format("{} \\- {}", escaped(name), escaped(what)));
  }

  void section(std::string_view name) {
    macro(fmt::format(".SH {}", name));
    begins_ = true;
  }
  void part(std::string_view head) {
    macro(".SS " + escaped(head));
    begins_ = true;
  }
  void paragraph(std::string_view text) {
    if (!begins_) macro(".PP");
    begins_ = false;
    lines(text);
  }
  void blocks(std::string_view text) {
    for (const Block& b : blocks_of(text)) {
      if (b.kind == Block::Kind::paragraph) {
        paragraph(b.text);
      } else if (b.kind == Block::Kind::item) {
        macro(".IP \\(bu 2");
        lines(b.text);
      } else {
        if (!begins_) macro(".PP");
        macro(".nf");
        out_ += text_lines(escaped(b.text));
        macro(".fi");
      }
      begins_ = false;
    }
  }
  /// A word in bold, what stands for its value in italics, and what both mean.
  void term(std::string_view word, std::string_view value, std::string_view meaning) {
    macro(".TP");
    macro(fmt::format("\\fB{}\\fR{}", escaped(word),
                      value.empty() ? "" : fmt::format(" \\fI{}\\fR", escaped(value))));
    lines(meaning);
    begins_ = false;
  }
  /// A line as it is typed, under the term.
  void typed(std::string_view line) {
    macro(".br");
    out_ += text_line(escaped(line));
  }
  void see_also(std::string_view but) {
    section("SEE ALSO");
    std::string pages;
    for (const std::string_view page : kManPages) {
      if (page == but) continue;
      const std::size_t dot = page.find('.');
      pages += fmt::format("{}.BR {} ({})", pages.empty() ? "" : " ,\n", escaped(page.substr(0, dot)),
                           page.substr(dot + 1));
    }
    macro(pages);
  }
  std::string text() && { return std::move(out_); }

 private:
  void macro(std::string_view line) { out_.append(line).append("\n"); }
  void lines(std::string_view text) { out_ += text_lines(filled("", "", escaped(text), kSourceWidth)); }

  std::string out_;
  bool begins_ = true;  // nothing stands under the head
};

std::string sentence(std::string_view words) { return std::string(words) + "."; }

/// Help of a command, its examples in lines of their own.
std::string with_examples_kept(std::string_view help) {
  std::string out(help);
  constexpr std::string_view kExample = "\nexample: ";
  for (std::size_t at = 0; (at = out.find(kExample, at)) != std::string::npos; at += kExample.size())
    out.insert(at + 1, "  ");
  return out;
}

std::string program_page(const Manual& manual) {
  Page page(manual, "deckmark", "1", "from shop drawing to numbered points on floor and deck");
  page.section("SYNOPSIS");
  page.blocks("  deckmark COMMAND [JOB] [options]\n  deckmark help [TOPIC [NAME]]\n");
  page.section("DESCRIPTION");
  page.blocks(manual.purpose);
  page.paragraph(
      "JOB is a job file, or the folder that holds job.toml; without it, the current folder. Results go to "
      "standard output; problems, doubts and notices to standard error.");
  page.section("COMMANDS");
  std::string_view group;
  for (const ManualCommand& c : manual.commands) {
    page.part(fmt::format("deckmark {} {}", c.name, c.operand));
    if (c.group != group) page.paragraph(sentence(c.group));
    group = c.group;
    page.blocks(with_examples_kept(c.help));
    for (const ManualOption& o : c.options) page.term(fmt::format("--{}", o.name), o.value, o.meaning);
  }
  page.section("OPTIONS OF EVERY COMMAND");
  for (const ManualOption& o : manual.shared)
    page.term(fmt::format("{}--{}", o.letter ? fmt::format("-{}, ", o.letter) : "", o.name), o.value,
              o.meaning);
  page.section("EXIT STATUS");
  page.blocks(topic_prose("status"));
  page.section("FILES");
  page.term("job.toml", "", "the job: see deckmark-job(5)");
  for (const OutputSpec* f : manual.files)
    page.term(f->name, "", fmt::format("{}; {}", f->meaning, when_made(*f)));
  page.see_also("deckmark.1");
  return std::move(page).text();
}

void add_keys(Page& page, const std::vector<KeyEntry>& keys) {
  const KeyEntry* last = nullptr;
  for (const KeyEntry& k : keys) {
    if (!k.section.empty() && (!last || last->section != k.section)) page.part(section_head(k));
    last = &k;
    const std::array parts{k.kind, standing_of(k)};
    page.term(k.name, "", fmt::format("{} ({})", k.meaning, joined_by("; ", parts)));
    page.typed(fmt::format("{} = {}", k.name, k.example));
  }
}

std::string job_page(const Manual& manual) {
  Page page(manual, "deckmark-job", "5", "the job file of deckmark");
  page.section("DESCRIPTION");
  page.paragraph(
      "job.toml is written in TOML. Paths are relative to it. A key may be left out unless it is required; "
      "an "
      "unknown key is a problem that names the nearest known one. Each key is shown with an example, which "
      "is "
      "no default.");
  page.section("VALUES");
  page.blocks(topic_prose("values"));
  page.section("KEYS");
  add_keys(page, key_entries());
  page.section("KEYS OF A TABLE IN BRACES");
  page.paragraph("In place of the path of its table a key may say more, in braces on one line.");
  add_keys(page, table_key_entries());
  page.see_also("deckmark-job.5");
  return std::move(page).text();
}

std::string tables_page(const Manual& manual) {
  Page page(manual, "deckmark-tables", "5", "tables that deckmark reads");
  page.section("DESCRIPTION");
  page.paragraph(
      "Each table is named by a key of the job file. Its columns stand in any order; a column that is "
      "required "
      "has to stand there, the others may be left out, and a cell is left empty where a value is not known.");
  page.section("TABLES");
  for (const TableEntry& t : table_entries()) {
    page.part(t.title());
    page.paragraph(sentence(t.meaning));
    for (const ColumnEntry& c : t.columns) {
      const std::array parts{std::string(c.kind), std::string(c.required ? "required" : ""),
                             c.also.empty() ? "" : fmt::format("read under {} too", c.also)};
      page.term(c.name, "", fmt::format("{} ({})", c.meaning, joined_by("; ", parts)));
    }
  }
  page.see_also("deckmark-tables.5");
  return std::move(page).text();
}

std::string files_page(const Manual& manual) {
  Page page(manual, "deckmark-files", "5", "files that deckmark writes");
  page.section("DESCRIPTION");
  page.paragraph(
      "run writes these files into the output folder, all together or none; the ledger lies in the job's "
      "folder. NAME stands for what varies. Lengths are in the list unit, which the header names; a value "
      "that "
      "the job cannot give is empty, never 0.");
  page.section("FILES");
  for (const OutputSpec* f : manual.files) {
    page.part(f->name);
    page.paragraph(fmt::format("{}; {}.", f->meaning, when_made(*f)));
    for (const OutColumn& c : f->columns)
      page.term(c.name, "", fmt::format("{} ({})", c.meaning, kind_word(c.kind)));
  }
  page.see_also("deckmark-files.5");
  return std::move(page).text();
}

}  // namespace

Outcome<std::string> man_page(const Manual& manual, std::string_view page) {
  if (page == kManPages[0]) return program_page(manual);
  if (page == kManPages[1]) return job_page(manual);
  if (page == kManPages[2]) return tables_page(manual);
  if (page == kManPages[3]) return files_page(manual);
  return unknown_word("page", page, {std::begin(kManPages), std::end(kManPages)});
}

}  // namespace deckmark
