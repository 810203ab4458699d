// SPDX-License-Identifier: Apache-2.0
// What `read` does for one photo: from a photo and a plan to files.
#ifndef TRUEPULL_CLI_READ_JOB_H_
#define TRUEPULL_CLI_READ_JOB_H_

#include <filesystem>
#include <string>
#include <vector>

#include "cli/command_context.h"
#include "truepull/pass_register.h"
#include "truepull/plan.h"
#include "truepull/result.h"

namespace truepull {

struct ReadOptions {
  std::vector<std::string> photos;   // Files or folders as given.
  std::string plan;                  // File.
  SheetState sheet = SheetState::kUnknown;
  std::string pass;                      // A later pass to measure; empty: the first.
  std::vector<std::string> before;       // Readings of earlier passes of the same sheet.
  OutputOptions out;
};

/// A photo's file and the name that its results go by.
struct NamedPhoto {
  std::filesystem::path file;
  std::string name;
};

struct PhotoList {
  std::vector<NamedPhoto> photos;
  bool by_name = false;              // Results go into DIR/<name>/.
};

/// The photos that files and folders stand for; a folder's in order of name.
Result<PhotoList> PhotosIn(const std::vector<std::string>& given);

enum class ReadOutcome { kWell, kLook, kFailed };

/// Reads one photo and writes into `folder`; says what was found, wrote or went wrong.
/// Leaves no file behind when it fails.
ReadOutcome RunRead(const ReadOptions& options, const Plan& plan, const NamedPhoto& photo,
                    const std::filesystem::path& folder, CommandContext& context);

/// The plan as a later pass shows it: its outline where it has its own, its colour on edge and body. The
/// plan itself for the first. Fails with kBadArgument when the plan has no such pass.
Result<Plan> PlanOfPass(const Plan& plan, const std::string& pass);

/// How the reading sits on the earlier ones: register.csv, and sentences for the terminal. Fails when a
/// file cannot be read, is of another plan, or is of this same pass.
struct RegisterFiles {
  std::string csv;
  std::vector<std::string> lines;
};
Result<RegisterFiles> CompareWithBefore(const Reading& reading, const std::vector<std::string>& before);

}  // namespace truepull

#endif  // TRUEPULL_CLI_READ_JOB_H_
