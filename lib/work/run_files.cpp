#include "work/run_files.h"

#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <system_error>
#include <variant>

#include "lists/offsets.h"
#include "measure/visible_lines.h"
#include "report/files_text.h"
#include "report/issue_text.h"
#include "work/kept_files.h"
#include "work/other_issues.h"
#include "work/outputs.h"
#include "work/read_books.h"
#include "work/tape_sheet.h"

namespace deckmark {

namespace fs = std::filesystem;

RunFiles::RunFiles(const Computation& computed, const JobRequest& request, const fs::path& out,
                   Messages& messages)
    : c_(computed),
      job_(computed.job),
      out_(output_folder(computed.job, out)),
      is_explicit_(!out.empty() && !is_same_file(out_, output_folder(computed.job, {}))),
      take_over_(request.take_over),
      messages_(messages) {}

std::vector<Planned> RunFiles::plan(std::string_view verdict) {
  std::vector<Planned> files;
  for (Output& o : plan_outputs(c_, verdict)) {
    const fs::path target = out_ / o.name;
    std::optional<std::size_t> rows;
    if (const auto* table = std::get_if<std::unique_ptr<WrittenTable>>(&o.content))
      rows = (*table)->rows();
    else  // a text to read: all that it holds shows
      o.content = visible_lines(std::move(std::get<std::string>(o.content)));
    files.push_back({{target, std::move(o.content)}, o.numbers, std::move(o.name), rows, o.is_of_crew});
  }
  const auto keep = [&](const fs::path& target) {
    keep_inputs(target);
    for (const fs::path& journal : journals())
      if (is_same_file(target, journal)) refuse(target, "the ledger");
    for (const fs::path& book : book_paths(job_))
      if (is_same_file(target, book)) refuse(target, "a book");
  };
  for (const Planned& p : files) keep(p.file.target);
  for (const std::string_view name : {kPageFile, kSumsFile, kSummaryFile}) keep(out_ / name);
  for (const fs::path& target : KeptFiles(job_).targets(out_)) keep(target);
  for (const fs::path& journal : journals()) keep_inputs(journal);
  tell_foreign(files);
  tell_foreign_sums();
  KeptFiles(job_).tell(out_, messages_);
  tell_changed(messages_);
  tell_left_behind(place(files), job_.input_paths, messages_);
  if (c_.issue.get()) tell_other_issues(c_, out_, is_explicit_, take_over_, messages_);
  return files;
}

std::vector<fs::path> RunFiles::stale(const std::vector<Planned>& files) const {
  std::vector<fs::path> out;
  for (const std::string& name : earlier()) {
    const fs::path target = out_ / name;
    const bool made = std::ranges::any_of(files, [&](const Planned& p) { return p.file.target == target; });
    const bool is_input =
        std::ranges::any_of(job_.input_paths, [&](const fs::path& in) { return is_same_file(in, target); });
    if (!made && !is_input && !is_of_run(name)) out.push_back(target);
  }
  return out;
}

bool RunFiles::is_of_run(std::string_view name) const {
  return name == kSumsFile || name == kSummaryFile || (name == kPageFile && has_place());
}

/// Files that stand in the way and that no earlier run names in its summary: they are replaced. What is no
/// file cannot be.
void RunFiles::tell_foreign(const std::vector<Planned>& files) const {
  const std::set<std::string> made = earlier();
  for (const Planned& p : files) {
    std::error_code none;
    const fs::path& target = p.file.target;
    const fs::file_status stands = fs::symlink_status(target, none);
    if (!fs::exists(stands)) continue;
    const auto tell = [&](std::string_view what) {
      messages_.doubt("a file that another made", Where::whole(target.string()), "file",
                      fmt::format("{}: move it, or choose another folder with --out", what));
    };
    if (fs::is_directory(target, none))
      tell("a folder of this name is in the way, so that a run will fail");
    else if (fs::is_symlink(stands) && !fs::exists(target, none))
      tell("a run replaces this link, which leads to no file");
    else if (fs::is_regular_file(target, none) && made.count(p.shown) == 0)
      tell("a run replaces it, and no earlier run made it");
  }
  for (const fs::path& journal : journals()) {
    std::error_code none;
    if (fs::is_symlink(journal, none) && !fs::exists(journal, none))
      messages_.doubt(
          "a file that another made", Where::whole(journal.string()), "file",
          "a run replaces this link, which leads to no file: move it, or choose another folder with "
          "--out");
  }
}

/// The offset sheet, against the one that an earlier run made here.
void RunFiles::tell_changed(Messages& messages) const {
  const std::string name(kOffsetsOutput.name);
  if (!c_.offsets.get() || earlier().count(name) == 0) return;
  const auto read = read_source(out_ / name, name);
  if (const auto* before = std::get_if<std::shared_ptr<const Source>>(&read))
    tell_changed_sheet(c_, *before, (out_ / name).string(), messages);
}

/// No summary names the sums. Those of a run name its summary.
void RunFiles::tell_foreign_sums() const {
  std::error_code none;
  const fs::path target = out_ / kSumsFile;
  if (!fs::is_regular_file(fs::symlink_status(target, none))) return;
  if (text_in(kSumsFile).find(fmt::format("  {}\n", kSummaryFile)) != std::string::npos) return;
  messages_.doubt("a file that another made", Where::whole(target.string()), "file",
                  "a run replaces it, and no earlier run made it: move it, or choose another folder with "
                  "--out");
}

/// A file that stands in the output folder; empty where none can be read.
std::string RunFiles::text_in(std::string_view name) const {
  const auto read = read_source(out_ / name, std::string(name));
  const auto* source = std::get_if<std::shared_ptr<const Source>>(&read);
  return source ? std::string((*source)->text()) : "";
}

/// Files that earlier runs made: those named in the summary, and those that a run which was killed before
/// its summary put in place.
std::set<std::string> RunFiles::earlier() const {
  std::set<std::string> names;
  for (std::string& name : interrupted_in(out_).made) names.insert(std::move(name));
  for (const FileLine& line : read_files_text(text_in(kSummaryFile))) names.insert(line.name);
  std::erase_if(names, [](const std::string& name) { return output_of(name) == nullptr; });
  return names;
}

OutputPlace RunFiles::place(const std::vector<Planned>& files) const {
  OutputPlace place{job_.ledger_path,    out_,
                    out_ / kSummaryFile, {std::string(kSumsFile), std::string(kSummaryFile)},
                    earlier(),           true};
  if (has_place()) place.made.insert(std::string(kPageFile));
  for (const Planned& p : files) place.made.insert(p.shown);
  // The page is the last that a summary names; without a drawing there is neither page nor issue.
  const std::vector<FileLine> named = read_files_text(text_in(kSummaryFile));
  place.summary_tells =
      !named.empty() && (named.back().name == kPageFile || !read_issue_text(text_in(kSummaryFile)));
  return place;
}

void RunFiles::refuse(const fs::path& target, const std::string& what) {
  messages_.problem(Where::whole(target.string()), "file",
                    Fault{fmt::format("an output of this name that would replace {}", what),
                          "an output folder without files that the job reads", "--out with another folder"});
}

/// The files that the run adds to beside its folder.
std::vector<fs::path> RunFiles::journals() const {
  const LedgerFiles files = job_.ledger_files();
  std::vector<fs::path> out{job_.ledger_path};
  for (const std::string_view word : kBesideLedger) out.push_back(files.path_beside(word));
  return out;
}

/// The ledger as read for its numbers; the same file named as another table is an input like any other.
bool RunFiles::is_ledger_input(std::size_t input) const {
  return std::ranges::find(job_.ledger.sources, job_.inputs[input]) != job_.ledger.sources.end();
}

void RunFiles::keep_inputs(const fs::path& target) {
  for (std::size_t i = 0; i < job_.input_paths.size(); ++i)
    if (!is_ledger_input(i) && is_same_file(target, job_.input_paths[i]))
      refuse(target, in_quotes(job_.inputs[i]->name()) + ", which the job reads");
  for (const SiblingStorey& s : job_.storeys)
    for (const std::string& file : {s.job_file, s.ledger_file})
      if (is_same_file(target, job_.folder / file)) refuse(target, in_quotes(file) + ", of " + s.name);
}

}  // namespace deckmark
