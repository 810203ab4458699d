// SPDX-License-Identifier: Apache-2.0
// The photos of a review, measured on all cores, each with its memory freed before the next.
#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <opencv2/core/utility.hpp>
#include <thread>

#include "cli/progress_line.h"
#include "cli/review_job.h"

namespace truepull {
namespace {

std::string Bar(std::size_t done, std::size_t all) {
  constexpr std::size_t kCells = 20;
  const std::size_t full = all > 0 ? kCells * done / all : 0;
  return fmt::format("[{}{}] {} of {} photos", std::string(full, '#'), std::string(kCells - full, '.'), done, all);
}

}  // namespace

void ReadItems(std::vector<ReviewItem>& items, const std::vector<std::size_t>& which, const std::vector<NamedPlan>& plans, const EditionFile& edition,
               SheetState state, const ReadingCache& cache, bool quiet) {
  ProgressLine progress(Bar(0, which.size()), quiet);
  std::atomic<std::size_t> next{0}, done{0};
  const auto work = [&] {
    for (std::size_t k = next++; k < which.size(); k = next++) {
      ReviewItem& item = items[which[k]];
      if (item.is_reading) ReadReadingItem(item);
      else ReadPhotoItem(item, plans, edition, state, cache);
      progress.Now(Bar(++done, which.size()));
    }
  };
  // One photo to a core: 150 MB each, so at most four at a time.
  const std::size_t workers = std::min<std::size_t>({std::max(1u, std::thread::hardware_concurrency()), std::size_t{4}, std::max<std::size_t>(1, which.size())});
  if (workers > 1) cv::setNumThreads(1);
  std::vector<std::thread> threads;
  for (std::size_t t = 1; t < workers; ++t) threads.emplace_back(work);
  work();
  for (std::thread& t : threads) t.join();
  cv::setNumThreads(-1);
}

}  // namespace truepull
