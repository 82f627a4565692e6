#include "checked_job.h"

#include <algorithm>

#include "fuzz.h"
#include "support/temp_folder.h"
#include "work/run.h"

namespace deckmark_test {

namespace {

std::string joined(const std::vector<std::string>& lines) {
  std::string out;
  for (const std::string& line : lines) out += line + "\n";
  return out;
}

void look_at_messages(const deckmark::Messages& messages, const std::map<std::string, std::string>& files,
                      CheckedJob& job) {
  using deckmark::Grade;
  for (const Grade grade : {Grade::problem, Grade::doubt, Grade::notice}) {
    for (const deckmark::Message& m : messages.sorted(grade)) {
      job.told.push_back(message_line(m));
      must(deckmark::visible(job.told.back()) == job.told.back(), "a message can be seen", job.told.back());
      const auto file = files.find(m.file);
      if (file == files.end()) continue;
      const auto lines = std::count_if(file->second.begin(), file->second.end(),
                                       [](char c) { return c == '\n' || c == '\r'; });
      must(m.place.line <= static_cast<std::size_t>(lines) + 1, "a message has its place in its file",
           job.told.back());
    }
  }
}

}  // namespace

CheckedJob check_files(const std::map<std::string, std::string>& files) {
  static const TempFolder folder;  // one, since messages may name it
  for (const auto& entry : std::filesystem::directory_iterator(folder.path()))
    std::filesystem::remove_all(entry.path());
  for (const auto& [name, bytes] : files) write_bytes(folder / name, bytes);

  deckmark::Messages messages;
  deckmark::JobRequest request;
  request.job = folder.path();
  const deckmark::JobOutcome outcome = check_job(request, {}, messages);

  CheckedJob job{messages.has_problems(), {}, outcome.line, outcome.text};
  look_at_messages(messages, files, job);
  must(job.has_problems == (outcome.exit == deckmark::Exit::bad_input),
       "status 2 says that there are problems", joined(job.told));
  must(job.has_problems || outcome.exit == deckmark::Exit::done || outcome.exit == deckmark::Exit::outside,
       "a job without problems ends with status 0 or 1");
  if (job.has_problems)
    must(job.text.empty(), "a job with problems gives no results", job.text);
  else
    must(job.line.starts_with("DO NOT LAY OUT") == (outcome.exit == deckmark::Exit::outside),
         "DO NOT LAY OUT is said exactly when the status is 1", job.line);
  must(snapshot(folder.path()) == files, "a check writes nothing");
  return job;
}

}  // namespace deckmark_test
