// SPDX-License-Identifier: Apache-2.0
// How far measuring is off: sweeps of imagined sheets with known truth, or a folder of photos.
//
//   truepull_bench_accuracy [--sheets N] [--width PX] [--tier easy|typical|hard|all]
//                           [--tile NAME|all] [--seed N] [--quality JPEG] [--missing SHARE] [--keep DIR]
//   truepull_bench_accuracy --photos DIR     (DIR/NAME/{photo.jpg,plan.yaml,truth.csv})
//
// Sheet i of a tier takes tile i in turn and seed S + i. Prints tables in Markdown, and gross
// errors, invented and lost pulls on standard error. --missing leaves out that share of the
// pulls instead of the tier's own, so that a few sheets have many absent sites. With --keep
// every sheet's photo, plan and truth stay in DIR/TIER_TILE_SEED for a closer look.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <filesystem>
#include <map>
#include <thread>

#include "bench/arguments.h"
#include "support/files.h"
#include "support/made_photos.h"
#include "support/made_plans.h"
#include "support/truth_comparison.h"
#include "truepull/plan_text.h"
#include "truepull/truth_text.h"

namespace truepull::bench {
namespace {

namespace fs = std::filesystem;
using testing::Comparison;

void PrintHead(const char* first) {
  fmt::print("| {} | sheets | present | absent | recall | invented | lost | rms x, y mm | median mm | 95 % mm | worst mm "
             "| turn rms deg | gross | in 1 sd | in 2 sd | mean z2 | median z2 | state right | colour right | coverage off |\n",
             first);
  fmt::print("|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|\n");
}

double Share(int part, std::size_t of) { return of == 0 ? 1 : part / static_cast<double>(of); }

void PrintRow(const std::string& name, const Comparison& c) {
  const testing::Figures f = testing::Summarise(c);
  const std::string sheets = c.refused > 0 ? fmt::format("{} ({} refused)", c.sheets, c.refused) : fmt::format("{}", c.sheets);
  if (c.errors.empty()) {
    fmt::print("| {} | {} | {} | {} | {:.3f} | {} | {} |  |  |  |  |  |  |  |  |  |  |  |  |  |\n", name, sheets, c.present,
               c.absent, f.recall, c.false_finds, c.lost);
    return;
  }
  fmt::print("| {} | {} | {} | {} | {:.3f} | {} | {} | {:.3f} | {:.3f} | {:.3f} | {:.3f} | {:.3f} | {} | {:.2f} | {:.2f} | "
             "{:.2f} | {:.2f} | {:.2f} | {:.2f} | {:.3f} |\n",
             name, sheets, c.present, c.absent, f.recall, c.false_finds, c.lost, f.rms_mm, f.median_mm, f.p95_mm, f.worst_mm,
             f.turn_rms_deg, f.gross, f.within_1_sd, f.within_2_sd, f.z_squared, f.median_z_squared,
             Share(c.state_right, c.errors.size()), Share(c.colour_right, static_cast<std::size_t>(c.colour_named)),
             f.median_coverage_error);
  std::fflush(stdout);
}

double SecondsSince(std::chrono::steady_clock::time_point start) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

// One photo, measured against its truth; a refusal is said on standard error.
Comparison Judge(const testing::MadePhoto& photo, const std::string& name, double& seconds) {
  const auto start = std::chrono::steady_clock::now();
  const auto reading = testing::ReadPhoto(photo.jpeg, photo.plan);
  seconds += SecondsSince(start);
  if (reading) return testing::Compare(photo.plan, photo.truth, *reading);
  fmt::print(stderr, "{}: {}\n", name, reading.error().message);
  return testing::Refused(photo.truth);
}

// What a printer would call wrong, by name.
void NameFaults(const std::string& name, const Comparison& c) {
  int named = 0;   // A frame that is wrong makes every site gross: name a few.
  for (const testing::SiteError& e : c.errors) {
    if (!e.gross() || ++named > 6) continue;
    fmt::print(stderr, "{}: {} is off by {:.2f}, {:.2f} mm, {:.2f} deg\n", name, SiteLabel(e.site), e.dx_mm, e.dy_mm, e.dturn_deg);
  }
  for (const Site& s : c.invented) fmt::print(stderr, "{}: {} is invented\n", name, SiteLabel(s));
  for (const Site& s : c.missed) fmt::print(stderr, "{}: {} is lost\n", name, SiteLabel(s));
}

int RunPhotos(const fs::path& folder) {
  std::vector<fs::path> photos;
  for (const auto& entry : fs::directory_iterator(folder)) {
    if (fs::exists(entry.path() / "photo.jpg")) photos.push_back(entry.path());
  }
  std::sort(photos.begin(), photos.end());
  PrintHead("photo");
  std::map<std::string, Comparison> tiers;   // By the name's first part.
  double seconds = 0;
  for (const fs::path& photo : photos) {
    const std::string name = photo.filename().string();
    const Comparison c = Judge(testing::LoadMadePhoto(photo), name, seconds);
    NameFaults(name, c);
    PrintRow(name, c);
    tiers[name.substr(0, name.find('_'))].Add(c);
  }
  for (const auto& [tier, c] : tiers) PrintRow("all " + tier, c);
  fmt::print("\n{:.1f} s in all on {} threads.\n", seconds, std::thread::hardware_concurrency());
  return 0;
}

void Keep(const testing::MadePhoto& photo, const fs::path& folder) {
  fs::create_directories(folder);
  testing::WriteFile(folder / "photo.jpg", photo.jpeg);
  testing::WriteFile(folder / "plan.yaml", WritePlan(photo.plan));
  testing::WriteFile(folder / "truth.csv", TruthText(photo.truth));
}

int RunSweep(const Arguments& arguments) {
  const int sheets = arguments.Whole("--sheets", 8), width = arguments.Whole("--width", 4000);
  const int quality = arguments.Whole("--quality", 92);
  const int seed = arguments.Whole("--seed", 1);
  const std::string tier_wanted = arguments.Word("--tier", "all"), tile_wanted = arguments.Word("--tile", "all");
  const double missing = arguments.Number("--missing", -1);
  const std::string keep = arguments.Word("--keep", "");
  std::vector<testing::MadePlan> plans = testing::AllMadePlans();
  if (tile_wanted != "all") std::erase_if(plans, [&](const auto& p) { return p.name != tile_wanted; });
  if (plans.empty()) throw std::runtime_error("there is no tile " + tile_wanted);

  std::vector<std::pair<std::string, Comparison>> tiers;
  std::map<std::string, std::map<std::string, Comparison>> by_tile;
  double seconds = 0;
  int done = 0;
  for (const std::string tier : {"easy", "typical", "hard"}) {
    if (tier_wanted != "all" && tier_wanted != tier) continue;
    Comparison all;
    for (int i = 0; i < sheets; ++i) {
      const testing::MadePlan& made = plans[static_cast<std::size_t>(i) % plans.size()];
      auto options = OptionsLike(tier, static_cast<std::uint64_t>(seed + i));
      if (!options) throw std::runtime_error(options.error().message);
      if (missing >= 0) options->ink.missing_share = missing;
      options->width_px = width;
      options->height_px = width * 3 / 4;
      const testing::MadePhoto photo = testing::MakePhoto(made.plan, *options, quality);
      if (!keep.empty()) Keep(photo, fs::path(keep) / fmt::format("{}_{}_{}", tier, made.name, seed + i));
      const std::string name = fmt::format("{} {}, seed {}", tier, made.name, seed + i);
      const Comparison c = Judge(photo, name, seconds);
      NameFaults(name, c);
      all.Add(c);
      by_tile[tier][made.name].Add(c);
      ++done;
    }
    tiers.emplace_back(tier, all);
  }
  if (tiers.empty()) throw std::runtime_error("there is no tier " + tier_wanted);

  PrintHead("sheets like");
  for (const auto& [tier, c] : tiers) PrintRow(tier, c);
  fmt::print("\n");
  PrintHead("tile");
  for (const auto& [tier, c] : tiers) {
    for (const testing::MadePlan& made : plans) {
      if (by_tile[tier].contains(made.name)) PrintRow(tier + ", " + made.name, by_tile[tier][made.name]);
    }
  }
  fmt::print("\n{} sheets a tier, seeds {} to {}, photos of {} x {} px, JPEG quality {}; {:.2f} s a photo on {} threads.\n",
             sheets, seed, seed + sheets - 1, width, width * 3 / 4, quality, seconds / std::max(1, done),
             std::thread::hardware_concurrency());
  return 0;
}

}  // namespace
}  // namespace truepull::bench

int main(int argc, char** argv) {
  try {
    const truepull::bench::Arguments arguments(
        argc, argv, {"--sheets", "--width", "--tier", "--tile", "--seed", "--quality", "--missing", "--keep", "--photos"});
    if (const std::string photos = arguments.Word("--photos", ""); !photos.empty()) {
      return truepull::bench::RunPhotos(photos);
    }
    return truepull::bench::RunSweep(arguments);
  } catch (const std::exception& e) {
    fmt::print(stderr, "{}\nusage: truepull_bench_accuracy [--sheets N] [--width PX] [--tier T] [--tile NAME] [--seed N] "
                       "[--quality N] [--missing SHARE] [--keep DIR] | --photos DIR\n", e.what());
    return 2;
  }
}
