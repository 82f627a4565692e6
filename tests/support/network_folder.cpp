#include "support/network_folder.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <stdexcept>

#include "support/vector_file.h"

namespace deckmark_test {

namespace {

namespace fs = std::filesystem;
constexpr const char* kFolder = "vectors/reference/networks/";

std::optional<double> number_in(const VectorRow& row, const std::string& column) {
  const auto cell = row.find(column);
  if (cell == row.end() || cell->second.empty()) return std::nullopt;
  return std::strtod(cell->second.c_str(), nullptr);
}
std::optional<Printed> printed_in(const VectorRow& row, const std::string& column) {
  const auto cell = row.find(column);
  return cell == row.end() ? std::nullopt : printed(cell->second);
}
Printed required(const VectorRow& row, const std::string& column) {
  const std::optional<Printed> p = printed_in(row, column);
  if (!p) throw std::runtime_error("a published network lacks a number in " + column);
  return *p;
}

std::vector<VectorRow> rows_of(const std::string& network, const std::string& file) {
  return read_vectors(kFolder + network + "/" + file);
}
std::vector<VectorRow> rows_if_there(const std::string& network, const std::string& file) {
  if (!fs::exists(fs::path(DECKMARK_TESTS_DIR) / kFolder / network / file)) return {};
  return rows_of(network, file);
}

NetworkReading reading_of(const VectorRow& row) {
  NetworkReading r;
  r.setup = row.at("setup"), r.target = row.at("target");
  r.circle = number_in(row, "circle"), r.zenith = number_in(row, "zenith");
  r.slope = number_in(row, "slope"), r.horizontal = number_in(row, "horizontal");
  r.height = number_in(row, "height").value_or(0);
  r.circle_sd = number_in(row, "sd_circle"), r.zenith_sd = number_in(row, "sd_zenith");
  r.distance_sd = number_in(row, "sd_distance");
  return r;
}

void read_published(Network& to) {
  for (const VectorRow& row : rows_of(to.name, "results.csv"))
    to.places.push_back({row.at("point"), printed_in(row, "northing"), printed_in(row, "easting"),
                         printed_in(row, "elevation"), printed_in(row, "sd_northing"),
                         printed_in(row, "sd_easting"), printed_in(row, "sd_elevation")});
  for (const VectorRow& row : rows_if_there(to.name, "residuals.csv"))
    to.quality.push_back({row.at("setup"), row.at("target"), row.at("quantity"), required(row, "adjusted"),
                          required(row, "redundancy"), required(row, "standardised")});
  for (const VectorRow& row : rows_if_there(to.name, "orientations.csv"))
    to.orientations[row.at("setup")] = required(row, "orientation");
  for (const VectorRow& row : rows_if_there(to.name, "published.csv")) {
    const std::string& item = row.at("item");
    if (item == "degrees_of_freedom")
      to.degrees_of_freedom = static_cast<std::size_t>(*number_in(row, "value"));
    if (item == "variance_factor") to.variance_factor = required(row, "value");
    if (item == "sd_basis") to.a_posteriori = row.at("value").starts_with("a posteriori");
    if (item == "standardised_basis")
      to.standardised_a_posteriori = row.at("value").find("variance factor") != std::string::npos;
  }
}

}  // namespace

bool Printed::fits(double number, double coarse) const {
  return std::fabs(number - value) <= 0.5 * (unit + coarse) * (1 + 1e-6);
}

std::optional<Printed> printed(const std::string& cell) {
  if (cell.empty()) return std::nullopt;
  const std::size_t point = cell.find('.');
  const int decimals = point == std::string::npos ? 0 : static_cast<int>(cell.size() - point - 1);
  return Printed{std::strtod(cell.c_str(), nullptr), std::pow(10.0, -decimals)};
}

bool Network::has_heights() const {
  return std::any_of(readings.begin(), readings.end(),
                     [](const NetworkReading& r) { return r.zenith.has_value(); });
}

Network read_network(const std::string& name) {
  Network out;
  out.name = name;
  for (const VectorRow& row : rows_of(name, "control.csv"))
    out.control.push_back({row.at("point"), number_in(row, "northing").value(),
                           number_in(row, "easting").value(), number_in(row, "elevation"),
                           number_in(row, "sd")});
  for (const VectorRow& row : rows_of(name, "setups.csv"))
    out.setups.push_back({row.at("setup"), row.at("point"), number_in(row, "height").value_or(0)});
  for (const VectorRow& row : rows_of(name, "observations.csv")) out.readings.push_back(reading_of(row));
  read_published(out);
  return out;
}

std::vector<std::string> network_names() {
  std::vector<std::string> names;
  for (const auto& entry : fs::directory_iterator(fs::path(DECKMARK_TESTS_DIR) / kFolder))
    if (entry.is_directory()) names.push_back(entry.path().filename().string());
  std::sort(names.begin(), names.end());
  return names;
}

}  // namespace deckmark_test
