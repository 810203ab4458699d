// SPDX-License-Identifier: Apache-2.0
// How long `truepull review` takes for a folder of photos, beside decoding them all on all
// cores and beside the readings' own share; and how much memory, by number of photos.
//
//   truepull_bench_review [--photos N] [--width PX] [--rows N] [--columns N] [--seed N]
//
// Sheets are drawn six at a time; further photos are the same ones packed anew at another
// quality, so that each is another file that has to be measured. Times are for people.
#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <ctime>
#include <filesystem>
#include <thread>

#include "bench/arguments.h"
#include "bench/child.h"
#include "support/files.h"
#include "support/made_photos.h"
#include "support/made_plans.h"
#include "support/places.h"
#include "truepull/photo_file.h"
#include "truepull/plan_text.h"
#include "truepull/sheet_card_reading.h"

namespace truepull::bench {
namespace {

double Since(std::chrono::steady_clock::time_point start) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

// All files of a folder, one to a thread.
double DecodeAll(const std::vector<std::filesystem::path>& files, unsigned threads) {
  const auto start = std::chrono::steady_clock::now();
  std::atomic<std::size_t> next{0};
  std::vector<std::thread> workers;
  for (unsigned t = 0; t < threads; ++t) {
    workers.emplace_back([&] {
      for (std::size_t k = next++; k < files.size(); k = next++) {
        if (!LoadPhoto(files[k])) throw std::runtime_error("cannot decode");
      }
    });
  }
  for (std::thread& w : workers) w.join();
  return Since(start);
}

int Run(const Arguments& arguments) {
  const int photos = arguments.Whole("--photos", 30), width = arguments.Whole("--width", 4000);
  const int rows = arguments.Whole("--rows", 6), columns = arguments.Whole("--columns", 8);
  const Plan plan = testing::WavesOn(420, 297, rows, columns, 368.0 / columns, 252.0 / rows);
  const unsigned cores = std::max(1u, std::thread::hardware_concurrency());
  const testing::TemporaryFolder folder;
  testing::WriteFile(folder / "plan.yaml", WritePlan(plan));
  std::vector<std::filesystem::path> files;
  std::filesystem::create_directories(folder / "all");
  for (int k = 0; k < std::min(photos, 6); ++k) {
    auto options = OptionsLike("typical", static_cast<std::uint64_t>(arguments.Whole("--seed", 1) + k));
    if (!options) throw std::runtime_error(options.error().message);
    options->width_px = width, options->height_px = width * 3 / 4;
    const auto sheet = RenderSheet(plan, *options);
    if (!sheet) throw std::runtime_error(sheet.error().message);
    for (int n = k; n < photos; n += 6) {
      files.push_back(folder / fmt::format("all/{:02}.jpg", n + 1));
      testing::WriteFile(files.back(), *EncodePhotoJpeg(sheet->bgr, 92 - n / 6, 1));
    }
  }
  // The reading of one photo by itself, on one core, without decoding it.
  std::vector<double> reads;
  double read_cpu = 0;
  for (int k = 0; k < std::min(photos, 3); ++k) {
    const auto photo = LoadPhoto(files[static_cast<std::size_t>(k)]);
    const auto start = std::chrono::steady_clock::now();
    const std::clock_t before = std::clock();
    (void)FindSheetCard(photo->bgr);
    const auto frame = FindSheet(*photo, plan.sheet);
    DetectOptions detect;
    detect.threads = 1;
    if (!frame || !MeasureSheet(*photo, *frame, plan, detect)) throw std::runtime_error("cannot read");
    reads.push_back(Since(start));
    read_cpu += static_cast<double>(std::clock() - before) / CLOCKS_PER_SEC / std::min(photos, 3);
  }
  double read = 0;
  for (const double r : reads) read += r / static_cast<double>(reads.size());
  fmt::print("| photos | decode all s | reads' share s | review s | review over (2 x decode + share) | the same in processor time | again, from the cache s | peak MB |\n|---|---|---|---|---|---|---|---|\n");
  for (const int n : {photos / 6, photos / 2, photos}) {
    if (n < 1) continue;
    const std::string some = fmt::format("{}", (folder / fmt::format("some-{}", n)).string());
    std::filesystem::create_directories(some);
    std::vector<std::filesystem::path> of;
    std::sort(files.begin(), files.end());
    for (int k = 0; k < n; ++k) {
      of.push_back(std::filesystem::path(some) / files[static_cast<std::size_t>(k)].filename());
      std::filesystem::copy_file(files[static_cast<std::size_t>(k)], of.back());
    }
    const std::clock_t before = std::clock();
    const double decode = DecodeAll(of, cores);
    const double decode_cpu = static_cast<double>(std::clock() - before) / CLOCKS_PER_SEC;
    const std::vector<std::string> words{testing::ProgramFile(), "review", some, "--plan", (folder / "plan.yaml").string(), "--out", some + "-out", "--quiet"};
    const ChildRun first = RunChild(words), again = RunChild(words);
    if (first.exit_code != 0 && first.exit_code != 3) throw std::runtime_error(fmt::format("review ended with {}", first.exit_code));
    const double share = read * n / cores;
    fmt::print("| {} | {:.2f} | {:.2f} | {:.2f} | {:.2f} | {:.2f} ({:.1f} over {:.1f} s) | {:.2f} | {:.0f} |\n", n, decode, share, first.seconds, first.seconds / (2 * decode + share),
               first.cpu_seconds / (2 * decode_cpu + read_cpu * n), first.cpu_seconds, 2 * decode_cpu + read_cpu * n, again.seconds, first.peak_mb);
    std::fflush(stdout);
  }
  fmt::print("\nPhotos of {} x {} px, {} sites, like typical; {} cores; one reading by itself {:.2f} s on one core.\n", width, width * 3 / 4, rows * columns, cores, read);
  return 0;
}

}  // namespace
}  // namespace truepull::bench

int main(int argc, char** argv) {
  try {
    return truepull::bench::Run({argc, argv, {"--photos", "--width", "--rows", "--columns", "--seed"}});
  } catch (const std::exception& e) {
    fmt::print(stderr, "{}\nusage: truepull_bench_review [--photos N] [--width PX] [--rows N] [--columns N] [--seed N]\n", e.what());
    return 2;
  }
}
