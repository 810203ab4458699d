// SPDX-License-Identifier: Apache-2.0
#include "truepull/edition_text.h"

#include <fmt/format.h>

#include <map>
#include <set>

#include "io/yaml_cursor.h"

namespace truepull {
namespace {

constexpr std::size_t kMostSheets = 5000;
constexpr std::size_t kCodeLetters = 60;

void ReadThresholds(const YamlCursor& at, ReviewThresholds& t) {
  if (!at.present() || !at.ExpectMap({"fine", "good", "least", "false_alarms", "blur", "unsure", "tilt", "glare", "weak_share"})) return;
  const auto mm = [&](const char* key, double& value) {
    if (at[key].present()) value = at[key].Number({.low = 0, .high = 100, .open_low = true, .unit = "mm"});
  };
  mm("fine", t.fine_mm), mm("good", t.good_mm), mm("least", t.least_mm), mm("blur", t.blur_mm), mm("unsure", t.unsure_mm);
  if (at["false_alarms"].present()) t.level = at["false_alarms"].Number({.low = 0, .high = 0.2, .open_low = true});
  if (at["tilt"].present()) t.tilt = at["tilt"].Number({.low = 1, .high = 100, .open_low = true});
  if (at["glare"].present()) t.glare = at["glare"].Number({.low = 0, .high = 1, .open_low = true});
  if (at["weak_share"].present()) t.weak_share = at["weak_share"].Number({.low = 0, .high = 1, .open_low = true});
  if (at["good"].present() && at["fine"].present() && t.good_mm < t.fine_mm) {
    at["good"].Fail(fmt::format("must be {:g} (fine) or more, not {}", t.fine_mm, at["good"].Found()));
  }
}

void ReadWeights(const YamlCursor& at, EditionSettings& s) {
  if (!at.present() || !at.ExpectMap({"register", "colour", "coverage"})) return;
  constexpr NumberRange kWeight{.low = 0, .high = 100};
  if (at["register"].present()) s.weight_register = at["register"].Number(kWeight);
  if (at["colour"].present()) s.weight_colour = at["colour"].Number(kWeight);
  if (at["coverage"].present()) s.weight_coverage = at["coverage"].Number(kWeight);
}

void ReadPapers(const YamlCursor& at, EditionSettings& s) {
  if (!at.present() || !at.ExpectMapOfNames()) return;
  for (const std::string& name : at.Keys()) {
    const YamlCursor p = at[name];
    EditionPaper paper;
    paper.name = name;
    if (!p.ExpectMap({"grain", "stretch"})) return;
    if (p["grain"].present()) paper.grain = static_cast<Grain>(p["grain"].Choice({"unknown", "x", "y"}));
    const YamlCursor stretch = p["stretch"];
    if (stretch.present() && stretch.ExpectMap({"along_grain", "across_grain"})) {
      constexpr NumberRange kPercent{.low = -10, .high = 10, .unit = "%"};
      if (stretch["along_grain"].present()) paper.stretch_along_percent = stretch["along_grain"].Number(kPercent);
      if (stretch["across_grain"].present()) paper.stretch_across_percent = stretch["across_grain"].Number(kPercent);
    }
    s.papers.push_back(paper);
  }
}

EditionEntry ReadEntry(const YamlCursor& at) {
  EditionEntry e;
  if (!at.ExpectMap({"code", "photo", "plan", "pass", "paper", "whose", "order", "decision", "number", "date", "note"})) return e;
  if (!at["code"].present() && !at["photo"].present()) {
    at.Fail("does not say which sheet it is about", "give code: or photo:, or both");
    return e;
  }
  const auto text = [&](const char* key, std::string& value, std::size_t most) {
    if (at[key].present()) value = at[key].Text(most);
  };
  text("code", e.code, kCodeLetters), text("photo", e.photo, 300), text("plan", e.plan, 300), text("pass", e.pass, kCodeLetters);
  text("paper", e.paper, kCodeLetters), text("whose", e.whose, kCodeLetters), text("number", e.number, kCodeLetters);
  text("date", e.date, kCodeLetters), text("note", e.note, 500);
  if (at["order"].present()) e.order = at["order"].Whole(1, 1000000);
  if (at["decision"].present()) {
    e.decision = static_cast<Decision>(at["decision"].Choice({"open", "edition", "artist's proof", "reject"}));
  }
  return e;
}

void ReadSheets(const YamlCursor& at, EditionFile& out) {
  if (!at.present() || !at.ExpectList(0, kMostSheets, "sheets")) return;
  std::map<std::string, std::size_t> photos, codes;
  std::map<int, std::size_t> orders;
  for (std::size_t i = 0; i < at.size(); ++i) {
    const YamlCursor item = at.Item(i);
    const EditionEntry e = ReadEntry(item);
    if (at.document().fault()) return;
    if (!e.photo.empty()) {
      const auto [before, fresh] = photos.emplace(e.photo, i);
      if (!fresh) return item["photo"].Fail(fmt::format("stands in sheets[{}] already: {}", before->second, e.photo), "name each photo once");
    }
    if (!e.code.empty()) {
      const auto [before, fresh] = codes.emplace(e.code + '\n' + (e.pass.empty() ? "first" : e.pass), i);
      if (!fresh) {
        return item["code"].Fail(fmt::format("is used by sheets[{}] already: {}", before->second, e.code),
                                 "give every sheet a code of its own; a later pass of the same sheet names its pass");
      }
    }
    if (e.order > 0) {
      const auto [before, fresh] = orders.emplace(e.order, i);
      if (!fresh && (out.sheets[before->second].pass == e.pass)) {
        return item["order"].Fail(fmt::format("is that of sheets[{}] already: {}", before->second, e.order));
      }
    }
    if (!e.paper.empty()) {
      bool known = false;
      for (const EditionPaper& p : out.settings.papers) known = known || p.name == e.paper;
      if (!known) return item["paper"].Fail(fmt::format("is not among papers: {}", e.paper), "describe it under papers:");
    }
    out.sheets.push_back(e);
  }
}

EditionFile ReadEdition(const YamlCursor& root) {
  EditionFile out;
  if (!root.ExpectMap({"truepull", "kind", "title", "proof", "wanted", "free_register", "thresholds", "weights", "papers", "sheets"})) return out;
  if (root.Need("truepull").present() && root["truepull"].Whole(-1000000, 1000000) != 1) {
    root["truepull"].Fail("must be 1, not " + root["truepull"].Found(), "this program reads version 1 of the format");
  }
  if (root["kind"].present() && !root["kind"].IsWord("edition")) root["kind"].Fail("must be edition, not " + root["kind"].Found());
  EditionSettings& s = out.settings;
  if (root["title"].present()) s.title = root["title"].Text(120);
  if (root["proof"].present()) s.proof = root["proof"].Text(kCodeLetters);
  if (root["wanted"].present()) s.wanted = root["wanted"].Whole(1, static_cast<int>(kMostSheets));
  if (root["free_register"].present()) s.free_register = root["free_register"].TrueOrFalse();
  ReadThresholds(root["thresholds"], s.thresholds);
  ReadWeights(root["weights"], s);
  ReadPapers(root["papers"], s);
  if (!root.document().fault()) ReadSheets(root["sheets"], out);
  return out;
}

}  // namespace

Result<EditionFile> ParseEdition(std::string_view text, const std::string& name) {
  auto document = YamlDocument::Parse(text, name);
  if (!document) return document.error();
  EditionFile edition = ReadEdition((*document)->Root("edition file"));
  if ((*document)->fault()) return *(*document)->fault();
  return edition;
}

}  // namespace truepull
