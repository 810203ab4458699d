// SPDX-License-Identifier: Apache-2.0
#include "io/colours_text.h"

#include "geometry/fixed_text.h"
#include "io/plan_reading.h"

namespace truepull {
namespace {

constexpr std::size_t kMostRegions = 64, kMostLoops = 10000, kMostPoints = 100000;
constexpr NumberRange kShare{.low = 0, .high = 1};

// A tenth of a millimetre on the sheet: squares of half a millimetre tell no more.
std::string LoopsText(const std::vector<Outline>& loops, const std::string& indent) {
  std::string out = "[";
  for (std::size_t k = 0; k < loops.size(); ++k) {
    out += k == 0 ? "[" : ",\n" + indent + " [";
    for (std::size_t i = 0; i < loops[k].size(); ++i) {
      out += fmt::format("{}[{}, {}]", i == 0 ? "" : i % 12 == 0 ? ",\n" + indent + "  " : ", ", Fixed(loops[k][i].x, 1), Fixed(loops[k][i].y, 1));
    }
    out += "]";
  }
  return out + "]";
}

std::string Three(const Lab& lab) { return fmt::format("[{}, {}, {}]", Fixed(lab.L, 2), Fixed(lab.a, 2), Fixed(lab.b, 2)); }

std::vector<Outline> ReadLoops(const YamlCursor& at) {
  std::vector<Outline> loops;
  if (!at.present() || !at.ExpectList(0, kMostLoops, "outlines")) return loops;
  for (std::size_t k = 0; k < at.size(); ++k) {
    const YamlCursor loop = at.Item(k);
    if (!loop.ExpectList(3, kMostPoints, "points")) return loops;
    Outline& outline = loops.emplace_back();
    for (std::size_t i = 0; i < loop.size(); ++i) outline.push_back(ReadPoint(loop.Item(i), 1, 2 * kLargestSheetMm));
  }
  return loops;
}

Lab ReadThree(const YamlCursor& at, double low) {
  double v[3] = {0, 0, 0};
  if (at.present() && at.ExpectList(3, 3, "numbers")) {
    for (std::size_t i = 0; i < 3; ++i) v[i] = at.Item(i).Number({.low = low, .high = 500});
  }
  return {v[0], v[1], v[2]};
}

ColourRegion ReadRegion(const YamlCursor& at, const Plan& plan) {
  ColourRegion r;
  if (!at.ExpectMap({"kind", "area", "lab", "sd", "colour", "outlines"})) return r;
  r.kind = static_cast<RegionKind>(at.Need("kind").Choice({"body", "edge", "other", "bare", "drawing"}));
  r.area_mm2 = at.Need("area").Number({.low = 0, .high = 1e7, .unit = "mm2"});
  r.lab = ReadThree(at.Need("lab"), -500);
  r.sd = ReadThree(at.Need("sd"), 0);
  const YamlCursor colour = at["colour"];
  if (colour.present() && !colour.IsWord("unknown")) {
    if (plan.colours.empty()) colour.Fail("has no meaning: the plan names no colours");
    else r.colour = colour.Whole(0, static_cast<int>(plan.colours.size()) - 1);
  }
  r.outlines = ReadLoops(at["outlines"]);
  return r;
}

}  // namespace

std::string ColoursText(const Reading& reading) {
  const SheetReading& sheet = reading.sheet;
  const bool named = reading.pass == "first" && !reading.plan.colours.empty();
  std::string out;
  if (!sheet.colours.empty()) {
    out +=
        "regions:  # the colours inside each outline: mm on the sheet, mm2; lab and its spread (sd) over the paper's own\n"
        "  # white; cover: tenths that carry colour, in squares of `cell` mm over the tile's box\n";
    for (const PullColours& p : sheet.colours) {
      out += fmt::format("  - {{site: {}, charge: {}, left_out: {}, overlapped: {}, cell: {},\n     cover: [", SiteLabel(p.site), NameOf(p.charge),
                         Fixed(p.left_out, 4), Fixed(p.overlapped, 4), Fixed(p.cell_mm, 1));
      for (std::size_t i = 0; i < p.cover.size(); ++i) out += fmt::format("{}\"{}\"", i == 0 ? "" : ", ", p.cover[i]);
      out += "],\n     colours: [";
      for (std::size_t i = 0; i < p.regions.size(); ++i) {
        const ColourRegion& r = p.regions[i];
        out += fmt::format("{}{{kind: {}, area: {}, lab: {}, sd: {}", i == 0 ? "" : ",\n       ", NameOf(r.kind), Fixed(r.area_mm2, 1), Three(r.lab), Three(r.sd));
        if (r.colour >= 0) out += fmt::format(", colour: {}", r.colour);
        else if (named && (r.kind == RegionKind::kBody || r.kind == RegionKind::kOther)) out += ", colour: unknown";
        if (!r.outlines.empty()) out += ",\n        outlines: " + LoopsText(r.outlines, "         ");
        out += "}";
      }
      out += "]}\n";
    }
  }
  if (!sheet.drawings.empty()) {
    out += "drawings:  # lines that all pulls of a plate have, about its reference point, as printed, mm\n";
    for (const PlateDrawing& d : sheet.drawings) {
      out += fmt::format("  - {{plate: {}, mirrored: {}, outlines: {}}}\n", d.plate, d.mirrored, LoopsText(d.outlines, "    "));
    }
  }
  return out;
}

std::vector<PullColours> ReadPullColours(const YamlCursor& at, const Plan& plan, const std::vector<SiteReading>& sites) {
  std::vector<PullColours> out;
  if (!at.present()) return out;
  std::vector<Site> found;
  for (const SiteReading& s : sites) {
    if (s.state != SiteState::kMissing) found.push_back(s.site);
  }
  if (!at.ExpectList(found.size(), found.size(), "pulls, as many as were found")) return out;
  for (std::size_t i = 0; i < found.size(); ++i) {
    const YamlCursor item = at.Item(i);
    if (!item.ExpectMap({"site", "charge", "left_out", "overlapped", "cell", "cover", "colours"})) return out;
    PullColours p;
    p.site = found[i];
    if (const std::string label = item.Need("site").Text(20); label != SiteLabel(p.site)) {
      item["site"].Fail("must be " + SiteLabel(p.site) + ", not " + label, "every site that is not missing stands here once, row by row");
      return out;
    }
    p.charge = static_cast<Charge>(item.Need("charge").Choice({"full", "ghost", "weak"}));
    p.left_out = item.Need("left_out").Number(kShare);
    p.overlapped = item.Need("overlapped").Number(kShare);
    p.cell_mm = item.Need("cell").Number({.low = 0, .high = 1000, .unit = "mm"});
    const YamlCursor cover = item.Need("cover"), colours = item.Need("colours");
    if (cover.present() && cover.ExpectList(0, 100, "rows")) {
      for (std::size_t k = 0; k < cover.size(); ++k) {
        const std::string& row = p.cover.emplace_back(cover.Item(k).Text(100));
        if (row.find_first_not_of(".0123456789") != std::string::npos) cover.Item(k).Fail("must hold digits and dots only, not " + row);
      }
    }
    if (colours.present() && colours.ExpectList(0, kMostRegions, "colours")) {
      for (std::size_t k = 0; k < colours.size(); ++k) p.regions.push_back(ReadRegion(colours.Item(k), plan));
    }
    out.push_back(std::move(p));
  }
  return out;
}

std::vector<PlateDrawing> ReadDrawings(const YamlCursor& at, const Plan& plan) {
  std::vector<PlateDrawing> out;
  if (!at.present() || !at.ExpectList(0, 1000, "drawings")) return out;
  for (std::size_t i = 0; i < at.size(); ++i) {
    const YamlCursor item = at.Item(i);
    if (!item.ExpectMap({"plate", "mirrored", "outlines"})) return out;
    PlateDrawing d;
    d.plate = item.Need("plate").Whole(0, static_cast<int>(plan.plates.size()) - 1);
    d.mirrored = item.Need("mirrored").TrueOrFalse();
    d.outlines = ReadLoops(item.Need("outlines"));
    out.push_back(std::move(d));
  }
  return out;
}

}  // namespace truepull
