// SPDX-License-Identifier: Apache-2.0
// Embedded colour profiles: from a file's own colours to sRGB, through Little CMS.
#ifndef TRUEPULL_IO_COLOUR_PROFILE_H_
#define TRUEPULL_IO_COLOUR_PROFILE_H_

#include <opencv2/core/mat.hpp>
#include <string>
#include <string_view>

namespace truepull {

/// The display-P3 profile (primaries of SMPTE EG 432-1, white D65, the curve of sRGB).
std::string DisplayP3Profile();

/// Turns a picture (CV_8UC3 or CV_16UC3, BGR) from the colours of an ICC profile to sRGB,
/// relative colorimetric; what sRGB cannot show is held at its edge. Leaves it as it is where the
/// profile cannot be read, is not one of RGB, or says the same as sRGB to one code value in 255.
void ToSrgb(std::string_view icc, cv::Mat& bgr);

}  // namespace truepull

#endif  // TRUEPULL_IO_COLOUR_PROFILE_H_
