#include "case_file.h"

#include <algorithm>
#include <cstddef>
#include <cstdlib>
#include <set>
#include <stdexcept>

#include "support/command.h"
#include "support/temp_folder.h"

namespace deckmark_test {

namespace {

std::vector<std::string> lines_of(std::string_view text) {
  std::vector<std::string> out;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    const bool whole = end < text.size();
    out.emplace_back(text.substr(0, end));
    if (!whole) out.back() += "<no line end>";
    text.remove_prefix(whole ? end + 1 : end);
  }
  return out;
}

bool begins(std::string_view text, std::string_view start) { return text.substr(0, start.size()) == start; }

std::string trimmed(std::string_view text) {
  const std::size_t from = text.find_first_not_of(' ');
  if (from == std::string_view::npos) return "";
  return std::string(text.substr(from, text.find_last_not_of(' ') - from + 1));
}

/// Words as in a shell; quotes keep blanks, and "" is an empty word.
std::vector<std::string> words_of(std::string_view text) {
  std::vector<std::string> out;
  char quote = 0;
  bool inside = false;
  std::string word;
  for (const char c : text) {
    if (quote != 0) {
      if (c == quote)
        quote = 0;
      else
        word += c;
    } else if (c == '"' || c == '\'') {
      quote = c;
      inside = true;
    } else if (c == ' ') {
      if (inside) out.push_back(word);
      word.clear();
      inside = false;
    } else {
      word += c;
      inside = true;
    }
  }
  if (quote != 0) throw std::runtime_error("a quote is not closed");
  if (inside) out.push_back(word);
  return out;
}

std::string unescaped(const std::string& text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '\\' || i + 1 == text.size()) {
      out += text[i];
      continue;
    }
    const char c = text[++i];
    if (c == 'n')
      out += '\n';
    else if (c == 'r')
      out += '\r';
    else if (c == 't')
      out += '\t';
    else if (c == '\\')
      out += '\\';
    else if (c == '\n')
      continue;  // joins the next line
    else if (c == 'x' && i + 2 < text.size()) {
      out += static_cast<char>(std::strtoul(text.substr(i + 1, 2).c_str(), nullptr, 16));
      i += 2;
    } else {
      throw std::runtime_error(std::string("unknown escape \\") + c);
    }
  }
  return out;
}

void read_head(CaseStep& step, const std::string& line) {
  const std::size_t colon = line.find(':');
  const std::string key = line.substr(0, colon);
  const std::string value =
      colon == std::string::npos ? "" : trimmed(std::string_view(line).substr(colon + 1));
  if (key == "args") {
    step.args = words_of(value);
  } else if (key == "exit") {
    step.exit_code = std::stoi(value);
  } else if (key == "env" && value.find('=') != std::string::npos) {
    step.env.emplace_back(value.substr(0, value.find('=')), value.substr(value.find('=') + 1));
  } else if (key == "wrote" && value == "any") {
    step.any_files = true;
  } else {
    throw std::runtime_error("\"" + line + "\" is no head line of a case");
  }
}

/// The text that a section's lines are added to; null where the section has no text.
struct Section {
  std::string* text = nullptr;
  bool escaped = false;
};

Section open_section(CaseStep& step, std::string name) {
  Section out;
  constexpr std::string_view kEscaped = " (escaped)";
  if (name.size() > kEscaped.size() && name.substr(name.size() - kEscaped.size()) == kEscaped) {
    out.escaped = true;
    name.resize(name.size() - kEscaped.size());
  }
  if (name == "stdout")
    out.text = &step.out;
  else if (name == "stderr")
    out.text = &step.err;
  else if (begins(name, "file "))
    out.text = &step.files[name.substr(5)];
  else if (begins(name, "absent "))
    step.absent.push_back(name.substr(7));
  else if (begins(name, "same "))
    step.same.push_back(name.substr(5));
  else if (name.find(' ') == std::string::npos)
    out.text = &step.expected[name];
  else
    throw std::runtime_error("\"--- " + name + "\" is no section of a case");
  return out;
}

/// Does `line` match the pattern in which {*} stands for any characters?
bool line_matches(std::string_view pattern, std::string_view line) {
  constexpr std::string_view kAny = "{*}";
  const std::size_t at = pattern.find(kAny);
  if (at == std::string_view::npos) return pattern == line;
  if (!begins(line, pattern.substr(0, at))) return false;
  const std::string_view rest = pattern.substr(at + kAny.size());
  for (std::size_t from = at; from <= line.size(); ++from) {
    if (line_matches(rest, line.substr(from))) return true;
  }
  return false;
}

using Lines = std::vector<std::string>;

/// Do the lines from `l` on match the patterns from `p` on? Remembers how far it came, for the message.
bool lines_match(const Lines& patterns, std::size_t p, const Lines& lines, std::size_t l,
                 std::pair<std::size_t, std::size_t>& farthest) {
  while (p < patterns.size() && patterns[p] != "...") {
    if (l + p >= farthest.first + farthest.second) farthest = {p, l};
    if (l == lines.size() || !line_matches(patterns[p], lines[l])) return false;
    ++p;
    ++l;
  }
  if (p == patterns.size()) {
    if (l + p >= farthest.first + farthest.second) farthest = {p, l};
    return l == lines.size();
  }
  for (std::size_t from = l; from <= lines.size(); ++from) {
    if (lines_match(patterns, p + 1, lines, from, farthest)) return true;
  }
  return false;
}

std::string difference_of(const std::string& what, const std::string& expected, const std::string& found) {
  const std::string text = difference(expected, found);
  return text.empty() ? "" : what + ": " + text;
}

/// What the folder holds afterwards, against what the step states.
std::string check_files(const CaseStep& step, const std::map<std::string, std::string>& before,
                        const std::map<std::string, std::string>& after) {
  std::string wrong;
  for (const auto& [name, text] : step.expected) {
    const auto at = after.find(name);
    wrong += at == after.end() ? name + ": is not there\n" : difference_of(name, text, at->second);
  }
  for (const std::string& name : step.absent) {
    if (after.count(name) > 0) wrong += name + ": must not be there\n";
  }
  for (const std::string& name : step.same) {
    if (before.count(name) == 0 || after.count(name) == 0 || before.at(name) != after.at(name))
      wrong += name + ": is not as it was before\n";
  }
  if (step.any_files) return wrong;
  for (const auto& [name, text] : after) {
    if (name.back() == '/' || step.expected.count(name) > 0) continue;
    const auto at = before.find(name);
    if (at == before.end())
      wrong += name + ": was written, but is not stated\n";
    else if (at->second != text)
      wrong += name + ": was changed, but is not stated\n";
  }
  for (const auto& [name, text] : before) {
    if (after.count(name) == 0 &&
        std::set<std::string>(step.absent.begin(), step.absent.end()).count(name) == 0)
      wrong += name + ": was removed\n";
  }
  return wrong;
}

}  // namespace

std::vector<CaseStep> parse_case(const std::string& text) {
  std::vector<CaseStep> steps(1);
  Section section;
  bool in_head = true;
  std::size_t number = 0;
  const auto close = [&] {
    if (section.text != nullptr && section.escaped) *section.text = unescaped(*section.text);
    section = {};
  };
  try {
    for (std::size_t at = 0; at < text.size();) {
      const std::size_t end = std::min(text.find('\n', at), text.size());
      const std::string line = text.substr(at, end - at);
      at = end + 1;
      ++number;
      if (begins(line, "--- ")) {
        close();
        in_head = line == "--- then";
        if (in_head)
          steps.emplace_back();
        else
          section = open_section(steps.back(), line.substr(4));
      } else if (in_head) {
        if (!line.empty() && line[0] != '#') read_head(steps.back(), line);
      } else if (section.text != nullptr) {
        *section.text += line + "\n";
      } else if (!line.empty()) {
        throw std::runtime_error("\"" + line + "\" stands in a section that has no text");
      }
    }
    close();
  } catch (const std::exception& error) {
    throw std::runtime_error("line " + std::to_string(number) + ": " + error.what());
  }
  return steps;
}

std::string difference(std::string_view expected, std::string_view found) {
  const Lines patterns = lines_of(expected), lines = lines_of(found);
  std::pair<std::size_t, std::size_t> farthest{0, 0};
  if (lines_match(patterns, 0, lines, 0, farthest)) return "";
  const auto [p, l] = farthest;
  return "line " + std::to_string(l + 1) +
         " differs\n  expected: " + (p < patterns.size() ? patterns[p] : "<end>") +
         "\n  found:    " + (l < lines.size() ? lines[l] : "<end>") + "\n  --- all of it:\n" +
         std::string(found) + "  ---\n";
}

std::string run_case(const std::vector<CaseStep>& steps, const std::filesystem::path& program,
                     const std::filesystem::path& folder) {
  std::string wrong;
  for (std::size_t i = 0; i < steps.size(); ++i) {
    const CaseStep& step = steps[i];
    for (const auto& [name, bytes] : step.files) write_bytes(folder / name, bytes);
    const auto before = snapshot(folder);
    CommandRun run;
    run.program = program;
    run.args = step.args;
    run.folder = folder;
    run.env_without = {"NO_COLOR"};
    for (const auto& [name, value] : step.env) run.env[name] = value;
    const CommandResult result = run.run();
    std::string here;
    if (result.timed_out) here += "did not end in time\n";
    if (result.signal != 0) here += "ended by signal " + std::to_string(result.signal) + "\n";
    if (result.signal == 0 && result.exit_code != step.exit_code) {
      here += "exit code " + std::to_string(result.exit_code) + ", expected " +
              std::to_string(step.exit_code) + "\n";
    }
    here += difference_of("stdout", step.out, result.out);
    here += difference_of("stderr", step.err, result.err);
    here += check_files(step, before, snapshot(folder));
    if (!here.empty()) wrong += (steps.size() > 1 ? "run " + std::to_string(i + 1) + ": " : "") + here;
  }
  return wrong;
}

}  // namespace deckmark_test
