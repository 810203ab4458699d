// SPDX-License-Identifier: Apache-2.0
#include "truepull/trace.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/core/utility.hpp>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "detect/marching.h"
#include "detect/paper_light.h"
#include "detect/plain_sheet.h"
#include "tiling/thinned.h"

namespace truepull {
namespace detect {
namespace {

constexpr double kFinestPxPerMm = 6;    // An edge is placed to a tenth of a pixel and better.
constexpr double kDeepMm = 0.7;         // How far inside the edge its own level is looked for.
constexpr double kRoundMm = 3;          // Of the sheet round a tile, in its picture.

cv::Mat Square(double radius_px) {
  const int r = std::max(1, static_cast<int>(std::lround(radius_px)));
  return cv::getStructuringElement(cv::MORPH_RECT, {2 * r + 1, 2 * r + 1});
}

// The largest region, its holes filled.
cv::Mat LargestFilled(const cv::Mat& mask) {
  std::vector<std::vector<cv::Point>> rings;
  cv::findContours(mask, rings, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  cv::Mat out = cv::Mat::zeros(mask.size(), CV_8UC1);
  if (rings.empty()) return out;
  const auto largest = std::max_element(rings.begin(), rings.end(), [](const auto& a, const auto& b) {
    return cv::contourArea(a) < cv::contourArea(b);
  });
  cv::drawContours(out, rings, static_cast<int>(largest - rings.begin()), cv::Scalar(255), cv::FILLED);
  return out;
}

// The sheet's light at every column of one row of a finer picture, between the places of `paper`.
class PaperRow {
 public:
  // Place of column x in `paper`: first + x * step.
  PaperRow(const cv::Mat& paper, int columns, double first, double step) : paper_(paper), mixed_(static_cast<std::size_t>(paper.cols)) {
    for (int x = 0; x < columns; ++x) {
      const double at = std::clamp(first + x * step, 0.0, paper.cols - 1.0);
      const int left = std::min(static_cast<int>(at), std::max(0, paper.cols - 2));
      left_.push_back(left);
      part_.push_back(static_cast<float>(at - left));
    }
    lowest_ = left_.front();
    highest_ = std::min(paper.cols - 1, left_.back() + 1);
  }
  void GoTo(double row) {
    const double at = std::clamp(row, 0.0, paper_.rows - 1.0);
    const int above = std::min(static_cast<int>(at), std::max(0, paper_.rows - 2));
    const float t = static_cast<float>(at - above);
    const auto* a = paper_.ptr<cv::Vec3f>(above);
    const auto* b = paper_.ptr<cv::Vec3f>(std::min(above + 1, paper_.rows - 1));
    for (int x = lowest_; x <= highest_; ++x) mixed_[static_cast<std::size_t>(x)] = a[x] + t * (b[x] - a[x]);
  }
  cv::Vec3f At(int x) const {
    const auto k = static_cast<std::size_t>(x);
    const auto left = static_cast<std::size_t>(left_[k]);
    const cv::Vec3f& a = mixed_[left];
    return a + part_[k] * (mixed_[std::min(left + 1, mixed_.size() - 1)] - a);
  }

 private:
  const cv::Mat& paper_;
  std::vector<cv::Vec3f> mixed_;
  std::vector<int> left_;
  std::vector<float> part_;
  int lowest_ = 0, highest_ = 0;
};

// How far each place is from the sheet's light, as a length in linear RGB. Place x of `flat` is
// first + x * step of `paper`.
cv::Mat Difference(const cv::Mat& flat, const cv::Mat& paper, Point first, double step) {
  const auto& linear = LinearOfCodes();
  cv::Mat apart(flat.size(), CV_32FC3), out(flat.size(), CV_32FC1);
  PaperRow row(paper, flat.cols, first.x, step);
  for (int y = 0; y < flat.rows; ++y) {
    row.GoTo(first.y + y * step);
    const auto* from = flat.ptr<cv::Vec3b>(y);
    auto* to = apart.ptr<cv::Vec3f>(y);
    for (int x = 0; x < flat.cols; ++x) to[x] = cv::Vec3f(linear[from[x][0]], linear[from[x][1]], linear[from[x][2]]) - row.At(x);
  }
  cv::GaussianBlur(apart, apart, {5, 5}, 0.6);
  for (int y = 0; y < flat.rows; ++y) {
    const auto* d = apart.ptr<cv::Vec3f>(y);
    auto* to = out.ptr<float>(y);
    for (int x = 0; x < flat.cols; ++x) to[x] = std::sqrt(d[x][0] * d[x][0] + d[x][1] * d[x][1] + d[x][2] * d[x][2]);
  }
  return out;
}

// What the difference reaches within kDeepMm of a region's edge, spread to the edge.
cv::Mat EdgeLevel(const cv::Mat& difference, const cv::Mat& region, double scale) {
  cv::Mat deep, band, level = cv::Mat::zeros(difference.size(), CV_32FC1);
  cv::erode(region, deep, Square(kDeepMm * scale));
  cv::bitwise_xor(region, deep, band);
  difference.copyTo(level, band);
  cv::dilate(level, level, Square(0.9 * scale));
  cv::blur(level, level, Square(0.25 * scale).size());
  return level;
}

// Of every `nth` row: there are thousands of pixels.
float MedianWhere(const cv::Mat& value, const cv::Mat& mask, int nth) {
  std::vector<float> held;
  for (int y = 0; y < value.rows; y += nth) {
    const float* v = value.ptr<float>(y);
    const uchar* m = mask.ptr(y);
    for (int x = 0; x < value.cols; ++x) {
      if (m[x]) held.push_back(v[x]);
    }
  }
  if (held.empty()) return 0;
  const auto middle = held.begin() + static_cast<std::ptrdiff_t>(held.size() / 2);
  std::nth_element(held.begin(), middle, held.end());
  return *middle;
}

// What stands out by more than `least`, between a core and a domain.
struct Edges {
  cv::Mat region, level;
  float contrast = 0;   // The level's median along the region's rim.
};

Edges EdgesAt(const cv::Mat& difference, const cv::Mat& domain, const cv::Mat& core, float least, double scale) {
  Edges edges;
  cv::Mat some = difference > least, rim;
  cv::bitwise_and(some, domain, some);
  cv::bitwise_or(some, core, some);
  edges.region = LargestFilled(some);
  edges.level = EdgeLevel(difference, edges.region, scale);
  cv::erode(edges.region, rim, Square(1));
  cv::bitwise_xor(edges.region, rim, rim);
  edges.contrast = MedianWhere(edges.level, rim, 2);
  return edges;
}

cv::Mat Half(const cv::Mat& picture) {
  cv::Mat out;
  cv::resize(picture, out, {}, 0.5, 0.5, cv::INTER_NEAREST);
  return out;
}

// The side on which something lies just inside the outline that is the sheet in shade: as dark in
// all primaries, and not all round, as a drawn line would be.
std::string ShadowSide(const cv::Mat& flat, const cv::Mat& paper, Point first, double step, const Outline& in_pixels, double scale) {
  const auto& linear = LinearOfCodes();
  const auto in_shade = [&](Point at) {
    constexpr double kLit = 0.93, kDarkest = 0.2, kAlike = 0.12;
    const int x = static_cast<int>(std::lround(at.x)), y = static_cast<int>(std::lround(at.y));
    if (x < 0 || y < 0 || x >= flat.cols || y >= flat.rows) return false;
    const int u = std::clamp(static_cast<int>(std::lround(first.x + x * step)), 0, paper.cols - 1);
    const int v = std::clamp(static_cast<int>(std::lround(first.y + y * step)), 0, paper.rows - 1);
    double least = 1e9, most = 0;
    for (int c = 0; c < 3; ++c) {
      const double share = linear[flat.at<cv::Vec3b>(y, x)[c]] / std::max(1e-3F, paper.at<cv::Vec3f>(v, u)[c]);
      least = std::min(least, share);
      most = std::max(most, share);
    }
    return most < kLit && least > kDarkest && most - least < kAlike * most;
  };
  const auto samples = SampleOutline(in_pixels, scale, scale);
  const Point middle = Centroid(in_pixels);
  Point towards;
  std::size_t shaded = 0;
  for (const EdgeSample& s : samples) {
    // A sharp shadow is seen near the edge, a soft long one further in.
    if (!in_shade(s.at - 0.4 * scale * s.outward) && !in_shade(s.at - 1.6 * scale * s.outward)) continue;
    ++shaded;
    const Point away = s.at - middle;
    towards = towards + (1 / std::max(1e-9, Norm(away))) * away;
  }
  // A fifth of the way round, and on one side: the directions do not cancel.
  const auto n = static_cast<double>(shaded);
  if (n < 0.2 * static_cast<double>(samples.size()) || n > 0.75 * static_cast<double>(samples.size()) || Norm(towards) < 0.2 * n) return "";
  const bool across = std::abs(towards.x) > 0.4 * Norm(towards), down = std::abs(towards.y) > 0.4 * Norm(towards);
  std::string side = down ? (towards.y > 0 ? "lower" : "upper") : "";
  if (across) side += std::string(down ? " " : "") + (towards.x > 0 ? "right" : "left");
  return side;
}

std::optional<TracedTile> TraceThing(const Photo& photo, const SheetCamera& camera, const PlainSheet& plain,
                                     const Thing& thing, const TileTraceOptions& options) {
  const double coarse = plain.px_per_mm;
  const Box box{thing.box.x / coarse - kRoundMm, thing.box.y / coarse - kRoundMm, thing.box.br().x / coarse + kRoundMm,
                thing.box.br().y / coarse + kRoundMm};
  TracedTile tile;
  tile.px_per_mm = camera.PixelsPerMm({0.5 * (box.left + box.right), 0.5 * (box.top + box.bottom)});
  const double scale = std::min(tile.px_per_mm, kFinestPxPerMm);
  const cv::Mat flat = FlattenPart(photo, camera, box, scale);

  // The coarse pictures, brought to this one's pixels.
  const double f = coarse / scale;
  const Point first{box.left * coarse + 0.5 * f - 0.5, box.top * coarse + 0.5 * f - 0.5};
  cv::Mat known;
  const cv::Matx23d own(f, 0, first.x - thing.box.x, 0, f, first.y - thing.box.y);
  cv::warpAffine(thing.mask, known, own, flat.size(), cv::INTER_NEAREST | cv::WARP_INVERSE_MAP, cv::BORDER_CONSTANT, cv::Scalar(0));

  const cv::Mat difference = Difference(flat, plain.paper, 0.5 * first, 0.5 * f);
  cv::Mat domain, core, outside;
  cv::dilate(known, domain, Square(1.5 * scale));
  cv::erode(known, core, Square(1.0 * scale));
  cv::bitwise_not(domain, outside);
  const float noise = 1.5F * MedianWhere(difference, outside, 8);

  // First all that stands out of the noise, at half the scale; then what is a third of the usual
  // edge: a tile's own shadow on the sheet is less.
  float least = std::max(0.01F, 4 * noise);
  const auto usual = EdgesAt(Half(difference), Half(domain), Half(core), least, 0.5 * scale).contrast;
  least = std::max(least, 0.35F * usual);
  const Edges edges = EdgesAt(difference, domain, core, least, scale);
  tile.contrast = edges.contrast;
  cv::Mat deep, value = difference - cv::max(0.5 * edges.level, least);
  cv::erode(edges.region, deep, Square(kDeepMm * scale));
  value.setTo(1.0, deep);
  value.setTo(-1.0, outside);

  cv::Mat filled = LargestFilled(value > 0);
  if (options.inset_mm > 0) {
    // From the middles of pixels to those outside; the edge lies half-way between.
    cv::distanceTransform(filled, value, cv::DIST_L2, cv::DIST_MASK_PRECISE);
    value -= 0.5 + options.inset_mm * scale;
    filled = LargestFilled(value > 0);
  }
  // Inside, holes must not stop the walk upward: it begins at a topmost pixel.
  const auto top = std::find_if(filled.begin<uchar>(), filled.end<uchar>(), [](uchar v) { return v != 0; });
  if (top == filled.end<uchar>()) return std::nullopt;
  const Outline line = ZeroLine(value, top.pos());
  tile.shadow = ShadowSide(flat, plain.paper, 0.5 * first, 0.5 * f, line, scale);
  Outline outline;
  for (const Point p : line) outline.push_back({box.left + (p.x + 0.5) / scale, box.top + (p.y + 0.5) / scale});
  tile.outline = tiling::ThinnedOutline(outline, options.thin_mm);
  if (tile.outline.size() < 3 || std::abs(SignedArea(tile.outline)) < 0.5 * options.least_area_mm2) return std::nullopt;
  return tile;
}

// Rows as a reader takes them: a tile whose middle lies within another's height is beside it.
void PutInReadingOrder(std::vector<TracedTile>& tiles) {
  const auto box = [](const TracedTile& t) { return BoundingBox(t.outline); };
  std::sort(tiles.begin(), tiles.end(), [&](const auto& a, const auto& b) { return box(a).top + box(a).bottom < box(b).top + box(b).bottom; });
  for (auto row = tiles.begin(); row != tiles.end();) {
    const double until = box(*row).bottom;
    auto end = row;
    while (end != tiles.end() && 0.5 * (box(*end).top + box(*end).bottom) < until) ++end;
    std::sort(row, end, [&](const auto& a, const auto& b) { return box(a).left < box(b).left; });
    row = end;
  }
}

Result<Traced> Trace(const Photo& photo, const SheetCamera& camera, const Sheet& sheet, const TileTraceOptions& options) {
  const PlainSheet plain = LookAtPlainSheet(photo, camera, sheet, options);
  Traced traced;
  double largest = 0;
  bool left_out = false;
  for (const Thing& t : plain.things) {
    if (!t.at_the_rim) largest = std::max(largest, t.area_mm2);
    left_out = left_out || t.at_the_rim;
  }
  std::vector<const Thing*> wanted;
  for (const Thing& t : plain.things) {
    if (!t.at_the_rim && t.area_mm2 >= options.smallest_share * largest) wanted.push_back(&t);
  }
  std::vector<std::optional<TracedTile>> found(wanted.size());
  cv::parallel_for_(cv::Range(0, static_cast<int>(wanted.size())), [&](const cv::Range& range) {
    for (int i = range.start; i < range.end; ++i) {
      const auto k = static_cast<std::size_t>(i);
      found[k] = TraceThing(photo, camera, plain, *wanted[k], options);
    }
  });
  for (auto& tile : found) {
    if (tile) traced.tiles.push_back(*std::move(tile));
  }
  if (traced.tiles.empty()) {
    return Error{ErrorCode::kPhotoUnusable,
                 photo.name + (left_out ? ": what lies on the sheet reaches over its edge; no whole tile was found"
                                        : ": found no tile on the sheet"),
                 "lay the tile well inside a plain sheet that differs from it, or draw round its edge with a dark pen without a gap"};
  }
  if (left_out) traced.findings.push_back("something that lies over the sheet's edge was left out");
  PutInReadingOrder(traced.tiles);
  for (std::size_t k = 0; k < traced.tiles.size(); ++k) {
    const TracedTile& tile = traced.tiles[k];
    if (tile.shadow.empty()) continue;
    traced.findings.push_back(fmt::format("along the {} edge of {} lies what looks like its own shadow, and it was traced with it: light it from all sides and photograph it anew", tile.shadow,
                                          traced.tiles.size() == 1 ? "the tile" : fmt::format("tile {}", k + 1)));
  }
  return traced;
}

}  // namespace
}  // namespace detect

Result<Traced> TraceTiles(const Photo& photo, const SheetCamera& camera, const Sheet& sheet, const TileTraceOptions& options) {
  try {
    return detect::Trace(photo, camera, sheet, options);
  } catch (const cv::Exception& e) {
    return Error{ErrorCode::kPhotoUnusable, fmt::format("{}: the photo could not be worked on ({})", photo.name, e.err), "take the photo anew"};
  }
}

ScaledPhoto LookStraightDown(const Photo& photo, double px_per_mm) {
  ScaledPhoto scaled;
  scaled.camera.h = {px_per_mm, 0, -0.5, 0, px_per_mm, -0.5, 0, 0, 1};  // Pixel centres at whole numbers.
  scaled.camera.centre = {0.5 * (photo.bgr.cols - 1), 0.5 * (photo.bgr.rows - 1)};
  scaled.camera.focal_px = std::max(photo.bgr.cols, photo.bgr.rows);
  scaled.sheet.width_mm = photo.bgr.cols / px_per_mm;
  scaled.sheet.height_mm = photo.bgr.rows / px_per_mm;
  return scaled;
}

cv::Mat CutOutTile(const Photo& photo, const SheetCamera& camera, const Outline& outline, const Box& box, double px_per_mm) {
  const cv::Mat flat = detect::FlattenPart(photo, camera, box, px_per_mm);
  cv::Mat inside = cv::Mat::zeros(flat.size(), CV_8UC1), out;
  std::vector<cv::Point> ring;
  constexpr int kBits = 6;  // Points in 64ths of a pixel.
  for (const Point p : outline) {
    ring.emplace_back(static_cast<int>(std::lround(((p.x - box.left) * px_per_mm - 0.5) * (1 << kBits))),
                      static_cast<int>(std::lround(((p.y - box.top) * px_per_mm - 0.5) * (1 << kBits))));
  }
  cv::fillPoly(inside, std::vector<std::vector<cv::Point>>{ring}, cv::Scalar(255), cv::LINE_AA, kBits);
  std::vector<cv::Mat> channels;
  cv::split(flat, channels);
  channels.push_back(inside);
  cv::merge(channels, out);
  return out;
}

}  // namespace truepull
