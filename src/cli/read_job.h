// SPDX-License-Identifier: Apache-2.0
// What `read` does for one photo: from a photo and a plan to files.
#ifndef TRUEPULL_CLI_READ_JOB_H_
#define TRUEPULL_CLI_READ_JOB_H_

#include <filesystem>
#include <string>
#include <vector>

#include "cli/command_context.h"
#include "truepull/plan.h"
#include "truepull/result.h"

namespace truepull {

struct ReadOptions {
  std::vector<std::string> photos;   // Files or folders as given.
  std::string plan;                  // File.
  SheetState sheet = SheetState::kUnknown;
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

}  // namespace truepull

#endif  // TRUEPULL_CLI_READ_JOB_H_
