// SPDX-License-Identifier: Apache-2.0
#include "detect/plain_sheet.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "detect/paper_light.h"
#include "detect/sheet_slope.h"
#include "truepull/picture.h"

namespace truepull::detect {
namespace {

constexpr double kCoarsePxPerMm = 3;   // A drawn line of 0.3 mm still darkens a pixel.
constexpr int kLongestPx = 1600;       // Larger sheets are looked at more coarsely.
constexpr double kGapMm = 0.6;         // Gaps in a drawn edge that do not let the light through.

// The square of the greatest change of code value over two pixels, any channel; 0 in the
// outermost pixels.
cv::Mat Steepness(const cv::Mat& flat) {
  cv::Mat soft, steep = cv::Mat::zeros(flat.size(), CV_32SC1);
  cv::GaussianBlur(flat, soft, {}, 0.8);
  std::vector<int> squares(3 * static_cast<std::size_t>(flat.cols), 0);
  for (int y = 1; y + 1 < flat.rows; ++y) {
    const uchar *above = soft.ptr(y - 1), *here = soft.ptr(y), *below = soft.ptr(y + 1);
    int* square = squares.data();
    for (int i = 3; i < 3 * (flat.cols - 1); ++i) {
      const int across = here[i + 3] - here[i - 3], down = below[i] - above[i];
      square[i] = across * across + down * down;
    }
    int* out = steep.ptr<int>(y);
    for (int x = 1; x + 1 < flat.cols; ++x) out[x] = std::max(std::max(square[3 * x], square[3 * x + 1]), square[3 * x + 2]);
  }
  return steep;
}

// Places of steep change, joined to such as are steeper still.
cv::Mat Barrier(const cv::Mat& steep, int rim) {
  // Most of the strip along the sides is bare sheet, whose own roughness sets the scale.
  std::vector<int> bare;
  const int deep = 4 * rim + 4;
  for (int y = rim; y < steep.rows - rim; ++y) {
    const bool across = y < rim + deep || y >= steep.rows - rim - deep;
    for (int x = rim; x < steep.cols - rim; x += 2) {
      if (!across && x >= rim + deep && x < steep.cols - rim - deep) x = steep.cols - rim - deep;
      bare.push_back(steep.at<int>(y, x));
    }
  }
  double usual = 0;
  if (!bare.empty()) {
    const auto middle = bare.begin() + static_cast<std::ptrdiff_t>(bare.size() / 2);
    std::nth_element(bare.begin(), middle, bare.end());
    usual = std::sqrt(*middle);
  }
  // Steps of a Rayleigh-distributed roughness pass six times its median once in 10^10.
  const double strong_step = std::max(4.0, 6 * usual), weak_step = 0.55 * strong_step;
  const int strong = static_cast<int>(strong_step * strong_step), weak = static_cast<int>(weak_step * weak_step);
  cv::Mat some = steep > weak, labels;
  const int n = cv::connectedComponents(some, labels, 8);
  std::vector<char> keep(static_cast<std::size_t>(n), 0);
  for (int y = 0; y < steep.rows; ++y) {
    const int* s = steep.ptr<int>(y);
    const int* l = labels.ptr<int>(y);
    for (int x = 0; x < steep.cols; ++x) {
      if (s[x] > strong) keep[static_cast<std::size_t>(l[x])] = 1;
    }
  }
  keep[0] = 0;
  for (int y = 0; y < steep.rows; ++y) {
    const int* l = labels.ptr<int>(y);
    uchar* to = some.ptr(y);
    for (int x = 0; x < steep.cols; ++x) to[x] = keep[static_cast<std::size_t>(l[x])] ? 255 : 0;
  }
  return some;
}

cv::Mat Disc(int radius) { return cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * radius + 1, 2 * radius + 1}); }

// The sheet reached from its sides.
cv::Mat Reached(const cv::Mat& barrier, int rim, int gap) {
  cv::Mat open;
  cv::dilate(barrier, open, Disc(gap));
  cv::bitwise_not(open, open);
  cv::rectangle(open, {0, 0, open.cols, open.rows}, cv::Scalar(255), 2 * rim);
  cv::floodFill(open, {0, 0}, cv::Scalar(128));
  cv::Mat reached = open == 128;
  cv::dilate(reached, reached, Disc(gap));
  return reached;
}

// Means over squares, of what `known` marks, at half the picture's scale. They are taken at a
// quarter of it: light is smooth.
cv::Mat Filled(const cv::Mat& flat, const cv::Mat& known, double px_per_mm) {
  constexpr int kTimes = 4;
  const cv::Size size((flat.cols + kTimes - 1) / kTimes, (flat.rows + kTimes - 1) / kTimes);
  const auto& linear = LinearOfCodes();
  // Light times share, and share, of each little square.
  cv::Mat held = cv::Mat::zeros(size, CV_32FC4);
  for (int y = 0; y < flat.rows; ++y) {
    const auto* from = flat.ptr<cv::Vec3b>(y);
    const uchar* marks = known.ptr(y);
    auto* to = held.ptr<cv::Vec4f>(y / kTimes);
    for (int x = 0; x < flat.cols; ++x) {
      if (marks[x]) to[x / kTimes] += cv::Vec4f(linear[from[x][0]], linear[from[x][1]], linear[from[x][2]], 1);
    }
  }
  // From narrow to wide: a wide mean only counts where a narrow one has nothing to go by.
  cv::Mat all = cv::Mat::zeros(size, CV_32FC4);
  double trust = 1;
  for (const double mm : {6.0, 24.0, 96.0, 400.0}) {
    const int side = 2 * static_cast<int>(std::lround(mm * px_per_mm / kTimes / 2)) + 1;
    cv::Mat sum;
    cv::boxFilter(held, sum, -1, {side, side}, {-1, -1}, true, cv::BORDER_REFLECT);
    cv::boxFilter(sum, sum, -1, {side, side}, {-1, -1}, true, cv::BORDER_REFLECT);
    cv::scaleAdd(sum, trust, all, all);
    trust *= 1e-3;
  }
  cv::Mat mean(size, CV_32FC3), out;
  for (int y = 0; y < size.height; ++y) {
    for (int x = 0; x < size.width; ++x) {
      const auto& a = all.at<cv::Vec4f>(y, x);
      mean.at<cv::Vec3f>(y, x) = cv::Vec3f(a[0], a[1], a[2]) * (1 / std::max(a[3], 1e-30F));
    }
  }
  // Place x of the half picture is pixel 2 x of the whole one.
  const double f = 2.0 / kTimes;
  const cv::Matx23d small_from_large(f, 0, 0.5 / kTimes - 0.5, 0, f, 0.5 / kTimes - 0.5);
  cv::warpAffine(mean, out, small_from_large, {(flat.cols + 1) / 2, (flat.rows + 1) / 2}, cv::INTER_LINEAR | cv::WARP_INVERSE_MAP, cv::BORDER_REPLICATE);
  return out;
}

}  // namespace

cv::Mat FlattenPart(const Photo& photo, const SheetCamera& camera, const Box& box, double px_per_mm) {
  SheetCamera moved = camera;  // Its origin is the box's corner.
  for (std::size_t r = 0; r < 3; ++r) moved.h[3 * r + 2] += moved.h[3 * r] * box.left + moved.h[3 * r + 1] * box.top;
  Sheet part;
  part.width_mm = box.Width();
  part.height_mm = box.Height();
  return RectifySheet(photo.bgr, moved, part, px_per_mm, 0);
}

PlainSheet LookAtPlainSheet(const Photo& photo, const SheetCamera& camera, const Sheet& sheet,
                            const TileTraceOptions& options) {
  PlainSheet plain;
  const double longer = std::max(sheet.width_mm, sheet.height_mm);
  plain.px_per_mm = std::min({kCoarsePxPerMm, kLongestPx / longer,
                              camera.PixelsPerMm({0.5 * sheet.width_mm, 0.5 * sheet.height_mm})});
  const double scale = plain.px_per_mm;
  const cv::Mat flat = FlattenPart(photo, camera, {0, 0, sheet.width_mm, sheet.height_mm}, scale);
  const int rim = std::max(2, static_cast<int>(std::lround(options.rim_mm * scale)));
  const int gap = std::max(1, static_cast<int>(std::lround(0.5 * kGapMm * scale)));
  const cv::Mat reached = Reached(Barrier(Steepness(flat), rim), rim, gap);

  // Next to a thing lies its shadow: not the sheet's light.
  cv::Mat bare;
  cv::erode(reached, bare, Disc(std::max(1, static_cast<int>(std::lround(1.2 * scale)))));
  bare(cv::Rect(0, 0, bare.cols, rim)) = 0;
  bare(cv::Rect(0, bare.rows - rim, bare.cols, rim)) = 0;
  bare(cv::Rect(0, 0, rim, bare.rows)) = 0;
  bare(cv::Rect(bare.cols - rim, 0, rim, bare.rows)) = 0;
  plain.paper = Filled(flat, bare, scale);

  cv::Mat hidden;
  cv::bitwise_not(reached, hidden);
  std::vector<std::vector<cv::Point>> rings;
  cv::findContours(hidden, rings, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  for (std::size_t i = 0; i < rings.size(); ++i) {
    Thing thing;
    thing.box = cv::boundingRect(rings[i]);
    if (thing.box.area() < options.least_area_mm2 * scale * scale) continue;
    thing.mask = cv::Mat::zeros(thing.box.size(), CV_8UC1);
    cv::drawContours(thing.mask, rings, static_cast<int>(i), cv::Scalar(255), cv::FILLED, cv::LINE_8, {}, 0, -thing.box.tl());
    thing.area_mm2 = cv::countNonZero(thing.mask) / (scale * scale);
    if (thing.area_mm2 < options.least_area_mm2) continue;
    const int near = rim + 2;
    thing.at_the_rim = thing.box.x <= near || thing.box.y <= near || thing.box.br().x >= flat.cols - near || thing.box.br().y >= flat.rows - near;
    const int round = static_cast<int>(std::lround(4 * scale));
    CarryOnSlope(flat, bare, {thing.box.x - round, thing.box.y - round, thing.box.width + 2 * round, thing.box.height + 2 * round}, scale, plain.paper);
    plain.things.push_back(thing);
  }
  return plain;
}

}  // namespace truepull::detect
