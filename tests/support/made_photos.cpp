// SPDX-License-Identifier: Apache-2.0
#include "support/made_photos.h"

#include <sstream>
#include <stdexcept>

#include "support/files.h"
#include "truepull/photo_file.h"
#include "truepull/plan_text.h"
#include "truepull/truth_text.h"

namespace truepull::testing {
namespace {

template <typename T>
T Must(Result<T> result) {
  if (!result) throw std::runtime_error(result.error().message);
  return *std::move(result);
}

// Other renderers say where a missing pull would have been; ours leaves these cells empty.
std::string WithoutPlacesOfMissing(const std::string& text) {
  std::istringstream lines(text);
  std::string out, line;
  while (std::getline(lines, line)) {
    const std::size_t at = line.find(",missing,");
    if (at != std::string::npos) {
      std::size_t end = at + 9;   // Past x, y and turn.
      for (int cell = 0; cell < 3 && end != std::string::npos; ++cell) end = line.find(',', end + (cell > 0));
      if (end != std::string::npos) line = line.substr(0, at + 9) + ",," + line.substr(end);
    }
    out += line + "\n";
  }
  return out;
}

}  // namespace

MadePhoto MakePhoto(const Plan& plan, const RenderOptions& options, int quality) {
  RenderedSheet sheet = Must(RenderSheet(plan, options));
  MadePhoto photo;
  photo.plan = plan;
  photo.jpeg = Must(EncodePhotoJpeg(sheet.bgr, quality, 1));
  photo.truth = std::move(sheet.truth);
  return photo;
}

Result<SheetReading> ReadPhoto(const std::string& jpeg, const Plan& plan, const DetectOptions& options) {
  const auto photo = DecodePhoto(jpeg, "photo.jpg");
  if (!photo) return photo.error();
  const auto frame = FindSheet(*photo, plan.sheet);
  if (!frame) return frame.error();
  return MeasureSheet(*photo, *frame, plan, options);
}

MadePhoto LoadMadePhoto(const std::filesystem::path& folder) {
  MadePhoto photo;
  photo.plan = Must(ParsePlan(ReadFile(folder / "plan.yaml"), "plan.yaml")).plan;
  photo.jpeg = ReadFile(folder / "photo.jpg");
  if (std::filesystem::exists(folder / "truth.csv")) {
    photo.truth = Must(ParseTruth(WithoutPlacesOfMissing(ReadFile(folder / "truth.csv")), "truth.csv"));
  }
  return photo;
}

}  // namespace truepull::testing
