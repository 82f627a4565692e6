#include "append_scenes.h"

#include <string>
#include <utility>
#include <vector>

#include "support/temp_folder.h"

namespace deckmark_test {

using namespace deckmark;
namespace fs = std::filesystem;

namespace {

OutputFile replaced(const fs::path& target, std::string text) { return {target, std::move(text)}; }
OutputFile appended(const fs::path& target, std::string text) {
  return {target, std::move(text), How::append};
}
OutputFile appended(const fs::path& target, std::size_t rows) {
  return {target, bare_rows(rows, 2), How::append};
}

void put_later(const fs::path& job) {
  write_bytes(job / "numbers.csv", std::string(kLedger) + kLedgerTail);
  write_bytes(job / "issued.csv", std::string(kIssues) + kIssuesTail);
  write_bytes(job / "numbers.torn", "from before, half a li");
  write_bytes(job / "out/points.csv", "earlier points\n");
  write_bytes(job / "out/summary.txt", "earlier summary\n");
  write_bytes(job / "out/floor-list-R1.csv", "stale\n");
  write_bytes(job / "out/mine.txt", "not ours\n");
}

void run_later(const fs::path& job, const FileCalls& calls) {
  Batch batch(calls);
  batch.hold_folder(job);
  batch.make_folder(job / "out/more");
  batch.keep_account(job / "out");
  batch.cut(job / "numbers.csv", std::string(kLedger).size(), job / "numbers.torn");
  batch.cut(job / "issued.csv", std::string(kIssues).size(), job / "numbers.torn");
  std::vector<OutputFile> files;
  files.push_back(appended(job / "numbers.csv", kRows));
  files.push_back(appended(job / "issued.csv", std::string(kIssueRow)));
  files.push_back(replaced(job / "out/points.csv", "points\n"));
  files.push_back(replaced(job / "out/more/list.csv", "list\n"));
  batch.stage(std::move(files));
  std::vector<OutputFile> last;
  last.push_back(replaced(job / "out/summary.txt", "summary\n"));
  batch.stage(std::move(last));
  batch.commit({job / "out/floor-list-R1.csv"});
}

void put_first(const fs::path& job) {
  write_bytes(job / "numbers.csv", "ledger of an earlier version\n");
  write_bytes(job / "given.csv", "issue,to\n1,ed");
  write_bytes(job / "out/points.csv", "earlier points\n");
}

void run_first(const fs::path& job, const FileCalls& calls) {
  Batch batch(calls);
  batch.hold_folder(job);
  batch.cut(job / "given.csv", 100, job / "given.torn");  // shorter than that
  batch.cut(job / "none.csv", 0, job / "given.torn");
  std::vector<OutputFile> files;
  files.push_back(replaced(job / "issued.csv", "issue,digest\n"));
  files.push_back(replaced(job / "numbers.csv", "number\n1001\n"));
  files.push_back(appended(job / "issued.csv", std::string("1,ab\n")));
  files.push_back(appended(job / "given.csv", std::string("1,joe\n")));
  files.push_back(appended(job / "made.csv", kRows));
  files.push_back(appended(job / "made.csv", std::string("the end\n")));
  files.push_back(replaced(job / "out/points.csv", "points\n"));
  files.push_back(appended(job / "out/log.csv", std::string("1\n")));  // the last
  batch.stage(std::move(files));
  batch.commit({});
}

void put_twice(const fs::path& job) {
  write_bytes(job / "a.csv", "a0\n");
  write_bytes(job / "b.csv", "b0\n");
  write_bytes(job / "c.csv", "c0\nc tail");
}

void run_twice(const fs::path& job, const FileCalls& calls) {
  Batch batch(calls);
  batch.cut(job / "c.csv", 3, job / "c.torn");
  std::vector<OutputFile> files;
  files.push_back(appended(job / "a.csv", std::string("a1\n")));
  files.push_back(replaced(job / "a.csv", "a2\n"));
  files.push_back(replaced(job / "a.csv", "a3\n"));
  files.push_back(appended(job / "a.csv", std::string("a4\n")));
  files.push_back(replaced(job / "b.csv", "b1\n"));
  files.push_back(appended(job / "b.csv", std::string("b2")));
  files.push_back(appended(job / "b.csv", std::string("b3\n")));
  files.push_back(appended(job / "c.csv", std::string("c1\n")));
  files.push_back(replaced(job / "c.csv", "c2\n"));
  files.push_back(appended(job / "c.csv", std::string()));
  files.push_back(replaced(job / "d.csv", "d1\n"));
  files.push_back(replaced(job / "d.csv", "d2\n"));
  batch.stage(std::move(files));
  batch.commit({});
}

}  // namespace

std::span<const Scene> append_scenes() {
  static constexpr Scene kScenes[] = {{"a later issue", put_later, run_later},
                                      {"the first issue", put_first, run_first},
                                      {"names that stand in it twice", put_twice, run_twice}};
  return kScenes;
}

std::unique_ptr<WrittenTable> bare_rows(std::size_t rows, int seed) {
  TableStyle style;
  style.header = false;
  return written_table(style, {"number", "point", "x (m)"}, rows, [seed](auto& sink, std::size_t i) {
    sink.integer(static_cast<std::int64_t>(i) + 1001);
    sink.text(i % 3 == 0 ? "H, 1" : "R3-01");
    sink.fixed(static_cast<double>(i) * 0.37 - seed, 5);
  });
}

std::string bytes_of(const WrittenTable& table) {
  std::string out;
  table.write([&](const char* data, std::size_t size) { out.append(data, size); });
  return out;
}

std::string failure_of(const std::function<void()>& work) {
  try {
    work();
  } catch (const SystemFailure& failure) {
    return failure.what();
  }
  return "";
}

}  // namespace deckmark_test
