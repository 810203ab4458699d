// SPDX-License-Identifier: Apache-2.0
// What `next` works from: plan, pass, reading and the printer's word.
#include <algorithm>
#include <cmath>

#include "cli/next_job.h"
#include "truepull/corrections_text.h"
#include "truepull/io.h"
#include "truepull/plan_text.h"
#include "truepull/reading_text.h"

namespace truepull {

namespace fs = std::filesystem;

Result<Plan> LoadPlan(const fs::path& file) {
  const auto text = ReadWholeFile(file, std::size_t{64} << 20);
  if (!text) return text.error();
  auto parsed = ParsePlan(*text, file.filename().string());
  if (!parsed) return parsed.error();
  return parsed->plan;
}

Result<const Pass*> FindPass(const Plan& plan, const std::string& name, bool first_pass) {
  if (first_pass) {
    if (name.empty() || name == "first") return nullptr;
    return Error{ErrorCode::kBadArgument, "--pass " + name + ": without a reading only the first pass can be placed",
                 "leave out --pass, or give the reading that the pass goes on"};
  }
  if (plan.passes.empty()) return nullptr;
  if (name.empty()) return &plan.passes.front();
  std::string known;
  for (const Pass& p : plan.passes) {
    if (p.name == name) return &p;
    known += (known.empty() ? "" : ", ") + p.name;
  }
  return Error{ErrorCode::kBadArgument, "--pass " + name + ": the plan has no pass of this name", "it has: " + known};
}

Result<Plan> WithNewerPlan(const Plan& read, Plan given, const std::string& file) {
  // A lattice that was to be fitted is the reading's.
  if (read.lattice.fit_origin && given.lattice.fit_origin) given.lattice = read.lattice;
  // So is what a plate was found to print.
  for (Plate& plate : given.plates) {
    for (const Plate& was : read.plates) {
      if (plate.prints_measured && was.name == plate.name) plate.prints = was.prints;
    }
  }
  const bool same = read.sheet.width_mm == given.sheet.width_mm && read.sheet.height_mm == given.sheet.height_mm &&
                    AllSites(read.lattice) == AllSites(given.lattice);
  bool same_places = same;
  for (const Site site : same ? AllSites(read.lattice) : std::vector<Site>{}) {
    const Pose a = IdealPose(read.lattice, site), b = IdealPose(given.lattice, site);
    // A reading's own plan has been through a file: the last digit may differ.
    same_places = same_places && Norm(a.at - b.at) < 1e-6 &&
                  std::abs(WrapTurn(a.turn_rad - b.turn_rad)) < 1e-9 &&
                  OutlineAt(read, site).size() == OutlineAt(given, site).size();
  }
  if (!same_places) {
    return Error{ErrorCode::kInvalidFile, file + ": is not the plan that the sheet was read by (sheet, tile or lattice differ)",
                 "read the photo again with this plan, or leave out --plan"};
  }
  return given;
}

Result<LoadedReading> LoadForNext(const NextOptions& options, const NamedReading& named) {
  LoadedReading out;
  const auto text = ReadWholeFile(named.file, std::size_t{64} << 20);
  if (!text) return text.error();
  auto reading = ParseReading(*text, named.shown);
  if (!reading) return reading.error();
  out.reading = std::move(*reading);
  if (!options.plan.empty()) {
    const auto given = LoadPlan(options.plan);
    if (!given) return given.error();
    auto plan = WithNewerPlan(out.reading.plan, *given, fs::path(options.plan).filename().string());
    if (!plan) return plan.error();
    out.reading.plan = *plan;
  }
  // Corrections: the file named, or the one beside the reading.
  fs::path words = options.corrections;
  std::error_code ec;
  if (words.empty() && fs::is_regular_file(named.file.parent_path() / "corrections.yaml", ec)) {
    words = named.file.parent_path() / "corrections.yaml";
  }
  if (words.empty()) return out;
  const auto said = ReadWholeFile(words, std::size_t{16} << 20);
  if (!said) return said.error();
  auto parsed = ParseCorrections(*said, words.filename().string(), out.reading.plan);
  if (!parsed) return parsed.error();
  out.corrections = std::move(*parsed);
  out.corrections_name = words.filename().string();
  return out;
}

}  // namespace truepull
