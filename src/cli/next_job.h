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
  bool left_handed = false;
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

/// Draws the guide of the first pass into the folder.
void RunFirstPass(const NextOptions& options, CommandContext& context);

/// Places the next pass for one reading and writes into `folder`; its pages go into `book`
/// too where there is one.
void RunNext(const NextOptions& options, const NamedReading& reading,
             const std::filesystem::path& folder, CommandContext& context, GuideBook* book = nullptr);

}  // namespace truepull

#endif  // TRUEPULL_CLI_NEXT_JOB_H_
