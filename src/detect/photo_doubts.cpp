// SPDX-License-Identifier: Apache-2.0
#include "detect/photo_doubts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "geometry/median.h"

namespace truepull::detect {
namespace {

// As `review` calls a photo blurred or glaring.
constexpr double kBlurredMm = 0.45, kGlare = 0.005, kTooBright = 0.3;
constexpr double kBurntPull = 0.05;      // Of a pull: less leaves edge enough on every side.
constexpr double kFewPixels = 4;         // To the mm; below it the photo costs more than the print's own raggedness.
constexpr int kBurnt = 250;

std::string Places(const SheetReading& reading) {
  std::vector<double> sd;
  for (const SiteReading& r : reading.sites) {
    if (r.state != SiteState::kMissing) sd.push_back(std::sqrt(0.5 * (r.covariance[0] + r.covariance[4])));
  }
  if (sd.empty()) return "";
  return fmt::format(": a place on it is known to +- {:.2f} mm", Median(sd));
}

}  // namespace

double CoarsenessVariance(double pixels_per_mm, double blur_mm) {
  const double pixels = 0.25 / (pixels_per_mm * pixels_per_mm), blur = 0.09 * std::max(0.0, blur_mm - 0.15);
  return pixels * pixels + blur * blur;
}

std::vector<double> BurntOutShares(const Photo& photo, const SheetCamera& camera, std::span<const Pull> pulls) {
  std::vector<double> out(pulls.size(), 0.0);
  for (std::size_t i = 0; i < pulls.size(); ++i) {
    const Rotation turn(pulls[i].pose.turn_rad);
    double all = 0, burnt = 0;
    for (const Point& p : pulls[i].shape->inside) {
      const Point at = camera.PhotoFromSheet(pulls[i].pose.at + turn * p);
      const int u = static_cast<int>(std::lround(at.x)), v = static_cast<int>(std::lround(at.y));
      if (u < 0 || v < 0 || u >= photo.bgr.cols || v >= photo.bgr.rows) continue;
      const cv::Vec3b c = photo.bgr.at<cv::Vec3b>(v, u);
      all += 1;
      burnt += c[0] >= kBurnt && c[1] >= kBurnt && c[2] >= kBurnt ? 1 : 0;
    }
    if (all > 0) out[i] = burnt / all;
  }
  return out;
}

PhotoWords SayPhotoFaults(const SheetReading& reading, const Sheet& sheet, std::span<const double> burnt_out, double burnt_sheet) {
  PhotoWords words;
  const std::string places = Places(reading);
  if (reading.sd_blur_mm > kBlurredMm) {
    words.findings.push_back(fmt::format("the photo is blurred: an edge is spread over {:.1f} mm{}; hold still, touch the screen on the print to focus",
                                         reading.sd_blur_mm, places));
  }
  if (burnt_sheet > kTooBright) {
    words.findings.push_back(fmt::format("the photo is too bright: {:.0f} % of the sheet is burnt out to white, where nothing can be seen; take it anew with less light, "
                                         "or where no lamp shines on wet paper", 100 * burnt_sheet));
  } else if (burnt_sheet > kGlare) {
    std::string sites;
    for (std::size_t i = 0; i < burnt_out.size(); ++i) {
      if (burnt_out[i] > kBurntPull) sites += (sites.empty() ? "" : ", ") + SiteLabel(reading.sites[i].site);
    }
    words.findings.push_back(fmt::format("glare hides {:.1f} % of the sheet{}: what lies there was not seen; let the sheet dry, or turn it until the shine goes",
                                         100 * burnt_sheet, sites.empty() ? "" : ", at " + sites));
  }
  const double pixels = reading.camera.PixelsPerMm({0.5 * sheet.width_mm, 0.5 * sheet.height_mm});
  if (pixels < kFewPixels) {
    words.notes.push_back(fmt::format("the photo has only {:.1f} pixels to the millimetre{}; {} or more measure better", pixels, places, kFewPixels));
  }
  return words;
}

}  // namespace truepull::detect
