// SPDX-License-Identifier: Apache-2.0
// What `read` does for one photo: from a photo and a plan to files.
#ifndef TRUEPULL_CLI_READ_JOB_H_
#define TRUEPULL_CLI_READ_JOB_H_

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "cli/command_context.h"
#include "cli/plan_choice.h"
#include "truepull/pass_register.h"
#include "truepull/plan.h"
#include "truepull/result.h"

namespace truepull {

struct ReadOptions {
  std::vector<std::string> photos;   // Files or folders as given.
  std::vector<std::string> plans;    // Files; each photo gets the one that fits.
  SheetState sheet = SheetState::kUnknown;
  std::string pass;                      // A pass to measure; empty: its card's, else the first.
  std::vector<std::string> before;       // Readings of earlier passes of the same sheet.
  bool lines = true;                     // Lines round every colour in picture.png.
  SheetPlaceBy place_by;                 // Given points are of one photo.
  std::string beneath;                   // The photo that the last of them was made from; empty: looked for.
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

/// "CODE/PASS" of the sheet cards seen so far, and the photo of each.
using UsedCodes = std::map<std::string, std::string>;

/// Reads one photo and writes its results; says what was found, wrote or went wrong. They go into
/// the output folder itself, or, where `used` is given (several photos), into CODE/PASS/ in it by the
/// photo's sheet card, into NAME/ without one. Leaves no file behind when it fails.
ReadOutcome RunRead(const ReadOptions& options, const std::vector<NamedPlan>& plans, const NamedPhoto& photo, UsedCodes* used,
                    CommandContext& context);

/// The readings named by --before, in the order of the passes. Fails when one cannot be read, is of another
/// plan, or is of this same pass.
Result<std::vector<Reading>> LoadBefore(const ReadOptions& options, const Plan& plan, const std::string& pass);

/// Measures a later pass against the passes beneath it, and says in `lines` what it was held against: the photo of the
/// last reading (looked for, by its contents, beside this photo and beside the readings), or a drawing of
/// the readings; where that would not do (the pass has no outline of its own, so that its edges lie on those
/// beneath) the photo as it is. The sheet is as it is in this photo: grown or shrunk since the earlier reading,
/// where both states and the paper's stretch are known. Fails as MeasureByPlan does, when the photo shows
/// another sheet, and when a photo that was named is not the readings'.
Result<Reading> MeasureOnBefore(const ReadOptions& options, const Photo& photo, const std::filesystem::path& file, const Plan& plan,
                                const std::string& pass, const std::vector<Reading>& before, std::vector<std::string>& lines);

/// How the reading sits on the earlier ones: register.csv, and sentences for the terminal.
struct RegisterFiles {
  std::string csv;
  std::vector<std::string> lines;
};
RegisterFiles CompareWithBefore(const Reading& reading, const std::vector<Reading>& before);

}  // namespace truepull

#endif  // TRUEPULL_CLI_READ_JOB_H_
