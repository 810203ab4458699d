// SPDX-License-Identifier: Apache-2.0
// Pictures as the bytes of files.
#ifndef TRUEPULL_PICTURE_FILE_H_
#define TRUEPULL_PICTURE_FILE_H_

#include <cstddef>
#include <opencv2/core/mat.hpp>
#include <string>

#include "truepull/result.h"

namespace truepull {

/// A picture (CV_8UC3) as PNG, packed quickly rather than tightly: 3-4 MB for the
/// annotated picture of a sheet. Fails with kCannotWrite when the encoder does.
Result<std::string> EncodePng(const cv::Mat& bgr);

/// A picture as JPEG of at most about `most_bytes`: quality 75, less if it must.
Result<std::string> EncodeJpeg(const cv::Mat& bgr, std::size_t most_bytes);

}  // namespace truepull

#endif  // TRUEPULL_PICTURE_FILE_H_
