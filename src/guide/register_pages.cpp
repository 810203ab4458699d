// SPDX-License-Identifier: Apache-2.0
#include "truepull/register_pages.h"

#include <fmt/format.h>

#include <algorithm>

#include "guide/blocks.h"
#include "guide/furniture.h"
#include "guide/make_marks.h"
#include "truepull/paper_size.h"

namespace truepull {
namespace {

constexpr Stroke kLine{Ink::kBlack, 0.25, Dash::kFull};
constexpr double kCrossArmMm = 6;
constexpr double kPinMm = 6;            // Diameter of a common register pin.

Mark Told(MarkRole role, std::string text, Point at, Anchor anchor = Anchor::kMiddle) {
  Mark m = Words(std::move(text), at, 3.0, anchor);   // Read while cutting, from 400 mm.
  m.role = role;
  return m;
}

// "x 210.0 y -12.0": from the sheet's top left corner.
std::string Place(Point on_sheet) { return fmt::format("x {:.1f} y {:.1f}", on_sheet.x, on_sheet.y); }

void AddCross(Point at, Point on_sheet, bool bar, std::vector<Mark>& out) {
  out.push_back(Line(MarkRole::kMargin, {at - Point{kCrossArmMm, 0}, at + Point{kCrossArmMm, 0}}, kLine));
  out.push_back(Line(MarkRole::kMargin, {at - Point{0, kCrossArmMm}, at + Point{0, kCrossArmMm}}, kLine));
  // A bar on one end only makes the T: the sheet cannot be fed upside down unnoticed.
  if (bar) out.push_back(Line(MarkRole::kMargin, {at + Point{-4, -kCrossArmMm}, at + Point{4, -kCrossArmMm}}, {Ink::kBlack, 0.6, Dash::kFull}));
  out.push_back(Told(MarkRole::kMargin, Place(on_sheet), at + Point{kCrossArmMm + 1.5, -1}, Anchor::kStart));
}

}  // namespace

Guide BuildBoard(double w, double h, const GuideWords& words) {
  constexpr double kB = kBoardBorderMm;
  Guide guide;
  guide.use = GuideUse::kBoard;
  guide.width_mm = w + 2 * kB;
  guide.height_mm = h + 2 * kB;
  guide.words = words;
  guide.words.use = UseLookOf(GuideUse::kBoard).heading;
  guide.words.face_detail = UseLookOf(GuideUse::kBoard).belongs;
  guide.words.steps = StepsOf(GuideUse::kBoard);
  auto& out = guide.marks;
  const auto on = [&](Point sheet) { return sheet + Point{kB, kB}; };
  const Point tl = on({0, 0}), br = on({w, h});
  out.push_back(Closed(MarkRole::kSheet, Rectangle({tl.x, tl.y, br.x, br.y}), kLine));
  // Corner stops: what a sheet is pushed into, outside each corner.
  for (const double sx : {0.0, 1.0}) {
    for (const double sy : {0.0, 1.0}) {
      const Point c = on({sx * w, sy * h});
      const Point x{(1 - 2 * sx) * 20, 0}, y{0, (1 - 2 * sy) * 20};
      out.push_back(Line(MarkRole::kStop, {c + x, c, c + y}, {Ink::kBlack, 0.8, Dash::kFull}));
    }
  }
  // Kento: the corner notch at the print's lower left, the side notch on the same edge.
  const Point corner = on({0, h});
  out.push_back(Closed(MarkRole::kKento, Rectangle({corner.x - 5, corner.y - 25, corner.x, corner.y + 5}), kLine));
  out.push_back(Closed(MarkRole::kKento, Rectangle({corner.x - 5, corner.y, corner.x + 25, corner.y + 5}), kLine));
  out.push_back(Told(MarkRole::kKento, "kento corner, " + Place({0, h}), corner + Point{28, 4.2}, Anchor::kStart));
  const Point side = on({0.7 * w, h});
  out.push_back(Closed(MarkRole::kKento, Rectangle({side.x - 15, side.y, side.x + 15, side.y + 5}), kLine));
  out.push_back(Told(MarkRole::kKento, fmt::format("kento side, x {:.1f} to {:.1f}, y {:.1f}", 0.7 * w - 15, 0.7 * w + 15, h),
                     side + Point{0, 9.4}));
  // Register crosses on the middle line, the T at the top.
  for (const bool top : {true, false}) {
    const Point p{w / 2, top ? -14.0 : h + 20};
    AddCross(on(p), p, top, out);
  }
  // Pins with tabs: holes above the top edge, each with the tab that joins sheet and pin.
  for (const double share : {0.2, 0.8}) {
    const Point p{share * w, -18};
    out.push_back(Closed(MarkRole::kStop, Circle(on(p), kPinMm / 2), kLine));
    out.push_back(Line(MarkRole::kStop, {on(p) - Point{1.5, 0}, on(p) + Point{1.5, 0}}, kLine));
    out.push_back(Line(MarkRole::kStop, {on(p) - Point{0, 1.5}, on(p) + Point{0, 1.5}}, kLine));
    out.push_back(Closed(MarkRole::kBody, Rectangle({on(p).x - 9, on(p).y - 7, on(p).x + 9, on({0, 12}).y}), {Ink::kGrey, 0.2, Dash::kShort}));
    out.push_back(Told(MarkRole::kStop, fmt::format("pin {:.0f} mm, ", kPinMm) + Place(p), on(p) + Point{0, -8.6}));
  }
  return guide;
}

std::vector<Mark> MarkerMarks(const PlacedMarker& marker, const PatternOf& pattern) {
  const std::vector<bool> cells = pattern(marker.id);
  const double cell = marker.side_mm / kMarkerCells;
  const Point o = marker.top_left;
  std::vector<Mark> out{Filled(MarkRole::kMarker, Rectangle({o.x, o.y, o.x + marker.side_mm, o.y + marker.side_mm}), Ink::kBlack)};
  const auto black = [&](int x, int y) { return cells[static_cast<std::size_t>(y * kMarkerCells + x)]; };
  for (int y = 0; y < kMarkerCells; ++y) {
    for (int x = 0; x < kMarkerCells;) {
      if (black(x, y)) {
        ++x;
        continue;
      }
      int to = x;
      while (to < kMarkerCells && !black(to, y)) ++to;
      Mark white = Filled(MarkRole::kMarker, Rectangle({o.x + x * cell, o.y + y * cell, o.x + to * cell, o.y + (y + 1) * cell}), Ink::kBlack);
      std::get<PathMark>(white.what).colour = "#ffffff";
      out.push_back(std::move(white));
      x = to;
    }
  }
  const std::string group = fmt::format("marker-{}", marker.id);
  for (Mark& m : out) m.group = group;
  return out;
}

Result<Guide> BuildSheetFrame(double w, double h, const std::string& title, const PatternOf& pattern) {
  const std::vector<PlacedMarker> markers = MarkersRoundSheet(w, h);
  if (markers.back().id >= kSheetNumberFirstId) {
    return Error{ErrorCode::kBadArgument, fmt::format("a sheet of {:.0f} x {:.0f} mm needs more markers than there are", w, h),
                 "lay marker cards round it instead"};
  }
  Guide guide;
  guide.use = GuideUse::kFrame;
  guide.width_mm = w + 2 * kFrameBorderMm;
  guide.height_mm = h + 2 * kFrameBorderMm;
  guide.words.title = title;
  guide.words.pass = fmt::format("frame for a sheet of {:.1f} x {:.1f} mm", w, h);
  guide.words.face = "SEEN FROM THE PRINTED FACE";
  guide.words.face_detail = UseLookOf(GuideUse::kFrame).belongs;
  guide.words.use = UseLookOf(GuideUse::kFrame).heading;
  guide.words.state = "FRAME OF MARKERS";
  guide.words.state_detail = {"The sheet's own edges need not be true: the markers round it are what is measured.",
                              "Print frame and guide on one printer, one paper, the same way round: if it prints 1 % too large, the "
                              "frame makes every reading 1 % too small, and the guide prints it 1 % too large again. The error cancels."};
  guide.words.steps = StepsOf(GuideUse::kFrame);
  guide.words.cautions = {"Your school's or workshop's own safety rules come first."};
  const auto on = [&](Point sheet) { return sheet + Point{kFrameBorderMm, kFrameBorderMm}; };
  const Point tl = on({0, 0}), br = on({w, h});
  guide.marks.push_back(Closed(MarkRole::kSheet, Rectangle({tl.x, tl.y, br.x, br.y}), {Ink::kBlack, 0.25, Dash::kFull}));
  Mark words = Words("LAY THE SHEET HERE, top edge at the R", {(tl.x + br.x) / 2, tl.y + 12}, 3, Anchor::kMiddle, true);
  guide.marks.push_back(words);
  for (PlacedMarker m : markers) {
    m.top_left = on(m.top_left);
    for (Mark& mark : MarkerMarks(m, pattern)) guide.marks.push_back(std::move(mark));
  }
  return guide;
}

std::vector<GuidePage> LayOutFrameCards(const PageOptions& options, const PatternOf& pattern) {
  const PaperSize size = FindPaperSize(options.paper == Paper::kSheet ? "A4" : NameOf(options.paper)).value();
  const double width = size.short_mm / options.scale_x, height = size.long_mm / options.scale_y;
  const double left = kPageMarginMm, right = width - kPageMarginMm;
  constexpr int kOnAPage = 4;
  constexpr double kPitch = kFrameCardHeightMm + 6;
  Guide guide;
  guide.words.title = "Marker cards";
  guide.words.pass = "to lay round a sheet whose edges cannot be trusted";
  guide.words.face = "SEEN FROM THE PRINTED FACE";
  guide.words.face_detail = "for beside the sheet, in the photo";
  const std::vector<std::string> how{
      "Print at 100 %. Cut the cards apart along the thin lines; leave the white rims on, for the camera needs them.",
      "Glue them on stiff card. Lay four or more round the sheet, flat, anyhow turned, one near each side; none on the sheet.",
      "Photograph all of them with the sheet. What is known is the row of markers on each card: 180 mm from the first corner to the last.",
      "Print cards and guide on one printer: an error of scale that both have cancels."};
  std::vector<GuidePage> pages;
  for (int first = 0; first < kFrameCards; first += kOnAPage) {
    GuidePage page;
    page.width_mm = size.short_mm;
    page.height_mm = size.long_mm;
    page.scale_x = options.scale_x;
    page.scale_y = options.scale_y;
    page.label = fmt::format("cards {} to {}", first + 1, first + kOnAPage);
    page.window = {0, 0, width, height};
    guide.words.state = fmt::format("page {} of {}", first / kOnAPage + 1, kFrameCards / kOnAPage);
    AddHeader(guide, {left, kPageMarginMm, right, kPageMarginMm + kHeaderMm}, page.label, nullptr, page.marks);
    double y = kPageMarginMm + kHeaderMm + 4;
    for (int k = 0; k < kOnAPage; ++k) {
      const Point at{left + (right - left - kFrameCardWidthMm) / 2, y};
      page.marks.push_back(Closed(MarkRole::kCut, Rectangle({at.x, at.y, at.x + kFrameCardWidthMm, at.y + kFrameCardHeightMm}),
                                  {Ink::kGrey, 0.15, Dash::kFull}));
      for (PlacedMarker m : FrameCard(first + k)) {
        m.top_left = m.top_left + at;
        for (Mark& mark : MarkerMarks(m, pattern)) page.marks.push_back(std::move(mark));
      }
      // Between the first two markers, clear of their white rims.
      const double between = 0.5 * ((kFrameCardHeightMm - kFrameCardMarkerMm) / 2 + kFrameCardMarkerMm + (kFrameCardHeightMm - kFrameCardMarkerMm) / 2 + kFrameCardPitchMm);
      for (Mark name : {Words("card", at + Point{between, 17}, 2.8, Anchor::kMiddle),
                        Words(fmt::format("{}", first + k + 1), at + Point{between, 27}, 7, Anchor::kMiddle, true)}) {
        name.role = MarkRole::kMarker;
        page.marks.push_back(std::move(name));
      }
      y += kPitch;
    }
    AddBarX({left + 4, y + 2}, page.marks, right - left - 4);
    y += 12;
    constexpr double kCap = 3, kLinePitch = 4.9;
    for (std::size_t i = 0; i < how.size(); ++i) {
      page.marks.push_back(Words(fmt::format("{}", i + 1), {left + 4, y}, kCap, Anchor::kStart, true));
      for (const std::string& line : Wrap(how[i], right - left - 12, kCap)) {
        page.marks.push_back(Words(line, {left + 12, y}, kCap));
        y += kLinePitch;
      }
      y += 1.2;
    }
    pages.push_back(std::move(page));
  }
  return pages;
}

}  // namespace truepull
