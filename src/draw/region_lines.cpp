// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "truepull/picture.h"

namespace truepull {
namespace {

constexpr int kFraction = 4;   // Bits after the point in OpenCV's drawing.

using Loops = std::vector<std::vector<cv::Point>>;

void Add(Loops& loops, const Outline& outline, double px_per_mm, double margin_mm) {
  std::vector<cv::Point>& loop = loops.emplace_back();
  for (const Point& p : outline) {
    const auto px = [&](double mm) { return cv::saturate_cast<int>(((mm + margin_mm) * px_per_mm - 0.5) * (1 << kFraction)); };
    loop.emplace_back(px(p.x), px(p.y));
  }
}

}  // namespace

void DrawRegionLines(cv::Mat& flat, const Reading& reading, const PictureOptions& options) {
  const Plan& plan = reading.plan;
  const double px = PixelsPerMm(plan.sheet, options);
  Loops inked, bare;
  std::size_t at = 0;
  for (const PullColours& p : reading.sheet.colours) {
    while (at < reading.sheet.sites.size() && reading.sheet.sites[at].site != p.site) ++at;
    if (at == reading.sheet.sites.size()) break;
    const CellMember& member = MemberAt(plan.lattice, p.site);
    const bool band = std::any_of(p.regions.begin(), p.regions.end(), [](const ColourRegion& r) { return r.kind == RegionKind::kEdge; });
    for (const ColourRegion& r : p.regions) {
      // The band's inner side is the body's outer one.
      if (r.kind == RegionKind::kEdge || (r.kind == RegionKind::kBody && !band)) continue;
      for (const Outline& o : r.outlines) Add(r.kind == RegionKind::kBare ? bare : inked, o, px, options.margin_mm);
      if (r.kind != RegionKind::kDrawing) continue;
      for (const PlateDrawing& d : reading.sheet.drawings) {
        if (d.plate != member.plate || d.mirrored != member.mirrored) continue;
        for (const Outline& o : d.outlines) Add(inked, Apply(reading.sheet.sites[at].found, o), px, options.margin_mm);
        break;
      }
    }
  }
  const int width = std::max(1, flat.cols / 1800);
  for (const auto& [loops, colour] : {std::pair(&inked, cv::Scalar(255, 255, 255)), std::pair(&bare, cv::Scalar(74, 233, 255))}) {
    if (!loops->empty()) cv::polylines(flat, *loops, true, colour, width, cv::LINE_AA, kFraction);
  }
}

}  // namespace truepull
