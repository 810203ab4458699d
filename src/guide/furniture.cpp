// SPDX-License-Identifier: Apache-2.0
#include "guide/furniture.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "guide/clearance.h"
#include "guide/make_marks.h"

namespace truepull {
namespace {

constexpr Stroke kBarStroke{Ink::kBlack, 0.25, Dash::kFull};

// A bar in its own frame (along x), carried to the page by `place`.
template <typename Place>
void AddBar(Place place, double length_mm, std::vector<Mark>& out) {
  out.push_back(Line(MarkRole::kBar, {place(0, 0), place(kBarMm, 0)}, kBarStroke));
  if (length_mm > kBarMm) out.push_back(Line(MarkRole::kBar, {place(0, 0), place(length_mm, 0)}, kBarStroke));
  const int tens = static_cast<int>(std::lround(length_mm / 10));
  for (int i = 0; i <= tens; ++i) {
    const double half = i == 0 || i == 10 || i == tens ? 2.2 : i % 5 == 0 ? 1.4 : 0.8;
    out.push_back(Line(MarkRole::kBar, {place(10 * i, -half), place(10 * i, half)}, kBarStroke));
  }
}

constexpr double kBarWordsCap = 2.4;
constexpr double kBarWordsOffMm = 2.6;  // Clear of the strokes at tens; they end before the one at 100.

// "100 mm along x, 180 in all".
std::string BarWords(const char* axis, double length_mm) {
  std::string words = fmt::format("100 mm along {}", axis);
  if (length_mm > kBarMm) words += fmt::format(", {:.0f} in all", length_mm);
  return words;
}

}  // namespace

void AddLetter(const Box& b, std::vector<Mark>& out) {
  const double w = 0.16 * b.Height();  // Of the stroke.
  const Stroke stroke{Ink::kBlack, w, Dash::kFull};
  const double top = b.top + w / 2;
  const double middle = b.top + 0.54 * b.Height();
  const double r = (middle - top) / 2;
  const double arc_x = b.right - w / 2 - r;
  out.push_back(Line(MarkRole::kLetter, {{b.left + w / 2, b.top}, {b.left + w / 2, b.bottom}}, stroke));
  std::vector<Point> bowl{{b.left + w / 2, top}};
  for (int i = 0; i <= 16; ++i) {
    const Rotation turn(std::numbers::pi * i / 16);
    bowl.push_back(Point{arc_x, top + r} + turn * Point{0, -r});
  }
  bowl.push_back({b.left + w / 2, middle});
  out.push_back(Line(MarkRole::kLetter, bowl, stroke));
  out.push_back(Line(MarkRole::kLetter, {{arc_x - 0.1 * b.Width(), middle}, {b.right - w / 2, b.bottom}},
                     stroke));
}

// The words stand beside the bar, not after it: the bar is as long as the room.
double BarLength(double room_mm) { return std::clamp(10 * std::floor(room_mm / 10 + 1e-9), kBarMm, kLongestBarMm); }

void AddBarX(Point from, std::vector<Mark>& out, double room_mm) {
  const double length = BarLength(room_mm);
  AddBar([&](double along, double across) { return from + Point{along, across}; }, length, out);
  out.push_back(Words(BarWords("x", length), from + Point{3, -kBarWordsOffMm}, kBarWordsCap));
}

void AddBarY(Point from, std::vector<Mark>& out, double room_mm) {
  const double length = BarLength(room_mm);
  AddBar([&](double along, double across) { return from + Point{across, along}; }, length, out);
  Mark words = Words(BarWords("y", length), from + Point{kBarWordsOffMm, 3}, kBarWordsCap);
  std::get<TextMark>(words.what).quarter_turns = 1;
  out.push_back(words);
}

void SeparateWindows(PageMap& map) {
  for (std::size_t i = 0; i < map.windows.size(); ++i) {
    for (std::size_t j = i + 1; j < map.windows.size(); ++j) {
      Box &a = map.windows[i], &b = map.windows[j];
      const double wide = std::min(a.right, b.right) - std::max(a.left, b.left), high = std::min(a.bottom, b.bottom) - std::max(a.top, b.top);
      if (wide <= 0 || high <= 0) continue;
      if (wide < high) {
        Box &left = a.left + a.right < b.left + b.right ? a : b, &right = &left == &a ? b : a;
        left.right = right.left = (left.right + right.left) / 2;
      } else {
        Box &upper = a.top + a.bottom < b.top + b.bottom ? a : b, &lower = &upper == &a ? b : a;
        upper.bottom = lower.top = (upper.bottom + lower.top) / 2;
      }
    }
  }
}

void AddMap(const Box& box, const PageMap& map, std::vector<Mark>& out) {
  const double scale = std::min(box.Width() / (map.width_mm + 2 * kBorderMm),
                                box.Height() / (map.height_mm + 2 * kBorderMm));
  const Point origin{box.right - scale * (map.width_mm + kBorderMm),
                     box.top + scale * kBorderMm};
  const auto small = [&](const Box& b) {
    return Box{origin.x + scale * b.left, origin.y + scale * b.top, origin.x + scale * b.right,
               origin.y + scale * b.bottom};
  };
  for (std::size_t i = 0; i < map.windows.size(); ++i) {
    const Box b = small(map.windows[i]);
    if (static_cast<int>(i) == map.current) {
      out.push_back(Filled(MarkRole::kMap, Rectangle(b), Ink::kPale));
    }
  }
  for (std::size_t i = 0; i < map.windows.size(); ++i) {
    const Box b = small(map.windows[i]);
    out.push_back(Closed(MarkRole::kMap, Rectangle(b), {Ink::kGrey, 0.15, Dash::kFull}));
    const double cap = std::min({box.Height() > 30 ? 5.0 : 3.0, 0.5 * b.Height(), 0.4 * b.Width()});
    Mark number = Words(fmt::format("{}", static_cast<int>(i) + map.first_number),
                        {(b.left + b.right) / 2, (b.top + b.bottom + cap) / 2}, cap,
                        Anchor::kMiddle, true);
    number.role = MarkRole::kMap;
    out.push_back(number);
  }
  out.push_back(Closed(MarkRole::kMap, Rectangle(small({0, 0, map.width_mm, map.height_mm})),
                       {Ink::kBlack, 0.3, Dash::kFull}));
}

void AddHeader(const Guide& guide, const Box& strip, const std::string& page_label,
               const PageMap* map, std::vector<Mark>& out) {
  const double letter_height = 17, letter_width = 12;
  AddLetter({strip.left, strip.top, strip.left + letter_width, strip.top + letter_height}, out);
  const double left = strip.left + letter_width + 5;
  double map_width = 0;
  if (map != nullptr) {
    const double scale = 19 / (map->height_mm + 2 * kBorderMm);
    map_width = std::min(40.0, scale * (map->width_mm + 2 * kBorderMm));
  }
  const double width = strip.right - (map != nullptr ? map_width + 4 : 0) - left;
  const GuideWords& words = guide.words;
  const auto line = [&](const std::string& text, double base, double most, bool bold) {
    const double cap = FittingCap(text, width, most, 1.8, bold);
    out.push_back(Words(text, {left, strip.top + base}, cap, Anchor::kStart, bold));
  };
  line(words.face, 5, 5, true);
  line(words.use.empty() ? words.face_detail : words.face_detail + ". " + words.use, 9.6, 2.9, !words.use.empty());
  line(words.title + "; " + words.pass, 15, 3.2, true);
  line(page_label.empty() ? words.state : page_label + "; " + words.state, 19.6, 2.8, true);
  if (map != nullptr) AddMap({strip.right - map_width, strip.top, strip.right, strip.top + 19}, *map, out);
}

void AddEdgeNames(const Guide& guide, const Box& window, Point offset, std::vector<Mark>& out) {
  const double w = guide.width_mm, h = guide.height_mm;
  constexpr double kCap = 2.8, kOff = 3.6;
  std::vector<Segment> lines = SegmentsOf(out);
  // Places along an edge from the visible stretch's middle outwards.
  const auto place = [&](std::string name, bool along_x, double edge, double from, double to) {
    from = std::max(from, 0.0);
    const double width = TextWidth(name, kCap, true);
    const double middle = (from + to) / 2;
    TextMark best;
    double best_clearance = -1;
    for (double d = 0; d < (to - from - width) / 2; d += 2) {
      for (const double at : {middle - d, middle + d}) {
        TextMark t;
        t.text = name;
        t.cap_mm = kCap;
        t.bold = true;
        t.anchor = Anchor::kMiddle;
        if (along_x) {
          t.at = {at, edge == 0 ? -kOff : edge + kOff + kCap};
        } else {
          t.quarter_turns = edge == 0 ? 3 : 1;
          t.at = {edge == 0 ? -kOff : edge + kOff, at};
        }
        t.at = t.at + offset;
        const double clearance = Clearance(TextBox(t), lines, 2.0);
        if (clearance > best_clearance) best = t, best_clearance = clearance;
      }
      if (best_clearance >= 2.0) break;
    }
    if (best_clearance >= 0.5) out.push_back({MarkRole::kWords, "", best});
    lines = SegmentsOf(out);
  };
  if (window.top < 0) place("TOP EDGE", true, 0, window.left, std::min(window.right, w));
  if (window.bottom > h) place("BOTTOM EDGE", true, h, window.left, std::min(window.right, w));
  const std::string left = guide.mirrored ? "RIGHT EDGE" : "LEFT EDGE";
  const std::string right = guide.mirrored ? "LEFT EDGE" : "RIGHT EDGE";
  if (window.left < 0) place(left, false, 0, window.top, std::min(window.bottom, h));
  if (window.right > w) place(right, false, w, window.top, std::min(window.bottom, h));
}

}  // namespace truepull
