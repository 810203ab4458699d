// SPDX-License-Identifier: Apache-2.0
#include "cli/read_job.h"

#include <fmt/format.h>

#include <algorithm>
#include <future>
#include <map>
#include <system_error>

#include "cli/progress_line.h"
#include "truepull/drift.h"
#include "truepull/io.h"
#include "truepull/pages.h"
#include "truepull/photo_file.h"
#include "truepull/picture.h"
#include "truepull/picture_file.h"
#include "truepull/reading_cache.h"
#include "truepull/reading_text.h"

namespace truepull {
namespace {

namespace fs = std::filesystem;

// Half a megabyte: the page still goes through e-mail and opens at once on a phone.
constexpr std::size_t kMostPictureInPage = 500'000;

struct Written {
  Reading reading;
  DriftReport drift;
  fs::path folder;
  std::vector<std::string> names;
  std::vector<Reading> before;         // Of the passes beneath.
  std::vector<std::string> on_before;  // How it sits on them.
  std::string card;                    // What the sheet card said, in words.
  std::vector<std::string> doubts;     // About the card: need a look.
};

// Measures by the plan that fits, as the pass that is asked for, else the card's.
Result<Written> Measure(const ReadOptions& options, const std::vector<NamedPlan>& plans, const Photo& photo, const fs::path& path,
                        ProgressLine& progress, FoundCard& card) {
  Written w;
  const std::string file = path.filename().string();
  progress.Now("looking for a sheet card in " + file);
  card = FindSheetCard(photo.bgr).value_or(FoundCard{});
  if (card.doubtful) w.doubts.push_back("cards with different numbers or passes are in the picture: none was gone by");
  std::vector<Reading> readings;
  std::vector<std::string> names;
  std::vector<std::vector<Reading>> befores;
  std::vector<std::vector<std::string>> said;
  std::optional<Error> refused;
  for (const NamedPlan& plan : plans) {
    const std::string by_card = card.doubtful ? "first" : PassOfCard(plan.plan, card.pass);
    if (options.pass.empty() && by_card.empty()) {
      refused = Error{ErrorCode::kBadArgument, fmt::format("{}: its card shows pass {}, and {} has {} only", file, card.pass, plan.name, 1 + plan.plan.passes.size()),
                      "lay the right card beside the sheet, or say --pass NAME"};
      continue;
    }
    progress.Now("measuring the sites in " + file);
    const std::string pass = options.pass.empty() ? by_card : options.pass;
    auto before = LoadBefore(options, plan.plan, pass);
    if (!before) {
      refused = before.error();
      continue;
    }
    std::vector<std::string> lines;
    auto reading = before->empty() ? MeasureByPlan(photo, plan.plan, pass, 0, options.place_by) : MeasureOnBefore(options, photo, path, plan.plan, pass, *before, lines);
    if (!reading) {
      refused = reading.error();
      continue;
    }
    if (!options.pass.empty() && card.pass > 0 && !card.doubtful && by_card != options.pass) {
      w.doubts.push_back(fmt::format("its card shows pass {}; it was measured as {}, as --pass says", card.pass, options.pass));
    }
    readings.push_back(*std::move(reading)), names.push_back(plan.name);
    befores.push_back(*std::move(before)), said.push_back(std::move(lines));
  }
  if (readings.empty()) return *refused;
  const PlanChoice choice = ChoosePlan(readings, names);
  if (!choice.doubt.empty()) return Error{ErrorCode::kPhotoUnusable, file + ": " + choice.doubt, ""};
  w.reading = std::move(readings[choice.best]);
  w.before = std::move(befores[choice.best]), w.on_before = std::move(said[choice.best]);
  w.reading.sheet.state = options.sheet;
  const std::string code = CodeOfCard(card);
  if (!code.empty()) w.card = fmt::format("sheet card: {}, {}", code, card.pass > 0 ? "pass " + w.reading.pass : "its pass was not seen");
  if (plans.size() > 1) w.card += (w.card.empty() ? "" : "; ") + ("plan: " + names[choice.best]);
  return w;
}

// Where the results go, and what is said when a code comes twice.
fs::path FolderFor(const ReadOptions& options, const NamedPhoto& named, const std::string& code, const std::string& pass, UsedCodes* used, Written& w) {
  const fs::path root(options.out.folder);
  if (used == nullptr) return root;
  if (code.empty()) return root / named.name;
  std::string own = code;
  for (int k = 2; !used->emplace(own + "/" + pass, named.file.filename().string()).second; ++k) own = fmt::format("{}-{}", code, k);
  if (own != code) {
    w.doubts.push_back(fmt::format("the code {} is used twice, in {} too: this one goes by {}", code, (*used)[code + "/" + pass], own));
  }
  return root / own / pass;
}

Result<Written> ReadPhoto(const ReadOptions& options, const std::vector<NamedPlan>& plans, const NamedPhoto& named, UsedCodes* used,
                          ProgressLine& progress) {
  const std::string file = named.file.filename().string();
  const auto bytes = ReadWholeFile(named.file, std::size_t{512} << 20);
  if (!bytes) return bytes.error();
  auto photo = DecodePhoto(*bytes, file);
  if (!photo) return photo.error();
  FoundCard card;
  auto measured = Measure(options, plans, *photo, named.file, progress, card);
  if (!measured) return measured.error();
  Written w = *std::move(measured);
  if (w.reading.pass != "first") {
    // Found among the pass's own colours; the plan in the reading counts the first pass's.
    for (SiteReading& site : w.reading.sheet.sites) site.colour = -1;
    for (PullColours& pull : w.reading.sheet.colours) {
      for (ColourRegion& r : pull.regions) r.colour = -1;
    }
  }
  std::optional<RegisterFiles> on_before;
  w.reading.photo_key = ReadingCache::KeyOf(*bytes);
  if (!w.before.empty()) {
    on_before = CompareWithBefore(w.reading, w.before);
    w.on_before.insert(w.on_before.end(), on_before->lines.begin(), on_before->lines.end());
  }
  w.drift = MeasureDrift(w.reading.plan, w.reading.sheet);
  for (const Pass& pass : w.reading.plan.passes) {
    if (pass.name == w.reading.pass) FitBlocks(w.reading.plan, pass, w.drift);
  }

  progress.Now("drawing what was found in " + file);
  Reading shown = w.reading;
  if (auto seen = PlanOfPass(w.reading.plan, w.reading.pass)) shown.plan = *std::move(seen);
  // The page has the lines round the colours as a layer of its own, which can be switched off.
  cv::Mat lined;
  const cv::Mat picture = DrawReadingPicture(photo->bgr, shown, w.drift, {}, options.lines ? &lined : nullptr);
  if (lined.empty()) lined = picture;
  // Packing the picture takes longer than all the rest of the writing.
  auto png = std::async(std::launch::async, [&lined] { return EncodePng(lined); });
  const auto jpeg = EncodeJpeg(picture, kMostPictureInPage);
  if (!jpeg) return jpeg.error();
  const std::string page = ReadingPage(w.reading, w.drift, *jpeg, PictureOptions{}.margin_mm);
  const std::string text = WriteReading(w.reading, w.drift);
  const std::string table = WriteDriftCsv(w.reading, w.drift);
  const auto packed = png.get();
  if (!packed) return packed.error();

  w.folder = FolderFor(options, named, CodeOfCard(card), w.reading.pass, used, w);
  auto out = OutputFolder::Open(w.folder, options.out.force);
  if (!out) return out.error();
  std::vector<std::pair<const char*, const std::string*>> files{
      {"reading.yaml", &text}, {"drift.csv", &table}, {"picture.png", &*packed}, {"reading.html", &page}};
  if (on_before) files.emplace_back("register.csv", &on_before->csv);
  for (const auto& [name, content] : files) {
    if (const auto staged = out->Stage(name, *content); !staged) return staged.error();
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

ReadOutcome RunRead(const ReadOptions& options, const std::vector<NamedPlan>& plans, const NamedPhoto& photo, UsedCodes* used,
                    CommandContext& context) {
  const std::string file = photo.file.filename().string();
  Result<Written> written = [&] {
    ProgressLine progress("opening " + file, context.quiet);
    return ReadPhoto(options, plans, photo, used, progress);
  }();
  if (!written) {
    context.Fail(written.error());
    return ReadOutcome::kFailed;
  }
  context.Say("{}:", file);
  if (!written->card.empty()) context.Say("  {}", written->card);
  for (const std::string& line : SummaryLines(written->reading, written->drift)) context.Say("  {}", line);
  for (const std::string& line : written->on_before) context.Say("  {}", line);
  context.Say("  wrote {}: {}", written->folder.string(), fmt::join(written->names, ", "));
  context.Warn(file, written->doubts);
  context.Warn(file, written->reading.sheet.findings);
  if (!NeedsALook(written->reading, written->drift) && written->doubts.empty()) return ReadOutcome::kWell;
  context.NeedsLook();
  return ReadOutcome::kLook;
}

}  // namespace truepull
