// SPDX-License-Identifier: Apache-2.0
// The same photo gives the same numbers, to the last digit, on any number of threads.
#include <cstdio>
#include <opencv2/core/utility.hpp>

#include "detect/small_sheets.h"

namespace truepull::testing {
namespace {

SheetReading Read(const MadePhoto& photo, int threads) {
  const int before = cv::getNumThreads();
  if (threads > 0) cv::setNumThreads(threads);
  DetectOptions options;
  options.threads = threads;
  const auto reading = ReadPhoto(photo.jpeg, photo.plan, options);
  cv::setNumThreads(before);
  if (!reading) throw std::runtime_error(reading.error().message);
  return *reading;
}

TEST(Repeat, ReadingTwiceOnAnyNumberOfThreadsGivesTheSameNumbers) {
  RenderOptions options = CleanSmall(31);
  options.ink.mottle = 0.6;
  options.ink.ragged_mm = 0.1;
  options.ink.missing_share = 0.15;
  const MadePhoto photo = MakePhoto(SmallWaves(), options);
  const SheetReading one = Read(photo, 1);
  for (const int threads : {1, 2, 5}) {
    const SheetReading again = Read(photo, threads);
    EXPECT_EQ(again.sites, one.sites) << threads << " threads";
    EXPECT_EQ(again.findings, one.findings) << threads << " threads";
    EXPECT_EQ(again.camera.h, one.camera.h) << threads << " threads";
  }
}

}  // namespace
}  // namespace truepull::testing
