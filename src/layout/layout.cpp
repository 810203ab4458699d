// SPDX-License-Identifier: Apache-2.0
#include "truepull/layout.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <tuple>

#include "layout/forms.h"
#include "truepull/cell_fit.h"
#include "truepull/site_colours.h"

namespace truepull {
namespace {

using layout::Form;

constexpr int kMostSites = 10000;   // What a plan may have.
constexpr double kSlackMm = 1e-6;   // A block as large as the room fits it.

struct Counted {
  Form form;
  int rows = 0, columns = 0;
  double width = 0, height = 0;     // Of the block.
  double left = 0, top = 0;         // Of the block about site (0, 0)'s cell place.
  double turn_rad = 0;
  int Tiles() const { return rows * columns * static_cast<int>(form.cell.size()); }
};

// The boxes of each plate's outline, plain and mirrored, at each turn of the cell.
class MemberBoxes {
 public:
  MemberBoxes(const std::vector<Plate>& plates, double turn_rad) : plates_(plates), turn_(turn_rad) {}
  Box Of(const CellMember& m) {
    for (const auto& [key, box] : known_) {
      if (key.plate == m.plate && key.turn_rad == m.turn_rad && key.mirrored == m.mirrored) return Shifted(box, m.at);
    }
    CellMember bare = m;
    bare.at = {};
    bare.turn_rad += turn_;  // The pattern's turn comes on top: see SheetLayout::lattice.turns.
    const Box box = BoundingBox(PlacedMember(plates_[static_cast<std::size_t>(m.plate)].outline, bare));
    known_.emplace_back(m, box);
    return Shifted(box, m.at);
  }

 private:
  static Box Shifted(Box b, Point by) { return {b.left + by.x, b.top + by.y, b.right + by.x, b.bottom + by.y}; }
  const std::vector<Plate>& plates_;
  double turn_;
  std::vector<std::pair<CellMember, Box>> known_;
};

Box Joined(const Box& a, const Box& b) {
  return {std::min(a.left, b.left), std::min(a.top, b.top), std::max(a.right, b.right), std::max(a.bottom, b.bottom)};
}

// Members may stand anywhere on the lattice: takes the places that keep the cell's box
// smallest beside the room there is. One member after the other, twice; the first stays.
Box Tighten(Form& form, MemberBoxes& boxes, Point room) {
  if (form.cell.size() == 1) return boxes.Of(form.cell[0]);
  const LatticeSteps steps = layout::StepsOf(form);
  const auto all_but = [&](std::size_t k) {
    std::optional<Box> sum;
    for (std::size_t i = 0; i < form.cell.size(); ++i) {
      if (i != k) sum = sum ? Joined(*sum, boxes.Of(form.cell[i])) : boxes.Of(form.cell[i]);
    }
    return *sum;
  };
  for (int round = 0; round < 2; ++round) {
    for (std::size_t k = 1; k < form.cell.size(); ++k) {
      const Box others = round == 0 ? boxes.Of(form.cell[0]) : all_but(k);
      const Box bare = boxes.Of(form.cell[k]);
      double best = std::numeric_limits<double>::max();
      Point best_shift;
      for (int i = -2; i <= 2; ++i) {
        for (int j = -2; j <= 2; ++j) {
          // Staggered lattices only repeat by whole double rows where a row's parity counts;
          // a shift by the true lattice steps is one place of the same lattice either way.
          const Point s = static_cast<double>(i) * steps.across + static_cast<double>(j) * steps.down;
          const Box box = Joined(others, {bare.left + s.x, bare.top + s.y, bare.right + s.x, bare.bottom + s.y});
          const double size = box.Width() / room.x + box.Height() / room.y + 1e-9 * (i * i + j * j);
          if (size < best) best = size, best_shift = s;
        }
      }
      form.cell[k].at = form.cell[k].at + best_shift;
    }
  }
  Box sum = boxes.Of(form.cell[0]);
  for (const CellMember& m : form.cell) sum = Joined(sum, boxes.Of(m));
  return sum;
}

// The block of so many rows and columns: the cell's box spread over the lattice places.
Counted Block(const Form& f, const Box& cell, int rows, int columns) {
  Counted out;
  Box b{1e300, 1e300, -1e300, -1e300};
  for (const int r : {0, 1, rows - 2, rows - 1}) {
    for (const int c : {0, 1, columns - 2, columns - 1}) {
      if (r < 0 || c < 0 || r >= rows || c >= columns) continue;
      const Point p = (c + (r % 2) * f.stagger_rows) * f.across + (r + (c % 2) * f.stagger_columns) * f.down;
      b = Joined(b, {p.x, p.y, p.x, p.y});
    }
  }
  out.rows = rows;
  out.columns = columns;
  out.left = b.left + cell.left;
  out.top = b.top + cell.top;
  out.width = b.Width() + cell.Width();
  out.height = b.Height() + cell.Height();
  return out;
}

class Fitter {
 public:
  explicit Fitter(const LayoutRequest& request) : r_(request) {
    // The sheet may be laid out dry or damp: the smaller of the two must hold the block.
    double w = r_.sheet.width_mm, h = r_.sheet.height_mm;
    if (const auto damp = DampSize()) w = std::min(w, damp->x), h = std::min(h, damp->y);
    room_ = {w - 2 * r_.margin_mm, h - 2 * r_.margin_mm};
  }

  Result<SheetLayout> Run() {
    if (!(room_.x > 0 && room_.y > 0)) {
      return Refused(fmt::format("margins of {:.1f} mm leave nothing of a sheet of {:.1f} x {:.1f} mm", r_.margin_mm,
                                 r_.sheet.width_mm, r_.sheet.height_mm),
                     "give a smaller margin or a larger sheet");
    }
    std::optional<Form> upright;
    if (r_.repeat != RepeatKind::kOwn) {
      auto form = AskedForm();
      if (!form) return form.error();
      upright = *form;
    }
    for (const double turn : Turns()) {
      MemberBoxes boxes(r_.plates, turn);
      std::vector<Form> forms;
      if (upright) {
        forms = {layout::Turned(*upright, turn)};
      } else {
        const LatticeSteps steps = OrientSteps(ReduceSteps(r_.steps));
        const Form own = layout::Turned({steps.across, steps.down, 0, 0, r_.cell, 0}, turn);
        forms = layout::FormsOf({own.across, own.down}, own.cell);
        // Who asks for three rows means the rows that one sees: those of the shortest steps.
        if (r_.rows > 0 || r_.columns > 0) {
          forms = {*std::min_element(forms.begin(), forms.end(), [](const Form& a, const Form& b) { return Length(a) < Length(b); })};
        }
      }
      for (Form& f : forms) Try(f, boxes, turn);
    }
    if (!best_) return NothingFits();
    if (best_->Tiles() > kMostSites) {
      return Refused(fmt::format("the sheet holds {} tiles; a plan may have at most {}", best_->Tiles(), kMostSites),
                     "take a larger tile, or give --rows and --columns");
    }
    return Finish(*best_);
  }

 private:
  // Steps together; forms of several rows or columns to a cell count as longer than any.
  static double Length(const Form& f) { return Norm(f.across) + Norm(f.down) + 1e-6 * f.plainness + (f.plainness == 2 ? 1e6 : 0); }

  static Error Refused(std::string message, std::string hint) {
    return {ErrorCode::kBadArgument, std::move(message), std::move(hint)};
  }

  std::optional<Point> DampSize() const {
    const Sheet& s = r_.sheet;
    if (s.grain == Grain::kUnknown || !s.stretch_along_percent || !s.stretch_across_percent) return std::nullopt;
    const bool x = s.grain == Grain::kX;
    const double along = 1 + *s.stretch_along_percent / 100, across = 1 + *s.stretch_across_percent / 100;
    return Point{s.width_mm * (x ? along : across), s.height_mm * (x ? across : along)};
  }

  // Whether a cell touches the next one of its row (brick) or column (half-drop): a hexagon's
  // lattice has both forms, but the tiles of one row stand apart in the wrong one.
  bool Touches(const Form& form) const {
    if (r_.repeat == RepeatKind::kStraight) return true;
    Plan pair;
    pair.plates = r_.plates;
    pair.lattice.cell = form.cell;
    pair.lattice.columns = 2;
    pair.lattice.across = r_.repeat == RepeatKind::kBrick ? form.across : form.down;
    const auto members = static_cast<int>(form.cell.size());
    const auto touching = TouchingSites(pair);
    return std::any_of(touching.begin(), touching.end(), [&](const SitePair& p) { return p.first < members && p.second >= members; });
  }

  // The asked form: the lattice's own, or a rectangle's rows or columns set back by half a
  // step where the tiles then still fit together.
  Result<Form> AskedForm() const {
    if (const auto form = layout::UprightForm(r_.steps, r_.cell, r_.repeat); form && Touches(*form)) return *form;
    double deepest = 0;
    for (const RepeatKind from : {RepeatKind::kStraight, RepeatKind::kHalfDrop, RepeatKind::kBrick}) {
      auto form = layout::UprightForm(r_.steps, r_.cell, from);
      if (!form) continue;
      form->stagger_rows = r_.repeat == RepeatKind::kBrick ? 0.5 : 0;
      form->stagger_columns = r_.repeat == RepeatKind::kHalfDrop ? 0.5 : 0;
      form->plainness = r_.repeat == RepeatKind::kStraight ? 0 : 1;
      std::vector<Outline> members;
      for (const CellMember& m : r_.cell) {
        members.push_back(PlacedMember(r_.plates[static_cast<std::size_t>(m.plate)].outline, m));
      }
      const CellFit fit = FitOfCell(members, layout::StepsOf(*form));
      if (fit.Fits() && Touches(*form)) return *form;
      deepest = std::max(deepest, fit.overlap_mm);
    }
    return Error{ErrorCode::kInvalidFile,
                 fmt::format("the tiles do not fit together in a {} repeat{}", NameOf(r_.repeat),
                             deepest > 0 ? fmt::format(": they would lie up to {:.1f} mm in one another", deepest) : ""),
                 fmt::format("take the tile's own repeat (leave --repeat out): its steps are ({:.2f}, {:.2f}) and ({:.2f}, {:.2f}) mm",
                             r_.steps.across.x, r_.steps.across.y, r_.steps.down.x, r_.steps.down.y)};
  }

  std::vector<double> Turns() const {
    if (r_.turn_rad) return {*r_.turn_rad};
    std::vector<double> turns{0.0};
    for (int deg = 1; deg < 180; ++deg) turns.push_back(WrapTurn(RadFromDeg(deg <= 90 ? deg : deg - 180)));
    for (int i = -2; i <= 2; ++i) {
      for (int j = 0; j <= 2; ++j) {
        const Point v = static_cast<double>(i) * r_.steps.across + static_cast<double>(j) * r_.steps.down;
        if (Norm(v) < 1e-9) continue;
        for (const double quarter : {0.0, std::numbers::pi / 2}) {
          double turn = quarter - std::atan2(v.y, v.x);
          while (turn > std::numbers::pi / 2) turn -= std::numbers::pi;
          while (turn <= -std::numbers::pi / 2) turn += std::numbers::pi;
          turns.push_back(turn);
        }
      }
    }
    return turns;
  }

  bool Fits(const Counted& b) const { return b.width <= room_.x + kSlackMm && b.height <= room_.y + kSlackMm; }

  void Try(Form& f, MemberBoxes& boxes, double turn) {
    const Box cell = Tighten(f, boxes, room_);
    const auto offer = [&](int rows, int columns) {
      Counted b = Block(f, cell, rows, columns);
      const double over = std::max(b.width - room_.x, 0.0) + std::max(b.height - room_.y, 0.0);
      if (Fits(b)) {
        if (best_ && !Better(b, f, turn)) return;
        b.form = f;
        b.turn_rad = turn;
        best_ = b;
      } else if (f.plainness < 2 && (!nearest_ || over < nearest_over_ - kSlackMm)) {
        b.form = f;
        nearest_ = b;
        nearest_over_ = over;
      }
    };
    if (r_.rows > 0 && r_.columns > 0) return offer(r_.rows, r_.columns);
    offer(std::max(1, r_.rows), std::max(1, r_.columns));
    if (r_.rows > 0) {
      for (int c = 1; c <= kMostSites && Fits(Block(f, cell, r_.rows, c)); ++c) offer(r_.rows, c);
      return;
    }
    int rows = kMostSites;
    for (int c = std::max(1, r_.columns); c <= kMostSites; ++c) {
      if (rows == kMostSites) {  // Doubling first: small tiles on large sheets have many rows.
        int most = 1;
        while (most < kMostSites && Fits(Block(f, cell, most, c))) most *= 2;
        rows = most;
      }
      while (rows > 0 && !Fits(Block(f, cell, rows, c))) --rows;
      if (rows == 0) return;
      offer(rows, c);
      if (r_.columns > 0) return;
    }
  }

  // More tiles; then plainer; then shorter steps; then margins more alike; then turned less.
  bool Better(const Counted& b, const Form& f, double turn) const {
    const auto rank = [&](const Counted& x, const Form& form, double t) {
      const double unlike = std::abs((r_.sheet.width_mm - x.width) - (r_.sheet.height_mm - x.height)) / 2;
      return std::tuple(-x.rows * x.columns * static_cast<int>(form.cell.size()), form.plainness, std::round(1e4 * Length(form)),
                        std::round(1e4 * unlike), std::round(1e7 * std::abs(t)), std::abs(form.down.x) + std::abs(form.across.y));
    };
    return rank(b, f, turn) < rank(*best_, best_->form, best_->turn_rad);
  }

  Error NothingFits() const {
    if (!nearest_) return Refused("not one tile fits on the sheet", "take a larger sheet or a smaller tile");
    const Counted& n = *nearest_;
    std::string off;
    const auto say = [&](double size, double room, const char* word) {
      if (size <= room + kSlackMm) return;
      off += fmt::format("{}{:.1f} mm {}, {:.1f} mm more than the {:.1f} mm between the margins", off.empty() ? "" : " and ",
                         size, word, size - room, room);
    };
    say(n.width, room_.x, "wide");
    say(n.height, room_.y, "high");
    const auto count = [](int k, const char* what) { return fmt::format("{} {}{}", k, what, k == 1 ? "" : "s"); };
    if (r_.rows > 0 || r_.columns > 0) {
      return Refused(fmt::format("{} of {} run{} off the sheet: they are {}", count(n.rows, "row"), count(n.columns, "column"),
                                 n.rows == 1 ? "s" : "", off),
                     "ask for fewer rows or columns, a smaller margin or a larger sheet");
    }
    return Refused(fmt::format("not one {} fits on the sheet: it is {}",
                               r_.cell.size() == 1 ? "tile" : fmt::format("cell of {} tiles", r_.cell.size()), off),
                   "take a larger sheet, a smaller margin or a smaller tile, or --turn best");
  }

  SheetLayout Finish(const Counted& b) const {
    SheetLayout out;
    Lattice& l = out.lattice;
    l.across = b.form.across;
    l.down = b.form.down;
    l.rows = b.rows;
    l.columns = b.columns;
    l.stagger_rows = b.form.stagger_rows;
    l.stagger_columns = b.form.stagger_columns;
    l.cell = b.form.cell;
    l.turns_rad = {b.turn_rad};
    // The middle of the sheet. The first member stands at its cell's own place.
    const Point corner{(r_.sheet.width_mm - b.width) / 2, (r_.sheet.height_mm - b.height) / 2};
    l.origin = corner - Point{b.left, b.top} + l.cell[0].at;
    for (std::size_t k = l.cell.size(); k-- > 0;) l.cell[k].at = l.cell[k].at - l.cell[0].at;
    out.turn_rad = b.turn_rad;
    out.block = {corner.x, corner.y, corner.x + b.width, corner.y + b.height};
    out.tiles = b.Tiles();
    for (const CellMember& m : l.cell) {
      out.tile_area_mm2 += b.rows * b.columns * std::abs(SignedArea(r_.plates[static_cast<std::size_t>(m.plate)].outline));
    }
    out.unused_share = 1 - out.tile_area_mm2 / (r_.sheet.width_mm * r_.sheet.height_mm);
    out.damp_size_mm = DampSize();
    return out;
  }

  const LayoutRequest& r_;
  Point room_;
  std::optional<Counted> best_, nearest_;
  double nearest_over_ = 0;
};

}  // namespace

const char* NameOf(RepeatKind kind) {
  constexpr const char* kNames[] = {"own", "straight", "half-drop", "brick"};
  return kNames[static_cast<int>(kind)];
}

Result<SheetLayout> FitOnSheet(const LayoutRequest& request) { return Fitter(request).Run(); }

Plan PlanOf(const LayoutRequest& request, const SheetLayout& layout, const std::string& title) {
  Plan plan;
  plan.title = title;
  plan.sheet = request.sheet;
  plan.plates = request.plates;
  plan.lattice = layout.lattice;
  return plan;
}

}  // namespace truepull
