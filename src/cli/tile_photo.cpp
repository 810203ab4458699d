// SPDX-License-Identifier: Apache-2.0
#include "cli/tile_photo.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/core.hpp>
#include <utility>

#include "cli/layout_job.h"
#include "truepull/photo_file.h"
#include "truepull/picture_file.h"
#include "truepull/trace.h"

namespace truepull {
namespace {

constexpr double kDrawingPxPerMm = 8;   // 200 dpi: what a drawing is traced from.
constexpr double kRoundDrawingMm = 1;

struct Frame {
  SheetCamera camera;
  Sheet sheet;
  std::vector<std::string> findings, notes;
};

// Whether the sheet's upper side lies at the side of the picture.
bool OnItsSide(const SheetFrame& frame) {
  const Point top = frame.corners_px[1] - frame.corners_px[0];
  return std::abs(top.y) > std::abs(top.x);
}

Result<Frame> FrameOf(const Photo& photo, const TilePhotoOptions& options) {
  Frame frame;
  if (options.scale > 0) {
    ScaledPhoto scaled = LookStraightDown(photo, options.scale);
    frame.camera = scaled.camera;
    frame.sheet = scaled.sheet;
    frame.notes.push_back("no sheet is measured: the photo was taken to be from straight above, with a lens that bends nothing");
    return frame;
  }
  const auto size = ParseSheetSize(options.sheet);
  if (!size) return size.error();
  frame.sheet = *size;
  // The sheet is plain: it may lie either way, and the picture's top is its top.
  if ((photo.bgr.cols > photo.bgr.rows) != (frame.sheet.width_mm > frame.sheet.height_mm)) std::swap(frame.sheet.width_mm, frame.sheet.height_mm);
  auto found = FindSheet(photo, frame.sheet);
  if (!found) return found.error();
  if (OnItsSide(*found)) {
    std::swap(frame.sheet.width_mm, frame.sheet.height_mm);
    found = FindSheet(photo, frame.sheet);
    if (!found) return found.error();
  }
  frame.camera = found->camera;
  frame.findings = found->findings;
  frame.notes = found->notes;
  return frame;
}

Point Mirrored(Point p) { return {-p.x, p.y}; }

Result<PhotoTile> TileOf(const Photo& photo, const Frame& frame, const TracedTile& traced, const std::string& seen) {
  PhotoTile tile;
  tile.on_sheet = traced.outline;
  const bool mirrored = seen == "printing-face";  // The drawing face is the print's mirror image.
  const Point middle = Centroid(traced.outline);
  const Point at{std::round(100 * middle.x) / 100, std::round(100 * middle.y) / 100};
  for (const Point p : traced.outline) tile.input.outline.push_back(mirrored ? Mirrored(p - at) : p - at);
  if (mirrored) std::reverse(tile.input.outline.begin(), tile.input.outline.end());
  tile.from.photo = photo.name;
  tile.from.seen = seen;
  tile.from.at = at;

  Box box = BoundingBox(traced.outline);
  box = {box.left - kRoundDrawingMm, box.top - kRoundDrawingMm, box.right + kRoundDrawingMm, box.bottom + kRoundDrawingMm};
  const cv::Mat cut = CutOutTile(photo, frame.camera, traced.outline, box, std::min(kDrawingPxPerMm, traced.px_per_mm));
  cv::Mat other;
  cv::flip(cut, other, 1);
  const auto prints = EncodePng(mirrored ? other : cut), face = EncodePng(mirrored ? cut : other);
  if (!prints) return prints.error();
  if (!face) return face.error();
  tile.drawing.png = *prints;
  tile.drawing.png_mirrored = *face;
  tile.drawing.png_box = {box.left - at.x, box.top - at.y, box.right - at.x, box.bottom - at.y};
  if (mirrored) tile.drawing.png_box = {at.x - box.right, box.top - at.y, at.x - box.left, box.bottom - at.y};
  return tile;
}

}  // namespace

Status CheckPhotoOptions(const std::string& name, const TilePhotoOptions& options) {
  if (options.seen.empty()) {
    return Error{ErrorCode::kBadArgument,
                 name + ": a photo does not show which side of the tile is seen, and a plate's two sides are mirror images: taken for the wrong one, every print would come out mirrored",
                 "say --seen paper (a paper tile, as it is to print), --seen printing-face (a plate, from the side that takes the colour) or --seen plate-back"};
  }
  if (options.sheet.empty() && options.scale == 0) {
    return Error{ErrorCode::kBadArgument, name + ": the size of the sheet that the tile lies on is not given",
                 "say --sheet A4, or --sheet 210x297 in mm; without a sheet, --scale with the pixels to the millimetre"};
  }
  if (!options.sheet.empty() && options.scale == 0) {
    if (const auto size = ParseSheetSize(options.sheet); !size) return size.error();
  }
  return Done{};
}

Result<TilesOfPhoto> TilesInPhoto(const std::filesystem::path& file, const TilePhotoOptions& options, ProgressLine& progress) {
  const auto photo = LoadPhoto(file);
  if (!photo) return photo.error();
  progress.Now("finding the sheet in " + photo->name);
  const auto frame = FrameOf(*photo, options);
  if (!frame) return frame.error();
  progress.Now("tracing " + photo->name);
  TileTraceOptions trace;
  trace.inset_mm = 0.5 * options.line_width_mm;
  const auto traced = TraceTiles(*photo, frame->camera, frame->sheet, trace);
  if (!traced) return traced.error();
  TilesOfPhoto out;
  out.findings = frame->findings;
  out.findings.insert(out.findings.end(), traced->findings.begin(), traced->findings.end());
  out.notes = frame->notes;
  for (const TracedTile& t : traced->tiles) {
    auto tile = TileOf(*photo, *frame, t, options.seen);
    if (!tile) return tile.error();
    out.tiles.push_back(*std::move(tile));
  }
  return out;
}

}  // namespace truepull
