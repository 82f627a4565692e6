#pragma once
/// Batches that add to journals, for tests that let every call of them fail or end the process.

#include <filesystem>
#include <functional>
#include <memory>
#include <span>
#include <string>

#include "exporter/batch.h"

namespace deckmark_test {

/// What a folder holds before a batch, and the batch.
struct Scene {
  const char* name;
  void (*put)(const std::filesystem::path& job);
  void (*run)(const std::filesystem::path& job, const deckmark::FileCalls& calls);
};
/// A later issue behind torn tails; the first issue, whose journals it makes; names that stand in it twice.
std::span<const Scene> append_scenes();

/// Rows without a header, numbers from 1001 on.
std::unique_ptr<deckmark::WrittenTable> bare_rows(std::size_t rows, int seed);
std::string bytes_of(const deckmark::WrittenTable& table);

/// Text of the failure, empty where there was none.
std::string failure_of(const std::function<void()>& work);

// What the later issue finds and adds.
inline constexpr const char* kLedger = "number,point,x (m)\n1001,H1,0.50000\n";
inline constexpr const char* kLedgerTail = "1002,H2,0.75000\n1003,H";
inline constexpr const char* kIssues = "issue,digest\n1,ab\n";
inline constexpr const char* kIssuesTail = "2,c";
inline constexpr const char* kIssueRow = "2,cd\n";
inline constexpr std::size_t kRows = 60;

}  // namespace deckmark_test
