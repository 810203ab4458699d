// SPDX-License-Identifier: Apache-2.0
#include "cli/tile_job.h"

#include <fmt/format.h>

#include <algorithm>
#include <system_error>

#include "geometry/fixed_text.h"
#include "truepull/draw.h"
#include "truepull/drawing_file.h"
#include "truepull/io.h"
#include "truepull/outline_mean.h"
#include "truepull/photo_file.h"
#include "truepull/svg_outline.h"

namespace truepull {
namespace {

namespace fs = std::filesystem;

constexpr double kPicturePxPerMm = 10;   // A tile of 60 mm makes 840 pixels.

// The message with the file's name before it, unless it says so itself.
Error Named(Error error, const std::string& name) {
  if (error.message.rfind(name, 0) != 0) error.message = name + ": " + error.message;
  return error;
}

bool HasEnding(const fs::path& path, std::initializer_list<const char*> endings) {
  std::string ending = path.extension().string();
  std::transform(ending.begin(), ending.end(), ending.begin(), [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return std::find(endings.begin(), endings.end(), ending) != endings.end();
}

Result<JudgedTile> FromText(const fs::path& file, const std::string& name, double tolerance_mm) {
  const auto text = ReadWholeFile(file, std::size_t{16} << 20);
  if (!text) return text.error();
  auto input = LooksLikeSvg(*text) ? ParseSvgOutline(*text, name) : ParseTile(*text, name);
  if (!input) return input.error();
  if (!input->drawing_file.empty()) {
    auto lines = LoadDrawing(file.parent_path(), input->drawing_file, name);
    if (!lines) return lines.error();
    input->drawing = *std::move(lines);
  }
  return JudgeTile(*input, tolerance_mm);
}

std::string TraceTable(const Outline& outline) {
  std::string out = "x_mm,y_mm\n";
  for (const Point p : outline) out += fmt::format("{},{}\n", Fixed(p.x, 4), Fixed(p.y, 4));
  return out;
}

std::string HowItRepeats(const TileReport& report) {
  if (!report.repeats) return "";
  if (report.shifts) return "by shifts";
  if (report.half_turns) return "by shifts and half turns";
  return "turned by " + TurnsInWords(report.cell) + " degrees";
}

TileVerdict VerdictOn(const Result<JudgedTile>& tile, const std::string& code, const std::string& from) {
  TileVerdict v;
  v.code = code;
  v.from = from;
  if (!tile) {
    v.sentences.push_back(tile.error().message);
    return v;
  }
  const TileReport& report = tile->report;
  v.how = HowItRepeats(report);
  v.outline = report.outline;
  v.worst = tile->worst;
  v.worst_mm = tile->worst_mm;
  const bool exact = tile->worst.empty() || tile->worst_mm < 0.02;
  v.state = !report.repeats ? TileVerdict::State::kNot : exact ? TileVerdict::State::kRepeats : TileVerdict::State::kClosed;
  v.ringed = tile->faults;
  for (const WeakPlace& w : tile->weak_places) v.ringed.push_back(w.at);
  // The closing and the misfit are told by the verdict itself.
  for (const std::string& f : report.findings) {
    if (tile->worst.empty() || f.find(tile->worst) == std::string::npos) v.sentences.push_back(f);
  }
  v.sentences.insert(v.sentences.end(), tile->notes.begin(), tile->notes.end());
  return v;
}

}  // namespace

Result<FileTiles> TilesOfFile(const fs::path& file, double tolerance_mm, const TilePhotoOptions& options, bool quiet) {
  FileTiles out;
  out.name = file.filename().string();
  if (!HasPhotoName(file)) {
    auto tile = FromText(file, out.name, tolerance_mm);
    if (!tile) return Named(tile.error(), out.name);
    out.tiles.push_back({*std::move(tile), {}});
    return out;
  }
  if (const Status ok = CheckPhotoOptions(out.name, options); !ok) return ok.error();
  ProgressLine progress("opening " + out.name, quiet);
  auto photo = TilesInPhoto(file, options, progress);
  if (!photo) return photo.error();
  out.findings = photo->findings;
  out.notes = photo->notes;
  for (PhotoTile& t : photo->tiles) {
    progress.Now(fmt::format("judging tile {} of {}", out.tiles.size() + 1, photo->tiles.size()));
    auto tile = JudgeTile(t.input, tolerance_mm, &t.from);
    if (tile) tile->drawing = t.drawing;
    out.tiles.push_back({tile ? Result<JudgedTile>(*std::move(tile)) : Named(tile.error(), out.name), t.on_sheet});
  }
  return out;
}

Result<FileTiles> TileOfSeveralPhotos(const std::vector<fs::path>& photos, double tolerance_mm, const TilePhotoOptions& options, bool quiet) {
  FileTiles out;
  std::vector<PhotoTile> tiles;
  ProgressLine progress("opening the photos", quiet);
  for (const fs::path& file : photos) {
    const std::string name = file.filename().string();
    if (!HasPhotoName(file)) return Error{ErrorCode::kBadArgument, name + ": is no photo, so it cannot show the same tile as the others", "leave --one-tile out"};
    if (const Status ok = CheckPhotoOptions(name, options); !ok) return ok.error();
    auto photo = TilesInPhoto(file, options, progress);
    if (!photo) return photo.error();
    if (photo->tiles.size() != 1) {
      return Error{ErrorCode::kPhotoUnusable, fmt::format("{}: shows {} tiles; with --one-tile every photo shows one, the same", name, photo->tiles.size()), "leave the others off the sheet"};
    }
    tiles.push_back(std::move(photo->tiles[0]));
    out.findings.insert(out.findings.end(), photo->findings.begin(), photo->findings.end());
    out.name += (out.name.empty() ? "" : ", ") + name;
  }
  std::vector<Outline> outlines;
  for (const PhotoTile& t : tiles) outlines.push_back(t.input.outline);
  const OutlineMean mean = MeanOutline(outlines);
  for (std::size_t k = 0; k < tiles.size(); ++k) {
    // The same tile is traced alike to a tenth or two; another one is millimetres off.
    if (mean.rms_mm[k] > 0.5) {
      return Error{ErrorCode::kPhotoUnusable, fmt::format("{}: its tile is {:.1f} mm off that of {} (RMS), so it is another one or seen from the other side", tiles[k].from.photo, mean.rms_mm[k], tiles[0].from.photo),
                   "leave --one-tile out to judge each by itself"};
    }
    if (k > 0) out.notes.push_back(fmt::format("{}: its edge is {:.3f} mm off that of {} (RMS)", tiles[k].from.photo, mean.rms_mm[k], tiles[0].from.photo));
  }
  TileInput input = tiles[0].input;
  input.outline = mean.outline;
  TracedFrom from = tiles[0].from;
  from.photo = out.name;
  progress.Now("judging the tile");
  auto tile = JudgeTile(input, tolerance_mm, &from);
  if (!tile) return Named(tile.error(), out.name);
  tile->drawing = tiles[0].drawing;
  out.tiles.push_back({*std::move(tile), tiles[0].on_sheet});
  return out;
}

Result<std::vector<fs::path>> TileFilesIn(const std::vector<std::string>& given) {
  std::vector<fs::path> files;
  for (const std::string& word : given) {
    std::error_code ec;
    if (!fs::is_directory(word, ec)) {
      files.emplace_back(word);
      continue;
    }
    std::vector<fs::path> inside;
    for (const auto& entry : fs::directory_iterator(word, ec)) {
      const bool hidden = entry.path().filename().string()[0] == '.';
      const bool wanted = HasPhotoName(entry.path()) || HasEnding(entry.path(), {".yaml", ".yml", ".svg"});
      if (!hidden && wanted && entry.is_regular_file(ec)) inside.push_back(entry.path());
    }
    if (inside.empty()) {
      return Error{ErrorCode::kUnreadableFile, word + ": holds no tile (.yaml, .svg, or a photo)", "give the folder that they are in"};
    }
    std::sort(inside.begin(), inside.end());
    files.insert(files.end(), inside.begin(), inside.end());
  }
  return files;
}

Result<FilesToWrite> WriteOneTile(const FileTiles::One& one, const std::string& name) {
  const JudgedTile& tile = one.tile.value();
  const TemplateRequest request = TemplateOf(tile, tile.report.title.empty() ? "Template of " + name : tile.report.title);
  const std::vector<GuidePage> pages = LayOutTemplate(request);
  const auto pdf = DrawPdf(pages, request.title);
  if (!pdf) return pdf.error();
  const auto png = DrawPng(LayOutTilePicture(request), kPicturePxPerMm);
  if (!png) return png.error();
  TileReport report = tile.report;
  if (!tile.drawing.lines.empty()) report.drawing_file = "drawing.svg";
  FilesToWrite files{{"tile.yaml", WriteTile(report)},
                     {"template.pdf", *pdf},
                     {"template.svg", DrawSvg(pages[0], request.title)},
                     {"template-mirrored.svg", DrawSvg(pages[1], request.title)}};
  if (pages.size() > 2) files.emplace_back("pattern.svg", DrawSvg(pages[2], request.title));
  files.emplace_back("tile.png", *png);
  if (!tile.drawing.lines.empty()) files.emplace_back(report.drawing_file, WriteDrawing(tile.drawing.lines));
  if (!one.on_sheet.empty()) files.emplace_back("traced.csv", TraceTable(one.on_sheet));
  return files;
}

Result<ClassOutput> WriteClass(const std::vector<std::pair<std::string, Result<FileTiles>>>& files, const std::string& title) {
  ClassOutput out;
  std::vector<GuidePage> pages;
  std::size_t all = 0, number = 0;
  for (const auto& [name, file] : files) all += file ? file->tiles.size() : 1;
  const int digits = all > 99 ? 3 : 2;
  const auto next_code = [&] { return fmt::format("T{:0{}}", ++number, digits); };
  for (const auto& [name, file] : files) {
    if (!file) {
      out.verdicts.push_back(VerdictOn(Result<JudgedTile>(file.error()), next_code(), name));
      continue;
    }
    for (std::size_t k = 0; k < file->tiles.size(); ++k) {
      const FileTiles::One& one = file->tiles[k];
      const std::string code = next_code();
      const std::string from = file->tiles.size() == 1 ? name : fmt::format("{}, tile {} of {}", name, k + 1, file->tiles.size());
      out.verdicts.push_back(VerdictOn(one.tile, code, from));
      if (!one.tile) continue;
      TemplateRequest request = TemplateOf(*one.tile, one.tile->report.title.empty() ? from : one.tile->report.title);
      request.code = code;
      request.pattern = false;   // Two pages a tile; the page of verdicts shows the rest.
      for (GuidePage& page : LayOutTemplate(request)) pages.push_back(std::move(page));
      TileReport report = one.tile->report;
      if (!one.tile->drawing.lines.empty()) {
        report.drawing_file = code + "-drawing.svg";
        out.files.emplace_back(report.drawing_file, WriteDrawing(one.tile->drawing.lines));
      }
      out.files.emplace_back(code + ".yaml", WriteTile(report));
    }
  }
  if (!pages.empty()) {
    const auto pdf = DrawPdf(pages, title);
    if (!pdf) return pdf.error();
    out.files.emplace_back("templates.pdf", *pdf);
  }
  out.files.emplace_back("verdicts.html", VerdictPage(out.verdicts, title));
  out.files.emplace_back("verdicts.csv", VerdictTable(out.verdicts));
  return out;
}

}  // namespace truepull
