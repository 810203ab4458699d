// SPDX-License-Identifier: Apache-2.0
#include "truepull/sheet_cards.h"

#include <fmt/format.h>

#include "guide/make_marks.h"
#include "truepull/marker_cards.h"

namespace truepull {
namespace {

constexpr double kPageWidth = 210, kPageHeight = 297;   // A4.
constexpr double kCardWidth = kPageWidth / 2, kCardHeight = kPageHeight / 2;
// One cell of white round each marker at least, and 12 mm from the printer's edge.
constexpr double kSide = 13, kTop = 22;

void AddMarker(const std::vector<bool>& cells, Point at, std::vector<Mark>& out) {
  const double cell = kSheetCardMarkerMm / kMarkerCells;
  for (int y = 0; y < kMarkerCells; ++y) {
    for (int x = 0; x < kMarkerCells;) {
      const auto black = [&](int column) {
        return column < kMarkerCells && cells.at(static_cast<std::size_t>(y * kMarkerCells + column));
      };
      int end = x;
      while (black(end)) ++end;
      if (end > x) {  // A run of black cells in one piece: no hair lines between them.
        const Box box{at.x + x * cell, at.y + y * cell, at.x + end * cell, at.y + (y + 1) * cell};
        out.push_back(Filled(MarkRole::kSign, Rectangle(box), Ink::kBlack));
      }
      x = end > x ? end : x + 1;
    }
  }
}

void AddCard(const SheetCard& card, Point at, std::vector<Mark>& out) {
  const double gap = kCardWidth - 2 * kSide - 2 * kSheetCardMarkerMm;
  AddMarker(card.number_cells, at + Point{kSide, kTop}, out);
  AddMarker(card.pass_cells, at + Point{kSide + kSheetCardMarkerMm + gap, kTop}, out);
  const Point middle = at + Point{kCardWidth / 2, kTop + kSheetCardMarkerMm};
  out.push_back(Words(card.code, middle + Point{0, 42}, FittingCap(card.code, kCardWidth - 2 * kSide, 30, 4, true), Anchor::kMiddle, true));
  const std::string pass = card.pass_name.empty() ? fmt::format("pass {}", card.pass) : fmt::format("pass {}: {}", card.pass, card.pass_name);
  out.push_back(Words(pass, middle + Point{0, 56}, FittingCap(pass, kCardWidth - 2 * kSide, 6, 2.5, false), Anchor::kMiddle));
  double y = 66;
  for (const char* line : {"Lay this flat beside the sheet, not on it,", "whole in the picture."}) {
    out.push_back(Words(line, middle + Point{0, y}, 2.6, Anchor::kMiddle));
    y += 4.4;
  }
}

}  // namespace

std::vector<GuidePage> LayOutSheetCards(const std::vector<SheetCard>& cards) {
  std::vector<GuidePage> pages;
  for (std::size_t i = 0; i < cards.size(); ++i) {
    if (i % 4 == 0) {
      GuidePage page;
      page.width_mm = kPageWidth, page.height_mm = kPageHeight;
      page.window = {0, 0, kPageWidth, kPageHeight};
      page.label = cards.size() > 4 ? fmt::format("page {} of {}", i / 4 + 1, (cards.size() + 3) / 4) : "";
      const Stroke cut{Ink::kGrey, 0.2, Dash::kShort};
      page.marks.push_back(Line(MarkRole::kCut, {{kCardWidth, 0}, {kCardWidth, kPageHeight}}, cut));
      page.marks.push_back(Line(MarkRole::kCut, {{0, kCardHeight}, {kPageWidth, kCardHeight}}, cut));
      pages.push_back(std::move(page));
    }
    const Point at{i % 2 == 0 ? 0 : kCardWidth, i % 4 < 2 ? 0 : kCardHeight};
    AddCard(cards[i], at, pages.back().marks);
  }
  return pages;
}

}  // namespace truepull
