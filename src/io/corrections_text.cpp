// SPDX-License-Identifier: Apache-2.0
#include "truepull/corrections_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>

#include "io/plan_reading.h"
#include "io/yaml_cursor.h"

namespace truepull {
namespace {

constexpr NumberRange kNudge{.low = -100, .high = 100, .unit = "mm"};
constexpr NumberRange kNudgeTurn{.low = -180, .high = 180, .unit = "degrees"};

// "C2" -> row 2, column 1: the inverse of SiteLabel.
std::optional<Site> SiteFromLabel(const std::string& label) {
  std::size_t i = 0;
  long row = 0;
  for (; i < label.size() && label[i] >= 'A' && label[i] <= 'Z'; ++i) {
    row = row * 26 + (label[i] - 'A' + 1);
    if (row > 100000) return std::nullopt;
  }
  if (i == 0 || i == label.size() || label.size() > i + 6 || label[i] == '0') return std::nullopt;
  long column = 0;
  for (; i < label.size(); ++i) {
    if (label[i] < '0' || label[i] > '9') return std::nullopt;
    column = column * 10 + (label[i] - '0');
  }
  return Site{static_cast<int>(row - 1), static_cast<int>(column - 1)};
}

// Which site an item is about; a fault and {0, 0} when it does not say.
Site ReadWhere(const YamlCursor& at, const Plan& plan) {
  Site site;
  if (at["site"].present()) {
    if (at["row"].present() || at["column"].present()) {
      at.Fail("names its site twice", "give either site, or row and column");
      return site;
    }
    const std::string label = at["site"].Text(20);
    const auto found = SiteFromLabel(label);
    if (!found) {
      if (!label.empty()) {
        at["site"].Fail("must be a row letter and a column number from 1, such as C2, not " + at["site"].Found());
      }
      return site;
    }
    site = *found;
  } else {
    if (!at["row"].present() && !at["column"].present()) {
      at.Fail("does not say which site it is about", "give site: C2, or row: 2 and column: 1");
      return site;
    }
    site = {at.Need("row").Whole(0, kMostSites), at.Need("column").Whole(0, kMostSites)};
  }
  const int rows = plan.lattice.rows, columns = FileColumns(plan.lattice);
  if (site.row >= rows || site.column >= columns) {
    at.Fail(fmt::format("is about {} (row {}, column {}), which the plan does not have", SiteLabel(site),
                        site.row, site.column),
            fmt::format("the plan goes from A1 to {}", SiteLabel({rows - 1, columns - 1})));
  }
  return site;
}

Correction ReadCorrection(const YamlCursor& at, const Plan& plan) {
  Correction c;
  if (!at.ExpectMap({"site", "row", "column", "state", "nudge", "nudge_turn", "not_a_pull", "action",
                     "accepted", "reason"})) {
    return c;
  }
  c.site = ReadWhere(at, plan);
  if (at["state"].present()) {
    c.state = static_cast<SiteState>(at["state"].Choice({"printed", "weak", "missing"}));
  }
  const YamlCursor nudge = at["nudge"];
  if (nudge.present() && nudge.ExpectList(2, 2, "numbers (x and y)")) {
    c.nudge_mm = {nudge.Item(0).Number(kNudge), nudge.Item(1).Number(kNudge)};
  }
  if (at["nudge_turn"].present()) c.nudge_turn_rad = RadFromDeg(at["nudge_turn"].Number(kNudgeTurn));
  if (at["not_a_pull"].present()) c.not_a_pull = at["not_a_pull"].TrueOrFalse();
  if (at["action"].present()) {
    const std::size_t word = at["action"].Choice({"pull", "strengthen", "leave", "look", "keep turned"});
    // Its own impression says whether it wants strengthening.
    if (word == 4) c.keep_turned = c.accepted = true;
    else c.action = static_cast<Action>(word);
  }
  if (at["accepted"].present()) c.accepted = at["accepted"].TrueOrFalse();
  if (at["reason"].present()) c.reason = at["reason"].Text(500);
  if (c.not_a_pull && c.state && *c.state != SiteState::kMissing) {
    at["state"].Fail(fmt::format("cannot be {} where not_a_pull is true", NameOf(*c.state)), "keep one of them");
  }
  return c;
}

std::vector<Correction> ReadCorrections(const YamlCursor& root, const Plan& plan) {
  std::vector<Correction> out;
  if (!root.ExpectMap({"truepull", "kind", "sites"})) return out;
  if (root.Need("truepull").present() && root["truepull"].Whole(-1000000, 1000000) != 1) {
    root["truepull"].Fail("must be 1, not " + root["truepull"].Found(),
                          "this program reads version 1 of the format");
  }
  if (root["kind"].present() && !root["kind"].IsWord("corrections")) {
    root["kind"].Fail("must be corrections, not " + root["kind"].Found());
  }
  const YamlCursor sites = root.Need("sites");
  if (!sites.present() || !sites.ExpectList(0, kMostSites, "sites")) return out;
  std::map<Site, std::size_t> seen;
  for (std::size_t i = 0; i < sites.size(); ++i) {
    const Correction c = ReadCorrection(sites.Item(i), plan);
    if (root.document().fault()) return out;
    const auto [before, fresh] = seen.emplace(c.site, i);
    if (!fresh) {
      sites.Item(i).Fail(fmt::format("is about {}, as sites[{}] is already", SiteLabel(c.site), before->second),
                         "put both into one");
      return out;
    }
    out.push_back(c);
  }
  return out;
}

}  // namespace

Result<std::vector<Correction>> ParseCorrections(std::string_view text, const std::string& name, const Plan& plan) {
  auto document = YamlDocument::Parse(text, name);
  if (!document) return document.error();
  auto corrections = ReadCorrections((*document)->Root("corrections file"), plan);
  if ((*document)->fault()) return *(*document)->fault();
  return corrections;
}

}  // namespace truepull
