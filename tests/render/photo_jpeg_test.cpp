// SPDX-License-Identifier: Apache-2.0
// The photo's bytes: upright for every reader, and silent about place and device.
#include <gtest/gtest.h>

#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "render/render_support.h"

namespace truepull {
namespace {

/// An F, which is none of its own turns or mirror images. 64 x 48: whole JPEG blocks, so
/// that turning before coding changes little.
cv::Mat LetterF() {
  cv::Mat picture(48, 64, CV_8UC3, cv::Scalar(230, 235, 240));
  const cv::Scalar ink(60, 40, 30);
  cv::rectangle(picture, {16, 8}, {23, 39}, ink, cv::FILLED);
  cv::rectangle(picture, {24, 8}, {47, 15}, ink, cv::FILLED);
  cv::rectangle(picture, {24, 24}, {39, 31}, ink, cv::FILLED);
  return picture;
}

cv::Mat Decode(const std::string& bytes, int flags) {
  const std::vector<unsigned char> copy(bytes.begin(), bytes.end());
  return cv::imdecode(copy, flags);
}

TEST(PhotoJpeg, IsUprightInAllEightOrientations) {
  const cv::Mat upright = LetterF();
  for (int orientation = 1; orientation <= 8; ++orientation) {
    const auto bytes = EncodePhotoJpeg(upright, 98, orientation);
    ASSERT_TRUE(bytes.has_value());
    const cv::Mat read = Decode(*bytes, cv::IMREAD_COLOR);
    ASSERT_EQ(read.size(), upright.size()) << orientation;
    EXPECT_LT(cv::norm(read, upright, cv::NORM_L1) / (64 * 48 * 3), 3) << orientation;
    // ... while the pixels are stored turned: only 1 is upright as stored.
    const cv::Mat stored = Decode(*bytes, cv::IMREAD_COLOR | cv::IMREAD_IGNORE_ORIENTATION);
    const bool same = stored.size() == upright.size() &&
                      cv::norm(stored, upright, cv::NORM_L1) / (64 * 48 * 3) < 3;
    EXPECT_EQ(same, orientation == 1) << orientation;
  }
}

TEST(PhotoJpeg, HoldsOneExifFieldOnly) {
  const std::string bytes = EncodePhotoJpeg(LetterF(), 90, 6).value();
  // Start marker, then APP1 of 34 bytes with a directory of one entry, tag 0x0112.
  EXPECT_EQ(bytes.substr(0, 6), std::string("\xFF\xD8\xFF\xE1\x00\x22", 6));
  EXPECT_EQ(bytes.substr(20, 4), std::string("\x00\x01\x01\x12", 4));
  EXPECT_EQ(bytes.find("Exif", 12), std::string::npos);
}

TEST(PhotoJpeg, RefusesOrientationsAndQualitiesThatAreNone) {
  EXPECT_EQ(EncodePhotoJpeg(LetterF(), 90, 9).error().message, "the EXIF orientation must be 1 to 8, not 9");
  EXPECT_EQ(EncodePhotoJpeg(LetterF(), 0, 1).error().message, "the JPEG quality must be 1 to 100, not 0");
}

}  // namespace
}  // namespace truepull
