// SPDX-License-Identifier: Apache-2.0
#include "truepull/beneath.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>
#include <vector>
#include <opencv2/core/utility.hpp>
#include <opencv2/imgproc.hpp>

#include "detect/paper_light.h"
#include "detect/way_up.h"
#include "truepull/colour.h"

namespace truepull {
namespace {

using namespace detect;

constexpr int kNode = 16;           // Pixels between exact places of the map from photo to photo.
constexpr int kStripRows = 128;     // The map of a strip at a time: that of a whole photo would be 100 MB.
constexpr float kNothing = 0.006F;  // Share of white that a phone's picture is uncertain by, and its black.
// Amounts (in full pulls) and how well they are known are kept in a byte for each pixel.
constexpr int kCodes = 255;
constexpr float kMostAmount = 2.4F; // Two pulls that overlap, and a little.
constexpr float kSure = 100;        // Precision, 1 / sd^2, from which on an amount is simply known (to 0.1) ...
constexpr float kHalfKnown = 25;    // ... and, as a code, where what lies round it counts as much (to 0.3).
constexpr double kFillMm = 0.6;
constexpr double kRimMm = 1.0;      // The sheet's own edge stays as it is.
// Two photos of one sheet agree to 0.6 and better even where a dark pass covers most of it (tests/detect).
constexpr double kLeastAgreement = 0.25;

const std::array<std::uint8_t, 4097>& SrgbFromLinear() {
  static const std::array<std::uint8_t, 4097> table = [] {
    std::array<std::uint8_t, 4097> t{};
    for (std::size_t i = 0; i < t.size(); ++i) {
      t[i] = static_cast<std::uint8_t>(std::lround(255 * CodedOfLinear(static_cast<double>(i) / 4096)));
    }
    return t;
  }();
  return table;
}

// Where a place of the later sheet lay on the earlier one: it may have grown since.
Point Earlier(Point p, const Sheet& now, const Sheet& then) {
  return {p.x * then.width_mm / now.width_mm, p.y * then.height_mm / now.height_mm};
}

// How alike two flat maps are in what stands out from the paper, -1..1.
double Agreement(const cv::Mat& a, const cv::Mat& b) {
  cv::Mat fitted, x, y;
  cv::resize(b, fitted, a.size(), 0, 0, cv::INTER_AREA);
  // What lies beneath is at least as dark as before: only what the earlier photo has is asked for.
  cv::min(a, fitted, x);
  cv::subtract(x, cv::mean(x), x);
  cv::subtract(fitted, cv::mean(fitted), y);
  const double size = cv::norm(x) * cv::norm(y);
  return size > 0 ? x.dot(y) / size : 0;
}

// From places in the later photo to the sheet and to the earlier photo.
class PhotoToPhoto {
 public:
  struct Node {
    Point sheet, photo;
  };
  PhotoToPhoto(int columns, const SheetCamera& camera, const Sheet& now, const Beneath& beneath)
      : nodes_(columns / kNode + 2), camera_(camera), now_(now), beneath_(beneath) {}

  // Exact places every kNode pixels of a strip of rows.
  std::vector<Node> Nodes(int top, int rows) const {
    const int node_rows = rows / kNode + 2;
    std::vector<Node> grid;
    grid.reserve(static_cast<std::size_t>(nodes_ * node_rows));
    for (int j = 0; j < node_rows; ++j) {
      for (int i = 0; i < nodes_; ++i) {
        const Point p = camera_.SheetFromPhoto({static_cast<double>(i * kNode), static_cast<double>(top + j * kNode)});
        grid.push_back({p, beneath_.camera.PhotoFromSheet(Earlier(p, now_, beneath_.plan.sheet))});
      }
    }
    return grid;
  }

  Point Between(const std::vector<Node>& grid, int x, int y, Point Node::* of) const {
    const auto w = static_cast<std::size_t>(nodes_), n = static_cast<std::size_t>(y / kNode) * w + static_cast<std::size_t>(x / kNode);
    const double a = static_cast<double>(x % kNode) / kNode, b = static_cast<double>(y % kNode) / kNode;
    return (1 - b) * ((1 - a) * (grid[n].*of) + a * (grid[n + 1].*of)) + b * ((1 - a) * (grid[n + w].*of) + a * (grid[n + w + 1].*of));
  }

 private:
  int nodes_;
  const SheetCamera& camera_;
  const Sheet& now_;
  const Beneath& beneath_;
};

bool OnSheet(Point p, const Sheet& sheet) {
  return p.x > kRimMm && p.y > kRimMm && p.x < sheet.width_mm - kRimMm && p.y < sheet.height_mm - kRimMm;
}

// How much of the new layer lies at a place: least squares over the channels, each weighed by how
// well its two lights are known. In full pulls of the layer's own colour.
class Layer {
 public:
  Layer(const std::string& colour, bool hides) : hides_(hides) {
    density_ = {1.5F, 1.5F, 1.5F};
    if (colour.size() != 7 || hides) return;
    for (std::size_t c = 0; c < 3; ++c) {
      const auto code = static_cast<std::size_t>(std::stoi(colour.substr(5 - 2 * c, 2), nullptr, 16));
      density_[c] = -std::log(std::max(0.004F, LinearOfCodes()[code]));
    }
    // Nearly white: nothing to tell it by.
    if (*std::max_element(density_.begin(), density_.end()) < 0.05F) density_ = {1.5F, 1.5F, 1.5F};
  }

  std::pair<float, float> Amount(const Light& light, const Light& then) const {
    float top = 0, bottom = 0;
    for (std::size_t c = 0; c < 3; ++c) {
      const float l = std::max(light[c], 0.0F) + kNothing, t = std::max(then[c], 0.0F) + kNothing;
      float d = std::log(t / l);
      if (hides_) d = std::abs(d);
      const float u = kNothing / l, v = kNothing / t, seen = 1 - u;
      // A light that is at the photo's black says only that at least so much lies there.
      const float precision = seen * seen / (u * u + v * v) + 1e-3F;
      top += precision * density_[c] * d, bottom += precision * density_[c] * density_[c];
    }
    return {top / bottom, bottom};
  }

  std::array<Light, kCodes + 1> Through() const {
    std::array<Light, kCodes + 1> out{};
    for (std::size_t i = 0; i < out.size(); ++i) {
      for (std::size_t c = 0; c < 3; ++c) out[i][c] = std::exp(-kMostAmount * static_cast<float>(i) / kCodes * density_[c]);
    }
    return out;
  }

 private:
  bool hides_;
  Light density_{};
};

// Where the photo is black, only the least amount is known: there what lies round it counts. Black between two
// places that the layer covers is where two of its pulls overlap, as those beneath do.
void FillUnknown(double px_per_mm, cv::Mat& amount, const cv::Mat& known) {
  constexpr int kShrink = 4;
  const cv::Size size(std::max(1, amount.cols / kShrink), std::max(1, amount.rows / kShrink));
  cv::Mat a, w, product;
  amount.convertTo(a, CV_32F), known.convertTo(w, CV_32F);
  cv::multiply(a, w, product);
  cv::resize(product, a, size, 0, 0, cv::INTER_AREA);
  cv::resize(w, product, size, 0, 0, cv::INTER_AREA);
  const double sigma = std::max(0.5, kFillMm * px_per_mm / kShrink);
  cv::GaussianBlur(a, a, {}, sigma), cv::GaussianBlur(product, w, {}, sigma);
  cv::divide(a, cv::max(w, 1e-3F), a);
  cv::resize(a, product, amount.size(), 0, 0, cv::INTER_LINEAR);
  for (int y = 0; y < amount.rows; ++y) {
    for (int x = 0; x < amount.cols; ++x) {
      const float k = known.at<uchar>(y, x), share = k / (k + kHalfKnown), own = amount.at<uchar>(y, x), round = product.at<float>(y, x);
      const float full = round * kMostAmount / kCodes, filled = round * (1 + std::clamp((full - 0.3F) / 0.4F, 0.0F, 1.0F));
      amount.at<uchar>(y, x) = cv::saturate_cast<uchar>(share * own + (1 - share) * std::max(own, filled));
    }
  }
}

}  // namespace

Result<WhatIsNew> OnlyWhatIsNew(const Photo& later, const SheetFrame& frame, const Plan& plan, const Beneath& beneath,
                                const std::string& colour, bool hides) {
  try {
    WhatIsNew out;
    const LitSheet before = LightSheet(beneath.photo, beneath.camera, beneath.plan);
    LitSheet now;
    for (const int quarters : {0, 2}) {
      const SheetFrame turned = quarters == 0 ? frame : TurnFrame(frame, plan.sheet, quarters);
      LitSheet lit = LightSheet(later, turned.camera, plan);
      const double agreement = Agreement(lit.map.density, before.map.density);
      if (quarters != 0 && agreement <= out.agreement) continue;
      out.agreement = agreement, out.frame = turned, now = std::move(lit);
    }
    if (out.agreement < kLeastAgreement) {
      return Error{ErrorCode::kPhotoUnusable, later.name + ": does not show the sheet of the earlier reading (what was printed there is not found again)",
                   "give the reading of this very sheet with --before"};
    }
    const SheetCamera& camera = out.frame.camera;
    const Layer layer(colour, hides);
    cv::Mat amount(later.bgr.size(), CV_8U, cv::Scalar(0)), known(later.bgr.size(), CV_8U, cv::Scalar(255));
    const auto& linear = LinearOfCodes();
    const PhotoToPhoto map(later.bgr.cols, camera, plan.sheet, beneath);
    const int strips = (later.bgr.rows + kStripRows - 1) / kStripRows;
    cv::parallel_for_(cv::Range(0, strips), [&](const cv::Range& range) {
      for (int strip = range.start; strip < range.end; ++strip) {
        const int top = strip * kStripRows, rows = std::min(kStripRows, later.bgr.rows - top);
        const auto grid = map.Nodes(top, rows);
        cv::Mat places(rows, later.bgr.cols, CV_32FC2), earlier;
        for (int y = 0; y < rows; ++y) {
          auto* to = places.ptr<cv::Vec2f>(y);
          for (int x = 0; x < later.bgr.cols; ++x) {
            const Point p = map.Between(grid, x, y, &PhotoToPhoto::Node::photo);
            to[x] = {static_cast<float>(p.x), static_cast<float>(p.y)};
          }
        }
        cv::remap(beneath.photo.bgr, earlier, places, cv::noArray(), cv::INTER_LINEAR, cv::BORDER_REPLICATE);
        for (int y = 0; y < rows; ++y) {
          const auto* pixel = later.bgr.ptr<cv::Vec3b>(top + y);
          const auto* was = earlier.ptr<cv::Vec3b>(y);
          for (int x = 0; x < later.bgr.cols; ++x) {
            const Point p = map.Between(grid, x, y, &PhotoToPhoto::Node::sheet);
            if (!OnSheet(p, plan.sheet)) continue;
            const Light white = now.paper.At(p), white_then = before.paper.At(Earlier(p, plan.sheet, beneath.plan.sheet));
            Light light, then;
            for (int c = 0; c < 3; ++c) {
              const auto k = static_cast<std::size_t>(c);
              light[k] = linear[pixel[x][c]] / white[k], then[k] = linear[was[x][c]] / white_then[k];
            }
            const auto [a, precision] = layer.Amount(light, then);
            amount.at<uchar>(top + y, x) = static_cast<uchar>(kCodes * std::clamp(a, 0.0F, kMostAmount) / kMostAmount);
            known.at<uchar>(top + y, x) = static_cast<uchar>(std::clamp(precision * kCodes / kSure, 0.0F, static_cast<float>(kCodes)));
          }
        }
      }
    });
    FillUnknown(camera.PixelsPerMm({plan.sheet.width_mm / 2, plan.sheet.height_mm / 2}), amount, known);

    // The layer by itself on this photo's own paper.
    const auto through = layer.Through();
    const auto& srgb = SrgbFromLinear();
    out.photo = later;
    out.photo.bgr = later.bgr.clone();
    cv::parallel_for_(cv::Range(0, strips), [&](const cv::Range& range) {
      for (int strip = range.start; strip < range.end; ++strip) {
        const int top = strip * kStripRows, rows = std::min(kStripRows, later.bgr.rows - top);
        const auto grid = map.Nodes(top, rows);
        for (int y = 0; y < rows; ++y) {
          auto* pixel = out.photo.bgr.ptr<cv::Vec3b>(top + y);
          for (int x = 0; x < later.bgr.cols; ++x) {
            const Point p = map.Between(grid, x, y, &PhotoToPhoto::Node::sheet);
            if (!OnSheet(p, plan.sheet)) continue;
            const Light white = now.paper.At(p);
            for (int c = 0; c < 3; ++c) {
              const float shown = std::clamp(through[amount.at<uchar>(top + y, x)][static_cast<std::size_t>(c)] * white[static_cast<std::size_t>(c)], 0.0F, 1.0F);
              pixel[x][c] = srgb[static_cast<std::size_t>(4096 * shown + 0.5F)];
            }
          }
        }
      }
    });
    return out;
  } catch (const cv::Exception& e) {
    return Error{ErrorCode::kPhotoUnusable, later.name + ": could not be held against the earlier photo (" + e.err + ")", ""};
  }
}

}  // namespace truepull
