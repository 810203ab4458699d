// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "drift/magnification.h"
#include "geometry/fixed_text.h"
#include "pages/html_text.h"
#include "pages/page_parts.h"
#include "pages/review_parts.h"

namespace truepull {
namespace {

std::string Num(double v) { return Fixed(v, 1); }

// 1, 2 or 5 times a power of ten, so that about `most` steps cover the reach.
double NiceStep(double reach, int most) {
  const double raw = std::max(reach, 1e-9) / most;
  const double power = std::pow(10, std::floor(std::log10(raw)));
  for (const double m : {1.0, 2.0, 5.0}) {
    if (m * power >= raw) return m * power;
  }
  return 10 * power;
}
int Decimals(double step) { return std::max(0, static_cast<int>(std::ceil(-std::log10(step) - 1e-9))); }

}  // namespace

std::string PageSentence(const std::string& text) {
  std::string out = EscapeHtml(Capitalised(text));
  if (!out.empty() && out.back() != '.' && out.back() != '?') out += '.';
  for (const char* unit : {" mm", " %"}) {  // A unit does not begin a line.
    for (std::size_t at = out.find(unit); at != std::string::npos; at = out.find(unit, at + 1)) out.replace(at, 1, "\u00a0");
  }
  return out;
}

std::string PageList(const std::vector<std::string>& sentences) {
  std::string out = "<ul>";
  for (const std::string& s : sentences) out += "<li>" + PageSentence(s) + "</li>\n";
  return out + "</ul>";
}

int CommonMagnification(const EditionReview& review) {
  std::vector<int> all;
  for (std::size_t i = 0; i < review.sheets.size(); ++i) {
    if (review.reviews[i].drift.sheet_part) all.push_back(Magnification(review.sheets[i].reading.plan, review.reviews[i].drift, false));
  }
  if (all.empty()) return 1;
  // The middle one: a single sheet far off must not shrink the others' arrows to dots.
  std::sort(all.begin(), all.end());
  return all[all.size() / 2];
}

std::string SheetMapSvg(const EditionReview& review, std::size_t sheet, int magnification, bool hand) {
  const Plan& plan = review.sheets[sheet].reading.plan;
  const SheetReview& r = review.reviews[sheet];
  const double w = plan.sheet.width_mm, h = plan.sheet.height_mm, line = w / 160;
  std::string svg = fmt::format(
      "<svg class=\"map\" viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"Sheet {}: {}, arrows {} times magnified\">"
      "<rect class=\"sheet\" width=\"{}\" height=\"{}\"/>",
      Num(w), Num(h), EscapeHtml(review.sheets[sheet].code), hand ? "the hand's part of the drift" : "drift of every site", magnification,
      Num(w), Num(h));
  const std::vector<SiteDrift>& sites = hand && !r.hand.empty() ? r.hand : r.drift.sites;
  for (const SiteDrift& d : sites) {
    const Point at = Apply(d.ideal, Centroid(OutlineAt(plan, d.site)));
    if (d.state == SiteState::kMissing) {
      const double a = 2.5 * line;
      svg += fmt::format("<path class=\"cross\" d=\"M{},{} l{},{} M{},{} l{},{}\" stroke-width=\"{}\"/>", Num(at.x - a), Num(at.y - a), Num(2 * a),
                         Num(2 * a), Num(at.x - a), Num(at.y + a), Num(2 * a), Num(-2 * a), Num(line));
      continue;
    }
    if (d.state == SiteState::kWeak) {
      svg += fmt::format("<circle class=\"weakring\" cx=\"{}\" cy=\"{}\" r=\"{}\" stroke-width=\"{}\" stroke-dasharray=\"{} {}\"/>", Num(at.x),
                         Num(at.y), Num(4 * line), Num(0.7 * line), Num(1.5 * line), Num(line));
    }
    const Point v = static_cast<double>(magnification) * (hand ? d.hand_shift : d.shift);
    const Point to = at + v;
    const double length = Norm(v);
    svg += fmt::format("<circle class=\"dot\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>", Num(at.x), Num(at.y), Num(0.8 * line));
    if (length < 0.5 * line) continue;
    const double head = std::min(5 * line, 0.6 * length);
    const Point u = (1 / length) * v, n{-u.y, u.x}, neck = to - head * u;
    const Point a = neck + 0.45 * head * n, b = neck - 0.45 * head * n;
    svg += fmt::format("<g class=\"arrow\"><line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" stroke-width=\"{}\"/><polygon points=\"{},{} {},{} {},{}\"/></g>",
                       Num(at.x), Num(at.y), Num(neck.x), Num(neck.y), Num(line), Num(to.x), Num(to.y), Num(a.x), Num(a.y), Num(b.x), Num(b.y));
  }
  return svg + "</svg>\n";
}

std::string RunPlotSvg(const EditionReview& review, const RunSeries& series) {
  const std::vector<int>& orders = series.orders;
  const RunChart& c = series.chart;
  const std::size_t n = c.values.size();
  constexpr double kWidth = 520, kHeight = 250, kLeft = 56, kRight = 14, kTop = 34, kBottom = 40;
  double low = c.centre, high = c.centre;
  for (const double v : c.values) low = std::min(low, v), high = std::max(high, v);
  if (!series.too_few) low = std::min(low, c.lower), high = std::max(high, c.upper);
  const double rim = std::max(0.08 * (high - low), 0.02);
  low -= rim, high += rim;
  const auto x = [&](double i) { return kLeft + (kWidth - kLeft - kRight) * (n > 1 ? (i + 0.5) / static_cast<double>(n) : 0.5); };
  const auto y = [&](double v) { return kTop + (kHeight - kTop - kBottom) * (high - v) / (high - low); };
  std::string label = fmt::format("{} ({}) in the order of printing", series.name, series.unit);
  std::string svg = fmt::format("<svg class=\"plot\" viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"{}\">"
                                "<text x=\"12\" y=\"21\" font-size=\"15\" font-weight=\"600\">{} ({})</text>",
                                kWidth, kHeight, EscapeHtml(label), EscapeHtml(Capitalised(series.name)), EscapeHtml(series.unit));
  const double step = NiceStep(high - low, 4);
  for (double v = std::ceil(low / step) * step; v <= high + 1e-9; v += step) {
    svg += fmt::format("<path class=\"axis\" d=\"M{},{} H{}\"/><text class=\"small\" x=\"{}\" y=\"{}\" font-size=\"12\" text-anchor=\"end\">{}</text>",
                       Num(kLeft), Num(y(v)), Num(kWidth - kRight), Num(kLeft - 6), Num(y(v) + 4), Fixed(v, Decimals(step)));
  }
  if (n > 1) svg += fmt::format("<path class=\"middle\" d=\"M{},{} H{}\"/>", Num(kLeft), Num(y(c.centre)), Num(kWidth - kRight));
  if (!series.too_few) {
    for (const double v : {c.lower, c.upper}) svg += fmt::format("<path class=\"limit\" d=\"M{},{} H{}\"/>", Num(kLeft), Num(y(v)), Num(kWidth - kRight));
  }
  std::string line;
  for (std::size_t i = 0; i < n; ++i) line += fmt::format("{}{},{}", i == 0 ? "M" : " L", Num(x(static_cast<double>(i))), Num(y(c.values[i])));
  svg += "<path class=\"line\" d=\"" + line + "\"/>";
  const std::size_t every = std::max<std::size_t>(1, n / 12);
  for (std::size_t i = 0; i < n; ++i) {
    const double px = x(static_cast<double>(i)), py = y(c.values[i]);
    const bool marked = std::any_of(series.signals.begin(), series.signals.end(), [&](const RunSignal& s) { return s.at == i; });
    if (marked) svg += fmt::format("<path class=\"mark\" d=\"M{},{} l6,6 l-6,6 l-6,-6 Z\"/>", Num(px), Num(py - 6));
    else svg += fmt::format("<circle class=\"dot\" cx=\"{}\" cy=\"{}\" r=\"3.5\"/>", Num(px), Num(py));
    if (i % every == 0) {
      svg += fmt::format("<text class=\"small\" x=\"{}\" y=\"{}\" font-size=\"12\" text-anchor=\"middle\">{}</text>", Num(px), Num(kHeight - 22),
                         i < orders.size() ? orders[i] : static_cast<int>(i) + 1);
    }
  }
  for (const EditionStep& s : review.steps) {
    if (s.paper != series.paper) continue;
    for (std::size_t i = 0; i + 1 < orders.size(); ++i) {
      if (orders[i] != s.after_order) continue;
      const double px = x(static_cast<double>(i) + 0.5);
      svg += fmt::format("<path class=\"step\" d=\"M{},{} V{}\"/><text x=\"{}\" y=\"{}\" font-size=\"12\" text-anchor=\"middle\">jump</text>", Num(px), Num(kTop),
                         Num(kHeight - kBottom), Num(px), Num(kTop - 2));
    }
  }
  svg += fmt::format("<text class=\"small\" x=\"{}\" y=\"{}\" font-size=\"12\" text-anchor=\"middle\">order of printing{}</text></svg>\n",
                     Num((kLeft + kWidth - kRight) / 2), Num(kHeight - 6), series.too_few ? ": too few sheets to say what is usual" : "");
  return svg;
}

std::string SpreadPlotSvg(const EditionReview& review) {
  std::vector<double> values;
  for (const SheetReview& r : review.reviews) {
    if (r.has_hand_sd && !r.photo.too_poor) values.push_back(r.hand_sd_mm);
  }
  if (values.empty()) return "";
  const ReviewThresholds& t = review.settings.thresholds;
  const double high = std::max(1.3 * t.good_mm, 1.1 * *std::max_element(values.begin(), values.end()));
  constexpr double kWidth = 520, kHeight = 130, kLeft = 20, kRight = 20, kBase = 84;
  const auto x = [&](double v) { return kLeft + (kWidth - kLeft - kRight) * v / high; };
  std::string svg = fmt::format("<svg class=\"plot\" viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"Spread of the hand on each of {} sheets, without codes\">"
                                "<path class=\"axis\" d=\"M{},{} H{}\"/>",
                                kWidth, kHeight, values.size(), Num(kLeft), Num(kBase), Num(kWidth - kRight));
  const double step = NiceStep(high, 6);
  for (double v = 0; v <= high + 1e-9; v += step) {
    svg += fmt::format("<text class=\"small\" x=\"{}\" y=\"{}\" font-size=\"12\" text-anchor=\"middle\">{}</text>", Num(x(v)), Num(kBase + 18), Fixed(v, Decimals(step)));
  }
  for (const auto& [v, words] : {std::pair(t.fine_mm, "careful"), std::pair(t.good_mm, "good school work")}) {
    svg += fmt::format("<path class=\"limit\" d=\"M{},22 V{}\"/><text class=\"small\" x=\"{}\" y=\"16\" font-size=\"12\" text-anchor=\"middle\">{}</text>", Num(x(v)),
                       Num(kBase), Num(x(v)), words);
  }
  // Dots stack where they would lie on one another.
  std::sort(values.begin(), values.end());
  std::vector<double> last_at;
  for (const double v : values) {
    std::size_t level = 0;
    while (level < last_at.size() && x(v) - last_at[level] < 9) ++level;
    if (level == last_at.size()) last_at.push_back(0);
    last_at[level] = x(v);
    svg += fmt::format("<circle class=\"dot\" cx=\"{}\" cy=\"{}\" r=\"4\"/>", Num(x(v)), Num(kBase - 8 - 9 * std::min<double>(static_cast<double>(level), 6)));
  }
  return svg + fmt::format("<text class=\"small\" x=\"{}\" y=\"{}\" font-size=\"12\" text-anchor=\"middle\">mm each way</text></svg>\n", Num(kWidth / 2), Num(kHeight - 8));
}

std::string ComponentsSvg(const EditionReview& review) {
  if (review.components.empty()) return "";
  double high = 0.1;
  for (const Component& c : review.components) high = std::max(high, c.rms_mm + 2 * c.sd_mm);
  constexpr double kWidth = 520, kRow = 30, kLeft = 150, kRight = 70;
  const double height = kRow * static_cast<double>(review.components.size()) + 14;
  std::string svg = fmt::format("<svg class=\"plot\" viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"What the drift is made of, in mm\">", kWidth, Num(height));
  double y = 10;
  for (const Component& c : review.components) {
    const double w = (kWidth - kLeft - kRight) * c.rms_mm / high, s = (kWidth - kLeft - kRight) * 2 * c.sd_mm / high;
    svg += fmt::format("<text x=\"{}\" y=\"{}\" font-size=\"13\" text-anchor=\"end\">{}</text><rect class=\"bar\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"16\"/>", Num(kLeft - 8),
                       Num(y + 13), EscapeHtml(c.name), Num(kLeft), Num(y), Num(w));
    if (s > 0.5) svg += fmt::format("<path class=\"whisker\" d=\"M{},{} H{}\"/>", Num(kLeft + std::max(0.0, w - s)), Num(y + 8), Num(kLeft + w + s));
    svg += fmt::format("<text x=\"{}\" y=\"{}\" font-size=\"13\">{} mm</text>", Num(kLeft + w + s + 6), Num(y + 13), Fixed(c.rms_mm, 2));
    y += kRow;
  }
  return svg + "</svg>\n";
}

}  // namespace truepull
