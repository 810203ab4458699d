// SPDX-License-Identifier: Apache-2.0
// The plan's later passes, in the order in which they are pulled.
#include <algorithm>

#include "io/nearest_word.h"
#include "io/plan_reading.h"

namespace truepull {
namespace {

// `block` prints several sites at once and says how many, [rows, columns].
void ReadBlock(const YamlCursor& item, Pass& pass) {
  const YamlCursor sites = item["sites"];
  if (pass.plate != PassPlate::kBlock) {
    if (sites.present()) sites.Fail("is given, but the plate is no block", "say plate: block, or leave sites out");
    return;
  }
  if (!sites.present()) return sites.Fail("is missing", "a block prints several sites: sites: [rows, columns]");
  if (!sites.IsList() || sites.size() != 2) {
    return sites.Fail("must be two counts [rows, columns], not " + sites.Found());
  }
  pass.block_rows = sites.Item(0).Whole(1, kMostSites);
  pass.block_columns = sites.Item(1).Whole(1, kMostSites);
}

void ReadRegistersTo(const YamlCursor& at, const std::vector<std::string>& earlier, Pass& pass) {
  if (!at.present()) return;
  pass.registers_to = at.Text(kLongestName);
  if (std::find(earlier.begin(), earlier.end(), pass.registers_to) == earlier.end()) {
    const std::string near = NearestWord(pass.registers_to, earlier);
    at.Fail("names no earlier pass: " + at.Found(),
            near.empty() ? "earlier here: " + ListedWithOr(earlier) : "did you mean " + near + "?");
  }
}

Pass ReadPass(const YamlCursor& item, const std::vector<std::string>& earlier, double mm_per_unit) {
  Pass pass;
  if (!item.ExpectMap({"name", "colour", "opacity", "outline", "plate", "sites", "registers_to", "kind", "pulled"})) {
    return pass;
  }
  const YamlCursor name = item.Need("name"), opacity = item["opacity"], outline = item["outline"];
  pass.name = name.Text(kLongestName);
  if (pass.name == "first") name.Fail("must not be first: that is the plan's own pass");
  if (std::find(earlier.begin(), earlier.end(), pass.name) != earlier.end()) {
    name.Fail("is taken already: " + name.Found(), "give each pass its own name");
  }
  pass.colour = ReadColour(item["colour"]);
  if (opacity.present()) {
    pass.opacity = static_cast<Opacity>(opacity.Choice({"transparent", "half", "opaque"}));
  }
  if (outline.present()) pass.outline = ReadOutline(outline, mm_per_unit);
  pass.plate = static_cast<PassPlate>(item["plate"].Choice({"tile", "block", "sheet"}));
  ReadBlock(item, pass);
  ReadRegistersTo(item["registers_to"], earlier, pass);
  pass.kind = static_cast<PassKind>(item["kind"].Choice({"layer", "key", "reduction", "glaze"}));
  pass.pulled = static_cast<SheetState>(item["pulled"].Choice({"unknown", "dry", "damp"}));
  return pass;
}

}  // namespace

void ReadPasses(const YamlCursor& at, PlanInProgress& out) {
  if (!at.ExpectList(0, 50, "passes")) return;
  std::vector<std::string> earlier{"first"};
  for (std::size_t i = 0; i < at.size(); ++i) {
    out.plan.passes.push_back(ReadPass(at.Item(i), earlier, out.mm_per_unit));
    earlier.push_back(out.plan.passes.back().name);
  }
}

}  // namespace truepull
