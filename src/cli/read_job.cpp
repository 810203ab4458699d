// SPDX-License-Identifier: Apache-2.0
#include "cli/read_job.h"

#include <fmt/format.h>

#include <algorithm>
#include <future>
#include <map>
#include <system_error>

#include "cli/progress_line.h"
#include "truepull/detect.h"
#include "truepull/fitted_lattice.h"
#include "truepull/io.h"
#include "truepull/pages.h"
#include "truepull/photo_file.h"
#include "truepull/picture.h"
#include "truepull/picture_file.h"
#include "truepull/reading_text.h"

namespace truepull {
namespace {

namespace fs = std::filesystem;

// Half a megabyte: the page still goes through e-mail and opens at once on a phone.
constexpr std::size_t kMostPictureInPage = 500'000;

struct Written {
  Reading reading;
  DriftReport drift;
  std::vector<std::string> names;
  std::vector<std::string> on_before;  // How it sits on earlier passes.
};

Result<Written> ReadPhoto(const ReadOptions& options, const Plan& plan, const NamedPhoto& named,
                          const fs::path& folder, ProgressLine& progress) {
  const std::string file = named.file.filename().string();
  auto photo = LoadPhoto(named.file);
  if (!photo) return photo.error();
  progress.Now("finding the sheet in " + file);
  auto frame = FindSheet(*photo, plan.sheet);
  if (!frame) return frame.error();
  progress.Now("measuring the sites in " + file);
  Written w;
  const auto seen = PlanOfPass(plan, options.pass);
  if (!seen) return seen.error();
  if (seen->lattice.fit_origin) {
    auto fitted = MeasureSheetFittingLattice(*photo, *frame, *seen);
    if (!fitted) return fitted.error();
    w.reading = {std::move(fitted->plan), std::move(fitted->sheet), photo->name};
  } else {
    auto sheet = MeasureSheet(*photo, *frame, *seen);
    if (!sheet) return sheet.error();
    w.reading = {plan, *std::move(sheet), photo->name};
  }
  w.reading.sheet.state = options.sheet;
  if (!options.pass.empty()) w.reading.pass = options.pass;
  std::optional<RegisterFiles> on_before;
  if (!options.before.empty()) {
    auto compared = CompareWithBefore(w.reading, options.before);
    if (!compared) return compared.error();
    on_before = std::move(*compared);
    w.on_before = on_before->lines;
  }
  w.drift = MeasureDrift(w.reading.plan, w.reading.sheet);

  progress.Now("drawing what was found in " + file);
  Reading shown = w.reading;
  if (!seen->lattice.fit_origin) shown.plan = *seen;  // Else the fitted plan is drawn.
  const cv::Mat picture = DrawReadingPicture(photo->bgr, shown, w.drift);
  // Packing the picture takes longer than all the rest of the writing.
  auto png = std::async(std::launch::async, [&picture] { return EncodePng(picture); });
  const auto jpeg = EncodeJpeg(picture, kMostPictureInPage);
  if (!jpeg) return jpeg.error();
  const std::string page = ReadingPage(w.reading, w.drift, *jpeg);
  const std::string text = WriteReading(w.reading, w.drift);
  const std::string table = WriteDriftCsv(w.reading, w.drift);
  const auto packed = png.get();
  if (!packed) return packed.error();

  auto out = OutputFolder::Open(folder, options.out.force);
  if (!out) return out.error();
  std::vector<std::pair<const char*, const std::string*>> files{
      {"reading.yaml", &text}, {"drift.csv", &table}, {"picture.png", &*packed}, {"reading.html", &page}};
  if (on_before) files.emplace_back("register.csv", &on_before->csv);
  for (const auto& [name, bytes] : files) {
    if (const auto staged = out->Stage(name, *bytes); !staged) return staged.error();
    w.names.push_back(name);
  }
  if (const auto done = out->Commit(); !done) return done.error();
  return w;
}

std::vector<fs::path> PhotosOf(const fs::path& folder) {
  std::vector<fs::path> files;
  std::error_code ec;
  for (const auto& entry : fs::directory_iterator(folder, ec)) {
    const bool hidden = entry.path().filename().string()[0] == '.';
    if (!hidden && entry.is_regular_file(ec) && HasPhotoName(entry.path())) files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  return files;
}

}  // namespace

Result<PhotoList> PhotosIn(const std::vector<std::string>& given) {
  PhotoList list;
  list.by_name = given.size() > 1;
  std::map<std::string, int> used;
  for (const std::string& word : given) {
    std::vector<fs::path> files{fs::path(word)};
    std::error_code ec;
    if (fs::is_directory(word, ec)) {
      files = PhotosOf(word);
      list.by_name = true;
      if (files.empty()) {
        return Error{ErrorCode::kUnreadableFile,
                     word + ": holds no photos (.jpg, .jpeg, .png, .tif, .tiff or .webp)",
                     "give a photo, or the folder that they are in"};
      }
    }
    for (const fs::path& file : files) {
      std::string name = file.stem().string();
      const int before = used[name]++;  // gulls.jpg and gulls.png must not share a folder.
      if (before > 0) name = fmt::format("{}-{}", name, before + 1);
      list.photos.push_back({file, name});
    }
  }
  return list;
}

ReadOutcome RunRead(const ReadOptions& options, const Plan& plan, const NamedPhoto& photo, const fs::path& folder,
                    CommandContext& context) {
  const std::string file = photo.file.filename().string();
  Result<Written> written = [&] {
    ProgressLine progress("opening " + file, context.quiet);
    return ReadPhoto(options, plan, photo, folder, progress);
  }();
  if (!written) {
    context.Fail(written.error());
    return ReadOutcome::kFailed;
  }
  context.Say("{}:", file);
  for (const std::string& line : SummaryLines(written->reading, written->drift)) context.Say("  {}", line);
  for (const std::string& line : written->on_before) context.Say("  {}", line);
  context.Say("  wrote {}: {}", folder.string(), fmt::join(written->names, ", "));
  context.Warn(file, written->reading.sheet.findings);
  if (!NeedsALook(written->reading, written->drift)) return ReadOutcome::kWell;
  context.NeedsLook();
  return ReadOutcome::kLook;
}

}  // namespace truepull
