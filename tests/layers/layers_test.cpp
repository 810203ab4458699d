// SPDX-License-Identifier: Apache-2.0
// Reads every #include of src/ and include/: arrows between modules point down only, pure
// modules stay pure, and nobody but io opens a file.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "support/places.h"

namespace {

namespace fs = std::filesystem;
using ::testing::IsEmpty;

// Higher numbers stand on lower ones; names on one number stay apart. Tiling stands on
// lattice: what it hands over are a lattice's steps and cell.
const std::map<std::string, int> kHeight{
    {"result", 0}, {"units", 0},      {"geometry", 1}, {"lattice", 2}, {"colour", 2}, {"tiling", 3},
    {"plan", 4},   {"layout", 5},   {"drift", 5},    {"placement", 6}, {"guide", 7},   {"edition", 7}, {"photo", 8},
    {"draw", 9},   {"pages", 9},    {"detect", 10},  {"render", 10}, {"io", 11},     {"cli", 12}};
constexpr int kHighestPure = 7;

// Public headers whose home cannot be told from their name or from their source file.
const std::map<std::string, std::string> kHomeOfHeader{{"tile_reading", "plan"}, {"picture", "draw"}};

const std::regex& IncludeLine() {
  static const std::regex include(R"(^\s*#\s*include\s*([<"])([^>"]+)[>"])");
  return include;
}

std::string ReadAll(const fs::path& path) {
  std::ifstream in(path);
  return {std::istreambuf_iterator<char>(in), {}};
}

// A source file includes the header that it defines first. So a header's home is the
// module of the source that begins with it; the lowest one, as the others use it only.
std::map<std::string, std::string> HomesBySource() {
  std::map<std::string, std::string> homes;
  const fs::path src = fs::path(truepull::testing::SourceFolder()) / "src";
  for (const auto& entry : fs::recursive_directory_iterator(src)) {
    if (entry.path().extension() != ".cpp") continue;
    const std::string module = fs::relative(entry.path(), src).begin()->string();
    std::istringstream lines(ReadAll(entry.path()));
    std::smatch match;
    std::string line;
    while (std::getline(lines, line) && !std::regex_search(line, match, IncludeLine())) {
    }
    if (match.empty() || kHeight.count(module) == 0) continue;
    const std::string what = match[2];
    if (what.compare(0, 9, "truepull/") != 0) continue;
    const auto [it, fresh] = homes.emplace(fs::path(what).stem().string(), module);
    if (!fresh && kHeight.at(module) < kHeight.at(it->second)) it->second = module;
  }
  return homes;
}

std::string HomeOfHeader(const std::string& stem) {
  static const std::map<std::string, std::string> by_source = HomesBySource();
  if (const auto it = kHomeOfHeader.find(stem); it != kHomeOfHeader.end()) return it->second;
  if (kHeight.count(stem) > 0) return stem;
  // plan_text.h, photo_file.h: texts and files are io's.
  if (stem.size() > 5 && (stem.substr(stem.size() - 5) == "_text" || stem.substr(stem.size() - 5) == "_file")) return "io";
  const auto it = by_source.find(stem);
  return it == by_source.end() ? "" : it->second;
}

// Foreign or standard headers that a pure module has no business with.
const std::vector<std::string> kImpure{"opencv2/", "yaml-cpp/", "CLI/",   "cairo",    "pango",  "qpdf/",  "fstream",
                                       "iostream", "cstdio",    "ctime",  "chrono",   "filesystem", "thread"};
// What a public header may not show: the libraries that stand behind it.
const std::vector<std::string> kHidden{"yaml-cpp/", "CLI/", "cairo", "pango", "qpdf/", "Eigen/", "geos", "ceres/", "fmt/"};

bool BeginsWithAny(const std::string& text, const std::vector<std::string>& beginnings) {
  for (const std::string& b : beginnings) {
    if (text.compare(0, b.size(), b) == 0) return true;
  }
  return false;
}

// What is wrong with one file's includes. `home` is its module, "" for a public header's
// own name to decide.
std::vector<std::string> Faults(const std::string& file, const std::string& home, bool is_public,
                                const std::string& text) {
  std::vector<std::string> faults;
  if (kHeight.count(home) == 0) return {file + ": belongs to no module that this test knows"};
  const int height = kHeight.at(home);
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    std::smatch match;
    if (!std::regex_search(line, match, IncludeLine())) continue;
    const std::string what = match[2];
    std::string other;
    if (what.compare(0, 9, "truepull/") == 0) {
      other = HomeOfHeader(fs::path(what).stem().string());
      if (other.empty()) faults.push_back(file + ": " + what + " belongs to no module that this test knows");
    } else if (match[1] == "\"") {
      const auto slash = what.find('/');
      other = slash == std::string::npos ? home : what.substr(0, slash);
      if (kHeight.count(other) == 0) faults.push_back(file + ": " + what + " is in no module that this test knows");
    }
    if (!other.empty() && kHeight.count(other) > 0) {
      if (other != home && kHeight.at(other) >= height) {
        faults.push_back(file + ": " + home + " may not include " + what + " of " + other);
      }
      continue;
    }
    if (height <= kHighestPure && BeginsWithAny(what, kImpure)) {
      faults.push_back(file + ": " + home + " is pure and may not include " + what);
    }
    if (home != "io" && what == "fstream") faults.push_back(file + ": only io opens files, so no " + what);
    if (is_public && BeginsWithAny(what, kHidden)) faults.push_back(file + ": a public header may not show " + what);
  }
  return faults;
}

TEST(Layers, PointDownOnly) {
  std::vector<std::string> faults;
  std::set<std::string> modules;
  int files = 0;
  const fs::path root(truepull::testing::SourceFolder());
  for (const char* folder : {"src", "include/truepull"}) {
    for (const auto& entry : fs::recursive_directory_iterator(root / folder)) {
      const std::string extension = entry.path().extension().string();
      if (extension != ".h" && extension != ".cpp") continue;
      const bool is_public = std::string(folder) != "src";
      const fs::path inside = fs::relative(entry.path(), root / folder);
      const std::string home = is_public ? HomeOfHeader(inside.stem().string()) : inside.begin()->string();
      modules.insert(home);
      ++files;
      const auto more = Faults((fs::path(folder) / inside).string(), home, is_public, ReadAll(entry.path()));
      faults.insert(faults.end(), more.begin(), more.end());
    }
  }
  EXPECT_THAT(faults, IsEmpty());
  // The walk must really have seen the project.
  EXPECT_GT(files, 60);
  for (const char* module : {"geometry", "lattice", "plan", "drift", "photo", "render", "io", "cli"}) {
    EXPECT_EQ(modules.count(module), 1u) << module;
  }
}

TEST(Layers, AreBrokenByAnUpwardInclude) {
  EXPECT_THAT(Faults("a.cpp", "plan", false, "#include \"drift/seams.h\"\n"),
              testing::ElementsAre("a.cpp: plan may not include drift/seams.h of drift"));
  EXPECT_THAT(Faults("a.h", "geometry", true, "#include \"truepull/plan.h\"\n"),
              testing::ElementsAre("a.h: geometry may not include truepull/plan.h of plan"));
  EXPECT_THAT(Faults("a.cpp", "draw", false, "# include \"pages/page.h\"\n"),
              testing::ElementsAre("a.cpp: draw may not include pages/page.h of pages"));
}

TEST(Layers, AreBrokenByAFileOrAPixelInThePureCore) {
  EXPECT_THAT(Faults("a.cpp", "drift", false, "#include <opencv2/core.hpp>\n"),
              testing::ElementsAre("a.cpp: drift is pure and may not include opencv2/core.hpp"));
  EXPECT_THAT(Faults("a.cpp", "guide", false, "#include <iostream>\n"),
              testing::ElementsAre("a.cpp: guide is pure and may not include iostream"));
  EXPECT_THAT(Faults("a.cpp", "pages", false, "#include <fstream>\n"),
              testing::ElementsAre("a.cpp: only io opens files, so no fstream"));
  EXPECT_THAT(Faults("a.h", "plan", true, "#include <Eigen/Dense>\n"),
              testing::ElementsAre("a.h: a public header may not show Eigen/Dense"));
}

TEST(Layers, AllowWhatLiesBelow) {
  EXPECT_THAT(Faults("a.cpp", "io", false,
                     "#include <fstream>\n#include <yaml-cpp/parser.h>\n#include \"plan/plan_warnings.h\"\n"
                     "#include \"truepull/detect.h\"\n#include \"io/yaml_tree.h\"\n"),
              IsEmpty());
  EXPECT_THAT(Faults("a.cpp", "drift", false, "#include <Eigen/Dense>\n#include <vector>\n"), IsEmpty());
}

}  // namespace
