// SPDX-License-Identifier: Apache-2.0
#include "truepull/paper_size.h"

#include <algorithm>
#include <cctype>

#include "truepull/units.h"

namespace truepull {
namespace {

void AddHalvings(std::vector<PaperSize>& sizes, const std::string& series, int short_mm, int long_mm) {
  for (int n = 0; n <= 10; ++n) {
    sizes.push_back({series + std::to_string(n), static_cast<double>(short_mm), static_cast<double>(long_mm)});
    const int half = long_mm / 2;  // Rounded down, ISO 216.
    long_mm = short_mm;
    short_mm = half;
  }
}

std::vector<PaperSize> AllSizes() {
  std::vector<PaperSize> sizes;
  AddHalvings(sizes, "A", 841, 1189);
  AddHalvings(sizes, "B", 1000, 1414);
  // Untrimmed, ISO 217.
  sizes.insert(sizes.end(), {{"RA0", 860, 1220}, {"RA1", 610, 860}, {"RA2", 430, 610},
                             {"SRA0", 900, 1280}, {"SRA1", 640, 900}, {"SRA2", 450, 640},
                             {"SRA3", 320, 450}});
  const auto inches = [&](const char* name, double short_in, double long_in) {
    sizes.push_back({name, short_in * kMmPerInch, long_in * kMmPerInch});
  };
  inches("letter", 8.5, 11);
  inches("legal", 8.5, 14);
  inches("tabloid", 11, 17);
  inches("ledger", 11, 17);
  inches("ANSI A", 8.5, 11);  // ASME Y14.1.
  inches("ANSI B", 11, 17);
  inches("ANSI C", 17, 22);
  inches("ANSI D", 22, 34);
  inches("ANSI E", 34, 44);
  inches("Arch A", 9, 12);
  inches("Arch B", 12, 18);
  inches("Arch C", 18, 24);
  inches("Arch D", 24, 36);
  inches("Arch E", 36, 48);
  // Art sheets and their halves and quarters: common practice, no standard.
  inches("22x30", 22, 30);
  inches("15x22", 15, 22);
  inches("11x15", 11, 15);
  inches("9x12", 9, 12);
  inches("11x14", 11, 14);
  inches("12x18", 12, 18);
  inches("18x24", 18, 24);
  inches("20x26", 20, 26);
  return sizes;
}

std::string Plain(std::string_view name) {
  std::string plain;
  for (const char c : name) {
    if (c != ' ' && c != '-') plain += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  }
  return plain;
}

}  // namespace

const std::vector<PaperSize>& PaperSizes() {
  static const std::vector<PaperSize> sizes = AllSizes();
  return sizes;
}

std::optional<PaperSize> FindPaperSize(std::string_view name) {
  const std::string wanted = Plain(name);
  for (const PaperSize& size : PaperSizes()) {
    if (Plain(size.name) == wanted) return size;
  }
  return std::nullopt;
}

}  // namespace truepull
