// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <system_error>

#include "cli/next_job.h"

namespace truepull {
namespace {

namespace fs = std::filesystem;

// A file called reading.yaml goes by its folder's name.
std::string NameFor(const fs::path& file) {
  if (file.filename() != "reading.yaml") return file.stem().string();
  const fs::path folder = fs::absolute(file).lexically_normal().parent_path();
  return folder.filename().empty() ? "reading" : folder.filename().string();
}

std::vector<fs::path> FilesIn(const fs::path& folder) {
  std::error_code ec;
  if (fs::is_regular_file(folder / "reading.yaml", ec)) return {folder / "reading.yaml"};
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(folder, ec)) {
    const fs::path& p = entry.path();
    if (entry.is_directory(ec)) {
      if (fs::is_regular_file(p / "reading.yaml", ec)) files.push_back(p / "reading.yaml");
    } else if (p.extension() == ".yaml" && p.filename() != "plan.yaml" &&
               p.filename() != "corrections.yaml" && p.filename() != "guide.yaml" && p.filename().string()[0] != '.') {
      files.push_back(p);
    }
  }
  std::sort(files.begin(), files.end());
  return files;
}

}  // namespace

Result<ReadingList> ReadingsIn(const std::vector<std::string>& given) {
  ReadingList out;
  out.by_name = given.size() > 1;
  std::map<std::string, int> used;
  for (const std::string& word : given) {
    std::error_code ec;
    std::vector<fs::path> files{fs::path(word)};
    if (fs::is_directory(word, ec)) {
      files = FilesIn(word);
      if (files.size() != 1 || files[0].parent_path() != fs::path(word)) out.by_name = true;
      if (files.empty()) {
        return Error{ErrorCode::kUnreadableFile, word + ": holds no reading.yaml, nor folders with one",
                     "give a reading.yaml, or the folder that `truepull read` wrote into"};
      }
    }
    for (const fs::path& file : files) {
      std::string name = NameFor(file);
      const int before = used[name]++;
      if (before > 0) name = fmt::format("{}-{}", name, before + 1);
      out.readings.push_back({file, name, file.filename().string()});
    }
  }
  // Files that are all called reading.yaml are told apart by their folder.
  if (out.by_name) {
    for (NamedReading& r : out.readings) {
      if (r.shown == "reading.yaml") r.shown = r.name + "/reading.yaml";
    }
  }
  return out;
}

}  // namespace truepull
