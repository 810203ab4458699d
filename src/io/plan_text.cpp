// SPDX-License-Identifier: Apache-2.0
#include "truepull/plan_text.h"

#include "io/plan_reading.h"
#include "plan/plan_warnings.h"

namespace truepull {

ParsedPlan ReadPlan(const YamlCursor& root) {
  PlanInProgress out;
  if (!root.ExpectMap({"truepull", "title", "units", "sheet", "tile", "plates", "lattice", "edge_colour", "colours",
                       "colour_map", "tolerance", "passes"})) {
    return {};
  }
  const YamlCursor version = root["truepull"];
  if (!version.present()) version.Fail("is missing", "begin the file with: truepull: 1");
  if (version.present() && version.Whole(-1000000, 1000000) != 1) {
    version.Fail("must be 1, not " + version.Found(), "this program reads version 1 of the format");
  }
  // Short, so that a quotation mark that is never closed shows up here.
  if (root["title"].present()) out.plan.title = root["title"].Text(120);
  out.mm_per_unit = root["units"].Choice({"mm", "in"}) == 1 ? kMmPerInch : 1;
  ReadSheet(root.Need("sheet"), out);
  ReadPlates(root, out);
  ReadLattice(root.Need("lattice"), out);
  ReadColours(root, out);
  ReadTolerance(root["tolerance"], out);
  ReadPasses(root["passes"], out);
  if (root.document().fault()) return {};
  return {out.plan, PlanWarnings(out.plan)};
}

Result<ParsedPlan> ParsePlan(std::string_view text, const std::string& name) {
  auto document = YamlDocument::Parse(text, name);
  if (!document) return document.error();
  ParsedPlan parsed = ReadPlan((*document)->Root("plan"));
  if ((*document)->fault()) return *(*document)->fault();
  return parsed;
}

}  // namespace truepull
