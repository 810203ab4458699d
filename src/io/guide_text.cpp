// SPDX-License-Identifier: Apache-2.0
#include "truepull/guide_text.h"

#include <set>

#include "io/yaml_cursor.h"

namespace truepull {
namespace {

constexpr std::size_t kMostMarks = 2000000;

void ReadMark(const YamlCursor& at, std::set<std::string>& groups) {
  if (!at.ExpectMap({"role", "group", "points", "closed", "filled", "line", "dash", "drawn", "text", "at", "cap", "anchor", "turn"})) {
    return;
  }
  if (at.Need("role").present()) at["role"].Text(40);
  if (at["group"].present()) {
    const std::string group = at["group"].Text(80);
    if (group.rfind("site-", 0) == 0) groups.insert(group);
  }
  if (!at["points"].present() && !at["text"].present()) at.Fail("has neither points nor text");
}

}  // namespace

Result<GuideFacts> CheckGuideYaml(std::string_view text, const std::string& name) {
  auto document = YamlDocument::Parse(text, name);
  if (!document) return document.error();
  const YamlCursor root = (*document)->Root("guide");
  GuideFacts out;
  std::set<std::string> groups;
  if (root.ExpectMap({"truepull", "kind", "title", "use", "face", "units", "sheet", "pages", "marks"})) {
    if (root.Need("truepull").present() && root["truepull"].Whole(-1000000, 1000000) != 1) {
      root["truepull"].Fail("must be 1, not " + root["truepull"].Found(), "this program reads version 1 of the format");
    }
    if (root.Need("kind").present() && !root["kind"].IsWord("guide")) root["kind"].Fail("must be guide, not " + root["kind"].Found());
    if (root.Need("use").present()) out.use = root["use"].Text(40);
    if (root.Need("face").present()) out.mirrored = root["face"].Choice({"printed", "mirrored"}) == 1;
    const YamlCursor pages = root.Need("pages"), marks = root.Need("marks");
    if (pages.present() && pages.ExpectList(1, 100000, "pages")) out.pages = pages.size();
    if (marks.present() && marks.ExpectList(1, kMostMarks, "marks")) {
      out.marks = marks.size();
      for (std::size_t i = 0; i < marks.size() && !(*document)->fault(); ++i) ReadMark(marks.Item(i), groups);
    }
  }
  if ((*document)->fault()) return *(*document)->fault();
  out.sites = groups.size();
  return out;
}

}  // namespace truepull
