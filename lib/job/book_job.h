#pragma once
/// What a job says of its book. Data only.

#include <string>

#include "book/options.h"
#include "job/keys/stated.h"

namespace deckmark {

struct BookJob {
  BookOptions options;
  Stated<std::string> file;  ///< DEFAULT book.csv; from the job's folder
  Stated<std::string> copy;  ///< a folder on another disk
};

}  // namespace deckmark
