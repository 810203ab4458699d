// SPDX-License-Identifier: Apache-2.0
// From a plan and the chosen faults to a photo and its truth.
#include "truepull/render.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <exception>
#include <thread>

#include <fmt/format.h>

#include "render/lens.h"
#include "render/random.h"
#include "render/scene.h"
#include "render/true_camera.h"
#include "render/true_poses.h"

namespace truepull {
namespace render {
namespace {

constexpr int kBlockPx = 16;   // Within a block the maps are second-degree polynomials ...
constexpr int kStripRows = 96; // ... and strips are what a thread does at a time.

/// A smooth quantity over one block, by its values at 3 x 3 nodes.
struct Patch {
  std::array<double, 9> v{};
  double At(const std::array<double, 3>& bx, const std::array<double, 3>& by) const {
    return by[0] * (bx[0] * v[0] + bx[1] * v[1] + bx[2] * v[2]) +
           by[1] * (bx[0] * v[3] + bx[1] * v[4] + bx[2] * v[5]) +
           by[2] * (bx[0] * v[6] + bx[1] * v[7] + bx[2] * v[8]);
  }
};

/// Lagrange's polynomials for nodes at 0, 8 and 16 pixels.
std::array<double, 3> Basis(double offset_px) {
  const double t = offset_px / (kBlockPx / 2.0);
  return {0.5 * (t - 1) * (t - 2), t * (2 - t), 0.5 * t * (t - 1)};
}

struct Block {
  Patch table_x, table_y, sheet_x, sheet_y, light, shade;
  bool cockled = false;
};

class Painter {
 public:
  Painter(const RenderOptions& options, const TrueCamera& camera, const Scene& scene)
      : options_(options), camera_(camera), scene_(scene), sheet_from_photo_(camera.model) {}

  Strip Paint(int first_row, int last_row) const {
    const int margin = LensMargin(options_.camera);
    Strip strip;
    strip.left = -margin;
    strip.top = first_row - margin;
    strip.width = options_.width_px + 2 * margin;
    strip.height = last_row - first_row + 2 * margin;
    strip.light.assign(static_cast<std::size_t>(strip.width) * static_cast<std::size_t>(strip.height) * 3, 0);
    const auto block_of = [](int px) {
      return static_cast<int>(std::floor(static_cast<double>(px) / kBlockPx));
    };
    const int right = strip.left + strip.width, bottom = strip.top + strip.height;
    for (int by = block_of(strip.top); by * kBlockPx < bottom; ++by) {
      for (int bx = block_of(strip.left); bx * kBlockPx < right; ++bx) PaintBlock(strip, bx, by);
    }
    return strip;
  }

 private:
  Block MapBlock(int bx, int by) const {
    Block block;
    const Cockle& cockle = scene_.paper().cockle();
    block.cockled = !cockle.flat();
    for (int j = 0; j < 3; ++j) {
      for (int i = 0; i < 3; ++i) {
        const auto n = static_cast<std::size_t>(3 * j + i);
        const Point t = sheet_from_photo_((bx + 0.5 * i) * kBlockPx, (by + 0.5 * j) * kBlockPx);
        block.table_x.v[n] = t.x;
        block.table_y.v[n] = t.y;
        block.light.v[n] = scene_.light().At(t);
        if (!block.cockled) continue;
        // The ray to t meets the raised paper nearer to the camera's foot:
        // s = foot + (t - foot) (height - z(s)) / height; z is small and smooth.
        Point s = t;
        for (int round = 0; round < 4; ++round) {
          const double share = 1 - cockle.Height(s) / camera_.height_mm;
          s = camera_.foot + share * (t - camera_.foot);
        }
        block.sheet_x.v[n] = s.x;
        block.sheet_y.v[n] = s.y;
        block.shade.v[n] = scene_.light().Shade(cockle.Slope(s));
      }
    }
    return block;
  }

  void PaintBlock(Strip& strip, int bx, int by) const {
    const Block block = MapBlock(bx, by);
    const double pixel_mm = std::max(
        1e-6, std::sqrt(std::abs((block.table_x.v[2] - block.table_x.v[0]) * (block.table_y.v[6] - block.table_y.v[0]) -
                                 (block.table_x.v[6] - block.table_x.v[0]) * (block.table_y.v[2] - block.table_y.v[0]))) /
                  kBlockPx);
    const Rgb tint = scene_.light().Tint();
    const int x0 = std::max(bx * kBlockPx, strip.left);
    const int x1 = std::min((bx + 1) * kBlockPx, strip.left + strip.width);
    const int y0 = std::max(by * kBlockPx, strip.top);
    const int y1 = std::min((by + 1) * kBlockPx, strip.top + strip.height);
    for (int y = y0; y < y1; ++y) {
      float* out = strip.Row(y - strip.top) + static_cast<std::ptrdiff_t>(x0 - strip.left) * 3;
      const double oy = y - by * kBlockPx;
      const auto row = Basis(oy);
      for (int x = x0; x < x1; ++x, out += 3) {
        const double ox = x - bx * kBlockPx;
        const auto column = Basis(ox);
        const Point table{block.table_x.At(column, row), block.table_y.At(column, row)};
        Point sheet = table;
        float shade = 1;
        if (block.cockled) {
          sheet = {block.sheet_x.At(column, row), block.sheet_y.At(column, row)};
          shade = static_cast<float>(block.shade.At(column, row));
        }
        const int n = scene_.SamplesAt(sheet, table, pixel_mm);
        Rgb sum{};
        if (n == 1) {
          sum = scene_.Colour(sheet, table, static_cast<float>(pixel_mm), shade);
        } else {
          for (int j = 0; j < n; ++j) {
            const auto r = Basis(oy + (j + 0.5) / n - 0.5);
            for (int i = 0; i < n; ++i) {
              const auto c = Basis(ox + (i + 0.5) / n - 0.5);
              const Point t{block.table_x.At(c, r), block.table_y.At(c, r)};
              const Point s = block.cockled ? Point{block.sheet_x.At(c, r), block.sheet_y.At(c, r)} : t;
              const Rgb one = scene_.Colour(s, t, static_cast<float>(pixel_mm / n), shade);
              for (std::size_t k = 0; k < 3; ++k) sum[k] += one[k];
            }
          }
          for (float& v : sum) v /= static_cast<float>(n * n);
        }
        const auto light = static_cast<float>(block.light.At(column, row));
        for (std::size_t k = 0; k < 3; ++k) out[k] = sum[k] * light * tint[k];
      }
    }
  }

  const RenderOptions& options_;
  const TrueCamera& camera_;
  const Scene& scene_;
  PhotoToSheet sheet_from_photo_;
};

/// Runs work(i) for i in [0, count) on some threads; passes on the first exception.
template <typename Work>
void Share(int count, int threads, Work work) {
  if (threads <= 0) threads = static_cast<int>(std::max(1U, std::thread::hardware_concurrency()));
  threads = std::clamp(threads, 1, std::max(1, count));
  std::atomic<int> next{0};
  std::exception_ptr failed;
  std::atomic<bool> stop{false};
  const auto run = [&] {
    for (int i = next++; i < count && !stop; i = next++) {
      try {
        work(i);
      } catch (...) {
        if (!stop.exchange(true)) failed = std::current_exception();
      }
    }
  };
  std::vector<std::thread> others;
  for (int t = 1; t < threads; ++t) others.emplace_back(run);
  run();
  for (std::thread& thread : others) thread.join();
  if (failed) std::rethrow_exception(failed);
}

TruthRow TruthOf(const Plan& plan, const TruePull& place, const std::optional<Pull>& pull,
                 const InkFaults& faults, std::uint32_t paper_seed) {
  TruthRow row;
  row.site = place.site;
  row.colour = place.colour;
  row.colour_hex = place.colour >= 0 ? plan.colours[static_cast<std::size_t>(place.colour)] : "#303030";
  if (!pull) return row;
  const Measured measured = MeasurePull(*pull, faults, paper_seed);
  const double prints = PlateAt(plan, place.site).prints;
  row.pose = place.pose;
  row.coverage = measured.coverage;
  row.deposit = measured.deposit;
  row.ghost = place.ghost;
  const bool weak = measured.deposit < 0.45 * prints || measured.coverage < 0.55 * prints;
  row.state = weak ? SiteState::kWeak : SiteState::kPrinted;
  return row;
}

// Where the pulls of a later pass land, in mm of the sheet as it was then.
std::vector<std::optional<Pose>> LaterPlaces(const Plan& plan, const RenderOptions& options, std::size_t which) {
  const LaterPass& pass = options.later_passes[which];
  const std::vector<Site> sites = AllSites(plan.lattice);
  std::vector<std::optional<Pose>> places = pass.places;
  for (std::size_t i = 0; i < places.size(); ++i) {
    if (!places[i]) continue;
    Random chance(Key(options.seed, Stream::kSecondHand, RowOfPass(which) + sites[i].row, sites[i].column));
    const double x = chance.Normal(), y = chance.Normal(), t = chance.Normal();
    places[i]->at = places[i]->at + Point{pass.sd_shift_mm * x, pass.sd_shift_mm * y};
    places[i]->turn_rad = WrapTurn(places[i]->turn_rad + pass.sd_turn_rad * t);
    places[i]->at = {places[i]->at.x / (1 + pass.growth_x_percent / 100), places[i]->at.y / (1 + pass.growth_y_percent / 100)};
  }
  return places;
}

}  // namespace
}  // namespace render

Result<RenderedSheet> RenderSheet(const Plan& plan, const RenderOptions& options) {
  using namespace render;
  const Status valid = options.Validate();
  if (!valid) return valid.error();
  if (plan.lattice.fit_origin) {
    return Error{ErrorCode::kBadArgument, "a lattice whose origin is `fit` has no places to print at",
                 "give lattice.origin, rows and columns in numbers"};
  }
  const std::vector<Site> sites = AllSites(plan.lattice);
  for (const SiteFault& fault : options.site_faults) {
    if (!std::binary_search(sites.begin(), sites.end(), fault.site)) {
      return Error{ErrorCode::kBadArgument,
                   fmt::format("the plan has no site in row {}, column {}", fault.site.row, fault.site.column),
                   fmt::format("rows run from 0 to {}, columns from 0 to {}", plan.lattice.rows - 1,
                               FileColumns(plan.lattice) - 1)};
    }
  }
  for (const LaterPass& pass : options.later_passes) {
    if (pass.places.size() == sites.size()) continue;
    return Error{ErrorCode::kBadArgument,
                 fmt::format("a later pass names {} places, the plan has {} sites", pass.places.size(), sites.size()),
                 "give one place for each site, in order; leave out a site by giving it none"};
  }

  const std::vector<TruePull> places = PlacePulls(plan, options);
  const std::vector<std::optional<Pull>> first = MakePulls(plan, options, places);
  const std::size_t passes = options.later_passes.size();
  std::vector<std::vector<std::optional<Pose>>> later_places;
  std::vector<std::vector<std::optional<Pull>>> later;
  for (std::size_t which = 0; which < passes; ++which) {
    later_places.push_back(LaterPlaces(plan, options, which));
    later.push_back(MakeLaterPulls(plan, options, which, later_places.back()));
  }
  std::vector<Pull> pulls;
  for (const auto& pull : first) {
    if (pull) pulls.push_back(*pull);
  }
  for (const auto& pull : MakePulls(plan, options, PlaceExtraPulls(plan, options))) pulls.push_back(*pull);
  const std::size_t first_pass_pulls = pulls.size();
  for (const auto& pass : later) {
    for (const auto& pull : pass) {
      if (pull) pulls.push_back(*pull);
    }
  }

  RenderedSheet out;
  const TrueCamera camera = StandCamera(plan.sheet, options);
  out.camera = camera.model;
  const Scene scene(plan, options, std::move(pulls), first_pass_pulls);

  const int count = static_cast<int>(places.size());
  out.truth.resize(places.size());
  InkFaults later_faults = options.ink;
  later_faults.motif = Motif::kNone;
  later_faults.carved = false;
  later_faults.edge_ring_mm = 0;
  out.later_truth.assign(passes, std::vector<TruthRow>(places.size()));
  Share(count, options.threads, [&](int i) {
    const auto n = static_cast<std::size_t>(i);
    out.truth[n] = TruthOf(plan, places[n], first[n], options.ink, scene.paper().tooth_seed());
    for (std::size_t which = 0; which < passes; ++which) {
      TruePull place{.site = places[n].site, .pose = later_places[which][n].value_or(Pose{})};
      out.later_truth[which][n] = TruthOf(plan, place, later[which][n], later_faults, scene.paper().tooth_seed());
      out.later_truth[which][n].colour_hex = options.later_passes[which].colour;
    }
  });

  out.bgr.create(options.height_px, options.width_px, CV_8UC3);
  const Painter painter(options, camera, scene);
  const int strips = (options.height_px + kStripRows - 1) / kStripRows;
  Share(strips, options.threads, [&](int i) {
    const int top = i * kStripRows, bottom = std::min(options.height_px, top + kStripRows);
    Strip strip = painter.Paint(top, bottom);
    Blur(strip, options.camera);
    Expose(strip, options, top, bottom, out.bgr.data, out.bgr.step[0]);
  });
  return out;
}

}  // namespace truepull
