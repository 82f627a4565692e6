#include "work/other_issues.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <system_error>
#include <vector>

#include "job/folder_words.h"
#include "measure/shell_word.h"
#include "report/files_text.h"
#include "report/issue_text.h"
#include "table/source.h"
#include "work/kept_files.h"
#include "work/outputs.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

constexpr std::size_t kMostFolders = 1000;

fs::path whole(const fs::path& path) {
  std::error_code bad;
  return fs::weakly_canonical(fs::absolute(path, bad), bad);
}

/// The lists of an issue that stand in a folder.
struct Handed {
  fs::path folder;  ///< as messages name it
  IssueStamp stamp;
  std::int64_t highest = 0;  ///< number in them
};

class OtherIssues {
 public:
  OtherIssues(const Computation& c, const fs::path& out, bool is_explicit, Messages& messages)
      : c_(c),
        job_(c.job),
        ledger_(c.job.ledger.ledger),
        out_(out),
        is_explicit_(is_explicit),
        messages_(messages),
        job_folder_(whole(job_.folder.empty() ? fs::path(".") : job_.folder)) {}

  void tell(const std::string& take_over) {
    std::vector<Handed> against;
    std::string found;
    for (const fs::path& folder : folders()) {
      const auto handed = handed_in(folder);
      if (!handed) continue;
      const std::string fault = fault_of(*handed);
      if (fault.empty()) continue;
      if (found.empty()) found = fault;
      against.push_back(*handed);
    }
    if (!against.empty()) return refuse(found, against);
    if (!is_own_ledger(take_over)) return;
    if (is_explicit_) keep_other_issue();
  }

 private:
  bool is_own_ledger(const std::string& take_over) {
    const std::string& own = c_.views.issue.job;
    const std::string last = ledger_.last_issue() > 0 ? ledger_.issues().back().job : own;
    const auto was_its = [&](const IssuedRow& issue) { return issue.job == take_over; };
    if (!take_over.empty() && last == own && std::ranges::none_of(ledger_.issues(), was_its))
      messages_.problem(
          Where::whole("--take-over"), "",
          Fault{in_quotes(take_over),
                fmt::format("no --take-over: the ledger is of {} already", in_quotes(own)), ""});
    if (!take_over.empty() && take_over != last && last != own)
      messages_.problem(
          Where::whole(job_.ledger_file), "file",
          Fault{fmt::format("the ledger of {}, not of {}", in_quotes(last), in_quotes(take_over)),
                "the job file that the ledger belongs to", way_to_take(last)});
    else if (last != own && take_over.empty())
      messages_.problem(
          Where::whole(job_.ledger_file), "file",
          Fault{fmt::format("the ledger of {}", in_quotes(last)),
                fmt::format("that of {}: where the job file was renamed or moved, its ledger is "
                            "taken over; another job has a ledger of its own, ledger = "
                            "\"NAME.csv\" under [numbers]",
                            in_quotes(own)),
                way_to_take(last)});
    return last == own || take_over == last;
  }
  std::string way_to_take(const std::string& last) const {
    return fmt::format("deckmark run {} --take-over {}", shell_word(job_.path.string()), shell_word(last));
  }

  /// Names sorted, each once.
  std::vector<fs::path> folders() const {
    std::vector<fs::path> out;
    std::set<fs::path> seen;
    const auto add = [&](const fs::path& folder) {
      std::error_code none;
      if (!fs::is_directory(folder, none) || !seen.insert(whole(folder)).second) return;
      out.push_back(folder);
    };
    const auto add_all = [&](const fs::path& parent) {
      std::vector<fs::path> inside;
      std::error_code bad;
      for (fs::directory_iterator at(parent, bad), end; !bad && at != end; at.increment(bad))
        inside.push_back(at->path());
      if (bad == std::errc::permission_denied) tell_unreadable(parent, bad);
      std::ranges::sort(inside);
      for (const fs::path& path : inside)
        if (out.size() < kMostFolders) add(path);
    };
    add(out_);
    add(job_.folder / kWorkingFolder);
    add_all(job_.folder / kIssuedFolder);
    const fs::path clean = out_.has_filename() ? out_ : out_.parent_path();
    add_all(clean.has_parent_path() ? clean.parent_path() : fs::path("."));
    return out;
  }

  void tell_unreadable(const fs::path& path, const std::string& reason) const {
    messages_.doubt("a folder that cannot be read", Where::whole(path.string()), "file",
                    fmt::format("{}: whether numbers were handed out there is not known", reason));
  }
  void tell_unreadable(const fs::path& path, const std::error_code& reason) const {
    tell_unreadable(path, reason.message());
  }

  std::optional<Handed> handed_in(const fs::path& folder) const {
    const fs::path summary = folder / kSummaryFile;
    std::error_code bad_folder;
    if (!fs::is_regular_file(summary, bad_folder)) {
      if (bad_folder == std::errc::permission_denied) tell_unreadable(folder, bad_folder);
      return std::nullopt;
    }
    const auto read = read_source(summary, summary.string());
    if (const auto* bad = std::get_if<Unreadable>(&read)) {
      tell_unreadable(summary, bad->reason);
      return std::nullopt;
    }
    const std::string_view text = std::get<0>(read)->text();
    const auto stamp = read_issue_text(text);
    if (!stamp) {
      if (is_explicit_ && whole(folder) == whole(out_))
        messages_.doubt("a summary without an issue", Where::whole(summary.string()), "file",
                        "it was made before there were issues, or by hand: what it names is replaced");
      return std::nullopt;
    }
    Handed out{folder, *stamp};
    out.highest = stamp->highest;
    for (const FileLine& line : read_files_text(text))
      if (line.numbers) out.highest = std::max({out.highest, line.numbers->first, line.numbers->second});
    return out;
  }

  /// Whether lists are of this job file: in its folder by name, since that may have been renamed or copied;
  /// elsewhere by path.
  bool names_this_job(const Handed& handed) const {
    const fs::path folder = whole(handed.folder), named(handed.stamp.job);
    const fs::path inside = folder.lexically_relative(job_folder_);
    if (!inside.empty() && *inside.begin() != "..")
      return named.filename().string() == visible(job_.path.filename().string());
    return whole(folder / named) == whole(job_.path);
  }

  /// What lists that were handed out say against the ledger; empty: nothing.
  std::string fault_of(const Handed& handed) const {
    const IssueStamp& stamp = handed.stamp;
    const std::string where =
        fmt::format("{} holds issue {}", in_quotes(handed.folder.string()), stamp.issue);
    if (ledger_.last_issue() == 0)
      return names_this_job(handed) ? fmt::format("no issue in the ledger, while {} of this job", where)
                                    : std::string();
    if (stamp.began != ledger_.issues().front().digest)
      return names_this_job(handed)
                 ? fmt::format("a ledger that began with {}, while {} of this job by one that began with {}",
                               ledger_.issues().front().digest, where, stamp.began)
                 : std::string();
    if (stamp.issue > ledger_.last_issue())
      return fmt::format("issue {} as the last, while {} of the same ledger: it is an older copy",
                         ledger_.last_issue(), where);
    const std::string& own = ledger_.issues()[stamp.issue - 1].digest;
    return stamp.digest == own ? std::string()
                               : fmt::format(
                                     "issue {} with digest {}, while {} with digest {}: two copies of "
                                     "this job were gone on with",
                                     stamp.issue, own, where, stamp.digest);
  }

  /// How the ledger comes back, from the last issue that was kept.
  std::string put_back(const std::vector<Handed>& against) const {
    const auto last =
        std::ranges::max_element(against, {}, [](const Handed& handed) { return handed.stamp.issue; });
    std::error_code none;
    if (!fs::exists(last->folder / kKeptFolder / job_.ledger_path.filename(), none))
      return "put back a copy of it, if there is one";
    return fmt::format("take it back: deckmark restore {} --from {}", shell_word(job_.path.string()),
                       shell_word(last->folder.string()));
  }

  void refuse(const std::string& found, const std::vector<Handed>& against) {
    std::int64_t highest = 1000;
    std::vector<fs::path> also;
    for (const Handed& h : against) {
      highest = std::max(highest, h.highest);
      also.push_back(h.folder);
    }
    if (ledger_.last_issue() > 0)
      highest = std::max(highest, ledger_.highest() + bound_offset(ledger_).value_or(0));
    messages_.problem(Where::whole(job_.ledger_file), "file",
                      Fault{found,
                            "the ledger by which those lists were made, since numbers stand on the floor; " +
                                put_back(against),
                            job_.ledger_files().begin_anew(job_.path, highest, also)});
  }

  /// A folder that was chosen keeps what it holds: one issue, one folder.
  void keep_other_issue() {
    const auto handed = handed_in(out_);
    if (!handed) return;
    const std::uint32_t number = c_.issue.get()->number;
    const bool is_same = ledger_.last_issue() > 0 && handed->stamp.began == ledger_.issues().front().digest &&
                         handed->stamp.issue == number;
    if (is_same) return;
    const bool of_ledger = ledger_.last_issue() > 0 && handed->stamp.began == ledger_.issues().front().digest;
    const fs::path clean = out_.has_filename() ? out_ : out_.parent_path();
    fs::path other = clean.parent_path() / fmt::format("issue-{}", number);
    std::error_code none;
    for (int i = 2; fs::exists(other, none); ++i)
      other = clean.parent_path() / fmt::format("issue-{}-{}", number, i);
    messages_.problem(Where::whole((out_ / kSummaryFile).string()), "file",
                      Fault{of_ledger ? fmt::format("issue {}, and this run hands out issue {}",
                                                    handed->stamp.issue, number)
                                      : std::string("lists of another job"),
                            "a folder that is new, or holds this issue; what was handed out stays as it is",
                            fmt::format("deckmark run {} --out {}", shell_word(job_.path.string()),
                                        shell_word(other.string()))});
  }

  const Computation& c_;
  const Job& job_;
  const Ledger& ledger_;
  const fs::path& out_;
  bool is_explicit_;
  Messages& messages_;
  fs::path job_folder_;
};

}  // namespace

void tell_other_issues(const Computation& c, const fs::path& out, bool is_explicit,
                       const std::string& take_over, Messages& messages) {
  OtherIssues(c, out, is_explicit, messages).tell(take_over);
}

}  // namespace deckmark
