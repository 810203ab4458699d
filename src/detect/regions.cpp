// SPDX-License-Identifier: Apache-2.0
#include "detect/regions.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <opencv2/core/utility.hpp>

#include "detect/colour_classes.h"
#include "detect/common_drawing.h"
#include "detect/region_kinds.h"
#include "detect/region_outlines.h"
#include "detect/tile_light.h"

namespace truepull::detect {
namespace {

constexpr double kStepMm = 0.5;
constexpr double kMostSquares = 160;      // Along a tile's side.
constexpr double kLeastMm2 = 12, kLeastShare = 0.006;
constexpr std::size_t kMostOutlined = 1000;   // Pulls; beyond, reading.yaml would pass 10 MB.
constexpr double kToleranceMm = 0.3;      // Half a square.

struct Work {
  TileLight light;
  ColourClasses colours;
  cv::Mat labels;          // After the specks went to what surrounds them.
  cv::Mat departures;
};

double LeastMm2(const PlateShape& shape) { return std::max(kLeastMm2, kLeastShare * shape.area); }

Work Look(const TileGrid& grid, const SheetMap& map, const std::vector<Pull>& pulls, std::size_t i, const Ink& ink) {
  Work w;
  w.light = LightOf(grid, map, pulls, i);
  w.colours = FindColours(grid, w.light, ink.full);
  const int count = static_cast<int>(w.colours.classes.size());
  w.labels = MostAround(w.colours.label, count);
  DropSmallParts(w.labels, count, grid, LeastMm2(*pulls[i].shape));
  std::vector<float> mean;
  for (const ColourClass& c : w.colours.classes) mean.push_back(DensityOf(c.light));
  w.departures = DeparturesOf(w.light, w.labels, mean);
  return w;
}

PullColours Gather(const TileGrid& grid, const Work& w, const CommonDrawing& drawing, const Pull& pull, const Ink& ink, const Plan& plan,
                   bool outlined) {
  PullColours out;
  const int count = static_cast<int>(w.colours.classes.size());
  const std::vector<RegionKind> kinds = KindsOf(grid, w.labels, w.colours);
  const DrawnLines lines = LinesOf(grid, w.light, drawing);
  const std::vector<cv::Mat> fields = outlined ? FieldsOf(w.labels, count, grid) : std::vector<cv::Mat>();
  const cv::Mat* drawn = lines.there ? &drawing.field : nullptr;
  for (int k = 0; k < count; ++k) {
    ColourRegion r = RegionOf(grid, w.light, w.labels, w.colours.mixed, k, drawn);
    if (r.area_mm2 < LeastMm2(*pull.shape)) continue;
    r.kind = kinds[static_cast<std::size_t>(k)];
    if (r.kind == RegionKind::kBody || r.kind == RegionKind::kOther) r.colour = PlanColourOf(r.lab, plan.colours);
    if (outlined) {
      for (const Outline& loop : LoopsOf(fields[static_cast<std::size_t>(k)], grid, kToleranceMm, 0.5 * LeastMm2(*pull.shape))) {
        r.outlines.push_back(Apply(pull.pose, loop));
      }
    }
    out.regions.push_back(std::move(r));
  }
  if (lines.there) out.regions.push_back(lines.region);
  std::stable_sort(out.regions.begin(), out.regions.end(), [](const ColourRegion& a, const ColourRegion& b) {
    return a.kind != b.kind ? a.kind < b.kind : a.area_mm2 > b.area_mm2;
  });
  double inside = 0, specks = 0, overlapped = 0;
  for (int j = 0; j < grid.rows; ++j) {
    for (int i = 0; i < grid.columns; ++i) {
      const uchar use = w.light.use.at<uchar>(j, i);
      if (use == 0) continue;
      inside += 1;
      overlapped += use == 2;
      specks += use == 1 && w.colours.label.at<uchar>(j, i) != w.labels.at<uchar>(j, i) && !(drawn && drawn->at<float>(j, i) > 0);
    }
  }
  if (inside > 0) out.left_out = specks / inside, out.overlapped = overlapped / inside;
  out.charge = ChargeOf(ink);
  CoverOf(grid, w.light, ink.full, out);
  return out;
}

}  // namespace

SheetColours MeasureColours(const SheetMap& map, const Plan& plan, const std::vector<Site>& sites, const std::vector<Pull>& pulls,
                            const std::vector<Ink>& inks) {
  std::map<const PlateShape*, std::vector<std::size_t>> of_shape;
  std::vector<const PlateShape*> order;    // As they first stand on the sheet.
  for (std::size_t i = 0; i < pulls.size(); ++i) {
    if (!pulls[i].present) continue;
    if (of_shape[pulls[i].shape].empty()) order.push_back(pulls[i].shape);
    of_shape[pulls[i].shape].push_back(i);
  }
  SheetColours out;
  std::vector<PullColours> all(pulls.size());
  for (const PlateShape* shape : order) {
    const std::vector<std::size_t>& mine = of_shape[shape];
    const Box box = BoundingBox(shape->outline);
    const TileGrid grid = GridOf(*shape, std::max(kStepMm, std::max(box.Width(), box.Height()) / kMostSquares));
    std::vector<Work> work(mine.size());
    const auto each = [&](const auto& job) {
      cv::parallel_for_(cv::Range(0, static_cast<int>(mine.size())), [&](const cv::Range& range) {
        for (int m = range.start; m < range.end; ++m) job(static_cast<std::size_t>(m));
      });
    };
    each([&](std::size_t m) { work[m] = Look(grid, map, pulls, mine[m], inks[mine[m]]); });
    std::vector<const cv::Mat*> departures;
    for (const Work& w : work) departures.push_back(&w.departures);
    const CommonDrawing drawing = FindCommonDrawing(grid, departures);
    if (!drawing.outlines.empty()) {
      const CellMember& member = MemberAt(plan.lattice, sites[mine.front()]);
      out.drawings.push_back({member.plate, member.mirrored, drawing.outlines});
    }
    each([&](std::size_t m) {
      const std::size_t i = mine[m];
      all[i] = Gather(grid, work[m], drawing, pulls[i], inks[i], plan, pulls.size() <= kMostOutlined);
      all[i].site = sites[i];
    });
  }
  for (std::size_t i = 0; i < pulls.size(); ++i) {
    if (pulls[i].present) out.pulls.push_back(std::move(all[i]));
  }
  return out;
}

}  // namespace truepull::detect
