// SPDX-License-Identifier: Apache-2.0
// The plan's edge colour, body colours, colour map and tolerance.
#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "io/plan_reading.h"

namespace truepull {

std::string ReadColour(const YamlCursor& at) {
  if (!at.present()) return "";
  // An unquoted # begins a comment in YAML, so that the key looks empty.
  const std::string hint = "write it as six digits in quotes, for example \"#5a3a20\"";
  std::string colour = at.IsText() ? at.Text(1000) : "";
  const bool good = colour.size() == 7 && colour[0] == '#' &&
                    std::all_of(colour.begin() + 1, colour.end(),
                                [](unsigned char c) { return std::isxdigit(c) != 0; });
  if (!good) {
    at.Fail((at.Found() == "empty" ? std::string("is empty; it must be") : std::string("must be")) +
                " a colour like \"#5a3a20\"" + (at.Found() == "empty" ? "" : ", not " + at.Found()),
            hint);
    return "";
  }
  std::transform(colour.begin(), colour.end(), colour.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return colour;
}

void ReadColours(const YamlCursor& root, PlanInProgress& out) {
  Plan& plan = out.plan;
  plan.edge_colour = ReadColour(root["edge_colour"]);
  const YamlCursor colours = root["colours"], map = root["colour_map"];
  if (colours.ExpectList(1, 64, "colours")) {
    for (std::size_t i = 0; i < colours.size(); ++i) plan.colours.push_back(ReadColour(colours.Item(i)));
  }
  if (!map.ExpectList(1, kMostSites, "rows")) return;
  if (!colours.present()) return map.Fail("is given without colours", "list the colours that it counts, from 0");
  for (std::size_t r = 0; r < map.size(); ++r) {
    const YamlCursor row = map.Item(r);
    std::vector<int>& indices = plan.colour_map.emplace_back();
    if (!row.ExpectList(1, kMostSites, "colours")) return;
    for (std::size_t c = 0; c < row.size(); ++c) {
      const YamlCursor at = row.Item(c);
      const int index = at.Whole(-1000000, 1000000);
      if (index < 0 || index >= static_cast<int>(plan.colours.size())) {
        const std::size_t last = plan.colours.size() - 1;
        return at.Fail(fmt::format("must be {}, not {}", last == 0 ? "0" : fmt::format("0 to {}", last), index),
                       "it counts the colours from 0");
      }
      indices.push_back(index);
    }
  }
}

void ReadTolerance(const YamlCursor& at, PlanInProgress& out) {
  if (!at.ExpectMap({"shift", "turn"})) return;
  const YamlCursor shift = at["shift"], turn = at["turn"];
  Tolerance& tolerance = out.plan.tolerance;
  if (shift.present()) {
    tolerance.shift_mm = ReadLength(shift, out.mm_per_unit, {.low = 0, .high = 100, .open_low = true});
  }
  if (turn.present()) {
    tolerance.turn_rad = RadFromDeg(turn.Number({.low = 0, .high = 180, .open_low = true, .unit = "degrees"}));
  }
}

}  // namespace truepull
