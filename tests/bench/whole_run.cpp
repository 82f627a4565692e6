// A drawing of 1,000,000 feet-inch rows through the whole program, against mawk rotating 1,000,000 plain
// number pairs on the same machine in the same run. The second run, with the ledger of the first, is the one
// that counts. Prints the answer (first line of the summary) before the times, the parts, and how busy the
// machine was.

#include <benchmark/benchmark.h>
#include <fmt/format.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>
#include <string>

#include "job/job.h"
#include "lists/points.h"
#include "table/digest.h"
#include "table/written.h"
#include "work/computation.h"
#include "work/run.h"

namespace {

namespace fs = std::filesystem;
constexpr int kRows = 1000000;

struct Spent {
  double wall = 0, user = 0, system = 0;
  long peak_kib = 0;
};

/// Runs a shell line and says what it cost.
Spent run(const std::string& line) {
  const auto begin = std::chrono::steady_clock::now();
  const pid_t child = fork();
  if (child == 0) {
    execl("/bin/sh", "sh", "-c", ("exec " + line).c_str(), static_cast<char*>(nullptr));
    _exit(127);
  }
  int status = 0;
  rusage used{};
  wait4(child, &status, 0, &used);
  if (!WIFEXITED(status) || WEXITSTATUS(status) > 1) {
    std::fprintf(stderr, "failed: %s\n", line.c_str());
    std::exit(1);
  }
  const auto seconds = [](const timeval& t) {
    return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
  };
  const std::chrono::duration<double> wall = std::chrono::steady_clock::now() - begin;
  return {wall.count(), seconds(used.ru_utime), seconds(used.ru_stime), used.ru_maxrss};
}

/// The folder of the job, made once: a drawing in feet-inches, four ties, a level deck.
const fs::path& folder() {
  static const fs::path made = [] {
    fs::path f = fs::temp_directory_path() / fmt::format("deckmark-bench-{}", getpid());
    fs::create_directories(f);
    std::mt19937 random(1);
    const char* fractions[] = {"", " 1/2", " 1/4", " 3/4", " 1/8", " 3/8", " 5/8", " 7/8", " 1/16", " 15/16"};
    std::ofstream drawing(f / "drawing.csv"), pairs(f / "pairs.csv");
    drawing << "point,x,y,run\n";
    for (int i = 0; i < kRows; ++i) {
      const auto length = [&](unsigned feet) {
        return fmt::format("{}'-{}{}\"", random() % feet, random() % 12, fractions[random() % 10]);
      };
      drawing << fmt::format("H{:07},{},{},R{}\n", i + 1, length(400), length(200), i / 500);
      pairs << fmt::format("{:.4f},{:.4f}\n", static_cast<double>(random() % 2000000) / 1e4,
                           static_cast<double>(random() % 1000000) / 1e4);
    }
    std::ofstream(f / "ties.csv")
        << "mark,x,y,northing,easting\nA,0 m,0 m,1000,2000\nB,100 m,0 m,1086.6025,2050\n"
           "C,0 m,60 m,1030,1948.0385\nD,100 m,60 m,1116.6025,1998.0385\n";
    std::ofstream(f / "job.toml")
        << "[drawing]\npoints = \"drawing.csv\"\nunit = \"ft-in\"\n[baselines]\nties = \"ties.csv\"\n"
           "[floor]\nelevation = \"12 m\"\n[deck]\nelevation = \"18 m\"\n[hangers]\nheight = \"9'-6\\\"\"\n"
           "[numbers]\ndeck_offset = 2000000\n";
    return f;
  }();
  return made;
}

double load() {
  double average[1] = {0};
  return getloadavg(average, 1) == 1 ? average[0] : -1;
}

std::string rotation() {
  return fmt::format(
      "mawk -F, 'BEGIN{{c=cos(0.5);s=sin(0.5)}}{{printf \"%.4f,%.4f\\n\", 1000+$1*c-$2*s, 2000+$1*s+$2*c}}' "
      "{0}/pairs.csv > {0}/rotated.csv",
      folder().string());
}

std::string whole_run() {
  return fmt::format("{} run {} --quiet 2> {}/last-line", DECKMARK_PROGRAM, folder().string(),
                     folder().string());
}

void report(benchmark::State& state, const Spent& s) {
  state.counters["user_s"] = s.user;
  state.counters["system_s"] = s.system;
  state.counters["peak_MiB"] = static_cast<double>(s.peak_kib) / 1024;
  state.counters["load"] = load();
}

/// The two are measured in turn, so that a busy machine is busy for both.
void BM_whole_run_with_ledger_against_rotation(benchmark::State& state) {
  fs::remove(folder() / "numbers.csv");
  const Spent first = run(whole_run());
  std::ifstream last(folder() / "last-line");
  std::string line, answer;
  while (std::getline(last, line)) answer = line;  // behind the doubts
  std::printf("answer: %s\n", answer.c_str());
  std::vector<double> ratios;
  Spent sum;
  for (auto _ : state) {
    const Spent mawk = run(rotation()), whole = run(whole_run());
    ratios.push_back(whole.wall / mawk.wall);
    sum = whole;
    state.SetIterationTime(whole.wall);
    std::printf("  whole run %.3f s, rotation by mawk %.3f s, ratio %.2f\n", whole.wall, mawk.wall,
                whole.wall / mawk.wall);
  }
  std::sort(ratios.begin(), ratios.end());
  report(state, sum);
  state.counters["first_run_s"] = first.wall;
  state.counters["ratio_median"] = ratios[ratios.size() / 2];
}
BENCHMARK(BM_whole_run_with_ledger_against_rotation)
    ->UseManualTime()
    ->Iterations(5)
    ->Unit(benchmark::kMillisecond);

double since(std::chrono::steady_clock::time_point begin) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

/// The parts, in this process: reading, and computing every stage.
void BM_parts(benchmark::State& state) {
  using namespace deckmark;
  for (auto _ : state) {
    auto begin = std::chrono::steady_clock::now();
    PartMessages told;
    Job job;
    read_job(folder(), job, told);
    state.counters["read_s"] = since(begin);
    begin = std::chrono::steady_clock::now();
    const Computation computed(std::move(job), std::move(told), Need::lists);
    if (!computed.laid.is_there()) state.SkipWithError("not laid out");
    state.counters["stages_s"] = since(begin);
    const auto table = points_table(*computed.laid.get(), LengthUnit::metre);
    std::string text;
    begin = std::chrono::steady_clock::now();
    table->write([&](const char* data, std::size_t size) { text.append(data, size); });
    state.counters["write_points_s"] = since(begin);
    begin = std::chrono::steady_clock::now();
    std::size_t at = 0;
    CheckFailure failure;
    if (!table->agrees(
            [&](char* data, std::size_t size) {
              const std::size_t n = std::min(size, text.size() - at);
              std::copy_n(text.data() + at, n, data);
              at += n;
              return n;
            },
            &failure))
      state.SkipWithError("read back wrong");
    state.counters["verify_points_s"] = since(begin);
    begin = std::chrono::steady_clock::now();
    benchmark::DoNotOptimize(sha256_hex(text));
    state.counters["digest_s"] = since(begin);
  }
  state.counters["load"] = load();
}
BENCHMARK(BM_parts)->Iterations(1)->Unit(benchmark::kMillisecond);

}  // namespace

int main(int argc, char** argv) {
  benchmark::Initialize(&argc, argv);
  std::printf("load average before: %.2f on %ld processors\n", load(), sysconf(_SC_NPROCESSORS_ONLN));
  benchmark::RunSpecifiedBenchmarks();
  fs::remove_all(folder());
  return 0;
}
