// SPDX-License-Identifier: Apache-2.0
// The photos of a review, measured on all cores, each with its memory freed before the next.
#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdio>
#include <mutex>
#include <opencv2/core/utility.hpp>
#include <thread>

#include "cli/progress_line.h"
#include "cli/review_job.h"
#include "truepull/detect.h"
#include "truepull/drift.h"
#include "truepull/io.h"
#include "truepull/photo_file.h"
#include "truepull/picture.h"
#include "truepull/picture_file.h"
#include "truepull/reading_text.h"
#include "truepull/sheet_card_reading.h"

namespace truepull {
namespace {

constexpr int kPictureWidthPx = 300;
constexpr std::size_t kMostPicture = 24'000;   // Thirty of them still make a page for e-mail.
constexpr std::size_t kLeastSites = 4;         // Fewer pulls tell nothing of a habit.

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

std::size_t SitesFound(const Reading& reading) {
  return static_cast<std::size_t>(std::count_if(reading.sheet.sites.begin(), reading.sheet.sites.end(),
                                                [](const SiteReading& s) { return s.state != SiteState::kMissing; }));
}

// How well a plan explains the photo: sites found, each the less the less surely.
double Score(const Reading& reading) {
  double sum = 0;
  for (const SiteReading& s : reading.sheet.sites) {
    if (s.state == SiteState::kMissing) continue;
    sum += 1 / (1 + (s.covariance[0] + s.covariance[4]) / (2 * 0.1 * 0.1));
  }
  return sum / static_cast<double>(std::max<std::size_t>(1, reading.sheet.sites.size()));
}

// How far, from pull to pull, the printed edge wanders from the plan's outline: a few
// hundredths of a mm where the tile is the plan's, 0.3 mm and more where it is another's.
double EdgeScatterMm(const Reading& reading) {
  std::vector<double> scatter;
  for (const PlateEdges& e : reading.sheet.plate_edges) {
    // sd is of the median over the pulls: 1.2533 x 1.4826 x median distance / sqrt n.
    for (const double sd : e.sd_mm) scatter.push_back(sd * std::sqrt(static_cast<double>(SitesFound(reading))) / 1.2533);
  }
  if (scatter.empty()) return 0;
  std::sort(scatter.begin(), scatter.end());
  return scatter[scatter.size() / 2];
}

std::string WhyNotUsable(const Reading& reading) {
  const std::size_t found = SitesFound(reading), all = reading.sheet.sites.size();
  if (found == 0) return "no pull of the plan was found: an empty sheet, or the sheet of another plan";
  if (found < std::min(kLeastSites, all)) return fmt::format("only {} of {} sites were found: too few to tell anything, or the sheet of another plan", found, all);
  // Both together: a ragged print has the one, a wild hand the other.
  if (EdgeScatterMm(reading) > 0.35 && MeasureDrift(reading.plan, reading.sheet).hand_sd_mm > 1.5) {
    return "what is printed does not fit the plan's tile: the sheet of another plan, it seems";
  }
  return "";
}

struct ReadOne {
  std::vector<Reading> readings;      // One for each plan that was tried.
  std::vector<std::size_t> plans;
  std::string picture;
  std::optional<Error> error;
};

// The sheet card in the photo, from the cache where it was looked for before.
void ReadCard(ReviewItem& item, std::optional<Photo>& photo, const ReadingCache& cache) {
  const std::string key = ReadingCache::KeyOf(item.key + "card" + TRUEPULL_VERSION);
  FoundCard card;
  int doubtful = 0;
  if (const auto text = cache.Get(key, ".card"); text && std::sscanf(text->c_str(), "%d %d %d", &card.number, &card.pass, &doubtful) == 3) {
    card.doubtful = doubtful != 0;
  } else {
    if (!photo) return;
    card = FindSheetCard(photo->bgr).value_or(FoundCard{});
    cache.Put(key, ".card", fmt::format("{} {} {}\n", card.number, card.pass, card.doubtful ? 1 : 0));
  }
  item.card_number = card.number, item.card_pass = card.pass, item.card_doubtful = card.doubtful;
}

ReadOne ReadByPlans(ReviewItem& item, const std::vector<NamedPlan>& plans, const std::vector<std::size_t>& tried, SheetState state, const ReadingCache& cache) {
  ReadOne out;
  std::optional<Photo> photo;
  for (const std::size_t k : tried) {
    const std::string key = ReadingCache::KeyOf(item.key + plans[k].key + std::to_string(static_cast<int>(state)) + TRUEPULL_VERSION);
    if (const auto text = cache.Get(key, ".yaml")) {
      auto kept = ParseReading(*text, "kept reading");
      if (kept) {
        kept->plan = plans[k].plan;
        out.readings.push_back(*std::move(kept)), out.plans.push_back(k);
        if (const auto picture = cache.Get(key, ".jpg")) out.picture = *picture;
        continue;
      }
    }
    if (!photo) {
      auto loaded = LoadPhoto(item.file);
      if (!loaded) return out.error = loaded.error(), out;
      photo = *std::move(loaded);
    }
    const auto frame = FindSheet(*photo, plans[k].plan.sheet);
    if (!frame) {
      out.error = frame.error();
      continue;
    }
    DetectOptions detect;
    detect.threads = 1;
    auto sheet = MeasureSheet(*photo, *frame, plans[k].plan, detect);
    if (!sheet) {
      out.error = sheet.error();
      continue;
    }
    Reading reading{plans[k].plan, *std::move(sheet), item.file.filename().string()};
    reading.sheet.state = state;
    out.picture = SmallPicture(*photo, reading);
    cache.Put(key, ".jpg", out.picture);
    cache.Put(key, ".yaml", WriteReading(reading, MeasureDrift(reading.plan, reading.sheet)));
    out.readings.push_back(std::move(reading)), out.plans.push_back(k);
  }
  ReadCard(item, photo, cache);
  return out;
}

void ReadPhotoItem(ReviewItem& item, const std::vector<NamedPlan>& plans, SheetState state, const ReadingCache& cache) {
  std::vector<std::size_t> tried;
  for (std::size_t k = 0; k < plans.size(); ++k) {
    if (item.entry.plan.empty() || item.entry.plan == plans[k].name) tried.push_back(k);
  }
  if (tried.empty()) {
    item.reason = fmt::format("edition.yaml gives it the plan {}, which was not given with --plan", item.entry.plan);
    return;
  }
  ReadOne read = ReadByPlans(item, plans, tried, state, cache);
  if (read.readings.empty()) {
    item.reason = read.error ? Reason(*read.error, item) : "could not be read";
    return;
  }
  std::size_t best = 0;
  for (std::size_t k = 1; k < read.readings.size(); ++k) {
    if (Score(read.readings[k]) > Score(read.readings[best])) best = k;
  }
  for (std::size_t k = 0; k < read.readings.size(); ++k) {
    // 1.25: below, either plan may be the one; which is not for the program to guess.
    if (k != best && Score(read.readings[best]) < 1.25 * Score(read.readings[k]) && SitesFound(read.readings[k]) >= kLeastSites) {
      item.reason = fmt::format("fits {} and {} about alike: name its plan in edition.yaml", plans[read.plans[best]].name, plans[read.plans[k]].name);
      return;
    }
  }
  item.reason = WhyNotUsable(read.readings[best]);
  item.picture = std::move(read.picture);
  item.plan_name = plans[read.plans[best]].name;
  if (item.reason.empty()) item.reading = std::move(read.readings[best]);
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
  if (item.reason.empty()) item.reading = *std::move(reading);
}

std::string Bar(std::size_t done, std::size_t all) {
  constexpr std::size_t kCells = 20;
  const std::size_t full = all > 0 ? kCells * done / all : 0;
  return fmt::format("[{}{}] {} of {} photos", std::string(full, '#'), std::string(kCells - full, '.'), done, all);
}

}  // namespace

void ReadItems(std::vector<ReviewItem>& items, const std::vector<NamedPlan>& plans, SheetState state, const ReadingCache& cache, bool quiet) {
  std::vector<std::size_t> todo;
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (items[i].reason.empty()) todo.push_back(i);
  }
  ProgressLine progress(Bar(0, todo.size()), quiet);
  std::atomic<std::size_t> next{0}, done{0};
  const auto work = [&] {
    for (std::size_t k = next++; k < todo.size(); k = next++) {
      ReviewItem& item = items[todo[k]];
      if (item.is_reading) ReadReadingItem(item);
      else ReadPhotoItem(item, plans, state, cache);
      progress.Now(Bar(++done, todo.size()));
    }
  };
  // One photo to a core: 150 MB each, so at most four at a time.
  const std::size_t workers = std::min<std::size_t>({std::max(1u, std::thread::hardware_concurrency()), std::size_t{4}, std::max<std::size_t>(1, todo.size())});
  if (workers > 1) cv::setNumThreads(1);
  std::vector<std::thread> threads;
  for (std::size_t t = 1; t < workers; ++t) threads.emplace_back(work);
  work();
  for (std::thread& t : threads) t.join();
  cv::setNumThreads(-1);
}

}  // namespace truepull
