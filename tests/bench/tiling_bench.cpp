// SPDX-License-Identifier: Apache-2.0
// How the time of a tile's verdict grows with its points, and how long tracing a photo takes
// beside decoding it. Prints markdown tables; run by hand: [growth|trace].
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <ctime>
#include <functional>
#include <numbers>
#include <random>
#include <stdexcept>
#include <string>

#include "support/tile_photos.h"
#include "tiling/shapes.h"
#include "truepull/closing.h"
#include "truepull/photo_file.h"
#include "truepull/tiling.h"
#include "truepull/trace.h"

namespace truepull::testing {
namespace {

template <typename T>
T Must(Result<T> result) {
  if (!result) throw std::runtime_error(result.error().message);
  return *std::move(result);
}

// The least of some runs, ms of processor time: whatever else the machine is doing.
double Ms(int runs, const std::function<void()>& work) {
  double least = 1e300;
  for (int i = 0; i < runs; ++i) {
    const std::clock_t start = std::clock();
    work();
    least = std::min(least, 1000.0 * static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC);
  }
  return least;
}

Outline Circle(int n) {
  Outline o;
  for (int i = 0; i < n; ++i) o.push_back({30 * std::cos(2 * std::numbers::pi * i / n), 30 * std::sin(2 * std::numbers::pi * i / n)});
  return o;
}

// A square whose sides are all the same teeth: every stretch looks like many others.
Outline Saw(int n) {
  Outline o;
  const int teeth = std::max(1, n / 8);
  const Point corner[4] = {{0, 0}, {60, 0}, {60, 60}, {0, 60}};
  for (int k = 0; k < 4; ++k) {
    const Point a = corner[k], along = (1.0 / teeth) * (corner[(k + 1) % 4] - a), out{along.y, -along.x};
    for (int i = 0; i < teeth; ++i) {
      o.push_back(a + static_cast<double>(i) * along);
      o.push_back(a + (i + 0.5) * along + 0.3 * out);
    }
  }
  return o;
}

Outline Wild(int n, std::mt19937& random) {
  std::uniform_real_distribution<double> d(22, 32);
  Outline o = Circle(n);
  for (Point& p : o) p = (d(random) / 30) * p;
  return o;
}

void Growth() {
  using testing_shapes::HalfTurnTile;
  using testing_shapes::ShiftTile;
  std::mt19937 random(4);
  const std::pair<const char*, std::function<Outline(int)>> kinds[] = {
      {"wavy, by shifts", [&](int n) { return ShiftTile({61, 3}, {-6, 44}, {9, 7}, n / 6, random); }},
      {"wavy, by half turns", [&](int n) { return HalfTurnTile({{0, 0}, {58, 5}, {66, 40}, {-4, 52}}, n / 8, random); }},
      {"circle", Circle},
      {"saw-toothed square", Saw},
      {"repeats in no way", [&](int n) { return Wild(n, random); }}};
  fmt::print("Verdict (and closing) in ms of processor time, by points\n\n| outline |");
  for (int n = 50; n <= 3200; n *= 2) fmt::print(" {} |", n);
  fmt::print(" grows as n to the |\n|---|");
  for (int n = 50; n <= 3200; n *= 2) fmt::print("--:|");
  fmt::print("--:|\n");
  for (const auto& [name, make] : kinds) {
    fmt::print("| {} |", name);
    double before = 0, last = 0;
    for (int n = 50; n <= 3200; n *= 2) {
      const Outline outline = make(n);
      before = last;
      last = Ms(n > 1000 ? 1 : 3, [&] { Must(JudgeOutline(outline)); });
      fmt::print(" {:.1f}", last);
      if (n <= 800) fmt::print(" ({:.0f})", Ms(1, [&] { Must(CloseOutline(outline)); }));
      fmt::print(" |");
      std::fflush(stdout);
    }
    fmt::print(" {:.1f} |\n", std::log2(last / before));
  }
}

void Tracing() {
  const TileLook look;
  std::mt19937 random(5);
  fmt::print("\nTracing a 12-megapixel photo beside decoding it, ms of processor time\n\n| tiles | decode | find the sheet | trace | trace / decode | both / decode | RMS, mm |\n|--:|--:|--:|--:|--:|--:|--:|\n");
  for (const int tiles : {1, 6, 30}) {
    std::vector<LaidTile> laid;
    const bool large = tiles > 6;
    const double width = large ? 700 : 420, height = large ? 525 : 297;
    for (int k = 0; k < tiles; ++k) {
      Outline cut;
      do {
        cut = testing_shapes::Cut(testing_shapes::ShiftTile({61, 3}, {-6, 44}, {9, 7}, 12, random), 0.08, random);
      } while (!FindWeakPlaces(cut).empty());
      const Point middle = Centroid(cut);
      for (Point& p : cut) p = p - middle;
      const Point at = tiles == 1 ? Point{210, 148} : large ? Point{70.0 + 110 * (k % 6), 62.0 + 100 * (k / 6)} : Point{75.0 + 130 * (k % 3), 80.0 + 130 * (k / 3)};
      laid.push_back({cut, {at, 0.2 * k}});
    }
    const Plan plan = TilesOnSheet(width, height, laid, look);
    const std::string jpeg = TilePhoto(plan, PhoneShot(7, 4000, 3000, look));
    Photo photo;
    SheetFrame frame;
    Traced traced;
    const double decode = Ms(5, [&] { photo = Must(DecodePhoto(jpeg, "tiles.jpg")); });
    const double find = Ms(5, [&] { frame = Must(FindSheet(photo, plan.sheet)); });
    const double trace = Ms(5, [&] { traced = Must(TraceTiles(photo, frame.camera, plan.sheet)); });
    const auto truth = OnTheSheet(laid);
    double squares = 0;
    for (std::size_t k = 0; k < traced.tiles.size() && k < truth.size(); ++k) squares += std::pow(ErrorOf(traced.tiles[k].outline, truth[k]).rms_mm, 2);
    fmt::print("| {} of {} | {:.0f} | {:.0f} | {:.0f} | {:.1f} | {:.1f} | {:.3f} |\n", traced.tiles.size(), tiles, decode, find, trace, trace / decode, (find + trace) / decode,
               std::sqrt(squares / static_cast<double>(traced.tiles.size())));
    std::fflush(stdout);
  }
}

}  // namespace
}  // namespace truepull::testing

int main(int argc, char** argv) {
  const std::string part = argc > 1 ? argv[1] : "";   // growth, trace; nothing: both.
  if (part != "trace") truepull::testing::Growth();
  if (part != "growth") truepull::testing::Tracing();
}
