// SPDX-License-Identifier: Apache-2.0
// How long `truepull read` takes and how much memory it holds, beside a program that
// starts with the same libraries and merely decodes the same photo.
//
//   truepull_bench_speed [--runs N] [--width PX] [--sites N|all] [--seed N]
//
// Runs of the two alternate, so that whatever else the machine does falls on both.
// Times are for people: no test asserts them.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <functional>
#include <thread>

#include "bench/arguments.h"
#include "bench/child.h"
#include "support/files.h"
#include "support/made_photos.h"
#include "support/made_plans.h"
#include "support/places.h"
#include "support/truth_comparison.h"
#include "truepull/drift.h"
#include "truepull/pages.h"
#include "truepull/photo_file.h"
#include "truepull/picture.h"
#include "truepull/picture_file.h"
#include "truepull/plan_text.h"
#include "truepull/reading_text.h"

namespace truepull::bench {
namespace {

using testing::Quantile;

struct Job {
  int rows, columns;
  double width_mm, height_mm;   // Of the tile.
};

double Timed(const std::function<void()>& work) {
  const auto start = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

template <typename T>
T Must(Result<T> result) {
  if (!result) throw std::runtime_error(result.error().message);
  return *std::move(result);
}

// The steps of `read`, one after the other in this process. The program packs the PNG
// beside the rest, so the sum is a little more than it needs.
void PrintSteps(const std::string& jpeg, const Plan& plan, int runs) {
  const char* names[] = {"decode", "find the sheet", "measure", "drift and seams", "picture", "pack PNG", "pack JPEG", "page and tables"};
  std::vector<std::vector<double>> times(std::size(names));
  for (int run = 0; run < runs; ++run) {
    Photo photo;
    SheetFrame frame;
    Reading reading;
    reading.plan = plan, reading.photo_name = "photo.jpg";
    DriftReport drift;
    cv::Mat picture;
    std::string packed;
    std::size_t written = 0;
    const std::function<void()> steps[] = {
        [&] { photo = Must(DecodePhoto(jpeg, "photo.jpg")); },
        [&] { frame = Must(FindSheet(photo, plan.sheet)); },
        [&] { reading.sheet = Must(MeasureSheet(photo, frame, plan)); },
        [&] { drift = MeasureDrift(plan, reading.sheet); },
        [&] { picture = DrawReadingPicture(photo.bgr, reading, drift); },
        [&] { written += Must(EncodePng(picture)).size(); },
        [&] { packed = Must(EncodeJpeg(picture, 500'000)); },
        [&] {
          written += ReadingPage(reading, drift, packed).size() + WriteReading(reading, drift).size() +
                     WriteDriftCsv(reading, drift).size();
        }};
    for (std::size_t i = 0; i < std::size(steps); ++i) times[i].push_back(Timed(steps[i]));
  }
  fmt::print("| step | median s |\n|---|---|\n");
  for (std::size_t i = 0; i < std::size(names); ++i) fmt::print("| {} | {:.3f} |\n", names[i], Quantile(times[i], 0.5));
  fmt::print("\n");
}

// One row: both programs, turn about.
void PrintPrograms(const testing::TemporaryFolder& folder, int sites, int runs) {
  const std::string photo = (folder / "photo.jpg").string(), plan = (folder / "plan.yaml").string();
  std::vector<double> decode, read, ratio, decode_cpu, read_cpu;
  double decode_mb = 0, read_mb = 0;
  for (int run = 0; run <= runs; ++run) {
    const ChildRun a = RunChild({TRUEPULL_DECODE_ONLY, photo});
    const ChildRun b = RunChild({testing::ProgramFile(), "read", "--plan", plan, photo, "--quiet", "--force", "--out", (folder / "out").string()});
    if (a.exit_code != 0) throw std::runtime_error("the photo could not be decoded");
    if (b.exit_code != 0 && b.exit_code != 3) throw std::runtime_error(fmt::format("read ended with {}", b.exit_code));
    if (run == 0) continue;   // The first pair fills the caches.
    decode.push_back(a.seconds);
    read.push_back(b.seconds);
    ratio.push_back(b.seconds / a.seconds);
    decode_cpu.push_back(a.cpu_seconds);
    read_cpu.push_back(b.cpu_seconds);
    decode_mb = std::max(decode_mb, a.peak_mb);
    read_mb = std::max(read_mb, b.peak_mb);
  }
  fmt::print("| {} | {:.2f} | {:.2f} | {:.1f} ({:.1f} to {:.1f}) | {:.2f} | {:.2f} | {:.0f} | {:.0f} |\n", sites, Quantile(decode, 0.5),
             Quantile(read, 0.5), Quantile(ratio, 0.5), Quantile(ratio, 0), Quantile(ratio, 1), Quantile(decode_cpu, 0.5),
             Quantile(read_cpu, 0.5), decode_mb, read_mb);
  std::fflush(stdout);
}

int Run(const Arguments& arguments) {
  const int runs = arguments.Whole("--runs", 5), width = arguments.Whole("--width", 4000);
  const std::string sites_wanted = arguments.Word("--sites", "all");
  const Job jobs[] = {{6, 8, 46, 42}, {10, 10, 37, 26}, {10, 20, 18.5, 26}, {20, 20, 18.5, 13}};
  std::string steps_jpeg;
  Plan steps_plan;
  fmt::print("| sites | decode s | read s | ratio, median (range) | decode CPU s | read CPU s | decode peak MB | read peak MB |\n"
             "|---|---|---|---|---|---|---|---|\n");
  for (const Job& job : jobs) {
    const int sites = job.rows * job.columns;
    if (sites_wanted != "all" && sites_wanted != std::to_string(sites)) continue;
    const Plan plan = testing::WavesOn(420, 297, job.rows, job.columns, job.width_mm, job.height_mm);
    auto options = Must(OptionsLike("typical", static_cast<std::uint64_t>(arguments.Whole("--seed", 1))));
    options.width_px = width;
    options.height_px = width * 3 / 4;
    // Hands that stray by less than a tile, also where tiles are small.
    options.hand.sd_shift_mm = std::min(options.hand.sd_shift_mm, 0.03 * std::min(job.width_mm, job.height_mm));
    const testing::MadePhoto made = testing::MakePhoto(plan, options);
    const testing::TemporaryFolder folder;
    testing::WriteFile(folder / "photo.jpg", made.jpeg);
    testing::WriteFile(folder / "plan.yaml", WritePlan(plan));
    PrintPrograms(folder, sites, runs);
    if (steps_jpeg.empty()) {
      steps_jpeg = made.jpeg;
      steps_plan = plan;
    }
  }
  if (steps_jpeg.empty()) throw std::runtime_error("--sites takes 48, 100, 200, 400 or all");
  fmt::print("\nSteps of read with {} sites, in one process:\n\n", AllSites(steps_plan.lattice).size());
  PrintSteps(steps_jpeg, steps_plan, runs);
  fmt::print("Photo of {} x {} px, sheet like typical, JPEG quality 92; {} runs of each, turn about; {} threads.\n", width,
             width * 3 / 4, runs, std::thread::hardware_concurrency());
  return 0;
}

}  // namespace
}  // namespace truepull::bench

int main(int argc, char** argv) {
  try {
    return truepull::bench::Run({argc, argv, {"--runs", "--width", "--sites", "--seed"}});
  } catch (const std::exception& e) {
    fmt::print(stderr, "{}\nusage: truepull_bench_speed [--runs N] [--width PX] [--sites N|all] [--seed N]\n", e.what());
    return 2;
  }
}
