// SPDX-License-Identifier: Apache-2.0
// `truepull review FOLDER --plan plan.yaml`: many sheets, one page.
#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>
#include <map>
#include <memory>
#include <opencv2/core/utils/logger.hpp>
#include <system_error>

#include "cli/commands.h"
#include "cli/review_job.h"
#include "truepull/draw.h"
#include "truepull/io.h"
#include "truepull/plan_text.h"
#include "truepull/reading_text.h"
#include "truepull/review_pages.h"

namespace truepull {
namespace {

namespace fs = std::filesystem;

Result<EditionFile> LoadEdition(const ReviewOptions& options) {
  fs::path file(options.edition);
  if (options.edition.empty()) {
    file = fs::path(options.folders.front()) / "edition.yaml";
    std::error_code ec;
    if (!fs::is_regular_file(file, ec)) return EditionFile{};
  }
  const auto text = ReadWholeFile(file, std::size_t{16} << 20);
  if (!text) return text.error();
  return ParseEdition(*text, file.filename().string());
}

// Place in the order of printing: as edition.yaml says, then by name.
void SetOrders(const std::vector<ReviewItem>& items, std::vector<EditionSheet>& sheets, const std::vector<std::size_t>& item_of) {
  std::map<std::string, int> next;
  for (const EditionSheet& s : sheets) next[s.pass] = std::max(next[s.pass], s.order);
  for (std::size_t k = 0; k < sheets.size(); ++k) {
    if (items[item_of[k]].entry.order == 0) sheets[k].order = ++next[sheets[k].pass];
  }
}

struct Staged {
  std::vector<OutputFolder> folders;
  std::vector<std::string> names;
};

Status StageAll(const ReviewOptions& options, const EditionReview& review, const std::vector<ReviewRow>& rows, const ReviewPageInput& page, Staged& staged) {
  const auto stage = [&](const fs::path& folder, const std::vector<std::pair<std::string, std::string>>& files) -> Status {
    auto out = OutputFolder::Open(folder, options.out.force);
    if (!out) return out.error();
    for (const auto& [name, bytes] : files) {
      if (const auto done = out->Stage(name, bytes); !done) return done.error();
    }
    staged.folders.push_back(*std::move(out));
    return Done{};
  };
  const fs::path root(options.out.folder);
  std::vector<std::pair<std::string, std::string>> files = {{"review.html", ReviewPage(page)},
                                                                  {"review.csv", WriteReviewCsv(review, rows)},
                                                                  {"review.yaml", WriteReviewYaml(review, rows)},
                                                                  {"students.html", StudentPages(review)}};
  const bool decided = std::any_of(review.sheets.begin(), review.sheets.end(), [](const EditionSheet& s) { return s.decision != Decision::kOpen; });
  if (decided) {
    auto pdf = DrawPdf(RecordPages(review), "Record of the edition");
    if (!pdf) return pdf.error();
    files.emplace_back("record.html", RecordPage(review));
    files.emplace_back("record.pdf", *std::move(pdf));
  }
  if (const auto done = stage(root, files); !done) return done;
  for (const auto& file : files) staged.names.push_back(file.first);
  for (std::size_t i = 0; i < review.sheets.size(); ++i) {
    const EditionSheet& s = review.sheets[i];
    const DriftReport& drift = review.reviews[i].drift;
    const auto done = stage(root / s.code / s.pass, {{"reading.yaml", WriteReading(s.reading, drift)}, {"drift.csv", WriteDriftCsv(s.reading, drift)}});
    if (!done) return done;
  }
  return Done{};
}

void Review(const ReviewOptions& options, CommandContext& context) {
  // What OpenCV has to say of a bad file is said in our own words.
  cv::utils::logging::setLogLevel(cv::utils::logging::LOG_LEVEL_SILENT);
  const auto plans = LoadPlans(options.plans);
  if (!plans) return context.Fail(plans.error());
  const auto edition = LoadEdition(options);
  if (!edition) return context.Fail(edition.error());
  std::vector<ReviewItem> items;
  for (const std::string& folder : options.folders) {
    std::error_code ec;
    if (!fs::is_directory(folder, ec)) {
      return context.Fail({ErrorCode::kUnreadableFile, folder + ": is no folder", "give the folder that the photos or readings are in"});
    }
    for (ReviewItem& item : ItemsIn(folder, options.out.folder)) {
      if (options.folders.size() > 1) item.shown = (fs::path(folder).filename() / item.shown).string();
      items.push_back(std::move(item));
    }
  }
  if (items.empty()) {
    return context.Fail({ErrorCode::kUnreadableFile, options.folders.front() + ": holds no photos and no readings",
                         "give the folder that the photos (.jpg, .jpeg, .png, .tif, .tiff, .webp) or readings are in"});
  }
  bool photos = false;
  for (ReviewItem& item : items) {
    photos = photos || !item.is_reading;
    const auto bytes = ReadWholeFile(item.file);
    if (!bytes) item.reason = bytes.error().message;
    else item.key = ReadingCache::KeyOf(*bytes);
  }
  if (photos && plans->empty()) {
    context.Fail({ErrorCode::kBadArgument, "--plan is needed: the folder holds photos, and a plan says what was meant", "give --plan plan.yaml"});
    context.exit_code = kExitUsage;
    return;
  }
  NameItems(items, *edition);  // For the plans that edition.yaml gives to photos.
  FindSameFiles(items);
  const ReadingCache cache(fs::path(options.out.folder) / ".truepull-cache");
  std::vector<std::size_t> which;
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (items[i].reason.empty()) which.push_back(i);
  }
  ReadItems(items, which, *plans, *edition, options.sheet, cache, context.quiet);
  if (const auto anew = MatchLaterPasses(items); !anew.empty()) ReadItems(items, anew, *plans, *edition, options.sheet, cache, context.quiet);
  FindSameSheets(items);
  const NamingNotes naming = NameItems(items, *edition);

  std::vector<EditionSheet> sheets;
  std::vector<std::size_t> item_of;
  for (std::size_t i = 0; i < items.size(); ++i) {
    ReviewItem& item = items[i];
    if (!item.reason.empty() || !item.reading) continue;
    EditionSheet s;
    const EditionEntry& e = item.entry;
    s.code = item.code, s.photo = item.shown, s.pass = item.pass, s.order = e.order, s.paper = e.paper, s.whose = e.whose;
    s.decision = e.decision, s.number = e.number, s.date = e.date, s.note = e.note;
    s.blur_mm = item.reading->sheet.sd_blur_mm, s.burnt_out = item.burnt_out;
    s.reading = *std::move(item.reading);
    item.reading.reset();
    sheets.push_back(std::move(s));
    item_of.push_back(i);
  }
  const auto say_unused = [&] {
    std::fflush(stdout);
    for (const ReviewItem& item : items) {
      if (!item.reason.empty()) fmt::print(stderr, "{}: not used: {}\n", item.shown, item.reason);
    }
  };
  if (sheets.empty()) {
    say_unused();
    return context.Fail({ErrorCode::kPhotoUnusable, options.folders.front() + ": nothing in it could be used", "docs/photo.md says how to take the photos"});
  }
  SetOrders(items, sheets, item_of);
  EditionReview review = ReviewEdition(std::move(sheets), edition->settings);
  review.findings.insert(review.findings.end(), naming.look.begin(), naming.look.end());

  std::vector<ReviewRow> rows;
  ReviewPageInput page;
  page.review = &review;
  page.pictures.resize(review.sheets.size());
  page.notes = naming.notes;
  for (const ReviewItem& item : items) {
    ReviewRow row{item.code, item.shown, item.reason.empty(), item.reason, -1};
    for (std::size_t k = 0; k < review.sheets.size() && row.used; ++k) {
      if (review.sheets[k].photo != item.shown) continue;
      row.sheet = static_cast<int>(k);
      std::vector<std::string> reasons = review.reviews[k].look;
      if (!review.reviews[k].beyond.empty()) reasons.push_back(review.reviews[k].beyond);
      row.reason = fmt::format("{}", fmt::join(reasons, "; "));
      page.pictures[k] = item.picture;
    }
    if (!row.used) page.not_used.push_back({item.shown, item.reason});
    rows.push_back(std::move(row));
  }
  Staged staged;
  if (const auto done = StageAll(options, review, rows, page, staged); !done) return context.Fail(done.error());
  for (OutputFolder& folder : staged.folders) {
    if (const auto done = folder.Commit(); !done) return context.Fail(done.error());
  }

  context.Say("{} of {} photos used", review.sheets.size(), items.size());
  for (const std::string& finding : review.findings) context.Say("  {}", finding);
  for (const std::string& habit : review.common_habits) context.Say("  common: {}", habit);
  context.Say("  wrote {}: {}, and every reading under its code", options.out.folder, fmt::join(staged.names, ", "));
  if (!context.quiet) {
    say_unused();
    for (std::size_t k = 0; k < review.sheets.size(); ++k) {
      for (const std::string& reason : review.reviews[k].look) fmt::print(stderr, "{}: {}\n", review.sheets[k].code, reason);
    }
  }
  if (review.needs_a_look || !naming.look.empty() || !page.not_used.empty()) context.NeedsLook();
}

}  // namespace

void AddReviewCommand(CLI::App& program, CommandContext& context) {
  CLI::App& command = *program.add_subcommand("review", "Review many sheets: what the hand, plate, block and paper did, and what to do better");
  const auto options = std::make_shared<ReviewOptions>();
  const auto sheet = std::make_shared<std::string>("unknown");
  command.add_option("FOLDER", options->folders, "Folder with photos of sheets, or with what `truepull read` wrote; or several")->required();
  command.add_option("--plan", options->plans, "plan.yaml that the sheets were printed by, or several: each photo gets the one that fits")
      ->allow_extra_args(false)
      ->type_name("FILE");
  command.add_option("--edition", options->edition, "Codes, order of printing, papers and the like (default: edition.yaml in FOLDER, if there)")
      ->type_name("FILE");
  command.add_option("--sheet", *sheet, "How the sheets were when photographed: dry, damp or unknown")
      ->type_name("STATE")
      ->capture_default_str()
      ->check(CLI::IsMember({"dry", "damp", "unknown"}));
  AddOutputOptions(command, options->out);
  AddQuietOption(command, context);
  command.footer("Example:\n  truepull review photos --plan plan.yaml --out review\n"
                 "writes review.html, review.csv, review.yaml and students.html into review/, and every reading into\n"
                 "review/CODE/PASS/. A photo that cannot be used is named with the reason and the others go on; what was\n"
                 "measured is kept in review/.truepull-cache, so that a second run, or one that was broken off, is quick.");
  command.callback([options, sheet, &context] {
    options->sheet = *sheet == "dry" ? SheetState::kDry : *sheet == "damp" ? SheetState::kDamp : SheetState::kUnknown;
    Review(*options, context);
  });
}

}  // namespace truepull
