// SPDX-License-Identifier: Apache-2.0
// The development photos, with the least that reading must reach on them. They lie outside
// the project: in the folder that TRUEPULL_PHOTOS names, or in ../shared/photos beside
// the project's root. Their truth.csv is the renderer's.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>

#include "support/made_photos.h"
#include "support/places.h"
#include "support/truth_comparison.h"

namespace truepull::testing {
namespace {

namespace fs = std::filesystem;

fs::path PhotosFolder() {
  if (const char* given = std::getenv("TRUEPULL_PHOTOS"); given != nullptr && *given != '\0') return given;
  return fs::path(testing::SourceFolder()) / ".." / "shared" / "photos";
}

// Folders in PhotosFolder whose name begins so, in order.
std::vector<fs::path> PhotosLike(const std::string& beginning) {
  std::vector<fs::path> photos;
  std::error_code ec;
  for (const auto& entry : fs::directory_iterator(PhotosFolder(), ec)) {
    const bool named = entry.path().filename().string().rfind(beginning, 0) == 0;
    if (named && fs::exists(entry.path() / "photo.jpg")) photos.push_back(entry.path());
  }
  std::sort(photos.begin(), photos.end());
  return photos;
}

#define SKIP_WITHOUT(photos)                                                                            \
  if ((photos).empty()) {                                                                               \
    GTEST_SKIP() << "the development photos are not here; set TRUEPULL_PHOTOS to the folder they are in"; \
  }

struct Judged {
  Comparison comparison;
  Figures figures;
};

Judged Judge(const fs::path& folder) {
  const MadePhoto photo = LoadMadePhoto(folder);
  const auto reading = ReadPhoto(photo.jpeg, photo.plan);
  if (!reading) throw std::runtime_error(reading.error().message);
  Judged judged;
  judged.comparison = Compare(photo.plan, photo.truth, *reading);
  judged.figures = Summarise(judged.comparison);
  fmt::print("{}: recall {:.3f}, invented {}, rms {:.3f} mm, {:.3f} deg, worst {:.2f} mm\n", folder.filename().string(),
             judged.figures.recall, judged.comparison.false_finds, judged.figures.rms_mm, judged.figures.turn_rms_deg,
             judged.figures.worst_mm);
  return judged;
}

TEST(DevelopmentPhotos, EasyOnesAreFoundWholeAndTrue) {
  const auto photos = PhotosLike("easy_");
  SKIP_WITHOUT(photos);
  for (const fs::path& photo : photos) {
    SCOPED_TRACE(photo.filename().string());
    const Judged judged = Judge(photo);
    EXPECT_EQ(judged.figures.recall, 1);
    EXPECT_EQ(judged.comparison.false_finds, 0);
    EXPECT_LE(judged.figures.rms_mm, 0.15);
    EXPECT_LE(judged.figures.turn_rms_deg, 0.2);
  }
}

TEST(DevelopmentPhotos, TypicalOnesAreFoundAndNearlyTrue) {
  const auto photos = PhotosLike("typical_");
  SKIP_WITHOUT(photos);
  for (const fs::path& photo : photos) {
    SCOPED_TRACE(photo.filename().string());
    const Judged judged = Judge(photo);
    EXPECT_GE(judged.figures.recall, 0.97);
    EXPECT_LE(judged.figures.rms_mm, 0.3);
  }
}

TEST(DevelopmentPhotos, AnEmptySheetHasNoPulls) {
  const auto photos = PhotosLike("odd_a_empty");
  SKIP_WITHOUT(photos);
  const MadePhoto photo = LoadMadePhoto(photos[0]);
  const auto reading = ReadPhoto(photo.jpeg, photo.plan);
  ASSERT_TRUE(reading.has_value()) << reading.error().message;
  ASSERT_EQ(reading->sites.size(), AllSites(photo.plan.lattice).size());
  for (const SiteReading& r : reading->sites) EXPECT_EQ(r.state, SiteState::kMissing) << SiteLabel(r.site);
}

TEST(DevelopmentPhotos, ATableWithoutASheetIsRefusedInPlainWords) {
  const auto photos = PhotosLike("odd_b_no_sheet");
  SKIP_WITHOUT(photos);
  const MadePhoto photo = LoadMadePhoto(photos[0]);
  const auto reading = ReadPhoto(photo.jpeg, photo.plan);
  ASSERT_FALSE(reading.has_value());
  EXPECT_EQ(reading.error().code, ErrorCode::kSheetNotFound);
  EXPECT_NE(reading.error().message.find("sheet"), std::string::npos) << reading.error().message;
  EXPECT_FALSE(reading.error().hint.empty());
}

}  // namespace
}  // namespace truepull::testing
