// SPDX-License-Identifier: Apache-2.0
// Rendered sheets taken through the same way as a photo: JPEG, decoded, found, measured.
#ifndef TRUEPULL_TESTS_SUPPORT_MADE_PHOTOS_H_
#define TRUEPULL_TESTS_SUPPORT_MADE_PHOTOS_H_

#include <filesystem>
#include <string>
#include <vector>

#include "truepull/detect.h"
#include "truepull/render.h"

namespace truepull::testing {

/// A photo with the plan it was printed by and the truth.
struct MadePhoto {
  Plan plan;
  std::string jpeg;                 // The file's bytes.
  std::vector<TruthRow> truth;
};

/// Renders and packs at the given quality. Throws std::runtime_error when that fails.
MadePhoto MakePhoto(const Plan& plan, const RenderOptions& options, int quality = 92);

/// Decodes, finds the sheet and measures it.
Result<SheetReading> ReadPhoto(const std::string& jpeg, const Plan& plan, const DetectOptions& options = {});

/// Reads a folder with photo.jpg, plan.yaml and truth.csv. Throws when a text is wrong.
MadePhoto LoadMadePhoto(const std::filesystem::path& folder);

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_MADE_PHOTOS_H_
