// SPDX-License-Identifier: Apache-2.0
#include "cli/layout_job.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <map>

#include "io/strict_number.h"
#include "truepull/cell_fit.h"
#include "truepull/drawing_file.h"
#include "truepull/pages.h"
#include "truepull/paper_size.h"
#include "truepull/plan_text.h"
#include "truepull/site_colours.h"
#include "truepull/svg_outline.h"
#include "truepull/tile_text.h"
#include "truepull/units.h"

namespace truepull {
namespace {

Error Bad(std::string message, std::string hint = "") {
  return {ErrorCode::kBadArgument, std::move(message), std::move(hint)};
}

// Whether a YAML text has a key at the beginning of a line.
bool HasOuterKey(std::string_view text, std::string_view key) {
  const std::string with_colon = std::string(key) + ":";
  return text.substr(0, with_colon.size()) == with_colon || text.find("\n" + with_colon) != std::string_view::npos;
}

// The repeat of a plan whose sheet is laid out anew: turns and stagger become cell and steps.
void TakeLattice(const Plan& plan, LayoutRequest& request) {
  const Lattice& l = plan.lattice;
  request.plates = plan.plates;
  request.cell.clear();
  for (std::size_t k = 0; k < l.turns_rad.size(); ++k) {
    for (CellMember m : l.cell) {
      m.turn_rad = WrapTurn(m.turn_rad + l.turns_rad[k]);
      m.at = m.at + static_cast<double>(k) * l.across;
      request.cell.push_back(m);
    }
  }
  request.steps = {static_cast<double>(l.turns_rad.size()) * l.across, l.down};
  if (l.stagger_rows != 0) request.steps.down = l.down + l.stagger_rows * l.across;
  if (l.stagger_columns != 0) request.steps.across = l.across + l.stagger_columns * l.down;
}

Status ReadInput(std::string_view text, const std::string& name, const std::filesystem::path& folder, LayoutRequest& request, Plan& base) {
  if (!LooksLikeSvg(text) && (HasOuterKey(text, "sheet") || HasOuterKey(text, "plates"))) {
    const auto parsed = ParsePlan(text, name);
    if (!parsed) return parsed.error();
    base = parsed->plan;
    if (const Status ok = LoadDrawings(folder, name, base); !ok) return ok.error();
    const Lattice& l = base.lattice;
    if (l.turns_rad.size() > 1 && l.stagger_rows + l.stagger_columns != 0) {
      return Error{ErrorCode::kInvalidFile, name + ": a plan with both turns and stagger cannot be laid out anew", "write the turned tiles as lattice.cell"};
    }
    if (std::abs(std::abs(l.stagger_rows + l.stagger_columns) - 0.5) > 1e-9 && l.stagger_rows + l.stagger_columns != 0) {
      return Error{ErrorCode::kInvalidFile, name + ": only a stagger of half a step makes a lattice that can be laid out anew", ""};
    }
    TakeLattice(base, request);
    request.sheet = base.sheet;
    return Done{};
  }
  const auto input = LooksLikeSvg(text) ? ParseSvgOutline(text, name) : ParseTile(text, name);
  if (!input) return input.error();
  auto tile = input->base ? BuildTile(*input->base) : RepeatOf(input->outline, input->claimed);
  if (!tile) {
    Error e = tile.error();
    if (e.message.rfind(name, 0) != 0) e.message = name + ": " + e.message;
    return e;
  }
  Plate plate;
  plate.outline = tile->outline;
  plate.drawn = input->drawing;
  if (!input->drawing_file.empty()) {
    auto lines = LoadDrawing(folder, input->drawing_file, name);
    if (!lines) return lines.error();
    plate.drawn = *std::move(lines);
  }
  if (!plate.drawn.empty()) plate.drawing = "drawing.svg";
  request.plates = {plate};
  request.steps = tile->steps;
  request.cell = tile->cell;
  base.title = input->title;
  return Done{};
}

Result<std::string> ColourOf(std::string text) {
  if (text.empty() || text[0] != '#') text = "#" + text;
  std::transform(text.begin(), text.end(), text.begin(), [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  if (text.size() != 7 || !std::all_of(text.begin() + 1, text.end(), [](unsigned char c) { return std::isxdigit(c) != 0; })) {
    return Bad(fmt::format("'{}' is no colour", text), "write six digits in quotes, for example \"#5a3a20\"");
  }
  return text;
}

std::vector<std::string> NamesOf(const std::vector<std::string>& colours) {
  std::vector<std::string> names;
  std::map<std::string, int> times, seen;
  for (const std::string& c : colours) ++times[ColourWords(c)];
  for (const std::string& c : colours) {
    const std::string words = ColourWords(c);
    names.push_back(times[words] == 1 ? words : fmt::format("{} {}", words, ++seen[words]));
  }
  return names;
}

Status Apply(const LayoutWishes& w, LayoutRequest& request) {
  if (!w.sheet.empty()) {
    const auto size = ParseSheetSize(w.sheet);
    if (!size) return size.error();
    request.sheet.width_mm = size->width_mm;
    request.sheet.height_mm = size->height_mm;
  }
  if (request.sheet.width_mm == 0) return Bad("no sheet is given", "say --sheet A3, or --sheet 420x297 in mm");
  request.margin_mm = w.margin_mm;
  for (const RepeatKind kind : {RepeatKind::kOwn, RepeatKind::kStraight, RepeatKind::kHalfDrop, RepeatKind::kBrick}) {
    if (w.repeat == NameOf(kind)) request.repeat = kind;
  }
  request.turn_rad = std::nullopt;
  if (w.turn != "best") {
    const auto deg = ReadStrictNumber(w.turn).value;
    if (!deg || std::abs(*deg) > 360) return Bad(fmt::format("--turn must be degrees or best, not '{}'", w.turn));
    request.turn_rad = WrapTurn(RadFromDeg(*deg));
  }
  request.rows = w.rows;
  request.columns = w.columns;
  if (!w.grain.empty()) request.sheet.grain = w.grain == "x" ? Grain::kX : Grain::kY;
  if (!w.stretch_percent.empty()) {
    request.sheet.stretch_along_percent = w.stretch_percent[0];
    request.sheet.stretch_across_percent = w.stretch_percent[1];
    if (request.sheet.grain == Grain::kUnknown) {
      return Bad("--stretch needs the direction of the grain", "say --grain x or --grain y: tear a scrap, it tears straight along the grain");
    }
  }
  return Done{};
}

Status AddColours(const LayoutWishes& w, PlannedSheet& out) {
  Plan& plan = out.plan;
  if (!w.edge_colour.empty()) {
    const auto c = ColourOf(w.edge_colour);
    if (!c) return c.error();
    plan.edge_colour = *c;
  }
  if (!w.colours.empty()) {
    plan.colours.clear();
    for (const std::string& text : w.colours) {
      const auto c = ColourOf(text);
      if (!c) return c.error();
      plan.colours.push_back(*c);
    }
  }
  out.colour_names = NamesOf(plan.colours);
  plan.colour_map.clear();
  if (plan.colours.empty()) {
    if (!w.colour_map.empty()) return Bad("--colour-map is given without colours", "list them: --colours \"#3a62a8,#7b4fa0\"");
    return Done{};
  }
  const auto n = static_cast<int>(plan.colours.size());
  std::string how;
  if (!w.colour_map.empty()) {
    const auto map = ParseColourMap(w.colour_map, plan, n);
    if (!map) return map.error();
    plan.colour_map = *map;
    const auto matching = MatchingNeighbours(plan);
    const std::vector<Site> sites = AllSites(plan.lattice);
    how = "by the colour map given";
    if (!matching.empty() && n > 1) {
      const auto& [a, b] = matching[0];
      out.findings.push_back(fmt::format("the colour map gives {} pairs of touching tiles one colour, first {} and {}", matching.size(),
                                         SiteLabel(sites[static_cast<std::size_t>(a)]), SiteLabel(sites[static_cast<std::size_t>(b)])));
    }
  } else {
    const auto spread = SpreadColoursOver(plan, n);
    if (!spread) return spread.error();
    plan.colour_map = spread->map;
    if (n > 1) how = fmt::format("no two touching tiles match; the colours repeat after {} row{} and {} column{}", spread->period_rows, spread->period_rows == 1 ? "" : "s",
                                 spread->period_columns, spread->period_columns == 1 ? "" : "s");
  }
  std::vector<int> used(plan.colours.size(), 0);
  for (const Site s : AllSites(plan.lattice)) ++used[static_cast<std::size_t>(PlannedColour(plan, s))];
  std::string list;
  for (std::size_t k = 0; k < used.size(); ++k) {
    list += fmt::format("{}{} {}", k == 0 ? "" : ", ", used[k], out.colour_names[k]);
    if (used[k] == 0) out.findings.push_back(fmt::format("no tile is {}: there are too few tiles or the colour map leaves it out", out.colour_names[k]));
  }
  out.summary.push_back(fmt::format("Colours: {} ({}){}{}.", n, list, how.empty() ? "" : "; ", how));
  return Done{};
}

std::string Number(double v) { return fmt::format("{:g}", std::round(10 * v) / 10); }

void SayLayout(const LayoutRequest& request, const LayoutWishes& w, PlannedSheet& out) {
  const Lattice& l = out.plan.lattice;
  const Sheet& s = out.plan.sheet;
  const Box& b = out.layout.block;
  std::string stands;
  if (l.stagger_columns != 0) stands = "; half-drop: every other column lies half a step lower";
  if (l.stagger_rows != 0) stands = "; brick: every other row lies half a step to the right";
  std::string cell;
  if (l.cell.size() > 1) cell = fmt::format(", {} tiles in each cell", l.cell.size());
  out.summary.push_back(fmt::format("{} row{} of {} column{}{}: {} pulls{}{}.", l.rows, l.rows == 1 ? "" : "s", l.columns, l.columns == 1 ? "" : "s", cell,
                                    out.layout.tiles, stands,
                                    std::abs(out.layout.turn_rad) > 1e-9 ? fmt::format("; turned by {:.2f} degrees", DegFromRad(out.layout.turn_rad)) : ""));
  out.summary.push_back(fmt::format("Sheet {:.1f} x {:.1f} mm; the tiles cover {:.1f} x {:.1f} mm; free are {:.1f} mm at the left and right, {:.1f} mm at the top and bottom (margin asked: {:.1f}); "
                                    "{:.0f} % of the paper carries no tile.",
                                    s.width_mm, s.height_mm, b.Width(), b.Height(), b.left, b.top, request.margin_mm, 100 * out.layout.unused_share));
  if (const auto& damp = out.layout.damp_size_mm) {
    out.summary.push_back(fmt::format("Grain along {}. Damp, the sheet should measure {:.1f} x {:.1f} mm. What is pulled at true size on it shrinks as it dries: the {:.1f} mm of the pattern's width to about {:.1f}, "
                                      "its {:.1f} mm of height to {:.1f}.",
                                      s.grain == Grain::kX ? "x" : "y", damp->x, damp->y, b.Width(), b.Width() * s.width_mm / damp->x, b.Height(), b.Height() * s.height_mm / damp->y));
  } else if (w.order.damp_every_min) {
    out.summary.push_back("How much the sheet grows when damp is not known: measure two pencil ticks 200 mm apart each way, dry and damp, and give --grain and --stretch.");
  }
}

void SayOrder(const LayoutWishes& w, PlannedSheet& out) {
  const PullOrder& o = out.order;
  std::string damp;
  for (std::size_t k = 1; k < o.pulls.size(); ++k) {
    if (o.pulls[k].damp_before) damp += fmt::format("{}{}", damp.empty() ? "" : ", ", k);
  }
  std::string line = fmt::format("{} pulls of {} minutes: {} minutes in all; {} plate{}, {} wash{}", o.pulls.size(), Number(w.order.minutes_per_pull), Number(o.minutes), o.plates,
                                 o.plates == 1 ? "" : "s", o.washes, o.washes == 1 ? "" : "es");
  if (w.order.damp_every_min) line += damp.empty() ? "; damp the sheet once, before pull 1" : fmt::format("; damp before pull 1 and after pull {}", damp);
  if (w.order.lesson_min) line += fmt::format("; {} lesson{} of {} minutes", o.lessons, o.lessons == 1 ? "" : "s", Number(*w.order.lesson_min));
  out.summary.push_back(line + ".");
}

}  // namespace

Result<Sheet> ParseSheetSize(const std::string& text) {
  std::string name = text;
  const std::string ending = " upright";
  const bool upright = name.size() > ending.size() && name.substr(name.size() - ending.size()) == ending;
  if (upright) name.resize(name.size() - ending.size());
  Sheet sheet;
  if (const auto size = FindPaperSize(name)) {
    sheet.width_mm = upright ? size->short_mm : size->long_mm;
    sheet.height_mm = upright ? size->long_mm : size->short_mm;
    return sheet;
  }
  const auto cross = text.find('x');
  const auto width = cross == std::string::npos ? std::nullopt : ReadStrictNumber(text.substr(0, cross)).value;
  const auto height = cross == std::string::npos ? std::nullopt : ReadStrictNumber(text.substr(cross + 1)).value;
  if (!width || !height) {
    return Bad(fmt::format("'{}' is no paper size", text), "say for example A3, \"A3 upright\", B2, letter, 22x30 (inches, a trade size), or 420x297 in mm");
  }
  if (!(*width >= 10 && *width <= 2000 && *height >= 10 && *height <= 2000)) {
    return Bad(fmt::format("a sheet of {:g} x {:g} mm cannot be", *width, *height), "width and height must be 10 to 2000 mm");
  }
  sheet.width_mm = *width;
  sheet.height_mm = *height;
  return sheet;
}

Result<PlannedSheet> PlanSheet(std::string_view text, const std::string& name, const std::filesystem::path& folder, const LayoutWishes& wishes) {
  LayoutRequest request;
  PlannedSheet out;
  Plan base;
  if (const Status ok = ReadInput(text, name, folder, request, base); !ok) return ok.error();
  if (const Status ok = Apply(wishes, request); !ok) return ok.error();
  const auto layout = FitOnSheet(request);
  if (!layout) return layout.error();
  out.layout = *layout;
  out.plan = base;
  out.plan.sheet = request.sheet;
  out.plan.plates = request.plates;
  out.plan.lattice = layout->lattice;
  if (!wishes.title.empty()) out.plan.title = wishes.title;
  SayLayout(request, wishes, out);
  if (const Status ok = AddColours(wishes, out); !ok) return ok.error();
  const auto order = OrderPulls(out.plan, wishes.order);
  if (!order) return order.error();
  out.order = *order;
  SayOrder(wishes, out);
  if (std::any_of(request.cell.begin(), request.cell.end(), [](const CellMember& m) { return m.mirrored; })) {
    out.findings.push_back("some tiles are mirror images: they need a second plate, cut to the mirrored outline");
  }
  return out;
}

}  // namespace truepull
