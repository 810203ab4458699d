// SPDX-License-Identifier: Apache-2.0
#include "io/svg_path.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <numbers>

namespace truepull {
namespace {

bool IsGap(char c) { return c == ' ' || c == ',' || c == '\t' || c == '\n' || c == '\r'; }

// Reads one number at `at` and moves past it.
std::optional<double> TakeNumber(std::string_view text, std::size_t& at) {
  while (at < text.size() && IsGap(text[at])) ++at;
  std::size_t begin = at;
  if (begin < text.size() && text[begin] == '+') ++begin;
  double value = 0;
  const auto [end, fault] = std::from_chars(text.data() + begin, text.data() + text.size(), value);
  if (fault != std::errc() || !std::isfinite(value)) return std::nullopt;
  at = static_cast<std::size_t>(end - text.data());
  return value;
}

class Flattener {
 public:
  Flattener(const std::string& data, double tolerance) : data_(data), tolerance_(tolerance) {}

  Result<std::vector<FlatLine>> Run() {
    while (SkipGaps(), at_ < data_.size()) {
      if (std::isalpha(static_cast<unsigned char>(data_[at_]))) command_ = data_[at_++];
      else if (command_ == 0 || command_ == 'Z' || command_ == 'z') return Fault("does not begin with a command");
      if (lines_.empty() && line_.empty() && command_ != 'M' && command_ != 'm') return Fault("does not begin with M");
      if (!Step()) return Fault("cannot be read");
    }
    Finish();
    if (lines_.empty()) return Error{ErrorCode::kInvalidFile, "is empty", ""};
    return lines_;
  }

 private:
  Error Fault(const std::string& what) const {
    return {ErrorCode::kInvalidFile, fmt::format("{} at its letter {}", what, std::min(at_, data_.size()) + 1), ""};
  }
  void SkipGaps() {
    while (at_ < data_.size() && IsGap(data_[at_])) ++at_;
  }
  bool Take(double& v) {
    const auto n = TakeNumber(data_, at_);
    if (n) v = *n;
    return n.has_value();
  }
  bool TakePoint(Point& p, bool relative) {
    if (!Take(p.x) || !Take(p.y)) return false;
    if (relative) p = p + now_;
    return true;
  }
  void LineTo(Point p) {
    line_.push_back(p);
    now_ = p;
  }
  void Finish(bool closed = false) {
    // Twice the same place is one place: the end of a closed line, or a stop of the pen.
    Outline kept;
    for (const Point& p : line_) {
      if (kept.empty() || Norm(p - kept.back()) > 1e-9) kept.push_back(p);
    }
    while (kept.size() > 1 && Norm(kept.back() - kept.front()) < 1e-6) {
      kept.pop_back();
      closed = true;
    }
    if (kept.size() > 1) lines_.push_back({kept, closed});
    line_.clear();
  }
  void Cubic(Point a, Point b, Point c, Point d) {
    // Chords over 1/n of a curve stray by at most |second derivative| / (8 n^2).
    const double bend = 6 * std::max(Norm(a - 2.0 * b + c), Norm(b - 2.0 * c + d));
    const int parts = std::clamp(static_cast<int>(std::ceil(std::sqrt(bend / (8 * tolerance_)))), 1, 2000);
    for (int k = 1; k <= parts; ++k) {
      const double t = static_cast<double>(k) / parts, u = 1 - t;
      LineTo(k == parts ? d : u * u * u * a + 3 * u * u * t * b + 3 * u * t * t * c + t * t * t * d);
    }
  }
  // Endpoint to centre form: SVG 1.1, appendix F.6.5.
  void Arc(double rx, double ry, double turn_deg, bool large, bool sweep, Point to) {
    rx = std::abs(rx);
    ry = std::abs(ry);
    if (rx == 0 || ry == 0) return LineTo(to);
    const Rotation r(turn_deg * std::numbers::pi / 180), back(-turn_deg * std::numbers::pi / 180);
    const Point from = now_;
    Point h = back * (0.5 * (from - to));
    const double over = h.x * h.x / (rx * rx) + h.y * h.y / (ry * ry);
    if (over > 1) {
      rx *= std::sqrt(over);
      ry *= std::sqrt(over);
    }
    const double bottom = rx * rx * h.y * h.y + ry * ry * h.x * h.x;
    if (bottom == 0) return;
    double root = std::sqrt(std::max(0.0, rx * rx * ry * ry / bottom - 1));
    if (large == sweep) root = -root;
    const Point middle{root * rx * h.y / ry, -root * ry * h.x / rx};
    const Point centre = r * middle + 0.5 * (from + to);
    const double start = std::atan2((h.y - middle.y) / ry, (h.x - middle.x) / rx);
    const double end = std::atan2((-h.y - middle.y) / ry, (-h.x - middle.x) / rx);
    double span = end - start;
    if (sweep && span < 0) span += 2 * std::numbers::pi;
    if (!sweep && span > 0) span -= 2 * std::numbers::pi;
    // A chord over the angle a strays by r (1 - cos(a / 2)), about r a^2 / 8.
    const int parts = std::clamp(static_cast<int>(std::ceil(std::abs(span) / std::sqrt(8 * tolerance_ / std::max(rx, ry)))), 1, 2000);
    for (int k = 1; k < parts; ++k) {
      const double a = start + span * k / parts;
      LineTo(centre + r * Point{rx * std::cos(a), ry * std::sin(a)});
    }
    LineTo(to);
  }

  bool Step() {
    const bool relative = std::islower(static_cast<unsigned char>(command_));
    Point a, b, c;
    const Point from = now_;
    const char kind = static_cast<char>(std::toupper(static_cast<unsigned char>(command_)));
    const Point mirror = 2.0 * from - control_;
    const char before = kind_before_;
    kind_before_ = kind;
    switch (kind) {
      case 'M':
        if (!TakePoint(a, relative)) return false;
        Finish();
        start_ = a;
        LineTo(a);
        command_ = relative ? 'l' : 'L';  // Further pairs are lines.
        return true;
      case 'Z':
        Finish(true);
        now_ = start_;
        return true;
      case 'L': break;
      case 'H':
        if (!Take(a.x)) return false;
        Resume(from);
        LineTo({relative ? from.x + a.x : a.x, from.y});
        return true;
      case 'V':
        if (!Take(a.y)) return false;
        Resume(from);
        LineTo({from.x, relative ? from.y + a.y : a.y});
        return true;
      case 'C':
      case 'S':
        if (kind == 'C' && !TakePoint(a, relative)) return false;
        if (kind == 'S') a = before == 'C' || before == 'S' ? mirror : from;
        if (!TakePoint(b, relative) || !TakePoint(c, relative)) return false;
        Resume(from);
        Cubic(from, a, b, c);
        control_ = b;
        return true;
      case 'Q':
      case 'T':
        if (kind == 'Q' && !TakePoint(a, relative)) return false;
        if (kind == 'T') a = before == 'Q' || before == 'T' ? mirror : from;
        if (!TakePoint(c, relative)) return false;
        Resume(from);
        Cubic(from, from + (2.0 / 3) * (a - from), c + (2.0 / 3) * (a - c), c);
        control_ = a;
        return true;
      case 'A': {
        double rx = 0, ry = 0, turn = 0;
        if (!Take(rx) || !Take(ry) || !Take(turn)) return false;
        bool flags[2] = {};
        for (bool& flag : flags) {  // Flags may run together: "01".
          SkipGaps();
          if (at_ >= data_.size() || (data_[at_] != '0' && data_[at_] != '1')) return false;
          flag = data_[at_++] == '1';
        }
        if (!TakePoint(a, relative)) return false;
        Resume(from);
        Arc(rx, ry, turn, flags[0], flags[1], a);
        return true;
      }
      default: return false;
    }
    if (!TakePoint(a, relative)) return false;
    Resume(from);
    LineTo(a);
    return true;
  }
  // After Z a line goes on from where the last one began.
  void Resume(Point from) {
    if (line_.empty()) line_.push_back(from);
  }

  const std::string& data_;
  double tolerance_;
  std::size_t at_ = 0;
  char command_ = 0, kind_before_ = 0;
  Point now_, start_, control_;
  Outline line_;
  std::vector<FlatLine> lines_;
};

}  // namespace

std::optional<std::vector<double>> SvgNumbers(std::string_view text) {
  std::vector<double> numbers;
  for (std::size_t at = 0;;) {
    while (at < text.size() && IsGap(text[at])) ++at;
    if (at >= text.size()) return numbers;
    const auto n = TakeNumber(text, at);
    if (!n) return std::nullopt;
    numbers.push_back(*n);
  }
}

Result<std::vector<FlatLine>> FlattenSvgPath(const std::string& data, double tolerance) {
  return Flattener(data, tolerance).Run();
}

}  // namespace truepull
