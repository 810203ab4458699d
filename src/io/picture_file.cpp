// SPDX-License-Identifier: Apache-2.0
#include "truepull/picture_file.h"

#include <opencv2/core.hpp>
#include <opencv2/imgcodecs.hpp>
#include <vector>

namespace truepull {
namespace {

Result<std::string> Encode(const cv::Mat& bgr, const char* ending, const std::vector<int>& options) {
  try {
    std::vector<unsigned char> bytes;
    if (cv::imencode(ending, bgr, bytes, options)) return std::string(bytes.begin(), bytes.end());
  } catch (const cv::Exception&) {
  }
  return Error{ErrorCode::kCannotWrite, "the picture could not be encoded", "check that there is memory left"};
}

}  // namespace

Result<std::string> EncodePng(const cv::Mat& bgr) {
  // Level 1 with runs only: on noisy photos deeper search costs twice the time for 3 %.
  return Encode(bgr, ".png", {cv::IMWRITE_PNG_COMPRESSION, 1, cv::IMWRITE_PNG_STRATEGY, cv::IMWRITE_PNG_STRATEGY_RLE});
}

Result<std::string> EncodeJpeg(const cv::Mat& bgr, std::size_t most_bytes) {
  for (const int quality : {75, 60, 45}) {
    auto bytes = Encode(bgr, ".jpg", {cv::IMWRITE_JPEG_QUALITY, quality});
    if (!bytes || bytes->size() <= most_bytes || quality == 45) return bytes;
  }
  return Encode(bgr, ".jpg", {});
}

}  // namespace truepull
