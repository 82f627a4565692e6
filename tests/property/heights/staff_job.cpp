#include "staff_job.h"

#include <cmath>

#include "support/text.h"

namespace deckmark_test {

namespace {

constexpr int kFirst = 1001, kDeckOffset = 5000;  // the defaults of the program

std::string numeral(std::size_t point, int offset) {
  return std::to_string(kFirst + static_cast<int>(point) + offset);
}

std::string feet_inches(double count) {
  const long long all = std::llround(std::abs(count));  // thousandths of an inch
  const std::string minus = count < 0 && all > 0 ? "-" : "";
  if (all == 0) return "0";
  const double inches = static_cast<double>(all % 12000) / 1000;
  if (all < 12000) return minus + text("%.3f\"", inches);
  return minus + text("%lld'-%.3f\"", all / 12000, inches);
}

}  // namespace

Stated stated(double metres, const SiteUnit& unit) {
  const double count = std::round(metres / unit.metres / unit.step);
  if (unit.decimals == 0) return {count * 0.001 * 0.0254, csv_cell(feet_inches(count))};
  const std::string cell = text("%.*f", unit.decimals, count * unit.step);
  return {std::strtod(cell.c_str(), nullptr) * unit.metres, cell};
}

std::size_t StaffJob::add_benchmark(const std::string& name, double elevation, std::optional<double> sd) {
  StaffBenchmark made{targets.size(), stated(elevation, unit), {}};
  if (sd) made.sd = stated(*sd, unit);
  benchmarks.push_back(made);
  targets.push_back({name, "", "", {{name, ""}}, made.elevation.metres});
  return made.target;
}

std::size_t StaffJob::add_free(const std::string& name, double elevation) {
  targets.push_back({name, "", "", {{name, ""}}, elevation});
  return targets.size() - 1;
}

std::size_t StaffJob::add_point(std::size_t point, const std::string& at, double elevation) {
  const std::string &name = points[point].name, first = numeral(point, 0), last = numeral(point, kDeckOffset);
  StaffTarget made{name, at == "deck" ? last : first, at, {{name, at}, {first, at}}, elevation};
  if (at == "floor") made.names.insert(made.names.end(), {{name, ""}, {first, ""}});
  if (at == "deck") made.names.insert(made.names.end(), {{last, at}, {last, ""}});
  targets.push_back(made);
  return targets.size() - 1;
}

void StaffJob::add_level(std::size_t setup, std::size_t target, bool back, double reading,
                         std::optional<double> distance) {
  StaffReading row{setup, target, stated(reading, unit), back, false, {}, "", 0};
  if (distance) row.distance = stated(*distance, unit);
  level.push_back(row);
}

void StaffJob::add_laser(std::size_t standing, std::size_t target, bool above, double reading,
                         double distance, const std::string& housing) {
  laser.push_back(
      {standing, target, stated(reading, unit), false, above, stated(distance, unit), housing, 0});
}

const StaffBenchmark* StaffJob::benchmark(std::size_t target) const {
  for (const StaffBenchmark& b : benchmarks)
    if (b.target == target) return &b;
  return nullptr;
}

namespace {

/// With the level where the table has that column.
std::string target_cells(const StaffJob& job, const StaffReading& row, bool with_level) {
  const auto& [name, level] = job.targets[row.target].names[row.written];
  return csv_cell(name) + (with_level ? "," + level : "");
}

std::string level_table(const StaffJob& job) {
  const bool with_level = job.level_column[0];
  std::string out = std::string("setup,target") + (with_level ? ",level" : "") + ",back,fore,distance\n";
  for (const StaffReading& row : job.level)
    out += job.setups[row.standing] + "," + target_cells(job, row, with_level) + "," +
           (row.back ? row.reading.cell + "," : "," + row.reading.cell) + "," +
           (row.distance ? row.distance->cell : "") + "\n";
  return out;
}

std::string laser_table(const StaffJob& job) {
  const bool with_level = job.level_column[1];
  std::string out =
      std::string("laser,target") + (with_level ? ",level" : "") + ",reading,target_is,distance,housing\n";
  for (const StaffReading& row : job.laser)
    out += job.lasers[row.standing] + "," + target_cells(job, row, with_level) + "," + row.reading.cell +
           (row.above ? ",above," : ",below,") + row.distance->cell + "," + row.housing + "\n";
  return out;
}

std::string metres_key(const char* key, double metres) {
  return text("%s = \"%.6g mm\"\n", key, metres * 1000);
}

std::string sections_of(const StaffJob& job, const MoreOfStaffJob& more) {
  std::string out = "[drawing]\npoints = \"drawing.csv\"\nunit = \"m\"\n" + more.drawing;
  out += std::string("[site]\nunit = \"") + job.unit.word + "\"\n";
  out += text("[floor]\nelevation = \"%.9f m\"\n", job.floor.metres);
  if (job.datum) out += text("datum = \"%.9f m\"\n", job.datum->metres);
  out += more.floor + "[heights]\nbenchmarks = \"benchmarks.csv\"\n";
  if (!job.level.empty()) out += "level = \"level.csv\"\n";
  if (!job.laser.empty()) out += "laser = \"laser.csv\"\n" + job.beam_key + "\n";
  if (job.reading_sd) out += metres_key("reading_sd", *job.reading_sd);
  if (job.loop_limit) out += metres_key("loop_limit", *job.loop_limit);
  return out + more.sections;
}

}  // namespace

void write_staff_job(JobFolder& folder, const StaffJob& job, const MoreOfStaffJob& more) {
  folder.write("job.toml", sections_of(job, more));
  std::string drawing = "point,x,y" + more.drawing_columns + "\n";
  for (std::size_t i = 0; i < job.points.size(); ++i)
    drawing += job.points[i].name + text(",%.3f,%.3f", job.points[i].x, job.points[i].y) +
               (i < more.drawing_cells.size() ? more.drawing_cells[i] : "") + "\n";
  folder.write("drawing.csv", drawing);
  std::string benchmarks = "point,elevation,sd\n";
  for (const StaffBenchmark& b : job.benchmarks)
    benchmarks += csv_cell(job.targets[b.target].point) + "," + b.elevation.cell + "," +
                  (b.sd ? b.sd->cell : "") + "\n";
  folder.write("benchmarks.csv", benchmarks);
  if (!job.level.empty()) folder.write("level.csv", level_table(job));
  if (!job.laser.empty()) folder.write("laser.csv", laser_table(job));
}

}  // namespace deckmark_test
