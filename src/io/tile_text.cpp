// SPDX-License-Identifier: Apache-2.0
#include "truepull/tile_text.h"

#include <fmt/format.h>

#include <cmath>

#include "io/plan_reading.h"
#include "truepull/units.h"

namespace truepull {
namespace {

constexpr NumberRange kSideMm{.low = 1, .high = kLargestSheetMm, .unit = "mm"};

// Corners from the lengths of two sides and the angle between them, at the top left.
Point Leg(double length, double turn_rad) { return Rotation(turn_rad) * Point{length, 0}; }

Outline ReadBase(const YamlCursor& base, double mm) {
  if (!base.ExpectMap({"triangle", "square", "rectangle", "parallelogram", "hexagon", "kite", "regular", "corners"})) {
    return {};
  }
  if (base.Keys().size() != 1) {
    base.Fail("must be one shape");
    return {};
  }
  const std::string shape = base.Keys()[0];
  const YamlCursor at = base[shape];
  const auto regular = [&](int sides, const YamlCursor& side) -> Outline {
    const double length = ReadLength(side, mm, kSideMm);
    if (base.document().fault()) return {};
    const auto corners = RegularPolygon(sides, length);
    if (!corners) {
      at.Fail("is not possible: " + corners.error().message, corners.error().hint);
      return {};
    }
    return *corners;
  };
  const auto two_sides = [&](const YamlCursor& list, double& a, double& b) {
    if (!list.ExpectList(2, 2, "lengths")) return;
    a = ReadLength(list.Item(0), mm, kSideMm);
    b = ReadLength(list.Item(1), mm, kSideMm);
  };
  double a = 0, b = 0;
  if (shape == "triangle") return regular(3, at);
  if (shape == "square") return regular(4, at);
  if (shape == "hexagon") return regular(6, at);
  if (shape == "corners") return ReadOutline(at, mm);
  if (shape == "regular") {
    if (!at.ExpectMap({"sides", "side"})) return {};
    return regular(at.Need("sides").Whole(3, 100), at.Need("side"));
  }
  if (shape == "rectangle") {
    two_sides(at, a, b);
    return {{0, 0}, {a, 0}, {a, b}, {0, b}};
  }
  if (!at.ExpectMap({"sides", "angle"})) return {};
  two_sides(at.Need("sides"), a, b);
  const double angle = RadFromDeg(at.Need("angle").Number({.low = 5, .high = 175, .unit = "degrees"}));
  if (base.document().fault()) return {};
  if (shape == "parallelogram") return {{0, 0}, {a, 0}, Leg(a, 0) + Leg(b, angle), Leg(b, angle)};
  // A kite: the angle lies between the two sides of the first length, its axis is upright.
  const double half = angle / 2, width = a * std::sin(half), height = a * std::cos(half);
  if (b <= width) {
    at.Need("sides").Item(1).Fail(fmt::format("must be more than {:.3f} mm, half the kite's width, or its sides do not meet", width));
    return {};
  }
  return {{0, 0}, {width, height}, {0, height + std::sqrt(b * b - width * width)}, {-width, height}};
}

DrawnSide ReadSide(const YamlCursor& at, double mm, int corners) {
  DrawnSide side;
  if (!at.ExpectMap({"side", "shift_to", "half_turn", "turn_to", "glide_to", "line", "smooth"})) return side;
  side.side = at.Need("side").Whole(1, corners) - 1;
  int moves = 0;
  const auto to = [&](const char* key, EdgeMove move) {
    if (!at[key].present()) return;
    ++moves;
    side.move = move;
    side.partner = at[key].Whole(1, corners) - 1;
  };
  to("shift_to", EdgeMove::kShift);
  to("turn_to", EdgeMove::kTurn);
  to("glide_to", EdgeMove::kGlide);
  if (at["half_turn"].present() && at["half_turn"].TrueOrFalse()) {
    ++moves;
    side.move = EdgeMove::kHalfTurn;
  }
  if (moves != 1) {
    at.Fail(fmt::format("has {} moves; one is needed", moves == 0 ? "no" : std::to_string(moves)),
            "give one of shift_to, half_turn, turn_to, glide_to");
  }
  if (at["line"].present() && at["line"].ExpectList(1, kMostOutlinePoints, "points")) {
    for (std::size_t i = 0; i < at["line"].size(); ++i) {
      side.line.push_back(ReadPoint(at["line"].Item(i), mm, kLargestSheetMm));
    }
  }
  if (at["smooth"].present()) side.smooth = at["smooth"].TrueOrFalse();
  return side;
}

std::string Quoted(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    out += c == '\n' || c == '\r' || c == '\t' ? ' ' : c;
  }
  return out + '"';
}

std::string Pair(Point p) { return fmt::format("[{}, {}]", p.x + 0.0, p.y + 0.0); }

// A plan overlooks a point given twice; of a tile that is to be proved it is a slip of the
// pen that should be known. The last point may be the first again.
void RefuseEdgesOfNoLength(const YamlCursor& at, double mm) {
  if (at.document().fault()) return;
  Point before;
  for (std::size_t i = 0; i < at.size(); ++i) {
    const Point p = ReadPoint(at.Item(i), mm, kLargestSheetMm);
    if (i > 0 && Norm(p - before) < 1e-9) return at.Item(i).Fail("is the point before it again: an edge of no length", "leave one of the two out");
    before = p;
  }
}

// The steps and the cell that the program wrote beside an outline.
void ReadClaimed(const YamlCursor& at, double mm, BuiltTile& tile) {
  if (!at.ExpectMap({"across", "down", "turns", "cell"})) return;
  tile.steps.across = ReadPoint(at.Need("across"), mm, kLargestSheetMm);
  tile.steps.down = ReadPoint(at.Need("down"), mm, kLargestSheetMm);
  if (!at.document().fault() && !(std::abs(Cross(tile.steps.across, tile.steps.down)) > 1)) {
    at["down"].Fail("runs along lattice.across, so that the rows would lie on one another");
  }
  tile.cell = {CellMember{}};
  const YamlCursor cell = at["cell"];
  if (!cell.present() || !cell.ExpectList(1, 100, "members")) return;
  tile.cell.clear();
  for (std::size_t i = 0; i < cell.size(); ++i) {
    const YamlCursor item = cell.Item(i);
    CellMember member;
    if (item.ExpectMap({"at", "turn", "mirrored"})) {
      member.at = ReadPoint(item["at"], mm, kLargestSheetMm);
      member.turn_rad = RadFromDeg(item["turn"].Number({.low = -360, .high = 360, .unit = "degrees"}));
      member.mirrored = item["mirrored"].TrueOrFalse();
    }
    tile.cell.push_back(member);
  }
}

}  // namespace

Result<TileInput> ParseTile(std::string_view text, const std::string& name) {
  auto document = YamlDocument::Parse(text, name);
  if (!document) return document.error();
  const YamlCursor root = (*document)->Root("tile file");
  TileInput input;
  // What the program itself writes may stand there. Verdict and findings are found out anew;
  // the lattice is handed on to be proved.
  if (root.ExpectMap({"truepull", "title", "units", "tile", "repeats", "lattice", "findings", "traced", "meets"})) {
    root.Need("truepull").Whole(1, 1);
    if (root["title"].present()) input.title = root["title"].Text(200);
    const double mm = root["units"].present() && root["units"].Choice({"mm", "in"}) == 1 ? kMmPerInch : 1;
    const YamlCursor tile = root.Need("tile");
    if (tile.ExpectMap({"outline", "base", "sides", "prints", "drawing"})) {
      if (tile["drawing"].present()) input.drawing_file = ReadFileBeside(tile["drawing"]);
      if (tile["base"].present() == tile["outline"].present()) {
        tile.Fail("needs an outline, or a base shape and what its sides do", "give one of the two");
      } else if (tile["outline"].present()) {
        input.outline = ReadOutline(tile["outline"], mm);
        RefuseEdgesOfNoLength(tile["outline"], mm);
        if (root["lattice"].present()) {
          input.claimed.emplace();
          ReadClaimed(root["lattice"], mm, *input.claimed);
        }
      } else {
        BaseShape base;
        base.corners = ReadBase(tile["base"], mm);
        const YamlCursor sides = tile.Need("sides");
        if (!base.corners.empty() && sides.ExpectList(1, base.corners.size(), "sides")) {
          for (std::size_t i = 0; i < sides.size(); ++i) {
            base.sides.push_back(ReadSide(sides.Item(i), mm, static_cast<int>(base.corners.size())));
          }
        }
        input.base = base;
      }
    }
  }
  if ((*document)->fault()) return *(*document)->fault();
  return input;
}

std::string WriteTile(const TileReport& r) {
  std::string out = "truepull: 1\n";
  if (!r.title.empty()) out += "title: " + Quoted(r.title) + "\n";
  out += "tile:\n  outline: [";
  for (std::size_t i = 0; i < r.outline.size(); ++i) {
    if (i > 0) out += i % 6 == 0 ? ",\n    " : ", ";
    out += Pair(r.outline[i]);
  }
  out += "]\n";
  if (!r.drawing_file.empty()) out += "  drawing: " + Quoted(r.drawing_file) + "\n";
  out += fmt::format("repeats: {{shifts: {}, half_turns: {}}}\n", r.shifts, r.half_turns);
  if (r.repeats) {
    out += "lattice:\n  across: " + Pair(r.steps.across) + "\n  down: " + Pair(r.steps.down) + "\n  turns: [";
    // Turns of the cell's tiles, in degrees; rounded to what a turn made of 60s and 90s is.
    const auto degrees = [](double turn) {
      const double d = DegFromRad(turn);
      return std::abs(d - std::round(d)) < 1e-9 ? std::round(d) + 0.0 : d;
    };
    for (std::size_t k = 0; k < r.cell.size(); ++k) {
      out += fmt::format("{}{}", k == 0 ? "" : ", ", degrees(r.cell[k].turn_rad));
    }
    out += "]\n";
    if (r.cell.size() > 1) {
      out += "  cell:\n";
      for (const CellMember& m : r.cell) {
        out += fmt::format("    - {{at: {}, turn: {}, mirrored: {}}}\n", Pair(m.at), degrees(m.turn_rad), m.mirrored);
      }
    }
  }
  if (!r.meetings.empty()) {
    constexpr const char* kMoves[] = {"shift", "half_turn", "turn", "glide"};
    out += "meets:\n";
    for (const Meeting& m : r.meetings) {
      out += fmt::format("  - {{from: {:.3f}, to: {:.3f}, partner_from: {:.3f}, partner_to: {:.3f}, move: {}}}\n", m.from_mm, m.to_mm, m.partner_from_mm, m.partner_to_mm,
                         kMoves[static_cast<int>(m.move)]);
    }
  }
  if (r.traced) {
    const TracedFrom& t = *r.traced;
    out += fmt::format("traced:\n  photo: {}\n  seen: {}\n  at: {}\n  closed: {}\n  rms: {:.3f}\n  off:{}\n", Quoted(t.photo), t.seen, Pair(t.at), t.closed,
                       t.rms_mm, t.off.empty() ? " []" : "");
    for (const TracedFrom::Place& p : t.off) out += fmt::format("    - {{mm: {:.3f}, where: {}}}\n", p.mm, Quoted(p.words));
  }
  out += "findings:";
  if (r.findings.empty()) out += " []";
  out += "\n";
  for (const std::string& f : r.findings) out += "  - " + Quoted(f) + "\n";
  return out;
}

}  // namespace truepull
