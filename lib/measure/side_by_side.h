#pragma once
/// Work on a second thread. Where the system gives none (too many of them, no memory for one) the same work
/// is done in the caller's thread: the answer is the same, later. What work throws comes out where its end is
/// waited for.

#include <cstddef>
#include <exception>
#include <future>
#include <type_traits>
#include <utility>

namespace deckmark {

/// Begins `work` on a thread of its own; not valid where none can be had. Its end is waited for by `get`, and
/// where the future goes out of scope.
template <class Work>
[[nodiscard]] std::future<std::invoke_result_t<Work>> try_beside(const Work& work) {
  try {
    return std::async(std::launch::async, work);
  } catch (const std::exception&) {
    return {};
  }
}

/// The same, and always valid: where no thread can be had the work is done within `get`, and not at all where
/// nobody asks.
template <class Work>
[[nodiscard]] std::future<std::invoke_result_t<Work>> begin_beside(const Work& work) {
  auto begun = try_beside(work);
  return begun.valid() ? std::move(begun) : std::async(std::launch::deferred, work);
}

/// Does both and returns when both have ended. Of two failures that of `here` is thrown.
template <class Here, class Beside>
void side_by_side(const Here& here, const Beside& beside) {
  auto begun = try_beside([&beside] { beside(); });
  here();
  if (begun.valid())
    begun.get();
  else
    beside();
}

/// Does a range, `part(from, to)`: in two halves side by side, as a whole where it is shorter than `least`.
template <class Part>
void in_halves(std::size_t size, std::size_t least, const Part& part) {
  if (size < least) return part(std::size_t{0}, size);
  const std::size_t middle = size / 2;
  side_by_side([&] { part(std::size_t{0}, middle); }, [&] { part(middle, size); });
}

}  // namespace deckmark
