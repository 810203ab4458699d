// SPDX-License-Identifier: Apache-2.0
// The frame on the development photos, where they are at hand.
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <opencv2/imgcodecs.hpp>

#include "truepull/photo.h"
#include "support/places.h"

namespace truepull {
namespace {

std::filesystem::path PhotosFolder() {
  if (const char* folder = std::getenv("TRUEPULL_PHOTOS")) return folder;
  return std::filesystem::path(testing::SourceFolder()) / ".." / "shared" / "photos";
}

Photo Load(const std::filesystem::path& path) {
  Photo photo;
  photo.name = path.filename().string();
  photo.bgr = cv::imread(path.string(), cv::IMREAD_COLOR);
  return photo;
}

TEST(SharedPhotos, EverySheetIsFoundWithStraightSides) {
  if (!std::filesystem::exists(PhotosFolder())) GTEST_SKIP() << "the development photos are not here";
  Sheet sheet;
  sheet.width_mm = 420;
  sheet.height_mm = 297;
  int seen = 0;
  for (const char* name : {"easy_a_wavy_rect", "easy_b_hexagon", "typical_a_half_turn", "typical_b_wavy_hex",
                           "typical_c_triangles", "hard_a_rect", "hard_b_knob", "hard_c_wavy_rect2", "odd_a_empty"}) {
    const auto path = PhotosFolder() / name / "photo.jpg";
    if (!std::filesystem::exists(path)) continue;
    const auto frame = FindSheet(Load(path), sheet);
    ASSERT_TRUE(frame) << name << ": " << frame.error().message;
    // Cockled sheets reach 0.31 px; a side followed wrongly would be far beyond.
    EXPECT_LT(frame->rms_side_px, 0.4) << name;
    ++seen;
  }
  EXPECT_GT(seen, 0);
}

TEST(SharedPhotos, ATableIsNoSheet) {
  const auto path = PhotosFolder() / "odd_b_no_sheet" / "photo.jpg";
  if (!std::filesystem::exists(path)) GTEST_SKIP() << "the development photos are not here";
  Sheet sheet;
  sheet.width_mm = 420;
  sheet.height_mm = 297;
  const auto frame = FindSheet(Load(path), sheet);
  ASSERT_FALSE(frame);
  EXPECT_EQ(frame.error().message, "photo.jpg: found no sheet of paper in the photo");
}

// Corners by hand, +-0.7 px and +-1.5 px (see the folder's MANIFEST.md).
void ExpectCorners(const char* name, double width_mm, double height_mm, const std::array<Point, 4>& corners, double within_px) {
  const auto path = PhotosFolder() / ".." / "real-photos" / name;
  if (!std::filesystem::exists(path)) GTEST_SKIP() << "the real photos are not here";
  Sheet sheet;
  sheet.width_mm = width_mm;
  sheet.height_mm = height_mm;
  const auto frame = FindSheet(Load(path), sheet);
  ASSERT_TRUE(frame) << frame.error().message;
  for (std::size_t i = 0; i < 4; ++i) EXPECT_LT(Norm(frame->corners_px[i] - corners[i]), within_px) << i;
}

TEST(SharedPhotos, AWideLensBowsTheSidesAndTheCornersAreFound) {
  ExpectCorners("compact-chess-frame03.jpg", 279.4, 215.9,
                {Point{6.69, 47.58}, {549.35, 30.33}, {553.49, 463.76}, {10.24, 459.30}}, 1.4);
}

TEST(SharedPhotos, AGlareOverOneCornerDoesNotLoseIt) {
  ExpectCorners("uneven-squares.jpg", 212, 275,
                {Point{201.20, 6.10}, {422.32, 69.17}, {261.90, 356.60}, {7.40, 236.20}}, 3.0);
}

}  // namespace
}  // namespace truepull
