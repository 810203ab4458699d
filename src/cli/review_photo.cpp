// SPDX-License-Identifier: Apache-2.0
// One photo of a review: its card, its plan and pass, its reading, from the cache where it can.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <optional>

#include "cli/review_job.h"
#include "truepull/drift.h"
#include "truepull/io.h"
#include "truepull/photo_faults.h"
#include "truepull/photo_file.h"
#include "truepull/picture.h"
#include "truepull/picture_file.h"
#include "truepull/reading_text.h"

namespace truepull {
namespace {

constexpr int kPictureWidthPx = 300;
constexpr std::size_t kMostPicture = 24'000;   // Thirty of them still make a page for e-mail.

// "dir/gulls.jpg: is cut short" without what the table says already.
std::string Reason(const Error& error, const ReviewItem& item) {
  for (const std::string& name : {item.file.string(), item.shown, item.file.filename().string()}) {
    if (error.message.compare(0, name.size() + 2, name + ": ") == 0) return error.message.substr(name.size() + 2);
    if (error.message.compare(0, name.size() + 1, name + ":") == 0) return "line " + error.message.substr(name.size() + 1, error.message.find('\n') - name.size() - 1);
  }
  return error.message;
}

std::string SmallPicture(const Photo& photo, const Reading& reading) {
  const Sheet& sheet = reading.plan.sheet;
  const double margin = 4;
  const double scale = kPictureWidthPx / (std::max(sheet.width_mm, 0.75 * sheet.height_mm) + 2 * margin);
  const auto jpeg = EncodeJpeg(RectifySheet(photo.bgr, reading.sheet.camera, sheet, scale, margin), kMostPicture);
  return jpeg ? *jpeg : "";
}

// A photo that is opened when it is first needed: a second run needs none.
class LazyPhoto {
 public:
  explicit LazyPhoto(const std::filesystem::path& file) : file_(file) {}
  const Photo* Get() {
    if (!photo_ && !error_) {
      auto loaded = LoadPhoto(file_);
      if (loaded) photo_ = *std::move(loaded);
      else error_ = loaded.error();
    }
    return photo_ ? &*photo_ : nullptr;
  }
  const Error& error() const { return *error_; }

 private:
  std::filesystem::path file_;
  std::optional<Photo> photo_;
  std::optional<Error> error_;
};

// False when the photo cannot be opened.
bool ReadCard(ReviewItem& item, LazyPhoto& photo, const ReadingCache& cache) {
  const std::string key = ReadingCache::KeyOf(item.key + "card" + TRUEPULL_VERSION);
  FoundCard card;
  int doubtful = 0;
  if (const auto text = cache.Get(key, ".card"); text && std::sscanf(text->c_str(), "%d %d %d", &card.number, &card.pass, &doubtful) == 3) {
    card.doubtful = doubtful != 0;
  } else {
    if (photo.Get() == nullptr) return false;
    card = FindSheetCard(photo.Get()->bgr).value_or(FoundCard{});
    cache.Put(key, ".card", fmt::format("{} {} {}\n", card.number, card.pass, card.doubtful ? 1 : 0));
  }
  item.card = card;
  return true;
}

struct Read {
  Reading reading;
  std::string picture;
  double burnt_out = 0;
};

// A reading as its text gives it back: kept ones and new ones then count alike, to the last digit.
std::optional<Reading> FromText(const std::string& text, const Plan& plan) {
  auto reading = ParseReading(text, "kept reading");
  if (!reading) return std::nullopt;
  if (!plan.lattice.fit_origin) {
    Plan own = plan;   // What its plates were found to print stands in the reading alone.
    for (std::size_t k = 0; k < own.plates.size() && k < reading->plan.plates.size(); ++k) {
      if (own.plates[k].prints_measured) own.plates[k].prints = reading->plan.plates[k].prints, own.plates[k].prints_measured = false;
    }
    reading->plan = std::move(own);
  }
  return *std::move(reading);
}

Result<Read> ReadBy(const ReviewItem& item, const NamedPlan& plan, const std::string& pass, LazyPhoto& photo, SheetState state, const ReadingCache& cache) {
  const std::string key = ReadingCache::KeyOf(item.key + plan.key + pass + std::to_string(static_cast<int>(state)) + TRUEPULL_VERSION);
  Read out;
  if (const auto text = cache.Get(key, ".yaml")) {
    auto kept = FromText(*text, plan.plan);
    const auto look = cache.Get(key, ".look"), picture = cache.Get(key, ".jpg");
    if (kept && look && picture && std::sscanf(look->c_str(), "%lf", &out.burnt_out) == 1) {
      out.reading = *std::move(kept);
      out.picture = *picture;
      return out;
    }
  }
  if (photo.Get() == nullptr) return photo.error();
  auto reading = MeasureByPlan(*photo.Get(), plan.plan, pass, 1);
  if (!reading) return reading.error();
  out.reading = *std::move(reading);
  out.reading.sheet.state = state;
  out.picture = SmallPicture(*photo.Get(), out.reading);
  out.burnt_out = BurntOutShare(photo.Get()->bgr, out.reading.sheet.camera, out.reading.plan.sheet);
  cache.Put(key, ".jpg", out.picture);
  cache.Put(key, ".look", fmt::format("{:.6f}\n", out.burnt_out));
  // Last: with it the others are known to be there.
  const std::string text = WriteReading(out.reading, MeasureDrift(out.reading.plan, out.reading.sheet));
  cache.Put(key, ".yaml", text);
  if (auto kept = FromText(text, plan.plan)) out.reading = *std::move(kept);
  return out;
}

// The pass that is to be measured: as edition.yaml says, else as the card does.
std::string PassFor(const ReviewItem& item, const Plan& plan) {
  if (!item.pass_wanted.empty()) return item.pass_wanted;
  if (!item.entry.pass.empty()) return item.entry.pass;
  return item.card.doubtful ? "first" : PassOfCard(plan, item.card.pass);
}

}  // namespace

void ReadPhotoItem(ReviewItem& item, const std::vector<NamedPlan>& plans, const EditionFile& edition, SheetState state, const ReadingCache& cache) {
  LazyPhoto photo(item.file);
  if (!ReadCard(item, photo, cache)) {
    item.reason = Reason(photo.error(), item);
    return;
  }
  TakeEntryOfCode(item, edition);   // What edition.yaml says of the card's code.
  std::vector<Reading> readings;
  std::vector<Read> reads;
  std::vector<std::string> names;
  std::string refused;
  bool tried = false;
  for (const NamedPlan& plan : plans) {
    if (!item.entry.plan.empty() && item.entry.plan != plan.name) continue;
    tried = true;
    const std::string pass = PassFor(item, plan.plan);
    if (pass.empty() || !PlanOfPass(plan.plan, pass)) {   // A card of pass 3 is of a plan with three.
      refused = pass.empty() ? fmt::format("its card shows pass {}, which no plan that was given has", item.card.pass)
                             : fmt::format("no plan that was given has the pass {}", pass);
      continue;
    }
    auto read = ReadBy(item, plan, pass, photo, state, cache);
    if (!read) {
      refused = Reason(read.error(), item);
      continue;
    }
    readings.push_back(read->reading), names.push_back(plan.name);
    reads.push_back(*std::move(read));
  }
  if (!tried) {
    item.reason = fmt::format("edition.yaml gives it the plan {}, which was not given with --plan", item.entry.plan);
    return;
  }
  if (readings.empty()) {
    item.reason = refused.empty() ? "could not be read" : refused;
    return;
  }
  const PlanChoice choice = ChoosePlan(readings, names);
  if (!choice.doubt.empty()) {
    item.reason = choice.doubt;
    return;
  }
  Read& best = reads[choice.best];
  item.reason = WhyNotUsable(best.reading);
  item.picture = std::move(best.picture), item.burnt_out = best.burnt_out;
  item.plan_name = names[choice.best];
  item.pass = best.reading.pass;
  if (item.reason.empty()) item.reading = std::move(best.reading);
}

void ReadReadingItem(ReviewItem& item) {
  const auto text = ReadWholeFile(item.file, std::size_t{64} << 20);
  if (!text) {
    item.reason = Reason(text.error(), item);
    return;
  }
  auto reading = ParseReading(*text, item.file.filename().string());
  if (!reading) {
    item.reason = "is no reading that can be used: " + Reason(reading.error(), item);
    return;
  }
  item.reason = WhyNotUsable(*reading);
  item.pass = reading->pass;
  if (item.reason.empty()) item.reading = *std::move(reading);
}

}  // namespace truepull
