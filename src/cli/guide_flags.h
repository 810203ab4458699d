// SPDX-License-Identifier: Apache-2.0
// The flags of `next` that say how the guide is drawn, and what is written from them.
#ifndef TRUEPULL_CLI_GUIDE_FLAGS_H_
#define TRUEPULL_CLI_GUIDE_FLAGS_H_

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "cli/command_context.h"
#include "truepull/guide.h"
#include "truepull/placement.h"
#include "truepull/plan.h"
#include "truepull/printer_text.h"

namespace truepull {

/// --paper, --measured and --printer: what the pages are printed on.
struct PrinterFlags {
  Paper paper = Paper::kA4;
  std::string measured;                  // As typed; empty: not given.
  std::string printer;                   // Name; empty: none.
};
void AddPrinterFlags(CLI::App& command, PrinterFlags& flags);

/// What the pages are corrected by: as measured (and then kept under the printer's name), as
/// kept, or nothing. Warns where fitting to the page was probably on.
Result<PrinterMeasure> MeasureOf(const PrinterFlags& flags, CommandContext& context);
/// "Made for printer class-2: ..."; empty when nothing is corrected.
std::string PrinterNote(const PrinterFlags& flags, const PrinterMeasure& measure);

struct GuideFlags {
  PrinterFlags print;
  bool mirror = false;
  GuideUse use = GuideUse::kGeneral;
  Touching touching = Touching::kCorners;
  PageSplit split = PageSplit::kFeatures;
  double clearance_mm = 0.5;
  bool marks = false;                    // Crosses in the sheet's margin.
  bool board = false;                    // A registration board's page.
  int png_dpi = 0;                       // 0: none.
  std::string date;
  PrinterMeasure measure;                // Settled by SettleGuideFlags.
};

/// Adds the guide's flags to a command; they are checked when the command line is read.
void AddGuideFlags(CLI::App& command, const std::shared_ptr<GuideFlags>& flags);

/// Finds the printer's profile. Call once before the first guide.
Status SettleGuideFlags(GuideFlags& flags, CommandContext& context);

/// Carries the flags into a request: use, which way round, the date, the pass in words.
void ApplyGuideFlags(const GuideFlags& flags, const Plan& plan, GuideRequest& request);

/// Pages of several sheets, for one PDF of all.
using GuideBook = std::vector<GuidePage>;

/// Draws the guide and writes it with the placements (and `more` files of the caller's)
/// into the folder, all or nothing; says what was written. Adds its pages to `book`.
void WriteGuide(const GuideFlags& flags, const OutputOptions& output, const Plan& plan,
                const std::vector<Placement>& placements, const GuideRequest& request,
                const std::filesystem::path& folder, CommandContext& context, GuideBook* book = nullptr,
                std::vector<std::pair<std::string, std::string>> more = {});

/// Writes guides.pdf: every sheet's pages one after another.
void WriteGuideBook(const GuideBook& book, const OutputOptions& output, CommandContext& context);

}  // namespace truepull

#endif  // TRUEPULL_CLI_GUIDE_FLAGS_H_
