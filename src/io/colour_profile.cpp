// SPDX-License-Identifier: Apache-2.0
#include "io/colour_profile.h"

#include <lcms2.h>

#include <array>
#include <cstdlib>
#include <memory>
#include <opencv2/core/utility.hpp>
#include <vector>

namespace truepull {
namespace {

struct CloseProfile {
  void operator()(void* p) const { cmsCloseProfile(p); }
};
struct DeleteTransform {
  void operator()(void* t) const { cmsDeleteTransform(t); }
};
using Profile = std::unique_ptr<void, CloseProfile>;
using Transform = std::unique_ptr<void, DeleteTransform>;

Transform Make(void* from, void* to, bool deep) {
  const cmsUInt32Number type = deep ? TYPE_BGR_16 : TYPE_BGR_8;
  // Without a cache: rows are worked on by several threads.
  return Transform(cmsCreateTransform(from, type, to, type, INTENT_RELATIVE_COLORIMETRIC, cmsFLAGS_NOCACHE));
}

// Whether a transform leaves every colour of a coarse grid where it is.
bool ChangesNothing(void* transform) {
  constexpr int kSteps = 9;
  std::vector<std::array<unsigned char, 3>> in, out;
  for (int b = 0; b < kSteps; ++b) {
    for (int g = 0; g < kSteps; ++g) {
      for (int r = 0; r < kSteps; ++r) {
        in.push_back({static_cast<unsigned char>(255 * b / 8), static_cast<unsigned char>(255 * g / 8), static_cast<unsigned char>(255 * r / 8)});
      }
    }
  }
  out.resize(in.size());
  cmsDoTransform(transform, in.data(), out.data(), static_cast<cmsUInt32Number>(in.size()));
  for (std::size_t i = 0; i < in.size(); ++i) {
    for (std::size_t c = 0; c < 3; ++c) {
      if (std::abs(in[i][c] - out[i][c]) > 1) return false;
    }
  }
  return true;
}

}  // namespace

std::string DisplayP3Profile() {
  const cmsCIExyY white{0.3127, 0.3290, 1};
  const cmsCIExyYTRIPLE primaries{{0.680, 0.320, 1}, {0.265, 0.690, 1}, {0.150, 0.060, 1}};
  // IEC 61966-2-1: type 4 of Little CMS, ((x + 0.055) / 1.055)^2.4 from 0.04045 on.
  const cmsFloat64Number srgb[5] = {2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045};
  cmsToneCurve* curve = cmsBuildParametricToneCurve(nullptr, 4, srgb);
  cmsToneCurve* curves[3] = {curve, curve, curve};
  const Profile profile(cmsCreateRGBProfile(&white, &primaries, curves));
  cmsFreeToneCurve(curve);
  cmsUInt32Number size = 0;
  if (!profile || !cmsSaveProfileToMem(profile.get(), nullptr, &size)) return "";
  std::string bytes(size, '\0');
  if (!cmsSaveProfileToMem(profile.get(), bytes.data(), &size)) return "";
  return bytes;
}

void ToSrgb(std::string_view icc, cv::Mat& bgr) {
  if (icc.empty() || bgr.empty()) return;
  cmsSetLogErrorHandler(nullptr);
  const Profile from(cmsOpenProfileFromMem(icc.data(), static_cast<cmsUInt32Number>(icc.size())));
  if (!from || cmsGetColorSpace(from.get()) != cmsSigRgbData) return;
  const Profile to(cmsCreate_sRGBProfile());
  const Transform eight = Make(from.get(), to.get(), false);
  if (!eight || ChangesNothing(eight.get())) return;
  const bool deep = bgr.depth() == CV_16U;
  const Transform sixteen = deep ? Make(from.get(), to.get(), true) : Transform();
  void* transform = deep ? sixteen.get() : eight.get();
  if (!transform) return;
  cv::parallel_for_(cv::Range(0, bgr.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y) {
      cmsDoTransform(transform, bgr.ptr(y), bgr.ptr(y), static_cast<cmsUInt32Number>(bgr.cols));
    }
  });
}

}  // namespace truepull
