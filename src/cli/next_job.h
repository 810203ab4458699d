// SPDX-License-Identifier: Apache-2.0
// What `next` does for one sheet: from a reading or a plan to files.
#ifndef TRUEPULL_CLI_NEXT_JOB_H_
#define TRUEPULL_CLI_NEXT_JOB_H_

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "cli/command_context.h"
#include "cli/guide_flags.h"
#include "truepull/guide.h"
#include "truepull/drift.h"
#include "truepull/placement.h"
#include "truepull/plan.h"
#include "truepull/result.h"

namespace truepull {

struct NextOptions {
  std::vector<std::string> readings;     // Files or folders as given.
  std::string plan;                      // File; may be empty.
  std::string corrections;               // File; may be empty.
  std::optional<SheetState> pull;        // As given.
  std::string pass;                      // Name; may be empty.
  std::shared_ptr<GuideFlags> guide = std::make_shared<GuideFlags>();  // How it is drawn.
  double favour = 0;                     // 0 register ... 1 fit.
  bool lattice = false;                  // --favour lattice.
  double trap_mm = 0;
  PullOrderRequest times;                // Of the pull schedule.
  double damp_every_min = 0, lesson_min = 0;  // 0: not given.
  std::string photo;                     // For the preview; may be empty.
  bool finish = false;                   // The rest of the pass that was read.
  bool stretch_ladder = false;           // The guide in lettered steps of dampness.
  bool together = false;                 // One setting for all the readings.
  std::optional<TickMeasure> ticks;
  double ticks_before_mm = 200;
  double spread_mm = 0;                  // sd of one placement, for the trap; 0: as measured.
  double closes = 0;                     // 0.95 or 0.99: work out a trap; 0: none asked.
  bool choke = false;                    // The trap is taken from this pass's plate.
  OutputOptions out;
};

/// A reading's file and the name its results go by.
struct NamedReading {
  std::filesystem::path file;
  std::string name;
  std::string shown;                     // What messages call the file.
};

struct ReadingList {
  std::vector<NamedReading> readings;
  bool by_name = false;                  // Results go into DIR/<name>/.
};

/// The readings that files and folders stand for, in order of name: a folder stands for
/// its own reading.yaml, or else for the reading.yaml of each folder in it and every
/// other .yaml in it that is no plan and no corrections.
Result<ReadingList> ReadingsIn(const std::vector<std::string>& given);

/// The two extremes and the chosen middle side by side, a few lines for the terminal: how far
/// plates lie from their impressions, and what gaps and overlaps are left.
std::vector<std::string> OutlookLines(const NextPass& next, const NextOptions& options);

Result<Plan> LoadPlan(const std::filesystem::path& file);

/// The pass meant: the one named, or the first later one; null where a plan has none.
Result<const Pass*> FindPass(const Plan& plan, const std::string& name, bool first_pass);

/// A newer plan for a reading: its words and figures may have changed, its places not.
Result<Plan> WithNewerPlan(const Plan& read, Plan given, const std::string& file);

/// A reading with its (or the newer) plan, and the printer's word on it.
struct LoadedReading {
  Reading reading;
  std::vector<Correction> corrections;
  std::string corrections_name;          // Of their file; empty without one.
};
Result<LoadedReading> LoadForNext(const NextOptions& options, const NamedReading& named);

/// What a part of the job has to say, and the files that it adds.
struct JobFiles {
  std::vector<std::string> lines;
  std::vector<std::pair<std::string, std::string>> files;
};
/// The trap asked for and the plates' templates with it. Nothing when none was.
Result<JobFiles> MakeTrap(const NextOptions& options, const Plan& plan, const Pass* pass, const DriftReport* drift);

/// What the pass's colour will do: what to say, colours.csv, and with --photo preview.png. Nothing
/// where the plan does not give the pass a colour and an opacity, unless a preview is asked for.
Result<JobFiles> MakeColours(const NextOptions& options, const Reading& reading, const Pass* pass,
                              const std::vector<Placement>& placements, const PullState& state);

/// With --stretch-ladder: the guide in lettered steps of dampness, and the ladder.
Result<JobFiles> MakeLadder(const NextOptions& options, const Reading& reading, const std::vector<Correction>& corrections,
                            NextPassRequest wanted, GuideRequest request);

/// The order of pulling as a page.
Result<JobFiles> MakeSchedule(const NextOptions& options, const Plan& plan, const std::string& pass_name, bool first_colours,
                               std::vector<Placement>& placements);

/// How stops or pins at the sheet's corners must go so that a block that is left where it is
/// prints moved by `move` on the sheet.
std::vector<std::string> StopLines(const Plan& plan, const RigidMove& move);

/// One setting for a run of sheets.
void RunTogether(const NextOptions& options, const std::vector<NamedReading>& readings, CommandContext& context);

/// Draws the guide of the first pass into the folder.
void RunFirstPass(const NextOptions& options, CommandContext& context);

/// Places the next pass for one reading and writes into `folder`; its pages go into `book`
/// too where there is one.
void RunNext(const NextOptions& options, const NamedReading& reading,
             const std::filesystem::path& folder, CommandContext& context, GuideBook* book = nullptr);

}  // namespace truepull

#endif  // TRUEPULL_CLI_NEXT_JOB_H_
