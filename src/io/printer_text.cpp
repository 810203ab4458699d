// SPDX-License-Identifier: Apache-2.0
#include "truepull/printer_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "io/strict_number.h"
#include "io/yaml_cursor.h"

namespace truepull {
namespace {

constexpr double kLeastMm = 150, kMostMm = 250;
constexpr double kFittedShare = 0.02;
constexpr NumberRange kMeasured{.low = kLeastMm, .high = kMostMm, .unit = "mm"};

Error Bad(std::string_view text, const std::string& what) {
  return Error{ErrorCode::kBadArgument, fmt::format("--measured {}: {}", text, what),
               "measure both 200 mm bars of an uncorrected page and give what they are, for example "
               "--measured x=198.5,y=199.2"};
}

}  // namespace

bool PrinterMeasure::ProbablyFitted() const {
  return std::abs(x_mm / 200 - 1) > kFittedShare || std::abs(y_mm / 200 - 1) > kFittedShare;
}

Result<PrinterMeasure> ParseMeasured(std::string_view text) {
  std::optional<double> x, y;
  std::string_view rest = text;
  while (!rest.empty()) {
    const std::size_t comma = std::min(rest.find(','), rest.size());
    const std::string_view part = rest.substr(0, comma);
    rest.remove_prefix(std::min(comma + 1, rest.size()));
    if (part.size() < 3 || part[1] != '=' || (part[0] != 'x' && part[0] != 'y')) {
      return Bad(text, fmt::format("'{}' is not x=... or y=...", part));
    }
    std::optional<double>& target = part[0] == 'x' ? x : y;
    if (target) return Bad(text, fmt::format("{} is given twice", part[0]));
    const auto number = ReadStrictNumber(part.substr(2)).value;
    if (!number) return Bad(text, fmt::format("'{}' is no number", part.substr(2)));
    if (*number < kLeastMm || *number > kMostMm) {
      return Bad(text, fmt::format("{} mm of 200 is too far off to be put right", part.substr(2)));
    }
    target = *number;
  }
  if (!x && !y) return Bad(text, "says nothing");
  return PrinterMeasure{x.value_or(200), y.value_or(200)};
}

Result<PrinterMeasure> ParsePrinter(std::string_view text, const std::string& name) {
  auto document = YamlDocument::Parse(text, name);
  if (!document) return document.error();
  const YamlCursor root = (*document)->Root("printer's profile");
  PrinterMeasure out;
  if (root.ExpectMap({"truepull", "kind", "measured"})) {
    if (root.Need("truepull").present() && root["truepull"].Whole(-1000000, 1000000) != 1) {
      root["truepull"].Fail("must be 1, not " + root["truepull"].Found(), "this program reads version 1 of the format");
    }
    if (root.Need("kind").present() && !root["kind"].IsWord("printer")) {
      root["kind"].Fail("must be printer, not " + root["kind"].Found());
    }
    const YamlCursor measured = root.Need("measured");
    if (measured.present() && measured.ExpectMap({"x", "y"})) {
      out.x_mm = measured.Need("x").Number(kMeasured);
      out.y_mm = measured.Need("y").Number(kMeasured);
    }
  }
  if ((*document)->fault()) return *(*document)->fault();
  return out;
}

std::string WritePrinter(const PrinterMeasure& m) {
  return fmt::format("# What 200 mm on an uncorrected page of this printer measured, mm.\ntruepull: 1\nkind: printer\n"
                     "measured: {{x: {:.3f}, y: {:.3f}}}\n", m.x_mm, m.y_mm);
}

}  // namespace truepull
