// SPDX-License-Identifier: Apache-2.0
// libxml2 reads the XML; what the elements mean is read here.
#include "truepull/svg_outline.h"

#include <fmt/format.h>
#include <libxml/parser.h>
#include <libxml/tree.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <initializer_list>
#include <memory>
#include <optional>
#include <vector>

#include "io/svg_path.h"
#include "truepull/units.h"

namespace truepull {
namespace {

// a c e / b d f, as SVG writes them.
struct Matrix {
  double a = 1, b = 0, c = 0, d = 1, e = 0, f = 0;
  Point operator()(Point p) const { return {a * p.x + c * p.y + e, b * p.x + d * p.y + f}; }
  Matrix operator*(const Matrix& m) const {
    return {a * m.a + c * m.b, b * m.a + d * m.b, a * m.c + c * m.d, b * m.c + d * m.d,
            a * m.e + c * m.f + e, b * m.e + d * m.f + f};
  }
  double Growth() const { return std::sqrt(std::max(1e-12, std::abs(a * d - b * c))); }
};

struct Shape {
  std::string kind, id, data;
  std::vector<double> numbers;  // Of a polygon or rect.
  Matrix matrix;
};

std::string Attribute(xmlNode* node, const char* name) {
  xmlChar* value = xmlGetNoNsProp(node, reinterpret_cast<const xmlChar*>(name));
  if (!value) return "";
  std::string text(reinterpret_cast<const char*>(value));
  xmlFree(value);
  return text;
}

std::vector<double> Numbers(xmlNode* node, std::initializer_list<const char*> names) {
  std::vector<double> out;
  for (const char* name : names) {
    const auto n = SvgNumbers(Attribute(node, name));
    out.push_back(n && n->size() == 1 ? (*n)[0] : 0);
  }
  return out;
}

// Millimetres of "60mm", "6cm", "2.4in", "12pt"; nothing for px, % or bare numbers: how
// large those are is not said in the file.
std::optional<double> Length(const std::string& text) {
  for (const auto& [unit, mm] : {std::pair("mm", 1.0), std::pair("cm", 10.0), std::pair("in", 25.4), std::pair("pt", 25.4 / 72)}) {
    if (text.size() > 2 && text.substr(text.size() - 2) == unit) {
      const auto numbers = SvgNumbers(text.substr(0, text.size() - 2));
      if (numbers && numbers->size() == 1 && (*numbers)[0] > 0) return mm * (*numbers)[0];
    }
  }
  return std::nullopt;
}

std::optional<Matrix> Transform(const std::string& text) {
  Matrix all;
  std::size_t at = 0;
  while ((at = text.find_first_not_of(" ,\t\r\n", at)) != std::string::npos) {
    const std::size_t open = text.find('(', at), close = text.find(')', at);
    if (open == std::string::npos || close == std::string::npos || close < open) return std::nullopt;
    std::string word = text.substr(at, open - at);
    while (!word.empty() && word.back() == ' ') word.pop_back();
    const auto n = SvgNumbers(text.substr(open + 1, close - open - 1));
    if (!n || n->empty()) return std::nullopt;
    const auto& v = *n;
    Matrix m;
    if (word == "matrix" && v.size() == 6) {
      m = {v[0], v[1], v[2], v[3], v[4], v[5]};
    } else if (word == "translate" && v.size() <= 2) {
      m = {1, 0, 0, 1, v[0], v.size() > 1 ? v[1] : 0};
    } else if (word == "scale" && v.size() <= 2) {
      m = {v[0], 0, 0, v.size() > 1 ? v[1] : v[0], 0, 0};
    } else if (word == "rotate" && (v.size() == 1 || v.size() == 3)) {
      const Rotation r(RadFromDeg(v[0]));
      const Point p = v.size() == 3 ? Point{v[1], v[2]} : Point{};
      m = {r.c, r.s, -r.s, r.c, p.x - r.c * p.x + r.s * p.y, p.y - r.s * p.x - r.c * p.y};
    } else {
      return std::nullopt;
    }
    all = all * m;
    at = close + 1;
  }
  return all;
}

// Collects shapes; false where a transform cannot be read.
bool Collect(xmlNode* node, const Matrix& above, int depth, std::vector<Shape>& out) {
  for (xmlNode* child = node->children; child; child = child->next) {
    if (child->type != XML_ELEMENT_NODE || depth > 50) continue;
    const std::string kind(reinterpret_cast<const char*>(child->name));
    if (kind == "defs" || kind == "clipPath" || kind == "symbol") continue;
    const auto own = Transform(Attribute(child, "transform"));
    if (!own) return false;
    const Matrix matrix = above * *own;
    if (kind == "g" || kind == "a" || kind == "svg") {
      if (!Collect(child, matrix, depth + 1, out)) return false;
    } else if (kind == "path") {
      out.push_back({kind, Attribute(child, "id"), Attribute(child, "d"), {}, matrix});
    } else if (kind == "polygon") {
      out.push_back({kind, Attribute(child, "id"), "", SvgNumbers(Attribute(child, "points")).value_or(std::vector<double>{}), matrix});
    } else if (kind == "polyline" || kind == "line") {
      std::vector<double> v = SvgNumbers(Attribute(child, "points")).value_or(std::vector<double>{});
      if (kind == "line") v = Numbers(child, {"x1", "y1", "x2", "y2"});
      out.push_back({kind, Attribute(child, "id"), "", v, matrix});
    } else if (kind == "circle" || kind == "ellipse") {
      std::vector<double> v = kind == "circle" ? Numbers(child, {"cx", "cy", "r", "r"}) : Numbers(child, {"cx", "cy", "rx", "ry"});
      const std::string arcs = fmt::format("M{0} {1}a{2} {3} 0 1 0 {4} 0a{2} {3} 0 1 0 -{4} 0z", v[0] - v[2], v[1], v[2], v[3], 2 * v[2]);
      out.push_back({kind, Attribute(child, "id"), arcs, {}, matrix});
    } else if (kind == "rect") {
      const std::vector<double> v = Numbers(child, {"x", "y", "width", "height"});
      out.push_back({kind, Attribute(child, "id"), "", {v[0], v[1], v[0] + v[2], v[1], v[0] + v[2], v[1] + v[3], v[0], v[1] + v[3]}, matrix});
    }
  }
  return true;
}

// Every shape of a drawing, with what turns its units into mm.
Result<std::vector<Shape>> ShapesOf(std::string_view text, const std::string& name) {
  const auto wrong = [&](const std::string& sentence, const std::string& hint = "") {
    return Error{ErrorCode::kInvalidFile, name + ": " + sentence, hint};
  };
  // No network, no entities from outside, no messages on the terminal.
  const std::unique_ptr<xmlDoc, decltype(&xmlFreeDoc)> document(
      xmlReadMemory(text.data(), static_cast<int>(text.size()), "drawing.svg", nullptr,
                    XML_PARSE_NONET | XML_PARSE_NOERROR | XML_PARSE_NOWARNING),
      &xmlFreeDoc);
  xmlNode* root = document ? xmlDocGetRootElement(document.get()) : nullptr;
  if (!root) return wrong("is not whole XML, so it cannot be a drawing", "save it again as SVG");
  if (std::string(reinterpret_cast<const char*>(root->name)) != "svg") return wrong("holds no svg drawing");
  const auto width = Length(Attribute(root, "width")), height = Length(Attribute(root, "height"));
  if (!width || !height) {
    return wrong("does not say how large it is in mm", "give the svg a width and a height in mm, cm, in or pt (px has no fixed size)");
  }
  const auto box = SvgNumbers(Attribute(root, "viewBox"));
  if (!box || box->size() != 4 || !((*box)[2] > 0) || !((*box)[3] > 0)) {
    return wrong("has no viewBox, so its units have no size", "give the svg a viewBox");
  }
  const double sx = *width / (*box)[2], sy = *height / (*box)[3];
  if (std::abs(sx - sy) > 1e-3 * sx) {
    return wrong(fmt::format("is stretched: one unit is {:.4f} mm across and {:.4f} mm down", sx, sy), "make width and height fit the viewBox");
  }
  std::vector<Shape> shapes;
  if (!Collect(root, {sx, 0, 0, sx, 0, 0}, 0, shapes)) {
    return wrong("has a transform that is not understood", "use matrix, translate, scale or rotate");
  }
  return shapes;
}

// The lines of a shape, in mm.
Result<std::vector<FlatLine>> LinesOf(const Shape& shape, const std::string& name) {
  std::vector<FlatLine> lines;
  if (!shape.data.empty() || shape.kind == "path") {
    auto flat = FlattenSvgPath(shape.data, 0.02 / shape.matrix.Growth());
    if (!flat) return Error{ErrorCode::kInvalidFile, name + ": the path " + flat.error().message, ""};
    lines = *flat;
  } else {
    FlatLine line;
    line.closed = shape.kind == "polygon" || shape.kind == "rect";
    for (std::size_t i = 0; i + 1 < shape.numbers.size(); i += 2) line.points.push_back({shape.numbers[i], shape.numbers[i + 1]});
    lines.push_back(line);
  }
  for (FlatLine& line : lines) {
    for (Point& p : line.points) p = shape.matrix(p);
  }
  return lines;
}

bool CanBeOutline(const Shape& s) { return s.kind == "path" || s.kind == "polygon" || s.kind == "rect"; }

// What is drawn besides the outline; lines that cannot be read are errors too.
Result<std::vector<DrawnLine>> DrawingOf(const std::vector<Shape>& shapes, const Shape* outline, const std::string& name) {
  std::vector<DrawnLine> drawing;
  for (const Shape& s : shapes) {
    if (&s == outline) continue;
    const auto lines = LinesOf(s, name);
    if (!lines) return lines.error();
    for (const FlatLine& line : *lines) {
      if (line.points.size() > 1) drawing.push_back({line.points, line.closed});
    }
  }
  return drawing;
}

}  // namespace

bool LooksLikeSvg(std::string_view text) {
  if (text.substr(0, 3) == "\xEF\xBB\xBF") text.remove_prefix(3);
  const std::size_t first = text.find_first_not_of(" \t\r\n");
  return first != std::string_view::npos && text[first] == '<';
}

Result<TileInput> ParseSvgOutline(std::string_view text, const std::string& name) {
  const auto wrong = [&](const std::string& sentence, const std::string& hint = "") {
    return Error{ErrorCode::kInvalidFile, name + ": " + sentence, hint};
  };
  const auto shapes = ShapesOf(text, name);
  if (!shapes) return shapes.error();
  const auto fit = std::count_if(shapes->begin(), shapes->end(), CanBeOutline);
  if (fit == 0) return wrong("holds no path, polygon or rect", "draw the outline as one path");
  const Shape* shape = nullptr;
  for (const Shape& s : *shapes) {
    if (CanBeOutline(s) && (shapes->size() == 1 || s.id == "outline")) shape = &s;
  }
  if (!shape) {
    return wrong(fmt::format("holds {} shapes, and none has the id \"outline\"", shapes->size()), "give the tile's outline the id outline");
  }
  const auto lines = LinesOf(*shape, name);
  if (!lines) return lines.error();
  if (lines->size() != 1) {
    return wrong(fmt::format("the outline is made of {} lines; a tile has one, without holes", lines->size()));
  }
  const FlatLine& line = lines->front();
  if (!line.closed && line.points.size() > 1) {
    const Point a = line.points.front(), b = line.points.back();
    return wrong(fmt::format("the outline's ends do not meet: it begins at ({:.2f}, {:.2f}) and ends at ({:.2f}, {:.2f}) mm, {:.2f} mm apart", a.x, a.y, b.x, b.y,
                             Norm(b - a)),
                 "close the path (Z)");
  }
  TileInput input;
  input.outline = line.points;
  auto drawing = DrawingOf(*shapes, shape, name);
  if (!drawing) return drawing.error();
  input.drawing = *std::move(drawing);
  return input;
}

Result<std::vector<DrawnLine>> ParseSvgDrawing(std::string_view text, const std::string& name) {
  const auto shapes = ShapesOf(text, name);
  if (!shapes) return shapes.error();
  const Shape* outline = nullptr;
  for (const Shape& s : *shapes) {
    if (s.id == "outline") outline = &s;
  }
  return DrawingOf(*shapes, outline, name);
}

}  // namespace truepull
